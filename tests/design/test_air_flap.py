"""A flap's airspeed follows from its sizes, and its area from the airspeed: one of the two is the builder's."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import complete, parse_design
from bottlewright.design.air_flap import flap_airspeed
from bottlewright.design.errors import DesignError

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nose]
[charge]
pressure = "4 bar"
[weather]
temperature = "15 °C"
pressure = "101325 Pa"
[recovery]
kind = "parachute"
diameter = "500 mm"
[recovery.mechanism]
way = "air flap"
"""
SIZES = 'flap_arm = "40 mm ± 0 mm"\nflap_band = "1 N ± 0 N"\nflap_band_arm = "10 mm ± 0 mm"\n'


def mechanism(more=""):
    return complete(parse_design(ROCKET + more)).recovery.mechanism


def test_a_flap_of_53_square_centimetres_opens_at_eight_metres_a_second():
    flap = mechanism(SIZES + 'flap_area = "53.1463 cm² ± 0 cm²"\n')
    assert flap.airspeed.value == pytest.approx(8.0, rel=1e-4)
    # Only the force coefficient of 1.2 ± 0.2 is uncertain here: half its share.
    assert flap.airspeed.spread / flap.airspeed.value == pytest.approx(0.5 * 0.2 / 1.2)
    assert "sizes of the flap" in flap.airspeed.source


def test_without_sizes_it_opens_at_the_default_and_says_how_large_it_has_to_be():
    flap = mechanism()
    assert (flap.airspeed.value, flap.airspeed.spread) == (8.0, 0.8)
    assert flap.flap_area.value == pytest.approx(5.3e-4, rel=0.01)


def test_the_airspeed_that_the_builder_gives_counts():
    flap = mechanism(SIZES + 'airspeed = "10 m/s"\n')
    assert flap.airspeed.value == 10.0
    assert flap.flap_area.value == pytest.approx(53.1463e-4 * 0.64, rel=1e-4)


@given(st.floats(2.0, 30.0))
def test_the_area_that_is_worked_out_opens_at_the_airspeed_that_was_asked_for(speed):
    flap = mechanism(f'airspeed = "{speed} m/s"\n')
    assert flap_airspeed(flap, 101325.0 / (287.05 * 288.15)).value == pytest.approx(speed, rel=1e-9)


@given(st.lists(st.floats(0.0, 0.4), min_size=5, max_size=5))
def test_its_spread_is_half_the_root_of_all_squares(shares):
    sizes = {"flap_area": 5e-4, "flap_arm": 0.04, "flap_band": 0.1, "flap_band_arm": 0.01, "flap_normal": 1.2}
    known = mechanism()
    flap = known.model_copy(update={
        name: getattr(known, name).__class__(value, share * value)
        for (name, value), share in zip(sizes.items(), shares, strict=True)})  # fmt: skip
    own = flap_airspeed(flap, 1.2)
    assert own.spread / own.value == pytest.approx(0.5 * math.sqrt(sum(share**2 for share in shares)))


def test_some_of_its_sizes_are_not_enough():
    with pytest.raises(DesignError) as error:
        mechanism(SIZES)
    assert [problem.path for problem in error.value.problems] == ["recovery.mechanism.flap_area"]
