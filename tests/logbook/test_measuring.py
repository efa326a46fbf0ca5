"""What is measured by hand has a ± that covers the truth as often as it says."""

import math
from itertools import pairwise

import numpy as np
import pytest

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.field.wind_heights import Growth, growth_of
from bottlewright.logbook.air_pressure import height_with_spread, pressure_height
from bottlewright.logbook.angles import MOST_CLOSURE, Drift, Sight, height_by_angles
from bottlewright.logbook.timing import HAND, film_interval, mean_time
from bottlewright.logbook.wind_by_hand import (
    AIR_DENSITY,
    HEIGHT_OFF,
    STRIP_FORCE,
    WindRead,
    brought_to,
    drift_of_grass,
    forces,
    wind_of_force,
    wind_of_strip,
)
from bottlewright.physics.wind import POWER, wind_at

DEG = math.pi / 180.0
PLACES = {
    "two with bearings": [(0.0, -60.0, 1.5), (70.0, 10.0, 0.5)],
    "three": [(0.0, -60.0, 1.6), (52.0, 30.0, 0.0), (-52.0, 30.0, -2.0)],
    "four": [(0.0, -70.0, 1.6), (60.0, 0.0, 0.0), (-60.0, 0.0, -2.0), (0.0, 70.0, 1.0)],
}


def seen_from(place, rocket, chance, bearing: bool, u: float, u_place: float = 0.0) -> Sight:
    east, north, up = (rocket[axis] - place[axis] for axis in range(3))
    elevation = math.atan2(up, math.hypot(east, north)) + chance.normal(0.0, u)
    towards = math.atan2(east, north) + chance.normal(0.0, u) if bearing else None
    wrong = chance.normal(0.0, u_place, 3) if u_place else (0.0, 0.0, 0.0)
    told = [one + error for one, error in zip(place, wrong, strict=True)]
    return Sight(*told, elevation, u, towards, u, u_place)


@pytest.mark.parametrize(("places", "bearing", "u_place"), [
    ("two with bearings", True, 0.0), ("three", False, 0.0), ("three", True, 0.0), ("four", False, 0.0),
    ("three", False, 1.0),
])
def test_the_stated_spread_of_a_height_covers_the_truth_as_often_as_it_says(places, bearing, u_place):
    chance, inside, tries, off = np.random.default_rng(3), 0, 200, []
    for _ in range(tries):
        rocket = (chance.normal(0.0, 6.0), chance.normal(0.0, 6.0), 50.0)
        sights = [seen_from(place, rocket, chance, bearing, 1.0 * DEG, u_place) for place in PLACES[places]]
        seen = height_by_angles(sights)
        inside += abs(seen.height - rocket[2]) <= 2.0 * seen.u_height
        off.append((seen.height - rocket[2]) / seen.u_height)
    assert 0.91 <= inside / tries <= 0.99  # 95.4 % ± three deviations of 200 tries
    assert abs(np.mean(off)) < 0.25


def test_one_station_with_a_drift_that_somebody_watched_covers_the_truth():
    chance, inside, tries = np.random.default_rng(4), 0, 300
    for _ in range(tries):
        rocket = (8.0 + chance.normal(0.0, 3.0), chance.normal(0.0, 3.0), 50.0)
        sight = seen_from((0.0, -60.0, 1.6), rocket, chance, False, 1.0 * DEG)
        seen = height_by_angles([sight], Drift(8.0, 0.0, 3.0))
        inside += abs(seen.height - rocket[2]) <= 2.0 * seen.u_height
    assert 0.92 <= inside / tries <= 0.985


def test_of_one_station_alone_nobody_knows_the_drift_and_the_spread_says_so():
    sight = Sight(0.0, -60.0, 1.6, 40.0 * DEG, 0.5 * DEG)
    blind, watched = height_by_angles([sight]), height_by_angles([sight], Drift(spread=1.0))
    assert blind.u_height > 5.0 * watched.u_height
    assert blind.closure is None


def test_drift_towards_the_station_makes_the_rocket_lower():
    sight = Sight(0.0, -60.0, 0.0, 45.0 * DEG, 0.5 * DEG)
    assert height_by_angles([sight], Drift(0.0, -10.0, 0.1)).height == pytest.approx(50.0, abs=0.1)
    assert height_by_angles([sight], Drift(0.0, 10.0, 0.1)).height == pytest.approx(70.0, abs=0.1)


