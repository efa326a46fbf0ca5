"""The shipped table of bursts, spreads and multipliers, read once."""

from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["burst_table", "law"]


@cache
def burst_table() -> dict[str, Any]:
    """Read the shipped table of bursts, spreads and multipliers."""
    return data_file("proof", "bursts")


@cache
def law(key: str, dimension: Dimension = Dimension.NUMBER, table: str = "law") -> float:
    """Return one number of the table's laws in SI."""
    return float(parse_quantity(burst_table()[table][key], dimension))
