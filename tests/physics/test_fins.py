"""Fins: slope, mean chord, stand-in for any outline."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.fins import (
    equal_trapezoid,
    fin_slope,
    gang_factor,
    mean_chord,
    roll_radii,
    wing_factor,
)

size = st.floats(0.01, 0.3)
sweep = st.floats(-0.2, 0.4)


@given(size, size, size, sweep)
def test_a_trapezoid_given_as_an_outline_is_itself(root, tip, span, back):
    x, y = np.array([0.0, back, back + tip, root]), np.array([0.0, span, span, 0.0])
    assert equal_trapezoid(x, y, 4) == pytest.approx((root, tip, span, back), rel=1e-9, abs=1e-9)


@given(size, size, size, sweep)
def test_the_order_of_the_outline_does_not_matter(root, tip, span, back):
    x, y = np.array([0.0, back, back + tip, root]), np.array([0.0, span, span, 0.0])
    backward = equal_trapezoid(x[::-1].copy(), y[::-1].copy(), 4)
    assert backward == pytest.approx(equal_trapezoid(x, y, 4), rel=1e-9, abs=1e-9)


def test_an_ellipse_keeps_area_span_and_centre():
    angle = np.linspace(math.pi, 0.0, 201)
    x, y = 0.05 + 0.05 * np.cos(angle), 0.06 * np.sin(angle)
    root, tip, span, back = equal_trapezoid(x, y, len(x))
    assert 0.5 * (root + tip) * span == pytest.approx(0.5 * math.pi * 0.05 * 0.06, rel=1e-3)
    assert (root, span) == pytest.approx((0.1, 0.06))
    # Symmetric fore and aft: so is the stand-in.
    assert back + 0.5 * tip == pytest.approx(0.5 * root, rel=1e-9)


def test_a_fin_too_slim_for_its_root_becomes_a_triangle_of_the_same_area():
    x, y = np.array([0.0, 0.04, 0.05, 0.06, 0.1]), np.array([0.0, 0.005, 0.06, 0.005, 0.0])
    root, tip, span, _ = equal_trapezoid(x, y, 5)
    area = 0.5 * abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    assert tip == 0.0
    assert 0.5 * root * span == pytest.approx(area)


def test_a_very_short_fin_has_the_slope_of_slender_wing_theory():
    ratio = 2 * 0.002 / 0.1
    assert fin_slope(0.1, 0.1, 0.002, 0.0) == pytest.approx(0.5 * math.pi * ratio, rel=1e-3)


def test_a_very_long_fin_tends_to_the_slope_of_a_plate_without_ends():
    assert fin_slope(0.01, 0.01, 10.0, 0.0) == pytest.approx(2 * math.pi, rel=2e-3)


@given(size, size, size)
def test_the_mean_chord_lies_between_tip_and_root(root, tip, span):
    chord, _, out = mean_chord(root, tip, span, 0.0)
    assert min(root, tip) - 1e-12 <= chord <= max(root, tip) + 1e-12
    assert span / 3 - 1e-12 <= out <= 2 * span / 3 + 1e-12


@given(size, size, size, st.floats(0.0, 0.2))
def test_roll_radii_carry_the_moments_of_the_area(root, tip, span, radius):
    y = radius + span * (np.arange(4000) + 0.5) / 4000
    chord = root + (tip - root) * (y - radius) / span
    arm, reach = roll_radii(root, tip, span, radius)
    assert arm == pytest.approx(np.sum(chord * y) / np.sum(chord), rel=1e-6)
    assert arm * reach == pytest.approx(np.sum(chord * y**2) / np.sum(chord), rel=1e-6)


@given(st.floats(0.0, 0.2), size)
def test_the_bodys_factor_lies_between_a_bare_fin_and_twice_one(radius, span):
    assert 1.0 - 1e-9 <= wing_factor(radius, span) <= 2.0 + 1e-9


def test_each_further_fin_still_adds_to_the_whole():
    whole = [count * gang_factor(count) for count in range(1, 9)]
    assert all(b > a for a, b in itertools.pairwise(whole))
