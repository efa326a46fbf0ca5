"""Air against ISO 2533, CIPM-2007, CoolProp and the ambiance and fluids libraries."""

import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI
from scipy.integrate import quad

from bottlewright.physics.air import air_column, density_viscosity, moist_density, viscosity

ISA_SITE = air_column(101325.0, 288.15, 0.0, 9.80665)
EARTH = 6356766.0


def above(height: float) -> tuple[float, float, float, float]:
    """Density, viscosity, temperature and pressure: the pressure left over the weight of our own air below."""
    weight, _ = quad(
        lambda z: density_viscosity(ISA_SITE, z)[0] * 9.80665 * (EARTH / (EARTH + z)) ** 2, 0.0, height, epsrel=1e-12
    )
    (density, mu), pressure = density_viscosity(ISA_SITE, height), 101325.0 - weight
    return density, mu, pressure / (density * ISA_SITE[2]), pressure


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
    rho, _, _, p = above(height)
    # Real dry air weighs 4.3e-4 more than the ideal gas of the standard (compressibility): density and pressure differ
    # from the standard by that, and the ratio of densities by less.
    assert p == pytest.approx(pressure, rel=6e-5)
    assert rho == pytest.approx(density, rel=4.5e-4)
    assert rho / above(0.0)[0] == pytest.approx(density / 1.225, rel=6e-5)


@pytest.mark.parametrize("height", [100.0, 300.0, 2000.0, 5000.0])
def test_lapse_agrees_with_ambiance(height):
    from ambiance import Atmosphere

    standard = Atmosphere(height)
    _, mu, temperature, pressure = above(height)
    assert temperature == pytest.approx(float(standard.temperature[0]), abs=1e-3)
    assert pressure == pytest.approx(float(standard.pressure[0]), rel=4e-4)
    assert mu == pytest.approx(float(standard.dynamic_viscosity[0]), rel=1e-5)


def test_lapse_agrees_with_fluids():
    from fluids.atmosphere import ATMOSPHERE_1976

    standard = ATMOSPHERE_1976(800.0)
    assert above(800.0)[2] == pytest.approx(standard.T, abs=1e-3)
    assert above(800.0)[3] == pytest.approx(standard.P, rel=6e-5)


def test_viscosity_of_sutherland():
    # ISO 2533 at sea level 1.7894e-5 Pa s; CoolProp's reference correlation is 0.4 % higher, Sutherland's miss.
    assert viscosity(288.15) == pytest.approx(1.7894e-5, rel=1e-4)
    assert viscosity(293.15) == pytest.approx(PropsSI("V", "T", 293.15, "P", 101325, "Air"), rel=5e-3)