def test_stations_on_unequal_ground_see_one_height_above_the_launcher():
    sights = [seen_from(place, (0.0, 0.0, 50.0), np.random.default_rng(1), True, 1e-6) for place in PLACES["three"]]
    assert height_by_angles(sights).height == pytest.approx(50.0, abs=1e-3)


@pytest.mark.parametrize(("second", "counts"), [(45.0, True), (50.6, True), (50.8, False)])
def test_stations_that_close_worse_than_a_tenth_make_no_measurement(second, counts):
    """A national sporting code: |h1 − h2|/(h1 + h2) over 10 % does not count. 10 % is 50.7° against 45° here."""
    sights = [Sight(0.0, -60.0, 0.0, 45.0 * DEG, DEG), Sight(0.0, 60.0, 0.0, second * DEG, DEG)]
    seen = height_by_angles(sights, Drift(spread=1e-6))
    assert seen.counts == counts
    assert (seen.closure <= MOST_CLOSURE) == counts
    assert ("no measurement" in seen.says) != counts


def test_a_station_that_looks_up_too_steeply_is_told_to_stand_further_away():
    assert "too steeply" in height_by_angles([Sight(0.0, -10.0, 0.0, 81.0 * DEG, DEG)]).says


@pytest.mark.parametrize("sights", [
    [], [Sight(0.0, 0.2, 0.0, 45.0 * DEG, DEG)], [Sight(0.0, -50.0, 0.0, 0.0, DEG)],
    [Sight(0.0, -50.0, 0.0, 91.0 * DEG, DEG)], [Sight(0.0, -50.0, 0.0, 45.0 * DEG, 0.0)],
])
def test_angles_that_make_no_height_are_refused(sights):
    with pytest.raises(InputError, match="station"):
        height_by_angles(sights)


def test_several_stopwatches_have_a_mean_and_a_spread():
    timed = mean_time([6.9, 7.2, 7.5])
    assert timed.seconds == pytest.approx(7.2)
    assert timed.spread == pytest.approx(0.3)
    assert timed.u_seconds == pytest.approx(0.3 / math.sqrt(3.0))


def test_stopwatches_that_agree_are_no_surer_than_hands():
    assert mean_time([7.2, 7.2, 7.2]).u_seconds == pytest.approx(HAND / math.sqrt(3.0))
    assert mean_time([7.2]).u_seconds == HAND


@pytest.mark.parametrize("times", [[], [7.2, -1.0], [math.nan]])
def test_a_time_that_is_none_is_refused(times):
    with pytest.raises(InputError, match="stopwatch"):
        mean_time(times)


def test_the_mean_of_stopwatches_covers_the_truth():
    chance = np.random.default_rng(5)
    inside = 0
    for _ in range(2000):
        timed = mean_time(list(7.2 + chance.normal(0.0, HAND, 3)))
        inside += abs(timed.seconds - 7.2) <= 2.0 * timed.u_seconds
    assert inside / 2000 >= 0.95


def test_two_frames_of_a_film_lie_apart_as_their_spread_says():
    chance = np.random.default_rng(6)
    began, ended = chance.uniform(0.0, 1.0, 20_000), chance.uniform(0.0, 1.0, 20_000) + 2.3
    counted = (np.floor(ended * 30.0) - np.floor(began * 30.0)) / 30.0
    assert np.std(counted - (ended - began)) == pytest.approx(film_interval(30.0), rel=0.03)


def test_a_height_by_pressure_has_the_spread_of_its_readings():
    chance = np.random.default_rng(7)
    height, spread = height_with_spread((83_065.3, 5.0), (82_865.0, 5.0), (291.15, 2.0))
    drawn = [pressure_height(83_065.3 + a, 82_865.0 + b, 291.15 + c)
             for a, b, c in zip(chance.normal(0, 5.0, 4000), chance.normal(0, 5.0, 4000),
                                chance.normal(0, 2.0, 4000), strict=True)]  # fmt: skip
    assert height == pytest.approx(np.mean(drawn), abs=0.05)
    assert spread == pytest.approx(np.std(drawn), rel=0.04)


def test_the_forces_follow_one_another_without_a_gap():
    table = forces()
    assert [row.force for row in table] == list(range(len(table)))
    assert all(after.low == pytest.approx(before.high + 0.1) for before, after in pairwise(table))


def test_a_force_is_its_whole_band():
    wind = wind_of_force(3)
    assert (wind.speed, wind.height) == (pytest.approx(4.4), 10.0)
    assert wind.u_speed == pytest.approx(1.0 / math.sqrt(3.0))
    with pytest.raises(InputError, match="nobody launches"):
        wind_of_force(7)


