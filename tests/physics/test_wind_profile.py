"""Wind by height: a profile that an adaptive integrator can live with."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import complete, read_design
from bottlewright.flight.fly import fly
from bottlewright.physics.wind import LINEAR, LOG, POWER, wind_at

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
laws = st.sampled_from([POWER, LOG])
exponents = st.floats(0.05, 0.5)
roughnesses = st.floats(1e-4, 1.0)
heights = st.floats(4.0, 300.0)


@given(laws, exponents, roughnesses, heights, st.floats(0.0, 30.0))
def test_the_wind_where_it_was_measured_is_the_wind_that_was_measured(law, exponent, roughness, height, speed):
    assert wind_at(height, speed, height, law, exponent, roughness) == pytest.approx(speed, rel=1e-12)


@given(laws, exponents, roughnesses, st.floats(-100.0, 0.0))
def test_there_is_no_wind_in_the_ground(law, exponent, roughness, height):
    assert wind_at(height, 5.0, 10.0, law, exponent, roughness) == 0.0


@given(laws, exponents, roughnesses, st.floats(0.0, 2000.0), st.floats(1e-4, 50.0))
def test_wind_grows_with_height_and_levels_off(law, exponent, roughness, height, more):
    low, high = (wind_at(z, 5.0, 10.0, law, exponent, roughness) for z in (height, height + more))
    assert 0.0 <= low <= high * (1 + 1e-12)
    assert high <= wind_at(1e9, 5.0, 10.0, law, exponent, roughness) * (1 + 1e-12)


@given(exponents, roughnesses)
def test_speed_and_its_slope_have_no_jumps(exponent, roughness):
    for law, seams in ((POWER, (0.0, 0.1, 200.0)), (LOG, (0.0, 4 * roughness, 200.0))):
        def speed(z, law=law):
            return wind_at(z, 5.0, 10.0, law, exponent, roughness)

        for seam in seams:
            step = 1e-5 * max(seam, 0.1 * roughness)
            below = (speed(seam) - speed(seam - step)) / step
            above = (speed(seam + step) - speed(seam)) / step
            steepest = speed(10.0) / (0.1 if law == POWER else 4 * roughness)
            assert speed(seam + step) == pytest.approx(speed(seam - step), abs=2e-4 * speed(10.0))
            assert above == pytest.approx(below, abs=1e-3 * steepest)


def test_an_anemometer_between_the_obstacles_does_not_raise_a_storm_aloft():
    assert wind_at(50.0, 2.0, 1.0, LOG, 0.2, 1.0) < 2.0 * 3.0


@given(st.floats(0.0, 20.0), st.floats(0.5, 50.0), st.floats(-0.2, 0.2), st.floats(0.01, 2000.0))
def test_a_measured_shear_is_a_straight_line_that_never_turns_round(speed, height, shear, z):
    found = wind_at(z, speed, height, LINEAR, math.nan, math.nan, shear)
    assert found == pytest.approx(max(speed + shear * (z - height), 0.0), rel=1e-12, abs=1e-12)
    assert wind_at(height, speed, height, LINEAR, math.nan, math.nan, shear) == pytest.approx(speed, rel=1e-12)


def test_a_measured_shear_in_the_design_bends_the_flight():
    def drift(shear: str) -> float:
        sets = ['weather.profile="linear"', 'weather.wind_from="270 deg"', f'weather.shear="{shear}"']
        return fly(complete(read_design(CURLEW, sets)), series=False).summary["landing_east_m"]

    even, more, less = (drift(shear) for shear in ("0 1/s", "0.05 1/s", "-0.05 1/s"))
    assert less < even - 5.0
    assert more > even + 5.0
