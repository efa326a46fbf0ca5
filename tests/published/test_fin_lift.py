"""Lift of fins against published slopes, a vortex lattice of our own, and slender-body theory."""

import math

import numpy as np
import pytest

from bottlewright.physics.fins import fin_slope, mean_chord, wing_factor


def lattice(root, tip, span, sweep, chordwise=8, spanwise=32):
    """Return slope, centre of pressure and the place where a turn is felt, of a fin and its mirror image.

    Plane horseshoe vortices at a quarter of each panel, the wall condition at three quarters, the outermost panels a
    quarter panel short of the tip (Hough, J. Aircraft 10, 309, 1973; original not checked).
    """
    reach = span * (1.0 - 0.25 / (0.5 * spanwise + 0.25))
    edges = np.linspace(-reach, reach, spanwise + 1)

    def corners(y, within):
        part = (np.arange(chordwise)[:, None] + within) / chordwise
        place = sweep * np.abs(y) / span + part * (root + (tip - root) * np.abs(y) / span)
        return np.stack([place, np.broadcast_to(y, place.shape)], axis=-1).reshape(-1, 2)

    start, end = corners(edges[:-1], 0.25), corners(edges[1:], 0.25)
    wall = corners(0.5 * (edges[:-1] + edges[1:]), 0.75)
    a, b, bound = wall[:, None] - start, wall[:, None] - end, end - start
    far_a, far_b = np.hypot(a[..., 0], a[..., 1]), np.hypot(b[..., 0], b[..., 1])
    wash = (np.sum(a * bound, axis=-1) / far_a - np.sum(b * bound, axis=-1) / far_b) / (
        a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    )
    wash += -(1.0 + a[..., 0] / far_a) / a[..., 1] + (1.0 + b[..., 0] / far_b) / b[..., 1]
    lift = np.linalg.solve(wash / (4.0 * np.pi), -np.ones(len(wall))) * bound[:, 1]
    turn = np.linalg.solve(wash / (4.0 * np.pi), -wall[:, 0]) * bound[:, 1]
    area = (root + tip) * span
    middle = 0.5 * (start + end)[:, 0]
    return 2.0 * lift.sum() / area, (lift * middle).sum() / lift.sum(), turn.sum() / lift.sum()


# Lifting-surface values of rectangular wings (published; original not checked).
@pytest.mark.parametrize(("aspect", "published", "above"), [(1.0, 1.4602, 0.016), (2.0, 2.4744, 0.052)])
def test_barrowmans_slope_is_a_little_above_lifting_surface_theory(aspect, published, above):
    assert lattice(1.0, 1.0, 0.5 * aspect, 0.0)[0] == pytest.approx(published, rel=1e-3)
    assert fin_slope(1.0, 1.0, 0.5 * aspect, 0.0) / published - 1.0 == pytest.approx(above, abs=5e-4)


FINS = [(80.0, 40.0, 60.0, 40.0), (100.0, 100.0, 50.0, 0.0), (100.0, 50.0, 100.0, 50.0), (100.0, 0.1, 60.0, 100.0)]


@pytest.mark.parametrize("fin", FINS)
def test_ordinary_fins_agree_with_a_vortex_lattice(fin):
    slope, centre, felt = lattice(*fin)
    chord, front, _ = mean_chord(*fin)
    assert fin_slope(*fin) == pytest.approx(slope, rel=0.07)
    # The quarter and three-quarter points are those of a wing without ends: real ones lie within a tenth of the chord.
    assert centre == pytest.approx(front + 0.25 * chord, abs=0.15 * chord)
    assert felt == pytest.approx(front + 0.75 * chord, abs=0.10 * chord)


def naca_1307_factor(radius, span):
    """K of the wing in the presence of the body, closed form of slender bodies (NACA 1307; original not checked)."""
    t = radius / (span + radius)
    first = (1.0 + t**4) * (0.5 * math.atan(0.5 * (1.0 / t - t)) + 0.25 * math.pi)
    second = t * t * ((1.0 / t - t) + 2.0 * math.atan(t))
    return 2.0 / math.pi * (first - second) / (1.0 - t) ** 2


# NACA Report 1307, K of the wing with the body (original not checked), radius over half span of the whole.
@pytest.mark.parametrize(("part", "published"), [(0.2, 1.1616), (0.4, 1.3493)])
def test_the_body_raises_the_fins_force(part, published):
    assert naca_1307_factor(part, 1.0 - part) == pytest.approx(published, abs=5e-5)
    # Barrowman's straight line, which we use, is 3.3 % and 3.8 % above.
    assert wing_factor(part, 1.0 - part) / published - 1.0 == pytest.approx(0.0355, abs=0.004)
