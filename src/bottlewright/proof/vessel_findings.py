"""What the vessel, its tests, the published rules and the people's places ask of the builder, as findings."""

from collections.abc import Iterable, Iterator

from bottlewright.design.document import Design
from bottlewright.design.rocket import ProofTest
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most, in_own_units, percent
from bottlewright.findings import Finding, Level, Stage
from bottlewright.proof.allowed import Allowed
from bottlewright.proof.allowed_words import first_plan_words
from bottlewright.proof.bursts import burst_table, law
from bottlewright.proof.distances import Asked, Distances
from bottlewright.proof.energy import StoredEnergy
from bottlewright.proof.evidence import ON_AIR, Doubt, OwnTest, own_evidence, says_its_bottle
from bottlewright.proof.expiry import AGAIN
from bottlewright.proof.judged_day import counted_to
from bottlewright.proof.rating import SMALLEST_CHANCE, RatedPressure
from bottlewright.proof.rules import RuleCheck
from bottlewright.proof.testplan import ProofPlan
from bottlewright.proof.vessel import VesselStress, growth_after
from bottlewright.quantities import Dimension

__all__ = [
    "chance", "distance_findings", "dropped", "energies", "energy_findings", "finding", "one_in", "pressure_findings",
    "rule_findings", "test_distance", "test_findings",
]

_HUMAN = "local rules and the person in charge of the site come first"


def finding(level: Level, code: str, hazard: str, found: str, limit: str, source: str, remedy: str) -> Finding:
    """Return a finding of the Prove stage."""
    return Finding(level, Stage.PROVE, code, hazard, found, limit, source, remedy)


def chance(value: float) -> str:
    """Write a chance of a burst: one in so many, or, down where it is no longer reported, only that it is below."""
    if value <= SMALLEST_CHANCE * (1.0 + 1e-6):
        return f"under {one_in(SMALLEST_CHANCE)}"
    return percent(value) if value >= 0.5 else one_in(value)


def one_in(value: float) -> str:
    """Write a small chance as one in so many."""
    return f"1 in {float(f'{1.0 / value:.2g}'):,.0f}".replace(",", " ")


def pressure_findings(
    allowed: Allowed, rated: RatedPressure, slack: float, first: float | None, habit: UnitHabit
) -> Iterator[Finding]:
    """Hold the planned pressure against what is allowed, or what its test would allow, and the published maxima.

    Of a vessel that is finished nothing is said here: no remedy may invite anyone to pump it again.

    Parameters
    ----------
    slack
        How far a pump may overshoot the plan, Pa: twice the ± of charge.pressure.
    first
        The most to plan before its own test, Pa gauge (`first_plan`).
    habit
        Units of the builder.
    """
    if rated.failed:
        return
    planned, maximum = rated.planned_Pa, at_most(habit, rated.rule_maximum_Pa)
    most = at_most(habit, allowed.most_Pa)
    reported = rated.burst_chance_at_plan > SMALLEST_CHANCE  # a tiny chance beside a stop would read as leave to go on
    odds = (f"; by burst tests of such bottles alone the chance of a burst is {chance(rated.burst_chance_at_plan)}"
            if reported else "")
    if allowed.gauge_too_coarse:
        yield _too_coarse(rated, habit)
    elif planned > allowed.most_Pa * (1.0 + 1e-9):
        yield _over(allowed, rated, first, odds, habit)
    elif planned + slack > allowed.most_Pa * (1.0 + 1e-9):
        yield finding(
            Level.LOOK, "rating-within-error", "whoever pumps may overshoot, and the bottle gets more than is allowed",
            f"{habit.pressure(planned)} planned, perhaps {habit.pressure(planned + slack)} on the gauge",
            f"{most} allowed on the gauge", "twice the ± of charge.pressure",
            f"stop pumping before {most}, whatever the plan was, or plan less",
        )
    if planned > rated.rule_maximum_Pa * (1.0 + 1e-9):
        yield finding(
            Level.STOP, "over-rule-maximum", "more pressure than any published guide for bottles lets you use",
            f"{habit.pressure(planned)} planned", maximum, rated.rule_maximum_source,
            f"plan no more than {maximum}, whatever proof test the bottle has passed",
        )
    after = allowed.after_test
    if after is not None:
        test = habit.pressure(after.test_gauge_Pa)
        yield finding(
            Level.HOLD, "own-test-missing", "nobody knows what this very bottle can take",
            "it has passed no water-filled proof test of its own that counts, so no pressure is allowed in it yet",
            f"{at_most(habit, after.allowed_gauge_Pa)} on the gauge after a test at {test}, filled with water"
            + ("; what is planned needs a second, harder test once this one has held"
               if planned > after.allowed_gauge_Pa * (1.0 + 1e-9) else ""),
            rated.rule_limit_source,
            f"test it at {test}, filled with water to the brim, before anyone pumps air into it",
        )


