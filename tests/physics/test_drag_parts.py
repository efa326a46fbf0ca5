"""Parts of the axial drag."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.drag import (
    base_coefficient,
    body_form_factor,
    fin_edge_coefficient,
    fin_form_factor,
    junction_coefficient,
    nose_pressure_area,
    separated_base_area,
    skin_friction,
    wetted_area,
)


@given(st.floats(1.0, 1e10), st.floats(0.0, 0.05))
def test_turbulent_friction_never_falls_below_laminar(reynolds, roughness):
    assert skin_friction(reynolds, roughness) >= 1.328 / math.sqrt(reynolds) * (1 - 1e-12)


def test_friction_has_no_jump_where_the_flow_turns_turbulent():
    for roughness in (0.0, 1e-4, 1e-2):
        assert skin_friction(5e5 * (1 + 1e-9), roughness) == pytest.approx(skin_friction(5e5, roughness), rel=1e-6)


@given(st.floats(6e5, 1e9), st.floats(0.0, 0.01), st.floats(0.0, 0.01))
def test_a_rougher_surface_never_drags_less(reynolds, a, b):
    low, high = sorted((a, b))
    assert skin_friction(reynolds, low) <= skin_friction(reynolds, high) * (1 + 1e-12)


def test_the_side_of_a_cone_is_wetted_and_its_flat_end_is_not():
    x, r = np.array([0.0, 0.4, 0.4]), np.array([0.0, 0.3, 0.0])
    assert wetted_area(x, r, 3) == pytest.approx(math.pi * 0.3 * 0.5)


def test_a_cone_has_the_pressure_drag_of_its_half_angle_and_a_flat_face_that_of_a_plate():
    area = math.pi * 0.05**2
    for half_angle in (10.0, 20.0, 30.0, 45.0):
        cone = np.array([0.0, 0.05 / math.tan(math.radians(half_angle)), 0.5]), np.array([0.0, 0.05, 0.05])
        if half_angle >= 15.0:
            expected = 0.8 * math.sin(math.radians(half_angle)) ** 2 * area
            assert nose_pressure_area(*cone, 3) == pytest.approx(expected, rel=1e-9)
    flat = np.array([0.0, 0.0, 0.5]), np.array([0.0, 0.05, 0.05])
    assert nose_pressure_area(*flat, 3) == pytest.approx(0.8 * area)
    assert nose_pressure_area(np.array([0.0, 0.5]), np.array([0.05, 0.05]), 2) == pytest.approx(0.8 * area)


def test_a_round_nose_has_next_to_no_pressure_drag():
    turn = np.linspace(0.0, math.pi / 2, 17)
    x, r = np.append(0.05 * (1 - np.cos(turn)), 0.5), np.append(0.05 * np.sin(turn), 0.05)
    assert nose_pressure_area(x, r, 18) < 0.02 * math.pi * 0.05**2


def test_a_step_in_the_wake_of_a_wider_part_faces_no_stream():
    x = np.array([0.0, 0.0, 0.2, 0.2, 0.3, 0.3, 0.4])
    r = np.array([0.0, 0.05, 0.05, 0.02, 0.02, 0.03, 0.03])
    assert nose_pressure_area(x, r, 7) == pytest.approx(0.8 * math.pi * 0.05**2)


def test_a_gentle_tail_shrinks_the_base_and_a_steep_one_does_not():
    def tail(degrees):
        drop = 0.03 / math.tan(math.radians(degrees))
        return separated_base_area(np.array([0.0, 0.1, 0.3, 0.3 + drop]), np.array([0.0, 0.05, 0.05, 0.02]), 4)

    assert tail(8.0) == pytest.approx(math.pi * 0.02**2)
    assert tail(30.0) == pytest.approx(math.pi * 0.05**2)
    assert math.pi * 0.02**2 < tail(17.0) < math.pi * 0.05**2


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 100.0))
def test_the_base_coefficient_stays_between_nothing_and_a_discs(fore, base, fineness):
    assert 0.0 <= base_coefficient(fore, base, fineness) <= 0.37


@given(st.floats(0.001, 0.01), st.floats(1e-3, 2e-2), st.floats(0.01, 0.2))
def test_a_better_edge_never_drags_more(friction, thickness, chord):
    square, rounded, sharp = (fin_edge_coefficient(edge, friction, thickness, chord) for edge in (0, 1, 2))
    assert square > rounded > sharp == 0.0


def test_form_factors_and_junctions_vanish_for_a_slender_body_and_a_thin_fin():
    assert body_form_factor(1e6) == pytest.approx(1.0)
    assert fin_form_factor(0.0, 0.1) == 1.0
    assert junction_coefficient(0.001, 0.1) == 0.0
    assert junction_coefficient(0.01, 0.1) == pytest.approx(0.12)


@given(st.floats(1e-5, 2e-3), st.floats(0.1, 0.4))
def test_the_edge_of_a_sleeve_costs_its_own_face_and_not_the_whole_nose(proud, place):
    part = np.linspace(0.0, 1.0, 18)
    nose_x, nose_r = 0.2 * (1.0 - np.cos(0.5 * np.pi * part)), 0.045 * np.sin(0.5 * np.pi * part)
    smooth = nose_pressure_area(np.append(nose_x, 0.6), np.append(nose_r, 0.045), 19)
    x = np.concatenate([nose_x, [0.2 + place, 0.2 + place, 0.7]])
    r = np.concatenate([nose_r, [0.045, 0.045 + proud, 0.045 + proud]])
    face = math.pi * ((0.045 + proud) ** 2 - 0.045**2)
    assert nose_pressure_area(x, r, 21) - smooth == pytest.approx(0.8 * face, rel=1e-6, abs=1e-12)


def test_a_notch_at_the_seat_of_the_nose_costs_next_to_nothing():
    part = np.linspace(0.0, 1.0, 18)
    nose_x, nose_r = 0.2 * (1.0 - np.cos(0.5 * np.pi * part)), 0.045 * np.sin(0.5 * np.pi * part)
    smooth = nose_pressure_area(np.append(nose_x, 0.6), np.append(nose_r, 0.045), 19)
    x = np.concatenate([nose_x, [0.2, 0.205, 0.6]])
    r = np.concatenate([nose_r, [0.0445, 0.0452, 0.0452]])
    assert nose_pressure_area(x, r, 21) - smooth < 0.02 * math.pi * 0.0452**2
