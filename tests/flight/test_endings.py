"""How flights end, and that nothing but the design decides what is flown."""

import math
from pathlib import Path

import numpy as np
import pytest

from bottlewright.design.completion import complete
from bottlewright.design.errors import DesignError
from bottlewright.design.reading import parse_design, read_design
from bottlewright.findings import Level
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.fly import fire, fly, fly_parameters
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.results import events, findings_of, flight_document, ledger

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
    ],
)
def test_a_rocket_that_never_leaves_the_launcher_says_so(sets):
    flight = fly(design("dabchick", 'launcher.stroke="0 mm"', *sets))
    assert not flight.complete
    assert flight.ending.startswith("never left the launcher")
    assert flight.summary["max_speed_m_s"] == 0.0
    assert math.isnan(flight.summary["guide_exit_time_s"])


@pytest.mark.parametrize(
    "sets",
    [
        ['charge.pressure="0 bar"'],
        ['charge.pressure="0.05 bar"'],
        ['charge.pressure="0.2 bar"', 'charge.water="1 L"'],
        ['charge.pressure="0.05 bar"', 'launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"'],
        ['charge.pressure="0.5 bar"', 'launcher.seal_diameter="13 mm"'],
    ],
)
def test_a_rocket_that_its_seal_does_not_lift_is_a_stop_and_not_a_flight(sets):
    stuck = design("dabchick", *sets)
    flight = fly(stuck, series=True)
    assert flight.ending.startswith("does not leave its seal")
    assert not flight.complete
    assert flight.summary["apogee_m"] == flight.summary["flight_time_s"] == flight.summary["max_speed_m_s"] == 0.0
    assert len(flight.series["time_s"]) == 1
    found = findings_of(stuck, flight)
    assert [finding.code for finding in found if finding.level is Level.STOP] == ["stuck-on-seal"]


def test_water_that_the_air_cannot_push_out_stays_in_the_vessel():
    flight = fly(design("dabchick", 'charge.water="1500 mL"', 'charge.pressure="2.5 bar"'), series=True)
    left = flight.summary["water_left_kg"]
    assert 0.1 < left < 1.5
    assert flight.summary["water_out_pressure_Pa"] == pytest.approx(101325.0, rel=0.05)
    assert flight.series["water_kg"][-1] == left
    assert flight.summary["landing_mass_kg"] > left


def test_a_canopy_that_opens_brings_the_rocket_down_slower():
    opened = fly(design("curlew", 'recovery.release="apogee"')).summary
    packed = fly(design("curlew", 'recovery.release="never"')).summary
    assert math.isnan(packed["canopy_out_time_s"])
    assert packed["apogee_m"] == opened["apogee_m"]
    assert packed["landing_speed_m_s"] > 3.0 * opened["landing_speed_m_s"]
    assert packed["flight_time_s"] < opened["flight_time_s"]


def test_a_canopy_let_go_too_early_costs_height_and_pulls_hard():
    good = fly(design("curlew")).summary
    early = fly(design("curlew", 'recovery.release="delay"', 'recovery.delay="0.8 s"')).summary
    assert early["canopy_out_time_s"] == pytest.approx(0.8, abs=1e-9)
    assert early["apogee_m"] < 0.8 * good["apogee_m"]
    assert early["opening_load_N"] > 3.0 * good["opening_load_N"]


def test_a_delay_within_the_burn_waits_until_the_air_is_out():
    early = fly(design("curlew", 'recovery.release="delay"', 'recovery.delay="0.05 s"')).summary
    assert early["canopy_out_time_s"] == pytest.approx(early["gas_out_time_s"], abs=1e-8)


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
    north = fly(design("curlew", 'launcher.leans_towards="0 deg"', 'weather.wind_from="180 deg"')).summary
    turned = fly(design("curlew", 'launcher.leans_towards="75 deg"', 'weather.wind_from="255 deg"')).summary
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
        assert 0.0 < flown["slide_end_time_s"] < flown["guide_exit_time_s"]
        assert flown["impulse_slide_N_s"] > 1.0
        # On the tube the gas has spent some of its pressure before the water's turn comes.
        assert flown["impulse_water_N_s"] < plain["impulse_water_N_s"]
        assert flown["impulse_total_N_s"] > plain["impulse_total_N_s"]


def test_the_stand_holds_the_rocket_without_its_launch_tube():
    tube = design("dabchick", 'launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"')
    assert fire(tube).summary == pytest.approx(fire(design("dabchick")).summary, nan_ok=True)


