"""Shells and solids of frusta against textbook bodies and quadrature."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from bottlewright.physics.mass import fin_ring, shell_of_frusta, solid_of_frusta

steps = st.lists(st.tuples(st.floats(0.005, 0.2), st.floats(0.001, 0.1)), min_size=2, max_size=6)


def stack(pairs):
    return np.concatenate([[0.0], np.cumsum([d for d, _ in pairs[1:]])]), np.array([r for _, r in pairs])


def test_thin_frustum():
    """Worked out from the integrals: r 0.02 to 0.05, h 0.12, 1 kg."""
    _, centre, axial, transverse = shell_of_frusta(np.array([0.0, 0.12]), np.array([0.02, 0.05]), 0, 2)
    assert centre == pytest.approx(0.0685714, abs=5e-8)
    assert axial == pytest.approx(0.00145, abs=1e-12)
    assert transverse == pytest.approx(0.00185153, abs=5e-9)


def test_thin_tube_and_solid_rod():
    x, r = np.array([0.1, 0.4]), np.array([0.03, 0.03])
    assert shell_of_frusta(x, r, 0, 2) == pytest.approx((2 * math.pi * 0.03 * 0.3, 0.25, 9e-4, 4.5e-4 + 0.09 / 12))
    assert solid_of_frusta(x, r, 0, 2) == pytest.approx((math.pi * 9e-4 * 0.3, 0.25, 4.5e-4, 2.25e-4 + 0.09 / 12))


def test_solid_cone():
    """Centre at 3/4 of the height from the tip, moments 3/10 r² and 3/80 (4 r² + h²) (any mechanics text)."""
    volume, centre, axial, transverse = solid_of_frusta(np.array([0.0, 0.2]), np.array([0.0, 0.05]), 0, 2)
    assert (volume, centre) == pytest.approx((math.pi * 0.05**2 * 0.2 / 3, 0.15))
    assert (axial, transverse) == pytest.approx((0.3 * 0.05**2, 3 / 80 * (4 * 0.05**2 + 0.2**2)))


@given(steps)
@settings(max_examples=40)
def test_shell_is_that_of_quadrature(pairs):
    x, r = stack(pairs)
    area, centre, axial, transverse = shell_of_frusta(x, r, 0, len(x))
    sums = np.zeros(4)
    for i in range(1, len(x)):
        slant = math.hypot(1.0, (r[i] - r[i - 1]) / (x[i] - x[i - 1]))
        for k, f in enumerate((lambda _s, _a: 1.0, lambda s, _a: s, lambda _s, a: a * a, lambda s, _a: s * s)):
            sums[k] += quad(lambda s, f=f, w=slant: f(s, np.interp(s, x, r)) * 2 * math.pi * np.interp(s, x, r) * w,
                            x[i - 1], x[i])[0]  # fmt: skip
    assert area == pytest.approx(sums[0], rel=1e-9)
    assert centre == pytest.approx(sums[1] / area, rel=1e-9)
    assert axial == pytest.approx(sums[2] / area, rel=1e-9)
    assert transverse == pytest.approx(sums[3] / area - centre**2 + axial / 2, rel=1e-8)


@given(steps)
@settings(max_examples=40)
def test_solid_is_that_of_quadrature(pairs):
    x, r = stack(pairs)
    volume, centre, axial, transverse = solid_of_frusta(x, r, 0, len(x))
    sums = np.zeros(4)
    for i in range(1, len(x)):
        for k, f in enumerate((lambda _s, _a: 1.0, lambda s, _a: s, lambda _s, a: a * a / 2, lambda s, _a: s * s)):
            sums[k] += quad(lambda s, f=f: f(s, np.interp(s, x, r)) * math.pi * np.interp(s, x, r) ** 2,
                            x[i - 1], x[i])[0]  # fmt: skip
    assert volume == pytest.approx(sums[0], rel=1e-9)
    assert centre == pytest.approx(sums[1] / volume, rel=1e-9)
    assert axial == pytest.approx(sums[2] / volume, rel=1e-9)
    assert transverse == pytest.approx(sums[3] / volume - centre**2 + axial / 2, rel=1e-8)


def test_nothing_has_no_mass():
    point = np.array([0.1, 0.1]), np.array([0.0, 0.0])
    assert shell_of_frusta(*point, 0, 2) == (0.0, 0.1, 0.0, 0.0)
    assert solid_of_frusta(*point, 0, 2) == (0.0, 0.1, 0.0, 0.0)


@given(st.floats(0.01, 0.3), st.floats(0.0, 0.3), st.floats(0.01, 0.3), st.floats(-0.2, 0.4), st.floats(0.0, 0.1))
def test_a_ring_of_fins_is_that_of_sums_over_its_strips(root, tip, span, sweep, radius):
    part = (np.arange(4000) + 0.5) / 4000
    chord, front, out = root + (tip - root) * part, sweep * part, radius + span * part
    total = np.sum(chord)
    centre = np.sum(chord * (front + 0.5 * chord)) / total
    square = np.sum(chord * (front * front + front * chord + chord * chord / 3.0)) / total
    ring = np.sum(chord * out * out) / total
    expected = (centre, ring, square - centre * centre + 0.5 * ring)
    assert fin_ring(root, tip, span, sweep, radius) == pytest.approx(expected, rel=1e-5, abs=1e-9)
