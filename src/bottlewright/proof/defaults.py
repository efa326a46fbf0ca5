"""What is taken for a launcher part that the design does not describe: one table, every value with its source."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.design.launcher import Launcher
from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity

__all__ = ["Assumed", "assumed_values", "human_pull", "launcher_table", "taken"]

_DIMENSIONS = {
    "friction": Dimension.NUMBER, "spring": Dimension.FORCE, "wedge": Dimension.ANGLE, "count": Dimension.NUMBER,
    "strength": Dimension.FORCE, "evenness": Dimension.NUMBER, "turn_friction": Dimension.NUMBER,
    "rating": Dimension.PRESSURE, "accuracy": Dimension.NUMBER, "clearance": Dimension.VOLUME,
    "cadence": Dimension.RATE, "sharing": Dimension.NUMBER, "wind": Dimension.SPEED, "sun_rise": Dimension.NUMBER,
}
"""Dimension by the second word of a value's name; everything else is a length."""


@cache
def launcher_table() -> dict[str, Any]:
    """Read the shipped table."""
    return data_file("proof", "launcher")


@cache
def _defaults() -> dict[str, Quantity]:
    read = {}
    for row in launcher_table()["value"]:
        words = row["name"].split(".")
        dimension = _DIMENSIONS.get(words[min(1, len(words) - 1)], Dimension.LENGTH)
        quantity = row.read("value", parse_quantity, dimension)
        read[row["name"]] = Quantity(quantity.value, quantity.spread, Basis.ASSUMED, row["source"])
    return read


def taken(given: Quantity | None, name: str) -> Quantity:
    """Return what the builder gave, or the table's value of that name."""
    return given if given is not None else _defaults()[name]


@dataclass(frozen=True, slots=True)
class Assumed:
    """A value of a described part that the builder did not give: key path, value as text, source."""

    path: str
    value: str
    source: str


_UNUSED = {
    "compressor": {"bore", "stroke", "clearance", "cadence"},
    "plug": {"friction", "spring", "wedge", "count", "strength", "guided_length", "pull_radius"},
    "pin": {"guided_length", "pull_radius"},
}
"""Values that a kind has no use for: a plug has only its grip, a pin is drawn along itself, a compressor has no piston
that anybody works."""


def assumed_values(launcher: Launcher) -> list[Assumed]:
    """Return what was taken from the table for the parts that a launcher describes, and used."""
    found = []
    for row in launcher_table()["value"]:
        table, _, key = row["name"].partition(".")
        key, _, kind = key.partition(".")
        section = getattr(launcher, table, None)
        own = getattr(section, "kind", None) or ""
        if section is None or (kind and own != kind) or (table in ("release", "pump") and key in _UNUSED.get(own, ())):
            continue
        if key in type(section).model_fields and getattr(section, key) is None:
            found.append(Assumed(f"launcher.{table}.{key}", row["value"], row["source"]))
    return found


@cache
def human_pull(who: str) -> Quantity:
    """Return what a hand can pull or push (N), with its source."""
    row = next(row for row in launcher_table()["pull"] if row["name"] == who)
    return Quantity(parse_quantity(row["value"], Dimension.FORCE).value, 0.0, Basis.TABLE, row["source"])
