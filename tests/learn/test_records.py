"""What a logger's record says of a flight: heights and times with an honest ±, and no spike taken for a height."""

import math

import numpy as np
import pytest

from bottlewright.errors import FieldsError, InputError
from bottlewright.learn.from_a_record import import_file
from bottlewright.learn.instruments.accelerometer import Accelerometer, at_its_stop
from bottlewright.learn.instruments.barometer import Barometer
from bottlewright.learn.instruments.film import interval
from bottlewright.logbook.timing import coast, film_interval

UP = 2.0
"""s on the record's clock at which the rocket leaves."""
SPEED, TERMINAL, SINKS = 30.0, 28.0, 6.0
BURN = 0.15


def flight(rate, sinks=SINKS, after=3.0):
    """Return time, height, speed and the pull along the axis of a rocket: push, coast, a canopy at the top."""
    top, up, _, _ = coast(SPEED, TERMINAL)
    low = 0.5 * SPEED * BURN
    ends = UP + BURN + up + (top + low) / sinks
    time = np.arange(0.0, ends + after, 1.0 / rate)
    g, angle = 9.80665, math.atan(SPEED / TERMINAL)
    since = time - UP - BURN
    rest = angle - g * np.clip(since, 0.0, up) / TERMINAL
    height = low + TERMINAL**2 / g * np.log(np.cos(rest) / math.cos(angle))
    push = np.clip(time - UP, 0.0, BURN)
    height = np.where(since < 0.0, 0.5 * SPEED / BURN * push**2, height)
    height = np.where(since > up, np.maximum(top + low - sinks * (since - up), 0.0), height)
    pull = np.where((time >= UP) & (since < 0.0),
                    (SPEED / BURN) * (1.2 - 0.4 * push / BURN) + g, np.where((time < UP) | (height <= 0.0), g, 0.0))
    return time, height, np.gradient(height, time), pull, (top + low, BURN + up, ends - UP)


def file_of(time, *columns, names="time_s,height_m,accel_m_s2"):
    rows = "\n".join(",".join(f"{value:.3f}" for value in row) for row in zip(time, *columns, strict=True))
    return f"{names}\n{rows}\n".encode()


def said(found):
    return {one.what: one for one in found.readings}


@pytest.mark.parametrize("rate", [10, 25, 100])
@pytest.mark.parametrize("seed", [1, 2])
def test_heights_and_times_lie_within_their_spread(rate, seed):
    time, height, speed, pull, (top, up, down) = flight(rate)
    draw = np.random.default_rng(seed)
    seen = Barometer(port=0.1, lag=0.03).seen(time, height, speed, drift=-0.1) + draw.normal(0.0, 0.3, len(time))
    pull = pull + draw.normal(0.0, 0.5, len(time))
    found = said(import_file(file_of(time, seen, pull)))
    for what, truth in (("height", top), ("time up", up), ("time", down), ("sinking", SINKS)):
        assert abs(found[what].value - truth) < 2.5 * found[what].spread, what
    assert found["height"].spread < 0.1 * top
    assert found["time"].spread < 0.1 * down


def test_the_greatest_reading_is_a_spike_and_not_the_height():
    """Spikes as in open logger data, CC BY-SA 4.0, commit f850265: −16.75, 47.93 and 60.65 m at the launch, 10 Hz.

    The height there is 20.7 m by a running median of nine; the rocket here goes up to 20.6 m.
    """
    time = np.arange(0.1, 10.05, 0.1)
    height = np.interp(time, [1.2, 1.7, 2.2, 2.8, 3.4, 6.0], [0.0, 17.6, 20.0, 20.6, 19.9, 0.0])
    height += 0.49 - np.interp(time, [1.2, 6.0], [0.0, 1.4]) + np.random.default_rng(4).normal(0.0, 0.35, len(time))
    pull = np.where((time > 1.25) & (time < 1.65), 190.0, 15.0)
    for n, spike in enumerate((-16.75, 47.93, 60.65)):
        height[12 + n] = spike
    found = import_file(file_of(time, height, pull))
    assert said(found)["height"].value == pytest.approx(20.6, abs=0.7)
    assert 0.3 < said(found)["height"].spread < 1.5
    assert any("spike" in doubt for doubt in found.doubts)
    assert "water out" not in said(found)
    assert "too few" in found.course.lacks["water out"]


def test_a_flight_that_may_hide_in_swinging_rows_has_a_height_as_unsure_as_they_swing():
    """As an open logger record has it (MIT, commit ccee37c): swings of 8 m, twice a second, for a minute and a half.

    What rises there takes ten seconds for three metres, and no flight does; the one of some 6 m that was stated lasted
    less than the 6 s over which such rows have to be averaged.
    """
    time = np.arange(0.0, 95.0, 0.113)
    rise = np.interp(time, [30.0, 42.0, 62.0, 70.0], [0.0, 3.0, 3.0, 0.0])
    swings = 4.0 * np.sign(np.sin(2.0 * math.pi * 1.9 * time))
    height = swings + rise + np.random.default_rng(2).normal(0.0, 0.3, len(time))
    found = import_file(file_of(time, height, names="time_s,height_m"))
    read = said(found)["height"]
    assert read.spread > 4.0
    assert abs(read.value - 6.0) < 2.0 * read.spread
    assert {one.what for one in found.readings} == {"height"}
    assert any("may hide in rows" in doubt for doubt in found.doubts)


