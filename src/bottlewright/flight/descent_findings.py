"""Verdicts on ways to come down without cloth: does the rocket turn over, does each part tumble, how fast alone."""

import math
from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.findings import BRAKED, NOSE_FIRST, SLOWED
from bottlewright.flight.fly import Flight
from bottlewright.physics.coasting import terminal_speed
from bottlewright.physics.descents import fallen_speed

__all__ = ["FURTHER_AFT", "descent_findings"]

FURTHER_AFT = "Let more ballast shift, or further aft, take smaller fins, or come down under a parachute."
_DERIVED = "mechanics, docs/physics/recovery.md"


def descent_findings(design: Design, flight: Flight) -> Iterator[Finding]:
    """Judge how one flight comes down, where neither canopy nor streamer slows it."""
    kind, habit = design.recovery.kind, unit_habit(design)
    if math.isnan(flight.summary["canopy_out_time_s"]) or not flight.complete:
        return
    if kind == "tumble":
        yield from _turns_over(flight, habit)
    elif kind == "two parts":
        yield from _parts(flight, habit)


def _turns_over(flight: Flight, habit: UnitHabit) -> Iterator[Finding]:
    vehicle, summary = flight.vehicle, flight.summary
    margin = float((vehicle["pressure_centre"] - vehicle["shifted_centre"]) / vehicle["calibre"])
    angle = summary["landing_strike_angle_rad"]
    landed = f"it strikes at {habit.speed(summary['landing_speed_m_s'], 2)}, {math.degrees(angle):.0f}° from nose first"
    if margin > 0.0 or angle < NOSE_FIRST:
        nose = angle < NOSE_FIRST
        yield Finding(
            Level.STOP if nose else Level.LOOK, Stage.FLY, "stays-nose-first",
            "The ballast shifts, and the rocket comes down nose first" if nose else
            "With its ballast aft the rocket can fall on its side or nose first, as it happens to turn over",
            f"static margin {margin:.2f} calibres with the ballast aft; {landed}",
            "the balance point behind where the air takes hold, below 0, and a fall on its side", _DERIVED, FURTHER_AFT,
        )  # fmt: skip
    elif summary["landing_speed_down_m_s"] > BRAKED * summary["sinking_speed_m_s"] and (
        summary["flight_time_s"] - summary["canopy_out_time_s"] > SLOWED
    ):
        yield Finding(
            Level.STOP, Stage.FLY, "slides-fast", "The rocket turns over, and slides down fast all the same",
            f"{landed}; tumbling evenly it would fall at {habit.speed(summary['sinking_speed_m_s'], 2)}",
            f"a fall across the air, at {BRAKED:g} times an even tumble's speed at the most",
            f"{_DERIVED}; the {BRAKED:g}, as for a canopy: our judgement",
            "Shift the ballast a little less or more, and look here again: where it balances decides how it lies.",
        )  # fmt: skip


def _parts(flight: Flight, habit: UnitHabit) -> Iterator[Finding]:
    vehicle = flight.vehicle
    density, gravity = float(vehicle["air"][1]), float(vehicle["gravity"])
    masses = {"front": float(vehicle["nose_mass"]), "rear": float(vehicle["hanging_mass"] - vehicle["nose_mass"])}
    height = flight.summary["canopy_out_height_m"]
    alone = {part: fallen_speed(terminal_speed(mass, gravity, density, float(vehicle[f"{part}_area"])), gravity, height)
             for part, mass in masses.items()}  # fmt: skip
    margins = {part: float(vehicle[f"{part}_margin"]) for part in masses}
    steady = [part for part, margin in margins.items() if margin >= 0.0]
    said = ", ".join(f"the {part} part {margins[part]:.2f} calibres" for part in masses)
    speeds = " and ".join(f"the {part} part at {habit.speed(speed, 2)}" for part, speed in alone.items())
    if steady:
        yield Finding(
            Level.LOOK, Stage.FLY, "part-keeps-its-nose",
            f"The {' and the '.join(steady)} part keeps its front ahead and does not tumble: it hardly slows",
            f"static margin of each part alone: {said}; so they fall tied together at "
            f"{habit.speed(flight.summary['sinking_speed_m_s'], 2)}",
            "each part unstable by itself, below 0", _DERIVED,
            "Move mass to the far end of that part, or take off what steadies it; else come down under a parachute.",
        )  # fmt: skip
    yield Finding(
        Level.NOTE, Stage.FLY, "part-falls-alone", "If the cord breaks, each part falls by itself",
        f"from there {speeds}", "nobody under it until both are down", _DERIVED,
        "Hang both parts from the cord and pull hard before you fly it.",
    )  # fmt: skip
