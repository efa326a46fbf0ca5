from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from shapely.geometry import box

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import METRIC
from bottlewright.field.distance import Distance
from bottlewright.field.exposure import exposures
from bottlewright.field.findings import call_findings, exposure_findings, reach_findings, site_findings
from bottlewright.field.ground import Watching
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.people import Accepted, accepted
from bottlewright.field.people_findings import ballistic_findings, spectators_finding, unsettled_words
from bottlewright.field.site import Area, FieldSite, moved
from bottlewright.field.wind_limit import Against, Call, HourCall, confirmed
from bottlewright.findings import Level, stops
from bottlewright.project.standing import standings

SCATTER = np.random.default_rng(5).normal(size=(4000, 2)) * 8.0


def beside(metres, kind="road", boundary=None):
    road = Area("Mill Lane", kinds()[kind], box(metres, -200.0, metres + 6.0, 200.0), kinds()[kind].allowed)
    return FieldSite("the field", boundary or box(-120.0, -80.0, 80.0, 80.0), (road,), None)


def levels(findings):
    return {finding.code: finding.level for finding in findings}


def test_a_launch_point_beside_a_road_is_a_stop():
    findings = site_findings(beside(8.0)) + exposure_findings(exposures(beside(8.0), SCATTER))
    assert {finding.code for finding in stops(findings)} == {"launch-point-too-near", "chance-too-high"}
    assert "Mill Lane" in stops(findings)[0].found


def test_a_road_far_off_is_no_stop():
    findings = site_findings(beside(70.0)) + exposure_findings(exposures(beside(70.0), SCATTER))
    assert not stops(findings)


def test_too_few_flights_are_a_look_that_says_how_many_it_takes():
    (road,) = exposure_findings(exposures(beside(70.0), SCATTER[:100]))
    assert (road.level, road.code) == (Level.LOOK, "chance-not-settled")
    assert "at least 738" in road.remedy


def test_trees_ask_for_a_look_where_a_road_is_a_stop():
    found = exposure_findings(exposures(beside(3.0, "trees"), SCATTER))
    assert levels(found)["chance-too-high"] is Level.LOOK


def test_a_launch_point_on_a_keep_out_of_any_kind_is_a_stop():
    assert stops(site_findings(beside(-3.0, "water")))


def test_no_boundary_asks_for_one():
    assert levels(site_findings(FieldSite("the field", None, (), None))) == {"no-boundary": Level.UNCHECKED}
    (undrawn,) = site_findings(FieldSite("the field", None, (), None))
    assert undrawn.remedy.startswith("Draw its edge on the page Field (in the file: site.rectangle = ")


def test_a_narrow_field_is_held_against_each_published_rule_that_binds():
    field = FieldSite("the field", box(-75.0, -12.0, 75.0, 12.0), (), None)
    assert {code: level for code, level in levels(site_findings(field)).items() if code.startswith("field-")} == {
        "field-width-nasa-field-width": Level.LOOK
    }
    codes = levels(site_findings(replace(field, rules=("distance contest",))))
    assert codes["field-width-japan-association-field"] is Level.STOP
    assert not any(code.startswith("field-length") for code in codes)
    assert moved(replace(field, rules=("distance contest",)), 1.0, 1.0).rules == ("distance contest",)


def watching(planned, asked, settled=True):
    return Watching(0.0, True, planned, Distance(asked, settled))


SPECTATORS = Accepted(1e-5, 1e-4, 10, "a source")


@pytest.mark.parametrize(("planned", "settled", "level"), [
    (62.0, True, Level.NOTE), (80.0, True, Level.NOTE), (61.0, True, Level.STOP), (None, True, Level.NOTE),
    (62.0, False, Level.HOLD), (90.0, False, Level.LOOK), (61.0, False, Level.STOP), (None, False, Level.LOOK),
])  # fmt: skip
def test_spectators_nearer_than_landings_ask_for_are_a_stop_and_nearer_than_what_counts_a_hold(planned, settled, level):
    found = spectators_finding(watching(planned, 62.0, settled), Distance(90.0, settled), SPECTATORS, 369_000)
    assert found.level is level
    assert "62 m" in found.found
    assert "90 m on any side" in found.found
    assert ("by counting alone it takes 369000" in found.found) is not settled
    assert ("62 m away or more" if settled else "farther than 90 m away on any side") in found.remedy


