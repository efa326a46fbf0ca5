"""What a gyroscope, a pressure sensor and a thrust stand see, and what a fit makes of it."""

import math

import numpy as np
import pytest
from conftest_flights import CURLEW, folder_of

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.flight.fly import fire
from bottlewright.learn.fit import fit
from bottlewright.learn.from_a_record import import_file
from bottlewright.learn.instruments import pressure_sensor
from bottlewright.learn.instruments.gyroscope import Gyroscope, rate_of
from bottlewright.learn.instruments.pressure_sensor import PressureSensor, at_release, let_go_of, water_end, zero_of
from bottlewright.learn.instruments.thrust_stand import ThrustStand, impulse_of, water_end_of
from bottlewright.learn.launches import Launch, Reading
from bottlewright.learn.unknowns import GAUGE
from bottlewright.project.importing import look_at, take_into
from bottlewright.project.learning import learn
from bottlewright.project.logbook import Logbook

RATE, WAITS = 500.0, 2.0
AIR = 101325.0


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW / "rocket.toml").design


@pytest.fixture(scope="module")
def firing(curlew):
    """A firing as a logger of 500 rows a second would see it: time, gauge pressure and thrust, and what was so."""
    found = fire(curlew)
    time = np.arange(0.0, WAITS + float(found.series["time_s"][-1]) + 2.0, 1.0 / RATE)
    since = time - WAITS
    pressure = np.interp(since, found.series["time_s"], found.series["pressure_Pa"]) - AIR
    thrust = np.interp(since, found.series["time_s"], found.series["thrust_N"], left=0.0, right=0.0)
    thrust[since < 0.0] = 0.0
    pressure[since > found.series["time_s"][-1]] = 0.0
    return time, pressure, thrust, found


def test_a_gyroscope_shows_scale_times_the_rate_with_its_bias_up_to_the_end_of_its_range():
    """Output scale·ω·cos(off) + bias, clipped (any text on inertial navigation)."""
    one = Gyroscope(bias=0.1, scale=1.02, most=8.0, off_axis=math.radians(60.0))
    assert one.seen(np.array([0.0, 2.0, 100.0])) == pytest.approx([0.1, 1.02 * 2.0 * 0.5 + 0.1, 8.0])


def test_the_turns_of_a_flight_are_counted_without_the_gyroscopes_bias():
    time = np.arange(0.0, 6.0, 0.01)
    true = np.where(time > 2.0, 2.0 * math.pi * 3.0, 0.0)
    shown = Gyroscope(bias=0.3).seen(true) + np.random.default_rng(1).normal(0.0, 0.05, len(time))
    most, off, turns = rate_of(time, shown, 2.0, 4.0)
    assert abs(most - 2.0 * math.pi * 3.0) < 2.5 * off
    assert turns == pytest.approx(6.0, abs=0.05)
    assert rate_of(time[250:], shown[250:], 2.0, 4.0) is None


@pytest.mark.parametrize(("zero", "scale"), [(0.0, 1.0), (AIR, 1.0), (4e3, 1.01)])
def test_the_true_pressure_is_over_that_of_the_open_air_whatever_a_sensor_counts_from(firing, zero, scale):
    time, pressure, _, found = firing
    true = float(found.series["pressure_Pa"][0]) - AIR
    shown = PressureSensor(zero, scale).seen(pressure) + np.random.default_rng(2).normal(0.0, 500.0, len(time))
    assert zero_of(shown)[0] == pytest.approx(zero, abs=1.5e3)
    release, off = let_go_of(time, shown)
    assert abs(release - WAITS) < 4.0 * off
    gauge, u_gauge = at_release(time, shown, release)
    assert abs(gauge - true) < 2.0 * u_gauge
    assert u_gauge < 0.02 * true
    assert at_release(time[:900], shown[:900], release) is None


def as_text(time, **columns):
    rows = np.column_stack([time, *columns.values()])
    head = ",".join(["time s", *(name.replace("_", " ") for name in columns)])
    return "\n".join([head, *(",".join(f"{value:.6g}" for value in row) for row in rows)]).encode()


