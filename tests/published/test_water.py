"""Water against IAPWS-95 (through CoolProp 8.0.0) and against published latent heats."""

import math

import pytest
from CoolProp.CoolProp import PropsSI

from bottlewright.physics.water import density_of_water, latent_heat, vapour_pressure


@pytest.mark.parametrize(("celsius", "density"), [(10.0, 999.7025), (20.0, 998.2072)])
def test_density_of_water_at_the_usual_temperatures(celsius, density):
    # IAPWS-95 through CoolProp; Kell's fit is 0.0001 kg/m³ away.
    assert density_of_water(celsius + 273.15) == pytest.approx(density, abs=2e-4)


@pytest.mark.parametrize("celsius", [0.5, 4.0, 15.0, 30.0, 45.0, 60.0, 70.0])
def test_density_of_water_follows_iapws_from_ice_to_hot_tap(celsius):
    assert density_of_water(celsius + 273.15) == pytest.approx(
        PropsSI("D", "T", celsius + 273.15, "P", 101325, "Water"), rel=1e-5
    )


@pytest.mark.parametrize(("celsius", "pressure", "deviation"), [(10.0, 1228.20, -3.8e-4), (20.0, 2339.32, -8.5e-4)])
def test_vapour_pressure_and_its_known_deviation(celsius, pressure, deviation):
    # IAPWS-95 through CoolProp. The constant-property form is low by the deviation given; both sides of it are held.
    assert vapour_pressure(celsius + 273.15) / pressure - 1.0 == pytest.approx(deviation, abs=2e-5)


@pytest.mark.parametrize(("celsius", "limit"), [(1.0, 1e-4), (30.0, 2e-3), (40.0, 2.5e-3), (60.0, 5.5e-3)])
def test_vapour_pressure_follows_iapws(celsius, limit):
    assert vapour_pressure(celsius + 273.15) == pytest.approx(
        PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water"), rel=limit
    )


@pytest.mark.parametrize("kelvin", [235.0, 245.0, 255.0, 265.0])
def test_vapour_pressure_over_supercooled_water(kelvin):
    # Murphy and Koop, Q. J. R. Meteorol. Soc. 131, 1539, 2005, eq. 10, as quoted; original not checked.
    ln = 54.842763 - 6763.22 / kelvin - 4.210 * math.log(kelvin) + 0.000367 * kelvin
    ln += math.tanh(0.0415 * (kelvin - 218.8)) * (
        53.878 - 1331.22 / kelvin - 9.44523 * math.log(kelvin) + 0.014025 * kelvin
    )
    assert vapour_pressure(kelvin) == pytest.approx(math.exp(ln), rel=6e-3)


@pytest.mark.parametrize("celsius", [1.0, 20.0, 40.0, 60.0])
def test_latent_heat_follows_iapws(celsius):
    t = celsius + 273.15
    real = PropsSI("H", "T", t, "Q", 1, "Water") - PropsSI("H", "T", t, "Q", 0, "Water")
    assert latent_heat(t) == pytest.approx(real, rel=2e-3)
