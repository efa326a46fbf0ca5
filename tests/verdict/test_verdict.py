"""The verdict: its level, its numbers, what it says first, and what it never says."""

import json
from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest
from base_designs import changed_text, design_of
from shapely.geometry import LineString, Polygon

from bottlewright.design import complete, parse_design
from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.distance import Distance
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.numbers import FieldNumbers, LimitAt, Sector
from bottlewright.field.results import limit_rows
from bottlewright.field.sides import counted_sides
from bottlewright.field.site import Area, FieldSite
from bottlewright.field.wind_limit import WindLimit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.template_values import words_of
from bottlewright.project.standing import sides
from bottlewright.proof.allowed import AfterTest, Allowed
from bottlewright.proof.prove import prove
from bottlewright.proof.summary_text import advice
from bottlewright.report.first_page import first_page
from bottlewright.report.gathered import first_actions
from bottlewright.verdict import Load, PeopleDistances, Verdict, act_on, judge_alone, verdict_lines
from bottlewright.verdict.on_the_site import people_of, plan_of
from bottlewright.verdict.words import pressure_words


def finding(level, hazard="it bursts"):
    return Finding(level, Stage.PROVE, "code", hazard, "9 bar", "5 bar", "a rule", "pump less")


BY_RULE = ("spectators at least 15.3 m, whoever pumps or pulls the cord at least 6.1 m, by rule; landings not worked "
           "out")
RULES = PeopleDistances(None, None, None, 6.1, 6.1, 15.24, BY_RULE)
LANDED = PeopleDistances(
    8.0, None, tuple(Sector(30.0 * k - 15.0, 30.0 * k + 15.0, 60.0 if k else 25.0, True) for k in range(12)),
    6.1, 6.1, 15.24, "4000 flights", 180.0, 180.0, 0.0,
)  # fmt: skip


def verdict(*findings, allowed=None, distances=RULES, winds=None, habit=METRIC, proof=6e5):
    allowed = allowed or Allowed(4.7e5, "a test allows no more", "rating", None)
    return Verdict("Curlew", "abc", allowed, distances, winds, proof, Load(0.4e-3, 4e5), findings, ("the sky",), habit)


def test_one_stop_makes_it_a_stop_and_takes_the_load_away():
    said = verdict(finding(Level.STOP), finding(Level.LOOK, "it swings"))
    assert said.level == "stop"
    assert said.load is None
    assert said.as_json()["load"] is None
    assert verdict_lines(said)[0].startswith("STOP: nobody pumps this rocket before one thing is put right. It bursts")


@pytest.mark.parametrize("level", [Level.HOLD, Level.UNCHECKED, Level.NOTE])
def test_what_is_missing_or_unchecked_makes_no_level(level):
    said = verdict(finding(level))
    assert said.level == "none"
    assert said.load == Load(0.4e-3, 4e5)


def test_a_hold_point_stands_in_the_words_and_beside_the_pressure_of_every_sheet():
    said = verdict(finding(Level.HOLD, "nobody has spoken of goggles"))
    assert "Not before pumping: Nobody has spoken of goggles." in verdict_lines(said)
    assert act_on(said).pump_to == "4 bar (not before every hold point on the cover is met)"
    assert [one["hazard"] for one in said.as_json()["before_pumping"]] == ["Nobody has spoken of goggles"]


def test_while_a_hold_point_is_open_the_first_line_names_it_the_missing_water_test_first():
    gauge, goggles = finding(Level.HOLD, "no gauge"), finding(Level.HOLD, "no goggles")
    test = replace(finding(Level.HOLD, "nobody tested it"), code="own-test-missing")
    test = replace(test, stage=Stage.MAKE)  # last in the order of the work
    many = [finding(Level.HOLD, f"thing {n} is missing") for n in range(5)]
    assert verdict_lines(verdict(gauge))[0] == "NOT BEFORE PUMPING: No gauge."
    assert verdict_lines(verdict(gauge, goggles, test))[0] == "NOT BEFORE PUMPING: Nobody tested it; 2 more."
    assert "Not before pumping: Nobody tested it. Thing" in " ".join(verdict_lines(verdict(*many, test)))
    assert first_page(act_on(verdict(*many, test)), [*many, test]).actions[0].why == "Nobody tested it"
    looks = verdict_lines(verdict(gauge, finding(Level.LOOK)))[0]
    assert looks == "NOT BEFORE PUMPING: No gauge. LOOK at one thing before you go on; no finding says stop so far."
    assert verdict_lines(verdict(test, finding(Level.STOP)))[0].startswith("STOP")


