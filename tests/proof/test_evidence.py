"""A test bears on the strength of its own day; what happened since is taken off, what can't be right earns nothing."""

import math

import pytest
from test_allowed import TEST, TESTED, wren

from bottlewright.design.document import Design
from bottlewright.findings import Level
from bottlewright.proof.allowed import allowed_pressure
from bottlewright.proof.bursts import Bottle, Strength, strength
from bottlewright.proof.evidence import own_evidence
from bottlewright.proof.expiry import expired
from bottlewright.proof.judged_day import judged_on
from bottlewright.proof.prove import prove
from bottlewright.proof.rating import rate, rated_pressure

BAR, YEAR = 1e5, 365.25 * 86400.0


def left_of(design: Design) -> float:
    """Return the share of the first test that is left at the launch."""
    return own_evidence(design)[0].result.kept


def age_left(days: float) -> float:
    """Return the law of docs/prove.md: 0.41 + 0.59·e^(−age/3 years)."""
    return 0.41 + 0.59 * math.exp(-days / (3 * 365.25))


def test_a_test_of_2014_does_not_make_a_twelve_year_old_bottle_good_for_six_bar() -> None:
    design = wren(TEST.format("9.3 bar", "2015-04-20"), 'vessel.age="12 years"', 'charge.pressure="5 bar"')
    allowed = allowed_pressure(design).gauge_Pa
    assert allowed is not None
    assert allowed < 2.5 * BAR
    assert "over-rated-pressure" in {one.code for one in prove(design).findings if one.level is Level.STOP}


def test_ageing_since_the_test_is_taken_off_and_ageing_before_it_is_not() -> None:
    old_then = left_of(wren(TEST.format("6 bar", "2027-04-09"), 'vessel.age="1000 days"'))
    young_then = left_of(wren(TEST.format("6 bar", "2024-07-16"), 'vessel.age="1000 days"'))
    ratio = age_left(1000) / age_left(2)
    assert old_then == pytest.approx(1.0, abs=1e-3)
    assert young_then == pytest.approx(ratio * math.exp(-1.645 * 0.08 * (1 - ratio) / 0.59), rel=1e-3)


def test_launches_since_the_test_are_taken_off() -> None:
    on_the_day = 'vessel.proof=[{pressure="6 bar", hold="60 s", date="2027-04-10", cycles=3}]'
    five = left_of(wren(on_the_day, "vessel.cycles=8"))
    assert five == pytest.approx(math.exp(-0.005 * 5))


def test_a_test_without_date_or_count_is_taken_at_the_start_of_the_bottles_life() -> None:
    bare = 'vessel.proof=[{pressure="6 bar", hold="60 s"}]'
    dated = 'vessel.proof=[{pressure="6 bar", hold="60 s", date="2025-04-10", cycles=0}]'
    sets = ('vessel.age="730 days"', "vessel.cycles=7")
    assert left_of(wren(bare, *sets)) == pytest.approx(left_of(wren(dated, *sets)))
    told = next(one.found for one in prove(wren(bare, *sets)).findings if one.code == "test-again")
    assert "taken at the start of the bottle's life" in told


@pytest.mark.parametrize(("day", "named"), [("2027-07-03", True), ("2027-03-01", False), ("2027-02-20", False)])
def test_a_test_that_is_counted_to_a_launch_day_still_to_come_names_that_day(day: str, named: bool) -> None:
    """Tested today, 2027-03-01, it is 124 days old on 2027-07-03."""
    told = wren(TEST.format("6 bar", "2027-03-01" if named else "2026-10-28"), f'charge.day="{day}"')
    design = told.model_copy(update={"vessel": told.vessel.model_copy(update={"id": "B1"})})
    counted = f"124 days have passed, counted to the design's launch day, {day} (charge.day), and"
    assert expired(design, design.vessel.proof[0]).startswith(counted if named else "124 days have passed, and")
    own = wren(TEST.format("6 bar", "2027-02-10"), f'charge.day="{day}"', 'vessel.age="200 days"')
    found = next(one.found for one in prove(own).findings if one.code == "test-again")
    assert (f"counted to the design's launch day, {day}" in found) == named
    young = wren(TEST.format("6 bar", "2027-02-10"), f'charge.day="{day}"', 'vessel.age="5 days ± 0 days"')
    doubt = next(one for one in own_evidence(young)[0].doubts if one.code == "test-before-opened")
    assert (f"counted to the design's launch day, {day}" in doubt.limit) == named


def test_of_unknown_age_an_undated_test_is_as_old_as_can_be() -> None:
    undated = wren('vessel.proof=[{pressure="6 bar", hold="60 s"}]').model_copy()
    vessel = undated.vessel.model_copy(update={"age": None})
    assert left_of(undated.model_copy(update={"vessel": vessel})) < 0.41


