"""Air against ISO 2533, CIPM-2007, CoolProp and the ambiance and fluids libraries."""

import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI

from bottlewright.physics.air import air_at, air_column, moist_density, sound_speed, viscosity

ISA_SITE = air_column(101325.0, 288.15, 0.0, 9.80665)


@pytest.mark.parametrize(
    ("humidity", "density"),
    # CIPM-2007 at 20 °C and 101 325 Pa, computed from the published formula.
    [(0.5, 1.199314), (0.0, 1.204557)],
)
def test_moist_air_of_cipm_2007(humidity, density):
    assert moist_density(101325.0, 293.15, humidity) == pytest.approx(density, abs=1e-6)


@pytest.mark.parametrize("celsius", [-20.0, 0.0, 20.0, 40.0])
@pytest.mark.parametrize("humidity", [0.0, 0.5, 0.95])
@pytest.mark.parametrize("pressure", [80e3, 101325.0])
def test_moist_air_agrees_with_the_ashrae_real_gas_mixture(celsius, humidity, pressure):
    # CoolProp's humid air; below 0 °C it takes humidity over ice and CIPM over water, which differ there, so dry only.
    if celsius < 0.0 and humidity > 0.0:
        humidity = 0.0
    reference = 1.0 / HAPropsSI("Vha", "T", celsius + 273.15, "P", pressure, "R", humidity)
    assert moist_density(pressure, celsius + 273.15, humidity) == pytest.approx(reference, rel=6e-5)


@pytest.mark.parametrize(
    ("height", "pressure", "density"),
    # ISO 2533 by geometric height.
    [(0.0, 101325.0, 1.225), (500.0, 95461.29, 1.167273), (1000.0, 89876.28, 1.111660)],
)
def test_standard_atmosphere(height, pressure, density):
    rho, _, _, p = air_at(ISA_SITE, height)
    # Real dry air weighs 4.3e-4 more than the ideal gas of the standard (compressibility): density and pressure differ
    # from the standard by that, and the ratio of densities by less.
    assert p == pytest.approx(pressure, rel=6e-5)
    assert rho == pytest.approx(density, rel=4.5e-4)
    assert rho / air_at(ISA_SITE, 0.0)[0] == pytest.approx(density / 1.225, rel=6e-5)


@pytest.mark.parametrize("height", [100.0, 300.0, 2000.0, 5000.0])
def test_lapse_agrees_with_ambiance(height):
    from ambiance import Atmosphere

    standard = Atmosphere(height)
    _, mu, temperature, pressure = air_at(ISA_SITE, height)
    assert temperature == pytest.approx(float(standard.temperature[0]), abs=1e-3)
    assert pressure == pytest.approx(float(standard.pressure[0]), rel=4e-4)
    assert mu == pytest.approx(float(standard.dynamic_viscosity[0]), rel=1e-5)


def test_lapse_agrees_with_fluids():
    from fluids.atmosphere import ATMOSPHERE_1976

    standard = ATMOSPHERE_1976(800.0)
    assert air_at(ISA_SITE, 800.0)[2] == pytest.approx(standard.T, abs=1e-3)
    assert air_at(ISA_SITE, 800.0)[3] == pytest.approx(standard.P, rel=6e-5)


def test_viscosity_of_sutherland():
    # ISO 2533 at sea level 1.7894e-5 Pa s; CoolProp's reference correlation is 0.4 % higher, Sutherland's miss.
    assert viscosity(288.15) == pytest.approx(1.7894e-5, rel=1e-4)
    assert viscosity(293.15) == pytest.approx(PropsSI("V", "T", 293.15, "P", 101325, "Air"), rel=5e-3)


def test_speed_of_sound():
    # ISO 2533 at sea level 340.294 m/s; moist air at 20 °C, 50 %: 344.0 m/s (Cramer, JASA 93, 2510, 1993; recalled).
    assert sound_speed(ISA_SITE, 0.0) == pytest.approx(340.294, rel=1e-4)
    assert sound_speed(air_column(101325.0, 293.15, 0.5, 9.80665), 0.0) == pytest.approx(344.0, rel=1e-3)
