import math

import numpy as np
import pytest
from shapely.geometry import Point, box

from bottlewright.field import launch_point
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.launch_point import Place, Proposal, best_launch_point, best_tilt, place_now
from bottlewright.field.site import Area, FieldSite

SCATTER = np.random.default_rng(5).normal(size=(600, 2)) * 6.0
DRIFTED = np.add(SCATTER, (25.0, 10.0))


def test_the_launch_point_moves_upwind_by_the_drift():
    field = FieldSite("the field", box(-60.0, -60.0, 60.0, 60.0), (), None)
    best = best_launch_point(field, DRIFTED)
    assert (best.east, best.north) == pytest.approx((-25.0, -10.0), abs=6.0)
    assert best.room > place_now(field, DRIFTED).room


def test_the_launch_point_moves_away_from_the_road():
    road = Area("Mill Lane", kinds()["road"], box(12.0, -100.0, 18.0, 100.0), 0.005)
    field = FieldSite("the field", box(-90.0, -60.0, 12.0, 60.0), (road,), None)
    now = place_now(field, SCATTER)
    best = best_launch_point(field, SCATTER)
    assert now.ratio > 1.0 >= best.ratio
    assert best.east < -20.0
    assert field.boundary.buffer(-9.9).contains(Point(best.east, best.north))


def test_the_search_agrees_with_brute_force_on_a_fine_grid():
    tree = Area("Alder copse", kinds()["trees"], box(-60.0, 20.0, 0.0, 60.0), 0.1)
    field = FieldSite("the field", box(-60.0, -60.0, 60.0, 60.0), (tree,), None)
    best = best_launch_point(field, SCATTER[:300])
    grid = [(x, y) for x in np.arange(-48.0, 50.0, 4.0) for y in np.arange(-48.0, 50.0, 4.0)]
    brute = max(place_now(field, SCATTER[:300], x, y).room for x, y in grid)
    assert best.room > brute - 1.5


def test_a_point_that_its_outer_landings_show_to_be_no_better_is_left_and_none_better_is(monkeypatch):
    tree = Area("Alder copse", kinds()["trees"], box(-60.0, 20.0, 0.0, 60.0), 0.1)
    road = Area("Mill Lane", kinds()["road"], box(40.0, -60.0, 46.0, 60.0), 0.005)
    small, large = (FieldSite("the field", box(-half, -half, half, half), (tree, road), None) for half in (18.0, 60.0))
    tried = []
    monkeypatch.setattr(launch_point, "place_now", lambda *given: tried.append(given) or place_now(*given))
    quick, count = [best_launch_point(field, DRIFTED) for field in (small, large)], len(tried)
    monkeypatch.setattr(launch_point, "_no_better", lambda *_: False)
    assert [best_launch_point(field, DRIFTED) for field in (small, large)] == quick
    assert quick[0].ratio > 1.0 >= quick[1].ratio
    assert count < len(tried) - count


def test_no_room_or_no_field_gives_no_place():
    assert best_launch_point(FieldSite("the field", None, (), None), SCATTER) is None
    assert best_launch_point(FieldSite("the field", box(-5.0, -5.0, 5.0, 5.0), (), None), SCATTER) is None


def test_a_stop_is_looked_for_before_each_point_that_is_tried():
    looks = []

    def stop():
        looks.append(None)
        if len(looks) == 5:
            raise KeyboardInterrupt

    field = FieldSite("the field", box(-60.0, -60.0, 60.0, 60.0), (), None)
    with pytest.raises(KeyboardInterrupt):
        best_launch_point(field, SCATTER, look=stop)
    assert len(looks) == 5


def test_the_tilt_with_the_most_room_is_found_within_its_bounds():
    def place_at(tilt):
        return Place(0.0, 0.0, 0.0, 20.0 - (math.degrees(tilt) - 7.0) ** 2)

    tilt, place = best_tilt(place_at, math.radians(15.0))
    assert math.degrees(tilt) == pytest.approx(7.0, abs=0.8)
    assert place.room == place_at(tilt).room


def test_a_proposed_launch_point_keeps_the_published_distance_from_people():
    crowd = Area("the crowd", kinds()["spectators"], box(-30.0, -60.0, -20.0, 60.0), 0.001)
    field = FieldSite("the field", box(-60.0, -60.0, 30.0, 60.0), (crowd,), None)
    for people in (10.0, 25.0):
        best = best_launch_point(field, DRIFTED, people=people)
        assert crowd.ground.distance(Point(best.east, best.north)) >= people - 1e-6


def test_a_proposal_that_is_not_enough_says_so():
    assert Proposal("Move", Place(0.0, 0.0, 0.8, 5.0)).remedy == "Move"
    assert "not enough: 3.2 times" in Proposal("Move", Place(0.0, 0.0, 3.2, 5.0)).remedy
