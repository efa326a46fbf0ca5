"""Canopies: descent, filling, and the opening load against a plain integration."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bottlewright.physics.parachute import (
    cross_area,
    descent_rate,
    drag_area_for,
    hemisphere_area,
    inflation,
    open_area,
    opening_factor,
    opening_load,
    polygon_area,
    round_area,
)

sizes = st.floats(0.05, 3.0)


@given(st.floats(0.02, 20.0), st.floats(1.0, 20.0), st.floats(0.7, 1.4))
def test_drag_area_and_descent_rate_undo_each_other(mass, rate, density):
    area = drag_area_for(rate, mass, density, 9.81)
    assert descent_rate(mass, area, density, 9.81) == pytest.approx(rate, rel=1e-12)
    assert 0.5 * density * rate**2 * area == pytest.approx(mass * 9.81, rel=1e-12)


@given(sizes)
def test_many_sides_make_a_round_canopy(size):
    assert polygon_area(1000, size) == pytest.approx(round_area(size), rel=1e-5)
    assert polygon_area(6, size) > polygon_area(8, size) > round_area(size)


@given(sizes)
def test_a_hemisphere_has_twice_the_cloth_of_its_mouth(size):
    assert hemisphere_area(size) == pytest.approx(2 * round_area(size), rel=1e-14)


@given(sizes)
def test_a_cross_with_arms_as_wide_as_long_is_a_square(size):
    assert cross_area(size, size) == pytest.approx(size * size, rel=1e-14)


@given(sizes, st.floats(0.0, 5.0))
def test_a_spill_hole_takes_cloth_away_and_never_more_than_there_is(size, hole):
    left = open_area(round_area(size), hole)
    assert left == pytest.approx(max(round_area(size) - round_area(hole), 0.0))


@given(st.floats(-1.0, 3.0), st.floats(0.0, 2.0))
def test_a_canopy_fills_from_nothing_to_full_and_stays_full(elapsed, time):
    share = inflation(elapsed, time)
    assert 0.0 <= share <= inflation(elapsed + 0.1, time) <= 1.0
    assert inflation(time, time) == 1.0


@pytest.mark.parametrize("ballistic", [0.02, 0.2, 0.6, 0.7, 2.0, 50.0])
def test_opening_factor_is_the_peak_of_the_integrated_opening(ballistic):
    # Unit speed, filling time and full drag area per mass 2/A: no gravity.
    solution = solve_ivp(
        lambda t, v: -(t**2) * v**2 / ballistic, (0, 1), [1.0], rtol=1e-11, atol=1e-13, dense_output=True
    )
    t = np.linspace(0, 1, 20_001)
    assert opening_factor(ballistic) == pytest.approx((t**2 * solution.sol(t)[0] ** 2).max(), rel=1e-6)


def test_a_canopy_that_opens_at_once_takes_the_full_drag():
    load = opening_load(0.2, 0.3, 1.2, 10.0, 0.0, 1.0)
    assert load == 0.5 * 1.2 * 100.0 * 0.3
    assert opening_load(0.2, 0.3, 1.2, 10.0, 1e-9, 1.0) == pytest.approx(load, rel=1e-6)


@given(st.floats(0.05, 5.0), st.floats(2.0, 30.0), st.floats(0.01, 2.0))
def test_slow_filling_is_gentler(mass, speed, time):
    quick, slow = (opening_load(mass, 0.2, 1.2, speed, t, 1.8) for t in (time, 1.5 * time))
    assert slow < quick
    assert math.isfinite(quick)
