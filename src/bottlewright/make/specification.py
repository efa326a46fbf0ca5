"""What the workshop builds from, worked out once and passed on: measures, features and counts of one design."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bottlewright.design import Design
from bottlewright.design.mechanism import NOSE_WAYS, TIMERS
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.flight.outcomes import armed
from bottlewright.flight.payload import films
from bottlewright.make.dimensions import Body, body_of, fin_corners, fraction_text, length_text, mm, nose_profile
from bottlewright.make.drawing import Point
from bottlewright.make.launcher.stand import (
    Bore,
    Hole,
    Piece,
    StandSizes,
    boring_steps,
    cord_places,
    cut_list,
    holes,
    stand_sizes,
)  # fmt: skip
from bottlewright.make.letting_out.sizes import LettingOut, letting_out_of

__all__ = ["GORES", "Specification", "fits", "fresh_cell", "specify"]

GORES = 8
"""Gores of a curved nose: our choice."""


def fits(when: Sequence[str], there: frozenset[str]) -> bool:
    """Say whether all wanted features are there and all unwanted ("!name") are not."""
    return all((name[1:] not in there) if name.startswith("!") else (name in there) for name in when)


@dataclass(frozen=True, slots=True)
class Specification:
    """A completed design as the workshop sees it; lengths in mm.

    Parameters
    ----------
    design
        For what is no measure: names, materials, ratings, proof tests.
    habit
        Which units the builder writes.
    features
        What steps, risks and checklist lines ask for, by name.
    counts
        What working times are multiplied by.
    body
        The body along its axis.
    nose_profile
        (distance from the tip, outer radius) of the shaped nose in 240 steps; empty without a nose of its own.
    fin_corners
        Of one fin; empty without fins.
    fins_on_sleeve
        Whether the sleeve reaches under the whole root.
    seat_diameter
        Of what the fins sit on.
    stand, pieces, holes, cords
        The stand with its cut list, its holes, and where the cords pass its plate.
    boring
        The steps of boring the nozzle; empty without one.
    letting_out
        What lets the canopy out.
    """

    design: Design
    habit: UnitHabit
    features: frozenset[str]
    counts: Mapping[str, int]
    body: Body
    nose_profile: tuple[Point, ...]
    fin_corners: tuple[Point, ...]
    fins_on_sleeve: bool
    seat_diameter: float
    stand: StandSizes
    pieces: tuple[Piece, ...]
    holes: tuple[Hole, ...]
    cords: tuple[Point, ...]
    boring: tuple[Bore, ...]
    letting_out: LettingOut

    def length(self, *lengths: float) -> str:
        """Return lengths, mm, as text with all their digits, the builder's own unit first."""
        return length_text(self.habit, *lengths)

    def tenth(self, length: float) -> str:
        """Return a length, mm, to the tenth, without a trailing zero: half a millimetre is never rounded away."""
        return self.length(round(length, 1))

    def to_mm(self, *lengths: float) -> str:
        """Return lengths, mm, rounded to the millimetre."""
        return length_text(self.habit, *lengths, form=".0f")

    def sawn(self, *lengths: float) -> str:
        """Return lengths, mm, to the millimetre or to the 16th of an inch: what is sawn or measured with a rule."""
        return fraction_text(self.habit, *lengths)

    def drill(self, diameter: float) -> str:
        """Return a drill, mm, with all its digits or to the nearest 64th of an inch where it is one."""
        part = diameter / 25.4 * 64.0
        if abs(part - round(part)) > 0.02:
            return self.to_tenth(diameter)
        return fraction_text(self.habit, diameter, of=64, form=".1f")

    def to_tenth(self, *lengths: float) -> str:
        """Return lengths, mm, rounded to a tenth of a millimetre."""
        return length_text(self.habit, *lengths, form=".1f")


def specify(design: Design, drills: Mapping[str, float] | None = None) -> Specification:
    """Return the specification of a completed design.

    Parameters
    ----------
    drills
        Drills for the stand's holes by what passes them (coupling, hose, cord, stake), m.
    """
    habit = unit_habit(design)
    stand = stand_sizes(design, drills, habit.inches)
    boring, on_sleeve = boring_steps(design, habit), _on_sleeve(design)
    cords, letting_out = cord_places(design.launcher.cord, stand), letting_out_of(design)
    return Specification(
        design=design,
        habit=habit,
        features=_features(design, on_sleeve, bool(boring)) | _opening_features(letting_out),
        counts=_counts(design),
        body=body_of(design),
        nose_profile=tuple(nose_profile(design, 240, letting_out.nose)),
        fin_corners=tuple(fin_corners(design)),
        fins_on_sleeve=on_sleeve,
        seat_diameter=mm(design.sleeve.diameter) if design.sleeve and on_sleeve else mm(design.vessel.diameter),
        stand=stand,
        pieces=tuple(cut_list(stand, habit)),
        holes=tuple(holes(design.launcher.stakes, stand, cords, habit)),
        cords=tuple(cords),
        boring=tuple(boring),
        letting_out=letting_out,
    )


