"""Verdicts on one flight: does it leave, does it fly straight, how does it come down."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from bottlewright.data_file import data_file, each
from bottlewright.design.descents import descent_of, sentence, while_driven
from bottlewright.design.document import Design
from bottlewright.design.environment import Site
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.findings import Finding, Level, Stage

__all__ = [
    "BRAKED", "MARGIN_CODES", "MUCH_OF_THE_GAS", "NOSE_FIRST", "SLOWED", "Limit", "flight_findings", "limit",
    "tube_finding",
]  # fmt: skip

LITTLE_MARGIN = "margin-small"
"""Less static margin than is asked: nothing offers such a load to be flown."""
MARGIN_CODES = frozenset({"unstable", LITTLE_MARGIN, "margin-large"})
"""The findings on the static margin."""

_GENTLE_TURN = math.radians(10.0)
"""Angle of the air off the guide under which a large margin only gets a note (our judgement)."""

BRAKED = 1.25
"""Times the steady sinking speed up to which a rocket counts as slowed by its canopy (our judgement)."""
SLOWED = 3.0
"""Time after it is let out from which a fast landing is no longer that of a late one, s (our judgement)."""
NOSE_FIRST = math.radians(30.0)
"""Angle between nose and path within which a rocket strikes nose first (our judgement)."""

_EMPTY = 5e3
"""Gauge pressure under which a bottle counts as empty, Pa (our judgement)."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that a flight is held against, in words and with its source."""

    value: float
    unit: str
    says: str
    source: str


@cache
def _limits() -> dict[str, Limit]:
    rows = data_file("flight", "limits")
    return dict(zip(rows, each(rows.values(), lambda row: Limit(**row)), strict=True))


def limit(name: str) -> Limit:
    """Return a row of the table of limits."""
    return _limits()[name]


def flight_findings(
    design: Design, summary: Mapping[str, float], ending: str, complete: bool, wind: float, over_tube: float = -math.inf
) -> list[Finding]:
    """Judge one flight; the builder's own units come first.

    Parameters
    ----------
    design
        Completed design.
    summary
        Key figures of the flight, SI, NaN where the event never came.
    ending, complete
        How the flight ended, in words, and whether it came to its own end.
    wind
        Mean wind at the rocket's height on the launcher, m/s.
    over_tube
        Depth of the water over the top of the launch tube, m; below zero where the tube stands out or is none.
    """
    habit = unit_habit(design)
    tube = _tube(over_tube, habit)
    left = not math.isnan(summary["guide_exit_time_s"])
    if not left and (complete or ending.startswith(("never left", "does not leave"))):
        return [_stayed(summary, ending, habit), *tube, *_tilt(design)]
    found = [*tube, *_stability(summary, wind), *_guide(design, summary, wind, habit), *_tilt(design)]
    found += _canopy_in_push(design, summary)
    return [*found, *_landing(design, summary, habit)] if complete else [*found, _cut_off(ending)]


def _fly(level: Level, code: str, hazard: str, found: str, held: Limit, remedy: str) -> Finding:
    return Finding(level, Stage.FLY, code, hazard, found, held.says, held.source, remedy)


def _stayed(summary: Mapping[str, float], ending: str, habit: UnitHabit) -> Finding:
    height = summary["apogee_m"]
    if summary["flight_time_s"] == 0.0 and ending.startswith("does not leave"):
        return _on_its_seal(ending)
    rose = f"it hops {habit.distance(height, 2)} and sinks back onto its launcher" if height > 1e-3 else ending
    return Finding(
        Level.STOP,
        Stage.FLY,
        "never-left",
        "The rocket does not leave the launcher",
        rose,
        "the thrust has to lift the rocket off the end of its guide",
        "mechanics",
        "Take more pressure, less water, a wider nozzle or a lighter rocket. A loaded bottle that stays on the "
        "launcher is still under pressure: let the air off from a distance before anyone comes near.",
    )


def _on_its_seal(ending: str) -> Finding:
    return Finding(
        Level.STOP,
        Stage.FLY,
        "stuck-on-seal",
        "The rocket does not leave its seal, and stays on the launcher under pressure",
        ending,
        "the pressure on the seal has to push more than the rocket weighs",
        "mechanics",
        "More pressure, a wider seal, less water or a lighter rocket. A loaded bottle that stays on the launcher is "
        "still under pressure: let the air off from a distance before anyone comes near.",
    )


