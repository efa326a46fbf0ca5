"""An opening canopy, its lines and cord, its size and room, and what a camera sees. Numbers were worked out apart."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.canopy_choice import (
    drift,
    spinning_descent,
)
from bottlewright.physics.canopy_load import (
    cord_stretch,
    line_angle,
    line_load,
    mass_ratio,
    opening_factor,
)
from bottlewright.physics.onboard_camera import seen_width, smear, swept

G = 9.80665


@given(st.floats(0.01, 50.0))
def test_the_factor_is_the_greatest_load_of_the_motion(ratio):
    share = np.linspace(0.0, 1.0, 20001)
    load = share**2 / (1.0 + share**3 / (3.0 * ratio)) ** 2
    assert opening_factor(ratio) == pytest.approx(load.max(), rel=1e-6)


def test_a_rocket_of_endless_mass_opens_at_its_full_drag_and_the_ratio_does_not_know_the_speed():
    assert opening_factor(1e9) == pytest.approx(1.0, abs=1e-8)
    at = [mass_ratio(0.175, 1.225, 0.14, v, 8.0 * 0.5 / v) for v in (3.0, 30.0)]
    assert at[0] == pytest.approx(at[1], rel=1e-12)


def test_lines_spread_by_what_a_full_canopy_is_wide():
    assert line_load(6.0, 6, 0.0) == 1.0
    assert line_load(6.0, 6, line_angle(0.5, 0.5)) == pytest.approx(1.0 / math.cos(math.radians(19.573)), rel=1e-5)


def test_a_cord_takes_up_the_parting_of_nose_and_rest():
    energy = 0.5 * 0.034375 * 10.0**2
    assert 0.5 * 20.0 * cord_stretch(10.0, 20.0, 0.050, 0.110) ** 2 == pytest.approx(energy)


def test_an_even_wind_carries_it_for_as_long_as_it_falls():
    assert drift(3.0, 2.0, 0.0, 50.0, 5.0) == pytest.approx(30.0)


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
