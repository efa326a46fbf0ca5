"""Sample flights with everything that has a ±, turbulent wind and failures at their odds; say how each came down."""

from collections.abc import Callable
from enum import IntEnum
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.data_file import Row, data_file, each
from bottlewright.design.descents import descent_of
from bottlewright.design.document import Design
from bottlewright.design.field_tables import Hour
from bottlewright.field.counted_tests import counted_odds
from bottlewright.flight.batch import sample_batch
from bottlewright.flight.state import Endings
from bottlewright.physics.sampling import fill_uniform_rows
from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity

__all__ = [
    "FlyBatch", "Mode", "Sample", "ballistic_flights", "can_open", "failure_odds", "fated_flights", "in_weather",
    "judged_odds",
    "mode_name", "points", "sample_flights", "with_wind",
]  # fmt: skip

Floats = NDArray[np.float64]
FlyBatch = Callable[[Any], Any]
"""Fly a batch of flights and return their summaries."""
BALLISTIC = 300  # flights that show a fall with nothing to slow it, whatever its odds


class Mode(IntEnum):
    """What a flight was given to go wrong, or came to."""

    AS_PLANNED = 0
    NOT_OPENING = 1
    EARLY_OPENING = 2
    FIN_LOST = 3
    STUCK = 4  # not given: the thrust did not lift it
    LATE_OPENING = 5  # not given: its mechanism came to it
    TORN = 6  # not given either


class Sample(NamedTuple):
    """A batch and what each flight was given to go wrong."""

    batch: Any
    modes: NDArray[np.int64]


def mode_name(mode: Mode, design: Design) -> str:
    """Return how a flight came down, in words."""
    plain = {Mode.FIN_LOST: "a fin lost", Mode.STUCK: "it stays on the launcher"}
    if mode in plain:
        return plain[mode]
    if not can_open(design):
        return "without anything to slow it"
    descent = descent_of(design.recovery)
    return {
        Mode.AS_PLANNED: descent.under, Mode.NOT_OPENING: f"ballistic: {descent.stays}",
        Mode.EARLY_OPENING: f"{descent.comes} early", Mode.LATE_OPENING: f"{descent.comes} too low",
        Mode.TORN: f"ballistic: {descent.tears}",
    }[mode]  # fmt: skip


def can_open(design: Design) -> bool:
    """Say whether the design has something to slow its fall that is meant to be let out."""
    return design.recovery.kind != "none" and design.recovery.release != "never"


@cache
def _table() -> dict[str, Quantity]:
    def odds(row: Row) -> tuple[str, Quantity]:
        value = row.read("value", parse_quantity, Dimension.NUMBER).value
        return row["name"], Quantity(value, 0.0, Basis.ASSUMED, row["source"])

    return dict(each(data_file("field", "failures")["failure"], odds))


def judged_odds(design: Design) -> dict[str, Quantity]:
    """Return the odds of each failure that the design can have before anything was counted: stated, or the table's."""
    named = [("fin_lost", design.fins is not None and design.fins.count > 0)]
    named += [("not_opening", can_open(design)), ("early_opening", can_open(design))]
    return {name: getattr(design.failures, name) or _table()[name] for name, possible in named if possible}


def failure_odds(design: Design) -> dict[str, Quantity]:
    """Return the odds of each failure that are in use: judged, or what counted tests on the ground made of them."""
    odds = judged_odds(design)
    return odds | counted_odds(design, odds, _table()["forgotten"])


