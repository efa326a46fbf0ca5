"""Air above the site: density, viscosity, temperature and pressure from what was measured on the ground.

At the site the density is CIPM-2007's, moist and compressible. Above it the temperature falls by ISO 2533's 6.5 K a
geopotential kilometre and the pressure follows from hydrostatic balance, with the mixture at the site held constant;
its gas constant is p/(ρ T) at the site, so that density is continuous there. Heights are geometric, above the site.
"""

import math
from typing import TypeAlias

from bottlewright.physics import FloatArray, inline_jit, jit

__all__ = ["AIR_COLUMN", "Column", "air_column", "density_viscosity", "moist_density", "pressure_at", "viscosity"]

AIR_COLUMN = 5
"""Numbers in a column of air: temperature (K) and density (kg/m³) at the site, gas constant (J/(kg K)), exponent of the
density, geopotential metres a geometric metre at the site."""

Column: TypeAlias = tuple[float, float, float, float, float] | FloatArray
"""One such column."""

G0 = 9.80665
LAPSE = -0.0065
EARTH_RADIUS = 6356766.0
"""Standard gravity, lapse in K per geopotential metre, nominal radius of the Earth: ISO 2533."""
TROPOPAUSE = 11000.0


@jit
def _vapour_fraction(pressure: float, temperature: float, humidity: float) -> float:
    """Mole fraction of water vapour, CIPM-2007 eqs. A1.1–A1.3."""
    t = temperature - 273.15
    saturation = math.exp(
        1.2378847e-5 * temperature * temperature - 1.9121316e-2 * temperature + 33.93711047 - 6.3431645e3 / temperature
    )
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * t * t
    return min(humidity * enhancement * saturation / pressure, 1.0)


@jit
def moist_density(pressure: float, temperature: float, humidity: float) -> float:
    """Density of moist air, kg/m³.

    CIPM-2007 (Picard, Davis, Gläser and Fujii, Metrologia 45, 149, 2008), 0.04 % CO₂; good to 22 parts in a million
    from 600 to 1100 hPa and 15 to 27 °C. Outside that it is an extrapolation, still close to the ideal-gas mixture.

    Parameters
    ----------
    pressure, temperature
        Pa and K.
    humidity
        Relative, 0 to 1.
    """
    t = temperature - 273.15
    x = _vapour_fraction(pressure, temperature, humidity)
    first = 1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t
    first += (5.707e-6 - 2.051e-8 * t) * x + (1.9898e-4 - 2.376e-6 * t) * x * x
    ratio = pressure / temperature
    compressibility = 1.0 - ratio * first + ratio * ratio * (1.83e-11 - 0.765e-8 * x * x)
    dry, vapour = 28.96546e-3, 18.01528e-3
    return ratio * (dry - x * (dry - vapour)) / (compressibility * 8.314472)


@jit
def viscosity(temperature: float) -> float:
    """Dynamic viscosity of air, Pa s: Sutherland's law with the constants of ISO 2533."""
    return 1.458e-6 * temperature * math.sqrt(temperature) / (temperature + 110.4)


@jit
def air_column(
    pressure: float, temperature: float, humidity: float, gravity: float
) -> tuple[float, float, float, float, float]:
    """Return the five numbers that the air above a site hangs on, once a flight (see `AIR_COLUMN`).

    Parameters
    ----------
    pressure, temperature
        Measured at the site, Pa (not reduced to sea level) and K.
    humidity
        Relative, 0 to 1.
    gravity
        At the site, m/s².
    """
    density = moist_density(pressure, temperature, humidity)
    gas_constant = pressure / (density * temperature)
    return temperature, density, gas_constant, -G0 / (gas_constant * LAPSE) - 1.0, gravity / G0


@jit
def _temperature(column: Column, z: float) -> float:
    # Held constant above 11 km: no water rocket gets there, but a wild integrator step may ask.
    geopotential = column[4] * EARTH_RADIUS * z / (EARTH_RADIUS + z)
    return column[0] + LAPSE * min(geopotential, TROPOPAUSE)


@jit
def _power(ratio: float, exponent: float) -> float:
    """Ratio ** exponent for a ratio near one, by the binomial series where it leaves less than 1e-15: by its first five
    terms within 100 m of the site, by eight within 800 m.
    """
    x = ratio - 1.0
    if abs(x) > 0.02:
        return float(ratio**exponent)
    total = 1.0
    if abs(x) > 0.0025:
        for j in range(7, 4, -1):
            total = 1.0 + total * (x * (exponent - j) * (1.0 / (j + 1.0)))
    for j in range(4, -1, -1):
        # What does not hang on the sum so far is bracketed, to be worked out beside it.
        total = 1.0 + total * (x * (exponent - j) * (1.0 / (j + 1.0)))
    return total


@jit
def pressure_at(column: Column, pressure: float, z: float) -> float:
    """Pressure, Pa, at a height z (m) above a site that has `pressure`: that of the same column of air."""
    warmth = _temperature(column, z) / column[0]
    return pressure * _power(warmth, column[3]) * warmth


@inline_jit
def density_viscosity(column: Column, z: float) -> tuple[float, float]:
    """Density (kg/m³) and dynamic viscosity (Pa s).

    Parameters
    ----------
    column
        From `air_column`, as a tuple or an array.
    z
        Geometric height above the site, m.
    """
    temperature = _temperature(column, z)
    return column[1] * _power(temperature / column[0], column[3]), viscosity(temperature)