def test_a_gyroscope_at_the_end_of_its_range_says_that_it_turned_faster():
    time = np.arange(0.0, 8.0, 0.01)
    turned = np.where((time > 2.0) & (time < 4.0), 20.0 * np.sin((time - 2.0) * math.pi / 2.0), 0.0)
    height = np.maximum(20.0 * (time - 2.0) - 0.5 * 9.8 * (time - 2.0) ** 2, 0.0) * (time > 2.0)
    noise = np.random.default_rng(3).normal(0.0, 0.05, len(time))
    for most, stands in ((8.0, True), (np.inf, False)):
        spin = Gyroscope(most=most).seen(turned + noise)
        file = as_text(time, height_m=height, spin_rad_s=spin)
        shown = import_file(file, {"height": "2 m", "spin": "3 rad/s"}).shown
        assert any("turned faster than it says" in one for one in shown) is stands, shown


def test_a_pressure_sensor_at_the_end_of_its_range_is_told_from_one_that_shows_coarse_steps():
    pumped = np.minimum(np.linspace(0.0, 6e5, 3000), 5.5e5) + np.random.default_rng(4).normal(0.0, 400.0, 3000)
    assert pressure_sensor.at_its_stop(np.minimum(pumped, 5e5))
    assert not pressure_sensor.at_its_stop(pumped)
    assert not pressure_sensor.at_its_stop(np.round(pumped / 2e4) * 2e4)


def test_the_bottles_pressure_falls_faster_once_the_water_is_out(firing):
    time, pressure, _, found = firing
    shown = pressure + np.random.default_rng(3).normal(0.0, 300.0, len(time))
    at, off = water_end(time, shown, WAITS)
    assert abs(at - WAITS - found.summary["water_out_time_s"]) < 3.0 * off
    slow = AIR * np.expm1(np.interp(time, [WAITS, WAITS + 1.0], [1.5, 0.0]))
    assert water_end(time, slow, WAITS) is None


@pytest.mark.parametrize(("frequency", "lost"), [(math.inf, 0.0), (60.0, 0.0), (40.0, -4.9)])
def test_impulse_and_end_of_the_water_of_a_firing_are_found_through_the_ringing_of_its_stand(firing, frequency, lost):
    """The area under a linear oscillator's answer is that of the push; half a kilogram of water leaves the cell."""
    time, _, thrust, found = firing
    fine = np.arange(time[0], time[-1], 1e-4)
    shown = ThrustStand(zero=7.0, frequency=frequency).seen(fine, np.interp(fine, time, thrust))
    leaves = np.concatenate([[0.0], np.cumsum(0.5 * (thrust[1:] + thrust[:-1]) * np.diff(time))])
    shown = np.interp(time, fine, shown) + lost * leaves / leaves[-1]
    impulse, off = impulse_of(time, shown + np.random.default_rng(4).normal(0.0, 0.3, len(time)))
    assert abs(impulse - found.summary["impulse_total_N_s"]) < 2.5 * off
    assert off < 0.04 * impulse
    end = water_end_of(time, shown)
    rings = frequency < 50.0  # a swing of 25 ms and more, that lives on until the water is out
    assert (end is None) == rings
    assert rings or abs(end[0] - WAITS - found.summary["water_out_time_s"]) < 2.0 * end[1]


def test_a_record_of_pressures_and_spin_is_read_by_its_header(firing):
    time, pressure, _, found = firing
    rows = "\n".join(f"{1e3 * t:.0f},{14.7 + p / 6894.757:.3f},{5.0 + 720.0 * (t > WAITS):.1f}"
                     for t, p in zip(time, pressure, strict=True))  # fmt: skip
    read = import_file(f"ms,launcher pressure [psi],roll rate [dps]\n{rows}\n".encode())
    assert {(what, one.unit) for what, one in read.columns.items()} == {("time", "ms"), ("launcher", "psi"),
                                                                          ("spin", "deg/s")}  # fmt: skip
    (held,) = read.readings
    assert (held.what, abs(held.value - float(found.series["pressure_Pa"][0]) + AIR) < 2.0 * held.spread) == (
        "true pressure", True)  # fmt: skip
    assert any("720" in one and "No fit uses it" in one for one in read.shown)


