"""Normal gravity of WGS 84."""

import math

import pytest
from geographiclib.constants import Constants

from bottlewright.physics import gravity
from bottlewright.physics.gravity import normal_gravity


@pytest.mark.parametrize(("degrees", "value"), [(45.0, 9.806197769), (50.0, 9.810702136)])
def test_normal_gravity_on_the_ellipsoid(degrees, value):
    # WGS 84, by its own formula with the constants as quoted (original not checked).
    assert normal_gravity(math.radians(degrees), 0.0) == pytest.approx(value, abs=1e-9)


def test_normal_gravity_at_the_pole():
    # Defined value of WGS 84 at the pole, 9.8321849378 m/s², as quoted (NIMA TR8350.2; original not checked).
    assert normal_gravity(math.pi / 2, 0.0) == pytest.approx(9.8321849378, abs=1e-9)


def test_the_ellipsoid_is_that_of_geographiclib():
    flattening = Constants.WGS84_f
    assert pytest.approx(Constants.WGS84_a) == gravity._A
    assert pytest.approx(flattening, rel=1e-15) == gravity._F
    assert pytest.approx(flattening * (2 - flattening), rel=1e-11) == gravity._E2


@pytest.mark.parametrize("degrees", [0.0, 45.0, 90.0])
@pytest.mark.parametrize("height", [100.0, 1000.0, 5000.0])
def test_gravity_falls_with_height_as_free_air_does(degrees, height):
    # Second-order free-air correction of GRS 80, mGal with h in m (Hinze and others, Geophysics, 2005,
    # doi 10.1190/1.1988183, eq. 5, as quoted; original not checked).
    s2 = math.sin(math.radians(degrees)) ** 2
    published = (0.3087691 - 0.0004398 * s2) * height - 7.2125e-8 * height**2
    fall = normal_gravity(math.radians(degrees), 0.0) - normal_gravity(math.radians(degrees), height)
    assert fall / 1e-5 == pytest.approx(published, rel=1e-4)