def _on_sleeve(design: Design) -> bool:
    fins, sleeve = design.fins, design.sleeve
    if fins is None or sleeve is None:
        return False
    front, length = mm(sleeve.position), mm(sleeve.length)
    return front <= mm(fins.position) + 1.0 and mm(fins.position) + mm(fins.root) <= front + length + 1.0


def _features(design: Design, on_sleeve: bool, bored: bool) -> frozenset[str]:
    nose, recovery, launcher = design.nose, design.recovery, design.launcher
    own_nose = nose is not None and nose.shape != "bottle"
    release = launcher.release.kind if launcher.release else "collar"
    found = {
        "fins": design.fins is not None,
        "fins_on_sleeve": on_sleeve,
        "sleeve": design.sleeve is not None,
        "splice": design.vessel.count > 1 and design.vessel.joint != "coupling",
        "joined": design.vessel.count > 1,
        "nozzle": bored,
        "nose_sheet": own_nose and nose is not None and nose.wall is not None,
        "nose_solid": own_nose and nose is not None and nose.wall is None and nose.shape != "flat",
        "foam": own_nose and nose is not None and "polystyrene" in (nose.material or ""),
        "parachute": recovery.kind == "parachute",
        "flat_canopy": recovery.kind == "parachute" and recovery.canopy != "hemisphere",
        "hemisphere": recovery.kind == "parachute" and recovery.canopy == "hemisphere",
        "recovery": recovery.kind != "none",
        "streamer": recovery.kind == "streamer",
        "rotor": recovery.kind == "rotor",
        "tumble": recovery.kind == "tumble",
        "no_recovery": recovery.kind == "none",
        "tube_stand": bool(launcher.frame and launcher.frame.kind == "tube"),
        "stakes": bool(launcher.stakes and launcher.stakes.count),
        "remote_vent": bool(launcher.crew and launcher.crew.remote_vent),
        "proved": any(test.passed and test.medium == "water" for test in design.vessel.proof),
        "ballast": bool(design.mass),
        "launch_tube": mm(launcher.tube_length) > 0.0,
        "guide": mm(launcher.guide_length) > 0.0 and mm(launcher.tube_length) <= 0.0,
        release: True,
        "armed": armed(design),
        **_flies_along(design),
    }
    return frozenset(name for name, there in found.items() if there)


def _flies_along(design: Design) -> dict[str, bool]:
    payloads = [part.payload for part in design.mass if part.payload is not None]
    return {
        "payload": bool(payloads),
        "mount": any(one.held != "inside" for one in payloads),
        "camera": films(design),
        "lithium": any(one.cell == "lithium" for one in payloads),
        "fresh_cell": fresh_cell(design),
    }


def fresh_cell(design: Design) -> bool:
    """Say whether what is armed needs a cell, and is switched on by hand."""
    mechanism = design.recovery.mechanism
    return armed(design) and mechanism is not None and mechanism.trip not in ("none", "wind-up timer", "tilt ball")


def _opening_features(found: LettingOut) -> frozenset[str]:
    """Return what steps and cards ask for of the way that the canopy is let out."""
    mechanism = found.mechanism
    if mechanism is None:
        return frozenset({"packed"} if found.pack else ())
    trip, way = mechanism.trip, mechanism.way
    there = {
        "packed": found.pack is not None, "mechanism": True, way.replace(" ", "_"): True,
        "seat": found.seat is not None, "nose_seat": way in NOSE_WAYS, "door": found.bay is not None,
        "latched": trip != "none" or found.flap is not None, "tripped": trip != "none", "timer": trip in TIMERS,
        "pinned": trip != "none" or found.flap is not None or way == "sprung nose",
        "rubber": found.bay is not None or way in ("sprung nose", "two halves"),
        "inertia_latch": trip in TIMERS and mechanism.starts == "end of push",
        "wind_up": trip == "wind-up timer", "electric": trip not in ("none", "wind-up timer"),
        trip.replace(" ", "_"): trip != "none",
    }  # fmt: skip
    return frozenset(name for name, is_there in there.items() if is_there)


def _counts(design: Design) -> dict[str, int]:
    return {
        "fin_count": design.fins.count if design.fins else 0,
        "gores": GORES,
        "gore_count": design.recovery.lines or 8,
        "bottles": design.vessel.count,
    }