def test_a_bottle_without_its_own_water_test_is_tested_first_of_all():
    test = Finding(Level.HOLD, Stage.PROVE, "own-test-missing", "nobody knows", "no test", "x", "y", "test it at 5 bar")
    asked = [finding(Level.STOP), test, finding(Level.LOOK)]
    assert [one.do for one in first_actions(asked)] == ["Test it at 5 bar", "Pump less"]


def test_no_card_orders_a_pressure_under_a_stop_or_before_the_water_test():
    untested = Allowed(None, "it has no test of its own", "no test", AfterTest(5.2e5, 3.25e5, 3.25e5))
    assert act_on(verdict(finding(Level.STOP))).pump_to == "none: see the cover"
    assert act_on(verdict(allowed=untested)).pump_to == "none yet: test first"
    stopped = words_of(act_on(verdict(finding(Level.STOP))))
    assert stopped["pressure"] == "none: see the cover"


def test_without_landings_no_distance_is_given_and_the_rule_is_named_as_the_least():
    said = verdict()
    assert said.as_json()["distances"]["pumper_m"] is None
    assert said.as_json()["distances"]["spectators"] is None
    assert verdict_lines(said)[2] == (
        f"Stand back at a launch: {BY_RULE}. Your plan does not say where anyone stands.")
    assert act_on(said).spectators.endswith("landings not worked out")


def test_a_person_for_whom_no_place_will_do_is_said_so():
    said = verdict(distances=LANDED)
    assert "whoever pumps 8 m, nearer on no side (their place: S), " in verdict_lines(said)[2]
    assert "whoever pulls the cord has no place that will do" in verdict_lines(said)[2]
    assert "spectators 60 m, towards N at least 25 m" in verdict_lines(said)[2]


def test_how_far_and_on_which_side_are_two_facts_on_every_sheet():
    """On a sheet "8 m to the S" would read as if somebody could stand nearer on another side."""
    said = act_on(verdict(distances=LANDED))
    assert (said.pumper, said.pumper_place) == ("8 m", "S")
    assert (said.operator, said.operator_place) == ("a distance that nobody has found (no place will do)", "")


def test_a_distance_that_the_flights_do_not_show_is_over_that():
    said = verdict(distances=replace(LANDED, pumper_settled=False))
    assert act_on(said).pumper == "over 8 m"
    assert "whoever pumps over 8 m," in verdict_lines(said)[2]
    assert said.as_json()["distances"]["pumper_settled"] is False


def test_an_untested_bottle_has_no_pressure_yet_and_the_words_say_what_a_test_would_allow():
    said = verdict(allowed=Allowed(None, "it has no test of its own", "no test", AfterTest(5.2e5, 3.25e5, 3.25e5)))
    assert said.as_json()["allowed_gauge_Pa"] is None
    assert said.as_json()["after_test"] == {"test_gauge_Pa": 5.2e5, "allowed_gauge_Pa": 3.25e5,
                                               "in_the_end_gauge_Pa": 3.25e5}
    assert "no pressure is allowed yet" in verdict_lines(said)[1]
    assert "After a passed water test at 5.2 bar it would be 3.25 bar at most" in verdict_lines(said)[1]


def test_a_finished_bottle_is_never_pumped_again():
    said = verdict(allowed=Allowed(0.0, "it failed a test", "vessel", None), proof=None)
    assert verdict_lines(said)[1] == "On the gauge: nobody pumps this bottle again, because it failed a test."
    assert act_on(said).proof == ""
    assert act_on(said).retired == "it failed a test"


def test_the_leak_test_goes_no_higher_than_the_allowed_pressure():
    assert act_on(verdict(allowed=Allowed(3e5, "a part", "launcher part", None))).leak == "3 bar"
    assert act_on(verdict()).leak == "4 bar"


def test_the_checklist_says_at_what_height_its_wind_is_measured():
    said = act_on(verdict(distances=LANDED, winds=(LimitAt(0.0, 3.0, 10.0), LimitAt(180.0, 4.0, 10.0))))
    assert words_of(said)["wind_limit"] == (
        "2.1 m/s, the least of any direction (N); in the hand, 1.5 m up; that is 3 m/s at 10 m")  # fmt: skip


def test_each_unit_of_the_builder_says_the_same_pressure():
    said = verdict(habit=UnitHabit(psi=True, inches=True, pounds=True, miles=True))
    assert "68.1 psi (4.7 bar)" in verdict_lines(said)[1]
    assert act_on(said).allowed == "not over 68.1 psi (4.7 bar)"


