"""The proof of a design in plain words: what was found, what it rests on, and what to do."""

import math

from bottlewright.design.unit_text import at_least, at_most, in_own_units, percent
from bottlewright.names import several
from bottlewright.proof.allowed_words import allowed_briefly, allowed_words
from bottlewright.proof.distances import Asked
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.rating import SMALLEST_CHANCE
from bottlewright.proof.rules import conflicts, governing
from bottlewright.proof.vessel_findings import chance, dropped, energies, one_in, test_distance

__all__ = ["INSTEAD", "advice", "capital", "conflict_lines", "raises_most", "rule_lines", "rule_rows"]

INSTEAD = "Retire it, cut it up so that nobody uses it by mistake, and start with a fresh one."
"""What to do with a bottle that is finished."""


def advice(report: ProofReport) -> list[tuple[str, list[str]]]:
    """Return headings with their sentences, in the order of the work."""
    return [
        ("How hard you may pump it", _rating(report)),
        ("What is in it", _energy(report)),
        ("Where everyone stands", _places(report)),
        ("The launcher", _launcher(report)),
        ("Pumping", _pumping(report)),
        ("Proof test", _test(report)),
    ]


def _rating(report: ProofReport) -> list[str]:
    rated, habit = report.rated, report.habit
    if rated.failed:
        return [f"{allowed_words(report.allowed, habit)} {INSTEAD}", *raises_most(report)]
    low, high = habit.pressure(rated.burst_limit_low_Pa), habit.pressure(rated.burst_limit_high_Pa)
    alike = "Half of such bottles that passed the same tests" if rated.own_evidence else "Half of such bottles"
    return [
        *_allowed(report),
        *_chances(report),
        f"The chance per launch reaches {one_in(rated.target_burst_chance)}, the most we accept "
        f"({rated.target_source}), at {at_most(habit, rated.burst_limit_Pa)}. Nobody knows how strong this kind of "
        "bottle really is, and that counts against the "
        f"bottle. If we knew, the pressure would lie between {low} and {high}, at least nine times in ten.",
        f"Before any test of their own, bottles of one batch differ by about {percent(rated.spread_between)}, and what "
        f"the whole kind bears is known to about {percent(rated.spread_common)}: both are in that limit.",
        f"{alike} would burst at {habit.pressure(rated.burst_median_Pa)}.",
        f"The strictest published rule is {at_most(habit, rated.rule_limit_Pa)}, from "
        f"{rated.rule_limit_source}. The strictest published maximum is {at_most(habit, rated.rule_maximum_Pa)}, from "
        f"{rated.rule_maximum_source}.",
        *(raises_most(report) if rated.own_evidence else []),
    ]


def _allowed(report: ProofReport) -> list[str]:
    """Say the highest reading that is allowed, or what a test would allow."""
    allowed, habit, after = report.allowed, report.habit, report.allowed.after_test
    if after is not None:
        return [f"{allowed_words(allowed, habit)} The chance that this test breaks the bottle is "
                f"{chance(report.plan.break_chance)}."]
    judged = f" Age and tests are counted to {report.rated.judged_on}." if report.rated.judged_on else ""
    return [allowed_words(allowed, habit) + judged]


def _chances(report: ProofReport) -> list[str]:
    """Tell the chance of a burst per launch, per bottle and per day apart."""
    rated, habit = report.rated, report.habit
    left = f"the {several(rated.launches_left, 'launch')} that {'is' if rated.launches_left == 1 else 'are'} left"
    return [
        f"You plan {habit.pressure(rated.planned_Pa)}. By what is known of such bottles and their tests, and with the "
        f"gauge as far out as it may be, the chance of a burst is {chance(rated.burst_chance_at_plan)} per launch. The "
        f"published tests are few, with one bottle each, so they can't show a chance smaller than "
        f"{one_in(SMALLEST_CHANCE)}.",
        f"Per bottle it is {chance(rated.burst_chance_in_life)}, over {left} of its life. A day of "
        f"{several(rated.day_launches, 'launch')} with such bottles adds up to at most "
        f"{one_in(rated.burst_chance_in_a_day)}: that is why nobody stands near, however well a bottle was tested.",
    ]


