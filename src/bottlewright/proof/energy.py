"""What a pressurised vessel holds: energy by three named methods, water-filled, and in plain comparisons.

The methods differ by about two, so a figure is never given without its name. Pressures named gauge are gauge, the
others absolute.
"""

import math
from dataclasses import dataclass

from bottlewright.proof.strength import volume_growth

__all__ = [
    "PCC2_AMBIENT",
    "StoredEnergy",
    "brode",
    "drop_height",
    "isentropic",
    "isothermal",
    "pcc2_distance",
    "stored_energy",
    "tnt_equivalent",
    "water_filled",
]

PCC2_AMBIENT = 101_000.0
"""Pa, the atmosphere that ASME PCC-2 art. 501 puts into its energy equation."""

_GAMMA = 1.4  # ratio of specific heats of air
_TNT = 4_266_920.0  # J/kg, ASME PCC-2 art. 501
_WATER_COMPRESSIBILITY = 4.6e-10  # 1/Pa near 20 °C, IAPWS-95 gives 4.59e-10
_G0 = 9.80665


def isentropic(pressure: float, volume: float, ambient: float = PCC2_AMBIENT) -> float:
    """Return the work of gas expanding without heat down to ambient, J.

    E = 2.5·P·V·[1 − (Pa/P)^0.286] for air, with the numbers as ASME PCC-2, article 501, prints them (0.286 is 2/7).

    Parameters
    ----------
    pressure, ambient
        Absolute, Pa.
    volume
        Of the gas, m³.
    """
    return 2.5 * pressure * volume * (1.0 - math.pow(ambient / pressure, 0.286))


def isothermal(pressure: float, volume: float, ambient: float = PCC2_AMBIENT) -> float:
    """Return the work of gas expanding at constant temperature down to ambient, p V ln(p/pa), J.

    Source: any thermodynamics text; an upper bound, since no bottle bursts slowly.
    """
    return pressure * volume * math.log(pressure / ambient)


def brode(gauge: float, volume: float) -> float:
    """Return the heat put into the gas at constant volume to reach this pressure, (p − pa)·V/(γ − 1), J.

    Source: D. A. Crowl, Understanding Explosions, CCPS 2003, appendix B, eq. B-1 (read), after Brode 1959.
    """
    return gauge * volume / (_GAMMA - 1.0)


def water_filled(
    gauge: float, volume: float, radius: float, wall: float, modulus: float, poisson: float
) -> tuple[float, float]:
    """Return the energy in the compressed water and in the stretched wall of a brim-full vessel, J each.

    Water ½ κ p² V; wall ½ p ΔV with the thin-cylinder growth. Both linear-elastic, from p = 0.
    """
    water = 0.5 * _WATER_COMPRESSIBILITY * gauge**2 * volume
    return water, 0.5 * gauge * volume * volume_growth(gauge, radius, wall, modulus, poisson)


def tnt_equivalent(energy: float) -> float:
    """Return the mass of TNT with this energy, kg. Source: ASME PCC-2 art. 501, 4 266 920 J/kg."""
    return energy / _TNT


def pcc2_distance(energy: float) -> float:
    """Return the scaled blast distance 20 m/kg^(1/3) · TNT^(1/3), m. Source: ASME PCC-2 art. 501.

    The standard's own limit is the larger of this and 30 m, written for plant piping with its long run of metal.
    """
    return 20.0 * math.cbrt(tnt_equivalent(energy))


def drop_height(energy: float, mass: float) -> float:
    """Return the height from which a mass falls with this energy, m."""
    return energy / (mass * _G0)


@dataclass(frozen=True, slots=True)
class StoredEnergy:
    """Energy of one state of the vessel, by each method, and what it compares with."""

    state: str
    gauge_Pa: float
    gas_volume_m3: float
    isentropic_J: float
    isothermal_J: float
    brode_J: float
    wall_J: float
    water_J: float
    tnt_kg: float
    pcc2_distance_m: float
    drop_of_5_kg_m: float


def stored_energy(
    state: str, gauge: float, gas: float, water: float, wall: float, ambient: float = PCC2_AMBIENT
) -> StoredEnergy:
    """Gather the methods for a gas volume at a gauge pressure, with the water's and wall's share already known."""
    pressure = gauge + ambient
    by_gas = isentropic(pressure, gas, ambient)
    total = by_gas + water + wall
    return StoredEnergy(
        state, gauge, gas, by_gas, isothermal(pressure, gas, ambient), brode(gauge, gas), wall, water,
        tnt_equivalent(total), pcc2_distance(total), drop_height(total, 5.0),
    )
