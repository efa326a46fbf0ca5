"""Canopies against Knacke's handbook and the geometry of polygons; how they come down stands in known_flights.py."""

import pytest

from bottlewright.physics.parachute import (
    cross_area,
    filling_time,
    polygon_area,
)


@pytest.mark.parametrize(("sides", "share"), [(4, 1.0), (6, 0.8660), (8, 0.8284)])
def test_flat_polygon_area_over_width_squared(sides, share):
    assert polygon_area(sides, 2.0) / 4.0 == pytest.approx(share, abs=5e-5)


def test_cross_of_five_squares():
    assert cross_area(3.0, 1.0) == pytest.approx(5.0)


def test_filling_time_of_a_flat_canopy():
    # Knacke's n = 8 for a flat circular canopy (original not checked): 0.5 m at 10 m/s fills in 0.4 s.
    assert filling_time(8.0, 0.5, 10.0) == pytest.approx(0.4)
