"""An inertia latch starts a timer: a push has to last and move it, and it lets go when drag is more than thrust."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from test_mechanism_in_flight import ROCKET, design_of, flown

from bottlewright.design import complete, parse_design
from bottlewright.flight.fly import fly
from bottlewright.flight.latch import LATCH_ARMED, LATCH_FREE, LATCH_WAITS, latch_feels
from bottlewright.flight.results import findings_of

LATCHED = ('way = "side door"\ntrip = "wind-up timer"\ntime = "2 s"\nstart = "0.1 s"\nact = "0.2 s"\n'
           'starts = "end of push"\n')  # fmt: skip
G = 9.80665


def felt(*steps, **sizes):
    """Return a latch that felt steps of a length and a force at both ends, s and g."""
    latch = SimpleNamespace(
        latch=LATCH_WAITS, latch_level=3.0 * G, latch_time=0.05, latch_travel=0.01, latch_since=math.inf,
        latch_speed=0.0, latch_at=0.0, latch_free=math.inf,
    )  # fmt: skip
    vars(latch).update(sizes)
    t = 0.0
    for h, first, last in steps:
        latch_feels.py_func(t, h, first * G, last * G, latch)
        t += h
    return latch


def test_it_frees_a_timer_where_drag_is_more_than_thrust_and_not_at_the_last_of_the_air():
    flight = flown(LATCHED, series=True)
    series, summary = flight.series, flight.summary
    upward = np.gradient(series["velocity_up_m_s"], series["time_s"]) + G
    late = (series["time_s"] > 0.3) & (series["time_s"] < 1.0)
    turns = series["time_s"][late][np.argmax(upward[late] < 0.0)]
    assert summary["trip_time_s"] == pytest.approx(turns + 2.1, abs=3e-3)
    assert summary["trip_time_s"] - 2.1 < summary["gas_out_time_s"]
    assert summary["canopy_out_time_s"] == pytest.approx(summary["trip_time_s"] + 0.2, abs=1e-9)


def test_a_short_bump_never_arms_it_however_hard_and_two_do_not_add_up():
    knock = (0.03, 60.0, 60.0)
    for steps in ([knock], [knock, (0.01, 1.0, 1.0), knock], [knock, (0.5, 2.9, 2.9), knock]):
        assert felt(*steps, (0.1, -1.0, -1.0)).latch == LATCH_WAITS
    assert felt((0.06, 60.0, 60.0)).latch == LATCH_ARMED


def test_a_weak_push_never_arms_it_however_long():
    assert felt((60.0, 2.99, 2.99), (1.0, -1.0, -1.0)).latch == LATCH_WAITS


@pytest.mark.parametrize("over", [0.2, 1.0, 10.0, 60.0])
def test_under_a_steady_push_it_is_armed_after_its_time_and_its_travel_both(over):
    # s = ½ a t² over its level, and 50 ms at the least.
    least = max(0.05, math.sqrt(2.0 * 0.01 / (over * G)))
    force = 3.0 + over
    assert felt((0.999 * least, force, force)).latch == LATCH_WAITS
    assert felt((1.001 * least, force, force)).latch == LATCH_ARMED
    halves = [(0.5005 * least, force, force)] * 2
    assert felt(*halves).latch == LATCH_ARMED


def test_an_evenly_falling_push_moves_it_as_the_integral_has_it():
    # From 3 + b g down to 3 g within T it moves b g T²/3.
    way = 10.0 * G * 0.06**2 / 3.0
    assert felt((0.06, 13.0, 3.0), latch_travel=0.999 * way).latch == LATCH_ARMED
    assert felt((0.06, 13.0, 3.0), latch_travel=1.001 * way).latch == LATCH_WAITS


def test_it_is_freed_by_a_force_below_nothing_and_by_no_weaker_push():
    pushed = (0.1, 20.0, 20.0)
    assert felt(pushed, (1.0, 2.0, 0.0)).latch == LATCH_ARMED
    freed = felt(pushed, (1.0, 3.0, -1.0))
    assert (freed.latch, freed.latch_free) == (LATCH_FREE, pytest.approx(0.1 + 0.75))


def test_what_is_true_already_as_a_phase_begins_counts_from_there():
    # Thrust jumps between two phases: no step crosses the level, or nothing.
    assert felt((0.02, 1.0, 1.0), (0.06, 20.0, 20.0)).latch == LATCH_ARMED
    ended = felt((0.1, 20.0, 20.0), (0.1, -0.5, -0.4))
    assert (ended.latch, ended.latch_free) == (LATCH_FREE, pytest.approx(0.1))


def test_a_rocket_that_feels_no_drag_frees_it_only_as_it_turns_over():
    # Nothing but the air that it displaces is left to feel, and that pulls it back once the nose is down.
    text = ROCKET.format(drag="0") + LATCHED + '[launcher]\ntilt = "8 deg"\n'
    flight = fly(complete(parse_design(text)), series=True)
    freed, series = float(flight.vehicle["latch_free"]), flight.series
    assert freed > flight.summary["gas_out_time_s"] + 0.5
    assert np.interp(freed, series["time_s"], series["tilt_deg"]) == pytest.approx(90.0, abs=0.1)


@pytest.mark.parametrize("asks", ['latch_time = "0.5 s"', 'latch_level = "29"'])
def test_a_latch_that_the_push_does_not_move_never_starts_the_timer_and_is_a_stop(asks):
    design = design_of(LATCHED + asks + "\n")
    flight = fly(design)
    assert math.isnan(flight.summary["trip_time_s"])
    one = next(one for one in findings_of(design, flight) if one.code == "never-lets-go")
    assert one.level == "stop"
    assert "the latch that starts it stays shut: it asks for more than" in one.found
