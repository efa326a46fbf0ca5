import math

import numpy as np
import pytest
from scipy.stats import norm
from shapely.geometry import box

from bottlewright.field.chance import chance
from bottlewright.field.distance import distance_by_direction, distance_everywhere
from bottlewright.field.exposure import clearances, exposures, worst_ratio
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.site import Area, FieldSite

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


def test_spectators_distance_is_not_below_the_exact_quantile_of_the_distances():
    """Circular scatter: share beyond r is exp(−r²/2σ²)."""
    landings = np.random.default_rng(8).normal(size=(20_000, 2)) * 15.0
    found = distance_everywhere(landings, 0.01)
    exact = 15.0 * math.sqrt(-2.0 * math.log(0.01))
    assert found.settled
    assert exact < found.metres < 1.05 * exact


def test_the_bound_of_the_distance_holds_in_nearly_every_sample():
    generator = np.random.default_rng(9)
    exact = 15.0 * math.sqrt(-2.0 * math.log(0.02))
    held = [distance_everywhere(generator.normal(size=(500, 2)) * 15.0, 0.02).metres >= exact for _ in range(400)]
    assert np.mean(held) > 0.95


def test_too_few_flights_do_not_settle_the_distance():
    few = distance_everywhere(LANDINGS[:200], 0.001)
    assert not few.settled
    assert few.metres == pytest.approx(np.hypot(*LANDINGS[:200].T).max())


def test_people_upwind_may_stand_nearer_than_people_downwind():
    drifted = LANDINGS[:5000] * 0.3 + (30.0, 0.0)
    found = distance_by_direction(drifted, 0.01)
    by_direction = {round(math.degrees(bearing)): distance for bearing, distance in found}
    assert by_direction[270].metres < 5.0 < 30.0 < by_direction[90].metres
    assert len(by_direction) == 12
    assert chance(0, 5000).high < 0.01
