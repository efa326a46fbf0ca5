"""An opening canopy, its lines and cord, its size and room, and what a camera sees. Numbers were worked out apart."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.canopy_choice import (
    canopy_area,
    compartment,
    drift,
    hexagon_width,
    packed_volume,
    spinning_descent,
)
from bottlewright.physics.canopy_load import (
    KNOT_STRENGTH,
    OVERSHOOT,
    UNEVEN,
    cord_pull,
    cord_stretch,
    line_angle,
    line_load,
    mass_ratio,
    opening_factor,
)
from bottlewright.physics.onboard_camera import seen_width, smear, swept
from bottlewright.physics.parachute import polygon_area

G = 9.80665


@pytest.mark.parametrize(
    ("ratio", "factor"), [(0.02, 0.042911), (0.1, 0.125471), (2.0 / 3.0, 0.444444), (10.0, 0.936524)]
)
def test_a_light_rocket_slows_before_its_canopy_is_full(ratio, factor):
    assert opening_factor(ratio) == pytest.approx(factor, abs=5e-7)


@given(st.floats(0.01, 50.0))
def test_the_factor_is_the_greatest_load_of_the_motion(ratio):
    share = np.linspace(0.0, 1.0, 20001)
    load = share**2 / (1.0 + share**3 / (3.0 * ratio)) ** 2
    assert opening_factor(ratio) == pytest.approx(load.max(), rel=1e-6)


def test_a_rocket_of_endless_mass_opens_at_its_full_drag_and_the_ratio_does_not_know_the_speed():
    assert opening_factor(1e9) == pytest.approx(1.0, abs=1e-8)
    at = [mass_ratio(0.175, 1.225, 0.14, v, 8.0 * 0.5 / v) for v in (3.0, 30.0)]
    assert at[0] == pytest.approx(at[1], rel=1e-12)
    assert (OVERSHOOT, UNEVEN) == (1.7, 1.5)


def test_lines_spread_by_what_a_full_canopy_is_wide():
    assert math.degrees(line_angle(0.5, 0.5)) == pytest.approx(19.573, abs=5e-4)
    assert line_load(6.0, 6, 0.0) == 1.0
    assert line_load(6.0, 6, line_angle(0.5, 0.5)) == pytest.approx(1.0 / math.cos(math.radians(19.573)), rel=1e-5)


def test_a_cord_takes_up_the_parting_of_nose_and_rest():
    assert cord_pull(10.0, 20.0, 0.050, 0.110) == pytest.approx(8.29156, abs=5e-6)
    assert cord_stretch(10.0, 20.0, 0.050, 0.110) == pytest.approx(0.414578, abs=5e-7)
    energy = 0.5 * 0.034375 * 10.0**2
    assert 0.5 * 20.0 * cord_stretch(10.0, 20.0, 0.050, 0.110) ** 2 == pytest.approx(energy)


def test_knots_by_the_handbook_of_1964():
    assert KNOT_STRENGTH == {
        "overhand knot": 0.45, "reef knot": 0.45, "figure-eight knot": 0.48, "bowline": 0.60, "anchor bend": 0.70,
        "clove hitch": 0.75, "two half hitches": 0.75, "clinch knot": 0.80,
    }  # fmt: skip


def test_a_hexagon_for_a_gentle_descent():
    area = canopy_area(0.175, 4.5, 0.75, 1.225, G)
    assert hexagon_width(area) * 1e3 == pytest.approx(461.549, abs=5e-4)
    assert polygon_area(6, hexagon_width(area)) == pytest.approx(area)


def test_the_wind_carries_it_by_the_power_law():
    assert drift(3.0, 2.0, 0.14, 50.0, 4.5) == pytest.approx(45.8866, abs=5e-5)
    assert drift(3.0, 2.0, 0.0, 50.0, 5.0) == pytest.approx(30.0)


def test_a_pack_is_never_denser_than_pressed_nylon_and_needs_half_as_much_room_again_to_come_out():
    assert packed_volume(0.012) == pytest.approx(60e-6)
    assert packed_volume(0.012, 1000.0) == pytest.approx(0.012 / 480.0)
    assert compartment(0.012) == pytest.approx(90e-6)


@given(st.floats(0.05, 2.0), st.floats(0.1, 1.0))
def test_a_rotor_carries_its_weight(mass, radius):
    speed = spinning_descent(mass, G, 1.225, 1.1, radius)
    assert 0.5 * 1.225 * 1.1 * math.pi * radius**2 * speed**2 == pytest.approx(mass * G)


def test_what_a_camera_sees_and_how_it_smears():
    assert seen_width(50.0, math.radians(70.0)) == pytest.approx(70.0208, abs=5e-5)
    assert smear(2.0, 1.0 / 500.0, 1920) == pytest.approx(24.1, abs=0.05)


def test_a_line_of_sight_that_swings_by_the_angle_of_a_narrow_view_moves_the_picture_by_its_width():
    angle = math.radians(2.0)
    assert swept(angle / 0.01, 0.01, angle, 1000) == pytest.approx(1000.0, rel=2e-4)
    assert swept(1.0, 1.0 / 500.0, math.radians(90.0), 1920) == pytest.approx(1.92)