def test_where_no_distance_is_settled_on_their_own_side_the_line_is_that_for_any_side():
    found = spectators_finding(watching(30.0, 15.3, False), Distance(69.2, True), SPECTATORS, 369_000)
    assert "69.2 m away or more on any side" in found.remedy
    assert "15.3" not in found.remedy, "nobody takes the least distance of a side that settles none"
    ground = SimpleNamespace(stands=(), watching=watching(30.0, 15.3, False),
                             sectors=((0.0, Distance(15.3, False)), (2.0, Distance(69.2, True))))  # fmt: skip
    (place,) = standings(Design(), ground, METRIC)
    assert place.elsewhere == "Spectators 69.2 m away or more on any side"
    assert "no distance is settled" in place.chance


def test_the_emptiest_side_in_still_air_is_told_that_the_same_flights_settle_nothing_and_which_distance_counts():
    sides = [(np.radians(30.0 * k), Distance(metres, k != 11)) for k, metres in enumerate(
        (33.4, 35.9, 45.8, 40.2, 51.5, 60.1, 50.2, 39.1, 40.0, 41.0, 36.5, 28.4))]
    said = unsettled_words(sides, METRIC)
    assert "towards NNW so few of them come down" in said
    assert "the same flights flown again say the same" in said
    assert "what counts there is the distance for any side, 60.1 m" in said
    assert "33.4 m towards N" in said
    found = spectators_finding(watching(76.0, 41.0), Distance(60.1, False), SPECTATORS, 2_872_484, sectors=sides)
    assert found.level is Level.LOOK
    assert said in found.found
    assert "2872484" not in found.found, "no number of flights that nobody flies"
    assert unsettled_words(sides[:11], METRIC) == ""
    assert "scatter.flights" in unsettled_words(sides[11:], METRIC)


def test_the_accepted_strikes_name_their_source_and_the_launches_that_share_them():
    found = spectators_finding(watching(None, 62.0), Distance(90.0, True), accepted(Design(), "spectators"), 1)
    assert "0.001\u202f% of flights (0.01\u202f% a day over 10 launches)" in found.limit
    assert "14 CFR 450.101" in found.source
    assert "by analogy" in found.source


def power_line(metres):
    line = Area("the overhead line", kinds()["power line"], box(-500.0, metres, 500.0, metres + 10.0), 0.005)
    return FieldSite("the field", box(-600.0, -600.0, 600.0, 600.0), (line,), None)


@pytest.mark.parametrize(("metres", "stopped"), [(99.0, True), (101.0, False)])
def test_a_power_line_inside_the_reach_in_any_direction_is_a_stop(metres, stopped):
    assert bool(stops(reach_findings(power_line(metres), 100.0, settled=True))) is stopped


@pytest.mark.parametrize(
    ("planned", "energy", "stopped"), [(30.0, 40.0, True), (60.0, 40.0, False), (30.0, 9.0, False)])
def test_a_heavy_rocket_with_nothing_to_slow_it_and_people_inside_its_reach_is_a_stop(planned, energy, stopped):
    plain = FieldSite("the field", None, (), None)
    assert bool(stops(ballistic_findings(plain, watching(planned, 15.0), 50.0, energy))) is stopped


def test_a_parachute_that_slows_too_little_counts_as_the_strike_that_it_leaves_not_by_its_name():
    plain = FieldSite("the field", None, (), None)
    (stop,) = ballistic_findings(plain, watching(30.0, 15.0), 50.0, 40.0, "its streamer is out")
    assert "though its streamer is out" in stop.hazard
    assert "A larger parachute" in stop.remedy
    assert not list(ballistic_findings(plain, watching(30.0, 15.0), 50.0, 4.0, "its parachute is out"))


