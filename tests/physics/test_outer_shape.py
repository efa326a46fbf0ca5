"""Noses against their formulas, and the outer shape against the bottle inside it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.outer_shape import (
    CONE,
    ELLIPSOID,
    FLAT,
    MAX_STATIONS,
    OGIVE,
    PARABOLOID,
    nose_radius,
    outer_profile,
)
from bottlewright.physics.vessel_shape import MAX_NODES, bottle_profile

ROUND = (OGIVE, CONE, PARABOLOID, ELLIPSOID)


def bottle():
    z, r = np.zeros(MAX_NODES), np.zeros(MAX_NODES)
    return z, r, bottle_profile(1.5e-3, 0.045, 0.0108, 0.03, 0.07, 0.028, z, r)


def profile(nose=OGIVE, length=0.15, sleeve=(0.0, 0.0, 0.0), base=0.028):
    z, r, n = bottle()
    x, outer = np.zeros(MAX_STATIONS), np.zeros(MAX_STATIONS)
    count = outer_profile(nose, length, 0.0453, z, r, n, base, 0.0003, *sleeve, x, outer)
    assert count <= MAX_STATIONS
    return x[:count], outer[:count]


@pytest.mark.parametrize("shape", ROUND)
@given(st.floats(0.01, 0.4), st.floats(0.01, 0.06))
def test_a_nose_begins_at_its_tip_and_ends_at_its_seat(shape, length, radius):
    assert nose_radius(shape, 0.0, length, radius) == pytest.approx(0.0, abs=1e-9)
    assert nose_radius(shape, 1.0, length, radius) == pytest.approx(radius, rel=1e-9)
    along = [nose_radius(shape, part, length, radius) for part in np.linspace(0, 1, 30)]
    assert (np.diff(along) >= -1e-12).all()


def test_noses_at_half_length():
    """Cone r/2, paraboloid r/√2, ellipsoid r √3/2, and the tangent ogive from its circle."""
    arc = (0.05**2 + 0.2**2) / (2 * 0.05)
    half = {CONE: 0.025, PARABOLOID: 0.05 / math.sqrt(2), ELLIPSOID: 0.05 * math.sqrt(0.75), FLAT: 0.05,
            OGIVE: math.sqrt(arc**2 - 0.1**2) + 0.05 - arc}  # fmt: skip
    for shape, radius in half.items():
        assert nose_radius(shape, 0.5, 0.2, 0.05) == pytest.approx(radius, rel=1e-12)


def test_an_ogive_meets_the_cylinder_without_a_corner():
    slope = (nose_radius(OGIVE, 1.0, 0.2, 0.05) - nose_radius(OGIVE, 1 - 1e-5, 0.2, 0.05)) / (0.2e-5)
    assert slope == pytest.approx(0.0, abs=1e-4)


@pytest.mark.parametrize("shape", [*ROUND, FLAT])
def test_stations_run_aft_from_the_tip_to_the_nozzle(shape):
    x, outer = profile(shape)
    z, _, n = bottle()
    assert x[0] == 0.0
    assert (np.diff(x) >= -1e-12).all()
    assert x[-1] == pytest.approx(0.15 + z[n - 1] - 0.028)
    assert outer[-1] == pytest.approx(0.0108 + 0.0003)
    assert outer.max() == pytest.approx(0.0453)


def test_a_flat_nose_of_no_length_starts_at_full_width():
    x, outer = profile(FLAT, 0.0)
    assert (x[0], x[1], outer[0], outer[1]) == (0.0, 0.0, 0.0, 0.0453)


def test_the_base_of_the_bottle_is_tucked_into_the_nose():
    z, _, n = bottle()
    x, outer = profile()
    assert outer[x >= 0.15].max() == outer[x == 0.15].min() == pytest.approx(0.0453)
    assert x[-1] - 0.15 + 0.028 == pytest.approx(z[n - 1])


def test_a_nose_may_sit_anywhere_on_the_bottle():
    """Between two nodes of the profile the bottle begins at its own width there."""
    x, outer = profile(base=0.018)
    z, r, n = bottle()
    assert outer[x == 0.15].min() == pytest.approx(np.interp(z[n - 1] - 0.018, z[:n], r[:n]) + 0.0003)
    assert x[-1] == pytest.approx(profile()[0][-1] + 0.010)


def test_a_sleeve_stands_proud_over_its_span_and_nowhere_else():
    bare, wide = profile(), profile(sleeve=(0.2, 0.08, 0.05))
    at = np.linspace(0.201, 0.279, 20)
    assert np.interp(at, *wide) == pytest.approx(np.full(20, 0.05))
    away = np.concatenate([np.linspace(0.0, 0.199, 20), np.linspace(0.281, bare[0][-1], 20)])
    assert np.interp(away, *wide) == pytest.approx(np.interp(away, *bare), abs=1e-12)


def test_a_sleeve_beyond_the_nozzle_lengthens_the_body():
    bare = profile()[0][-1]
    x, outer = profile(sleeve=(bare - 0.05, 0.08, 0.05))
    assert x[-1] == pytest.approx(bare + 0.03)
    assert outer[-1] == 0.05