def sample_flights(design: Design, first: int, count: int, seed: int, apogee_time: float) -> Sample:
    """Draw flights first … first + count − 1; flight i is the same whatever the rest.

    Parameters
    ----------
    design
        Completed.
    apogee_time
        Of the middle flight, s; an early opening comes at an even chance anywhere before it.
    """
    batch = sample_batch(design, first, count, seed=seed)
    batch["turbulence"] = 1
    _gusty(batch, design)
    luck = _luck(seed, first, count)
    odds = {name: quantity.value for name, quantity in failure_odds(design).items()}
    modes = np.zeros(count, np.int64)
    modes[luck[:, 2] < odds.get("fin_lost", 0.0)] = Mode.FIN_LOST
    stays, early = odds.get("not_opening", 0.0), odds.get("early_opening", 0.0)
    modes[luck[:, 0] < stays + early] = Mode.EARLY_OPENING
    modes[luck[:, 0] < stays] = Mode.NOT_OPENING
    batch["fin_count"][luck[:, 2] < odds.get("fin_lost", 0.0)] -= 1
    _fail(batch, modes, luck[:, 1] * apogee_time)
    return Sample(batch, modes)


def _gusty(batch: Any, design: Design) -> None:
    """Widen the spread of the wind to a third of the way from the mean to the strongest gust (common practice)."""
    weather = design.weather
    if weather.gust is None or weather.wind_speed is None:
        return
    spread = (weather.gust.value - weather.wind_speed.value) / 3.0
    if spread > weather.wind_speed.spread > 0.0:
        middle = weather.wind_speed.value
        batch["wind_speed"] = middle + (batch["wind_speed"] - middle) * (spread / weather.wind_speed.spread)


def _luck(seed: int, first: int, count: int) -> Floats:
    """Return three uniform numbers per flight, from a stream of their own."""
    luck = np.empty((count, 3))
    fill_uniform_rows(seed, first, 0xF1E1D, luck)
    return luck


def _fail(batch: Any, modes: NDArray[np.int64], delay: Floats) -> None:
    batch["release"][modes == Mode.NOT_OPENING] = 2
    early = modes == Mode.EARLY_OPENING
    batch["release"][early] = 1
    batch["release_delay"][early] = delay[early]


def fated_flights(
    design: Design, first: int, count: int, seed: int, apogee_time: float, mode: Mode, *, fin_lost: bool
) -> Any:
    """Draw flights as `sample_flights` does that all come to the same: an opening kept in, too early, or as planned."""
    batch = sample_batch(design, first, count, seed=seed)
    batch["turbulence"] = 1
    _gusty(batch, design)
    if fin_lost:
        batch["fin_count"] -= 1
    _fail(batch, np.full(count, mode), _luck(seed, first, count)[:, 1] * apogee_time)
    return batch


def ballistic_flights(design: Design, seed: int) -> Any:
    """Draw flights on which nothing opens."""
    batch = sample_batch(design, 0, BALLISTIC, seed=seed)
    batch["turbulence"], batch["release"] = 1, 2
    return batch


def in_weather(design: Design, hour: Hour) -> Design:
    """Return the design in the wind of an hour."""
    wind = {"wind_speed": hour.wind_speed, "wind_from": hour.wind_from, "gust": hour.gust}
    return design.model_copy(update={"weather": design.weather.model_copy(update=wind)})


def with_wind(batch: Any, design: Design, speed: float, from_direction: float) -> Any:
    """Return the batch in another mean wind (m/s, rad), each keeping its own deviation from it."""
    moved = batch.copy()
    weather = design.weather
    moved["wind_speed"] += speed - (weather.wind_speed.value if weather.wind_speed else 0.0)
    np.maximum(moved["wind_speed"], 0.0, out=moved["wind_speed"])
    moved["wind_from"] += from_direction - (weather.wind_from.value if weather.wind_from else 0.0)
    return moved


def points(flights: Any) -> Floats:
    """Return where the flights came down, rows of metres east and north; one that never left stays at the pad.

    A flight that could not be computed to its end has no place: its row is NaN.
    """
    rows = np.stack([flights["landing_east_m"], flights["landing_north_m"]], axis=-1)
    rows[np.isin(flights["ending"], (Endings.never_left, Endings.stuck))] = 0.0
    return np.asarray(rows, float)
