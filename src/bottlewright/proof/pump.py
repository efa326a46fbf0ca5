"""Filling a vessel with a piston pump: strokes, reach, force, work, warmth, leaks, back-flow. Pressures absolute."""

import math

__all__ = [
    "adiabatic_work",
    "backflow_volume",
    "bubbled_temperature",
    "cooled_pressure",
    "gas_time_constant",
    "handle_force",
    "isothermal_work",
    "leak_rate",
    "reachable_pressure",
    "squeezed_temperature",
    "strokes",
    "volumetric_efficiency",
    "warmth_left",
]

_GAMMA = 1.4
_CV = 717.6  # J/(kg K), dry air
_R = 287.05  # J/(kg K), dry air


def volumetric_efficiency(pressure: float, ambient: float, clearance_ratio: float, exponent: float = 1.0) -> float:
    """Return the part of the swept volume that a stroke draws in, 1 + C − C·(p/pa)^(1/n).

    What is left in the clearance expands first. Source: any text on reciprocating compressors, such as Bhatt and
    Mehta, ch. 8.
    """
    return 1.0 + clearance_ratio - clearance_ratio * math.pow(pressure / ambient, 1.0 / exponent)


def reachable_pressure(swept: float, clearance: float, ambient: float) -> float:
    """Return the highest pressure that the pump reaches, pa·(Vs + Vc)/Vc, Pa; infinite without clearance.

    There the whole stroke is used to squeeze the air in the clearance (slow, at constant temperature).
    """
    return ambient * (swept + clearance) / clearance if clearance > 0.0 else math.inf


def strokes(
    pressure: float, volume: float, swept: float, clearance: float, ambient: float, start: float | None = None
) -> float:
    """Return the number of strokes, with its fraction, that fill a volume to a pressure; infinite when out of reach.

    Ideal gas at constant temperature. At the end of a stroke the clearance is joined with the vessel, so
    p' (V + Vc) = p V + pa (Vs + Vc): a geometric approach to the reachable pressure.

    Parameters
    ----------
    pressure, ambient, start
        Absolute, Pa; `start` is ambient when left out.
    volume
        Gas volume of vessel and hose, m³.
    swept, clearance
        Of the pump, m³.
    """
    start = ambient if start is None else start
    if pressure <= start:
        return 0.0
    if clearance <= 0.0:
        return (pressure - start) * volume / (ambient * swept)
    top = reachable_pressure(swept, clearance, ambient)
    if pressure >= top:
        return math.inf
    return math.log((top - start) / (top - pressure)) / math.log1p(clearance / volume)


def handle_force(gauge: float, bore: float) -> float:
    """Return the force on the pump's piston against a gauge pressure, p π d²/4, N; friction comes on top."""
    return gauge * 0.25 * math.pi * bore**2


def isothermal_work(pressure: float, volume: float, ambient: float) -> float:
    """Return the least work of filling a volume from ambient, V·[p ln(p/pa) − (p − pa)], J: slow, no warming."""
    return volume * (pressure * math.log(pressure / ambient) - (pressure - ambient))


def adiabatic_work(pressure: float, volume: float, ambient: float) -> float:
    """Return the work of filling a volume when each stroke compresses without losing heat and cools after, J.

    Each stroke's steady-flow work γ/(γ−1)·pa·Vs·[(p/pa)^((γ−1)/γ) − 1], summed over the strokes of a vessel that stays
    at ambient temperature: V·γ/(γ−1)·∫[(p/pa)^k − 1] dp, k = (γ−1)/γ.
    """
    k = (_GAMMA - 1.0) / _GAMMA
    ratio = pressure / ambient
    return volume * ambient / k * ((math.pow(ratio, 1.0 + k) - 1.0) / (1.0 + k) - (ratio - 1.0))


def gas_time_constant(pressure: float, volume: float, temperature: float, area: float, transfer: float) -> float:
    """Return how long the gas takes to lose its warmth to the wall, m·cv/(h·A), s (lumped cooling, any heat text)."""
    return pressure * volume / (_R * temperature) * _CV / (transfer * area)


def squeezed_temperature(pressure: float, ambient: float, temperature: float) -> float:
    """Return the temperature of air filled in dry and without heat loss, Ta·(p/pa)^((γ−1)/γ), K.

    Every stroke's air has been compressed without loss, so all of it ends as if compressed in one go.
    """
    return temperature * math.pow(pressure / ambient, (_GAMMA - 1.0) / _GAMMA)


def bubbled_temperature(pressure: float, ambient: float, temperature: float) -> float:
    """Return the temperature of the air when what comes in has taken the water's temperature on its way, K.

    Filling of a rigid vessel from a supply at Tw, no loss to the wall: m cv T = m0 cv Tw + (m − m0) cp Tw (any
    thermodynamics text), so T = Tw·[γ − (γ − 1) m0/m] with m/m0 = 1 + (p/pa − 1)/γ.
    """
    more = 1.0 + (pressure / ambient - 1.0) / _GAMMA
    return temperature * (_GAMMA - (_GAMMA - 1.0) / more)


def warmth_left(duration: float, constant: float) -> float:
    """Return the part of the warmth left at the end of pumping, (τ/t)·(1 − e^(−t/τ)).

    Warmth put in evenly over a time t and lost at a time constant τ (first-order lag; derived in docs/prove.md).
    """
    return constant / duration * -math.expm1(-duration / constant) if duration > 0.0 else 1.0


def cooled_pressure(pressure: float, warm: float, cool: float) -> float:
    """Return the absolute pressure after the closed gas has cooled, p·Tcool/Twarm, Pa (Gay-Lussac)."""
    return pressure * cool / warm


def leak_rate(drop: float, volume: float, duration: float, ambient: float) -> float:
    """Return the leak as a volume of outside air per second, V Δp/(pa t), m³/s, at constant temperature."""
    return volume * drop / (ambient * duration)


def backflow_volume(head: float, hose_volume: float, pressure: float, open_end: bool, density: float = 998.2) -> float:
    """Return the water that gravity alone pushes back into a hose, m³.

    With its far end shut, the head squeezes the hose's air: V·(1 − p/(p + ρ g h)). With its end open, the whole hose.

    Parameters
    ----------
    head
        Height of the water's surface above the highest point of the hose, m; nothing flows when it is not positive.
    pressure
        Absolute pressure in the hose, Pa.
    """
    if head <= 0.0:
        return 0.0
    if open_end:
        return hose_volume
    extra = density * 9.80665 * head
    return hose_volume * extra / (pressure + extra)
