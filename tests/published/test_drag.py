"""Friction, form factors and bluff bodies against published values."""

import math

import numpy as np
import pytest

from bottlewright.physics.airframe import AIRFRAME_SIZE, REFERENCE_AREA, air_loads, prepare_airframe
from bottlewright.physics.drag import (
    body_form_factor,
    laminar_friction,
    nose_coefficient,
    skin_friction,
    turbulent_friction,
)
from bottlewright.physics.outer_shape import ELLIPSOID
from bottlewright.physics.slender_body import cross_drag_coefficient


def airframe(x, r, nose=(0.0, 0.0), fins=(0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)):
    """Return the coefficients of a smooth body with square-edged fins (count, root, tip, span, sweep, place, thick)."""
    coef = np.zeros(AIRFRAME_SIZE)
    x, r = np.array(x, dtype=float), np.array(r, dtype=float)
    prepare_airframe(x, r, len(x), *nose, *fins, 0, 0.0, 0.0, 0.4, 1.0, math.nan, np.empty((2, len(x))), coef)
    return coef


def coefficient(x, r, velocity, axis, area=None, nose=(0.0, 0.0)):
    """Return the drag coefficient of a bare smooth body in air at 1.2 kg/m³, 1.8e-5 Pa s."""
    coef = airframe(x, r, nose)
    force = air_loads(coef, 1.2, 1.8e-5, *velocity, 0.0, 0.0, 0.0, 0.0)[axis]
    return abs(force) / (0.6 * np.dot(velocity, velocity)) / (coef[REFERENCE_AREA] if area is None else area)


def test_skin_friction_at_a_reynolds_number_of_a_million():
    # Schlichting, Boundary-Layer Theory: Blasius 0.001328, Prandtl-Schlichting 0.004471, 0.074/Re^0.2 0.004669.
    assert laminar_friction(1e6) == pytest.approx(0.001328, abs=5e-7)
    assert turbulent_friction(1e6, 0.0) == pytest.approx(0.004471, abs=5e-7)
    assert turbulent_friction(1e6, 0.0) == pytest.approx(0.004669, rel=0.05)
    # His mixed form with transition at 5e5, less 1700/Re, as quoted (original not checked): ours is 3 % above it here.
    assert skin_friction(1e6, 0.0) == pytest.approx(0.004471 - 1700 / 1e6, rel=0.035)


def test_a_rough_plate_has_the_friction_of_schlichtings_table():
    # (1.89 + 1.62 log10(l/k))^-2.5 at l/k = 1e3 and 1e5: 0.00847 and 0.00319 by hand.
    assert turbulent_friction(1e9, 1e-3) == pytest.approx(6.75**-2.5, rel=1e-12)
    assert turbulent_friction(1e9, 1e-5) == pytest.approx(9.99**-2.5, rel=1e-12)


def test_hoerners_form_factor():
    # 1 + 1.5 (d/l)^1.5 + 7 (d/l)^3, Hoerner, Fluid-Dynamic Drag, as quoted (original not checked).
    assert body_form_factor(4.0) == pytest.approx(1.29688, abs=5.001e-6)
    assert body_form_factor(6.0) == pytest.approx(1.13447, abs=5e-6)


ROUND = 0.1 * (1 - np.cos(np.linspace(0, math.pi / 2, 17))), 0.1 * np.sin(np.linspace(0, math.pi / 2, 17))
"""Hemisphere of radius 0.1 m."""


def test_a_disc_is_a_bluff_body():
    # Munson, Fundamentals of Fluid Mechanics, and Matthews's data book: 1.1 to 1.2.
    assert 1.1 <= coefficient([0.0, 0.0, 0.001], [0.0, 0.1, 0.1], (15.0, 0.0, 0.0), 0) <= 1.2


def test_a_hemisphere_flat_side_first():
    # Munson: 1.17. Ours 1.13: 3 % below, because its curved back counts as a base only where it is steep.
    assert coefficient(*ROUND, (-15.0, 0.0, 0.0), 0) == pytest.approx(1.17, rel=0.04)


def test_a_hemisphere_round_side_first():
    # Munson: 0.42. Ours is 2 % below: a disc's base, since there is no side behind the shoulder, and friction.
    found = coefficient(*ROUND, (15.0, 0.0, 0.0), 0, nose=(0.1, nose_coefficient(ELLIPSOID, 0.1, 0.1)))
    assert found == pytest.approx(0.42, rel=0.04)


@pytest.mark.parametrize(("fineness", "published"), [(0.5, 1.15), (1.0, 0.91), (2.0, 0.85), (4.0, 0.87)])
def test_a_flat_ended_cylinder_along_the_stream(fineness, published):
    # Matthews, Aeronautical Engineer's Data Book, p. 95 (read), but for l/d 0.5: Munson (original not checked). The two
    # short ones set the law for short bodies; the two long ones are free checks.
    x, r = [0.0, 0.0, 0.2 * fineness], [0.0, 0.1, 0.1]
    assert coefficient(x, r, (15.0, 0.0, 0.0), 0) == pytest.approx(published, rel=0.10)


@pytest.mark.parametrize(("fineness", "published"), [(5.0, 0.74), (1000.0, 1.2)])
def test_a_cylinder_across_the_stream(fineness, published):
    # Matthews, Aeronautical Engineer's Data Book, p. 95 (read): 1.20 without ends, 0.74 at five diameters.
    x, r = [0.0, 0.0, 0.1 * fineness], [0.0, 0.05, 0.05]
    found = coefficient(x, r, (0.0, 0.0, 10.0), 2, area=0.01 * fineness)
    assert found == pytest.approx(published, rel=5e-3)


def test_galejs_factor_lies_above_ours_for_a_rocket():
    # Galejs takes K = 1.1 on the side view at any length (original not checked); the measured values are lower.
    assert 0.6 < cross_drag_coefficient(8.0) / 1.1 < 0.8


def test_a_plate_across_the_stream():
    # Matthews, Aeronautical Engineer's Data Book, p. 95 (read): square plate 1.17; Munson: 1.1 to 1.2.
    coef = airframe([0.0, 1e-4], [0.0, 1e-4], fins=(2, 0.1, 0.1, 0.05, 0.0, 0.0, 1e-3))
    force = -air_loads(coef, 1.2, 1.8e-5, 0.0, 0.0, 10.0, 0.0, 0.0, 0.0, 0.0)[2]
    assert force / (0.6 * 100.0 * 0.01) == pytest.approx(1.17, rel=1e-3)
