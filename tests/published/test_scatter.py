"""Scatter statistics against exact Gaussian cases: Rayleigh radii, and the elliptical case worked out on its own."""

import math

import numpy as np
import pytest
from scipy.integrate import dblquad

from bottlewright.field.outlines import circle_radius, dense_outlines, gaussian_ellipse

CIRCULAR = {0.5: 1.17741, 0.9: 2.14597, 0.95: 2.44775}  # sigmas, Rayleigh distribution, exact
HALF = {0.5: 0.87042, 0.9: 1.73708, 0.95: 2.03586}  # ratio of the two standard deviations 0.5


@pytest.mark.parametrize("level", CIRCULAR)
def test_radius_of_a_circular_scatter(level):
    assert circle_radius(1.0, 1.0, level) == pytest.approx(CIRCULAR[level], abs=5e-6)


@pytest.mark.parametrize("level", HALF)
def test_radius_of_an_elliptical_scatter_of_ratio_one_half(level):
    assert circle_radius(1.0, 0.5, level) == pytest.approx(HALF[level], abs=5e-6)


@pytest.mark.parametrize(("long", "short"), [(1.0, 0.2), (3.0, 2.0)])
def test_radius_agrees_with_the_integral_of_the_density_over_the_disc(long, short):
    radius = circle_radius(long, short, 0.8)

    def density(r, angle):
        x, y = r * math.cos(angle), r * math.sin(angle)
        return r * math.exp(-((x / long) ** 2 + (y / short) ** 2) / 2) / (2 * math.pi * long * short)

    inside, _ = dblquad(density, 0.0, 2 * math.pi, 0.0, radius)
    assert inside == pytest.approx(0.8, abs=1e-7)


def test_radius_of_a_scatter_along_a_line_is_the_two_sided_normal_quantile():
    assert circle_radius(1.0, 0.0, 0.95) == pytest.approx(1.959964, abs=2e-3)


@pytest.fixture(scope="module")
def slanted():
    """20 000 landings about (12, −5) m, 9 m and 3 m standard deviations, the long one along 60°."""
    along, across = np.random.default_rng(4).normal(size=(2, 20_000)) * [[9.0], [3.0]]
    sin, cos = math.sin(math.radians(60)), math.cos(math.radians(60))
    return np.column_stack([12.0 + along * sin + across * cos, -5.0 + along * cos - across * sin])


@pytest.mark.parametrize("level", CIRCULAR)
def test_the_gaussian_ellipse_has_the_axes_of_the_scatter(slanted, level):
    ellipse = gaussian_ellipse(slanted, level)
    assert (ellipse.east, ellipse.north) == pytest.approx((12.0, -5.0), abs=0.2)
    assert ellipse.long == pytest.approx(9.0 * CIRCULAR[level], rel=0.015)
    assert ellipse.short == pytest.approx(3.0 * CIRCULAR[level], rel=0.015)
    assert math.degrees(ellipse.bearing) == pytest.approx(60.0, abs=0.7)


@pytest.mark.parametrize("level", CIRCULAR)
def test_the_dense_outline_of_a_gaussian_has_the_area_of_its_ellipse_and_holds_its_share(slanted, level):
    import shapely

    (_, ground), = dense_outlines(slanted, (level,))
    assert np.mean(shapely.contains_xy(ground, slanted)) == pytest.approx(level, abs=0.004)
    exact = math.pi * 9.0 * 3.0 * CIRCULAR[level] ** 2
    assert ground.area == pytest.approx(exact, rel=0.06)
