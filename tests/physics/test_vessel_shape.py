"""Water in a stack of frusta against numerical quadrature, and generic bottles against their own capacity."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from bottlewright.physics.vessel_shape import MAX_NODES, bottle_profile, fill_vessel_tables, water_state

radius = st.floats(0.005, 0.12)
length = st.floats(0.002, 0.2)
profiles = st.lists(st.tuples(length, radius), min_size=2, max_size=8)


def shape(steps):
    z = np.concatenate([[0.0], np.cumsum([d for d, _ in steps[1:]])])
    r = np.array([r for _, r in steps])
    table = np.zeros((5, MAX_NODES))
    fill_vessel_tables(z, r, len(z), table)
    return z, r, table


def over(function, z, r, top):
    """Quadrature of a function of height and radius from the exit plane to a height, piece by piece."""
    cuts = [0.0, *(x for x in z[1:] if x < top), top]
    pieces = pairwise(cuts)
    return sum(quad(lambda x: function(x, np.interp(x, z, r)), a, b, epsrel=1e-12, epsabs=0)[0] for a, b in pieces)


@given(profiles, st.floats(0.01, 0.99))
@settings(max_examples=60)
def test_every_integral_of_the_water_is_that_of_quadrature(steps, part):
    z, r, table = shape(steps)
    volume = part * table[0, len(z) - 1]
    height, surface, inertial, centre, moment = water_state(volume, z, r, len(z), table)
    near = {"rel": 1e-9}
    assert over(lambda _, a: math.pi * a * a, z, r, height) == pytest.approx(volume, **near)
    assert math.pi * np.interp(height, z, r) ** 2 == pytest.approx(surface, **near)
    assert over(lambda _, a: 1 / (math.pi * a * a), z, r, height) == pytest.approx(inertial, **near)
    assert over(lambda x, a: x * math.pi * a * a, z, r, height) == pytest.approx(volume * centre, **near)
    assert over(lambda x, a: (x * x + a * a / 4) * math.pi * a * a, z, r, height) == pytest.approx(moment, **near)


@given(profiles, st.floats(1e-6, 0.999))
@settings(max_examples=60)
def test_cauchy_schwarz_keeps_the_jet_solvable(steps, part):
    """h² ≤ V ∫dz/A for every shape and every level: the determinant of the jet's equations stays positive."""
    z, r, table = shape(steps)
    volume = part * table[0, len(z) - 1]
    height, _, inertial, _, _ = water_state(volume, z, r, len(z), table)
    assert height * height <= volume * inertial * (1 + 1e-12)


bottles = st.tuples(
    st.floats(2e-4, 5e-3), st.floats(0.025, 0.08), st.floats(0.008, 0.02), st.floats(0.0, 0.05), st.floats(0.02, 0.12),
    st.floats(0.005, 0.06),
)  # fmt: skip


@given(bottles)
@settings(max_examples=60)
def test_a_generic_bottle_holds_its_capacity(bottle):
    volume, _, neck_radius, neck, _, _ = bottle
    z, r = np.zeros(MAX_NODES), np.zeros(MAX_NODES)
    n = bottle_profile(*bottle, z, r)
    if volume <= math.pi * neck_radius**2 * neck:
        assert n == 0
        return
    table = np.zeros((5, MAX_NODES))
    fill_vessel_tables(z, r, n, table)
    assert table[0, n - 1] == pytest.approx(volume, rel=1e-12)
    assert (np.diff(z[:n]) >= 0).all()
    assert n <= MAX_NODES


@given(bottles)
@settings(max_examples=30)
def test_a_bottle_begins_at_its_neck_and_closes_at_its_base(bottle):
    volume, widest, neck_radius, neck, _, _ = bottle
    assume(volume > math.pi * neck_radius**2 * neck)
    z, r = np.zeros(MAX_NODES), np.zeros(MAX_NODES)
    n = bottle_profile(*bottle, z, r)
    assert (z[0], r[0], r[n - 1]) == (0.0, neck_radius, 0.0)
    assert r[:n].max() == pytest.approx(widest, rel=1e-12)


def test_a_cone_filled_to_half_its_height_holds_an_eighth():
    z, r, table = shape([(0.0, 0.0), (0.2, 0.1)])
    height, surface, _, _, _ = water_state(table[0, 1] / 8, z, r, 2, table)
    assert height == pytest.approx(0.1, rel=1e-12)
    assert surface == pytest.approx(math.pi * 0.05**2, rel=1e-12)


def test_an_empty_vessel_has_its_surface_at_the_exit():
    z, r, table = shape([(0.0, 0.01), (0.1, 0.05)])
    assert water_state(0.0, z, r, 2, table) == pytest.approx((0.0, math.pi * 1e-4, 0.0, 0.0, 0.0), abs=1e-15)
