"""A cure has been tried: put into the design file it removes its finding, adds no stop, and touches no evidence."""

import math
import time
from dataclasses import replace
from functools import cache

import pytest
from ill import DABCHICK, EXAMPLES, FIVE, curlew, read

from bottlewright.cures import Cure, WholeJudge, find_cures, level_of, prices_of
from bottlewright.cures.carrying import carried_over
from bottlewright.cures.causes import ANOTHER_BOTTLE, cause_of
from bottlewright.cures.knobs import KNOBS, knob
from bottlewright.design import DesignError, value_at
from bottlewright.design.document import Written
from bottlewright.design.rewriting import rewritten
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.fly import fly, fly_parameters
from bottlewright.proof.allowed import allowed_pressure, first_plan
from habits import curlew_text

OPEN = (Level.STOP, Level.LOOK)
BALANCES_FAR_BACK = ("measured.balance_point=330 mm", "charge.water=120 mL", "fins.span=90 mm")
EVIDENCE = (
    "vessel.", "launcher.gauge", "launcher.valve", "launcher.clamp", "launcher.coupling", "launcher.stakes",
    "launcher.pump", "launcher.frame", "launcher.release", "launcher.crew.eye_protection",
    "launcher.crew.remote_vent", "launcher.hose.rating", "site.", "weather.", "scatter.", "failures.",
)  # fmt: skip
"""What is so, whatever anyone would like: no cure may write any of it."""


@cache
def cured(name):
    """Return one of the five, what is found in it, its cures, and the seconds that they took."""
    text, sets = FIVE[name]
    design = read(text, *sets)
    findings = level_of(design)
    begun = time.process_time()
    return design, findings, find_cures(design, findings), time.process_time() - begun


def at(findings, level):
    return {finding.code for finding in findings if finding.level is level}


def cures_of(text, sets=(), judge=level_of):
    design = read(text, *sets)
    return design, find_cures(design, judge(design), judge)


@pytest.mark.parametrize("name", FIVE)
def test_each_stop_has_a_cure_that_works_when_it_is_put_into_the_file(name):
    text, sets = FIVE[name]
    _, findings, found, seconds = cured(name)
    assert seconds < 10.0
    cures = {cure.code: cure for cure in found}
    stops = at(findings, Level.STOP)
    assert stops
    assert stops <= set(cures)
    for cure in cures.values():
        if not cure.changes:
            assert cure.code in ANOTHER_BOTTLE
            continue
        after = level_of(read(text, *sets, *cure.overrides))
        assert cure.code not in at(after, Level.STOP) | at(after, Level.LOOK), cure
        assert at(after, Level.STOP) <= stops, cure
        assert [one.code for one in after if one.level in OPEN] == [one.code for one in cure.findings_left]


@pytest.mark.parametrize("name", FIVE)
def test_no_cure_writes_evidence_or_equipment_or_moves_anyone_nearer(name):
    design, _, cures, _ = cured(name)
    for key, value in (change for cure in cures for change in cure.changes):
        assert not key.startswith(EVIDENCE), (key, value)
        if key.startswith("launcher.crew") or key.endswith(("cord.length", "hose.length")):
            before, after = value_at(design, key), value_at(rewritten(design, [(key, value)]), key)
            assert before is None or after.value > before.value


@pytest.mark.parametrize("name", KNOBS)
def test_no_knob_reaches_evidence(name):
    designs = [read(text, *sets) for text, sets in FIVE.values()]
    designs.append(curlew("recovery.release=delay", "recovery.delay=3 s", "launcher.tilt=35 deg"))
    found = [turned for design in designs if (turned := knob(name, design))]
    assert found, "some design has this knob"
    keys = {key for turned in found for changes in turned.settings for key, _ in changes}
    assert not [key for key in keys if key.startswith(EVIDENCE)]


@pytest.mark.parametrize("planned", ["3.3 bar", "4 bar", "9 bar"])
def test_less_pressure_is_never_more_than_the_first_test_would_allow_with_the_overshoot(planned):
    text, _ = FIVE["9 bar in an untested bottle"]
    design = read(text, f"charge.pressure={planned}", "vessel.age=20 days")
    first = first_plan(design, allowed_pressure(design))
    turned = knob("pressure", design)
    offered = [value_at(rewritten(design, changes), "charge.pressure") for changes in turned.settings]
    assert max(one.value + 2.0 * one.spread for one in offered) <= allowed_pressure(design).after_test.allowed_gauge_Pa
    assert first - 0.1e5 < max(one.value for one in offered) <= first


