"""Who does what in the field, and which entries each writes: the roles of the day's table, and whoever looks on."""

from collections.abc import Mapping

from bottlewright.logbook.day_table import Role, day_table

__all__ = ["IN_CHARGE", "KINDS", "ROLES"]

KINDS = ("wind", "pressure", "launch", "sight", "remark")
"""What an entry may be: the wind read, the gauge read, a launch counted, an angle seen, words alone."""

IN_CHARGE = day_table().roles["charge"].called

_LOOKS_ON = Role("looks on", "one who looks on", called="look on", does="sees every page, writes nothing")

ROLES: Mapping[str, Role] = {role.called: role for role in (
    _LOOKS_ON, *sorted(day_table().roles.values(), key=lambda role: role.adult))}  # fmt: skip
"""By the name that phones show; the adult's comes last."""
