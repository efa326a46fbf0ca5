"""Centre of pressure against slender-body theory and Barrowman's example."""

import math

import numpy as np
import pytest

from bottlewright.physics.airframe import AIRFRAME_SIZE, linear_centre_of_pressure, prepare_airframe
from bottlewright.physics.outer_shape import CONE, ELLIPSOID, OGIVE, PARABOLOID, nose_radius
from bottlewright.physics.slender_body import side_force_integrals


def nose(shape, length, radius, stations=400):
    part = 1.0 - np.cos(0.5 * np.pi * np.arange(stations + 1) / stations)
    return part * length, np.array([nose_radius(shape, p, length, radius) for p in part])


# Slender-body theory, CP = L − volume/base area (Munk; worked out): these are exact for the shape.
@pytest.mark.parametrize(
    ("shape", "fineness", "part"),
    [
        (CONE, 2.0, 2 / 3),
        (PARABOLOID, 2.0, 1 / 2),
        (ELLIPSOID, 2.0, 1 / 3),
        (OGIVE, 1.0, 0.4300),
        (OGIVE, 2.0, 0.4572),
        (OGIVE, 3.0, 0.4625),
    ],
)
def test_a_nose_of_any_shape_has_slope_2_and_its_own_centre(shape, fineness, part):
    x, r = nose(shape, 2 * fineness, 1.0)
    j0, _, m0, _ = side_force_integrals(x, r, len(x), 1.0)
    assert 2.0 * j0 / math.pi == pytest.approx(2.0, rel=1e-9)
    assert m0 / j0 / (2 * fineness) == pytest.approx(part, abs=5e-5)


def example(stations):
    """Four fins, span 60, root 80, tip 40, sweep 40 mm, on a 65 mm body from 320 mm; ogive nose of 100 mm."""
    x, r = nose(OGIVE, 0.100, 0.0325, stations)
    x, r = np.append(x, 0.4), np.append(r, 0.0325)
    coef = np.zeros(AIRFRAME_SIZE)
    prepare_airframe(
        x, r, len(x), 0.1, 0.0, 4, 0.08, 0.04, 0.06, 0.04, 0.32, 0.002, 0, 0.0, 2e-5, 0.4, 1.0, math.nan,
        np.empty((2, len(x))), coef,
    )  # fmt: skip
    return linear_centre_of_pressure(coef)


def test_barrowmans_example():
    # Barrowman's form (original not checked): fins 7.510563 at 353.333 mm, in all 9.510563 at 288.830 mm.
    slope, centre = example(400)
    assert slope == pytest.approx(9.510563, abs=1e-6)
    x, r = nose(OGIVE, 0.100, 0.0325)
    j0, _, m0, _ = side_force_integrals(x, r, len(x), 1.0)
    own_nose = m0 / j0
    fins = (slope * centre - 2.0 * own_nose) / (slope - 2.0)
    assert fins == pytest.approx(0.353333, abs=1e-6)
    # He puts the centre of every ogive at 0.466 of its length. With his nose our sum is his:
    assert (2.0 * 0.0466 + (slope - 2.0) * fins) / slope == pytest.approx(0.288830, abs=1e-6)
    # with the ogive's own centre (0.4508 here) it lies 0.32 mm further forward. A miss of 0.1 %, and ours to keep.
    assert centre == pytest.approx(0.288830, rel=1.5e-3)
    assert centre < 0.288830


def test_sixteen_stations_draw_the_nose_well_enough():
    assert example(16)[1] == pytest.approx(example(400)[1], abs=1e-4)
