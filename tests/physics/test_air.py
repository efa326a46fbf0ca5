"""Air above the site: what holds for any site."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.air import air_column, density_viscosity, moist_density

pressures = st.floats(50e3, 108e3)
temperatures = st.floats(243.0, 318.0)
humidities = st.floats(0.0, 1.0)


@given(pressures, temperatures, humidities)
def test_air_at_the_site_is_what_was_measured(pressure, temperature, humidity):
    density, _ = density_viscosity(air_column(pressure, temperature, humidity, 9.81), 0.0)
    assert density == moist_density(pressure, temperature, humidity)


@given(pressures, temperatures, humidities, st.floats(-200.0, 3000.0), st.floats(9.78, 9.84))
def test_the_density_is_that_of_air_that_carries_its_own_weight(pressure, temperature, humidity, height, gravity):
    """d ln ρ/dz = −(g/R + dT/dz)/T for the gas constant of the site and the standard lapse."""
    column, step = air_column(pressure, temperature, humidity, gravity), 0.5
    above, below = (density_viscosity(column, height + side)[0] for side in (step, -step))
    geopotential = (gravity / 9.80665) * 6356766.0 / (6356766.0 + height)
    lapse = -0.0065 * geopotential * 6356766.0 / (6356766.0 + height)
    there = temperature - 0.0065 * geopotential * height
    gas_constant = pressure / (moist_density(pressure, temperature, humidity) * temperature)
    weight = gravity * (6356766.0 / (6356766.0 + height)) ** 2
    assert math.log(above / below) / (2 * step) == pytest.approx(-(weight / gas_constant + lapse) / there, rel=1e-6)


@given(pressures, st.floats(273.15, 318.0))
def test_damp_air_is_lighter(pressure, temperature):
    dry, damp = (air_column(pressure, temperature, humidity, 9.81) for humidity in (0.0, 0.9))
    assert density_viscosity(damp, 10.0)[0] < density_viscosity(dry, 10.0)[0]


@given(st.floats(0.0, 3500.0))
def test_the_series_near_the_ground_is_the_power_itself(height):
    column = air_column(99e3, 285.0, 0.6, 9.81)
    cooler = 1.0 - 0.0065 * column[4] * 6356766.0 * height / (6356766.0 + height) / 285.0
    assert density_viscosity(column, height)[0] == pytest.approx(column[1] * cooler ** column[3], rel=3e-15)


def test_air_stays_finite_far_above_any_rocket():
    density, viscosity = density_viscosity(air_column(99e3, 285.0, 0.6, 9.81), 1e6)
    assert 0.2 < density < 0.5
    assert viscosity > 0.0
