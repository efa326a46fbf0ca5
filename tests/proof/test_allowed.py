"""One number for the gauge: what is allowed follows from bottle, tests, rules, parts and place, never from the plan."""

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acts import act_of
from bottlewright.design import complete, parse_design
from bottlewright.design.document import Design
from bottlewright.design.unit_text import at_most
from bottlewright.findings import Finding, Level, stops
from bottlewright.proof.allowed import allowed_pressure, first_plan
from bottlewright.proof.burst_posterior import posterior
from bottlewright.proof.bursts import law, strength
from bottlewright.proof.chapters import prove_chapter
from bottlewright.proof.prove import ProofReport, prove
from bottlewright.proof.rating import rated_pressure
from bottlewright.proof.sheet import proof_sheet
from bottlewright.proof.summary_text import advice
from bottlewright.proof.vessel import describe_bottle
from bottlewright.tune.pressure_limit import ceiling_of

BAR = 1e5
Curlew = Callable[..., Design]
UNTESTED = "vessel.proof=[]"

PLAIN = """
schema = 1
name = "Wren"
[vessel]
bottle = "carbonated-1500"
age = "30 days"
cycles = 2
[charge]
pressure = "3 bar"
temperature = "15 °C"
day = "2027-04-10"
[launcher.gauge]
range = "6 bar"
accuracy = "1 %"
"""
TEST = 'vessel.proof=[{{pressure="{0}", hold="60 s", date="{1}", cycles=2}}]'
TESTED = TEST.format("7.5 bar", "2027-04-09")


def wren(*sets: str) -> Design:
    return complete(parse_design(PLAIN, sets))


def number(design: Design) -> float:
    """Return what is allowed, nothing where there is no allowed pressure yet."""
    return allowed_pressure(design).gauge_Pa or 0.0


def found(report: ProofReport, code: str) -> Finding:
    (one,) = [each for each in report.findings if each.code == code]
    return one


def not_more(lesser: float, greater: float) -> bool:
    return lesser <= greater * (1.0 + 1e-9)


# --- what it is ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pressure", ["0 bar", "3 bar ± 0.5 bar", "4.5 bar", "9 bar", "25 bar"])
def test_the_plan_is_no_input_of_what_is_allowed(pressure: str) -> None:
    for sets in ((TESTED,), (UNTESTED,)):
        assert allowed_pressure(wren(*sets, f'charge.pressure="{pressure}"')) == allowed_pressure(wren(*sets))


def test_it_is_the_rating_less_the_gauges_error() -> None:
    design = wren(TESTED)
    allowed, rated = allowed_pressure(design), rated_pressure(design)
    assert rated.gauge_Pa == pytest.approx(5 * BAR, rel=2e-3)
    assert allowed.gauge_Pa == pytest.approx(rated.gauge_Pa - 0.06 * BAR)
    assert allowed.held_by == "rating"


def test_a_gauge_that_nobody_describes_may_be_out_by_more() -> None:
    told, untold = (number(wren(TESTED, *sets)) for sets in ((), ("launcher.gauge={}",)))
    assert untold == pytest.approx(rated_pressure(wren(TESTED)).gauge_Pa / 1.06)
    assert untold < told


@pytest.mark.parametrize(
    ("sets", "held_by", "bar"),
    [
        ('site.pressure_limit="2.5 bar"', "local limit", 2.5),
        ('launcher.valve={kind="other", rating="3.1 bar"}', "launcher part", 3.1),
        ('launcher.hose={rating="30 psi"}', "launcher part", 30 * 0.0689476),
    ],
)
def test_a_weaker_part_or_a_local_cap_holds_it_down(sets: str, held_by: str, bar: float) -> None:
    allowed = allowed_pressure(wren(TESTED, sets))
    assert allowed.held_by == held_by
    assert allowed.gauge_Pa == pytest.approx(bar * BAR, rel=1e-4)


