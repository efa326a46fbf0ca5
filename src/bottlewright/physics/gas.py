"""Air in the bottle: moist, dry or polytropic, while water leaves; and its outflow when the water is gone.

State while water leaves: dry air mass m_a, water substance m_t in the gas space (vapour m_v and mist m_c in
equilibrium), temperature T, volume V. First law for the closed contents of the gas space, with the internal energy of
vaporisation L − R_v T (derived in docs/physics/gas.md):

    [m_a c_va + m_v c_vv + m_c c_l + (L − R_v T) ∂m_v/∂T] dT = −[p + (L − R_v T) ∂m_v/∂V] dV + δQ

with m_v = e_s(T) V / (R_v T) while that is below m_t. Ice is not formed: below 0 °C the mist stays liquid.
"""

import math

from bottlewright.physics import inline_jit, jit
from bottlewright.physics.water import (
    C_LIQUID,
    CP_DRY,
    CV_DRY,
    CV_VAPOUR,
    R_DRY,
    R_VAPOUR,
    latent_heat,
    vapour_pressure,
)

__all__ = [
    "DRY",
    "GAMMA",
    "MOIST",
    "POLYTROPIC",
    "charging_temperature",
    "critical_flow_factor",
    "critical_pressure_ratio",
    "expansion_slope",
    "gas_pressure",
    "gas_volume_stretched",
    "nozzle_flow",
    "saturation_pressure",
    "start_masses",
]

MOIST, DRY, POLYTROPIC = 0, 1, 2

GAMMA = CP_DRY / CV_DRY


@jit
def start_masses(
    pressure: float, temperature: float, volume: float, model: int, vapour_at: float
) -> tuple[float, float]:
    """Return dry air mass and water substance (kg) of gas that is saturated at a temperature.

    Parameters
    ----------
    pressure
        Absolute, Pa.
    temperature, volume
        Of the gas, K and m³.
    model
        `MOIST`, `DRY` or `POLYTROPIC`; only moist gas holds vapour.
    vapour_at
        Temperature that the vapour pressure is taken at, K: the water's.
    """
    vapour = min(vapour_pressure(vapour_at), 0.5 * pressure) if model == MOIST else 0.0
    return (pressure - vapour) * volume / (R_DRY * temperature), vapour * volume / (R_VAPOUR * temperature)


@jit
def saturation_pressure(water: float, temperature: float) -> float:
    """Vapour pressure, Pa, of gas that holds water substance (kg) at a temperature (K); zero for dry gas."""
    return vapour_pressure(temperature) if water > 0.0 else 0.0


@jit
def _vapour_mass(water: float, temperature: float, volume: float, saturation: float) -> tuple[float, bool]:
    """Vapour in equilibrium, kg, and whether the gas is saturated."""
    if water <= 0.0:
        return 0.0, False
    saturated = saturation * volume / (R_VAPOUR * temperature)
    return (saturated, True) if saturated < water else (water, False)


@inline_jit
def gas_pressure(dry: float, water: float, temperature: float, volume: float, saturation: float) -> float:
    """Absolute pressure, Pa, of dry air and water substance (kg) in a volume (m³) at a temperature (K).

    `saturation` is `saturation_pressure` at that temperature, Pa, worked out once for all who need it.
    """
    vapour, _ = _vapour_mass(water, temperature, volume, saturation)
    return (dry * R_DRY + vapour * R_VAPOUR) * temperature / volume


@inline_jit
def expansion_slope(
    dry: float, water: float, temperature: float, volume: float, saturation: float, model: int, exponent: float
) -> tuple[float, float]:
    """Return (C, B): the heat balance C dT = −B dV + δQ, C in J/K and B in Pa.

    For a fixed polytropic exponent n the same form holds with C = p V / ((n − 1) T) and B = p, so that p Vⁿ stays
    constant; an exponent of 1 gives dT = 0.
    """
    vapour, saturated = _vapour_mass(water, temperature, volume, saturation)
    pressure = (dry * R_DRY + vapour * R_VAPOUR) * temperature / volume
    if model == POLYTROPIC:
        if exponent <= 1.0 + 1e-12:
            return 1e30, pressure
        return pressure * volume / ((exponent - 1.0) * temperature), pressure
    capacity = dry * CV_DRY + vapour * CV_VAPOUR + (water - vapour) * C_LIQUID
    slope = pressure
    if saturated:
        latent = latent_heat(temperature)
        energy = latent - R_VAPOUR * temperature
        capacity += energy * vapour * (latent / (R_VAPOUR * temperature**2) - 1.0 / temperature)
        slope += energy * vapour / volume
    return capacity, slope