def test_a_rocket_that_turns_over_is_told_its_fins_its_weight_and_its_margin():
    design, _, cures, _ = cured("turns over, a litre and a half")
    cure = next(cure for cure in cures if cure.code == "unstable")
    after = fly(rewritten(design, cure.changes))
    margin = after.summary["static_margin_min_calibres"]
    assert margin >= 1.1
    assert cure.words.endswith(f": margin {margin:.1f}")
    assert f"{dict(cure.changes)['mass.0.mass']} in the tip" in cure.words
    grown = float(after.vehicle["dry_mass"]) - float(fly(design).vehicle["dry_mass"])
    assert cure.mass_kg == pytest.approx(grown)


def test_the_cure_with_the_fewest_keys_comes_first():
    _, cures = cures_of(DABCHICK)
    steadier = next(cure for cure in cures if cure.code == "margin-small")
    assert len(steadier.changes) == 1
    _, cures = cures_of(DABCHICK, ["launcher.guide_length=2 m", "charge.water=900 mL", "mass.0.mass=30 g"])
    steadier = next(cure for cure in cures if cure.code in ("margin-small", "unstable"))
    assert len(steadier.changes) >= 1


def test_a_measurement_that_no_longer_fits_is_left_out_and_said():
    design = curlew(*BALANCES_FAR_BACK)
    cures = find_cures(design, level_of(design))
    cure = next(cure for cure in cures if cure.code in ("unstable", "margin-small"))
    dropped = {key for key, text in cure.changes if not text}
    assert "measured.balance_point" in dropped
    assert "no longer fits" in cure.words
    assert "balance point" in cure.words
    after = rewritten(design, cure.changes)
    assert after.measured.balance_point is None
    assert design.measured.balance_point is not None


def test_a_cure_does_not_live_on_a_measurement_that_it_leaves_out():
    """The string says that it balances 7 cm further back than its parts: forgetting that would be cure enough."""
    design = curlew(*BALANCES_FAR_BACK)
    forgotten = fly(rewritten(design, [("measured.balance_point", ""), ("measured.dry_mass", "")]))
    assert forgotten.summary["static_margin_min_calibres"] > 1.1
    cure = next(cure for cure in find_cures(design, level_of(design)) if cure.code in ("unstable", "margin-small"))
    after = fly_parameters(carried_over(design, rewritten(design, cure.changes)))
    assert after.summary["static_margin_min_calibres"] >= 1.1


def test_what_was_measured_is_carried_over_to_a_part_more_by_its_weight_and_place():
    design = curlew()
    after = rewritten(design, [("mass.4.name", "camera"), ("mass.4.mass", "40 g"), ("mass.4.position", "100 mm"),
                               ("measured.dry_mass", ""), ("measured.balance_point", "")])  # fmt: skip
    record = carried_over(design, after)
    assert float(record["measured_mass"]) == pytest.approx(0.172 + 0.040)
    assert float(record["measured_balance"]) == pytest.approx((0.172 * 0.258 + 0.040 * 0.100) / 0.212)


def test_a_change_of_the_load_leaves_every_measurement_where_it_is():
    design = curlew("charge.pressure=9 bar")
    cure = next(cure for cure in find_cures(design, level_of(design)) if cure.code.startswith("over-"))
    assert [key for key, _ in cure.changes] == ["charge.pressure"]
    assert "measured" not in cure.words


def test_fins_that_were_weighed_are_weighed_again_when_they_change():
    design = read(DABCHICK, "fins.mass=19 g", "launcher.guide_length=2 m", "mass.0.mass=5 g")
    turned = knob("span", design)
    assert turned is not None
    from bottlewright.cures.find import Bench

    bench = Bench(design, tuple(level_of(design)), level_of, {})
    assert bench.misfits(turned.settings[0]) == (("fins.mass", ""),)


def test_a_finished_bottle_is_told_of_another_one_and_no_key():
    for code in ("retire", "stored-hot", "surface-work", "failed-proof-test"):
        sets = {
            "retire": ["vessel.cycles=20"], "stored-hot": ["vessel.storage=hot car"],
            "surface-work": ['vessel.surface=["cut"]'], "failed-proof-test": ["vessel.proof.0.passed=false"],
        }[code]  # fmt: skip
        design = curlew(*sets)
        cure = next(cure for cure in find_cures(design, level_of(design)) if cure.code == code)
        assert cure.changes == ()
        assert cure.words.startswith("another bottle of its kind, tested full of water at ")