def test_a_contest_that_the_site_names_caps_it_at_its_own_maximum() -> None:
    """60 psi, rules of a technical institute's contest."""
    allowed = allowed_pressure(wren(TESTED, 'site.rules=["science contest"]'))
    assert allowed.gauge_Pa == pytest.approx(60 * 6894.757 - 0.06 * BAR, rel=1e-4)
    assert allowed_pressure(wren(TESTED, 'site.rules=["section 1036"]')) == allowed_pressure(wren(TESTED))


def test_no_test_lifts_it_over_the_strictest_published_maximum() -> None:
    small = 'vessel.bottle="carbonated-500"'  # a small bottle holds 12 bar more often than one in a hundred times
    assert number(wren(small, TEST.format("12 bar", "2027-04-09"))) <= 6.21 * BAR


def test_a_plan_above_it_is_a_stop_and_less_pressure_is_the_cure() -> None:
    over = prove(wren(TESTED, 'charge.pressure="5.4 bar"'))
    assert [one.code for one in stops(over.findings)] == ["over-rated-pressure"]
    assert over.allowed.gauge_Pa is not None
    told = math.floor(over.allowed.gauge_Pa / 1e3) / 100.0  # limits are rounded down where they are said
    cured = prove(wren(TESTED, f'charge.pressure="{told} bar ± 0 bar"'))
    assert stops(cured.findings) == []


def test_a_plan_that_may_overshoot_it_is_a_look() -> None:
    report = prove(wren(TESTED, 'charge.pressure="4.85 bar ± 0.1 bar"'))
    assert found(report, "rating-within-error").level is Level.LOOK


# --- before its own test ---------------------------------------------------------------------------------------------


def test_without_its_own_test_nothing_is_allowed_yet_and_that_is_no_stop() -> None:
    report = prove(wren(UNTESTED))
    assert report.allowed.gauge_Pa is None
    assert stops(report.findings) == []
    missing = found(report, "own-test-missing")
    assert missing.level is Level.HOLD
    after = report.allowed.after_test
    assert after is not None
    assert after.allowed_gauge_Pa < after.in_the_end_gauge_Pa == pytest.approx(3.45 * BAR)
    assert f"{after.test_gauge_Pa / BAR:.3g} bar" in missing.remedy
    assert "what is planned needs a second, harder test once this one has held" in missing.limit


def test_a_told_age_lifts_the_first_water_test_only_so_far_as_holds_if_one_word_in_ten_is_wrong() -> None:
    first = {age: allowed_pressure(wren(UNTESTED, f"vessel.age={age}")).after_test for age in ("", '"10 days"')}
    unsaid, told = first[""], first['"10 days"']
    assert unsaid is not None
    assert told is not None
    assert unsaid.test_gauge_Pa < told.test_gauge_Pa < 1.4 * unsaid.test_gauge_Pa
    bottle = describe_bottle(wren(UNTESTED, 'vessel.age="10 days"'))
    old = posterior(strength(replace(bottle, age=None, youngest=None)))
    young = posterior(strength(bottle))
    ends = 0.1 * old.chance_below(told.test_gauge_Pa) + 0.9 * young.chance_below(told.test_gauge_Pa)
    assert ends <= law("break_most", table="proof")


def test_when_the_first_step_has_held_the_next_test_may_be_as_hard_as_the_age_lets_it() -> None:
    """The step that has held makes the word more likely: an old bottle would hardly have stood it."""
    young = 'vessel.age="10 days"'
    after = allowed_pressure(wren(UNTESTED, young)).after_test
    assert after is not None
    step = prove(wren(TEST.format(f"{after.test_gauge_Pa / BAR:.2f} bar", "2027-04-09"), young))
    assert step.plan.break_chance <= law("break_most", table="proof")
    assert step.plan.proof_gauge_Pa > after.test_gauge_Pa
    second = prove(wren(TEST.format(f"{step.plan.proof_gauge_Pa / BAR:.2f} bar", "2027-04-09"), young))
    assert (second.allowed.gauge_Pa or 0.0) >= 3.0 * BAR