def _too_coarse(rated: RatedPressure, habit: UnitHabit) -> Finding:
    """Stop a gauge that may read low by more than the whole rating; nothing is wrong with the bottle."""
    return finding(
        Level.STOP, "gauge-too-coarse", "whoever pumps reads little, and the bottle holds more than it can bear",
        f"{habit.pressure(rated.planned_Pa)} planned, and at any reading of this gauge the bottle may hold more than "
        "it is rated to", f"an error well below {at_most(habit, rated.gauge_Pa)}",
        "launcher.gauge: range times accuracy", "fit a finer gauge: a smaller range, or a better accuracy",
    )


def test_distance(plan: ProofPlan, habit: UnitHabit) -> str:
    """Return how far everyone near stands in a proof test, the larger of pumper and operator by rule."""
    return habit.stand_back(max(plan.distances.operator.asks_m, plan.distances.pumper.asks_m))


def _over(allowed: Allowed, rated: RatedPressure, first: float | None, odds: str, habit: UnitHabit) -> Finding:
    """Stop a plan above what is allowed; the number stands, so that pumping less is the cure."""
    best, after, most = rated.next_evidence, allowed.after_test, at_most(habit, allowed.most_Pa)
    limit, remedy = f"{most} on the gauge, the most that is allowed", f"plan no more than {most}"
    if best is not None and allowed.held_by == "rating":
        remedy += f"; {best.what} would raise its rating to {at_most(habit, best.rated_gauge_Pa)}"
    if after is not None and first is not None:
        then = at_most(habit, after.allowed_gauge_Pa)
        limit = f"{then} on the gauge after a passed water test at {habit.pressure(after.test_gauge_Pa)}"
        if after.in_the_end_gauge_Pa > after.allowed_gauge_Pa:
            limit += f"; up to {most} only after further, harder ones"
        remedy = first_plan_words(allowed, first, habit)
    return finding(
        Level.STOP, "over-rated-pressure", "the bottle can burst: it has not shown that it can take this",
        f"{habit.pressure(rated.planned_Pa)} planned{odds}", limit,
        rated.rule_limit_source if after else f"the least of tests, published rules and parts: {allowed.because}",
        remedy,
    )


def _whose(one: OwnTest, habit: UnitHabit) -> Iterator[Finding]:
    """Say of a test that counts, and tells nothing of its bottle, that nobody has checked whose it was."""
    if one.counts and not says_its_bottle(one.test):
        yield finding(
            Level.UNCHECKED, "test-bottle-unsaid", "a test of another bottle says nothing about this one",
            f"the test at {habit.pressure(one.test.pressure.value)}"
            f"{f' on {one.test.date}' if one.test.date else ''} does not say which bottle it was made on",
            "the test names its bottle, or its width was measured", "our judgement",
            "make sure that it was this very bottle, and write its kind into the test (vessel.proof.bottle); a test "
            "entered on the page has it",
        )


def test_findings(
    design: Design, rated: RatedPressure, plan: ProofPlan, habit: UnitHabit
) -> Iterator[Finding]:
    """Look at each proof test that the design reports."""
    vessel, evidence = design.vessel, own_evidence(design)
    for one in evidence:
        yield from _growth(design, one.test, habit)
        if not one.test.passed:
            yield _failed(one.test, habit)
        elif not rated.failed:  # of a bottle that is retired no more is asked
            yield from map(_doubted, one.doubts)
            yield from _whose(one, habit)
            yield from _conduct(one, habit)
    earning = [one for one in evidence if one.counts and one.result.earns]
    if earning and rated.own_evidence and not rated.failed:
        best = max(earning, key=lambda one: one.result.proven())
        tested = best.test.pressure.value
        ratio = tested / rated.planned_Pa if rated.planned_Pa > 0.0 else float("inf")
        if ratio < law("floor", table="proof"):
            yield finding(
                Level.LOOK, "proof-too-low", "the proof test was not much harder than a launch",
                f"tested at {habit.pressure(tested)}, {ratio:.2f} times the planned "
                f"{habit.pressure(rated.planned_Pa)}: it allows {at_most(habit, rated.gauge_Pa)}",
                f"at least {plan.floor_factor:g} times, better {plan.factor:g} times",
                plan.floor_source, f"test again at {habit.pressure(plan.proof_gauge_Pa)}, filled with water",
            )
        yield _faded(design, best, habit)
    if vessel.wraps:
        yield finding(
            Level.NOTE, "wraps-count-when-tested", "a wrap may help or may hide a crack",
            f"{vessel.wraps} wraps round the bottle", "no credit for a wrap by itself", "our judgement",
            "a passed proof test of the wrapped bottle counts in full; unwrap it and look when it is retired",
        )


