"""How flights end, and that nothing but the design decides what is flown."""

import math
from pathlib import Path

import numpy as np
import pytest

from bottlewright.design.completion import complete
from bottlewright.design.reading import read_design
from bottlewright.flight.batch import fly_plans, sample_plans
from bottlewright.flight.fly import fire, fly, fly_plan
from bottlewright.flight.plan import plan_of

EXAMPLES = Path(__file__).parents[2] / "examples"


def design(name, *overrides):
    return complete(read_design(EXAMPLES / name / "rocket.toml", overrides))


def test_a_flight_that_never_ends_is_cut_off_and_says_so():
    flight = fly(design("curlew", 'model.time_limit="4 s"'))
    assert not flight.complete
    assert flight.ending.startswith("cut off")
    assert "model.time_limit" in flight.ending
    assert flight.summary["flight_time_s"] == 4.0
    assert math.isnan(flight.summary["landing_speed_m_s"])
    assert flight.summary["apogee_m"] > 10.0


@pytest.mark.parametrize(
    "sets",
    [
        ['charge.pressure="0 bar"'],
        ['charge.pressure="0 bar"', 'charge.water="0 mL"'],
        ['charge.pressure="0.05 bar"'],
        ['charge.pressure="0.05 bar"', 'launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"'],
    ],
)
def test_a_rocket_that_never_leaves_the_launcher_says_so(sets):
    flight = fly(design("dabchick", *sets))
    assert not flight.complete
    assert flight.ending.startswith("never left the launcher")
    assert flight.summary["max_speed_m_s"] == 0.0
    assert math.isnan(flight.summary["guide_exit_time_s"])


def test_water_that_the_air_cannot_push_out_stays_in_the_vessel():
    flight = fly(design("dabchick", 'charge.water="1500 mL"', 'charge.pressure="2.5 bar"'), series=True)
    left = flight.summary["water_left_kg"]
    assert 0.1 < left < 1.5
    assert flight.summary["water_out_pressure_Pa"] == pytest.approx(101325.0, rel=0.05)
    assert flight.series["water_kg"][-1] == left
    assert flight.summary["landing_mass_kg"] > left


def test_a_canopy_that_opens_brings_the_rocket_down_slower():
    opened = fly(design("curlew")).summary
    packed = fly(design("curlew", 'recovery.release="never"')).summary
    assert math.isnan(packed["release_time_s"])
    assert packed["apogee_m"] == opened["apogee_m"]
    assert packed["landing_speed_m_s"] > 3.0 * opened["landing_speed_m_s"]
    assert packed["flight_time_s"] < opened["flight_time_s"]


def test_a_canopy_let_go_too_early_costs_height_and_pulls_hard():
    good = fly(design("curlew")).summary
    early = fly(design("curlew", 'recovery.release="delay"', 'recovery.delay="0.8 s"')).summary
    assert early["release_time_s"] == pytest.approx(0.8, abs=1e-9)
    assert early["apogee_m"] < 0.8 * good["apogee_m"]
    assert early["opening_load_N"] > 3.0 * good["opening_load_N"]


def test_a_delay_within_the_burn_waits_until_the_air_is_out():
    early = fly(design("curlew", 'recovery.release="delay"', 'recovery.delay="0.05 s"')).summary
    assert early["release_time_s"] == pytest.approx(early["gas_out_time_s"], abs=1e-8)


def test_a_streamer_comes_down_between_a_parachute_and_nothing():
    streamer = ['recovery.kind="streamer"', 'recovery.length="2 m"', 'recovery.width="150 mm"']
    plain = {
        kind: fly(design("dabchick", *sets)).summary["landing_speed_m_s"]
        for kind, sets in (
            ("none", []),
            ("streamer", streamer),
            ("parachute", ['recovery.kind="parachute"', 'recovery.diameter="500 mm"']),
        )
    }
    assert plain["parachute"] < plain["streamer"] < plain["none"]


def test_canted_fins_spin_the_rocket_clockwise_seen_from_behind():
    straight = fly(design("curlew"), series=True).series
    canted = fly(design("curlew", 'fins.cant="2 deg"'), series=True).series
    rising = straight["time_s"] < 2.0
    # Three fins in a side wind are not quite the same on both sides: a hundredth of a radian a second, no more.
    assert np.nanmax(np.abs(straight["roll_rate_rad_s"][rising])) < 0.01
    assert np.nanmax(canted["roll_rate_rad_s"]) > 5.0