@given(st.floats(0, 8000))
@settings(max_examples=15)
def test_no_known_age_is_ever_planned_a_weaker_test_than_an_unknown_one(days: float) -> None:
    told, unsaid = (allowed_pressure(wren(UNTESTED, f"vessel.age={age}")).after_test for age in (f'"{days} days"', ""))
    assert told is not None
    assert unsaid is not None
    assert told.test_gauge_Pa >= unsaid.test_gauge_Pa


def test_the_test_that_is_asked_for_does_allow_what_was_promised() -> None:
    for sets in ((), ('vessel.kind="still"',), ('vessel.kind="unknown"',), ('vessel.age="6 years"',),
                 ('vessel.storage="sun"', 'vessel.surface=["glued"]'), ('charge.temperature="32 °C"',)):
        after = allowed_pressure(wren(UNTESTED, *sets)).after_test
        assert after is not None
        made = TEST.format(f"{after.test_gauge_Pa / BAR:.6f} bar", "2027-04-09")
        assert number(wren(made, *sets)) >= after.allowed_gauge_Pa * (1 - 1e-6)


def test_a_plan_above_what_even_its_test_would_allow_is_a_stop() -> None:
    report = prove(wren(UNTESTED, 'charge.pressure="3.6 bar"'))
    assert found(report, "over-rated-pressure").level is Level.STOP
    assert found(report, "own-test-missing").level is Level.HOLD


def test_a_plan_over_what_tests_would_allow_is_sent_back_to_what_the_first_one_would_less_an_overshoot() -> None:
    design = wren(UNTESTED, 'charge.pressure="4 bar"', 'vessel.age="20 days"')
    report = prove(design)
    after, first = report.allowed.after_test, first_plan(design, report.allowed)
    assert after is not None
    assert first is not None
    assert first == ceiling_of(design).pressure < after.allowed_gauge_Pa < after.in_the_end_gauge_Pa
    over = found(report, "over-rated-pressure")
    assert over.remedy.startswith(f"Plan no more than {first / BAR:.3g} bar: ")
    assert over.limit.startswith(at_most(report.habit, after.allowed_gauge_Pa))
    for said in (over.limit, over.remedy):
        assert f"{at_most(report.habit, after.in_the_end_gauge_Pa)} " in said.partition("further, harder")[0]


def test_a_bottle_that_has_passed_its_test_waits_for_no_first_plan() -> None:
    design = wren(TESTED)
    assert first_plan(design, allowed_pressure(design)) is None


def test_a_still_water_bottle_is_allowed_less_by_its_test_than_a_fizzy_one() -> None:
    after = {kind: allowed_pressure(wren(UNTESTED, f'vessel.kind="{kind}"')).after_test
             for kind in ("carbonated", "unknown", "still")}
    values = [one.allowed_gauge_Pa for one in after.values() if one is not None]
    assert len(values) == 3
    assert values == sorted(values, reverse=True)
    assert values[2] < 3 * BAR


@pytest.mark.parametrize("test", ['pressure="7.5 bar", hold="60 s", medium="air"', 'pressure="7.5 bar", hold="3 s"'])
def test_a_test_on_air_or_of_three_seconds_allows_nothing_and_says_so(test: str) -> None:
    report = prove(wren(f"vessel.proof=[{{{test}}}]"))
    assert report.allowed.gauge_Pa is None
    assert any("no launch may rest on it" in one.found for one in report.findings)


def test_a_weak_test_allows_little() -> None:
    assert number(wren(TEST.format("3 bar", "2027-04-09"))) < 2 * BAR


# --- a vessel that is finished ---------------------------------------------------------------------------------------

FINISHED = [
    'vessel.proof=[{pressure="4 bar", hold="60 s", passed=false}]',
    'vessel.proof=[{pressure="4 bar", hold="60 s", passed=false}, {pressure="7.5 bar", hold="60 s"}]',
    'vessel.storage="hot car"',
    'vessel.surface=["sanded"]',
    'vessel.surface=["cut", "glued"]',
    'vessel.surface=["hot-glued"]',
    'vessel.surface=["heated"]',
    "vessel.cycles=16",
    'vessel.material="glass"',
    'vessel.modulus="70000 MPa"',
    'vessel.wall="2 mm"',
    'vessel.empty_mass="600 g"',
]


