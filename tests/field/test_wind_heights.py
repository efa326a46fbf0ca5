"""A wind limit at the height of the meter: by the law of the flights, at that end of its ± which leaves the least."""

import math

import pytest

from bottlewright.field.wind_heights import HAND_HEIGHT, Growth, carried_down, growth_told, roughest
from bottlewright.physics.wind import LINEAR, LOG, wind_at

GRASS = Growth(10.0)


def test_seven_metres_a_second_at_ten_metres_are_five_in_the_hand():
    # By hand: 7 m/s × (1.5/10)^(1/7 + 0.03) = 7 m/s × 0.7202 = 5.04 m/s, rounded down to what a meter shows.
    assert carried_down(7.0, 10.0, HAND_HEIGHT, GRASS) == 5.0


@pytest.mark.parametrize("growth", [GRASS, roughest(), Growth(10.0, LOG), Growth(10.0, LINEAR, shear=(0.1, 0.05))])
@pytest.mark.parametrize("read_at", [0.5, 1.5, 4.0, 9.9])
def test_no_wind_within_the_spread_of_the_law_is_over_the_limit_and_reads_under_it_lower_down(growth, read_at):
    held_to = carried_down(7.0, 10.0, read_at, growth)
    for end in (-1.0, 0.0, 1.0):
        law = growth.exponent, growth.roughness, growth.shear
        exponent, roughness, shear = (value + end * spread for value, spread in law)
        assert held_to <= wind_at(read_at, 7.0, 10.0, growth.law, exponent, roughness, shear) + 1e-9
    assert held_to <= 7.0


def test_a_meter_at_the_limits_own_height_or_above_is_held_to_the_limit_itself():
    assert carried_down(6.97, 2.0, 2.0, GRASS) == 6.97
    assert carried_down(6.97, 2.0, 10.0, GRASS) == 6.97


def test_where_a_wind_falls_with_height_the_limit_in_the_hand_is_no_higher():
    assert carried_down(7.0, 10.0, 1.5, Growth(10.0, LINEAR, shear=(-0.2, 0.0))) == 7.0


def test_rougher_ground_leaves_less_in_the_hand():
    assert carried_down(7.0, 10.0, 1.5, roughest()) < carried_down(7.0, 10.0, 1.5, GRASS)


@pytest.mark.parametrize("told", [(10.0, 7), (10.0, 0, (math.nan, 0.0)), (10.0, 0, (0.1,)), (10.0, 0, "ab"),
                                  (10.0, 0, (0.1, 0.0), (0.1, 0.0), (0.0, 0.0), 1.0)])
def test_what_is_no_growth_is_told(told):
    with pytest.raises((TypeError, ValueError)):
        growth_told(told)
