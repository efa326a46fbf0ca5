"""The spray after gas has broken through: a homogeneous mixture of water and gas through the opening.

The gas expands along its own isentrope between the droplets, which keep their heat: with quality x (mass fraction of
gas in the outflow) the mixture's specific volume at a pressure p_e = η p is v = (1 − x)/ρ + x (R T/p) η^(−1/γ), and
the energy equation gives

    u²/2 = (1 − x) p (1 − η)/ρ + x γ/(γ − 1) R T (1 − η^((γ−1)/γ)).

With v_g = (R T/p) η^(−1/γ) the gas's share of it at the opening, the mixture chokes where u equals its own sound speed,

    c² = −v² dp_e/dv = γ p_e v² / (x v_g),

which is Wood's for droplets that neither slip nor exchange heat (Wood, A Textbook of Sound, 1930). Slip between gas and
drops changes the quality x of what leaves, not the momentum, which is counted at one common speed. Derived in
docs/physics/spray.md.
"""

import math

from bottlewright.physics import inline_jit, jit

__all__ = ["spray_flow"]


@inline_jit
def _spray_at(
    eta: float, quality: float, density: float, pressure: float, gas_volume: float, gamma: float
) -> tuple[float, float, float]:
    """Jet speed squared, mixture specific volume and sound speed squared at the exit pressure η p."""
    log = math.log(eta)
    square = 2.0 * (
        (1.0 - quality) * pressure * (1.0 - eta) / density
        + quality * gamma / (gamma - 1.0) * pressure * gas_volume * -math.expm1((gamma - 1.0) / gamma * log)
    )
    there = gas_volume * math.exp(-log / gamma)
    volume = (1.0 - quality) / density + quality * there
    return square, volume, volume * volume * gamma * eta * pressure / (quality * there)


@inline_jit
def _throat(
    low: float, excess: float, quality: float, density: float, pressure: float, gas_volume: float, gamma: float
) -> tuple[float, float, float]:
    """Pressure ratio, jet speed squared and specific volume where u = c, by Illinois regula falsi.

    u² − c² falls steadily from `excess` at `low` to −c² at η = 1.
    """
    high, f_low, side = 1.0, excess, 0
    _, _, sound = _spray_at(1.0, quality, density, pressure, gas_volume, gamma)
    f_high = -sound
    eta, square, volume = low, 0.0, 0.0
    for _ in range(60):
        eta = low - f_low * (high - low) / (f_high - f_low)
        square, volume, sound = _spray_at(eta, quality, density, pressure, gas_volume, gamma)
        f = square - sound
        if abs(f) <= 1e-13 * sound or high - low < 1e-15:
            break
        if f > 0.0:
            low, f_low = eta, f
            f_high *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            high, f_high = eta, f
            f_low *= 0.5 if side == -1 else 1.0
            side = -1
    return eta, square, volume


@jit
def spray_flow(
    pressure: float, ambient: float, quality: float, density: float, gas_volume: float, gamma: float, area: float
) -> tuple[float, float, bool]:
    """Mass flow (kg/s), thrust (N) and whether the opening is choked.

    Parameters
    ----------
    pressure, ambient
        In the vessel and outside, absolute Pa.
    quality, density
        Mass fraction of gas in the outflow; water density kg/m³.
    gas_volume, gamma
        Specific volume of the gas in the vessel, m³/kg; its ratio of heats.
    area
        Effective area, coefficient × bore area, m².
    """
    if pressure <= ambient:
        return 0.0, 0.0, False
    low = ambient / pressure
    square, volume, sound = _spray_at(low, quality, density, pressure, gas_volume, gamma)
    choked = square > sound
    eta = low
    if choked:
        eta, square, volume = _throat(low, square - sound, quality, density, pressure, gas_volume, gamma)
    speed = math.sqrt(square)
    flow = area * speed / volume
    exit_pressure = eta * pressure if choked else ambient
    return flow, flow * speed + area * (exit_pressure - ambient), choked