@pytest.mark.parametrize("name", ["curlew", "dabchick"])
def test_watching_a_flight_does_not_change_it(name):
    parameters = parameters_of(design(name))[0]
    assert_same(fly_parameters(parameters, series=True).summary, fly_parameters(parameters).summary)


def assert_same(ours, other):
    """Bit for bit, NaN equal to NaN."""
    assert set(ours) == set(other)
    for key, value in ours.items():
        assert np.float64(value).tobytes() == np.float64(other[key]).tobytes() or (
            math.isnan(value) and math.isnan(other[key])
        ), key


def test_a_batch_is_its_single_flights_whatever_the_threads_and_the_order():
    batch = sample_batch(design("curlew", "weather.turbulence=true"), 0, 150, seed=7)
    one = fly_batch(batch, threads=1)
    assert one.tobytes() == fly_batch(batch, threads=2).tobytes()
    assert one.tobytes() == fly_batch(batch, threads=5).tobytes()
    order = np.random.default_rng(1).permutation(len(batch))
    assert one[order].tobytes() == fly_batch(batch[order], threads=2).tobytes()
    for i in (0, 63, 64, 149):
        single = fly_parameters(batch[i]).summary
        assert_same({name: float(one[i][name]) for name in single}, single)
    assert len(np.unique(one["landing_east_m"])) == len(batch)