def test_the_wind_is_the_least_of_all_directions_with_its_height():
    said = verdict(distances=LANDED, winds=tuple(LimitAt(30.0 * k, 3.0 + k, 2.0) for k in range(12)))
    assert ("Wind and gusts not over 2.8 m/s, the least of any direction (N); in the hand, 1.5 m up; that is 3 m/s "
            "at 2 m;") in verdict_lines(said)[3]
    assert act_on(said).wind == "2.8 m/s, the least of any direction (N)"
    assert act_on(said).wind_because.startswith("in the hand, 1.5 m up; that is 3 m/s at 2 m, by the wind's growth")
    assert len(act_on(said).winds) == 12


def test_no_verdict_calls_anything_safe_or_fine():
    for said in (verdict(), verdict(finding(Level.LOOK)), verdict(finding(Level.STOP)), verdict(distances=LANDED)):
        words = " ".join([*verdict_lines(said), json.dumps(said.as_json())]).lower()
        assert not {"safe", "fine", "ok", "go!"} & set(words.replace(".", " ").split())


def test_stored_landings_bring_their_findings_and_are_never_nearer_than_the_rule():
    design = design_of("plain", {})
    sectors = tuple(Sector(30.0 * k - 15.0, 30.0 * k + 15.0, 9.0, True) for k in range(12))
    stop = Finding(Level.STOP, Stage.FIELD, "x", "it comes down on the road", "1 %", "0.1 %", "a rule", "wait")
    field = FieldNumbers("d", 4000, 1.0, 2.0, sectors, (), (stop,), "4000 flights")
    said = judge_alone(design, field=field)
    assert said.level == "stop"
    assert stop in said.findings
    assert min(one.distance_m for one in said.distances.spectators) == pytest.approx(15.24)
    assert said.distances.pumper_m == said.distances.rule_pumper_m


def test_without_landings_each_person_has_the_distance_of_their_own_rule():
    said = judge_alone(design_of("plain", {}))
    because = BY_RULE.replace("6.1 m", "4.6 m")  # the larger of the two rules for so little pressure
    rules = said.distances
    assert max(rules.rule_pumper_m, rules.rule_operator_m) == pytest.approx(4.572)
    assert said.distances.because == because
    assert said.as_json()["distances"]["because"] == because


WINDS = tuple(LimitAt(30.0 * k, 3.0 + 0.2 * k, 2.0) for k in range(12))
BLOWN = FieldNumbers("d", 4000, 8.0, 8.0, LANDED.spectators, WINDS, (), "4000 flights")


def test_the_limit_for_the_wind_of_the_day_stands_first():
    windy = {"weather.wind_speed": "2 m/s", "weather.wind_from": "240 deg ± 5 deg"}
    said = judge_alone(design_of("plain", windy), field=BLOWN)
    words = next(line for line in verdict_lines(said) if line.startswith("Wind"))
    assert words.startswith(
        "Wind and gusts not over 4.1 m/s while it comes from WSW (240° ± 11°); from any other direction down to "
        "2.8 m/s (N); in the hand, 1.5 m up; that is 4.4 m/s and 3 m/s at 2 m;")  # fmt: skip
    assert said.as_json()["wind_limit_today"]["speed_m_s"] == pytest.approx(4.4)
    assert not any(one.startswith("the wind: none is given") for one in said.unchecked)


def test_landings_of_a_day_that_has_passed_say_so_and_are_no_wind_of_today(monkeypatch):
    curlew = design_of("curlew", {})
    before = judge_alone(curlew, field=BLOWN)
    monkeypatch.setattr("bottlewright.proof.judged_day.today", lambda: date(2027, 4, 4))
    after = judge_alone(curlew, field=BLOWN)
    assert before.wind_today is not None
    assert after.wind_today is None
    said = "worked out for 2027-04-03, and that day has passed"
    assert said in after.distances.because
    assert said not in before.distances.because
    assert [line for line in after.unchecked if said in line and "Field (the command `scatter`) again" in line]
    assert "launch-day-passed" in [one.code for one in after.at(Level.HOLD)]
    alone = judge_alone(curlew)
    assert not [line for line in (alone.distances.because, *alone.unchecked) if said in line]


def test_a_place_that_so_few_flights_do_not_show_to_do_is_over_that_on_the_site_plan_too():
    unsettled = replace(BLOWN, operator_settled=False, spectators=(Sector(345.0, 15.0, 90.0, False),),
                        spectators_bearing_deg=0.0)
    operator, spectators = (
        next(one.label for one in people_of(judge_alone(design_of("plain", {}), field=unsettled))
             if one.label.startswith(role)) for role in ("operator", "spectators"))
    assert operator == "operator over 8 m"
    assert spectators == "spectators over 90 m"
    assert [one.label for one in people_of(judge_alone(design_of("plain", {}), field=BLOWN))][1] == (
        "operator 30 m, as planned")