def _doubted(doubt: Doubt) -> Finding:
    return finding(
        Level.LOOK, doubt.code, "a test that can't be right shows nothing, and the bottle gets no credit for it",
        doubt.found, doubt.limit, doubt.source,
        "put date, age, counts and pressure right in the design file, or test again with another gauge",
    )


def _faded(design: Design, best: OwnTest, habit: UnitHabit) -> Finding:
    """Say how much of the best test is left today; a tenth less is worth a look."""
    result = best.result
    left = result.proven() / result.pressure
    counts = f"it counts as {at_most(habit, result.proven())} at this launch" if left < 0.995 else "it counts in full"
    taken = "" if best.test.date else "; it bears no date, so it is taken at the start of the bottle's life"
    return finding(
        Level.LOOK if left < 0.9 else Level.NOTE, "test-again", "a test shows what the bottle was like on that day",
        f"passed at {_dated(best.test, habit)}; {counts}{taken}{counted_to(design) if best.test.date else ''}",
        AGAIN,
        "our judgement of what age, launches, warmth and work on the wall take since a test",
        "write the next test into vessel.proof, with its date and vessel.proof.cycles",
    )


def _dated(test: ProofTest, habit: UnitHabit) -> str:
    return f"{habit.pressure(test.pressure.value)}{f' on {test.date}' if test.date else ''}"


def _failed(test: ProofTest, habit: UnitHabit) -> Finding:
    return finding(
        Level.STOP, "failed-proof-test", "this bottle has failed under pressure before",
        f"failed at {_dated(test, habit)}", "a vessel that failed a test is not pumped again",
        "our judgement; every pressure-vessel code says the same of a failed test",
        "retire the bottle, cut it up so that nobody uses it, start with a fresh one",
    )


def _conduct(one: OwnTest, habit: UnitHabit) -> Iterator[Finding]:
    """Look at how a passed test was made, and say what it is worth."""
    test, hold = one.test, one.test.hold.value
    if test.medium == "air":
        yield finding(
            Level.LOOK, "tested-on-air", "a bottle that bursts on air throws pieces; on water it only splits",
            f"tested with air inside at {_dated(test, habit)}: {ON_AIR}",
            "proof tests filled with water to the brim",
            "ASME PCC-2 art. 501: a test on gas only where one on liquid can't be done",
            "fill it with water to the brim for the next test",
        )
    if hold < law("hold_reference", Dimension.TIME):
        proven = at_most(habit, one.result.proven_then())
        least = law("hold_least", Dimension.TIME)
        worth = (f"it shows {proven}" if hold >= least
                 else f"too short for a proof test, so no launch may rest on it; it shows {proven} like a burst test")
        yield finding(
            Level.NOTE if hold >= least else Level.LOOK, "short-hold",
            "after a short hold the bottle looks stronger than it is, for the plastic goes on creeping",
            f"held {hold:.0f} s at {habit.pressure(test.pressure.value)}: {worth}",
            f"{burst_table()['proof']['hold']} hold for full credit", burst_table()["law"]["hold_source"],
            "hold the next test for a minute at full pressure",
        )


def _growth(design: Design, test: ProofTest, habit: UnitHabit) -> Iterator[Finding]:
    measured = growth_after(design, test)
    if measured is None or measured.grown <= measured.allowed:
        return
    yield finding(
        Level.STOP if measured.sure else Level.LOOK, "grown-for-good",
        "a wall that has stretched for good is on its way to bursting",
        f"the bottle stayed {habit.length(measured.grown, 2)} ± {habit.length(measured.doubt, 2)} wider after "
        f"{habit.pressure(test.pressure.value)}",
        f"{habit.length(measured.allowed, 2)}, a tenth of all its growth", burst_table()["proof"]["growth_source"],
        "retire the bottle: it counts as failed" if measured.sure
        else "measure the girth with a tape instead (π times finer) and repeat the test",
    )


