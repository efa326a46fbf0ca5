"""Water: the limits that follow from thermodynamics alone."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.water import (
    C_LIQUID,
    CP_VAPOUR,
    P_TRIPLE,
    R_VAPOUR,
    T_TRIPLE,
    density_of_water,
    latent_heat,
    vapour_pressure,
)


def test_vapour_pressure_starts_from_the_triple_point():
    assert vapour_pressure(T_TRIPLE) == P_TRIPLE


@given(st.floats(220.0, 345.0))
def test_vapour_pressure_obeys_clausius_and_clapeyron(temperature):
    step = 1e-3
    slope = (math.log(vapour_pressure(temperature + step)) - math.log(vapour_pressure(temperature - step))) / (2 * step)
    assert slope == pytest.approx(latent_heat(temperature) / (R_VAPOUR * temperature**2), rel=1e-7)


@given(st.floats(220.0, 340.0))
def test_latent_heat_obeys_kirchhoff(temperature):
    assert latent_heat(temperature + 1.0) - latent_heat(temperature) == pytest.approx(CP_VAPOUR - C_LIQUID, rel=1e-6)


def test_water_is_densest_near_four_degrees():
    densities = {tenth: density_of_water(273.15 + tenth / 10) for tenth in range(81)}
    assert max(densities, key=densities.__getitem__) == 40