def raises_most(report: ProofReport) -> list[str]:
    """Say what one thing more would raise the rating most; nothing where nothing would, or nobody plans for more.

    Whoever plans within what is allowed needs no harder test, and is not tempted to one.
    """
    best = report.rated.next_evidence
    if best is None or report.plan.launch_gauge_Pa <= (report.allowed.gauge_Pa or 0.0):
        return []
    breaks = best.break_chance
    risk = f" The chance that the bottle breaks in that test is {chance(breaks)}." if breaks else ""
    return [f"One thing more would raise the rating most, to {at_most(report.habit, best.rated_gauge_Pa)}: "
            f"{best.what}.{risk}"]


def _energy(report: ProofReport) -> list[str]:
    energy, stress, habit = report.launch_energy, report.stress, report.habit
    held = energies(energy)
    return [
        f"At launch {held}. The methods differ by about two. {capital(dropped(energy, habit))}.",
        f"By ASME PCC-2 the blast of a burst reaches {habit.distance(energy.pcc2_distance_m, 2)}. That does not decide "
        "where people stand, for pieces, fittings and the rocket itself fly farther, and the rules below ask for more.",
        f"The pressure stretches the wall with {habit.stress(stress.hoop_Pa, 2)} round the bottle and "
        f"{habit.stress(stress.axial_Pa, 2)} along it (1 MPa is 1 N on each square millimetre). The best stretched "
        "film of "
        f"this plastic bears {habit.stress(stress.film_strength_Pa)}. The bottle grows "
        f"{habit.length(stress.diameter_growth_m, 2)} in diameter and {percent(stress.volume_growth)} in volume.",
    ]


def capital(sentence: str) -> str:
    """Return a sentence that begins with a capital letter."""
    return sentence[:1].upper() + sentence[1:]


def _place(report: ProofReport, asked: Asked, who: str) -> str:
    habit = report.habit
    plan = "do not say where" if asked.planned_m is None else f"plan {habit.distance(asked.planned_m)}"
    return f"{who} at least {habit.stand_back(asked.asks_m)} away (by rule, {asked.source}); you {plan}."


def _places(report: ProofReport) -> list[str]:
    d = report.distances
    return [
        _place(report, d.operator, "At a launch whoever pulls the cord stands"),
        _place(report, d.pumper, "At a launch whoever pumps stands"),
        _place(report, d.spectators, "At a launch spectators stand"),
        "These are the published rules. Where the rocket comes down may ask for more.",
    ]


def _launcher(report: ProofReport) -> list[str]:
    launcher, habit = report.launcher, report.habit
    lines = [*_release(report)]
    weak = launcher.weakest
    if weak is not None and weak.rating_Pa is not None:
        lines.append(f"The {weak.name} is the weakest part and bears {at_most(habit, weak.rating_Pa)}; {weak.basis}.")
    stand = launcher.footing_needed
    if stand is not None:
        lines.append(f"The pull on the cord, a wind of {habit.speed(launcher.wind_m_s, 2)} on the rocket and the "
                     "push of "
                     f"the jet act on the stand together. {stand.tip_factor:.1f} times as much would tip it, "
                     f"{stand.slide_factor:.1f} times as much would slide it.")
    if launcher.assumed:
        lines.append("You gave no measurement of these, so we took what is usual: " + ", ".join(
            f"{one.path.removeprefix('launcher.')} {one.value}" for one in launcher.assumed) + ".")
    if launcher.holes:
        lines.append("Drill " + ", ".join(f"{hole.count} × {habit.length(hole.drill_m)} for the {hole.name}"
                                          for hole in launcher.holes) + ".")
    return lines


