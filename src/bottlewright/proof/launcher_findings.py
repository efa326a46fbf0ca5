"""What the release, the stand, the parts under pressure and the pump ask of the builder, as findings."""

import math
from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most, percent
from bottlewright.findings import Finding, Level
from bottlewright.proof.defaults import launcher_table
from bottlewright.proof.equipment import equipment
from bottlewright.proof.launcher import LauncherReport, ReleaseReport
from bottlewright.proof.pumping_report import PumpingReport
from bottlewright.proof.rules import rule_table
from bottlewright.proof.vessel import need
from bottlewright.proof.vessel_findings import finding
from bottlewright.quantities import show

__all__ = ["part_findings", "pumping_findings", "release_findings", "stand_findings"]

_SLACK = 1e-3  # m, a ring this much narrower than the neck is as wide as the neck
_SNAG = 5.0  # N, a pull that a foot in the cord or a gust gives: our judgement


def _no_more(part: float, allowed: float, habit: UnitHabit, why: str = "") -> str:
    """Begin a remedy with the pressure that a part allows, Pa, and why, never above what the bottle is allowed.

    Nothing is said of a bottle that nobody pumps.
    """
    most = min(part, allowed)
    return f"plan no more than {at_most(habit, most)}{why}, or " if most > 0.0 else ""


def release_findings(release: ReleaseReport, allowed: float, habit: UnitHabit) -> Iterator[Finding]:
    """Will it hold, will it open, will it open by itself, and within what the gauge may read (Pa)?"""
    if not release.described:
        return
    if not release.seal_measured and release.neck_m > release.seal_diameter_m + _SLACK:
        beyond = release.holding_N is not None and release.neck_separation_N > release.holding_N
        yield finding(
            Level.LOOK if beyond else Level.UNCHECKED, "seal-not-measured",
            "a wider seal pulls harder than the release is reckoned for",
            f"nobody has measured the seal: taken as {habit.length(release.seal_diameter_m)}, the pressure pulls with "
            f"{habit.force(release.separation_N, 2)}; as wide as the neck, {habit.length(release.neck_m)}, it would "
            f"pull with {habit.force(release.neck_separation_N, 2)}",
            "the diameter of the ring that seals, measured", "pressure times area",
            "measure the sealing ring and write launcher.seal_diameter",
        )
    if release.kind == "plug":
        yield from _plug(release, allowed, habit)
        return
    area = 0.25 * math.pi * release.seal_diameter_m**2
    if release.holding_factor is not None and release.holding_factor < 1.0:
        yield finding(
            Level.STOP, "release-breaks", "the rocket leaves while people are still near",
            f"the pressure pulls the rocket off its seal of {habit.length(release.seal_diameter_m)} with "
            f"{habit.force(release.separation_N, 2)}", f"the release holds {habit.force(release.holding_N or 0.0, 2)}",
            "the strengths of launcher.release, or what is usual",
            _no_more((release.holding_N or 0.0) / area, allowed, habit) + "use more or stronger claws, ties or legs",
        )
    low = release.opening_low_N or 0.0
    if low <= 0.0 or (release.opening_N or 0.0) <= 0.0:
        yield finding(
            Level.STOP, "self-release", "the rocket leaves by itself",
            f"at full pressure {_opens(release.opening_N or 0.0, habit)}; when it rubs less than usual "
            f"{_opens(low, habit)}",
            "friction has to hold the sloped faces, so that it takes a pull to open it",
            "statics, slope against friction",
            "make the locking faces parallel to the way they slide, or a stronger spring",
        )
    elif (release.hand_pull_N or 0.0) < _SNAG:
        yield finding(
            Level.LOOK, "snag-release", "a foot in the cord lets the rocket go",
            f"a pull of {habit.force(release.hand_pull_N or 0.0, 2)} on the cord opens it",
            f"more than {habit.force(_SNAG)}", "our judgement",
            "a stiffer spring, or a pin that is only drawn once everyone stands back",
        )
    yield from _pull(release, habit)


def _opens(force: float, habit: UnitHabit) -> str:
    size = habit.force(abs(force), 2)
    return f"it takes {size} to open it" if force > 0.0 else f"the sloped faces push it open with {size}"


