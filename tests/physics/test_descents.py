"""Coming down without a canopy: shadows, even tumbles, ballast that slides, two parts on a cord; limits are exact."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.canopy_choice import spinning_descent
from bottlewright.physics.coasting import terminal_speed
from bottlewright.physics.descents import (
    EVEN_TUMBLE,
    fallen_speed,
    nose_pressure_centre,
    parting_rate,
    shadow_area,
    shifted_balance,
)

G = 9.80665
SHAPE = (np.array([0.0, 0.2, 0.5]), np.array([0.0, 0.045, 0.045]), 3)
"""A cone of 200 mm before a tube of 300 mm, 90 mm wide."""

masses, places = st.floats(0.001, 1.0), st.floats(0.0, 0.5)


def test_a_cone_and_a_tube_throw_a_triangle_and_a_rectangle():
    assert shadow_area(*SHAPE, 0.0, 0.2) == pytest.approx(0.2 * 0.09 / 2.0)
    assert shadow_area(*SHAPE, 0.2, 0.5) == pytest.approx(0.3 * 0.09)
    assert shadow_area(*SHAPE, 0.1, 0.2) == pytest.approx(0.75 * 0.2 * 0.09 / 2.0)


@given(places)
def test_two_parts_throw_the_shadow_of_the_whole(cut):
    assert shadow_area(*SHAPE, 0.0, cut) + shadow_area(*SHAPE, cut, 0.5) == pytest.approx(shadow_area(*SHAPE, 0.0, 0.5))


def test_a_body_that_turns_evenly_end_over_end_has_this_share_of_its_drag_across_the_stream():
    angle = np.linspace(0.0, 2.0 * math.pi, 100001)
    assert np.trapezoid(np.abs(np.sin(angle)) ** 3, angle) / (2.0 * math.pi) == pytest.approx(EVEN_TUMBLE, rel=1e-8)


def test_the_air_takes_hold_of_a_cone_two_thirds_back_and_of_a_paraboloid_half_way():
    assert nose_pressure_centre(*SHAPE, 0.2) == pytest.approx(2.0 / 3.0 * 0.2)
    x = np.linspace(0.0, 0.2, 2001)
    assert nose_pressure_centre(x, 0.045 * np.sqrt(x / 0.2), 2001, 0.2) == pytest.approx(0.1, rel=1e-5)


@given(masses, places, masses, places, st.floats(0.0, 0.5), st.floats(1e-5, 1e-2))
def test_ballast_that_slides_moves_the_balance_as_the_sum_of_both_has_it(rest, middle, ballast, start, shift, own):
    def whole(at):
        mass = rest + ballast
        centre = (rest * middle + ballast * at) / mass
        return mass, centre, own + rest * (middle - centre) ** 2 + ballast * (at - centre) ** 2

    mass, centre, transverse = whole(start)
    after = whole(start + shift)
    assert shifted_balance(mass, centre, transverse, ballast, start, shift) == pytest.approx(after[1:], rel=1e-9)


@given(masses, masses, st.floats(1e-3, 0.1), st.floats(1e-3, 0.1))
def test_parts_that_hang_together_fall_between_the_speeds_of_each_alone(front, rear, front_area, rear_area):
    alone = sorted([terminal_speed(front, G, 1.2, front_area), terminal_speed(rear, G, 1.2, rear_area)])
    tied = terminal_speed(front + rear, G, 1.2, front_area + rear_area)
    assert alone[0] * (1 - 1e-12) <= tied <= alone[1] * (1 + 1e-12)


def test_parts_alike_never_draw_their_cord_taut_and_none_parts_faster_than_it_flew():
    assert parting_rate(1.2, 20.0, 0.1, 0.01, 0.2, 0.02, 1.5) == 0.0
    assert parting_rate(1.2, 20.0, 0.1, 0.01, 0.2, 0.0, 1e9) == 20.0
    # 24 m/s² over a metre and a half: ½·1.2·400·0.01/0.1.
    assert parting_rate(1.2, 20.0, 0.1, 0.01, 0.2, 0.0, 1.5) == pytest.approx(math.sqrt(2.0 * 24.0 * 1.5))


@given(st.floats(1.0, 100.0), st.floats(0.01, 1000.0))
def test_a_fall_ends_at_its_steady_speed_and_begins_as_a_stone_does(terminal, height):
    speed = fallen_speed(terminal, G, height)
    assert speed <= min(terminal, math.sqrt(2.0 * G * height)) * (1 + 1e-12)
    assert fallen_speed(terminal, G, 1e-6) == pytest.approx(math.sqrt(2e-6 * G), rel=1e-4)


@given(masses, st.floats(0.1, 1.0))
def test_a_rotor_falls_as_a_disc_of_its_drag(mass, radius):
    disc = 1.1 * math.pi * radius**2
    assert spinning_descent(mass, G, 1.225, 1.1, radius) == pytest.approx(terminal_speed(mass, G, 1.225, disc))