@pytest.mark.parametrize("name", ["curlew", "dabchick"])
def test_a_symmetric_rocket_in_still_air_goes_straight_up(name):
    still = design(name, 'weather.wind_speed="0 m/s"', 'launcher.tilt="0 deg"', "weather.turbulence=false")
    flight = fly(still, series=True)
    series, top = flight.series, flight.summary["apogee_time_s"]
    rising = series["time_s"] < 0.99 * top
    assert np.nanmax(series["tilt_deg"][rising]) < 1e-5
    assert abs(flight.summary["apogee_east_m"]) < 1e-6
    assert abs(flight.summary["apogee_north_m"]) < 1e-6


def test_turning_launcher_and_wind_together_turns_the_flight():
    north = fly(design("curlew", 'launcher.heading="0 deg"', 'weather.wind_from="180 deg"')).summary
    turned = fly(design("curlew", 'launcher.heading="75 deg"', 'weather.wind_from="255 deg"')).summary
    angle = math.radians(75.0)
    # Which way the three fins stand turns as well, and moves the landing by millimetres.
    assert turned["landing_east_m"] == pytest.approx(math.sin(angle) * north["landing_north_m"], abs=0.01)
    assert turned["landing_north_m"] == pytest.approx(math.cos(angle) * north["landing_north_m"], abs=0.01)
    assert turned["apogee_m"] == pytest.approx(north["apogee_m"], abs=1e-3)


def test_the_launch_tube_lets_go_before_the_guide_and_adds_speed():
    tube = ['launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"']
    plain = fly(design("dabchick")).summary
    for guide in ("0 m", "0.2 m", "1 m"):
        flown = fly(design("dabchick", *tube, f'launcher.guide_length="{guide}"')).summary
        assert 0.0 < flown["tube_exit_time_s"] < flown["guide_exit_time_s"]
        assert flown["impulse_water_N_s"] > plain["impulse_water_N_s"]


def test_the_stand_holds_the_rocket_without_its_launch_tube():
    tube = design("dabchick", 'launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"')
    assert fire(tube).summary == pytest.approx(fire(design("dabchick")).summary, nan_ok=True)


@pytest.mark.parametrize("name", ["curlew", "dabchick"])
def test_watching_a_flight_does_not_change_it(name):
    plan = plan_of(design(name))[0]
    assert_same(fly_plan(plan, series=True).summary, fly_plan(plan).summary)


def assert_same(ours, other):
    """Bit for bit, NaN equal to NaN."""
    assert set(ours) == set(other)
    for key, value in ours.items():
        assert np.float64(value).tobytes() == np.float64(other[key]).tobytes() or (
            math.isnan(value) and math.isnan(other[key])
        ), key


def test_a_batch_is_its_single_flights_whatever_the_threads_and_the_order():
    plans = sample_plans(design("curlew", "weather.turbulence=true"), 0, 150, seed=7)
    one = fly_plans(plans, threads=1)
    assert one.tobytes() == fly_plans(plans, threads=2).tobytes()
    assert one.tobytes() == fly_plans(plans, threads=5).tobytes()
    order = np.random.default_rng(1).permutation(len(plans))
    assert one[order].tobytes() == fly_plans(plans[order], threads=2).tobytes()
    for i in (0, 63, 64, 149):
        single = fly_plan(plans[i]).summary
        assert_same({name: float(one[i][name]) for name in single}, single)
    assert len(np.unique(one["landing_east_m"])) == len(plans)


def test_a_rocket_that_hops_and_settles_goes_when_it_is_light_enough():
    # The first push of the water column lifts it; then the jet alone is too weak until much of the water is gone.
    hop = design(
        "dabchick", 'charge.water="1200 mL"', 'charge.pressure="1 bar"', 'nozzle.bore="12 mm"',
        'launcher.guide_length="20 mm"',
    )  # fmt: skip
    flight = fly(hop, series=True)
    moving = flight.series["speed_m_s"] > 1e-3
    assert flight.ending == "landed"
    assert flight.summary["apogee_m"] > 0.02
    assert flight.summary["guide_exit_time_s"] > 0.03
    started = np.nonzero(np.diff(moving.astype(int)) == 1)[0]
    assert len(started) >= 2


def test_a_rocket_that_lands_with_its_water_weighs_it():
    slow = design("dabchick", 'nozzle.bore="6 mm"', 'launcher.tilt="60 deg"', 'charge.water="1000 mL"')
    flight = fly(slow)
    assert flight.ending == "landed"
    assert math.isnan(flight.summary["water_out_time_s"])
    left = flight.summary["water_left_kg"]
    assert 0.1 < left < 0.5
    assert flight.summary["landing_mass_kg"] > float(flight.craft["dry_mass"]) + left
