"""Longitude and latitude to metres east and north of the launch point, and back.

The plane is the azimuthal equidistant projection of the WGS 84 ellipsoid about the launch point: distance and
bearing from there are those of the geodesic, so a field of any shape keeps its true distances from the launcher
(Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395).
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import Proj

__all__ = ["LonLat", "from_metres", "to_metres"]


class LonLat(NamedTuple):
    """A place on the globe in degrees, longitude first as GeoJSON has it (RFC 7946)."""

    longitude: float
    latitude: float


def _plane(origin: LonLat) -> Proj:
    return Proj(proj="aeqd", lon_0=origin.longitude, lat_0=origin.latitude, ellps="WGS84")


def to_metres(origin: LonLat, degrees: ArrayLike) -> NDArray[np.float64]:
    """Return metres (east, north) of the origin for rows of (longitude, latitude) in degrees."""
    rows = np.asarray(degrees, float).reshape(-1, 2)
    return np.column_stack(_plane(origin)(rows[:, 0], rows[:, 1]))


def from_metres(origin: LonLat, metres: ArrayLike) -> NDArray[np.float64]:
    """Return (longitude, latitude) in degrees for rows of metres (east, north) of the origin."""
    rows = np.asarray(metres, float).reshape(-1, 2)
    return np.column_stack(_plane(origin)(rows[:, 0], rows[:, 1], inverse=True))