def test_pressure_in_hectopascals_and_heights_above_the_sea_say_the_same():
    time, height, _, pull, (top, *_) = flight(25)
    pressure = 950.0 * np.exp(-9.80665 * height / (287.05287 * 288.15))
    by_pressure = import_file(file_of(time, pressure, pull, names="time_s,pressure_hPa,accel"))
    by_sea = import_file(file_of(time, height + 512.0, pull))
    assert said(by_pressure)["height"].value == pytest.approx(said(by_sea)["height"].value, abs=0.2)
    assert said(by_sea)["height"].value == pytest.approx(top, rel=0.03)
    assert any("512 m" in doubt for doubt in by_sea.doubts)


def test_a_wrong_unit_of_time_is_noticed_and_no_time_is_used():
    time, height, _, pull, _ = flight(25)
    for factor in (0.2, 10.0):
        found = import_file(file_of(time * factor, height, pull))
        assert any("unit of the time" in doubt for doubt in found.doubts), factor
        assert not {"time up", "time", "sinking"} & set(said(found))


def test_a_clock_that_starts_anywhere_stands_in_steps_or_jumps_is_put_right():
    time, height, _, pull, (_, up, _) = flight(25)
    coarse = np.floor(time * 10.0) / 10.0 + 4711.0
    coarse[30] = 3.0
    zeros = np.zeros(20)
    content = file_of(np.concatenate([zeros, coarse]), np.concatenate([zeros, height]), np.concatenate([zeros, pull]))
    found = import_file(content)
    assert said(found)["time up"].value == pytest.approx(up, abs=0.2)
    for words in ("rows of zeros", "far from the neighbours", "coarser"):
        assert any(words in doubt for doubt in found.doubts), words


def test_an_event_that_is_moved_by_hand_moves_what_follows():
    time, height, _, pull, _ = flight(50)
    content = file_of(time, height, pull)
    moved = import_file(content, {"release": "1.8 s ± 0.05 s", "apogee": "4.6 s ± 0.1 s", "canopy": "4.9 s"})
    assert said(moved)["time up"].value == pytest.approx(2.8)
    assert said(moved)["time up"].spread >= math.hypot(0.05, 0.1)
    assert said(moved)["canopy"].value == pytest.approx(3.1)
    assert "time" not in said(import_file(content, {"touchdown": "none"}))
    with pytest.raises(FieldsError, match="from 0 to"):
        import_file(content, {"apogee": "90 s"})


def test_the_end_of_the_push_and_the_greatest_speed_are_an_accelerometers():
    time, height, _, pull, _ = flight(200)
    found = said(import_file(file_of(time, height, pull)))
    assert found["water out"].value == pytest.approx(BURN, abs=2.5 * found["water out"].spread)
    assert found["speed"].value == pytest.approx(SPEED, abs=2.0 * found["speed"].spread)
    stopped = import_file(file_of(time, height, np.minimum(pull, 156.9)))
    assert {"water out", "speed"} & set(said(stopped)) == set()
    assert any("end of its range" in doubt for doubt in stopped.doubts)


def test_a_file_without_a_flight_or_without_a_clock_is_refused_with_what_to_say():
    still = np.random.default_rng(1).normal(0.0, 0.3, 200)
    with pytest.raises(InputError, match="no launch can be seen"):
        import_file(file_of(np.arange(200) * 0.1, still, names="time_s,height_m"))
    with pytest.raises(InputError, match="rate="):
        import_file("\n".join(["height_m", *(f"{one:.2f}" for one in still)]).encode())


# --- what instruments see ---------------------------------------------------------------------------------------------


def test_an_accelerometer_feels_no_gravity():
    """Specific force (any text on inertial navigation): 1 g standing, nothing in free fall, the end of its range."""
    one = Accelerometer(bias=0.5, scale=1.02, most=157.0)
    assert one.seen(np.array([0.0, -9.80665, 400.0])) == pytest.approx([1.02 * 9.80665 + 0.5, 0.5, 157.0])
    assert at_its_stop(np.array([10.0, 157.0, 157.0, 157.0, 12.0, 10.0]))
    assert not at_its_stop(np.array([10.0, 150.0, 157.0, 151.0, 12.0, 10.0]))


def test_a_port_that_feels_the_flow_reads_low_by_k_v_squared_over_2g():
    """Closed form of k·½ρv² and dp = −ρ g dz: 30 m/s and k = 0.2 are 9.18 m."""
    time = np.linspace(0.0, 1.0, 50)
    seen = Barometer(port=0.2).seen(time, np.full(50, 40.0), np.full(50, 30.0))
    assert seen == pytest.approx(np.full(50, 40.0 - 9.177), abs=1e-3)


def test_a_lag_shows_a_steady_climb_late_by_its_time_constant():
    """Closed form of one time constant: a ramp is behind by v·τ."""
    time = np.linspace(0.0, 5.0, 5001)
    seen = Barometer(lag=0.2).seen(time, 10.0 * time, np.zeros(5001))
    assert 10.0 * time[-1] - seen[-1] == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize(("rate", "milliseconds"), [(30.0, 13.6), (60.0, 6.8), (120.0, 3.4), (240.0, 1.7)])
def test_a_film_is_off_by_its_frames_and_by_its_clock(rate, milliseconds):
    """Closed form: 1/(f√6) of two rectangular distributions, and half a percent of the interval."""
    took, off = interval(100, 100 + 3 * rate, rate)
    assert took == pytest.approx(3.0)
    assert 1e3 * film_interval(rate) == pytest.approx(milliseconds, abs=0.05)
    assert off == pytest.approx(math.hypot(1e-3 * milliseconds, 0.015), rel=5e-3)
