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

_NEAR_THROAT = 0.5
"""Pressure ratio near which the throat lies: 0.55 of gas alone, 0.3 of little gas under a high pressure."""


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
    low: float, quality: float, density: float, pressure: float, gas_volume: float, gamma: float
) -> tuple[float, float, float]:
    """Pressure ratio, jet speed squared and specific volume where u = c, by Newton's method from the middle.

    u² − c² falls from `low`, where it is positive, to −c² at η = 1. With v the specific volume of the mixture and v_g
    the gas's, x v_g = `there`: du²/dη = −2 p v, as Bernoulli has it, dv/dη = −x v_g/(γ η), and
    c² = v² γ η p/(x v_g). Three or four turns find it to the last digits; a turn that would leave the range between
    `low` and 1, as none has that was tried, is cut to half the way there.
    """
    eta, square, volume = max(low, _NEAR_THROAT), 0.0, 0.0
    for _ in range(60):
        there = quality * gas_volume * math.exp(-math.log(eta) / gamma)
        volume = (1.0 - quality) / density + there
        square = 2.0 * pressure * (
            (1.0 - quality) * (1.0 - eta) / density
            + gamma / (gamma - 1.0) * (quality * gas_volume - eta * there)
        )
        sound = volume * volume * gamma * eta * pressure / there
        beyond = square - sound
        if abs(beyond) <= 1e-13 * sound:
            break
        steepness = 2.0 * pressure * volume + sound * (1.0 + 1.0 / gamma - 2.0 * there / (gamma * volume)) / eta
        further = eta + beyond / steepness
        if further <= low:
            further = 0.5 * (eta + low)
        elif further >= 1.0:
            further = 0.5 * (eta + 1.0)
        if further == eta:
            break
        eta = further
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
        eta, square, volume = _throat(low, quality, density, pressure, gas_volume, gamma)
    speed = math.sqrt(square)
    flow = area * speed / volume
    exit_pressure = eta * pressure if choked else ambient
    return flow, flow * speed + area * (exit_pressure - ambient), choked
