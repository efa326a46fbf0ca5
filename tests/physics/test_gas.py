"""Gas in the bottle against the laws it stands on: first law, entropy, Kirchhoff, energy of what leaves."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bottlewright.physics.gas import (
    DRY,
    GAMMA,
    MOIST,
    POLYTROPIC,
    charging_temperature,
    critical_flow_factor,
    critical_pressure_ratio,
    expansion_slope,
    gas_pressure,
    gas_volume_stretched,
    nozzle_flow,
    saturation_pressure,
    start_masses,
)
from bottlewright.physics.water import (
    C_LIQUID,
    CP_DRY,
    CP_VAPOUR,
    CV_DRY,
    CV_VAPOUR,
    R_DRY,
    R_VAPOUR,
    latent_heat,
    vapour_pressure,
)

temperatures = st.floats(235.0, 335.0)
pressures = st.floats(1.2e5, 1.2e6)


def energy(dry, water, t, volume):
    """Internal energy of dry air, vapour and mist, J, up to a constant of each: u_v − u_l = L − R_v T."""
    vapour = min(vapour_pressure(t) * volume / (R_VAPOUR * t), water)
    return dry * CV_DRY * t + water * C_LIQUID * t + vapour * (latent_heat(t) - R_VAPOUR * t)


@given(temperatures)
def test_clausius_clapeyron_holds_exactly(t):
    h = 1e-3
    slope = (math.log(vapour_pressure(t + h)) - math.log(vapour_pressure(t - h))) / (2 * h)
    assert slope == pytest.approx(latent_heat(t) / (R_VAPOUR * t * t), rel=1e-7)


def test_kirchhoff_latent_heat_falls_with_the_difference_of_the_heats():
    assert latent_heat(300.0) - latent_heat(299.0) == pytest.approx(CP_VAPOUR - C_LIQUID, rel=1e-9)
    assert pytest.approx(R_VAPOUR) == CP_VAPOUR - CV_VAPOUR
    assert pytest.approx(R_DRY) == CP_DRY - CV_DRY
    assert pytest.approx(1.4, rel=1e-15) == GAMMA


@given(temperatures, pressures, st.floats(0.3, 3.0))
def test_the_balance_is_the_first_law(t, pressure, wetness):
    """C dT = −B dV says dU = −p dV: differentiate the internal energy along it, saturated or not."""
    dry, vapour = start_masses(pressure, t, 1e-3, MOIST, t)
    water = vapour * wetness
    assume(abs(wetness - 1.0) > 1e-3)
    e = saturation_pressure(water, t)
    capacity, by_volume = expansion_slope(dry, water, t, 1e-3, e, MOIST, 1.4)
    step = 1e-8
    dt = by_volume / capacity * step
    change = energy(dry, water, t - dt, 1e-3 + step) - energy(dry, water, t + dt, 1e-3 - step)
    assert change / (2 * step) == pytest.approx(-gas_pressure(dry, water, t, 1e-3, e), rel=1e-5)


@given(temperatures, pressures)
def test_a_moist_expansion_keeps_its_entropy(t, pressure):
    dry, water = start_masses(pressure, t, 1.0, MOIST, t)

    def slope(volume, y):
        capacity, by_volume = expansion_slope(dry, water, y[0], volume, vapour_pressure(y[0]), MOIST, 1.4)
        return [-by_volume / capacity]

    def entropy(temperature, volume):
        vapour = vapour_pressure(temperature) * volume / (R_VAPOUR * temperature)
        return (
            dry * (CV_DRY * math.log(temperature) + R_DRY * math.log(volume))
            + water * C_LIQUID * math.log(temperature) + vapour * latent_heat(temperature) / temperature
        )  # fmt: skip

    end = float(solve_ivp(slope, (1.0, 2.0), [t], method="DOP853", rtol=1e-12, atol=1e-12).y[0, -1])
    assert entropy(end, 2.0) == pytest.approx(entropy(t, 1.0), abs=1e-8 * dry * CV_DRY)


@given(temperatures, pressures)
def test_dry_gas_and_an_exponent_of_1_4_are_the_same(t, pressure):
    dry, vapour = start_masses(pressure, t, 1e-3, DRY, t)
    assert vapour == 0.0
    balances = [expansion_slope(dry, 0.0, t, 1e-3, 0.0, model, 1.4) for model in (DRY, POLYTROPIC)]
    assert balances[0] == pytest.approx(balances[1], rel=1e-12)
    assert balances[0][1] / balances[0][0] == pytest.approx(0.4 * t / 1e-3, rel=1e-12)


def test_an_exponent_of_one_keeps_the_temperature():
    capacity, by_volume = expansion_slope(1e-3, 0.0, 300.0, 1e-3, 0.0, POLYTROPIC, 1.0)
    assert by_volume / capacity < 1e-20


@given(temperatures, pressures)
def test_saturated_gas_starts_at_the_pressure_asked_for(t, pressure):
    dry, vapour = start_masses(pressure, t, 1e-3, MOIST, t)
    assert gas_pressure(dry, vapour, t, 1e-3, vapour_pressure(t)) == pytest.approx(pressure, rel=1e-12)


@given(temperatures, pressures, st.floats(1e-9, 1e-7), st.booleans())
def test_an_elastic_vessel_is_as_large_as_its_pressure_makes_it(t, pressure, compliance, moist):
    """V_g + V_w = V₀ (1 + κ (p − p_a)), and the two slopes are those of finite steps."""
    rest, filled, ambient = 2e-3, 0.7e-3, 1e5
    dry, water = start_masses(pressure, t, 1.25e-3, MOIST if moist else DRY, t)
    water *= 3.0

    def volume(full, at, air=dry):
        return gas_volume_stretched(rest, compliance, full, air, water, at, saturation_pressure(water, at), ambient)

    here, by_water, by_heat, by_air = volume(filled, t)
    p = gas_pressure(dry, water, t, here, saturation_pressure(water, t))
    assert here + filled == pytest.approx(rest * (1 + compliance * (p - ambient)), rel=1e-12)
    step = 1e-8
    assert by_water == pytest.approx((volume(filled + step, t)[0] - volume(filled - step, t)[0]) / (2 * step), rel=1e-6)
    assert by_heat == pytest.approx((volume(filled, t + 0.01)[0] - volume(filled, t - 0.01)[0]) / 0.02, rel=1e-5)
    more = 1e-4 * dry
    grown = (volume(filled, t, dry + more)[0] - volume(filled, t, dry - more)[0]) / (2 * more)
    assert by_air == pytest.approx(grown, rel=1e-5)


def test_a_rigid_vessel_has_what_the_water_leaves():
    assert gas_volume_stretched(2e-3, 0.0, 0.5e-3, 1e-3, 0.0, 300.0, 0.0, 1e5) == (1.5e-3, -1.0, 0.0, 0.0)


@given(st.floats(0.02, 3.0), st.floats(220.0, 330.0))
def test_flow_of_gas_keeps_energy_and_momentum(root, t):
    """Unchoked: the speed is that of the enthalpy drop to the ambient, the thrust ṁ u."""
    flow, thrust = nozzle_flow(root, 1e5, t, R_DRY, 1.4, 1e-4)
    ratio = 1 + root * root
    if ratio * critical_pressure_ratio(1.4) < 1:
        cold = t * ratio ** (-0.4 / 1.4)
        speed = math.sqrt(2 * CP_DRY * (t - cold))
        assert flow == pytest.approx(1e-4 * 1e5 / (R_DRY * cold) * speed, rel=1e-10)
        assert thrust == pytest.approx(flow * speed, rel=1e-12)
    else:
        throat = t * 2 / 2.4
        speed, p = math.sqrt(1.4 * R_DRY * throat), 1e5 * ratio * critical_pressure_ratio(1.4)
        assert flow == pytest.approx(1e-4 * p / (R_DRY * throat) * speed, rel=1e-10)
        assert thrust == pytest.approx(flow * speed + (p - 1e5) * 1e-4, rel=1e-10)


def test_flow_and_thrust_do_not_jump_where_the_flow_unchokes():
    root = math.sqrt(1 / critical_pressure_ratio(1.4) - 1)
    below, above = (nozzle_flow(root + d, 1e5, 290.0, R_DRY, 1.4, 1e-4) for d in (-1e-9, 1e-9))
    assert below == pytest.approx(above, rel=1e-7)
    assert above[0] == pytest.approx(1e-4 * 1e5 * (1 + root**2) * critical_flow_factor(1.4) / math.sqrt(R_DRY * 290.0))


def test_flow_dies_in_proportion_to_the_root_of_the_excess():
    """ṁ/s → A √(2 ρ p_a) as s → 0, the incompressible limit, and odd in s."""
    flow, _ = nozzle_flow(1e-5, 1e5, 290.0, R_DRY, 1.4, 1e-4)
    assert flow / 1e-5 == pytest.approx(1e-4 * math.sqrt(2 * 1e5 / (R_DRY * 290.0) * 1e5), rel=1e-8)
    assert nozzle_flow(-1e-5, 1e5, 290.0, R_DRY, 1.4, 1e-4)[0] == pytest.approx(-flow, rel=1e-12)


def test_pumping_without_loss_heats_by_gamma_at_most():
    """From nothing to much: T₂ → γ T_in, the filling of an empty vessel; kept = 0 leaves it cold."""
    assert charging_temperature(290.0, 290.0, 1e9, 1.0) == pytest.approx(1.4 * 290.0, rel=1e-8)
    assert charging_temperature(290.0, 290.0, 5.0, 0.0) == 290.0
    assert charging_temperature(290.0, 290.0, 1.0, 1.0) == pytest.approx(290.0)