def _release(report: ProofReport) -> list[str]:
    release, habit = report.launcher.release, report.habit
    lines = [f"The pressure pulls the rocket off its seal of {habit.length(release.seal_diameter_m)} with "
             f"{habit.force(release.separation_N, 2)}."]
    if not release.described:
        lines.append("You do not describe the release, so we can say nothing of it.")
    elif release.kind == "plug":
        opens = release.opens_at_Pa
        at = "a pressure nobody knows" if opens is None else f"about {habit.pressure(opens)}"
        lines.append(f"The plug lets go by itself at {at}, so the rocket leaves when it likes.")
    else:
        pull, most = release.hand_pull_N, release.hand_pull_high_N
        who = "a child" if report.puller == "child" else "an adult"
        sticks = "no pull on the cord opens it, for it sticks"
        cord = sticks if not _finite(pull) else f"pull the cord with {habit.force(pull or 0.0, 2)}, " + (
            f"up to {habit.force(most or 0.0, 2)} if it rubs more than usual" if _finite(most)
            else "but it sticks if it rubs more than usual")
        opens = release.opening_N or 0.0
        by = f"opens at {habit.force(opens, 2)}; {cord}" if opens > 0.0 else "opens by itself at that pressure"
        lines.append(f"The release holds {habit.force(release.holding_N or 0.0, 2)} and {by}; {who} can pull "
                     f"{habit.force(release.hand_limit_N, 2)}.")
    return lines


def _finite(force: float | None) -> bool:
    return force is not None and math.isfinite(force)


def _pumping(report: ProofReport) -> list[str]:
    pump, habit = report.pumping, report.habit
    usual = "" if pump.described else " You describe no pump, so we took a usual track pump."
    if pump.compressor:
        return [_COMPRESSOR, *_cooling(report)]
    if not math.isfinite(pump.strokes):
        return [f"This pump reaches {habit.pressure(pump.reachable_Pa)} at most.{usual}"]
    return [
        f"You pump {pump.strokes:.0f} strokes in about {pump.time_s:.0f} s. At the end the handle pushes back with "
        f"{habit.force(pump.handle_force_N, 2)}. The work is {pump.work_isothermal_J:.0f} J done slowly, "
        f"{pump.work_adiabatic_J:.0f} J done fast.{usual}",
        *_cooling(report),
    ]


_COMPRESSOR = (
    "A compressor fills the rocket and does not stop by itself: the regulator is set first, with no rocket on, and "
    "whoever fills keeps a hand on the valve."
)


def _cooling(report: ProofReport) -> list[str]:
    pump, habit = report.pumping, report.habit
    return [
        f"When you stop, the air inside is {habit.warming(pump.warmed_by_K)} warmer than outside. After about "
        f"{pump.cooling_time_s:.0f} s it has cooled, and the gauge has fallen from "
        f"{habit.pressure(report.rated.planned_Pa)} to {habit.pressure(pump.pressure_after_cooling_Pa)}.",
        f"If the gauge falls by another {habit.pressure(pump.leak_allowed_Pa, 2)} in the next "
        f"{pump.leak_test_time_s:.0f} s, there is a leak: let the pressure off before anyone looks for it.",
    ]


