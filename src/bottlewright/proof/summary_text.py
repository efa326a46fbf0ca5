"""The proof of a design told as a careful friend would: the numbers first, then what they rest on, then what to do."""

import math

from bottlewright.proof.distances import Asked
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.rating import SMALLEST_TOLD
from bottlewright.proof.rules import conflicts
from bottlewright.proof.vessel_findings import bar, chance, one_in
from bottlewright.quantities import show

__all__ = ["INSTEAD", "advice", "conflict_lines", "rule_rows"]

INSTEAD = "Retire it, cut it up so that nobody uses it by mistake, and start with a fresh one."
"""What to do with a bottle that failed a test."""


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
    rated = report.rated
    if rated.failed:
        return [f"0 bar for this bottle from now on, because {rated.basis}. {INSTEAD}", *_next(report)]
    low, high = bar(rated.burst_limit_low_Pa), bar(rated.burst_limit_high_Pa)
    return [
        f"{bar(rated.gauge_Pa)} on the gauge is its rating, because {rated.basis}.",
        f"{bar(rated.planned_Pa)} is your plan. Chance of a burst at it, by what is known of such bottles and their "
        f"tests: {chance(rated.burst_chance_at_plan)} a launch. The published tests are few, one "
        f"bottle each: they can't tell a chance smaller than {one_in(SMALLEST_TOLD)}.",
        f"{bar(rated.burst_limit_Pa)} is where that chance reaches {one_in(rated.target_burst_chance)} "
        f"({rated.target_source}). Not knowing how strong the kind really is counts against the bottle: if we knew, it "
        f"would lie between {low} and {high}, at least nine times in ten.",
        f"{bar(rated.burst_median_Pa)} would burst half of such bottles"
        f"{' that passed the same tests' if rated.own_evidence else ''}.",
        f"{bar(rated.rule_limit_Pa)} is the strictest published rule ({rated.rule_limit_source}), "
        f"{bar(rated.rule_maximum_Pa)} the strictest published maximum ({rated.rule_maximum_source}).",
        *_next(report),
    ]


def _next(report: ProofReport) -> list[str]:
    best = report.rated.next_evidence
    if best is None:
        return []
    risk = f" It has a chance of {chance(best.break_chance)} to end the bottle." if best.break_chance else ""
    return [f"{bar(best.rated_gauge_Pa)} would become the rating with {best.what}: of all single pieces of evidence, "
            f"that raises it most.{risk}"]


def _energy(report: ProofReport) -> list[str]:
    energy, stress = report.launch_energy, report.stress
    return [
        f"{energy.isentropic_J:.0f} J by the isentropic method, {energy.isothermal_J:.0f} J isothermal, "
        f"{energy.brode_J:.0f} J by Brode: the methods differ by about two. 5 kg falling from "
        f"{energy.drop_of_5_kg_m:.0f} m bring as much.",
        f"{energy.pcc2_distance_m:.1f} m is the blast distance of ASME PCC-2. It does not govern: pieces, fittings and "
        "the rocket itself fly farther, and the rules below ask for more.",
        f"{stress.hoop_Pa / 1e6:.0f} MPa pull round the wall and {stress.axial_Pa / 1e6:.0f} MPa along it; the best "
        f"oriented film of this plastic bears {stress.film_strength_Pa / 1e6:.0f} MPa. The bottle grows "
        f"{show(stress.diameter_growth_m, 'mm', 2)} in diameter and {stress.volume_growth:.1%} in volume.",
    ]


def _place(asked: Asked, who: str) -> str:
    has = "you do not say where" if asked.planned_m is None else f"you plan {show(asked.planned_m, 'm')}"
    return f"{show(asked.asks_m, 'm')} for {who} ({asked.source}); {has}."


def _places(report: ProofReport) -> list[str]:
    d = report.distances
    return [
        _place(d.operator, "whoever pulls the cord"),
        _place(d.pumper, "whoever pumps"),
        _place(d.spectators, "the spectators"),
    ]


def _launcher(report: ProofReport) -> list[str]:
    launcher = report.launcher
    release = launcher.release
    lines = [f"{release.separation_N:.0f} N pull the rocket off its seal of {show(release.seal_diameter_m, 'mm')}."]
    if not release.described:
        lines.append("The release is not described, so nothing can be said of it.")
    elif release.kind == "plug":
        at = "a pressure nobody knows" if release.opens_at_Pa is None else f"about {bar(release.opens_at_Pa)}"
        lines.append(f"The plug lets go by itself at {at}: the rocket leaves when it likes.")
    else:
        lines.append(f"{release.holding_N:.0f} N are what the release holds; {release.opening_N:.0f} N open it, "
                     f"{_newton(release.hand_pull_N)} on the cord "
                     f"(up to {_newton(release.hand_pull_high_N)}); a hand gives {release.hand_limit_N:.0f} N.")
    weak = launcher.weakest
    if weak is not None and weak.rating_Pa is not None:
        lines.append(f"{bar(weak.rating_Pa)} is what the weakest part bears: the {weak.name} ({weak.basis}).")
    stand = launcher.footing_needed
    if stand is not None:
        lines.append(f"{stand.tip_factor:.1f} times that pull, wind of {launcher.wind_m_s:.1f} m/s on the rocket and "
                     f"the jet, all together, would tip the stand; {stand.slide_factor:.1f} times would slide it.")
    if launcher.assumed:
        lines.append("Taken as usual, for want of a measurement: " + ", ".join(
            f"{one.path.removeprefix('launcher.')} {one.value}" for one in launcher.assumed) + ".")
    if launcher.holes:
        lines.append("Drill " + ", ".join(f"{hole.count} × {hole.drill_m * 1e3:g} mm for the {hole.name}"
                                          for hole in launcher.holes) + ".")
    return lines


