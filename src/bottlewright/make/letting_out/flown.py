"""What the flights want of a release that is tried on the ground: the hold's window, the timer's, the load to hang."""

import math

from bottlewright.design import Design
from bottlewright.design.mechanism import TIMERS
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.flight.fly import Flight
from bottlewright.flight.hold_window import hold_window, window_words
from bottlewright.flight.outcomes import by_mechanism, time_window

__all__ = ["flown_words"]

_STANDARD, _TENS = 9.80665, 0.01
"""Standard gravity, m/s²; what is hung is rounded up to so many kg."""


def flown_words(design: Design, flight: Flight, habit: UnitHabit) -> dict[str, str]:
    """Return the numbers that flights alone know, by the names that the ground-test card calls them by.

    The window of the hold is that of its owner, `bottlewright.flight.hold_window`, word for word.
    """
    mechanism = design.recovery.mechanism
    if mechanism is None or not by_mechanism(design):
        return {}
    words, load = {}, flight.summary["opening_load_N"]
    if (window := hold_window(design)) is not None:
        none = " So no hold passes: choose another way to let it out." if window.low is None else ""
        words["hold_window"] = f"{window_words(window, habit)}{none}"
    if mechanism.trip in TIMERS:
        words["timer_window"] = _timer(time_window(design))
    if math.isfinite(load) and load > 0.0:
        hung = _TENS * math.ceil(2.0 * load / _STANDARD / _TENS)
        words |= {"hang": habit.mass(hung, 3), "opening_load": habit.force(load, 2)}
    return words


def _timer(window: tuple[float, float] | None) -> str:
    if window is None:
        return "No time lets it open in time in the middle flight: see the findings."
    low, high = window
    until = f" and {high:.1f} s" if math.isfinite(high) else " and the ground"
    return f"The middle flight wants it open between {low:.1f} s{until} after it is started."