def _test(report: ProofReport) -> list[str]:
    plan, allowed, habit = report.plan, report.allowed, report.habit
    if report.rated.failed:
        return [f"No proof test for this bottle: it is finished. {INSTEAD}"]
    lines = []
    if allowed.gauge_Pa is not None and allowed.gauge_Pa >= report.rated.planned_Pa:
        lines.append(f"Its tests cover your plan: {allowed_briefly(allowed, habit)} on the gauge. Test it again after "
                     "ten launches, a hard landing or any work on the vessel.")
    capped = (f" That is the most that we plan, because {plan.ceiling_because} ({plan.ceiling_source})."
              if plan.capped else "")
    return [
        *lines,
        f"Fill the bottle with water to the brim and hold {habit.pressure(plan.proof_gauge_Pa)} for "
        f"{plan.hold_s:.0f} s. That is for {habit.pressure(plan.launch_gauge_Pa)} on the gauge: {plan.factor:g} times "
        f"it ({plan.factor_source}), with the gauge's error and what a month takes.{capped}",
        f"Never test at less than {at_least(habit, plan.floor_gauge_Pa)}, {plan.floor_factor:g} times the launch "
        f"({plan.floor_source}), and never harder than {at_most(habit, plan.ceiling_gauge_Pa)}: "
        f"{plan.ceiling_because} ({plan.ceiling_source}).",
        f"In the test everyone stands {test_distance(plan, habit)} away or more, spectators "
        f"{habit.stand_back(plan.distances.spectators.asks_m)}.",
        f"At the test pressure the bottle holds {plan.on_water.wall_J + plan.on_water.water_J:.0f} J when it is "
        "full of "
        f"water; full of air it would hold {plan.on_air.isentropic_J:.0f} J (isentropic).",
        f"The chance that the bottle breaks in the test is {chance(plan.break_chance)}. Better then than at a launch.",
        f"Under pressure the bottle should grow {habit.length(plan.diameter_growth_m, 2)} wider. At most "
        f"{habit.length(plan.permanent_growth_limit_m, 2)} may stay ({plan.growth_source}).",
    ]


def conflict_lines(report: ProofReport) -> list[str]:
    """Return a sentence for each thing on which the published rules differ, the governing one first."""
    lines = []
    for conflict in conflicts(governing(report.rules)):
        whose = {"": "", "spectators": "spectators' "}.get(conflict.role, f"{conflict.role}'s ")
        what = whose + conflict.subject
        marks = {"advice": conflict.advice, "by analogy": conflict.rules[0].analogy}
        notes = [mark for mark, is_so in marks.items() if is_so]
        what += f" ({', '.join(notes)})" if notes else ""
        governs, *others = conflict.rules
        beside = "; ".join(f"{rule.text}, by {rule.source}" for rule in others)
        sentence = f"For the {what} the strictest is {governs.text}, by {governs.source}. Others: {beside}."
        lines.append(in_own_units(report.habit, sentence))
    return lines


def rule_rows(report: ProofReport) -> list[tuple[str, str, str, str]]:
    """Return every rule that applies: what it says, what the plan has, whether it is met, and its source.

    A value that the source recommends only is marked advice; a rule of a contest that nobody named does not govern.
    """
    met = {True: "met", False: "not met", None: "see to it"}
    rows = []
    for check in report.rules:
        rule = check.rule
        side = "over" if rule.bound == "most" else "under"
        meets = f"{side} the advice" if rule.advice and check.meets is False else met[check.meets]
        if not check.governs:
            meets = f"{met[check.meets]}; a {rule.group} rule, not governing"
        planned = _planned(report, rule.subject, check.plan)
        rows.append((in_own_units(report.habit, rule.says), planned, meets, rule.source))
    return rows


def rule_lines(report: ProofReport) -> list[str]:
    """Return `rule_rows` as lines of text."""
    lines = []
    for says, planned, meets, source in rule_rows(report):
        has = f"; your plan has {planned}" if planned else ""
        lines.append(f"{meets + ':' if len(meets) > 15 else meets:<16} {says}{has}. {source}")
    return lines


def _planned(report: ProofReport, subject: str, plan: float | None) -> str:
    if plan is None:
        return ""
    habit = report.habit
    write = {"pressure": habit.pressure, "distance": habit.distance, "wind": habit.speed, "dry mass": habit.mass,
             "nose radius": habit.length, "mouth clearance": habit.length, "field width": habit.distance,
             "field length": habit.distance,
             "tilt": lambda angle: f"{math.degrees(angle):.3g}°"}.get(subject)
    return write(plan) if write else f"{plan:.3g}"