@pytest.mark.parametrize(("planned", "drawn"), [
    (47.7, "spectators 47.7 m, as planned"), (60.0, "spectators 60 m"), (90.0, "spectators 90 m, as planned"),
    (None, "spectators 60 m"),
])  # fmt: skip
def test_whoever_the_plan_has_further_off_than_is_asked_is_drawn_where_they_will_stand(planned, drawn):
    asked = 60.0 if planned != 47.7 else 15.3
    where = replace(LANDED, spectators=(Sector(165.0, 195.0, asked, True),), spectators_bearing_deg=180.0,
                    planned_spectators_m=planned)
    people = {one.label.split()[0]: one for one in people_of(verdict(distances=where))}
    assert people["spectators"].label == drawn
    assert people["spectators"].distance == pytest.approx(max(asked, planned or 0.0))
    near = replace(where, planned_spectators_m=0.9 * asked)
    assert {one.label.split()[0]: one for one in people_of(verdict(distances=near))}["spectators"].distance == asked


def test_the_sheets_show_the_field_as_soon_as_it_is_drawn_and_the_people_once_landings_are_known():
    field, keep_out = Polygon([(-32, -50), (32, -50), (32, 50), (-32, 50)]), LineString([(38, -55), (38, 55)])
    drawn = FieldSite("pitch", field, (Area("Mill Lane", kinds()["road"], keep_out.buffer(3.0), 0.005),), None)
    bare, design = FieldSite("", None, (), None), design_of("plain", {})
    by_rule, landed = judge_alone(design), judge_alone(design, field=BLOWN)
    assert plan_of(design, bare, by_rule) is None
    assert "Mill Lane" in plan_of(design, drawn, by_rule).says
    assert "operator 30 m, as planned" in plan_of(design, drawn, landed).wide
    assert "operator 30 m, as planned" in plan_of(design, bare, landed).narrow


def test_a_file_without_a_wind_is_told_to_measure_it():
    lines = changed_text("plain", {}).splitlines()
    calm = complete(parse_design("\n".join(one for one in lines if not one.startswith(("wind_speed", "wind_from")))))
    said = judge_alone(calm, field=BLOWN)
    assert "the wind: none is given, so still air with the usual spread was assumed; measure it" in said.unchecked
    assert said.wind_today is None
    assert "wind" in plan_of(design_of("plain", {}), FieldSite("", None, (), None), said).wide
    assert "wind" not in plan_of(calm, FieldSite("", None, (), None), said).wide, "no arrow of a wind that nobody gave"


def test_a_wind_without_its_direction_is_not_called_still_air():
    lines = changed_text("plain", {"weather.wind_speed": "2 m/s"}).splitlines()
    said = judge_alone(complete(parse_design("\n".join(one for one in lines if not one.startswith("wind_from")))))
    (wind,) = (one for one in said.unchecked if one.startswith("the wind"))
    assert "not where from" in wind
    assert "still air" not in wind


def test_no_remedy_against_too_much_pressure_is_an_order_to_pump():
    remedies = [one.remedy for one in judge_alone(design_of("plain", {"charge.pressure": "9 bar"})).findings]
    assert any(one.startswith("Plan no more than") for one in remedies)
    assert not any(one.startswith("Pump to") for one in remedies)


@pytest.mark.parametrize("changes", [{}, {"vessel.proof": []}, {"vessel.surface": ["cut"]}])
def test_prove_says_the_allowed_pressure_in_the_words_of_the_verdict(changes):
    design = design_of("plain", changes)
    report = prove(design)
    said = dict(advice(report))["How hard you may pump it"][0]
    assert said.startswith(pressure_words(judge_alone(design, proof=report)))


def test_field_says_winds_and_distances_as_the_sheets_do():
    limit = WindLimit(0.0, 8.94, reached=False)
    found = SimpleNamespace(limits=[limit], sectors=[(0.0, Distance(25.03, settled=False))], habit=METRIC)
    ((_, wind, distance),) = limit_rows(design_of("plain", {}), found)
    sectors = (Sector(-15.0, 15.0, 25.03, settled=False),)
    sheet = act_on(verdict(distances=replace(LANDED, spectators=sectors), winds=(LimitAt(0.0, 8.94, 2.0),)))
    assert distance == sheet.sides[0].says == "over 25.1 m"
    assert wind == "8.9 m/s, the published maximum"
    assert sheet.winds[0].says == "8.5 m/s", "what a meter in the hand may read in it"