def test_a_record_that_ends_under_pressure_says_that_its_zero_is_not_known():
    time = np.arange(0.0, 5.0, 0.01)
    pressure = np.where(time < 3.0, 4.0, 3.0 - 0.2 * np.sin(9.0 * time))
    rows = "\n".join(f"{t:.2f},{p:.3f}" for t, p in zip(time, pressure, strict=True))
    read = import_file(f"s,bottle bar\n{rows}\n".encode())
    assert read.readings == ()
    assert any("open air is not known" in one for one in read.doubts)


def test_a_true_pressure_tells_of_the_gauge_what_the_closed_form_says(curlew):
    """Reading r = s(0.9 g + 0.44 l) + noise: var(g) = 1 − 0.81/(1 + (σ/s)²), s the gauge's ± (normal, linear)."""
    found = fit([Launch("1", curlew, [Reading("true pressure", 4.65e5, 1e3)])])
    names = [one.path for one in found.asked if one.launch is None]
    assert names == [GAUGE]
    ratio = 1e3 / curlew.charge.pressure.spread
    assert found.posterior.spread[0] == pytest.approx(math.sqrt(1.0 - 0.81 / (1.0 + ratio**2)), rel=0.12)


def test_a_firing_on_the_stand_tells_of_the_nozzle_and_not_of_the_drag(curlew, firing):
    summary = firing[-1].summary
    readings = [Reading("impulse", summary["impulse_total_N_s"], 0.05),
                Reading("water out", summary["water_out_time_s"], 0.001)]  # fmt: skip
    found = fit([Launch("stand", curlew, readings, held=True)])
    names = [one.path for one in found.asked if one.launch is None]
    assert "model.drag_factor" not in names
    assert found.posterior.spread[names.index("nozzle.velocity_coefficient")] < 0.97


def test_a_firing_is_not_taken_into_a_launch(tmp_path, firing):
    time, _, thrust, _ = firing
    content = "\n".join(["s,thrust N", *(f"{t:.3f},{f:.2f}" for t, f in zip(time, thrust, strict=True))]).encode()
    looked = look_at(tmp_path, "stand.csv", content)
    assert {one.what for one in looked.read.readings} >= {"impulse", "water out"}
    with pytest.raises(InputError, match="no launch takes it in"):
        take_into(tmp_path, "2026-11-01-01", looked, "2026-11-01T10:00:00")


def test_a_firing_counts_in_what_is_learned_and_is_called_so(tmp_path, firing):
    time, _, thrust, _ = firing
    stand = tmp_path / "stand.csv"
    stand.write_text("\n".join(["s,thrust N", *(f"{t:.3f},{f:.2f}" for t, f in zip(time, thrust, strict=True))]))
    project = bw.read(folder_of(tmp_path))
    found = learn(project, firings=[stand])
    assert found.learned.rests_on == "learned from 1 firing"
    assert {one.what for one in found.meant.compared} == {"impulse", "water out"}
    empty = tmp_path / "no.csv"
    empty.write_text("\n".join(["s,height m", *(f"{0.1 * n:.1f},{max(0, 20 - abs(n - 40))}" for n in range(90))]))
    with pytest.raises(InputError, match="says nothing of a firing"):
        learn(project, firings=[empty])


@pytest.mark.parametrize(("gauge", "allowed", "says"), [("4.5 bar", "4.2 bar", "was allowed on the gauge"),
                                                        ("4.0 bar", "6 bar", "was read on the gauge"),
                                                        ("4.45 bar ± 0.1 bar", "6 bar", "")])  # fmt: skip
def test_a_bottle_that_held_more_than_was_allowed_or_than_the_gauge_said_is_told_first(
    tmp_path, firing, gauge, allowed, says
):
    time, pressure, _, _ = firing
    content = "\n".join(["s,launcher bar", *(f"{t:.3f},{p / 1e5:.4f}" for t, p in zip(time, pressure, strict=True))])
    book = Logbook(tmp_path)
    project = bw.read(CURLEW / "rocket.toml")
    book.enter_flight(project, {"at": "2026-11-01T10:00:00", "loaded": {"pressure": gauge},
                                "prediction": {"made": "2026-11-01T09:00:00", "allowed": allowed}}, {})  # fmt: skip
    doubts = look_at(tmp_path, "p.csv", content.encode(), launch="2026-11-01-01").read.doubts
    assert says in " ".join(doubts[:1])
    assert bool(says) == any("the bottle held 4." in one for one in doubts)