@pytest.mark.parametrize("sets", FINISHED)
@pytest.mark.parametrize("tested", [TESTED, UNTESTED])
def test_a_finished_vessel_is_allowed_nothing_and_no_words_rate_it_higher(sets: str, tested: str) -> None:
    design = wren(tested, sets)
    report = prove(design)
    assert report.allowed.gauge_Pa == 0.0
    assert report.allowed.held_by == "vessel"
    assert report.rated.gauge_Pa == 0.0
    assert stops(report.findings) != []
    act = act_of(design, report)
    words = " ".join([*(line for _, lines in advice(report) for line in lines), proof_sheet(design, report, act),
                      prove_chapter(design, report, act).section.html, *(one.remedy for one in report.findings)])
    assert re.findall(r"rated to (?!0 bar)", words) == []
    assert "allowed on the gauge, because" not in words
    assert report.as_json()["plan"] is None
    assert ceiling_of(design).rating == 0.0


@pytest.mark.parametrize(
    "sets", ['vessel.material="rPET"', 'vessel.wall="0.35 mm"', 'vessel.modulus="3000 MPa"', 'vessel.empty_mass="48 g"',
             'vessel.surface=["glued"]', "vessel.cycles=15", 'vessel.storage="sun"'],
)  # fmt: skip
def test_an_ordinary_bottle_is_not_finished(sets: str) -> None:
    assert number(wren(TESTED, sets)) > 2 * BAR


@pytest.mark.parametrize(
    ("sets", "code"),
    [('charge.temperature="41 °C"', "too-warm"), ('weather.temperature="42 °C"', "too-warm"),
     ('charge.temperature="0 °C"', "freezing"), ('weather.temperature="-3 °C"', "freezing")],
)  # fmt: skip
def test_warm_water_a_warm_wall_and_frost_are_stops(sets: str, code: str) -> None:
    assert found(prove(wren(TESTED, sets)), code).level is Level.STOP


@pytest.mark.parametrize("temperature", ["1 °C", "30 °C", "40 °C"])
def test_between_frost_and_forty_degrees_there_is_no_stop(temperature: str) -> None:
    assert stops(prove(wren(TESTED, f'charge.temperature="{temperature}"')).findings) == []


# --- what Tune proposes ----------------------------------------------------------------------------------------------


def test_tune_proposes_no_more_than_is_allowed_or_than_a_test_would_allow(curlew: Curlew) -> None:
    coarse = 'launcher.gauge={range="100 bar", accuracy="4 %"}'
    for sets in ((), (UNTESTED,), ('site.pressure_limit="2 bar"',), (coarse,)):
        design = curlew(*sets)
        allowed = allowed_pressure(design)
        most = allowed.gauge_Pa if allowed.after_test is None else allowed.after_test.allowed_gauge_Pa
        assert most is not None
        assert ceiling_of(design).rating == most
        assert ceiling_of(design).pressure == pytest.approx(min(most - 0.3 * BAR, most / 1.06), abs=1e3)


# --- nothing that happens to a bottle raises it ----------------------------------------------------------------------

tests = st.lists(
    st.tuples(st.floats(1, 16), st.sampled_from([2, 30, 60, 600]), st.integers(0, 400), st.integers(0, 6),
              st.sampled_from(["water", "air"])),
    min_size=1, max_size=2,
)  # fmt: skip
"""Pressure (bar), hold (s), days before the launch, pressurisations by then, medium."""


def history(
    made: list[tuple[float, int, int, int, str]], age: int, cycles: int, kind: str, *sets: str, later: int = 0
) -> Design:
    """Return a bottle with these tests, launched so many days later than 2027-04-10, and older by as much."""
    launch = date(2027, 4, 10)
    rows = ", ".join(
        f'{{pressure="{p} bar", hold="{hold} s", date="{launch - timedelta(days=min(days, age))}", '
        f'cycles={min(n, cycles)}, medium="{medium}"}}' for p, hold, days, n, medium in made
    )
    return wren(f"vessel.proof=[{rows}]", f'vessel.age="{age + later} days"', f"vessel.cycles={cycles}",
                f'vessel.kind="{kind}"', f'charge.day="{launch + timedelta(days=later)}"', *sets)


