"""Canopies: cloth and filling."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.parachute import (
    cross_area,
    hemisphere_area,
    inflation,
    open_area,
    polygon_area,
    round_area,
)

sizes = st.floats(0.05, 3.0)


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