def test_warmth_rest_sun_and_glue_count_as_coming_after_the_test() -> None:
    plain = left_of(wren(TESTED))
    assert left_of(wren(TESTED, 'charge.temperature="33 °C"')) == pytest.approx(plain * math.exp(-0.06), rel=1e-6)
    assert left_of(wren(TESTED, 'charge.wait="10 min"')) == pytest.approx(plain * 0.97, rel=1e-6)
    assert left_of(wren(TESTED, 'vessel.surface=["glued"]')) == pytest.approx(0.95 * math.exp(-1.645 * 0.05), rel=2e-3)
    assert left_of(wren(TESTED, 'vessel.storage="sun"')) == pytest.approx(0.88 * math.exp(-1.645 * 0.06), rel=2e-3)


GLUED, SUNNED = 'vessel.surface=["glued"]', 'vessel.storage="sun"'


@pytest.mark.parametrize(("done", "key"), [(GLUED, "surface_date"), (SUNNED, "storage_date")])
def test_a_test_after_the_glue_or_the_sun_shows_the_bottle_with_it_and_one_before_or_undated_does_not(
    done: str, key: str
) -> None:
    plain, undated = left_of(wren(TESTED)), left_of(wren(TESTED, done))
    dates = {day: left_of(wren(TESTED, done, f'vessel.{key}="{day}"'))
             for day in ("2027-02-20", "2027-04-08", "2027-04-09", "2027-04-10", "2031-01-01")}
    assert dates["2027-02-20"] == dates["2027-04-08"] == pytest.approx(plain)
    assert dates["2027-04-09"] == dates["2027-04-10"] == dates["2031-01-01"] == pytest.approx(undated)
    assert undated < plain
    no_day = 'vessel.proof=[{pressure="7.5 bar", hold="60 s"}]'
    assert left_of(wren(no_day, done, f'vessel.{key}="2027-02-20"')) == pytest.approx(left_of(wren(no_day, done)))


@pytest.mark.parametrize(("done", "key"), [(GLUED, "surface_date"), (SUNNED, "storage_date")])
def test_the_next_test_has_to_cover_only_what_no_date_puts_before_it(done: str, key: str) -> None:
    none, undated, dated, later = (
        allowed_pressure(wren("vessel.proof=[]", 'site.pressure_limit="2 bar"', *sets)).after_test
        for sets in ((), (done,), (done, f'vessel.{key}="2027-02-20"'), (done, f'vessel.{key}="2027-03-05"'))
    )
    assert none is not None
    assert dated is not None
    assert undated is not None
    assert dated.test_gauge_Pa == none.test_gauge_Pa < undated.test_gauge_Pa
    assert later == undated


def test_the_finding_says_whether_glue_and_sun_count_as_later_than_every_test() -> None:
    report = prove(wren(TESTED, GLUED, SUNNED, 'vessel.storage_date="2027-04-01"'))
    said = {one.code: one.found for one in report.findings}
    assert "nobody says when (vessel.surface_date), so it is taken as later than every test" in said["glued-wall"]
    assert "up to 2027-04-01: only a later test shows the bottle with it" in said["stored-in-sun"]


def test_the_day_of_the_launch_stands_in_the_file_and_else_there_is_one_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    from datetime import date

    assert judged_on(wren(TESTED)) == date(2027, 4, 10)
    undated = wren('vessel.proof=[{pressure="6 bar", hold="60 s"}]')
    undated = undated.model_copy(update={"charge": undated.charge.model_copy(update={"day": None})})
    monkeypatch.setattr("bottlewright.proof.judged_day.today", lambda: pytest.fail("nothing is dated, so no clock"))
    assert judged_on(undated) is None
    assert rated_pressure(undated).judged_on is None
    monkeypatch.setattr("bottlewright.proof.judged_day.today", lambda: date(2028, 4, 9))
    dated = wren(TESTED, 'vessel.age="2 years"')
    dated = dated.model_copy(update={"charge": dated.charge.model_copy(update={"day": None})})
    assert rated_pressure(dated).judged_on == "2028-04-09"
    assert left_of(dated) < 0.9


