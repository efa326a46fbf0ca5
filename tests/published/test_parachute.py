"""Canopies against an educator's note, Knacke's handbook and the geometry of polygons."""

import math

import pytest

from bottlewright.physics.parachute import (
    cross_area,
    descent_rate,
    drag_area_for,
    filling_time,
    flag_drag_coefficient,
    polygon_area,
)


def test_canopy_of_an_educators_note():
    # Educator's note: 62.3 g, C_d 0.75, air 1.22 kg/m³, 3 m/s -> 0.435 m across.
    area = drag_area_for(3.0, 0.0623, 1.22, 9.80665) / 0.75
    assert math.sqrt(4 * area / math.pi) == pytest.approx(0.435, abs=5e-4)
    assert descent_rate(0.0623, 0.75 * math.pi / 4 * 0.435**2, 1.22, 9.80665) == pytest.approx(3.0, abs=5e-3)


@pytest.mark.parametrize(("sides", "share"), [(4, 1.0), (6, 0.8660), (8, 0.8284)])
def test_flat_polygon_area_over_width_squared(sides, share):
    assert polygon_area(sides, 2.0) / 4.0 == pytest.approx(share, abs=5e-5)


def test_cross_of_five_squares():
    assert cross_area(3.0, 1.0) == pytest.approx(5.0)


def test_filling_time_of_a_flat_canopy():
    # Knacke's n = 8 for a flat circular canopy (recalled): 0.5 m at 10 m/s fills in 0.4 s.
    assert filling_time(8.0, 0.5, 10.0) == pytest.approx(0.4)


def test_a_limp_flag_drags_more_than_the_friction_of_its_two_sides():
    # Fairthorne's relation (recalled) against turbulent friction 2 × 0.074/Re^(1/5) of a flat sheet: the floor of any
    # fluttering streamer. 1.0 m by 0.1 m of 40 g/m² film at 10 m/s.
    friction = 2 * 0.074 / (1.225 * 10.0 * 1.0 / 1.79e-5) ** 0.2
    assert flag_drag_coefficient(1.0, 0.1, 0.040, 1.225) > friction
