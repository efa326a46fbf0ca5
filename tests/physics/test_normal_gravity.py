"""Gravity: what holds everywhere on the ellipsoid."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.gravity import normal_gravity


@given(st.floats(-1.57, 1.57), st.floats(-500.0, 6000.0))
def test_gravity_is_the_same_north_and_south(latitude, height):
    assert normal_gravity(latitude, height) == normal_gravity(-latitude, height)


@given(st.floats(0.0, 1.5), st.floats(0.0, 5000.0))
def test_gravity_grows_toward_the_pole_and_falls_with_height(latitude, height):
    here = normal_gravity(latitude, height)
    assert normal_gravity(latitude + 0.05, height) > here > normal_gravity(latitude, height + 1.0)


@given(st.floats(-1.57, 1.57))
def test_gravity_falls_nearly_as_the_inverse_square(latitude):
    ratio = normal_gravity(latitude, 2000.0) / normal_gravity(latitude, 0.0)
    # Not exactly: the Earth is flattened and turns, worth up to 1 % of the change.
    assert 1.0 - ratio == pytest.approx(1.0 - (6371e3 / 6373e3) ** 2, rel=1e-2)