# --- what can't be right ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sets", "code"),
    [
        ((TEST.format("7.5 bar", "2027-04-11"),), "test-in-future"),
        ((TEST.format("7.5 bar", "2026-12-01"),), "test-before-opened"),
        (('vessel.proof=[{pressure="7.5 bar", hold="60 s", date="2027-04-09", cycles=5}]',), "test-cycles"),
        (('vessel.proof=[{pressure="7.5 bar", hold="60 s", date="2027-04-09", diameter_before="108 mm"}]',),
         "test-of-another-bottle"),
        ((TEST.format("16.5 bar", "2027-04-09"),), "unlikely-pass"),
        ((TEST.format("20 bar", "2027-04-09"),), "above-any-bottle"),
        ((TEST.format("7.5 bar", "2027-04-09"), 'vessel.age="12 years"'), "unlikely-pass"),
        ((TEST.format("9 bar", "2027-04-09"), 'vessel.kind="still"'), "above-any-bottle"),
    ],
)
def test_a_test_that_contradicts_the_file_or_the_kind_is_a_finding_and_earns_nothing(
    sets: tuple[str, ...], code: str
) -> None:
    report = prove(wren(*sets))
    assert code in {one.code for one in report.findings if one.level is Level.LOOK}
    assert report.allowed.gauge_Pa is None
    assert "own-test-missing" in {one.code for one in report.findings if one.level is Level.HOLD}


def test_a_failed_test_counts_whatever_its_date() -> None:
    late = 'vessel.proof=[{pressure="5 bar", hold="60 s", passed=false, date="2031-01-01"}]'
    assert allowed_pressure(wren(late)).gauge_Pa == 0.0


def test_a_test_on_the_day_it_was_opened_contradicts_nothing() -> None:
    assert own_evidence(wren(TEST.format("7.5 bar", "2027-03-11")))[0].doubts == ()


# --- what is not known -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("age", [0.0, 0.1 * YEAR, YEAR, 5 * YEAR, 12 * YEAR, 30 * YEAR])
def test_not_knowing_the_age_never_gives_more_than_any_age_does(age: float) -> None:
    assert rate(Bottle("carbonated", 1.5e-3)).rated <= rate(Bottle("carbonated", 1.5e-3, age=age)).rated * (1 + 1e-9)


def test_an_unknown_age_is_a_look_that_says_how_it_was_taken() -> None:
    design = wren(TESTED)
    unknown = design.model_copy(update={"vessel": design.vessel.model_copy(update={"age": None})})
    (told,) = [one for one in prove(unknown).findings if one.code == "age-unknown"]
    assert told.level is Level.LOOK
    assert "as old as a bottle can get" in told.found


def median(made: Strength) -> float:
    return made.parts[2].median


def test_a_typical_wall_lifts_nothing_and_a_measured_one_may() -> None:
    from bottlewright.proof.vessel import describe_bottle

    typical = median(strength(describe_bottle(wren())))
    assert median(strength(describe_bottle(wren('vessel.wall="0.5 mm (table)"')))) == pytest.approx(typical)
    thick_on_a_typical_bottle = median(strength(describe_bottle(wren('vessel.wall="0.5 mm"'))))
    assert thick_on_a_typical_bottle == pytest.approx(typical, rel=0.02)
    assert median(strength(describe_bottle(wren('vessel.wall="0.2 mm"')))) < 0.7 * typical
    sharp = ('vessel.wall="0.35 mm ± 0 mm"', 'vessel.diameter="91 mm ± 0 mm"', 'vessel.empty_mass="48 g ± 0 g"')
    measured = median(strength(describe_bottle(wren(*sharp))))
    assert measured == pytest.approx(typical * 0.35 / 91 / 0.0033, rel=0.02)


# --- per launch, per bottle, per day ---------------------------------------------------------------------------------


def test_a_launch_a_bottle_and_a_day_have_three_chances_of_their_own() -> None:
    rated = rated_pressure(wren(TESTED, 'charge.pressure="7.4 bar"'))
    assert 1e-4 < rated.burst_chance_at_plan < rated.burst_chance_in_life < 1.0
    assert rated.burst_chance_in_a_day == pytest.approx(10 * rated.burst_chance_at_plan)
    assert rated.launches_left == 13


def test_what_decides_the_limit_is_told_apart() -> None:
    rated = rated_pressure(wren(TESTED))
    assert 0.08 < rated.spread_between < 0.12
    assert rated.spread_common > rated.spread_between  # makers, batches, ageing and the slow hold besides
    assert rated.burst_limit_low_Pa <= rated.burst_limit_Pa < rated.burst_limit_high_Pa


# --- the launch day of the file is gone ------------------------------------------------------------------------------