def _tube(depth: float, habit: UnitHabit) -> list[Finding]:
    if depth <= 0.0:
        return []
    return [Finding(
        Level.LOOK, Stage.FLY, "tube-under-water", "The launch tube ends under the water",
        f"the water reaches {habit.length(depth, 2)} over its top",
        "the tube's top above the water, where the air goes in",
        "mechanics: an open tube lets the water run out through the hose",
        "Take a longer tube or less water. We work the flight out as if the tube were closed and all the water stayed "
        "in.",
    )]  # fmt: skip


MUCH_OF_THE_GAS = 0.1
"""Share of the air in a launch tube from which it matters whether the tube is hollow (our judgement)."""


def tube_finding(share: float, least: float, most: float, habit: UnitHabit) -> Finding:
    """Look at a launch tube that may be hollow or solid: its share of the gas, and the two heights, m."""
    return Finding(
        Level.UNCHECKED, Stage.FLY, "tube-hollow-or-solid", "Nobody has said whether the launch tube is hollow",
        f"hollow, it holds {share * 100:.0f}\u202f% of the bottle's air; hollow or solid, the rocket climbs between "
        f"{habit.distance(least)} and {habit.distance(most)}",
        f"a tube that would hold over {MUCH_OF_THE_GAS * 100:.0f}\u202f% of the air has to be known",
        "our judgement; the flight takes the tube as hollow and closed below",
        'Measure the bore and write launcher.tube_bore, "0 mm" for a solid rod.',
    )  # fmt: skip


def _cut_off(ending: str) -> Finding:
    return Finding(
        Level.LOOK,
        Stage.FLY,
        "cut-off",
        "The computed flight has no end",
        ending,
        "a flight ends on the ground",
        "our judgement",
        "Raise model.time_limit, or look for a value that can't be right.",
    )


def _stability(summary: Mapping[str, float], wind: float) -> Iterator[Finding]:
    least, most = summary["static_margin_min_calibres"], summary["static_margin_max_calibres"]
    if math.isnan(least):
        if not math.isnan(summary["guide_exit_speed_m_s"]):
            yield _fly(
                Level.STOP,
                "margin-unknown",
                "Nobody can say whether the rocket keeps its nose in front",
                f"it leaves the guide at {summary['guide_exit_speed_m_s']:.1f} m/s, and no static margin is known",
                limit("margin_zero"),
                "Take back what was changed last: it is too slow for fins to steer it, or a size can't be right.",
            )
        return
    moment = f"{least:.2f} calibres, {summary['static_margin_min_time_s']:.2f} s after release"
    better = "Add fins, make them larger or set them further back, or put more mass into the nose."
    if least < limit("margin_zero").value:
        yield _fly(
            Level.STOP,
            "unstable",
            "The rocket turns over: its pressure centre is ahead of its balance point",
            f"{moment}; the numbers of this flight hold only if nothing nudges it, and something always does",
            limit("margin_zero"),
            better,
        )
    elif least < limit("margin_least").value:
        yield _fly(
            Level.LOOK,
            LITTLE_MARGIN,
            "The rocket may swing or tumble: little keeps its nose in front",
            moment,
            limit("margin_least"),
            better,
        )
    if most > limit("margin_most").value:
        turn = math.atan2(wind, summary["guide_exit_speed_m_s"])
        gentle = turn < _GENTLE_TURN
        yield _fly(
            Level.NOTE if gentle else Level.LOOK,
            "margin-large",
            "The rocket turns into the wind as it leaves the guide",
            f"up to {most:.2f} calibres; off the guide the air comes from {math.degrees(turn):.0f}° beside the nose",
            limit("margin_most"),
            "Fly in little wind." if gentle else "Take smaller fins or a longer guide, or wait for less wind.",
        )