def test_a_road_inside_the_reach_of_a_heavy_ballistic_rocket_counts_as_people():
    assert stops(ballistic_findings(beside(30.0), watching(None, 15.0), 50.0, 40.0))
    assert not stops(ballistic_findings(beside(70.0), watching(None, 15.0), 50.0, 40.0))


def test_seven_chances_of_one_answer_are_one_finding_with_a_line_for_each():
    areas = tuple(Area(f"hedge {place}", kinds()["trees"], box(300.0, 9.0 * place, 305.0, 9.0 * place + 5.0), 0.1)
                  for place in range(7))
    (within,) = exposure_findings(exposures(FieldSite("the field", None, areas, None), SCATTER))
    assert within.code == "chance-within"
    assert within.found.count(" of 4000 flights") == 7


def test_no_is_a_stop_for_the_present_wind_and_where_every_hour_says_no():
    free, wait, no = (Call(at, verdict, "w") for at, verdict in zip(("a", "b", "c"), HourCall, strict=True))

    def levels_of(*calls):
        return [finding.level for finding in call_findings(calls, 200, 4000)]

    assert levels_of(free, wait, no) == [Level.NOTE, Level.LOOK, Level.LOOK]
    assert levels_of(no, free) == [Level.STOP, Level.NOTE]
    assert levels_of(no, no) == [Level.STOP]


def test_spectators_too_near_in_the_wind_of_an_hour_are_told_to_move():
    """Not the field: the wind carries the rocket nowhere that is forbidden."""
    free = Call("now", HourCall.OPEN, "w")
    call = confirmed(free, [], [Against(HourCall.NO, "spectators stand 16 m away", "spectators")])
    (found,) = call_findings([call], 200, 4000)
    assert (found.level, found.code) == (Level.STOP, "wind-no-spectators")
    assert "spectators" in found.hazard
    assert "out of the field" not in found.hazard
    assert found.remedy.startswith("Move the spectators")


def test_hours_with_one_answer_are_one_finding_that_names_each():
    calls = [Call(at, HourCall.WAIT, f"why {at}") for at in ("now", "09:00", "11:00")]
    (found,) = call_findings(calls, 200, 4000)
    assert found.found == "now, wait. why now; 09:00, wait. why 09:00; 11:00, wait. why 11:00"


def test_no_hour_is_called_good():
    assert {str(verdict) for verdict in HourCall} == {"no", "wait", "nothing against it"}


def test_an_hour_is_taken_back_where_its_own_flights_say_otherwise():
    free = Call("09:00", HourCall.OPEN, "wind 1.0 m/s, limit 2.0 m/s: under it")
    assert confirmed(free, exposures(beside(70.0), SCATTER)).verdict is HourCall.OPEN
    few = confirmed(free, exposures(beside(70.0), SCATTER[:200]))
    assert (few.verdict, "not shown to be within" in few.why) == (HourCall.WAIT, True)
    hit = confirmed(free, exposures(beside(15.0), SCATTER))
    assert (hit.verdict, "more than the 0.5\u202f% you accept" in hit.why) == (HourCall.NO, True)
    wait = Call("10:00", HourCall.WAIT, "w")
    assert confirmed(wait, exposures(beside(15.0), SCATTER)) is wait


def test_an_hour_in_whose_wind_people_stand_too_near_is_a_no():
    free = Call("09:00", HourCall.OPEN, "w")
    taken = confirmed(free, [], [Against(HourCall.NO, "spectators stand 25 m away", "spectators")])
    assert (taken.verdict, taken.why) == (HourCall.NO, "w. But in this very wind spectators stand 25 m away")


def test_no_finding_calls_anything_safe():
    findings = site_findings(beside(8.0)) + exposure_findings(exposures(beside(8.0), SCATTER))
    assert not any("safe" in value.lower() for finding in findings for value in finding.as_json().values())
