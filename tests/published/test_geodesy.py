"""Metres about the launch point against GeographicLib (Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43)."""

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from bottlewright.field.projection import LonLat, from_metres, to_metres

ORIGINS = [LonLat(-30.0, 52.0), LonLat(0.0, 0.0), LonLat(179.9995, -41.0), LonLat(25.0, 78.0)]


@pytest.mark.parametrize("origin", ORIGINS)
@pytest.mark.parametrize(("distance", "bearing"), [(5.0, 10.0), (120.0, 100.0), (900.0, 231.0), (15000.0, 315.0)])
def test_distance_and_bearing_from_the_launch_point_are_those_of_the_geodesic(origin, distance, bearing):
    there = Geodesic.WGS84.Direct(origin.latitude, origin.longitude, bearing, distance)
    east, north = to_metres(origin, [there["lon2"], there["lat2"]])[0]
    assert math.hypot(east, north) == pytest.approx(distance, abs=1e-6)
    assert math.degrees(math.atan2(east, north)) % 360 == pytest.approx(bearing, abs=1e-5)


@pytest.mark.parametrize("origin", ORIGINS)
def test_metres_to_degrees_and_back_close_to_a_hundredth_of_a_millimetre(origin):
    metres = np.array([[0.0, 0.0], [80.0, -35.0], [-2500.0, 4000.0]])
    np.testing.assert_allclose(to_metres(origin, from_metres(origin, metres)), metres, atol=1e-5)


def test_field_area_agrees_with_the_geodesic_polygon():
    """A 150 m x 90 m field at 52° north: the plane may lose no more than a hundred-thousandth of its area."""
    origin = LonLat(-30.0, 52.0)
    corners = np.array([[-75.0, -45.0], [75.0, -45.0], [75.0, 45.0], [-75.0, 45.0]])
    polygon = Geodesic.WGS84.Polygon()
    for longitude, latitude in from_metres(origin, corners):
        polygon.AddPoint(latitude, longitude)
    _, perimeter, area = polygon.Compute()
    assert area == pytest.approx(150.0 * 90.0, rel=1e-5)
    assert perimeter == pytest.approx(480.0, rel=1e-5)