def test_a_builder_in_inches_gets_inches_and_psi():
    design = read(curlew_text(inch_pound=True), "charge.pressure=130 psi", "mass.0.mass=0.2 oz", "fins.span=3 in",
                  "measured.balance_point=", "measured.dry_mass=")  # fmt: skip
    changes = dict(change for cure in find_cures(design, level_of(design)) for change in cure.changes)
    assert changes["charge.pressure"].endswith(" psi")
    sizes = [text for key, text in changes.items() if key.startswith(("fins.", "mass.", "launcher.guide")) and text]
    assert sizes
    assert all(text.endswith((" in", " oz", " ft")) for text in sizes), sizes


def test_the_same_design_has_the_same_cures():
    assert cures_of(*FIVE["turns over, half a litre"])[1] == cured("turns over, half a litre")[2]


def test_a_design_that_no_text_stands_behind_has_no_cures():
    design = read(DABCHICK)
    bare = design.with_written(Written())
    assert find_cures(bare, level_of(design)) == ()


def test_a_finding_that_nothing_helps_against_gets_no_cure():
    assert cause_of("no-own-evidence") is None
    assert cause_of("no-eye-protection") is None
    _, cures = cures_of(DABCHICK)
    assert not {"no-own-evidence", "no-eye-protection", "distances-not-given"} & {cure.code for cure in cures}


def test_a_cure_that_another_package_stops_is_not_offered():
    """Where every pressure under 9 bar is stopped by somebody else, pumping less is no cure."""

    def judge(design):
        findings = level_of(design)
        low = design.charge.pressure.value < 8.9e5
        return [*findings, replace(findings[0], level=Level.STOP, code="somebody-else")] if low else findings

    begun = time.process_time()
    _, cures = cures_of(*FIVE["9 bar in an untested bottle"], judge)
    assert not [cure for cure in cures if "charge.pressure" in dict(cure.changes)]
    assert time.process_time() - begun < 20.0, "a search that finds nothing ends too"


def landings(reach):
    """Return a judge whose rocket comes down within a reach (m) of its launcher, and strikes whoever stands there."""

    def judge(design):
        crew = design.launcher.crew
        lines = {"operator": design.launcher.cord, "pumper": design.launcher.hose}
        far = {role: min(getattr(crew, role).value, line.length.value if line else 1e9) for role, line in lines.items()}
        inside = [role for role, away in far.items() if away < reach]
        struck = Finding(Level.STOP, Stage.FIELD, "crew-in-landing-zone", "A rocket comes down on them", str(inside),
                         "nobody inside", "mechanics", "Stand further away")  # fmt: skip
        return [*level_of(design), *([struck] if inside else [])]

    return judge


def test_a_crew_inside_the_landings_is_sent_outside_with_cord_and_hose_long_enough():
    sets = ["launcher.crew.operator=6 m", "launcher.crew.pumper=8 m", "launcher.cord.length=8 m",
            "launcher.hose.length=20 m"]  # fmt: skip
    judge = landings(12.0)
    design, cures = cures_of(DABCHICK, sets, judge)
    cure = next(cure for cure in cures if cure.code == "crew-in-landing-zone")
    changes = dict(cure.changes)
    assert changes["launcher.crew.operator"] == changes["launcher.cord.length"] == "12 m"
    assert changes["launcher.crew.pumper"] == "12 m"
    assert "launcher.hose.length" not in changes
    assert "crew-in-landing-zone" not in at(judge(rewritten(design, cure.changes)), Level.STOP)


CREW_BESIDE_IT = ("launcher.crew.operator=8 m", "launcher.crew.pumper=6 m", "launcher.crew.spectators=40 m",
                  "launcher.cord.length=8 m")  # fmt: skip


def test_the_crew_at_six_and_eight_metres_is_sent_out_of_the_landings():
    design = read(DABCHICK, *CREW_BESIDE_IT)
    judge = WholeJudge(EXAMPLES / "dabchick")
    before = judge(design)
    assert "crew-in-landing-zone" in at(before, Level.STOP)
    cure = next(cure for cure in find_cures(design, before, judge) if cure.code == "crew-in-landing-zone")
    assert {key.rpartition(".")[0] for key, _ in cure.changes} <= {"launcher.crew", "launcher.cord"}
    fresh = WholeJudge(EXAMPLES / "dabchick")(read(DABCHICK, *CREW_BESIDE_IT, *cure.overrides))
    assert "crew-in-landing-zone" not in at(fresh, Level.STOP) | at(fresh, Level.LOOK)
    assert at(fresh, Level.STOP) <= at(before, Level.STOP)


