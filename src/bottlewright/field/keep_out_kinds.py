"""What each kind of keep-out means, from the table."""

from functools import cache
from typing import Any, NamedTuple

from bottlewright.data_file import Row, data_file, each
from bottlewright.findings import Level
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["Kind", "kinds", "leaving"]


class Kind(NamedTuple):
    """A kind of keep-out: accepted chance, usual width (m), level of a chance above it, and the words for it."""

    name: str
    allowed: float
    width: float
    level: Level
    people: bool
    hazard: str
    source: str


@cache
def _table() -> dict[str, Any]:
    return data_file("field", "keep_outs")


def _kind(row: Row) -> Kind:
    return Kind(
        name=row.get("name", "outside the field"),
        allowed=row.read("allowed", parse_quantity, Dimension.NUMBER).value,
        width=parse_quantity(row.get("width", "0 m"), Dimension.LENGTH).value,
        level=Level(row["level"]),
        people=row.get("people", False),
        hazard=row["hazard"],
        source=row["source"],
    )


@cache
def kinds() -> dict[str, Kind]:
    """Return every kind of keep-out by name."""
    return {kind.name: kind for kind in each(_table()["kind"], _kind)}


@cache
def leaving() -> Kind:
    """Return what leaving the field means."""
    return each([_table()["leaving"]], _kind)[0]
