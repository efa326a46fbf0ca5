"""What the vessel, its tests, the published rules and the people's places ask of the builder, as findings."""

from collections.abc import Iterable, Iterator

from bottlewright.design.document import Design
from bottlewright.design.rocket import ProofTest
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import age_words, at_least, at_most, in_own_units, percent
from bottlewright.findings import Finding, Level, Stage
from bottlewright.proof.bursts import burst_table, law
from bottlewright.proof.distances import Asked, Distances
from bottlewright.proof.energy import StoredEnergy
from bottlewright.proof.rating import SMALLEST_CHANCE, RatedPressure
from bottlewright.proof.rules import RuleCheck
from bottlewright.proof.testplan import ProofPlan
from bottlewright.proof.vessel import VesselStress, growth_after, need
from bottlewright.quantities import Dimension

__all__ = [
    "chance", "distance_findings", "dropped", "energies", "energy_findings", "finding", "one_in", "pressure_findings",
    "rule_findings", "test_findings", "wear_findings",
]

_AGED = "aged bottles burst at 5.1 to 7.5 bar, fresh ones at 14.7 to 15.7 bar"
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


def pressure_findings(rated: RatedPressure, doubt: float, habit: UnitHabit) -> Iterator[Finding]:
    """Hold the planned pressure against the rating and the published maxima.

    Of a vessel that failed a test nothing is said here: no remedy may invite anyone to pump it again.

    Parameters
    ----------
    doubt
        How far the true pressure may lie above the planned one, Pa.
    habit
        Units of the builder.
    """
    if rated.failed:
        return
    planned, best = rated.planned_Pa, rated.next_evidence
    rating, maximum = at_most(habit, rated.gauge_Pa), at_most(habit, rated.rule_maximum_Pa)
    more = f"; {best.what} would raise the rating to {at_most(habit, best.rated_gauge_Pa)}" if best is not None else ""
    reported = rated.burst_chance_at_plan > SMALLEST_CHANCE  # a tiny chance beside a stop would read as leave to go on
    odds = (f"; by burst tests of such bottles alone the chance of a burst is {chance(rated.burst_chance_at_plan)}"
            if reported else "")
    over = planned > rated.gauge_Pa * (1.0 + 1e-9)
    if over:
        yield finding(
            Level.STOP, "over-rated-pressure", "the bottle can burst: it has not shown that it can take this",
            f"{habit.pressure(planned)} planned{odds}",
            f"{rating} rated pressure",
            f"the least of burst tests, proof tests and published rules: {rated.basis}",
            f"pump to no more than {rating}{more}",
        )
    elif planned + doubt > rated.gauge_Pa * (1.0 + 1e-9):
        yield finding(
            Level.LOOK, "rating-within-error", "the gauge may read low, and the bottle gets more than its rating",
            f"{habit.pressure(planned)} planned, perhaps {habit.pressure(planned + doubt)} in truth",
            f"{rating} rated pressure",
            "the gauge's accuracy, or twice the ± of charge.pressure",
            f"plan for {at_most(habit, rated.gauge_Pa - doubt)}, or use a finer gauge{more}",
        )
    if planned > rated.rule_maximum_Pa * (1.0 + 1e-9):
        yield finding(
            Level.STOP, "over-rule-maximum", "more pressure than any published guide for bottles lets you use",
            f"{habit.pressure(planned)} planned", maximum, rated.rule_maximum_source,
            f"pump to no more than {maximum}, whatever proof test the bottle has passed",
        )
    if not rated.own_evidence:
        yield finding(
            Level.LOOK, "no-own-evidence", "nobody knows what this very bottle can take",
            f"it has passed no proof test of its own that counts; burst tests of its kind alone would allow "
            f"{at_most(habit, rated.burst_limit_Pa)} at a chance of {one_in(rated.target_burst_chance)}",
            f"{at_most(habit, min(rated.rule_limit_Pa, rated.burst_limit_Pa))} without a test", rated.rule_limit_source,
            f"test it filled with water before you pump it harder{'' if over else more}",
        )


