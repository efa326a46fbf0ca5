"""What each kind of keep-out means, from the table."""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

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
    return tomllib.loads((files("bottlewright.field") / "data" / "keep_outs.toml").read_text(encoding="utf-8"))


def _kind(row: dict[str, Any]) -> Kind:
    return Kind(
        name=row.get("name", "outside the field"),
        allowed=parse_quantity(row["allowed"], Dimension.NUMBER).value,
        width=parse_quantity(row.get("width", "0 m"), Dimension.LENGTH).value,
        level=Level(row["level"]),
        people=row.get("people", False),
        hazard=row["hazard"],
        source=row["source"],
    )


@cache
def kinds() -> dict[str, Kind]:
    """Return every kind of keep-out by name."""
    return {row["name"]: _kind(row) for row in _table()["kind"]}


@cache
def leaving() -> Kind:
    """Return what leaving the field means."""
    return _kind(_table()["leaving"])
