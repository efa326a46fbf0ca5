"""Air above the site: what holds for any site."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.air import air_at, air_column, density_viscosity, moist_density, sound_speed

pressures = st.floats(50e3, 108e3)
temperatures = st.floats(243.0, 318.0)
humidities = st.floats(0.0, 1.0)


@given(pressures, temperatures, humidities)
def test_air_at_the_site_is_what_was_measured(pressure, temperature, humidity):
    density, _, t, p = air_at(air_column(pressure, temperature, humidity, 9.81), 0.0)
    assert t == temperature
    assert p == pytest.approx(pressure, rel=1e-14)
    assert density == moist_density(pressure, temperature, humidity)


@given(pressures, temperatures, humidities, st.floats(-200.0, 3000.0), st.floats(9.78, 9.84))
def test_pressure_balances_the_weight_of_the_air(pressure, temperature, humidity, height, gravity):
    column = air_column(pressure, temperature, humidity, gravity)
    step = 0.5
    slope = (air_at(column, height + step)[3] - air_at(column, height - step)[3]) / (2 * step)
    there = gravity * (6356766.0 / (6356766.0 + height)) ** 2
    assert slope == pytest.approx(-air_at(column, height)[0] * there, rel=1e-6)


@given(pressures, st.floats(273.15, 318.0))
def test_damp_air_is_lighter_and_carries_sound_faster(pressure, temperature):
    dry, damp = (air_column(pressure, temperature, humidity, 9.81) for humidity in (0.0, 0.9))
    assert air_at(damp, 10.0)[0] < air_at(dry, 10.0)[0]
    assert sound_speed(damp, 10.0) > sound_speed(dry, 10.0)


@given(st.floats(-500.0, 50e3))
def test_the_quick_form_is_the_long_form(height):
    column = air_column(99e3, 285.0, 0.6, 9.81)
    assert density_viscosity(column, height) == air_at(column, height)[:2]


def test_air_stays_finite_far_above_any_rocket():
    density, viscosity = density_viscosity(air_column(99e3, 285.0, 0.6, 9.81), 1e6)
    assert 0.2 < density < 0.5
    assert viscosity > 0.0
