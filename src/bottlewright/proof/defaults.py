"""What is taken for a launcher part that the design does not describe: one table, every value with its source."""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity

__all__ = ["human_pull", "launcher_table", "taken"]

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
    return tomllib.loads((files("bottlewright.proof") / "data" / "launcher.toml").read_text(encoding="utf-8"))


@cache
def _defaults() -> dict[str, Quantity]:
    read = {}
    for row in launcher_table()["value"]:
        words = row["name"].split(".")
        dimension = _DIMENSIONS.get(words[min(1, len(words) - 1)], Dimension.LENGTH)
        quantity = parse_quantity(row["value"], dimension)
        read[row["name"]] = Quantity(quantity.value, quantity.spread, Basis.ASSUMED, row["source"])
    return read


def taken(given: Quantity | None, name: str) -> Quantity:
    """Return what the builder gave, or the table's value of that name."""
    return given if given is not None else _defaults()[name]


@cache
def human_pull(who: str) -> Quantity:
    """Return what a hand can pull or push (N), with its source."""
    row = next(row for row in launcher_table()["pull"] if row["name"] == who)
    return Quantity(parse_quantity(row["value"], Dimension.FORCE).value, 0.0, Basis.TABLE, row["source"])
