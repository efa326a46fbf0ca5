"""Chances too small to count, against laws whose tail is known in closed form and against plain Monte Carlo."""

import math

import numpy as np
import pytest
from scipy.stats import expon, norm, uniform

from bottlewright.field.distance import distance_by_direction, towards
from bottlewright.field.tail import Bound, Stratum, flights_to_count, is_fat, tail_bound

LAWS = {"normal": norm(), "exponential": expon(), "even": uniform()}


def sample(law, flights, seed):
    return np.sort(LAWS[law].rvs(flights, random_state=seed))[::-1]


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("chance", [1e-2, 1e-3, 1e-5])
def test_the_bound_is_too_low_in_no_more_than_one_sample_in_twenty(law, chance):
    at = LAWS[law].isf(chance)
    low = [tail_bound(sample(law, 1000, seed), at) < chance for seed in range(300)]
    assert np.mean(low) <= 0.05


@pytest.mark.parametrize(("law", "most"), [("normal", 1.5), ("exponential", 1.25)])
def test_a_chance_of_one_in_a_hundred_thousand_is_placed_within_half_of_the_true_distance(law, most):
    """4000 flights count nothing under 1 in 1000; the tail puts 1e-5 at most half as far again as it is."""
    one = Stratum(1.0, np.column_stack([sample(law, 4000, 5), np.zeros(4000)]))
    found = Bound([one], lambda rows: rows[:, 0]).furthest(1e-5)
    assert 1.0 <= found / LAWS[law].isf(1e-5) < most


def test_more_flights_bring_the_bound_nearer_to_the_truth():
    true = norm.isf(1e-4)
    found = [Bound([Stratum(1.0, np.column_stack([sample("normal", count, 3)] * 2))], lambda rows: rows[:, 0]).furthest(
        1e-4) for count in (500, 5000, 50_000)]
    assert true < found[2] < found[1] < found[0]


def test_a_chance_that_can_be_counted_is_counted():
    """Where the chord is loose the count decides: 50 000 flights know 1 in 1000."""
    found = tail_bound(sample("normal", 50_000, 3), norm.isf(1e-2))
    assert 1e-2 < found < 1.2e-2


@pytest.mark.parametrize("law", LAWS)
def test_no_tail_that_thins_out_is_called_fat(law):
    assert sum(is_fat(sample(law, 3000, seed)) for seed in range(200)) <= 2


@pytest.mark.parametrize("flights", [1000, 4000])
def test_a_tail_fatter_than_exponential_is_noticed(flights):
    fat = np.sort(np.abs(np.random.default_rng(4).standard_cauchy(flights)))[::-1]
    assert is_fat(fat)


def test_a_rare_failure_left_in_the_heap_is_noticed_and_flown_apart_it_is_known():
    """One flight in a hundred lands ten times as far: mixed in, the tail is fat; apart, each part has its own."""
    generator = np.random.default_rng(6)
    usual, rare = generator.normal(size=(6000, 2)), 10.0 * generator.normal(size=(600, 2))
    mixed = np.concatenate([usual[:5940], rare[:60]])
    assert is_fat(np.sort(towards(0.0)(mixed))[::-1])
    apart = [Stratum(0.99, usual), Stratum(0.01, rare)]
    bound = Bound(apart, lambda rows: rows[:, 1])
    assert not bound.fat(1e-4)
    true = 10.0 * norm.isf(1e-2)
    assert true < bound.furthest(1e-4) < 1.4 * true


def test_the_distance_by_direction_holds_against_plain_monte_carlo():
    """Two million landings on paper: a canopy that drifts, a dart in twenty, both with the wind's swing."""
    generator = np.random.default_rng(8)

    def flown(count, seconds):
        speed, way = generator.normal(3.0, 0.7, count), generator.normal(0.0, 0.3, count)
        away = np.maximum(speed, 0.0) * seconds
        return np.column_stack([away * np.sin(way), away * np.cos(way)]) + generator.normal(0.0, 3.0, (count, 2))

    found = distance_by_direction([Stratum(0.95, flown(3800, 12.0)), Stratum(0.05, flown(1000, 4.0))], 1e-4)
    many = np.concatenate([flown(1_900_000, 12.0), flown(100_000, 4.0)])
    away, bearing = np.hypot(*many.T), np.arctan2(*many.T)
    for middle, distance in found:
        off = np.abs((bearing - middle + math.pi) % (2.0 * math.pi) - math.pi)
        beyond = np.count_nonzero((off <= math.pi / 12.0) & (away >= distance.metres))
        assert beyond / 2_000_000 <= 1e-4
        assert distance.settled
    downwind = found[0][1].metres
    reached = np.sort(away[np.abs(bearing) <= math.pi / 12.0])[-200]  # 1e-4 of them
    assert downwind < 1.5 * reached


@pytest.mark.parametrize("bearing", [0.0, 1.0, 4.0])
def test_the_measure_of_a_sector_is_concave_and_inside_it_no_less_than_the_distance(bearing):
    places = np.random.default_rng(2).normal(size=(500, 2)) * 30.0
    measure = towards(bearing)
    one, other = places[:250], places[250:]
    assert np.all(measure(0.5 * (one + other)) >= 0.5 * (measure(one) + measure(other)) - 1e-9)
    off = np.abs((np.arctan2(*places.T) - bearing + math.pi) % (2.0 * math.pi) - math.pi)
    inside = off <= math.pi / 12.0
    assert np.all(measure(places)[inside] >= np.hypot(*places[inside].T) - 1e-9)


def test_landings_that_all_fall_on_one_spot_draw_no_chord():
    assert tail_bound(np.zeros(4000), 1.0) == pytest.approx(1.2e-3, abs=3e-4)  # the count alone


def test_flights_to_count_are_those_of_the_rule_of_three():
    need = flights_to_count([Stratum(1.0, np.zeros((1, 2)))], 1e-4)
    assert need == pytest.approx(3.0 / 1e-4, rel=0.01)


def test_a_sector_that_nothing_is_known_of_is_not_settled():
    few = [Stratum(1.0, np.random.default_rng(1).normal(size=(30, 2)))]
    assert not any(distance.settled for _, distance in distance_by_direction(few, 1e-5))
