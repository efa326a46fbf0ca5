"""Water and its vapour: density, latent heat, saturation pressure, and the gas constants that go with them.

The saturation pressure is the exact integral of Clausius–Clapeyron for an ideal vapour over a liquid of no volume, with
constant specific heats (the Rankine–Kirchhoff approximations; Romps, Q. J. R. Meteorol. Soc., 2021, doi
10.1002/qj.4154, as described by others; original not checked). It is chosen over a more accurate fit because it obeys
d(e_s)/dT = L e_s/(R_v T²) with the very `latent_heat` of this file, so an energy balance built on the pair closes
exactly.
"""

import math

from bottlewright.physics import inline_jit, jit

__all__ = [
    "CP_DRY",
    "CP_VAPOUR",
    "CV_DRY",
    "CV_VAPOUR",
    "C_LIQUID",
    "LATENT_TRIPLE",
    "P_TRIPLE",
    "R_DRY",
    "R_VAPOUR",
    "T_TRIPLE",
    "density_of_water",
    "latent_heat",
    "vapour_pressure",
]

R_DRY = 287.05
"""Specific gas constant of dry air, J/(kg K): ISO 2533 has 287.05287, CIPM-2007 (0.04 % CO₂) 287.048."""
R_VAPOUR = 461.5
"""Of water vapour, J/(kg K): the molar 8.314463 J/(mol K) over 18.01527 g/mol is 461.52."""
CV_DRY = 2.5 * R_DRY
"""J/(kg K): a rigid two-atom gas, so γ is exactly 7/5; within 0.2 % of real air from 220 to 320 K."""
CP_DRY = CV_DRY + R_DRY
CP_VAPOUR = 1870.0
"""Of vapour near the triple point, J/(kg K); tables of the trade span 1860–1890 (original not checked)."""
CV_VAPOUR = CP_VAPOUR - R_VAPOUR
C_LIQUID = 4190.0
"""Of liquid water, J/(kg K): 4219 at 0 °C, 4184 at 20 °C, 4180 at 40 °C (IAPWS-95)."""
T_TRIPLE = 273.16
P_TRIPLE = 611.655
"""Triple point, K and Pa (Guildner, Johnson and Jones 1976 give 611.657 ± 0.010; IAPWS-95 611.655)."""
LATENT_TRIPLE = 2.501e6
"""Latent heat of vaporisation at the triple point, J/kg: the rounded textbook value; IAPWS-95 gives 2.5009e6."""

_KELL_TO_SMOW = 999.97495 / 999.972


@jit
def density_of_water(temperature: float) -> float:
    """Density of air-free liquid water at one atmosphere, kg/m³.

    Kell (J. Chem. Eng. Data 20, 97, 1975; coefficients as quoted, checked against IAPWS-95; original not checked),
    scaled from its old greatest density 999.972 to 999.97495 kg/m³ (Tanaka et al., Metrologia 38, 301, 2001). Water in
    the bottle is denser by 4.6e-10 a Pa, 0.02 % at 5 bar, which is left out.

    Parameters
    ----------
    temperature
        K; fitted from 0 °C to 150 °C, followed smoothly a little way below.
    """
    t = temperature - 273.15
    top = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return _KELL_TO_SMOW * top / (1.0 + 16.879850e-3 * t)


@jit
def latent_heat(temperature: float) -> float:
    """Latent heat of vaporisation of water, J/kg, falling in a straight line with temperature (Kirchhoff)."""
    return LATENT_TRIPLE + (CP_VAPOUR - C_LIQUID) * (temperature - T_TRIPLE)


@inline_jit
def vapour_pressure(temperature: float) -> float:
    """Saturation pressure over liquid water, Pa; below 0 °C over supercooled water, never over ice.

    Parameters
    ----------
    temperature
        K.
    """
    power = (CP_VAPOUR - C_LIQUID) / R_VAPOUR
    heat = (LATENT_TRIPLE - (CP_VAPOUR - C_LIQUID) * T_TRIPLE) / R_VAPOUR
    ratio = temperature / T_TRIPLE
    return P_TRIPLE * math.exp(power * math.log(ratio) + heat * (1.0 / T_TRIPLE - 1.0 / temperature))
