"""The side force on a body of revolution, from its outer shape."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.slender_body import cross_drag_coefficient, cross_strips, side_force_integrals

lengths = st.floats(0.001, 0.5)
radii = st.floats(0.0, 0.1)
bodies = st.lists(st.tuples(lengths, radii), min_size=1, max_size=8).map(
    lambda parts: (
        np.cumsum([0.0] + [length for length, _ in parts]),
        np.array([0.0] + [radius for _, radius in parts]),
    )
)


def finely(x, r, each=4000):
    """Return midpoints, cross-sections there, and step lengths of a stack of frusta."""
    places, areas, steps = [], [], []
    for i in range(len(x) - 1):
        part = (np.arange(each) + 0.5) / each
        places.append(x[i] + part * (x[i + 1] - x[i]))
        areas.append(math.pi * (r[i] + part * (r[i + 1] - r[i])) ** 2)
        steps.append(np.full(each, (x[i + 1] - x[i]) / each))
    return np.concatenate(places), np.concatenate(areas), np.concatenate(steps)


@given(bodies)
def test_in_ideal_flow_the_integrals_are_those_of_the_cross_section(body):
    x, r = body
    place, area, step = finely(x, r)
    end, length = math.pi * r[-1] ** 2, x[-1]
    j0, j1, m0, m1 = side_force_integrals(x, r, len(x), 1.0)
    scale = math.pi * max(r) ** 2 + 1e-12
    assert j0 == pytest.approx(end, abs=1e-12)
    assert j1 == pytest.approx(end * length, abs=1e-12)
    assert m0 == pytest.approx(end * length - np.sum(area * step), abs=1e-6 * scale * length)
    assert m1 == pytest.approx(end * length**2 - np.sum(place * area * step), abs=1e-6 * scale * length**2)


@given(bodies)
def test_a_body_closed_at_both_ends_feels_only_munks_couple_in_ideal_flow(body):
    x, r = body
    x, r = np.append(x, x[-1] + 0.1), np.append(r, 0.0)
    _, area, step = finely(x, r)
    j0, _, m0, _ = side_force_integrals(x, r, len(x), 1.0)
    assert j0 == pytest.approx(0.0, abs=1e-15)
    assert m0 == pytest.approx(-np.sum(area * step), rel=1e-6, abs=1e-15)


@given(bodies, st.floats(0.0, 1.0))
def test_the_stream_never_follows_a_narrowing_further_than_the_body_does(body, efficiency):
    x, r = body
    j0 = side_force_integrals(x, r, len(x), efficiency)[0]
    assert math.pi * r[-1] ** 2 - 1e-15 <= j0 <= math.pi * max(r) ** 2 + 1e-15


def test_a_flow_that_stays_wide_makes_a_bottle_a_nose_with_a_tube():
    x = np.array([0.0, 0.1, 0.3, 0.36, 0.38, 0.38, 0.39])
    r = np.array([0.0, 0.045, 0.045, 0.012, 0.012, 0.016, 0.016])
    tube = np.array([0.0, 0.1, 0.39]), np.array([0.0, 0.045, 0.045])
    np.testing.assert_allclose(side_force_integrals(x, r, len(x), 0.0), side_force_integrals(*tube, 3, 0.0), rtol=1e-12)


def test_a_ring_in_the_wake_of_the_shoulder_adds_nothing():
    x = np.array([0.0, 0.1, 0.3, 0.36, 0.40])
    r = np.array([0.0, 0.045, 0.045, 0.012, 0.012])
    ringed = np.array([0.0, 0.1, 0.3, 0.36, 0.37, 0.37, 0.375, 0.375, 0.40])
    ring = np.array([0.0, 0.045, 0.045, 0.012, 0.012, 0.016, 0.016, 0.012, 0.012])
    plain, with_ring = side_force_integrals(x, r, 5, 0.0), side_force_integrals(ringed, ring, 9, 0.0)
    np.testing.assert_allclose(plain, with_ring, rtol=1e-12)


@given(bodies)
def test_strips_keep_the_side_view_and_its_centre(body):
    x, r = body
    area, centre = np.empty(6), np.empty(6)
    cross_strips(x, r, len(x), 6, area, centre)
    side = np.sum((r[:-1] + r[1:]) * np.diff(x))
    moment = sum(
        (x[i + 1] - x[i]) * (x[i] * (r[i] + r[i + 1]) + (x[i + 1] - x[i]) * (r[i] + 2 * r[i + 1]) / 3)
        for i in range(len(x) - 1)
    )
    assert area.sum() == pytest.approx(side, rel=1e-9, abs=1e-15)
    assert (area * centre).sum() == pytest.approx(moment, rel=1e-9, abs=1e-15)
    assert np.all(np.diff(centre) > 0.0)


@given(st.floats(0.0, 1e4), st.floats(0.0, 1e4))
def test_a_longer_body_never_has_the_smaller_cross_drag(a, b):
    low, high = sorted((a, b))
    assert 0.64 <= cross_drag_coefficient(low) <= cross_drag_coefficient(high) <= 1.2
