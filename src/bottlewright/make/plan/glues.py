"""How long a glue takes at the temperature of the workshop, from data sheets, never extrapolated to cold."""

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from bottlewright.data_file import Row, data_file, each
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["Cure", "Glue", "cure", "glue_named", "glues", "structural_wait", "usual_temperature"]


@dataclass(frozen=True, slots=True)
class Glue:
    """A row of the table: temperatures (K) with the times to hold and to cure (s), and words for the builder."""

    name: str
    names: tuple[str, ...]
    title: str
    at: tuple[tuple[float, float, float], ...]
    full_at_least: float
    use: str
    care: str
    source: str


@dataclass(frozen=True, slots=True)
class Cure:
    """How long to wait, s; None where the table says nothing, and why."""

    hold: float | None
    full: float | None
    why: str = ""


@cache
def _table() -> dict[str, Any]:
    return data_file("make", "glues")


def _value(text: str, dimension: Dimension) -> float:
    return parse_quantity(text, dimension).value


@cache
def glues() -> dict[str, Glue]:
    """Return the glues by name."""
    return {glue.name: glue for glue in each(_table()["glue"], _glue)}


def _glue(row: Row) -> Glue:
    return Glue(
        row["name"],
        (row["name"], *row.get("also", [])),
        row["title"],
        tuple(
            (_value(t, Dimension.TEMPERATURE), _value(h, Dimension.TIME), _value(f, Dimension.TIME))
            for t, h, f in row["at"]
        ),
        _value(row.get("full_at_least", "0 s"), Dimension.TIME),
        row["use"],
        row["care"],
        row["source"],
    )


def glue_named(name: str) -> Glue | None:
    """Return the glue that a name or plain words such as ``"two-part epoxy"`` mean, None when the table has none."""
    wanted = name.lower().replace(" ", "-")
    return next((glue for glue in glues().values() for known in glue.names if known in wanted), None)


def structural_wait() -> float:
    """Return the least wait before a glued joint sees pressure, s."""
    return _value(_table()["rule"]["structural"], Dimension.TIME)


def usual_temperature() -> float:
    """Return the room temperature taken when the design gives none, K."""
    return _value(_table()["rule"]["usual_temperature"], Dimension.TEMPERATURE)


def cure(glue: Glue, temperature: float) -> Cure:
    """Return how long a glue takes at a temperature (K).

    Straight in the logarithm of time between two rows of the data sheet; the hottest row's time above it; nothing below
    the coldest row.
    """
    rows = sorted(glue.at)
    if temperature < rows[0][0] - 1e-9:
        lowest, here = rows[0][0] - 273.15, temperature - 273.15
        return Cure(
            None,
            None,
            f"{glue.title}: the data sheet ends at {lowest:g} °C and the workshop has {here:g} °C. "
            "Cold cure stalls: warm the part and the glue, or use another glue.",
        )
    if temperature >= rows[-1][0]:
        return Cure(rows[-1][1], max(rows[-1][2], glue.full_at_least))
    low, high = next((a, b) for a, b in pairwise(rows) if a[0] - 1e-9 <= temperature < b[0])
    part = (temperature - low[0]) / (high[0] - low[0])
    hold, full = (_between(low[k], high[k], part) for k in (1, 2))
    return Cure(hold, max(full, glue.full_at_least))


def _between(low: float, high: float, part: float) -> float:
    if low <= 0.0 or high <= 0.0:
        return low + (high - low) * part
    return math.exp(math.log(low) + (math.log(high) - math.log(low)) * part)