def test_a_rocket_that_hops_and_settles_goes_when_it_is_light_enough():
    # The first push of the water column lifts it; then the jet alone is too weak until much of the water is gone.
    hop = design(
        "dabchick", 'charge.water="1200 mL"', 'charge.pressure="1 bar"', 'nozzle.bore="12 mm"',
        'launcher.guide_length="20 mm"', 'launcher.stroke="0 mm"',
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
    assert flight.summary["landing_mass_kg"] > float(flight.vehicle["dry_mass"]) + left
    masses = ledger(flight)
    assert masses["water_left_kg"] == left
    assert masses["gas_left_kg"] == float(flight.vehicle["gas_mass"])
    assert masses["lift_off_kg"] - masses["water_out_kg"] == pytest.approx(masses["landing_kg"], rel=1e-12)


def test_a_flight_cut_off_in_its_burn_says_what_it_still_holds():
    flight = fly(design("curlew", 'model.time_limit="0.1 s"'), series=True)
    assert flight.summary["water_left_kg"] == flight.series["water_kg"][-1] > 0.1
    assert flight.summary["impulse_total_N_s"] == flight.series["impulse_N_s"][-1]
    assert ledger(flight)["gas_left_kg"] == flight.series["gas_kg"][-1]
    assert "landing" not in [name for _, name in events(flight.summary)]


def test_a_firing_cut_off_on_the_stand_is_not_in_the_air():
    fired = fire(design("dabchick", 'nozzle.bore="6 mm"', 'model.time_limit="0.1 s"'))
    assert not fired.complete
    assert "air" not in fired.ending
    assert fired.summary["impulse_total_N_s"] > 0.0


def test_a_bottle_that_strikes_the_ground_still_under_pressure_says_stop():
    flat = design("dabchick", 'nozzle.bore="6 mm"', 'launcher.tilt="85 deg"', 'charge.water="1000 mL"')
    flight = fly(flat, series=True)
    left = flight.summary["landing_pressure_gauge_Pa"]
    assert left == pytest.approx(flight.series["pressure_Pa"][-1] - flight.vehicle["ambient"])
    assert left > 1e5
    codes = {finding.code: finding.level.value for finding in findings_of(flat, flight)}
    assert codes["lands-under-pressure"] == "stop"
    assert fly(design("dabchick")).summary["landing_pressure_gauge_Pa"] == 0.0


@pytest.mark.parametrize("before", [0.2, 0.15, 0.1, 0.08])
def test_a_canopy_that_comes_out_just_above_the_ground_says_stop(before):
    strikes = fly(design("curlew", 'recovery.release="never"')).summary["flight_time_s"]
    late = design("curlew", 'recovery.release="delay"', f'recovery.delay="{strikes - before} s"')
    flight = fly(late)
    assert math.isfinite(flight.summary["canopy_out_time_s"])
    assert flight.summary["landing_speed_down_m_s"] > 1.25 * flight.summary["sinking_speed_m_s"]
    assert "opens-too-late" in {finding.code for finding in findings_of(late, flight)}


@pytest.mark.parametrize("sets", [[], ['recovery.release="delay"', 'recovery.delay="6 s"']])
def test_a_canopy_with_time_to_open_comes_down_at_its_sinking_speed(sets):
    ample = design("curlew", *sets)
    flight = fly(ample)
    assert flight.summary["landing_speed_down_m_s"] == pytest.approx(flight.summary["sinking_speed_m_s"], rel=0.05)
    assert "opens-too-late" not in {finding.code for finding in findings_of(ample, flight)}


def test_a_canopy_fills_over_a_length_of_air_not_of_ground():
    """Knacke: n diameters of the air past it. Thrown into the wind at the top, most of that air is the wind's."""
    windy = ['launcher.tilt="20 deg"', 'launcher.leans_towards="0 deg"', 'weather.wind_speed="8 m/s"',
             'weather.wind_from="0 deg"', "weather.turbulence=false"]  # fmt: skip
    flight = fly(design("curlew", *windy), series=True)
    vehicle, released = flight.vehicle, flight.summary["canopy_out_time_s"]
    past = float(np.interp(released, flight.series["time_s"], flight.series["air_speed_m_s"]))
    assert past > 2.0 * flight.summary["release_speed_m_s"]
    assert vehicle["filling_time"] == pytest.approx(vehicle["filling"] * vehicle["canopy_diameter"] / past, rel=1e-3)


def test_the_greatest_figures_do_not_hang_on_where_the_steps_end():
    hard = ['recovery.release="delay"', 'recovery.delay="6 s"', 'recovery.filling="0.5"', 'model.jet="quasi-steady"']
    fine, coarse = (
        fly(design("curlew", *hard, f'model.tolerance="{tolerance}"')).summary for tolerance in (1e-10, 1e-4)
    )
    for key in ("opening_load_N", "max_acceleration_m_s2", "max_speed_m_s"):
        assert coarse[key] == pytest.approx(fine[key], rel=3e-3), key
    # The canopy pulls harder than the jet pushed.
    assert fine["max_acceleration_m_s2"] > 1.4 * fly(design("curlew", 'model.jet="quasi-steady"')).summary[
        "max_acceleration_m_s2"
    ]


def test_without_a_canopy_there_is_no_pull_of_one():
    summary = fly(design("dabchick")).summary
    assert math.isnan(summary["opening_load_N"])
    assert math.isnan(summary["sinking_speed_m_s"])


def test_the_apogee_is_the_highest_of_all_tops():
    # Unstable and still pushing as it turns over: some of these go round and higher.
    twice = 0
    for water in (1000, 1050, 1100, 1150):
        for span in (20, 30):
            loops = design(
                "dabchick", f'fins.span="{span} mm"', f'charge.water="{water} mL"', 'nozzle.bore="6 mm"',
                'charge.pressure="3 bar"', 'launcher.tilt="10 deg"', 'weather.wind_speed="5 m/s"',
            )  # fmt: skip
            flight = fly(loops, series=True)
            height, up = flight.series["height_m"], flight.series["velocity_up_m_s"]
            tops = height[:-1][(up[:-1] > 0.0) & (up[1:] <= 0.0)]
            assert flight.summary["apogee_m"] == pytest.approx(height.max(), rel=1e-9)
            twice += len(tops) > 1 and tops[0] < 0.99 * flight.summary["apogee_m"]
    assert twice > 0


def test_a_hop_that_comes_to_nothing_is_told_as_one():
    hop = design("curlew", 'charge.water="1350 mL"', 'launcher.stroke="0 mm"')
    flight = fly(hop, series=True)
    assert flight.ending.startswith("never left the launcher")
    assert flight.summary["apogee_m"] == pytest.approx(flight.series["height_m"].max(), rel=1e-9)
    assert 0.5 < flight.summary["apogee_m"] < 1.5
    (stop,) = (finding for finding in findings_of(hop, flight) if finding.code == "never-left")
    assert "hops" in stop.found


def test_a_rocket_without_water_lets_none_out():
    flight = fly(design("dabchick", 'charge.water="0 mL"'))
    assert math.isnan(flight.summary["water_out_time_s"])
    assert "water out" not in [name for _, name in events(flight.summary)]
    assert flight.summary["impulse_water_N_s"] == 0.0


def test_a_launch_tube_that_ends_under_the_water_is_told():
    for length, shown in (("50 mm", True), ("200 mm", False)):
        tube = design("dabchick", f'launcher.tube_length="{length}"', 'launcher.tube_diameter="20 mm"')
        assert ("tube-under-water" in {finding.code for finding in findings_of(tube, fly(tube))}) is shown


def test_a_quasi_steady_jet_too_wide_for_its_rocket_says_that_it_has_no_answer():
    pipe = complete(parse_design("""
        schema = 1
        [vessel]
        profile = [["0 mm", "10.9 mm"], ["600 mm", "10.9 mm"], ["601 mm", "11 mm"], ["900 mm", "11 mm"]]
        neck_bore = "21.8 mm"
        [measured]
        dry_mass = "40 g"
        [charge]
        water = "200 mL"
        pressure = "4 bar"
        [model]
        jet = "quasi-steady"
    """))  # fmt: skip
    with pytest.raises(DesignError, match="quasi-steady jet has no answer"):
        fly(pipe)


def test_a_west_wind_carries_the_canopy_to_the_east():
    calm = ['launcher.tilt="0 deg"', 'weather.wind_speed="3 m/s"', "weather.turbulence=false"]
    summary = fly(design("curlew", *calm, 'weather.wind_from="270 deg"')).summary
    assert summary["landing_east_m"] > 10.0
    assert abs(summary["landing_north_m"]) < 0.01 * summary["landing_east_m"]


@pytest.mark.parametrize("pressure", ["1 bar", "2 bar"])
def test_a_rocket_that_only_dribbles_is_handed_out_in_few_moments(pressure):
    """A bore of 3 mm under 1.2 L of water: a quarter of a minute on the launcher and more."""
    weak = design("dabchick", 'nozzle.bore="3 mm"', 'charge.water="1200 mL"', f'charge.pressure="{pressure}"')
    flight = fly(weak, series=True)
    assert flight.ending.startswith("never left the launcher")
    document = flight_document(weak, flight)
    assert len(flight.series["time_s"]) > 3100
    assert len(document["series"]["time_s"]) < 3100
    assert document["series"]["time_s"][-1] == flight.series["time_s"][-1]
    for phase in np.unique(flight.series["phase"]):
        whole, few = (s["time_s"][s["phase"] == phase] for s in (flight.series, document["series"]))
        assert (few[0], few[-1]) == (whole[0], whole[-1])


def test_a_rocket_that_can_never_lift_off_any_more_is_not_followed_to_its_last_breath():
    heavy = design("dabchick", 'launcher.stroke="0 mm"', 'nozzle.bore="3 mm"', 'mass.0.mass="3 kg"')
    flight = fly(heavy)
    assert flight.ending.startswith("never left the launcher")
    assert math.isnan(flight.summary["gas_out_time_s"])
    # Twice 3 bar on 7 mm² are 4 N: nothing against 3 kg, whatever else happens.
    assert flight.summary["flight_time_s"] < 0.01
    assert flight.summary["water_left_kg"] > 0.59


BARE = '[vessel]\nbottle = "carbonated-2000"\n[charge]\npressure = "5 bar"\n'

ON_ITS_SEAL = """
schema = 1
name = "Bouncer"
[vessel]
volume = "500 mL"
diameter = "65 mm"
[charge]
water = "495 mL"
pressure = "2 bar"
[launcher]
seal = "socket"
stroke = "100 mm"
[measured]
dry_mass = "300 g"
"""


@pytest.mark.parametrize("sets", [[], ['model.heat_transfer="50 W/m2/K"', 'model.time_limit="5 s"']])
def test_a_rocket_whose_little_air_only_lets_it_bounce_on_its_seal_never_leaves(sets):
    """With too little air the push is gone before the stroke is: a stop, for the bottle stays under pressure."""
    one = complete(parse_design(ON_ITS_SEAL, sets))
    flight = fly(one)
    assert flight.ending.startswith("never left the launcher")
    assert 0.01 < flight.summary["apogee_m"] < one.launcher.stroke.value
    found = findings_of(one, flight)
    assert [(each.level, each.code) for each in found] == [(Level.STOP, "never-left")]


def test_a_socket_without_a_launch_tube_is_asked_nothing_about_a_tube():
    sets = ["launcher.supply=hose", 'launcher.hose_volume="100 mL"', 'charge.water="497 mL"']
    one = complete(parse_design(ON_ITS_SEAL, sets))
    assert "tube-hollow-or-solid" not in {each.code for each in findings_of(one, fly(one))}


@pytest.mark.parametrize("tube", [[], ['launcher.tube_diameter="21 mm"', 'launcher.tube_length="240 mm"']])
def test_water_that_leaves_no_room_beside_tube_or_plug_is_what_a_refusal_names(tube):
    water = "1.93 L" if tube else "1.999 L"
    with pytest.raises(DesignError, match=r"charge\.water leaves no room for air"):
        fly(complete(parse_design(BARE, [f'charge.water="{water}"', 'vessel.volume="2 L"', *tube])))
