"""Height by the pressure of the air, for air of one temperature and for a standard day, with its ±."""

import math

from bottlewright.logbook.gum import propagated
from bottlewright.logbook.timing import GRAVITY

__all__ = ["height_with_spread", "pressure_height", "standard_height", "standard_pressure"]

_R = 287.05287  # J/(kg K), dry air, ISO 2533:1975
_T0, _P0, _LAPSE = 288.15, 101_325.0, 6.5e-3  # K, Pa, K/m: ISO 2533:1975, to 11 km


def standard_pressure(height: float) -> float:
    """Return the air's pressure at a geopotential height up to 11 km, Pa (ISO 2533:1975)."""
    return float(_P0 * (1.0 - _LAPSE * height / _T0) ** (GRAVITY / (_R * _LAPSE)))


def standard_height(ground: float, above: float) -> float:
    """Return the height between two pressures as on a standard day, m."""
    def height(pressure: float) -> float:
        return float(_T0 / _LAPSE * (1.0 - (pressure / _P0) ** (_R * _LAPSE / GRAVITY)))

    return height(above) - height(ground)


def pressure_height(ground: float, above: float, temperature: float) -> float:
    """Return the height between two pressures in air of one temperature, m: the hypsometric equation.

    The highest reading of a barometer in flight is no height: it is a spike at the launch, and the port feels the wind
    of the flight.

    Parameters
    ----------
    ground, above
        Pa; only their ratio counts.
    temperature
        Mean of the air between, K.
    """
    return _R * temperature / GRAVITY * math.log(ground / above)


def height_with_spread(
    ground: tuple[float, float], above: tuple[float, float], temperature: tuple[float, float]
) -> tuple[float, float]:
    """Return a height by two pressures and its standard deviation, m; see `pressure_height`.

    Parameters
    ----------
    ground, above, temperature
        Each with its standard deviation, Pa and K, not correlated.
    """
    readings = (ground, above, temperature)
    square = [[one[1] ** 2 if row == column else 0.0 for column in range(3)] for row, one in enumerate(readings)]
    height, covariance = propagated(lambda *values: [pressure_height(*values)], [one[0] for one in readings], square)
    return float(height[0]), math.sqrt(float(covariance[0, 0]))