def _plug(release: ReleaseReport, allowed: float, habit: UnitHabit) -> Iterator[Finding]:
    """Judge a friction plug: the rocket leaves at the plug's pressure, and people pump on until it does."""
    at, low, high = release.opens_at_Pa, release.opens_low_Pa, release.opens_high_Pa
    if at is None or low is None or high is None:
        found = "the grip of the friction plug is not measured"
        yield finding(
            Level.STOP, "plug-not-measured", "people pump until the plug lets go, and nobody knows at which pressure",
            found, f"it has to let go at or under the {at_most(habit, allowed)} that is allowed on the gauge",
            "our judgement",
            "pull it off with a spring scale three times, no pressure on, and write launcher.release grip with its ±; "
            "better a release that a cord opens",
        )
    else:
        found = f"it lets go by itself at about {habit.pressure(at)}"
        found += f", between {habit.pressure(low)} and {habit.pressure(high)}" if high > low else ""
        planned = release.separation_N / (release.holding_N or 1.0) * at
        if high > allowed * (1.0 + 1e-9):
            yield finding(
                Level.STOP, "plug-holds-past-rating", "people pump until it lets go, past what is allowed",
                found, f"{at_most(habit, allowed)} allowed on the gauge", "the grip you gave, over the seal's area",
                "a looser plug, or a release that a cord opens",
            )
        elif high > planned * (1.0 + 1e-9):
            yield finding(
                Level.LOOK, "plug-holds-on", "a loaded rocket stays on the launcher, and somebody steps nearer", found,
                f"{habit.pressure(planned)} planned", "the grip you gave, over the seal's area",
                "plan for the pressure at which it lets go, or use a release that a cord opens",
            )
        if low < planned * (1.0 - 1e-9):
            yield finding(
                Level.LOOK, "plug-lets-go-early", "the rocket leaves before the planned pressure is reached", found,
                f"{habit.pressure(planned)} planned", "the grip you gave, over the seal's area",
                "plan for the pressure at which it lets go, or use a release that a cord opens",
            )
    yield finding(
        Level.LOOK, "no-command", "a friction plug lets go when it likes, not when the field is clear",
        found, "a release on command", "common practice, no source",
        "use a release that a cord opens; until then nobody nearer than the full distance from the first stroke on",
    )


def _pull(release: ReleaseReport, habit: UnitHabit) -> Iterator[Finding]:
    hand, high = release.hand_pull_N or 0.0, release.hand_pull_high_N or 0.0
    if not math.isfinite(hand) or not math.isfinite(high):
        yield finding(
            Level.STOP if not math.isfinite(hand) else Level.LOOK, "release-jams",
            "a collar pulled from one side tilts and sticks, and a loaded rocket stays on the launcher",
            "2 × friction × distance of the pull from the axis is more than the guided length"
            + ("" if not math.isfinite(hand) else " when it rubs more than usual"),
            "less than the guided length", "statics of a tilting slide (a drawer)",
            "two cords on opposite sides, pulled evenly by a bar between them, or a longer collar",
        )
        return
    limit, full = f"a hand can pull {habit.force(release.hand_limit_N, 2)}", habit.force(release.hand_limit_N, 2)
    found = (f"a pull of {habit.force(hand, 2)} on the cord opens it, up to {habit.force(high, 2)} when it rubs "
             "more than "
             "usual")
    if hand > release.hand_limit_N or high > release.hand_limit_N:
        yield finding(
            Level.STOP if hand > release.hand_limit_N else Level.LOOK, "pull-too-hard",
            "the rocket stays when the cord is pulled, and somebody steps nearer", found, limit,
            release.hand_limit_source,
            "a lever, less turn round the bar, an even pull, grease on the collar, or less pressure",
        )
    else:
        yield finding(
            Level.NOTE, "release-pull", "the release has to open when somebody pulls the cord, and never before", found,
            limit, release.hand_limit_source,
            "try it ten times at low pressure with no one near before the first launch",
        )
    if release.tilt_drag and release.tilt_drag > 2.0:
        yield finding(
            Level.LOOK, "pull-tilts-the-collar",
            "an uneven pull tilts the collar, which then opens late or on one side first",
            f"an off-axis pull has to be {release.tilt_drag:.1f} times as strong", "at most 2 times", "our judgement",
            "two cords pulled evenly by a bar between them, or a longer collar",
        )
    if release.cord_strength_N is not None and release.cord_strength_N < release.hand_limit_N:
        yield finding(
            Level.LOOK, "cord-breaks", "the cord breaks under a full pull and the rocket stays loaded",
            f"the cord bears {habit.force(release.cord_strength_N, 2)}", f"{full}, a full pull",
            release.hand_limit_source, "a stronger cord",
        )


