from dataclasses import replace

import numpy as np
from shapely.geometry import box

from bottlewright.field.distance import Distance
from bottlewright.field.exposure import exposures
from bottlewright.field.findings import call_findings, distance_finding, exposure_findings, site_findings
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.site import Area, FieldSite, moved
from bottlewright.field.wind_limit import Call, HourCall, confirmed
from bottlewright.findings import Level, stops

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
    (_, road) = exposure_findings(exposures(beside(70.0), SCATTER[:100]))
    assert (road.level, road.code) == (Level.LOOK, "chance-not-settled")
    assert "at least 738" in road.remedy


def test_trees_ask_for_a_look_where_a_road_is_a_stop():
    found = exposure_findings(exposures(beside(3.0, "trees"), SCATTER))
    assert levels(found)["chance-too-high"] is Level.LOOK


def test_a_launch_point_on_a_keep_out_of_any_kind_is_a_stop():
    assert stops(site_findings(beside(-3.0, "water")))


def test_no_boundary_asks_for_one():
    assert levels(site_findings(FieldSite("the field", None, (), None))) == {"no-boundary": Level.UNCHECKED}


def test_a_narrow_field_is_held_against_each_published_rule_that_binds():
    field = FieldSite("the field", box(-75.0, -12.0, 75.0, 12.0), (), None)
    assert {code: level for code, level in levels(site_findings(field)).items() if code.startswith("field-")} == {
        "field-width-nasa-field-width": Level.LOOK
    }
    codes = levels(site_findings(replace(field, rules=("distance contest",))))
    assert codes["field-width-japan-association-field"] is Level.STOP
    assert not any(code.startswith("field-length") for code in codes)
    assert moved(replace(field, rules=("distance contest",)), 1.0, 1.0).rules == ("distance contest",)


def test_spectators_stand_at_the_larger_of_the_rule_and_the_scatter():
    assert "15.3 m away on any side, the larger" in distance_finding(Distance(9.0, True), 0.001).limit
    assert "62 m away on any side, the larger" in distance_finding(Distance(62.0, True), 0.001).limit
    assert distance_finding(Distance(62.0, False), 0.001).level is Level.LOOK


def test_no_is_a_stop_for_the_present_wind_and_where_every_hour_says_no():
    go, wait, no = (Call(at, verdict, "w") for at, verdict in zip(("a", "b", "c"), HourCall, strict=True))

    def levels_of(*calls):
        return [finding.level for finding in call_findings(calls, 200, 4000)]

    assert levels_of(go, wait, no) == [Level.NOTE, Level.LOOK, Level.LOOK]
    assert levels_of(no, go) == [Level.STOP, Level.NOTE]
    assert levels_of(no, no) == [Level.STOP, Level.STOP]


def test_each_hour_s_card_is_headed_by_its_hour():
    calls = [Call(at, HourCall.WAIT, "w") for at in ("now", "09:00", "11:00")]
    heads = [finding.hazard for finding in call_findings(calls, 200, 4000)]
    assert [head.split(" the wind")[0] for head in heads] == ["Now", "At 09:00", "At 11:00"]
    assert len(set(heads)) == 3


def test_a_go_is_taken_back_where_the_whole_sample_says_otherwise():
    go = Call("09:00", HourCall.GO, "wind 1.0 m/s, limit 2.0 m/s: under it")
    assert confirmed(go, exposures(beside(70.0, "spectators"), SCATTER)).verdict is HourCall.GO
    few = confirmed(go, exposures(beside(70.0, "spectators"), SCATTER[:200]))
    assert (few.verdict, "not shown to be within" in few.why) == (HourCall.WAIT, True)
    hit = confirmed(go, exposures(beside(15.0, "spectators"), SCATTER))
    assert (hit.verdict, "more than the 0.1 % you accept" in hit.why) == (HourCall.NO, True)
    wait = Call("10:00", HourCall.WAIT, "w")
    assert confirmed(wait, exposures(beside(15.0, "spectators"), SCATTER)) is wait


def test_no_finding_calls_anything_safe():
    findings = site_findings(beside(8.0)) + exposure_findings(exposures(beside(8.0), SCATTER))
    assert not any("safe" in value.lower() for finding in findings for value in finding.as_json().values())