ages, counts = st.integers(0, 3000), st.integers(0, 14)
kinds = st.sampled_from(["carbonated", "hot-drink", "still", "unknown"])


@given(tests, ages, counts, kinds, st.integers(1, 3000))
@settings(max_examples=25)
def test_time_that_passes_never_raises_it(made, age, cycles, kind, later):
    now, then = history(made, age, cycles, kind), history(made, age, cycles, kind, later=later)
    assert not_more(number(then), number(now))
    assert not_more(rated_pressure(then).burst_limit_Pa, rated_pressure(now).burst_limit_Pa)


@given(tests, ages, counts, kinds, st.integers(1, 20))
@settings(max_examples=25)
def test_more_launches_never_raise_it(made, age, cycles, kind, more):
    fewer, after = (history(made, age, cycles, kind, f"vessel.cycles={n}") for n in (cycles, cycles + more))
    assert not_more(number(after), number(fewer))


@given(tests, ages, counts, kinds, st.floats(5, 55), st.floats(0, 20))
@settings(max_examples=25)
def test_more_warmth_never_raises_it(made, age, cycles, kind, warm, more):
    cooler, warmer = (
        history(made, age, cycles, kind, f'charge.temperature="{t} °C"') for t in (warm, min(warm + more, 70))
    )
    assert not_more(number(warmer), number(cooler))


@given(tests, ages, counts, kinds, st.sampled_from(['vessel.storage="sun"', 'vessel.storage="hot car"',
       'vessel.surface=["glued"]', 'vessel.surface=["glued", "sanded"]', 'vessel.surface=["heated"]',
       'charge.wait="1 h"']))  # fmt: skip
@settings(max_examples=25)
def test_damage_and_rest_under_load_never_raise_it(made, age, cycles, kind, damage):
    whole, hurt = history(made, age, cycles, kind), history(made, age, cycles, kind, damage)
    assert not_more(number(hurt), number(whole))


@given(tests, ages, counts, kinds)
@settings(max_examples=25)
def test_a_failed_test_ends_a_vessel_for_good(made, age, cycles, kind):
    design = history(made, age, cycles, kind)
    failed = design.vessel.proof[0].model_copy(update={"passed": False})
    vessel = design.vessel.model_copy(update={"proof": [failed, *design.vessel.proof[1:]]})
    assert number(design.model_copy(update={"vessel": vessel})) == 0.0


# --- what leaves nothing to pump, and is no fault of the bottle ------------------------------------------------------

COARSE = ['launcher.gauge={range="60 bar", accuracy="10 %"}', 'launcher.gauge={range="400 bar"}']


@pytest.mark.parametrize("tested", [TESTED, UNTESTED])
@pytest.mark.parametrize("gauge", COARSE)
def test_a_gauge_too_coarse_for_the_bottle_is_a_stop_of_the_gauge_and_retires_nothing(gauge: str, tested: str) -> None:
    design = wren(tested, gauge)
    report = prove(design)
    stop = found(report, "gauge-too-coarse")
    assert stop.level is Level.STOP
    assert "a finer gauge" in stop.remedy
    assert report.allowed.most_Pa == 0.0
    assert not report.allowed.retired
    assert act_of(design, report).retired == ""
    assert ceiling_of(design).pressure > 2 * BAR
    assert ceiling_of(design).rating > 2 * BAR  # 0 would say that the bottle is finished


def test_allowed_says_that_the_gauge_leaves_nothing() -> None:
    allowed = allowed_pressure(wren(TESTED, COARSE[0]))
    assert allowed.held_by == "gauge"
    assert "a finer gauge" in allowed.because


