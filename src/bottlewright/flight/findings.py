"""Verdicts on one flight: does it leave, does it fly straight, how does it come down."""

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bottlewright.design.document import Design
from bottlewright.findings import Finding, Level, Stage
from bottlewright.quantities import show

__all__ = ["MARGIN_CODES", "Limit", "flight_findings", "limit", "tube_finding"]

MARGIN_CODES = frozenset({"unstable", "margin-small", "margin-large"})
"""The findings on the static margin."""

_GENTLE_TURN = math.radians(10.0)
"""Angle of the air off the guide under which a large margin only gets a note (our judgement)."""

_BRAKED = 1.25
"""Times the steady sinking speed up to which a rocket counts as slowed by its canopy (our judgement)."""

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
    text = (files("bottlewright.flight") / "data" / "limits.toml").read_text(encoding="utf-8")
    return {name: Limit(**row) for name, row in tomllib.loads(text).items()}


def limit(name: str) -> Limit:
    """Return a row of the table of limits."""
    return _limits()[name]


def flight_findings(
    design: Design, summary: Mapping[str, float], ending: str, complete: bool, wind: float, over_tube: float = -math.inf
) -> list[Finding]:
    """Judge one flight.

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
    tube = _tube(over_tube)
    left = not math.isnan(summary["guide_exit_time_s"])
    if not left and (complete or ending.startswith(("never left", "does not leave"))):
        return [_stayed(summary, ending), *tube, *_tilt(design)]
    found = [*tube, *_stability(summary, wind), *_guide(design, summary, wind), *_tilt(design)]
    return [*found, *_landing(design, summary)] if complete else [*found, _cut_off(ending)]


def _fly(level: Level, code: str, hazard: str, found: str, held: Limit, remedy: str) -> Finding:
    return Finding(level, Stage.FLY, code, hazard, found, held.says, held.source, remedy)


def _stayed(summary: Mapping[str, float], ending: str) -> Finding:
    height = summary["apogee_m"]
    if summary["flight_time_s"] == 0.0 and ending.startswith("does not leave"):
        return _on_its_seal(ending)
    rose = f"it hops {show(height, 'm', 2)} and sinks back onto its launcher" if height > 1e-3 else ending
    return Finding(
        Level.STOP,
        Stage.FLY,
        "never-left",
        "The rocket does not leave the launcher",
        rose,
        "the thrust has to lift the rocket off the end of its guide",
        "mechanics",
        "More pressure, less water, a wider nozzle or a lighter rocket. A loaded bottle that stays on the launcher is "
        "still under pressure: let the air off from a distance before anyone comes near.",
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


def _tube(depth: float) -> list[Finding]:
    if depth <= 0.0:
        return []
    return [Finding(
        Level.LOOK, Stage.FLY, "tube-under-water", "The launch tube ends under the water",
        f"the water stands {depth * 1e3:.0f} mm over its top",
        "the tube's top above the water, where the air goes in",
        "mechanics: an open tube lets the water run out through the hose",
        "A longer tube or less water. The flight is computed as if the tube were closed and all the water stayed in.",
    )]  # fmt: skip


def tube_finding(share: float, least: float, most: float) -> Finding:
    """Look at a launch tube that may be hollow or solid: its share of the gas, and the two heights, m."""
    return Finding(
        Level.LOOK, Stage.FLY, "tube-hollow-or-solid", "Nobody has said whether the launch tube is hollow",
        f"hollow, it would hold {share * 100:.0f} % of the bottle's gas: between {show(least, 'm')} and "
        f"{show(most, 'm')} of height",
        "what holds over 10 % of the gas has to be known",
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
        return
    moment = f"{least:.2f} calibres, {summary['static_margin_min_time_s']:.2f} s after release"
    better = "Fins, or larger ones, or further back, or more mass in the nose."
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
            "margin-small",
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
            "Fly in little wind." if gentle else "Smaller fins, a longer guide, or wait for less wind.",
        )


def _guide(design: Design, summary: Mapping[str, float], wind: float) -> Iterator[Finding]:
    held, speed = limit("wind_ratio"), summary["guide_exit_speed_m_s"]
    if not speed < held.value * wind:
        return
    length = design.launcher.guide_length
    guide = f"the {show(length.value, 'm', 2)} guide" if length else "the guide"
    yield _fly(
        Level.LOOK,
        "slow-off-guide",
        "The rocket leaves the guide slowly, and the wind can turn it",
        f"{speed:.1f} m/s at the end of {guide}, in a wind of {wind:.1f} m/s there: {speed / wind:.1f} times the wind",
        held,
        f"A longer guide, more pressure, less mass, or wait for a wind under {speed / held.value:.1f} m/s.",
    )


def _tilt(design: Design) -> Iterator[Finding]:
    tilt = math.degrees(design.launcher.tilt.value) if design.launcher.tilt else 0.0
    for name, level in (("tilt_water_rocket", Level.STOP), ("tilt_solid_motor", Level.LOOK)):
        if tilt > limit(name).value + 1e-9:
            yield _fly(
                level,
                "tilt-beyond-rule",
                "The rocket is aimed too far from straight up",
                f"{tilt:.0f}° from vertical",
                limit(name),
                "Stand the launcher up.",
            )
            return


def _landing(design: Design, summary: Mapping[str, float]) -> Iterator[Finding]:
    speed, energy = summary["landing_speed_m_s"], summary["landing_energy_J"]
    opened = not math.isnan(summary["canopy_out_time_s"])
    strike = f"{speed:.1f} m/s and {energy:.1f} J at the ground"
    recovery = design.recovery
    if summary["landing_pressure_gauge_Pa"] > _EMPTY:
        yield _charged(summary, strike)
    if not opened and recovery.kind != "none" and recovery.release != "never":
        yield _late(
            f"The {recovery.kind} is not out before the rocket strikes the ground",
            f"on the ground after {summary['flight_time_s']:.1f} s; {strike}",
        )
    elif not opened:
        yield _unbraked(summary, strike)
    elif summary["landing_speed_down_m_s"] > _BRAKED * summary["sinking_speed_m_s"]:
        yield _late(
            f"The {recovery.kind} comes out too low to slow the rocket",
            f"out {summary['canopy_out_height_m']:.1f} m above the ground, {strike}; once slowed it would sink at "
            f"{summary['sinking_speed_m_s']:.1f} m/s",
        )
    yield from _energy(energy, strike)


def _late(hazard: str, found: str) -> Finding:
    return Finding(
        Level.STOP,
        Stage.FLY,
        "opens-too-late",
        hazard,
        found,
        "out and open well above the ground",
        "our judgement",
        "Release it earlier: at apogee, or with a shorter delay.",
    )


def _charged(summary: Mapping[str, float], strike: str) -> Finding:
    return Finding(
        Level.STOP,
        Stage.FLY,
        "lands-under-pressure",
        "The bottle strikes the ground while it is still under pressure, and can burst or take off again",
        f"{show(summary['landing_pressure_gauge_Pa'], 'bar', 2)} on the gauge and "
        f"{summary['water_left_kg'] * 1e3:.0f} g of water left; {strike}",
        "no pressure left when it comes down",
        "our judgement",
        "Stand the launcher up, or a wider nozzle, less water or a lighter rocket. Should it happen: nobody goes near "
        "a bottle that may still hold pressure until it has blown itself out.",
    )


def _unbraked(summary: Mapping[str, float], strike: str) -> Finding:
    angle = math.degrees(summary["landing_strike_angle_rad"])
    how = "nose first" if angle < 30.0 else "tail first" if angle > 150.0 else "flat or tumbling"
    return Finding(
        Level.LOOK,
        Stage.FLY,
        "ballistic",
        "The rocket comes down without anything to slow it, and can hurt someone badly",
        f"{how}, {strike}",
        "nobody where it can land until it is down",
        "our judgement",
        "Add a parachute. Until then: a closed landing area, eyes up, a call when it is in the air.",
    )


def _energy(energy: float, strike: str) -> Iterator[Finding]:
    keep = "Nobody in the landing area until it is down; a larger parachute or a lighter rocket strikes less hard."
    for name, level in (("energy_high", Level.LOOK), ("energy_low", Level.LOOK), ("energy_toy", Level.NOTE)):
        held = limit(name)
        if energy > held.value:
            yield _fly(
                level, "landing-energy", f"It strikes with more than {held.value:.3g} {held.unit}", strike, held, keep
            )
            return