def test_people_who_stand_elsewhere_are_judged_by_the_same_landings():
    design = read(DABCHICK, *CREW_BESIDE_IT)
    moved_back = rewritten(design, [("launcher.crew.operator", "30 m"), ("launcher.cord.length", "30 m")])
    judge = WholeJudge(EXAMPLES / "dabchick")
    judge(design)
    known = dict(judge.known)
    again = judge(moved_back)
    assert judge.known.keys() == known.keys(), "nothing is flown again"
    anew = WholeJudge(EXAMPLES / "dabchick")(moved_back)
    assert again == anew


def test_a_cure_that_flies_elsewhere_is_judged_by_its_own_landings():
    judge = WholeJudge(EXAMPLES / "curlew")
    judge(curlew())
    judge(curlew("charge.pressure=3 bar"))
    assert len(judge.known) == 2


def test_a_finding_that_the_judge_does_not_know_gets_no_cure():
    struck = Finding(Level.STOP, Stage.FIELD, "crew-in-landing-zone", "It comes down on them", "6 m", "none", "", "")
    assert find_cures(curlew(), [struck]) == ()


def test_a_larger_parachute_is_no_cure_where_the_parachute_stays_in():
    """More cloth in a door that opens too late lands a little softer, by its mass: no reason to sew more of it."""
    late = ("recovery.mechanism.time=20 s", "charge.pressure=1.4 bar")
    design, cures = cures_of((EXAMPLES / "redshank" / "rocket.toml").read_text(encoding="utf-8"), late)
    larger = rewritten(design, [("recovery.diameter", "640 mm")])
    assert "landing-energy" in at(level_of(design), Level.LOOK)
    assert "landing-energy" not in at(level_of(larger), Level.LOOK)
    assert math.isnan(fly(larger).summary["canopy_out_time_s"])
    assert "recovery.diameter" not in [key for cure in cures for key, _ in cure.changes]


def test_a_parachute_costs_what_the_price_list_says_and_takes_hours():
    design = read(DABCHICK, "prices.each.parachute=12.5", "prices.each.fin=1.0")
    cure = next(cure for cure in find_cures(design, level_of(design)) if cure.code == "ballistic")
    assert cure.cost == pytest.approx(12.5)
    assert cure.hours > 0.0
    assert cure.mass_kg > 0.0
    assert fly(rewritten(design, cure.changes)).summary["landing_speed_m_s"] < 5.0
    assert cure.as_json()["changes"] == {"recovery.kind": "parachute", "recovery.diameter": "420 mm"}


@pytest.mark.parametrize(
    ("sets", "code"),
    [
        (["launcher.tilt=35 deg"], "tilt-beyond-rule"),
        (["recovery.release=delay", "recovery.delay=12 s"], "opens-too-late"),
        (["weather.wind_speed=6.5 m/s"], "slow-off-guide"),
        (["charge.water=1300 mL", "charge.pressure=1 bar", "measured.dry_mass=", "mass.0.mass=400 g",
          "measured.balance_point="], "stuck-on-seal"),
        (["launcher.crew.spectators=5 m"], "too-near-spectators"),
        (["launcher.cord.length=3 m"], "too-near-operator"),
        (["launcher.hose.length=3 m"], "too-near-pumper"),
        (["launcher.valve.rating=4 bar"], "under-rated-valve"),
    ],
)  # fmt: skip
def test_other_findings_have_cures_that_work(sets, code):
    design = curlew(*sets)
    before = level_of(design)
    assert code in at(before, Level.STOP) | at(before, Level.LOOK), "the design has what it is made for"
    cure = next(cure for cure in find_cures(design, before) if cure.code == code)
    after = level_of(curlew(*sets, *cure.overrides))
    assert code not in at(after, Level.STOP) | at(after, Level.LOOK)
    assert at(after, Level.STOP) <= at(before, Level.STOP)
    assert cure.words


def test_the_prices_come_from_the_list_beside_the_design_file(tmp_path):
    assert prices_of(curlew(), EXAMPLES / "curlew")["bottle"] > 0.0
    assert prices_of(curlew(), tmp_path) == {}, "a list that is not there is for make to tell"
    assert prices_of(read(DABCHICK), tmp_path) == {}


def test_a_cure_is_frozen():
    cure = Cure("unstable", "more clay")
    with pytest.raises(AttributeError):
        cure.words = "less"


def test_every_knob_says_settings_that_the_design_file_knows():
    for text, sets in FIVE.values():
        design = read(text, *sets)
        for name in KNOBS:
            turned = knob(name, design)
            for changes in turned.settings[:1] if turned else ():
                try:
                    rewritten(design, changes)
                except DesignError as error:
                    pytest.fail(f"{name}: {changes}: {error}")
