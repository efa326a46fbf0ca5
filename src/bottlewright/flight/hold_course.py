"""The pull at the joint of a nose through the flight, and the hold that has to meet it: what the chart of it shows."""

import math

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.flight.fly import Flight, fly_parameters
from bottlewright.flight.hold_window import HoldWindow, has_a_hold
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out, middle_hold_window, releases
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.release_words import came_out_words
from bottlewright.report.hold_chart import HoldView, Opened, hold_chart
from bottlewright.report.style import Event, Picture

__all__ = ["hold_picture", "never_let_out"]

Floats = NDArray[np.float64]

_STUCK = 1e6
"""A hold that nothing overcomes, N."""
_AROUND_THE_TOP = 2.0
"""Seconds before and after the top in which a rocket turns over."""
_ROWS = {Outcome.EARLY: "early", Outcome.IN_TIME: "in time", Outcome.LATE: "too late", Outcome.TORN: "torn"}


def never_let_out(design: Design) -> Flight:
    """Fly the middle flight with a nose that nothing draws off: its pull is then known to the ground."""
    parameters = parameters_of(design)[0]
    parameters["release_hold"] = _STUCK
    return fly_parameters(parameters, series=True)


def _turns_over(flight: Flight) -> float:
    """Return when the rocket turns over fastest about the top, s; NaN where it has none."""
    series, top = flight.series, flight.summary["apogee_time_s"]
    about = np.abs(series["time_s"] - top) < _AROUND_THE_TOP
    rate = np.where(about & np.isfinite(series["joint_pull_N"]), series["pitch_rate_rad_s"], -1.0)
    return float(series["time_s"][int(np.argmax(rate))]) if math.isfinite(top) and rate.max() > 0.0 else math.nan


def _view(design: Design, flight: Flight, window: HoldWindow | None) -> HoldView:
    stuck, mechanism, habit = never_let_out(design), design.recovery.mechanism, unit_habit(design)
    assert mechanism is not None, "a nose that comes off has a mechanism"
    assert mechanism.hold is not None, "filled in"
    summary, drawn = flight.summary, releases(design)
    moments = [(summary["gas_out_time_s"], "push ends"), (stuck.summary["apogee_time_s"], "top"),
               (_turns_over(stuck), "turns over")]  # fmt: skip
    rows = [Opened(name, drawn.open_time[(drawn.outcome == one) & np.isfinite(drawn.open_time)])
            for one, name in _ROWS.items() if (drawn.outcome == one).any() or one is Outcome.IN_TIME]  # fmt: skip
    nine = (window.low, window.high) if window and window.low is not None and window.high is not None else None
    return HoldView(
        time=stuck.series["time_s"], pull=stuck.series["joint_pull_N"], hold=mechanism.hold.value,
        factor=1.0 + mechanism.hold.spread / mechanism.hold.value if mechanism.hold.value > 0.0 else 1.0,
        middle=middle_hold_window(design), nine=nine,
        moments=[Event(at, name) for at, name in moments if math.isfinite(at)], opens=summary["let_go_time_s"],
        opened=rows, never=came_out(design)[Outcome.NEVER], flights=FLOWN, ounces=habit.pounds,
    )  # fmt: skip


def hold_picture(design: Design, flight: Flight, window: HoldWindow | None = None) -> Picture | None:
    """Return the pull at the joint against the hold through the flight; None where no nose has to come off.

    Parameters
    ----------
    flight
        The middle flight.
    window
        Of the drawn flights, where it is worked out; the middle flight's is shown besides.
    """
    if not has_a_hold(design) or not math.isfinite(flight.summary["gas_out_time_s"]):
        return None
    view = _view(design, flight, window)
    habit = unit_habit(design)
    return Picture("hold", _caption(view, habit), f"{came_out_words(design)} {_window_said(view, habit)}",
                   lambda width: hold_chart(view, width))  # fmt: skip


def _window_said(view: HoldView, habit: UnitHabit) -> str:
    low, high = view.middle or (math.nan, math.nan)
    if view.middle is None:
        return "The middle flight has no hold with which it opens in time."
    return f"The middle flight opens in time from {habit.force(low, 2)} to {habit.force(high, 2)}."


def _caption(view: HoldView, habit: UnitHabit) -> str:
    window = (
        "No hold lets the middle flight's nose off in time" if view.middle is None else
        f"Shaded: the holds with which the middle flight opens in time, up to {habit.force(view.middle[1], 2)}"
        if view.middle[0] == 0.0 else
        f"Shaded: the holds with which the middle flight opens in time, {habit.force(view.middle[0], 2)} to "
        f"{habit.force(view.middle[1], 2)}"
    )  # fmt: skip
    nine = ("" if view.nine is None else
            " Under the orange line nine of ten flights with every ± drawn do." if view.nine[0] == 0.0 else
            " Between the orange lines nine of ten flights with every ± drawn do.")  # fmt: skip
    return ("The pull that wants the nose off its seat, in the middle flight, had the nose stayed on. "
            f"{window}.{nine} The bar at your hold is its ±. Below, each mark is one of {view.flights} flights with "
            "every ± drawn, at the moment in which it is let go.")  # fmt: skip
