import math

import numpy as np
import pytest
from scipy.stats import norm
from shapely.geometry import box

from bottlewright.field.distance import Distance, distance_by_direction, distance_everywhere, sector_of
from bottlewright.field.exposure import clearances, exposures, with_tails, worst_ratio
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.site import Area, FieldSite
from bottlewright.field.tail import Stratum

LANDINGS = np.random.default_rng(7).normal(size=(20_000, 2)) * (20.0, 10.0)


def site(*areas, boundary=None):
    keep_outs = tuple(Area(name, kinds()[kind], ground, 0.01) for name, kind, ground in areas)
    return FieldSite("the field", boundary, keep_outs, None)


def test_chance_of_leaving_a_strip_is_the_gaussian_tail():
    field = site(boundary=box(-30.0, -1e4, 40.0, 1e4))
    exact = norm.cdf(-30.0 / 20.0) + norm.sf(40.0 / 20.0)
    (leaving,) = exposures(field, LANDINGS)
    assert leaving.chance.low <= exact <= leaving.chance.high
    assert leaving.chance.value == pytest.approx(exact, abs=3 * math.sqrt(exact / 20_000))


def test_chance_of_a_keep_out_is_the_gaussian_box():
    field = site(("Mill Lane", "road", box(10.0, -5.0, 30.0, 10.0)))
    exact = (norm.cdf(1.5) - norm.cdf(0.5)) * (norm.cdf(1.0) - norm.cdf(-0.5))
    (road,) = exposures(field, LANDINGS)
    assert road.chance.value == pytest.approx(exact, abs=3 * math.sqrt(exact / 20_000))
    assert road.ratio == pytest.approx(road.chance.value / 0.01)


def test_a_landing_on_a_keep_out_outside_the_field_counts_for_both():
    field = site(("Mill Lane", "road", box(50.0, -5.0, 60.0, 5.0)), boundary=box(-40.0, -40.0, 40.0, 40.0))
    assert [seen.chance.hits for seen in exposures(field, np.array([[55.0, 0.0], [0.0, 0.0]]))] == [1, 1]


def test_an_accepted_chance_of_nothing_is_passed_by_one_hit_and_by_none():
    area = Area("the families", kinds()["spectators"], box(0.0, 0.0, 5.0, 5.0), 0.0)
    field = FieldSite("the field", None, (area,), None)
    assert worst_ratio(exposures(field, np.array([[1.0, 1.0]]))) == math.inf
    assert worst_ratio(exposures(field, np.array([[9.0, 9.0]]))) == 0.0


def test_room_is_the_distance_to_the_nearest_thing_and_negative_outside():
    field = site(("the barn", "building", box(10.0, 0.0, 20.0, 10.0)), boundary=box(-50.0, -50.0, 50.0, 50.0))
    room = clearances(field, np.array([[0.0, 5.0], [-47.0, 0.0], [60.0, 0.0], [12.0, 5.0]]))
    assert room == pytest.approx([10.0, 3.0, -10.0, 0.0])


def crowd(metres):
    area = Area("the families", kinds()["spectators"], box(metres, -10.0, metres + 8.0, 10.0), 1e-5)
    return FieldSite("the field", None, (area,), None)


def test_the_tail_settles_a_chance_for_spectators_that_no_count_of_the_flights_could():
    apart = [Stratum(1.0, LANDINGS * 0.25)]  # 5 m and 2.5 m: 100 m is twenty standard deviations
    (plain,) = exposures(crowd(100.0), apart[0].landings)
    (seen,) = with_tails([plain], crowd(100.0), apart)
    assert plain.chance.high > 1e-4
    assert seen.chance.high < 1e-5
    (near,) = with_tails(exposures(crowd(20.0), apart[0].landings), crowd(20.0), apart)
    assert near.chance.high >= norm.sf(4.0)  # no tail lowers a chance under what it is


def test_a_wide_scatter_beside_spectators_is_not_settled_by_the_tail():
    (seen,) = with_tails(exposures(crowd(70.0), LANDINGS), crowd(70.0), [Stratum(1.0, LANDINGS)])
    assert seen.chance.high > 1e-5
    assert norm.sf(70.0 / 20.0) < seen.chance.high


def test_people_upwind_may_stand_nearer_than_people_downwind():
    drifted = [Stratum(1.0, LANDINGS[:5000] * 0.3 + (30.0, 0.0))]
    found = distance_by_direction(drifted, 0.01)
    by_direction = {round(math.degrees(bearing)): distance for bearing, distance in found}
    assert by_direction[270].metres < 5.0 < 30.0 < by_direction[90].metres
    assert len(by_direction) == 12
    everywhere = distance_everywhere(found)
    assert everywhere.metres == by_direction[90].metres


def test_between_two_sectors_the_larger_distance_counts():
    found = [(math.radians(30.0 * k), Distance(10.0 + k, True)) for k in range(12)]
    assert sector_of(found, math.radians(31.0)).metres == 11.0
    assert sector_of(found, math.radians(45.0)).metres == 12.0
    assert sector_of(found, math.radians(-5.0)).metres == 10.0
