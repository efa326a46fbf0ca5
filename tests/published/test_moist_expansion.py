"""Saturated air that grows to twice its volume without heat, mist in equilibrium; worked out from textbook relations.

Liquid without ice is assumed: below 0 °C the mist stays liquid.
"""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from firings import doubled
from scipy.optimize import brentq


@pytest.mark.parametrize(("pressure", "exponent"), [(300e3, 1.323), (500e3, 1.353)])
def test_mean_exponent(pressure, exponent):
    end, _ = doubled("moist", pressure)
    assert math.log(pressure / end) / math.log(2) == pytest.approx(exponent, abs=5e-4)


def test_end_of_a_moist_expansion():
    pressure, temperature = doubled("moist", 500e3)
    assert pressure == pytest.approx(195.80e3, rel=1e-4)
    assert temperature == pytest.approx(230.7, abs=0.1)


def test_end_of_a_dry_expansion():
    pressure, temperature = doubled("dry", 500e3)
    assert pressure == pytest.approx(189.46e3, rel=3e-5)
    assert temperature == pytest.approx(222.2, abs=0.05)


def test_moist_expansion_above_freezing_is_that_of_reference_properties():
    """Constant entropy with IAPWS-95 and CoolProp's air, from 60 °C so that no ice can form.

    Partial pressures of ideal mixing; the vapour's own states on its saturation line.
    """
    start_t, ratio, pressure = 333.15, 1.3, 300e3

    def saturated(t: float) -> tuple[float, float, float, float]:
        p = PropsSI("P", "T", t, "Q", 1, "Water")
        return (p, PropsSI("D", "T", t, "Q", 1, "Water"), PropsSI("S", "T", t, "Q", 1, "Water"),
                PropsSI("S", "T", t, "Q", 0, "Water"))  # fmt: skip

    e0, rho0, _, _ = saturated(start_t)
    dry = PropsSI("D", "T", start_t, "P", pressure - e0, "Air")

    def entropy(t: float, volume: float) -> float:
        _, rho, vapour, liquid = saturated(t)
        air = PropsSI("S", "T", t, "D", dry / volume, "Air")
        return dry * air + rho * volume * vapour + (rho0 - rho * volume) * liquid

    end_t = brentq(lambda t: entropy(t, ratio) - entropy(start_t, 1.0), 280.0, start_t)
    end_p = saturated(end_t)[0] + PropsSI("P", "T", end_t, "D", dry / ratio, "Air")
    ours_p, ours_t = _ours(start_t, pressure, ratio)
    assert ours_t == pytest.approx(end_t, abs=0.3)
    assert ours_p == pytest.approx(end_p, rel=2e-3)


def _ours(temperature: float, pressure: float, ratio: float) -> tuple[float, float]:
    from scipy.integrate import solve_ivp

    from bottlewright.physics.gas import MOIST, expansion_slope, gas_pressure, saturation_pressure, start_masses

    dry, vapour = start_masses(pressure, temperature, 1.0, MOIST, temperature)

    def slope(volume: float, y: list[float]) -> list[float]:
        t = float(y[0])
        capacity, by_volume = expansion_slope(dry, vapour, t, volume, saturation_pressure(vapour, t), MOIST, 1.4)
        return [-by_volume / capacity]

    end = float(solve_ivp(slope, (1.0, ratio), [temperature], method="DOP853", rtol=1e-11, atol=1e-9).y[0, -1])
    return gas_pressure(dry, vapour, end, ratio, saturation_pressure(vapour, end)), end
