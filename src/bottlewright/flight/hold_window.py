"""The window of the hold: how firmly a nose may sit on its seat for the flights to let it off in time.

One flight has a window with two sharp edges. The ± of everything else moves these from flight to flight, so what is
printed and acted on is the window in which nine of ten drawn flights open in time; often there is none.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.mechanism import NOSE_WAYS
from bottlewright.design.once import once_per_design
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.findings import limit
from bottlewright.flight.outcomes import (
    FLOWN,
    Outcome,
    by_mechanism,
    drawn_flights,
    edges,
    middle_hold_window,
    outcomes,
)

__all__ = ["HoldWindow", "has_a_hold", "hold_window", "hold_words", "window_words"]

Floats = NDArray[np.float64]

_TRIED = np.geomspace(0.01, 30.0, 28)
"""Holds that a hand can set, N, each a third above the one before."""
_PARTS = 4
"""In so many parts these are flown: the holds of a part share each flight's push, and the last parts often are not
needed."""
_NEARLY = 1.0 / 30.0
"""Share of the flights that a firmer hold may lose against the best one: it stays on in the hand (our judgement)."""
_HALVINGS = 4
"""Halvings of the gap between a hold that will do and one that won't: the edge is then known to 2 %."""


@dataclass(frozen=True, slots=True, eq=False)
class HoldWindow:
    """Holds with which a nose comes off in time.

    Parameters
    ----------
    low, high
        Least and greatest hold, N, with which nine of ten drawn flights open in time; 0 and infinity where the least
        or the greatest that a hand can set still does. None both where no hold does.
    best, best_share
        The firmest hold with which nearly the most of the drawn flights open in time, N, and their share.
    middle
        Least and greatest hold with which the middle flight does, N; None where no hold does.
    holds, counts
        Holds that were flown, N, up to one that hardly any flight overcomes; for each of them, how many drawn flights
        came to each `Outcome`, by its number.
    flights
        How many were flown with each hold, the same draws for all.
    """

    low: float | None
    high: float | None
    best: float
    best_share: float
    middle: tuple[float, float] | None
    holds: Floats
    counts: NDArray[np.int64]
    flights: int

    @property
    def shares(self) -> Floats:
        """Share of the drawn flights that open in time, with each hold that was flown."""
        return self.counts[:, Outcome.IN_TIME] / self.flights


def has_a_hold(design: Design) -> bool:
    """Say whether a nose has to come off its seat to let the canopy out."""
    mechanism = design.recovery.mechanism
    return by_mechanism(design) and mechanism is not None and mechanism.way in NOSE_WAYS


@once_per_design
def hold_window(design: Design) -> HoldWindow | None:
    """Fly a completed design with every ± drawn, once for each hold that a hand can set: some seconds.

    The hold itself is not drawn: its window is what a drawn-off hold, with its ±, is held against.

    Returns
    -------
    HoldWindow or None
        None where no nose has to come off.
    """
    if not has_a_hold(design):
        return None
    batch = drawn_flights(design, FLOWN)

    def counted(*holds: float) -> list[NDArray[np.int64]]:
        flown = fly_batch(batch, holds=np.array(holds)).reshape(FLOWN, len(holds))
        return [np.bincount(outcomes(design, batch, those), minlength=len(Outcome)) for those in flown.T]

    asked = (1.0 - limit("release_wrong").value) * FLOWN
    rows: list[NDArray[np.int64]] = []
    for row in (row for some in np.split(_TRIED, _PARTS) for row in counted(*some)):
        rows.append(row)
        most = max(row[Outcome.IN_TIME] for row in rows)
        if rows[-1][Outcome.NEVER] > FLOWN / 2 and rows[-1][Outcome.IN_TIME] < most / 2:
            break  # a firmer hold lets still fewer off
    counts, tried = np.array(rows), _TRIED[: len(rows)]
    in_time = counts[:, Outcome.IN_TIME]
    best = int(np.flatnonzero(in_time >= in_time.max() - _NEARLY * FLOWN)[-1])
    low, high = None, None
    if in_time.max() >= asked:
        most = int(np.argmax(in_time))
        low, high = edges(tried, in_time >= asked, most, lambda hold: bool(counted(hold)[0][Outcome.IN_TIME] >= asked),
                          _HALVINGS)  # fmt: skip
    return HoldWindow(low, high, float(tried[best]), float(in_time[best] / FLOWN), middle_hold_window(design),
                      tried, counts, FLOWN)  # fmt: skip


def hold_words(newtons: float, habit: UnitHabit) -> str:
    """Return a hold as a hand sets it: in newtons, and as a scale shows it that draws the nose off."""
    return f"{habit.force(newtons, 2)}, {habit.on_a_scale(newtons)} on a scale"


def window_words(window: HoldWindow, habit: UnitHabit) -> str:
    """Return how firmly the nose may sit."""
    if window.low is None or window.high is None:
        most = round(window.best_share * window.flights)
        return ("No hold lets nine of ten flights open in time. The best that we tried is "
                f"{hold_words(window.best, habit)}: {most} of {window.flights} open in time with exactly that hold. "
                "A hand sets it with its ±, and then fewer may.")  # fmt: skip
    between = (
        "Any hold that a hand can set will do" if window.low == 0.0 and math.isinf(window.high) else
        f"The nose may hold up to {hold_words(window.high, habit)}" if window.low == 0.0 else
        f"The nose has to hold {hold_words(window.low, habit)}, or more" if math.isinf(window.high) else
        f"The nose has to hold between {hold_words(window.low, habit)}, and {hold_words(window.high, habit)}"
    )  # fmt: skip
    return f"{between}: then at least nine of ten flights open in time."