def test_a_launch_day_in_the_past_counts_to_today_and_asks_for_a_new_one() -> None:
    def then(day: str) -> Design:
        return wren(TEST.format("7.5 bar", "2026-02-01"), 'vessel.age="60 days"', f'charge.day="{day}"')

    gone, today = then("2026-03-01"), wren(TEST.format("7.5 bar", "2026-02-01"), 'vessel.age="425 days"',
                                           'charge.day="2027-03-01"')  # fmt: skip
    assert judged_on(gone) == judged_on(today)
    assert left_of(gone) == pytest.approx(left_of(today))
    assert allowed_pressure(gone).most_Pa == pytest.approx(allowed_pressure(today).most_Pa)
    assert [one.level for one in prove(gone).findings if one.code == "launch-day-passed"] == [Level.HOLD]
    assert "launch-day-passed" not in {one.code for one in prove(today).findings}


# --- with air --------------------------------------------------------------------------------------------------------


def test_nobody_gains_by_a_test_with_air_though_the_bottle_held() -> None:
    """The next water test of a bottle goes no higher for it, nor does what a water test has earned."""
    air, water = (f'{{pressure="6 bar", hold="60 s", medium="{name}", cycles=1}}' for name in ("air", "water"))
    held = '{pressure="4.4 bar", hold="60 s", cycles=2}'
    bare, on_air, on_water = (prove(wren(f"vessel.proof=[{rows}]")) for rows in ("", air, water))
    assert on_air.plan.proof_gauge_Pa == bare.plan.proof_gauge_Pa < on_water.plan.ceiling_gauge_Pa
    assert on_air.plan.ceiling_gauge_Pa == bare.plan.ceiling_gauge_Pa < on_water.plan.ceiling_gauge_Pa
    earned, beside_air = (prove(wren(f"vessel.proof=[{rows}]")) for rows in (held, f"{air}, {held}"))
    assert beside_air.allowed.gauge_Pa == earned.allowed.gauge_Pa
    assert beside_air.rated.burst_limit_Pa == earned.rated.burst_limit_Pa


def test_a_test_with_air_that_was_passed_says_to_take_water_next_time() -> None:
    report = prove(wren('vessel.proof=[{pressure="6 bar", hold="60 s", medium="air"}]'))
    (said,) = (one.found for one in report.findings if one.code == "tested-on-air")
    assert "the one that hurts people" in said
    assert "next time fill it with water" in said


def test_a_bottle_that_failed_with_air_is_finished_as_with_water() -> None:
    assert prove(wren('vessel.proof=[{pressure="6 bar", hold="60 s", medium="air", passed=false}]')).rated.failed


# --- joints ----------------------------------------------------------------------------------------------------------

JOINED = ("vessel.count=2", 'vessel.joint="coupling"')


@pytest.mark.parametrize("test", ['hold="2 s"', 'hold="60 s", date="2029-01-01"', 'hold="60 s", medium="air"'])
def test_a_joint_is_shown_only_by_a_test_that_counts_and_earns(test: str) -> None:
    report = prove(wren(f'vessel.proof=[{{pressure="6 bar", cycles=2, {test}}}]', *JOINED))
    assert "joint-not-rated" in {one.code for one in report.findings if one.level is Level.STOP}


def test_hot_melt_on_a_coupling_is_a_stop_too() -> None:
    report = prove(wren(TESTED, *JOINED, 'vessel.joint_adhesive="hot-melt"'))
    assert "hot-glue-on-the-vessel" in {one.code for one in report.findings if one.level is Level.STOP}


def test_a_plug_that_lets_go_above_what_is_allowed_is_a_stop_even_below_the_rating() -> None:
    plug = ('launcher.release={kind="plug", grip="55 N ± 0.5 N"}', 'launcher.seal_diameter="13 mm"')
    report = prove(wren(TESTED, *plug, 'site.pressure_limit="3.5 bar"'))
    assert report.rated.gauge_Pa > 4.5 * BAR > (report.launcher.release.opens_high_Pa or 0.0) > 3.5 * BAR
    assert "plug-holds-past-rating" in {one.code for one in report.findings if one.level is Level.STOP}


# --- the kind of the bottle ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pressure", ["3 bar", "5 bar", "7.5 bar", "9 bar"])
def test_a_kind_that_nobody_knows_never_gives_more_than_still_and_is_a_look(pressure: str) -> None:
    test = TEST.format(pressure, "2027-04-09")
    unknown, still = (wren(test, f'vessel.kind="{kind}"') for kind in ("unknown", "still"))
    assert allowed_pressure(unknown).most_Pa <= allowed_pressure(still).most_Pa * (1.0 + 1e-9)
    assert rated_pressure(unknown).burst_limit_Pa <= rated_pressure(still).burst_limit_Pa * (1.0 + 1e-9)
    report = prove(unknown)
    assert [one.level for one in report.findings if one.code == "kind-unknown"] == [Level.LOOK]
    assert (report.allowed.gauge_Pa is None) == (prove(still).allowed.gauge_Pa is None)