def energy_findings(
    launch: StoredEnergy, stress: VesselStress, plan: ProofPlan | None, habit: UnitHabit
) -> Iterator[Finding]:
    """Say what the charge holds, how the wall works, and what a water-filled test saves, where one is planned."""
    yield finding(
        Level.NOTE, "stored-energy", "a burst lets all the stored energy go at once",
        f"{energies(launch)}; {dropped(launch, habit)}",
        f"the blast reaches {habit.distance(launch.pcc2_distance_m, 2)}, but pieces, fittings and the rocket fly "
        "farther; "
        + in_own_units(habit, "the standard's own least distance of 30 m is for plant piping"),
        "ASME PCC-2 art. 501", "keep to the distances of the launch rules, and nobody in line with the bottle's axis",
    )
    if stress.hoop_Pa > 0.5 * stress.film_strength_Pa:
        yield finding(
            Level.LOOK, "wall-stress", "the wall is stretched hard",
            f"{habit.stress(stress.hoop_Pa, 2)} round the wall at the planned pressure (1 MPa is 1 N on each square "
            "millimetre)",
            f"{habit.stress(stress.film_strength_Pa)}, strength of the best oriented PET film",
            "oriented PET film, maker's table", "a thicker wall, a smaller diameter or less pressure",
        )
    if stress.splice_shear_Pa and stress.splice_strength_Pa and stress.splice_peak_over_mean:
        ratio = stress.splice_strength_Pa / stress.splice_shear_Pa
        yield finding(
            Level.STOP if ratio < 1.0 else Level.LOOK if ratio < 3.0 else Level.NOTE, "splice-shear",
            "the glued splice can peel apart",
            f"{habit.stress(stress.splice_shear_Pa, 2)} of mean shear (sliding pull) in the glue, "
            f"{stress.splice_peak_over_mean:.1f} times "
            "as much at its ends (Volkersen)",
            f"{habit.stress(stress.splice_strength_Pa, 2)} mean shear strength", burst_table()["joint"]["source"],
            ("a softer or thicker layer of glue (its ends carry nearly all, so more overlap helps little)"
             if stress.splice_peak_over_mean > 3.0 else "a longer overlap")
            + ", a full cure, and a proof test of the whole vessel",
        )
    if plan is None:
        return
    yield finding(
        Level.NOTE, "test-on-water", "a proof test is meant to break the bottle that is not good enough",
        f"at {habit.pressure(plan.proof_gauge_Pa)} the bottle holds "
        f"{plan.on_water.wall_J + plan.on_water.water_J:.0f} J "
        f"filled with water, {plan.on_air.isentropic_J:.0f} J (isentropic) filled with air",
        "filled with water to the brim, no air left in it", "ASME PCC-2 art. 501: gas only where liquid can't be used",
        "fill it under water, push the last bubble out, eye protection, "
        f"everyone {test_distance(plan, habit)} away or more in the test, spectators "
        f"{habit.stand_back(plan.distances.spectators.asks_m)}",
    )


def energies(launch: StoredEnergy) -> str:
    """Write what the air holds, by each method in everyday words."""
    return (f"the air holds {launch.isentropic_J:.0f} J by the isentropic method (a fast burst), "
            f"{launch.isothermal_J:.0f} J by the isothermal one (a slow leak) and {launch.brode_J:.0f} J by Brode's "
            "(the heat that would bring still air to this pressure)")


def dropped(launch: StoredEnergy, habit: UnitHabit) -> str:
    """Compare the energy with a weight that falls."""
    weight = "11 lb (5 kg)" if habit.pounds else "5 kg"
    return f"a weight of {weight} hits as hard when it falls from {habit.distance(launch.drop_of_5_kg_m, 2)}"


_ROLES = {"operator": "whoever pulls the cord", "pumper": "whoever pumps", "spectators": "the spectators"}


