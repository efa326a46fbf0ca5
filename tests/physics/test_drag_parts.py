"""Parts of the axial drag."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.drag import (
    base_coefficient,
    body_form_factor,
    facing_area,
    fin_edge_coefficient,
    fin_form_factor,
    junction_coefficient,
    nose_coefficient,
    rounded_face_coefficient,
    separated_base_area,
    skin_friction,
    wetted_area,
)
from bottlewright.physics.outer_shape import CONE, ELLIPSOID, FLAT, OGIVE, PARABOLOID, nose_radius


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


def nosed(shape, length, stations=16, behind=((0.4, 0.045),)):
    """Return stations, radii and pressure drag area of a nose of 45 mm radius and what follows it: (place, radius)."""
    part = 1.0 - np.cos(0.5 * math.pi * np.arange(stations + 1) / stations)
    x = [*(length * part), *(length + place for place, _ in behind)]
    r = [*(nose_radius(shape, p, length, 0.045) for p in part), *(radius for _, radius in behind)]
    coefficient = nose_coefficient(shape, length, 0.045)
    return np.array(x), np.array(r), facing_area(np.array(x), np.array(r), len(x), length, coefficient)


SEAT = math.pi * 0.045**2
noses = st.sampled_from([OGIVE, CONE, PARABOLOID, ELLIPSOID])


@given(noses, st.floats(1e-4, 0.3))
def test_the_drag_of_a_nose_does_not_depend_on_how_finely_it_is_drawn(shape, length):
    areas = [nosed(shape, length, stations)[2] for stations in (8, 16, 24, 200)]
    assert areas == pytest.approx([nose_coefficient(shape, length, 0.045) * SEAT] * 4, rel=1e-9, abs=1e-15)


@given(noses, st.floats(0.0, 0.3), st.floats(0.0, 1e-6))
def test_a_hair_more_nose_never_makes_a_jump(shape, length, more):
    shorter, longer = (nose_coefficient(shape, size, 0.045) for size in (length, length + more))
    assert longer <= shorter + 1e-15
    assert shorter - longer < 100.0 * more + 1e-12


@pytest.mark.parametrize("shape", [OGIVE, CONE, PARABOLOID, ELLIPSOID, FLAT])
def test_a_nose_of_no_length_is_a_flat_face(shape):
    assert nose_coefficient(shape, 0.0, 0.045) == pytest.approx(0.8)


def test_a_round_nose_has_next_to_no_pressure_drag_from_a_hemisphere_on():
    for shape in (OGIVE, ELLIPSOID):
        for length in (0.045, 0.06, 0.2):
            assert nose_coefficient(shape, length, 0.045) < 0.001


def test_a_base_that_is_all_but_flat_drags_like_a_face_with_rounded_corners():
    """An ellipse's shoulder is the arc of radius length²/radius: 8 mm on 32.5 mm make a corner of 2 mm."""
    base = nose_coefficient(ELLIPSOID, 0.008, 0.0325)
    assert base == pytest.approx(rounded_face_coefficient(0.00197 / 0.065), rel=1e-3)
    assert 0.4 < base < 0.55


def test_a_cone_has_the_pressure_drag_of_its_half_angle_and_a_flat_face_that_of_a_plate():
    for half_angle in (15.0, 20.0, 30.0, 45.0):
        length = 0.045 / math.tan(math.radians(half_angle))
        expected = 0.8 * math.sin(math.radians(half_angle)) ** 2 * SEAT
        assert nosed(CONE, length)[2] == pytest.approx(expected, rel=1e-9)
    flat = np.array([0.0, 0.0, 0.5]), np.array([0.0, 0.045, 0.045])
    assert facing_area(*flat, 3, 0.0, 0.8) == pytest.approx(0.8 * SEAT)
    assert facing_area(np.array([0.0, 0.5]), np.array([0.045, 0.045]), 2, 0.0, 0.0) == pytest.approx(0.8 * SEAT)


@given(st.integers(4, 40), st.floats(0.03, 0.12))
def test_the_shoulder_of_a_bottle_that_comes_neck_first_costs_little_more_than_its_neck(nodes, length):
    part = np.linspace(0.0, 1.0, nodes + 1)
    x = np.concatenate([[0.0], 0.03 + length * part, [0.03 + length + 0.2]])
    r = np.concatenate([[0.011], 0.011 + 0.034 * 0.5 * (1.0 - np.cos(math.pi * part)), [0.045]])
    neck = 0.8 * math.pi * 0.011**2
    assert 0.0 <= facing_area(x, r, nodes + 3, 0.0, 0.0) - neck < 0.15 * SEAT


def test_a_flat_shoulder_costs_as_much_as_a_step():
    x, r = np.array([0.0, 0.03, 0.0301, 0.3]), np.array([0.011, 0.011, 0.045, 0.045])
    assert facing_area(x, r, 4, 0.0, 0.0) == pytest.approx(0.8 * SEAT, rel=1e-4)


def test_a_step_in_the_wake_of_a_wider_part_faces_no_stream():
    x = np.array([0.0, 0.0, 0.2, 0.2, 0.3, 0.3, 0.4])
    r = np.array([0.0, 0.05, 0.05, 0.02, 0.02, 0.03, 0.03])
    assert facing_area(x, r, 7, 0.0, 0.0) == pytest.approx(0.8 * math.pi * 0.05**2)


@given(st.lists(st.tuples(st.floats(0.0, 0.2), st.floats(0.0, 0.1)), min_size=2, max_size=9), st.floats(0.0, 0.8))
def test_nothing_drags_more_than_a_flat_face_as_wide(parts, nose):
    x, r = np.cumsum([length for length, _ in parts]), np.array([radius for _, radius in parts])
    assert 0.0 <= facing_area(x, r, len(x), x[1], nose) <= 0.8 * math.pi * r.max() ** 2 * (1.0 + 1e-12)


def test_a_gentle_tail_shrinks_the_base_and_a_steep_one_does_not():
    def tail(degrees):
        drop = 0.03 / math.tan(math.radians(degrees))
        return separated_base_area(np.array([0.0, 0.1, 0.3, 0.3 + drop]), np.array([0.0, 0.05, 0.05, 0.02]), 4)

    assert tail(8.0) == pytest.approx(math.pi * 0.02**2)
    assert tail(30.0) == pytest.approx(math.pi * 0.05**2)
    assert math.pi * 0.02**2 < tail(17.0) < math.pi * 0.05**2


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 100.0))
def test_the_base_coefficient_stays_between_nothing_and_a_discs(fore, base, fineness):
    assert 0.0 <= base_coefficient(fore, base, fineness) <= 0.39


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
    sleeve = ((place, 0.045), (place, 0.045 + proud), (0.5, 0.045 + proud))
    face = math.pi * ((0.045 + proud) ** 2 - 0.045**2)
    assert nosed(ELLIPSOID, 0.2, behind=sleeve)[2] - nosed(ELLIPSOID, 0.2)[2] == pytest.approx(0.8 * face, rel=1e-6)


def test_a_notch_at_the_seat_of_the_nose_costs_next_to_nothing():
    notch = ((0.0, 0.0445), (0.005, 0.0452), (0.4, 0.0452))
    assert nosed(ELLIPSOID, 0.2, behind=notch)[2] - nosed(ELLIPSOID, 0.2)[2] < 0.02 * SEAT