def stand_findings(design: Design, report: LauncherReport, habit: UnitHabit) -> Iterator[Finding]:
    """Does the stand stay where it is?"""
    if report.footing_needed is None or report.footing_full_pull is None:
        if design.launcher.frame is not None:
            yield finding(
                Level.UNCHECKED, "stand-mass-unknown", "a stand that tips points the rocket at people",
                "launcher.frame has no mass", "the stand has to outweigh the cord's pull", "our judgement",
                "weigh the stand and write launcher.frame mass",
            )
        return
    for code, word, needed, full in (
        ("stand-tips", "tips", report.footing_needed.tip_factor, report.footing_full_pull.tip_factor),
        ("stand-slides", "slides", report.footing_needed.slide_factor, report.footing_full_pull.slide_factor),
    ):
        level = _stand_level(needed, full)
        if level is Level.STOP and equipment(design)["pegging"] is None:
            level = Level.HOLD  # nobody has spoken of stakes yet: missing, not wrong
        if level is not None:
            yield finding(
                level, code, f"a stand that {word} points the rocket at people",
                f"it resists {needed:.1f} times the pull that opens the release with a wind of "
                f"{habit.speed(report.wind_m_s, 2)} and the jet, {full:.1f} times a full pull of "
                f"{habit.force(report.release.hand_limit_N, 2)}",
                f"{launcher_table()['margin']['value']:g} times the pull that opens it, and no less than a full pull",
                launcher_table()["margin"]["source"],
                "peg it down with more or longer stakes, or take a wider or heavier stand, or the cord lower down "
                "(launcher.stakes, launcher.frame, launcher.cord)",
            )


def _stand_level(needed: float, full: float) -> Level | None:
    if needed < 1.0:
        return Level.STOP
    return Level.LOOK if needed < launcher_table()["margin"]["value"] or full < 1.0 else None


def part_findings(design: Design, report: LauncherReport, allowed: float, habit: UnitHabit) -> Iterator[Finding]:
    """Are hose, valve, clamp, coupling, pump, release and gauge good for the pressure?

    Parameters
    ----------
    allowed
        Highest reading of the gauge that is allowed, Pa: no remedy names a higher one.
    """
    gauge = need(design.charge.pressure)
    three = next(rule for rule in rule_table() if rule.subject == "part factor")
    for part in report.parts:
        if part.rating_Pa is not None and part.rating_Pa < gauge * (1.0 - 1e-9):
            yield finding(
                Level.STOP, f"under-rated-{part.name.replace(' ', '-')}", f"the {part.name} gives way near the pumper",
                f"{habit.pressure(gauge)} planned", f"the {part.name} bears {at_most(habit, part.rating_Pa)}",
                part.basis,
                f"{_no_more(part.rating_Pa, allowed, habit)}fit a {part.name} rated for three times what you plan",
            )
    weak = report.weakest
    if weak is not None and weak.rating_Pa is not None and gauge <= weak.rating_Pa < (three.value or 0.0) * gauge:
        yield finding(
            Level.LOOK, "weakest-part", f"the {weak.name} is the weakest part of the launcher",
            f"it bears {at_most(habit, weak.rating_Pa)}, {weak.rating_Pa / gauge:.1f} times the planned "
            f"{habit.pressure(gauge)}; {weak.basis}",
            f"{three.value:g} times, {habit.pressure((three.value or 0.0) * gauge)}", f"{three.source}: {three.says}",
            _no_more(weak.rating_Pa / (three.value or 1.0), allowed, habit,
                     f", which keeps the factor of {three.value:g}") + f"replace the {weak.name} first",
        )
    unrated = [part.name for part in report.parts if part.rating_Pa is None]
    if unrated:
        yield finding(
            Level.UNCHECKED, "rating-unknown", "a part that nobody rated may be the weakest",
            f"no rating for {', '.join(unrated)}", habit.pressure((three.value or 0.0) * gauge),
            f"{three.source}: {three.says}",
            "read it off the part or its packing and write it into the design",
        )
    yield from _hose(design, report, habit)
    yield from _gauge(report, gauge, allowed, habit)
    unsaid = [name for name in report.not_described if name not in ("gauge", "crew")]  # hold points of their own
    if unsaid:
        yield finding(
            Level.UNCHECKED, "not-described", "what is not described is not checked",
            f"the design says nothing of launcher {', '.join(unsaid)}",
            "every part from pump to rocket", "our judgement", "describe these parts in the design file",
        )


def _hose(design: Design, report: LauncherReport, habit: UnitHabit) -> Iterator[Finding]:
    heat, hose = report.hose_heat, design.launcher.hose
    if heat is None or hose is None:
        return
    if heat.beyond_table:
        yield finding(
            Level.STOP, "hose-too-hot", "a hot hose is soft and slips off or bursts",
            f"the hose is at {habit.temperature(heat.temperature_K)} ({heat.basis})",
            "55 °C, where the standard's table ends", heat.source,
            "lay the hose in the shade, or use one made for hot water",
        )
    elif heat.part < 0.9:
        yield finding(
            Level.LOOK, "hose-warm", "a warm hose holds less than is printed on it",
            f"the hose is at {habit.temperature(heat.temperature_K)} ({heat.basis}), and {percent(heat.part)} of its "
            "rating is left",
            "rating is for 23 °C", heat.source, "lay the hose in the shade or cover it",
        )
    if design.launcher.clamp is not None and design.launcher.clamp.kind == "none":
        yield finding(
            Level.STOP, "no-clamp", "a hose without a clamp blows off its barb and whips", "the hose has no clamp",
            "a clamp at every barb", "common practice, no source",
            'fit a clamp and write launcher.clamp; kind = "crimped" for ends that are pressed or screwed on for good',
        )