@inline_jit
def gas_volume_stretched(
    rest_volume: float, compliance: float, filled_volume: float, dry: float, water: float, temperature: float,
    saturation: float, ambient: float,
) -> tuple[float, float, float, float]:  # fmt: skip
    """Gas volume of an elastic vessel, m³, its slopes with the filled volume, temperature (m³/K), dry air (m³/kg).

    The vessel's volume is V₀ (1 + κ (p − p_a)); with p = K/V_g + e (K the dry air's and any unsaturated vapour's
    m R T, e the saturation pressure) the gas volume is the positive root of V_g² − b V_g − V₀ κ K = 0.

    Parameters
    ----------
    rest_volume, compliance
        V₀ in m³ and κ in 1/Pa; κ = 0 for a rigid vessel.
    filled_volume, dry, water, temperature, saturation, ambient
        Taken up by water (and by a launch tube) m³, dry air kg, water substance kg, K, saturation pressure
        and ambient Pa.
    """
    rigid = rest_volume - filled_volume
    if compliance == 0.0:
        return rigid, -1.0, 0.0, 0.0
    swell = rest_volume * compliance
    gas = dry * R_DRY
    held = 0.0
    slope_held = 0.0
    if water > 0.0:
        held = saturation
        if held * rigid / (R_VAPOUR * temperature) < water:
            slope_held = held * latent_heat(temperature) / (R_VAPOUR * temperature**2)
        else:
            gas += water * R_VAPOUR
            held = 0.0
    linear = rigid + swell * (held - ambient)
    root = math.sqrt(linear * linear + 4.0 * swell * gas * temperature)
    volume = 0.5 * (linear + root)
    by_linear = 0.5 * (1.0 + linear / root)
    by_heat = by_linear * swell * slope_held + swell * gas / root
    return volume, -by_linear, by_heat, swell * R_DRY * temperature / root


@jit
def charging_temperature(start: float, inflow: float, ratio: float, kept: float) -> float:
    """Gas temperature just after pumping, K.

    A vessel filled without loss of heat from p₁ to p₂ = ratio·p₁ with air that arrives at a temperature T_in ends at
    T₂ = p₂ T₁ / (p₁ + (p₂ − p₁) T₁/(γ T_in)) (energy balance of a filling vessel, any thermodynamics text). Only a part
    `kept` of the rise is left when the rocket goes.
    """
    hot = ratio * start / (1.0 + (ratio - 1.0) * start / (GAMMA * inflow))
    return start + kept * (hot - start)


@jit
def critical_pressure_ratio(gamma: float) -> float:
    """Ratio of throat to stagnation pressure at which the flow chokes, (2/(γ+1))^(γ/(γ−1))."""
    return float((2.0 / (gamma + 1.0)) ** (gamma / (gamma - 1.0)))


@jit
def critical_flow_factor(gamma: float) -> float:
    """Critical flow function C* = √γ (2/(γ+1))^((γ+1)/(2(γ−1))) (ISO 9300, ideal gas)."""
    return float(math.sqrt(gamma) * (2.0 / (gamma + 1.0)) ** ((gamma + 1.0) / (2.0 * (gamma - 1.0))))


@inline_jit
def nozzle_flow(
    root_excess: float, ambient: float, temperature: float, gas_constant: float, gamma: float, area: float
) -> tuple[float, float]:
    """Mass flow (kg/s) and thrust (N) of gas through a converging opening.

    Parameters
    ----------
    root_excess
        s = √(p/p_a − 1), with its sign: flow and pressure are smooth in s down to the end, where they are not in p.
    ambient
        p_a, Pa.
    temperature, gas_constant, gamma
        Stagnation K, J/(kg K), ratio of heats.
    area
        Effective area, coefficient × bore area, m².
    """
    ratio = 1.0 + root_excess * root_excess
    pressure = ambient * ratio
    if critical_pressure_ratio(gamma) * ratio >= 1.0:
        flow = area * pressure * critical_flow_factor(gamma) / math.sqrt(gas_constant * temperature)
        exit_pressure = pressure * critical_pressure_ratio(gamma)
        return flow, area * (exit_pressure * (1.0 + gamma) - ambient)
    power = (gamma - 1.0) / gamma
    drop = -math.expm1(-power * math.log1p(root_excess * root_excess))
    speed = math.copysign(
        math.sqrt(2.0 * gamma / (gamma - 1.0) * gas_constant * temperature * max(drop, 0.0)), root_excess
    )
    density = ambient / (gas_constant * temperature * (1.0 - drop))
    flow = area * density * speed
    return flow, flow * speed