def _guide(design: Design, summary: Mapping[str, float], wind: float, habit: UnitHabit) -> Iterator[Finding]:
    held, speed = limit("wind_ratio"), summary["guide_exit_speed_m_s"]
    if not speed < held.value * wind:
        return
    length = design.launcher.guide_length
    guide = f"the guide of {habit.distance(length.value, 2)}" if length else "the guide"
    yield _fly(
        Level.LOOK,
        "slow-off-guide",
        "The rocket leaves the guide slowly, and the wind can turn it",
        f"{habit.speed(speed)} at the end of {guide}, in a wind of {habit.speed(wind, 2)} there: "
        f"{speed / wind:.1f} times the wind",
        held,
        f"Take a longer guide, more pressure or less mass, or wait for a wind under {habit.speed(speed / held.value)}.",
    )


def _tilt(design: Design) -> Iterator[Finding]:
    aim = design.launcher.tilt
    tilt = math.degrees(aim.value) if aim else 0.0
    most = tilt + 2.0 * math.degrees(aim.spread if aim else 0.0)
    aimed, upright = f"{tilt:.0f}° from vertical", "Set the launcher more upright."
    if tilt > limit("tilt_level").value + 1e-9:
        hazard = "A rocket that leaves level flies at people"
        yield _fly(Level.STOP, "tilt-level", hazard, aimed, limit("tilt_level"), upright)
    elif tilt > limit("tilt_water_rocket").value + 1e-9:
        level = Level.LOOK if _far_contest(design.site) else Level.STOP
        hazard = "The rocket is aimed too far from straight up"
        yield _fly(level, "tilt-beyond-rule", hazard, aimed, limit("tilt_water_rocket"),
                   f"{upright} A contest for distance may lean it more, on a field as its rules ask: name them in "
                   'site.rules = ["distance contest"], and draw the field.')
    elif most > limit("tilt_water_rocket").value + 1e-9 and not (
        "section 1036" in design.site.rules and tilt > limit("tilt_solid_motor").value + 1e-9
    ):
        hazard = "The rocket may be aimed too far from straight up"
        found = f"{aimed}, and up to {most:.3g}° by twice its ±"
        yield _fly(Level.LOOK, "tilt-beyond-rule", hazard, found, limit("tilt_water_rocket"),
                   f"{upright} Or measure its lean more closely, and write the ± of launcher.tilt.")
    elif tilt > limit("tilt_solid_motor").value + 1e-9:
        level = Level.STOP if "section 1036" in design.site.rules else Level.LOOK
        hazard = "The rocket is aimed far from straight up"
        yield _fly(level, "tilt-beyond-rule", hazard, aimed, limit("tilt_solid_motor"), upright)


def _far_contest(site: Site) -> bool:
    """Say whether a contest for distance is named, and its field drawn: Field then holds it against the contest's rule.

    A field that is a plain rectangle is held against it here.
    """
    if "distance contest" not in site.rules:
        return False
    if site.rectangle is None:
        return site.map is not None or site.boundary is not None
    width, length = sorted((site.rectangle.width.value, site.rectangle.length.value))
    return width >= limit("contest_field_width").value and length >= limit("contest_field_length").value


def _canopy_in_push(design: Design, summary: Mapping[str, float]) -> Iterator[Finding]:
    """Stop a canopy that is let out while water or air still drives the rocket; look at one that easily may be."""
    recovery, end = design.recovery, summary["gas_out_time_s"]
    if recovery.kind == "none" or recovery.release != "delay" or recovery.delay is None or math.isnan(end):
        return
    delay, spread = recovery.delay.value, recovery.delay.spread
    if delay - 2.0 * spread >= end:
        return
    yield Finding(
        Level.STOP if delay < end else Level.LOOK, Stage.FLY, "opens-in-push",
        while_driven(recovery),
        f"let out {delay:.2f} s after launch{f', give or take {spread:.2g} s' if spread else ''}; the last air leaves "
        f"after {end:.2f} s",
        "out after the last air has left", "our judgement",
        'Take a longer delay, or release = "apogee".',
    )  # fmt: skip


