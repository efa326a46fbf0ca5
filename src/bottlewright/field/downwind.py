"""How far the edge of the field is on the side that the wind carries a canopy to."""

import math

from shapely import LineString, Point

from bottlewright.design.document import Design
from bottlewright.field.site import FieldSite
from bottlewright.quantities import value_of

__all__ = ["edge_downwind"]

_FAR = 1e5
"""Farther than any field reaches, m."""


def edge_downwind(design: Design, site: FieldSite) -> float | None:
    """Return the distance from the launcher to the edge of the field straight down the file's wind, m.

    None where the file says no direction of the wind, or no edge is drawn.
    """
    weather = design.weather
    if site.boundary is None or weather.wind_from is None or not value_of(weather.wind_speed) > 0.0:
        return None
    to = weather.wind_from.value + math.pi
    ray = LineString([(0.0, 0.0), (_FAR * math.sin(to), _FAR * math.cos(to))])
    return float(Point(0.0, 0.0).distance(ray.intersection(site.boundary.boundary)))
