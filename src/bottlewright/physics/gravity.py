"""Normal gravity of the WGS 84 ellipsoid."""

import math

from bottlewright.physics import jit

__all__ = ["normal_gravity"]

_EQUATOR = 9.7803253359
_SOMIGLIANA = 0.00193185265241
_E2 = 0.00669437999014
_A = 6378137.0
_F = 1.0 / 298.257223563
_M = 0.00344978650684


@jit
def normal_gravity(latitude: float, height: float) -> float:
    """Acceleration of free fall, m/s², down the local vertical.

    Somigliana's closed formula on the ellipsoid and the second-order series in height (NIMA TR8350.2, "World
    Geodetic System 1984", 3rd ed., eqs. 4-1 and 4-3; constants as quoted; original not checked).

    Parameters
    ----------
    latitude
        Geodetic, rad.
    height
        Above the ellipsoid, m; a height above the sea differs by up to 100 m, which is worth 3e-5 of g.
    """
    s2 = math.sin(latitude) ** 2
    surface = _EQUATOR * (1.0 + _SOMIGLIANA * s2) / math.sqrt(1.0 - _E2 * s2)
    x = height / _A
    return surface * (1.0 - 2.0 * (1.0 + _F + _M - 2.0 * _F * s2) * x + 3.0 * x * x)
