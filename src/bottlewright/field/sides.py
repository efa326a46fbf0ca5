"""The distance that counts on each side of the launcher: tables, maps and sheets take it from here."""

from collections.abc import Sequence

__all__ = ["Away", "counted_sides"]

Away = tuple[float, bool]
"""A distance (m), and whether the flights settle it (`bottlewright.field.distance.Distance`)."""


def counted_sides(sides: Sequence[Away]) -> list[Away]:
    """Return the distance that counts on each side, with whether it is settled.

    Where so few flights come down on a side that none is settled there, that is the distance for any side; where no
    side is settled, nobody knows more than that each is farther.
    """
    if not any(settled for _, settled in sides):
        return list(sides)
    anywhere = max(sides, key=lambda one: one[0])
    return [one if one[1] else anywhere for one in sides]