def _gauge(report: LauncherReport, gauge: float, allowed: float, habit: UnitHabit) -> Iterator[Finding]:
    reads, error = report.gauge_reads_up_to_Pa, report.gauge_error_Pa
    if reads is None or error is None:
        return
    part = launcher_table()["gauge"]["part_of_range"]
    if gauge > reads:
        level, limit = Level.STOP, f"{habit.pressure(reads)} full scale"
    elif gauge > part * reads:
        level, limit = Level.LOOK, f"{habit.pressure(part * reads)}, three quarters of its {habit.pressure(reads)}"
    elif gauge < 0.15 * reads:
        level = Level.LOOK
        limit = (f"readable above about {habit.pressure(0.15 * reads)}, the first part of a scale to "
                 f"{habit.pressure(reads)}")
    else:
        return
    yield finding(
        level, "gauge-range", "nobody knows the pressure that the gauge can't show",
        f"{habit.pressure(gauge)} planned, and the gauge may be {habit.pressure(error, 2)} out", limit,
        launcher_table()["gauge"]["source"],
        (_no_more(part * reads, allowed, habit) if gauge > part * reads else "")
        + f"fit a gauge of about {habit.pressure(gauge / 0.6, 2)} full scale",
    )


def pumping_findings(pumping: PumpingReport, gauge: float, allowed: float, habit: UnitHabit) -> Iterator[Finding]:
    """Can the pump reach it, can a person work it, what does cooling take away, does water run into the hose?"""
    if not pumping.described:
        return
    if not math.isfinite(pumping.strokes):
        yield finding(
            Level.STOP, "pump-cannot-reach", "somebody pumps on and on and looks for the fault close by",
            f"{habit.pressure(gauge)} planned",
            f"this pump reaches {at_most(habit, pumping.reachable_Pa)} at most, for its piston leaves a little air "
            "behind",
            "ideal gas filling",
            f"{_no_more(pumping.reachable_Pa, allowed, habit)}take a longer or tighter pump",
        )
        return
    if pumping.handle_force_N > pumping.handle_limit_N:
        yield finding(
            Level.LOOK, "handle-heavy", "the pump is too heavy, so people lean over the hose and slip",
            f"at the end the handle pushes back with {habit.force(pumping.handle_force_N, 2)}",
            habit.force(pumping.handle_limit_N, 2),
            pumping.handle_limit_source, "a narrower pump, an adult, or less pressure",
        )
    drop = gauge - pumping.pressure_after_cooling_Pa
    if drop > 0.02 * gauge:
        yield finding(
            Level.NOTE, "cools-after-pumping", "a falling gauge looks like a leak",
            ("a compressor that fills fast warms the air by up to " if pumping.compressor else
             f"{pumping.strokes:.0f} strokes in {pumping.time_s:.0f} s warm the air by ")
            + f"{habit.warming(pumping.warmed_by_K)}; the gauge then falls by about {habit.pressure(drop, 2)}",
            f"a leak is more than {habit.pressure(pumping.leak_allowed_Pa, 2)} in {pumping.leak_test_time_s:.0f} s "
            "after that",
            "ideal gas; the limit is our judgement",
            f"wait {pumping.cooling_time_s:.0f} s, then read the gauge and top up",
        )
    if pumping.backflow_head_m > 0.0:
        yield finding(
            Level.LOOK if pumping.hose_volume_m3 > 0.0 else Level.NOTE, "back-flow",
            "water runs from the rocket into the hose, and the charge is not what you planned",
            f"the water stands {habit.length(pumping.backflow_head_m, 2)} above the hose; "
            + (f"{show(pumping.backflow_shut_m3, 'mL', 2)} flow back with the pump's end shut, "
               f"{show(pumping.backflow_open_m3, 'mL', 2)} with it open" if pumping.hose_volume_m3 > 0.0
               else "how much runs back depends on the hose, which is not described"),
            f"a loop {habit.length(pumping.water_height_m, 2)} above the nozzle, or a check valve at the launcher",
            "hydrostatics", "raise a loop of the hose above the water, or fit a check valve at the launcher",
        )