def _landing(design: Design, summary: Mapping[str, float], habit: UnitHabit) -> Iterator[Finding]:
    speed, energy = summary["landing_speed_m_s"], summary["landing_energy_J"]
    opened = not math.isnan(summary["canopy_out_time_s"])
    strike = f"{habit.speed(speed)} and {energy:.1f} J at the ground"
    recovery = design.recovery
    if summary["landing_pressure_gauge_Pa"] > _EMPTY:
        yield _charged(summary, strike, habit)
    if not opened and recovery.kind != "none" and recovery.release != "never":
        yield _late(
            f"The rocket strikes the ground before {descent_of(recovery).comes}",
            f"on the ground after {summary['flight_time_s']:.1f} s; {strike}",
            recovery.release == "mechanism",
        )
    elif not opened:
        yield _unbraked(summary, strike, energy)
    elif summary["landing_speed_down_m_s"] > BRAKED * summary["sinking_speed_m_s"] and not (
        recovery.kind == "tumble" and summary["flight_time_s"] - summary["canopy_out_time_s"] > SLOWED
    ):
        yield _late(
            f"{sentence(descent_of(recovery).comes)} too low to slow the rocket",
            f"out {habit.distance(summary['canopy_out_height_m'], 2)} above the ground, {strike}; once slowed it would "
            f"sink at {habit.speed(summary['sinking_speed_m_s'], 2)}",
            recovery.release == "mechanism",
        )
    yield from _energy(energy, strike, _softer(recovery.kind, opened))


def _late(hazard: str, found: str, by_mechanism: bool) -> Finding:
    """Stop a canopy that comes too late; another moment in the file cures nothing where a mechanism decides."""
    return Finding(
        Level.STOP,
        Stage.FLY,
        "opens-too-late",
        hazard,
        found,
        "out and open well above the ground",
        "our judgement",
        "Change what lets it out, so that it opens near the top; Fly tries other holds and ways on this rocket."
        if by_mechanism else "Release it earlier: at the apogee (the highest point), or with a shorter delay.",
    )


def _charged(summary: Mapping[str, float], strike: str, habit: UnitHabit) -> Finding:
    return Finding(
        Level.STOP,
        Stage.FLY,
        "lands-under-pressure",
        "The bottle strikes the ground while it is still under pressure, and can burst or take off again",
        f"{habit.pressure(summary['landing_pressure_gauge_Pa'], 2)} on the gauge and "
        f"{habit.mass(summary['water_left_kg'])} of water left; {strike}",
        "no pressure left when it comes down",
        "our judgement",
        "Set the launcher more upright, or take a wider nozzle, less water or a lighter rocket. Should it happen: "
        "nobody goes near a bottle that may still hold pressure until it has blown itself out.",
    )


def _unbraked(summary: Mapping[str, float], strike: str, energy: float) -> Finding:
    """Look at a fall with nothing to slow it; how badly it hurts follows from how hard it strikes."""
    hurts = "can hurt someone badly" if not energy <= limit("energy_low").value else "strikes whoever does not look up"
    angle = summary["landing_strike_angle_rad"]
    how = "nose first" if angle < NOSE_FIRST else "tail first" if angle > math.pi - NOSE_FIRST else "flat or tumbling"
    return Finding(
        Level.LOOK,
        Stage.FLY,
        "ballistic",
        f"The rocket comes down without anything to slow it, and {hurts}",
        f"{how}, {strike}",
        "nobody where it can land until it is down",
        "our judgement",
        "Add a parachute. Until then, close the landing area, call out when it is in the air, and have everybody "
        "look up.",
    )


_SOFTER = {
    "none": "a parachute or less mass softens the blow", "rotor": "longer blades or less mass soften the blow",
    "two parts": "less mass or a parachute softens the blow", "tumble": "less mass or a parachute softens the blow",
}  # fmt: skip
_STAYED = "see to it first that it is let out: however large, what stays in softens nothing"


def _softer(kind: str, opened: bool) -> str:
    """Return what softens a landing: a larger canopy only where one opened."""
    if kind != "none" and not opened:
        return _STAYED
    return _SOFTER.get(kind, f"a larger {kind} or less mass softens the blow")


def _energy(energy: float, strike: str, softer: str) -> Iterator[Finding]:
    keep = f"Let nobody into the landing area until it is down; {softer}."
    badly = ", and can hurt someone badly, whatever slows it" if energy > limit("energy_low").value else ""
    for name, level in (("energy_high", Level.LOOK), ("energy_low", Level.LOOK), ("energy_toy", Level.NOTE)):
        held = limit(name)
        if energy > held.value:
            yield _fly(
                level, "landing-energy", f"It strikes with more than {held.value:.3g} {held.unit}{badly}", strike, held,
                keep,
            )
            return