def test_what_the_plan_says_stands_beside_what_the_rule_asks_at_the_least():
    far = verdict(distances=replace(RULES, planned_pumper_m=24.0, planned_operator_m=24.0, planned_spectators_m=76.0))
    said = verdict_lines(far)[2]
    assert said.endswith("Your plan: 24 m for whoever pumps or pulls the cord; 76 m for spectators.")
    assert "at least 6.1 m, by rule" in said
    assert [(one.where, one.says) for one in act_on(far).stand] == [
        ("whoever pumps or pulls the cord", "24 m by your plan"), ("spectators", "76 m by your plan")]


def test_a_plan_that_is_nearer_than_what_is_asked_is_called_too_near_and_never_stands_alone():
    near = verdict(distances=replace(RULES, planned_pumper_m=3.0, planned_operator_m=24.0))
    assert "3 m, too near for whoever pumps; 24 m for whoever pulls the cord; it says nothing of spectators" in (
        verdict_lines(near)[2])
    assert [one.says for one in act_on(near).stand] == [
        "6.1 m by rule (landings not worked out)", "24 m by your plan",
        "at least 15.3 m by rule; landings not worked out"]


def test_by_landings_a_plan_has_to_keep_to_the_side_on_which_people_stand():
    """Towards north 25 m will do, on the other sides 60 m."""
    north = replace(LANDED, planned_spectators_m=30.0)
    assert north.keeps("spectators")
    assert not replace(north, spectators_bearing_deg=180.0).keeps("spectators")
    assert not replace(north, spectators_bearing_deg=None).keeps("spectators")
    assert not replace(north, planned_operator_m=500.0).keeps("operator")  # no place will do


def test_a_planned_distance_of_spectators_never_stands_without_the_side_that_it_is_for():
    """30 m will do towards north, where 25 m is asked; on every other side 60 m is, and whoever reads 30 m knows it."""
    said = verdict(distances=replace(LANDED, planned_spectators_m=30.0))
    there = "towards N (asked there 25 m, elsewhere up to 60 m)"
    assert act_on(said).stand[-1].says == f"30 m by your plan {there}"
    assert f"30 m for spectators {there}" in verdict_lines(said)[2]
    assert f"30 m for spectators {there}" in act_on(said).planned
    south = verdict(distances=replace(LANDED, planned_spectators_m=70.0, spectators_bearing_deg=180.0))
    assert act_on(south).stand[-1].says == "70 m by your plan towards S (asked there 60 m)"


def test_on_a_side_that_settles_nothing_the_distance_for_any_side_is_the_one_that_is_said():
    """Towards north so few come down that 25 m is no answer: the 60 m of the other sides count, wherever it is said."""
    loose = tuple(side._replace(settled=bool(k)) for k, side in enumerate(LANDED.spectators))
    near = replace(LANDED, spectators=loose, spectators_bearing_deg=0.0, planned_spectators_m=30.0)
    said = verdict(distances=near)
    assert near.asked("spectators") == 60.0
    assert [one.says for one in act_on(said).stand if one.where == "spectators"] == ["60 m"]
    assert act_on(said).spectators == "60 m"  # and no word of 25 m
    assert "30 m, too near for spectators" in verdict_lines(said)[2]
    assert "25 m" not in verdict_lines(said)[2]
    assert next(one for one in people_of(said) if one.label.startswith("spectators")).distance == 60.0
    nothing = replace(near, spectators=tuple(side._replace(settled=False) for side in loose))
    assert act_on(verdict(distances=nothing)).spectators == "60 m"


def test_a_side_on_which_the_landings_settle_nothing_has_the_distance_for_any_side_in_every_table_and_on_the_map():
    far, near, rule = Sector(-15.0, 15.0, 64.31, True), Sector(15.0, 45.0, 30.0, True), Sector(45.0, 75.0, 15.24, False)
    sectors = [(one.middle, Distance(*one.away)) for one in (far, near, rule)]
    says = ["64.4 m", "30 m", "64.4 m, as for any side"]
    sheet = act_on(verdict(distances=replace(LANDED, spectators=(far, near, rule))))
    assert [row.says for row in sheet.sides] == says
    limits = [WindLimit(way, 8.0, reached=True) for way, _ in sectors]
    table = limit_rows(design_of("plain", {}), SimpleNamespace(limits=limits, sectors=sectors, habit=METRIC))
    assert [distance for _, _, distance in table] == says
    assert [distance for _, distance in sides(SimpleNamespace(sectors=sectors), METRIC)] == says
    assert counted_sides([one.away for one in (far, near, rule)]) == [far.away, near.away, far.away]
    assert counted_sides([rule.away]) == [rule.away], "where no side is settled, each is farther"