def _newton(force: float | None) -> str:
    return f"{force:.0f} N" if force is not None and math.isfinite(force) else "more than any pull, it sticks,"


def _pumping(report: ProofReport) -> list[str]:
    pump = report.pumping
    shown = "" if pump.described else " (no pump described: a usual track pump is taken)"
    if not math.isfinite(pump.strokes):
        return [f"{bar(pump.reachable_Pa)} is the most that this pump reaches{shown}."]
    return [
        f"{pump.strokes:.0f} strokes, about {pump.time_s:.0f} s{shown}; {pump.handle_force_N:.0f} N on the handle at "
        f"the end; {pump.work_isothermal_J:.0f} J of work done slowly, {pump.work_adiabatic_J:.0f} J done fast.",
        f"{pump.warmed_by_K:.0f} K of warmth is in the air when you stop. After about {pump.cooling_time_s:.0f} s it "
        f"has gone, and {bar(report.rated.planned_Pa)} on the gauge has become {bar(pump.pressure_after_cooling_Pa)}.",
        f"{bar(pump.leak_allowed_Pa, 2)} lost in the next {pump.leak_test_time_s:.0f} s is a leak: let the pressure "
        "off before anyone looks for it.",
    ]


def _test(report: ProofReport) -> list[str]:
    plan, earned = report.plan, report.rated.proof_limit_Pa
    if report.rated.failed:
        return [f"No proof test for this bottle: it has failed one. {INSTEAD}"]
    lines = []
    if earned is not None and earned >= report.rated.planned_Pa:
        lines.append(f"{bar(earned)} is what the tests it has passed allow: they cover your plan. The next test is due "
                     "after ten launches, a hard landing or any work on the vessel.")
    return [
        *lines,
        f"{bar(plan.proof_gauge_Pa)} for {plan.hold_s:.0f} s, filled with water to the brim: {plan.factor:g} times the "
        f"planned pressure ({plan.factor_source}); never less than {plan.floor_factor:g} times, "
        f"{bar(plan.floor_gauge_Pa)} ({plan.floor_source}).",
        f"{plan.on_water.wall_J + plan.on_water.water_J:.0f} J are stored in it at that pressure; filled with air "
        f"it would be {plan.on_air.isentropic_J:.0f} J (isentropic).",
        f"The chance that the test ends the bottle is {chance(plan.break_chance)}. Better then than later.",
        f"{show(plan.diameter_growth_m, 'mm', 2)} is how much wider it should get under pressure; at "
        f"most {show(plan.permanent_growth_limit_m, 'mm', 2)} may stay ({plan.growth_source}).",
    ]


def conflict_lines(report: ProofReport) -> list[str]:
    """Return a sentence for each thing on which the published rules differ, the governing one first."""
    lines = []
    for conflict in conflicts(check.rule for check in report.rules):
        what = f"{conflict.subject}{f' for the {conflict.role}' if conflict.role else ''}"
        what += " (advice)" if conflict.advice else ""
        what += " (by analogy)" if conflict.rules[0].analogy else ""
        governs, *others = conflict.rules
        beside = "; ".join(f"{rule.text} by {rule.source}" for rule in others)
        lines.append(f"{governs.text}, {what}, by {governs.source}, governs; beside it {beside}.")
    return lines


def rule_rows(report: ProofReport) -> list[tuple[str, str, str, str]]:
    """Return every rule that applies: what it says, what the plan has, whether it is met, and its source.

    A value that the source recommends only is marked advice.
    """
    met = {True: "met", False: "not met", None: "see to it"}
    rows = []
    for check in report.rules:
        rule = check.rule
        meets = "over the advice" if rule.advice and check.meets is False else met[check.meets]
        whom = f"{rule.role}: " if rule.subject == "distance" and rule.role != "everyone" else ""
        rows.append((whom + rule.says, _planned(rule.subject, check.plan), meets, rule.source))
    return rows


def _planned(subject: str, plan: float | None) -> str:
    if plan is None:
        return ""
    unit = {"pressure": "bar", "distance": "m", "tilt": "deg", "wind": "m/s"}.get(subject)
    return show(plan, unit) if unit else f"{plan:.3g}"