def test_grass_that_drifts_tells_the_wind_near_the_ground():
    wind = drift_of_grass(2.4, 0.2, [0.8, 0.8])
    assert wind.speed == pytest.approx(3.0)
    assert wind.u_speed == pytest.approx(math.hypot(0.2 / 0.8, 3.0 * HAND / math.sqrt(2.0) / 0.8))
    assert wind.height == 0.75
    with pytest.raises(InputError, match="drifted"):
        drift_of_grass(2.4, 0.2, [0.05])


def test_a_strip_leans_where_wind_and_weight_turn_it_alike():
    """At 45° ½ ρ C U² cos²θ = m g sin θ, worked out by hand."""
    wind = wind_of_strip(45.0 * DEG, 5.0 * DEG, 0.12, 0.01, 1.5)
    across, back = 0.5 * AIR_DENSITY * STRIP_FORCE[0] * (wind.speed * math.cos(45.0 * DEG)) ** 2, 0.12 * 9.80665
    assert across == pytest.approx(back * math.sin(45.0 * DEG))
    leans = [wind_of_strip(lean * DEG, 5.0 * DEG, 0.12, 0.01, 1.5) for lean in (10.0, 40.0, 70.0, 80.0)]
    assert all(one.speed < more.speed for one, more in pairwise(leans))
    for lean, mass in ((2.0, 0.12), (85.0, 0.12), (40.0, 0.0)):
        with pytest.raises(InputError, match=r"strip tells|weigh the cloth"):
            wind_of_strip(lean * DEG, 5.0 * DEG, mass, 0.01, 1.5)


def test_the_spread_of_a_wind_by_a_strip_of_cloth_covers_the_truth():
    chance, inside, tries = np.random.default_rng(8), 0, 1000
    lean, mass, force = 40.0 * DEG, 0.12, STRIP_FORCE[0]
    for _ in range(tries):
        true_force, true_mass = chance.normal(force, STRIP_FORCE[1]), chance.normal(mass, 0.012)
        truth = math.sqrt(2.0 * true_mass * 9.80665 * math.sin(lean) / (AIR_DENSITY * true_force)) / math.cos(lean)
        wind = wind_of_strip(lean + chance.normal(0.0, 7.0 * DEG), 7.0 * DEG, mass, 0.012, 1.5)
        inside += abs(wind.speed - truth) <= 2.0 * wind.u_speed
    assert 0.92 <= inside / tries <= 0.985


def test_the_spread_of_a_wind_by_grass_covers_the_truth():
    chance, inside, tries = np.random.default_rng(9), 0, 1000
    for _ in range(tries):
        drifted, took = 3.0 * 0.8 + chance.normal(0.0, 0.2), list(0.8 + chance.normal(0.0, HAND, 3))
        wind = drift_of_grass(drifted, 0.2, took)
        inside += abs(wind.speed - 3.0) <= 2.0 * wind.u_speed
    assert 0.92 <= inside / tries <= 0.99


def test_the_spread_of_a_wind_brought_to_another_height_covers_the_truth():
    chance, inside, tries, growth = np.random.default_rng(10), 0, 500, Growth(10.0)
    for _ in range(tries):
        exponent, height = chance.normal(*growth.exponent), 1.5 * (1.0 + chance.normal(0.0, HEIGHT_OFF))
        truth = 3.0 * (10.0 / height) ** exponent
        wind = brought_to(WindRead(3.0 + chance.normal(0.0, 0.3), 0.3, 1.5, ""), growth)
        inside += abs(wind.speed - truth) <= 2.0 * wind.u_speed
    assert 0.92 <= inside / tries <= 0.985


def test_a_wind_is_brought_to_the_height_of_the_limit_as_the_flights_grow_theirs():
    design = bw.read("examples/curlew/rocket.toml").design
    growth = growth_of(design.weather)
    assert (growth.height, growth.law) == (2.0, POWER)
    wind = brought_to(wind_of_force(3), growth)
    assert wind.speed == wind_at(2.0, 4.4, 10.0, POWER, design.weather.exponent.value, 0.03)
    assert (wind.height, wind.u_speed < wind_of_force(3).u_speed) == (2.0, True)
    same = brought_to(WindRead(3.0, 0.3, 2.0, ""), growth)
    assert same.speed == pytest.approx(3.0)
