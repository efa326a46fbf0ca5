"""A rotor, two parts on a cord, ballast that shifts: flown as mechanics has it, and judged by how they come down."""

import math
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from bottlewright.design import complete, parse_design, read_design
from bottlewright.design.errors import DesignError
from bottlewright.field.landings import Mode, mode_name
from bottlewright.findings import Level
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.canopy_links import canopy_holds
from bottlewright.flight.fly import fly
from bottlewright.flight.outcomes import Outcome, outcomes
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.phases import shift_ballast
from bottlewright.flight.results import findings_of
from bottlewright.flight.state import ATTITUDE, RATES, STATE, TUMBLING, VELOCITY
from bottlewright.flight.summary_text import flight_words
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.canopy_choice import spinning_descent
from bottlewright.physics.canopy_load import KNOT_STRENGTH, cord_pull
from bottlewright.physics.coasting import terminal_speed

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nozzle]
bore = "9 mm"
[nose]
mass = "15 g"
length = "240 mm"
[fins]
span = "140 mm"
[[mass]]
name = "shot in a tube"
material = "steel"
mass = "60 g"
position = "60 mm"
[launcher]
guide_length = "1.5 m"
tilt = "3 deg"
[charge]
pressure = "4.5 bar"
[weather]
wind_speed = "{wind} m/s"
[recovery]
delay = "0.1 s ± 0.1 s"
"""
LATCH = '[recovery.mechanism]\nway = "latch"\ntrip = "servo timer"\ntime = "{time} s ± 0.1 s"\n'
ROTOR = 'kind = "rotor"\ndiameter = "600 mm"\nmass = "25 g"\n'
PARTS = 'kind = "two parts"\n'
TUMBLE = 'kind = "tumble"\nballast = "shot in a tube"\nshift = "{shift} mm"\n'


def design_of(more, time=3.4, model="", wind=2):
    return complete(parse_design(ROCKET.format(wind=wind) + more + LATCH.format(time=time) + model))


def tumble(shift, time=3.4):
    return design_of(TUMBLE.format(shift=shift), time)


def codes(design):
    return {one.code: one for one in findings_of(design, fly(design))}


def test_a_rotor_comes_down_at_the_speed_of_its_disc():
    design = design_of(ROTOR, model='[model]\ndrag_coefficient = "0.000001"\ntolerance = "1e-9"\n', wind=0)
    flight = fly(design)
    vehicle = flight.vehicle
    density, _ = density_viscosity(vehicle["air"], 0.0)
    carried = float(vehicle["lift_of_air"]) * density  # air weighs as much as the bottle displaces
    mass, g = float(vehicle["hanging_mass"]), float(vehicle["gravity"])
    steady = spinning_descent(mass - carried / g, g, density, 1.1, 0.3)
    # The air grows denser as it sinks, and slows it by 0.4 mm/s²: half of that share of g too fast.
    assert flight.summary["landing_speed_m_s"] == pytest.approx(steady, rel=3e-5)
    assert flight.summary["landing_energy_J"] == pytest.approx(
        0.5 * flight.summary["landing_mass_kg"] * flight.summary["landing_speed_m_s"] ** 2)  # fmt: skip


def test_two_parts_fall_together_at_the_speed_of_both():
    flight = fly(design_of(PARTS, wind=0))
    vehicle, summary = flight.vehicle, flight.summary
    density, _ = density_viscosity(vehicle["air"], 0.0)
    mass, g = float(vehicle["hanging_mass"]), float(vehicle["gravity"])
    area = float(vehicle["front_area"] + vehicle["rear_area"])
    carried = float(vehicle["lift_of_air"]) * density
    assert summary["landing_speed_m_s"] == pytest.approx(terminal_speed(mass - carried / g, g, density, area), rel=1e-3)
    assert flight.vehicle["canopy_area"] + flight.vehicle["hanging_area"] == pytest.approx(area)


def test_the_cord_takes_up_the_parting_and_more_of_it_where_it_is_stiffer():
    batch = parameters_of(design_of(PARTS), 2)
    batch["cord_stiffness"] = [50.0, 200.0]
    soft, stiff = fly_batch(batch)["opening_load_N"]
    assert stiff == pytest.approx(2.0 * soft)
    design = design_of(PARTS + 'cord_strength = "100 N ± 20 N"\nline_knot = "anchor bend"\n')
    assert canopy_holds(design).value == pytest.approx(100.0 * KNOT_STRENGTH["anchor bend"])
    flight = fly(design)
    front = float(flight.vehicle["nose_mass"])
    rear = float(flight.vehicle["hanging_mass"]) - front
    fastest = max(flight.summary["canopy_out_air_speed_m_s"], flight.summary["sinking_speed_m_s"])
    assert 0.0 < flight.summary["opening_load_N"] <= cord_pull(fastest, 200.0, front, rear)


def test_ballast_that_goes_nowhere_changes_nothing():
    batch = parameters_of(tumble(200), 2)
    batch["tolerance"], batch["shift"][0], batch["release"][1] = 1e-9, 0.0, 2
    stayed, kept = fly_batch(batch)
    for key in ("landing_speed_m_s", "flight_time_s", "landing_east_m", "landing_strike_angle_rad"):
        assert stayed[key] == pytest.approx(kept[key], rel=1e-6, abs=1e-6), key


def test_momentum_and_turning_momentum_are_kept_as_the_ballast_shifts():
    rocket = SimpleNamespace(end_mass=0.2, end_centre=0.25, end_transverse=3e-3, dry_centre=0.24, ballast=0.06,
                             ballast_start=0.06, shift=0.3, shifted_centre=0.0, shifted_transverse=0.0)  # fmt: skip
    y = np.zeros(STATE)
    y[ATTITUDE : ATTITUDE + 4] = [0.5, -0.1, 0.7, 0.3]
    y[VELOCITY : VELOCITY + 3], y[RATES : RATES + 3] = [3.0, -2.0, -7.0], [1.0, 4.0, -2.0]

    def balance_point(centre, state):
        """Place and velocity of the balance point, which lies behind the place that is integrated."""
        a, b, c, d = state[ATTITUDE : ATTITUDE + 4] / np.linalg.norm(state[ATTITUDE : ATTITUDE + 4])
        turn = np.array([[a * a + b * b - c * c - d * d, 2 * (b * c - a * d), 2 * (b * d + a * c)],
                         [2 * (b * c + a * d), a * a - b * b + c * c - d * d, 2 * (c * d - a * b)],
                         [2 * (b * d - a * c), 2 * (c * d + a * b), a * a - b * b - c * c + d * d]])  # fmt: skip
        behind = np.array([-(centre - rocket.dry_centre), 0.0, 0.0])
        moves = turn @ np.cross(state[RATES : RATES + 3], behind)
        return state[:3] + turn @ behind, state[VELOCITY : VELOCITY + 3] + moves

    before, turning = balance_point(rocket.end_centre, y), rocket.end_transverse * y[RATES + 1 : RATES + 3]
    getattr(shift_ballast, "py_func", shift_ballast)(y, rocket)
    for was, now in zip(before, balance_point(rocket.shifted_centre, y), strict=True):
        assert now == pytest.approx(was, abs=1e-12)
    assert rocket.shifted_transverse * y[RATES + 1 : RATES + 3] == pytest.approx(turning, rel=1e-12)
    assert rocket.shifted_centre == pytest.approx(0.25 + 0.06 * 0.3 / 0.2)


def test_the_balance_point_of_the_series_moves_as_the_ballast_shifts():
    flight = fly(tumble(300), series=True)
    series, after = flight.series, int(np.argmax(flight.series["phase"] == TUMBLING))
    moved = series["centre_of_mass_m"][after] - series["centre_of_mass_m"][after - 1]
    assert moved == pytest.approx(0.06 * 0.3 / float(flight.vehicle["end_mass"]), rel=1e-9)
    margin = series["static_margin_calibres"]
    assert margin[after] < 0.0 < margin[after - 1]


def test_a_rocket_whose_balance_point_goes_behind_the_air_falls_on_its_side_and_steadily():
    flight = fly(tumble(300), series=True)
    series, vehicle, summary = flight.series, flight.vehicle, flight.summary
    assert vehicle["shifted_centre"] > vehicle["pressure_centre"]
    late = (series["phase"] == TUMBLING) & (series["time_s"] > series["time_s"][-1] - 0.5)
    assert np.ptp(series["incidence_deg"][late]) < 3.0
    assert np.all((series["incidence_deg"][late] > 60.0) & (series["incidence_deg"][late] < 150.0))
    assert series["acceleration_m_s2"][late].max() < 1.0
    ballistic = parameters_of(tumble(300))
    ballistic["release"] = 2
    assert summary["landing_speed_m_s"] < 0.4 * fly_batch(ballistic)["landing_speed_m_s"][0]


def test_a_little_shift_leaves_it_nose_first_and_that_is_a_stop():
    one = codes(tumble(60))["stays-nose-first"]
    assert one.level is Level.STOP
    assert "further aft" in one.remedy
    assert codes(tumble(220))["stays-nose-first"].level is Level.LOOK  # on its side this time, by luck
    assert "stays-nose-first" not in codes(tumble(350))


def test_ballast_that_shifts_too_far_lets_it_slide_down_tail_first_and_that_is_told_with_both_speeds():
    design, summary = tumble(500), fly(tumble(500)).summary
    assert summary["landing_strike_angle_rad"] > math.radians(170.0)
    assert summary["landing_speed_m_s"] > 2.0 * summary["sinking_speed_m_s"]
    one = codes(design)["slides-fast"]
    assert one.level is Level.STOP, "nothing slows it, as with a canopy that comes out too low"
    assert "1.25 times an even tumble's speed" in one.limit
    speeds = (summary["landing_speed_m_s"], summary["sinking_speed_m_s"])
    assert [f"{speed:.2g} m/s" in one.found for speed in speeds] == [True, True]
    assert "slides-fast" not in codes(tumble(400))


def test_outcomes_of_ballast_are_early_in_time_late_and_never():
    def seen(shift, time):
        design = tumble(shift, time)
        batch = parameters_of(design, 1)
        return outcomes(design, batch, fly_batch(batch))[0]

    assert seen(350, 3.4) == Outcome.IN_TIME
    assert seen(350, 0.6) == Outcome.EARLY
    assert seen(350, 6.6) == Outcome.NEVER  # down before it has turned
    assert seen(350, 30.0) == Outcome.NEVER
    assert seen(60, 3.4) == Outcome.NEVER
    assert seen(500, 3.4) == Outcome.NEVER  # it slides down tail first: what was to slow it does not


def test_a_rotor_and_a_cord_break_where_they_hold_too_little():
    for more in (ROTOR + 'line_strength = "1 N ± 0.01 N"\n', PARTS + 'cord_strength = "1 N ± 0.01 N"\n'):
        design = design_of(more, 1.0)
        batch = sample_batch(design, 0, 8, seed=2)
        assert (outcomes(design, batch, fly_batch(batch)) == Outcome.TORN).all()
        assert codes(design)["canopy-tears"].level is Level.STOP


def test_a_nose_with_all_the_ballast_in_its_tip_falls_like_a_dart():
    one = codes(design_of(PARTS))
    assert "front" in one["part-keeps-its-nose"].found
    assert "the front part at" in one["part-falls-alone"].found


def test_how_often_it_stays_nose_first_is_counted_in_flights_with_every_spread_drawn():
    one = codes(tumble(160))["release-often-wrong"]
    assert "nose first all the way in" in one.found
    assert "release-often-wrong" not in codes(tumble(400))


@pytest.mark.parametrize(("more", "under", "stays"), [
    (ROTOR, "under the rotor", "ballistic: the rotor stays folded"),
    (PARTS, "in two parts", "ballistic: the rocket stays in one piece"),
    (TUMBLE.format(shift=300), "tumbling", "ballistic: the ballast stays ahead"),
])  # fmt: skip
def test_each_way_down_has_its_own_words(more, under, stays):
    design = design_of(more)
    assert mode_name(Mode.AS_PLANNED, design) == under
    assert mode_name(Mode.NOT_OPENING, design) == stays
    assert "parachute" not in flight_words(design, fly(design))


@pytest.mark.parametrize(("more", "path"), [
    ('kind = "rotor"\ndiameter = "600 mm"\n', "recovery.mass"),
    ('kind = "rotor"\nmass = "20 g"\n', "recovery.diameter"),
    (PARTS, "recovery.mechanism"),
    ('kind = "tumble"\n', "recovery.ballast"),
    ('kind = "tumble"\nballast = "lead"\n', "recovery.ballast"),
])  # fmt: skip
def test_what_a_way_down_can_not_do_without_is_asked_for(more, path):
    with pytest.raises(DesignError) as error:
        complete(parse_design(ROCKET.format(wind=2) + more))
    assert path in {problem.path for problem in error.value.problems}


def test_a_rocket_without_a_nose_can_not_part_from_it():
    text = ROCKET.format(wind=2) + PARTS + LATCH.format(time=3)
    text = text.replace('[nose]\nmass = "15 g"\nlength = "240 mm"\n', "")
    with pytest.raises(DesignError, match="no nose to part from"):
        complete(parse_design(text))


def test_what_ballast_does_early_is_flown_as_turning_over_in_fast_air():
    early, right = fly(tumble(350, 0.6)).summary, fly(tumble(350)).summary
    assert early["canopy_out_climb_m_s"] > 10.0
    assert early["apogee_m"] < right["apogee_m"] - 10.0
    assert math.isfinite(early["landing_speed_m_s"])


def test_dunlin_falls_on_its_side_and_nothing_stops_it():
    design = complete(read_design(Path(__file__).parents[2] / "examples" / "dunlin" / "rocket.toml"))
    flight = fly(design)
    assert {one.code for one in findings_of(design, flight) if one.level is Level.STOP} == set()
    assert 60.0 < math.degrees(flight.summary["landing_strike_angle_rad"]) < 120.0