def distance_findings(distances: Distances, habit: UnitHabit) -> Iterator[Finding]:
    """Hold where people stand against what the rules ask."""
    missing, whose = [], []
    for asked in (distances.operator, distances.pumper, distances.spectators):
        who = _ROLES[asked.role]
        if asked.planned_m is None:
            missing.append(f"{habit.stand_back(asked.asks_m)} for {who} ({asked.source})")
            whose.append(who)
        elif not asked.meets:
            goggles = (f", or {habit.stand_back(asked.with_eye_protection_m)} with eye protection for everyone near"
                       if asked.with_eye_protection_m < asked.asks_m and not asked.eye_protection_said else "")
            yield finding(
                Level.HOLD if asked.hangs_on_goggles else Level.STOP, f"too-near-{asked.role}",
                "at a launch a burst or a stray rocket reaches people who stand too near",
                f"{who} at {habit.distance(asked.planned_m)}{_cut(asked)}", habit.stand_back(asked.asks_m) + goggles,
                asked.source,
                f"move back to {habit.stand_back(asked.asks_m)} or more" + (f", with a longer {asked.limited_by}"
                                                                      if asked.limited_by else ""),
            )
    if missing:
        yield finding(
            Level.HOLD, "distances-not-given", "at a launch people stand wherever they like unless somebody says",
            f"the design does not say where these stand: {', '.join(whose)}", "; ".join(missing), _HUMAN,
            "mark the lines on the ground where everyone stands (launcher.crew operator, pumper and spectators)",
        )


def _cut(asked: Asked) -> str:
    return f", no farther because the {asked.limited_by} is that short" if asked.limited_by else ""


def rule_findings(checks: Iterable[RuleCheck], habit: UnitHabit) -> Iterator[Finding]:
    """Name the rules that bind and that the plan does not meet, where no other finding speaks of them."""
    missed: dict[str, list[RuleCheck]] = {}
    named: dict[str, list[RuleCheck]] = {}
    for check in checks:
        if check.governs and check.rule.group:
            named.setdefault(check.rule.group, []).append(check)
        elif check.governs and check.meets is False:
            missed.setdefault(f"{'advised ' if check.rule.advice else ''}{check.rule.subject}", []).append(check)
    for subject, (level, code, hazard, found, remedy) in _MISSED.items():
        if subject in missed:
            plan = missed[subject][0].plan or 0.0
            said = {"wind": habit.speed, "dry mass": habit.mass, "advised pressure": habit.pressure}[subject](plan)
            yield finding(level, code, hazard, found.format(plan=said), *_asked_by(missed[subject], habit), remedy)
    for group, found_checks in named.items():
        yield from _named(group, [check for check in found_checks if check.rule.subject not in _ELSEWHERE], habit)


def _asked_by(checks: list[RuleCheck], habit: UnitHabit) -> tuple[str, str]:
    """Return what the rules of some checks say, and whose they are."""
    rules = [check.rule for check in checks]
    says = "; ".join(dict.fromkeys(rule.says for rule in rules))
    return in_own_units(habit, says), "; ".join(dict.fromkeys(rule.source for rule in rules))


def _named(group: str, checks: list[RuleCheck], habit: UnitHabit) -> Iterator[Finding]:
    """Judge the rules of a contest or another field of work that the design names."""
    broken = [check for check in checks if check.meets is False]
    if broken:
        yield finding(
            Level.STOP, "named-rule-broken", "the rules that you named for this site forbid this rocket",
            f"site.rules names {group}, and the plan does not meet: "
            + in_own_units(habit, "; ".join(check.rule.says for check in broken)),
            *_asked_by(broken, habit), f"change the rocket, or fly where the rules of a {group} do not hold",
        )
    if any(check.meets is None for check in checks):
        unknown = [check for check in checks if check.meets is None]
        yield finding(
            Level.UNCHECKED, "named-rule-open", "nobody has checked some rules that you named for this site",
            f"site.rules names {group}, and the design does not decide: "
            + in_own_units(habit, "; ".join(check.rule.says for check in unknown)),
            *_asked_by(unknown, habit), "see to each of them on the day",
        )


_ELSEWHERE = {"distance", "tilt", "field width", "field length"}
"""Subjects of which findings on people, on the flight and on the field speak."""

_MISSED = {
    "wind": (
        Level.STOP, "too-windy", "wind turns the rocket into it and carries it off", "a wind of {plan}",
        "wait for calmer air",
    ),
    "dry mass": (
        Level.LOOK, "heavy-rocket", "a heavy rocket strikes hard, and the air authority's rules may hold for it",
        "the rocket weighs {plan} without water", "ask the air authority which rules hold, or build lighter",
    ),
    "advised pressure": (
        Level.LOOK, "over-advised-pressure", "the sources that advise a pressure advise a lower one", "{plan} planned",
        "plan no more than they advise, or know why your bottle and launcher bear more",
    ),
}
"""Rules that only a finding of this table speaks of, by subject: level, code, hazard, what was found, remedy."""