@pytest.mark.parametrize("tested", [TESTED, UNTESTED])
@pytest.mark.parametrize("limit", ["0 bar", "0.2 bar"])
def test_a_place_that_allows_no_pressure_retires_no_bottle(limit: str, tested: str) -> None:
    design = wren(tested, f'site.pressure_limit="{limit}"')
    report = prove(design)
    assert found(report, "over-rated-pressure").level is Level.STOP
    assert not report.allowed.retired
    assert "nobody pumps this bottle again" not in act_of(design, report).allowed
    assert report.plan.proof_gauge_Pa > 0.0
    assert ceiling_of(design).pressure > 0.0


# --- how often it was under pressure ---------------------------------------------------------------------------------

MANY = "vessel.proof=[" + ", ".join(
    f'{{pressure="7.5 bar", hold="60 s", date="2027-04-09", cycles={n}}}' for n in (1, 2)) + "]"  # fmt: skip


def uncounted(design: Design) -> Design:
    return design.model_copy(update={"vessel": design.vessel.model_copy(update={"cycles": None})})


@pytest.mark.parametrize("cycles", [0, 2, 9, 15])
@pytest.mark.parametrize("tested", [TESTED, UNTESTED, 'vessel.proof=[{pressure="7.5 bar", hold="60 s"}]'])
def test_leaving_the_count_out_never_allows_more_than_stating_it(tested: str, cycles: int) -> None:
    stated = wren(tested, "vessel.cycles=15" if tested == TESTED and cycles < 2 else f"vessel.cycles={cycles}")
    unsaid = uncounted(stated)
    assert not_more(allowed_pressure(unsaid).most_Pa, allowed_pressure(stated).most_Pa)
    assert not_more(rated_pressure(unsaid).burst_limit_Pa, rated_pressure(stated).burst_limit_Pa)
    told = found(prove(unsaid), "cycles-unknown")
    assert told.level is Level.HOLD
    assert "taken as after 15 times" in told.found
    assert found(prove(unsaid), "retire").level is Level.LOOK


@pytest.mark.parametrize("cycles", range(16))
def test_no_count_is_asked_for_less_urgently_than_any_count_below_the_end_of_its_life(cycles: int) -> None:
    stated = prove(wren(UNTESTED, f"vessel.cycles={cycles}"))
    unsaid = prove(uncounted(wren(UNTESTED)))
    levels = [[one.level for one in report.findings if one.level in (Level.STOP, Level.LOOK, Level.HOLD)]
              for report in (unsaid, stated)]  # fmt: skip
    assert all(levels[0].count(level) >= levels[1].count(level) for level in Level)
    assert levels[0].count(Level.HOLD) == levels[1].count(Level.HOLD) + 1


def test_who_has_not_counted_is_told_before_pumping_that_one_with_more_launches_is_finished() -> None:
    told = found(prove(uncounted(wren(TESTED))), "cycles-unknown")
    assert told.hazard.startswith("A bottle that was pumped up more than 15 times is finished")
    assert told.remedy.startswith("Ask everyone who used it and count")


def test_sixteen_tests_are_sixteen_times_under_pressure() -> None:
    sixteen = "vessel.proof=[" + ", ".join(['{pressure="5 bar", hold="60 s", date="2027-04-09"}'] * 16) + "]"
    for design in (wren(sixteen), uncounted(wren(sixteen))):
        report = prove(design)
        assert report.allowed.retired
        assert found(report, "retire").level is Level.STOP


def test_a_count_of_a_test_past_the_end_of_its_life_ends_a_bottle_of_which_no_count_is_said() -> None:
    design = uncounted(wren('vessel.proof=[{pressure="7.5 bar", hold="60 s", date="2027-04-09", cycles=40}]'))
    assert allowed_pressure(design).retired


def test_fewer_times_under_pressure_than_tests_is_a_look() -> None:
    report = prove(wren(MANY, "vessel.cycles=1"))
    assert found(report, "cycles-too-few").level is Level.LOOK
    assert "cycles-too-few" not in {one.code for one in prove(wren(MANY, "vessel.cycles=2")).findings}
