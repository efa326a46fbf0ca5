"""The shipped table of bursts, spreads and multipliers, read once."""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["burst_table", "law"]


@cache
def burst_table() -> dict[str, Any]:
    """Read the shipped table of bursts, spreads and multipliers."""
    return tomllib.loads((files("bottlewright.proof") / "data" / "bursts.toml").read_text(encoding="utf-8"))


@cache
def law(key: str, dimension: Dimension = Dimension.NUMBER, table: str = "law") -> float:
    """Return one number of the table's laws in SI."""
    return float(parse_quantity(burst_table()[table][key], dimension))
