"""How the canopy of each flight came out: judged by airspeed, load and height left, not by the clock."""

import math
from collections.abc import Callable, Mapping
from enum import IntEnum
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.once import once_per_design
from bottlewright.flight.batch import TOLERANCE, draws_of, fly_batch, sample_batch
from bottlewright.flight.canopy_links import canopy_holds, weakest
from bottlewright.flight.findings import BRAKED, NOSE_FIRST, SLOWED, limit
from bottlewright.flight.parameters import parameters_of

__all__ = [
    "FLOWN", "Outcome", "Releases", "armed", "by_mechanism", "came_out", "drawn_flights", "edges",
    "middle_hold_window", "outcomes", "releases", "time_window",
]  # fmt: skip

Floats = NDArray[np.float64]

FLOWN = 120
"""Flights with every ± drawn behind a verdict."""

class Outcome(IntEnum):
    """How the canopy came out."""

    IN_TIME = 0
    EARLY = 1  # on the way up, so fast that height is given away
    LATE = 2  # too low to slow the rocket
    NEVER = 3
    TORN = 4  # at more load than its lines hold


def by_mechanism(design: Design) -> bool:
    """Say whether a described mechanism lets the canopy out."""
    return design.recovery.kind != "none" and design.recovery.release == "mechanism"


def armed(design: Design) -> bool:
    """Say whether what lets the canopy out is armed on the launcher: a spring is drawn, or something waits to trip."""
    mechanism = design.recovery.mechanism
    return by_mechanism(design) and mechanism is not None and (
        mechanism.trip != "none" or mechanism.way == "sprung nose")  # fmt: skip


def outcomes(design: Design, batch: Any, flown: Any) -> NDArray[np.int64]:
    """Judge flights of a batch; each draws the strength of what holds its canopy.

    Parameters
    ----------
    design
        Completed.
    batch, flown
        Parameters, of which seed and index are read, and summaries.
    """
    link, turns = weakest(design), design.recovery.kind == "tumble"
    if link is None:
        return _judged(flown, math.inf, turns)
    # In proportion: a link may be half as strong, and never less than nothing.
    holds = link.holds
    factor = 1.0 + holds.spread / max(holds.value, 1e-9)
    return _judged(flown, holds.value * factor ** draws_of(batch, link.path), turns)


def _judged(flown: Any, holds: Floats | float, turns: bool) -> NDArray[np.int64]:
    """Judge flights; one that was to turn over, and strikes nose first or slides down fast, was never slowed by it."""
    found = np.full(len(flown), Outcome.IN_TIME, np.int64)
    found[flown["canopy_out_climb_m_s"] > limit("opening_climb").value] = Outcome.EARLY
    fast = flown["landing_speed_down_m_s"] > BRAKED * flown["sinking_speed_m_s"]
    soon = flown["flight_time_s"] - flown["canopy_out_time_s"] < SLOWED
    found[fast & soon] = Outcome.LATE
    found[flown["opening_load_N"] > holds] = Outcome.TORN
    found[np.isnan(flown["canopy_out_time_s"])] = Outcome.NEVER
    if turns:
        found[(flown["landing_strike_angle_rad"] < NOSE_FIRST) | (fast & ~soon)] = Outcome.NEVER
    return found


def drawn_flights(design: Design, flights: int = FLOWN) -> NDArray[Any]:
    """Draw flights of a completed design with every ± and in gusts, from the seed that its landings have."""
    batch = sample_batch(design, 0, flights, seed=design.scatter.seed)
    batch["turbulence"] = 1
    return batch


class Releases(NamedTuple):
    """How the canopies of drawn flights came out.

    Parameters
    ----------
    outcome, open_time
        Of each flight: its `Outcome`, and when it was let go, s after launch; NaN where it never was.
    top_spread
        Standard deviation of the time of their tops, s.
    """

    outcome: NDArray[np.int64]
    open_time: Floats
    top_spread: float


@once_per_design
def releases(design: Design) -> Releases:
    """Fly a completed design `FLOWN` times with every ± drawn, and judge each."""
    batch = drawn_flights(design)
    flown = fly_batch(batch)
    return Releases(outcomes(design, batch, flown), flown["let_go_time_s"],
                    float(np.nanstd(flown["apogee_time_s"])))  # fmt: skip


def came_out(design: Design) -> Mapping[Outcome, int]:
    """Return how many of the `FLOWN` drawn flights came to each outcome."""
    return {one: int(np.count_nonzero(releases(design).outcome == one)) for one in Outcome}


_HOLDS = np.geomspace(0.01, 30.0, 49)
"""Holds that a hand can set, N, each a fifth above the one before."""
_TIMES = np.geomspace(0.1, 30.0, 49)
"""Times of a timer, s."""


@once_per_design
def middle_hold_window(design: Design) -> tuple[float, float] | None:
    """Return least and greatest hold, N, with which the middle flight's nose comes off in time; None if none does."""
    return _window(design, "release_hold", _HOLDS)


@once_per_design
def time_window(design: Design) -> tuple[float, float] | None:
    """Return least and greatest time, s, with which a timer lets the middle flight's canopy out in time."""
    return _window(design, "release_time", _TIMES)


def _window(design: Design, slot: str, tried: Floats) -> tuple[float, float] | None:
    strength = canopy_holds(design)

    def in_time(values: Floats) -> NDArray[np.bool_]:
        batch = parameters_of(design, len(values))
        batch[slot], batch["tolerance"] = values, TOLERANCE
        held, turns = strength.value if strength else math.inf, design.recovery.kind == "tumble"
        return np.asarray(_judged(fly_batch(batch), held, turns) == Outcome.IN_TIME)

    will_do = in_time(tried)
    if not will_do.any():
        return None
    run = max(_runs(will_do), key=len)
    return edges(tried, will_do, int(run[0]), lambda value: bool(in_time(np.array([value]))[0]))


def _runs(will_do: NDArray[np.bool_]) -> list[NDArray[np.intp]]:
    good = np.flatnonzero(will_do)
    return np.split(good, np.flatnonzero(np.diff(good) > 1) + 1)


def edges(
    tried: Floats, will_do: NDArray[np.bool_], one: int, test: Callable[[float], bool], halvings: int = 6
) -> tuple[float, float]:
    """Return the ends of the run of values that will do and that one of them lies in.

    Parameters
    ----------
    tried, will_do
        Values, rising, and which of them will do.
    one
        Place of a value in the run.
    test
        Tells whether a value between those tried will do.
    halvings
        Of the gap to the next value that will not do.

    Returns
    -------
    low, high : float
        0 where even the least value tried will do, infinity where the greatest does.
    """
    run = next(each for each in _runs(will_do) if one in each)
    first, last = int(run[0]), int(run[-1])
    low, high = 0.0, math.inf
    if first > 0:
        low = _edge(test, float(tried[first]), float(tried[first - 1]), halvings)
    if last < len(tried) - 1:
        high = _edge(test, float(tried[last]), float(tried[last + 1]), halvings)
    return low, high


def _edge(test: Callable[[float], bool], good: float, bad: float, halvings: int) -> float:
    """Return the value nearest to a bad one that is still good, by halving."""
    for _ in range(halvings):
        middle = math.sqrt(good * bad)
        if test(middle):
            good = middle
        else:
            bad = middle
    return good