def test_findings(
    design: Design, rated: RatedPressure, plan: ProofPlan, habit: UnitHabit
) -> Iterator[Finding]:
    """Look at each proof test that the design reports."""
    vessel = design.vessel
    for test in vessel.proof:
        yield from _growth(design, test, habit)
        if not test.passed:
            yield _failed(test, habit)
        elif not rated.failed:  # of a bottle that is retired no more is asked
            yield from _conduct(test, habit)
    passed = [test for test in vessel.proof if test.passed and test.pressure.value > 0.0]
    if passed and rated.own_evidence:
        best = max(test.pressure.value for test in passed)
        ratio = best / rated.planned_Pa if rated.planned_Pa > 0.0 else float("inf")
        if ratio < law("floor", table="proof"):
            yield finding(
                Level.LOOK, "proof-too-low", "the proof test was not much harder than a launch",
                f"tested at {habit.pressure(best)}, {ratio:.2f} times the planned {habit.pressure(rated.planned_Pa)}",
                f"at least {plan.floor_factor:g} times, better {plan.factor:g} times, "
                f"{at_least(habit, plan.proof_gauge_Pa)}",
                plan.floor_source, f"test again at {at_least(habit, plan.proof_gauge_Pa)}, filled with water",
            )
        yield finding(
            Level.NOTE, "test-again", "a test shows what the bottle was like on that day",
            f"{len(passed)} passed test{'s' if len(passed) > 1 else ''} in the design file",
            "again after ten launches, a hard landing, or any work on the vessel", "our judgement",
            "write the next test into vessel.proof, with its date",
        )
    if vessel.wraps:
        yield finding(
            Level.NOTE, "wraps-count-when-tested", "a wrap may help or may hide a crack",
            f"{vessel.wraps} wraps round the bottle", "no credit for a wrap by itself", "our judgement",
            "a passed proof test of the wrapped bottle counts in full; unwrap it and look when it is retired",
        )
    if vessel.count > 1 and vessel.joint != "none" and (vessel.joint == "coupling" or vessel.joint_overlap is None):
        yield finding(
            Level.LOOK, "joint-not-rated", "the joint between the bottles may be the weakest part",
            f"{vessel.count} bottles joined by a {vessel.joint}, its strength not known here",
            "a joint's strength is shown by a proof test of the whole vessel", "our judgement",
            "give joint_overlap for a glued splice, and proof test the finished vessel filled with water",
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


def _conduct(test: ProofTest, habit: UnitHabit) -> Iterator[Finding]:
    """Look at how a passed test was made."""
    if test.medium == "air":
        yield finding(
            Level.LOOK, "tested-on-air", "a bottle that bursts on air throws pieces; on water it only splits",
            f"tested with air inside at {_dated(test, habit)}", "proof tests filled with water to the brim",
            "ASME PCC-2 art. 501: a test on gas only where one on liquid can't be done",
            "fill it with water to the brim for the next test",
        )
    if test.hold.value < law("hold_reference", Dimension.TIME):
        yield finding(
            Level.NOTE, "short-hold",
            "after a short hold the bottle looks stronger than it is, for the plastic goes on creeping",
            f"held {test.hold.value:.0f} s at {habit.pressure(test.pressure.value)}",
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


def wear_findings(design: Design, failed: bool, habit: UnitHabit) -> Iterator[Finding]:
    """Look at age, launches, storage and what was done to the wall; a vessel that failed is sent to no new test."""
    vessel = design.vessel
    retire = "NASA Glenn Research Center and University of Nebraska guides; no published cycle-life curve"
    cycles = vessel.cycles or 0
    if cycles >= 10:
        yield finding(
            Level.STOP if cycles > 15 else Level.LOOK, "retire", "a bottle wears out unseen",
            f"{cycles} times under pressure", "retire after 10 to 15 launches", retire, "start with a fresh bottle",
        )
    if vessel.storage == "hot car":
        yield finding(
            Level.STOP, "stored-hot", "a bottle softened by heat has lost strength that no eye can see",
            "stored in a hot car", "at 60 °C in a car every carbonated bottle deformed",
            "Tokyo Metropolitan Government, 2022", "retire this bottle; keep the next one cool and in the dark",
        )
    elif vessel.storage == "sun":
        yield finding(
            Level.LOOK, "stored-in-sun", "sunlight and warmth make the plastic brittle", "stored in the sun",
            "keep bottles cool and dark", "our judgement", "use a fresh bottle; keep it cool and in the dark",
        )
    hard = [work for work in vessel.surface if work != "glued"]
    if hard:
        yield finding(
            Level.STOP, "surface-work", "heat, scratches and cuts start cracks in a stretched wall",
            f"the bottle's wall was {' and '.join(hard)}", "no hot glue, sanding or cutting on the pressure bottle",
            "contest rules for water rockets; hot melt is 120 to 195 °C, PET softens at 70 °C",
            "use a bottle with an untouched wall; carry fins on a card sleeve",
        )
    if "glued" in vessel.surface and not failed:
        yield finding(
            Level.NOTE, "glued-wall", "glue stiffens a patch of the wall, and its solvent may attack it",
            "glue on the bottle's wall", f"{percent(0.05)} taken off its strength", "our judgement",
            "proof test after gluing, not before",
        )
    warm = need(design.charge.temperature) - 273.15
    if warm > 35.0:
        yield finding(
            Level.LOOK, "warm-launch", "PET softens when warm", f"{habit.temperature(warm + 273.15, 2)} at launch",
            "glass transition at 70 °C; strength falls well before", "oriented PET film, maker's table",
            "launch with cool water, keep the rocket in the shade",
        )
    if vessel.age is not None and vessel.age.value > law("old", Dimension.TIME):
        yield finding(
            Level.LOOK, "old-bottle", "old bottles burst at half the pressure of fresh ones, cracking at the base",
            f"{age_words(vessel.age.value)} old",
            f"{burst_table()['law']['old']}; {in_own_units(habit, _AGED)}",
            "report of a national consumer centre, second-hand; the year is our judgement",
            f"use a fresh bottle{'' if failed else ', or proof test this one again now'}",
        )
    if vessel.age is None:
        yield finding(
            Level.NOTE, "age-unknown", "old bottles burst at half the pressure of fresh ones",
            "no age given, one year taken", in_own_units(habit, _AGED),
            "report of a national consumer centre, second-hand", "write vessel.age since the bottle was opened",
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
        f"at {at_least(habit, plan.proof_gauge_Pa)} the bottle holds "
        f"{plan.on_water.wall_J + plan.on_water.water_J:.0f} J "
        f"filled with water, {plan.on_air.isentropic_J:.0f} J (isentropic) filled with air",
        "filled with water to the brim, no air left in it", "ASME PCC-2 art. 501: gas only where liquid can't be used",
        "fill it under water, push the last bubble out, eye protection, everyone at the same distances as for a launch",
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
    missing = []
    for asked in (distances.operator, distances.pumper, distances.spectators):
        who = _ROLES[asked.role]
        if asked.planned_m is None:
            missing.append(f"{who} {habit.stand_back(asked.asks_m)} ({asked.source})")
        elif not asked.meets:
            yield finding(
                Level.STOP, f"too-near-{asked.role}", "a burst or a stray rocket reaches people who stand too near",
                f"{who} at {habit.distance(asked.planned_m)}{_cut(asked)}", habit.stand_back(asked.asks_m),
                asked.source,
                f"move back to {habit.stand_back(asked.asks_m)} or more" + (f", with a longer {asked.limited_by}"
                                                                      if asked.limited_by else ""),
            )
    if missing:
        yield finding(
            Level.LOOK, "distances-not-given", "people stand wherever they like unless somebody says",
            "launcher.crew does not say where everyone stands", "; ".join(missing), _HUMAN,
            "mark the lines on the ground, and write launcher.crew operator, pumper and spectators",
        )


def _cut(asked: Asked) -> str:
    return f", no farther because the {asked.limited_by} is that short" if asked.limited_by else ""


def rule_findings(checks: Iterable[RuleCheck], habit: UnitHabit) -> Iterator[Finding]:
    """Name the rules that the plan does not meet and that no other finding speaks of; alike rules in one finding."""
    missed: dict[str, list[RuleCheck]] = {}
    for check in checks:
        if check.meets is False:
            missed.setdefault(check.rule.subject, []).append(check)
    for subject, (code, hazard, found, remedy) in _MISSED.items():
        if subject in missed:
            rules = [check.rule for check in missed[subject]]
            plan = missed[subject][0].plan
            yield finding(
                Level.LOOK, code, hazard, found if plan is None else found.format(plan=habit.speed(plan)),
                in_own_units(habit, "; ".join(rule.says for rule in rules)),
                "; ".join(dict.fromkeys(rule.source for rule in rules)), remedy,
            )


_MISSED = {
    "eye protection": (
        "no-eye-protection", "splinters and water hit eyes first", "no eye protection in the plan",
        "goggles for everyone near, then launcher.crew eye_protection = true",
    ),
    "remote vent": (
        "no-remote-vent", "after a misfire somebody has to walk up to a bottle under pressure",
        "no way to let the pressure off from the operator's place",
        "a bleed valve at the pump's end of the hose, then launcher.crew remote_vent = true",
    ),
    "wind": (
        "too-windy", "wind turns the rocket into it and carries it off", "a wind of {plan}",
        "wait for calmer air",
    ),
}
"""Rules that only a finding of this table speaks of, by subject: code, hazard, what was found, remedy."""
