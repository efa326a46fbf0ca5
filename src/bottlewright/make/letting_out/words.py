"""What the sheets say of the way that the canopy is let out: its numbers as text, and what lets it go."""

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.design.mechanism import Mechanism
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.make.dimensions import mm
from bottlewright.make.letting_out.sizes import (
    EDGE_CLEAR,
    LAP,
    ON_BOTTLE,
    PAPER_LAYERS,
    SHEET,
    SKEWER,
    Bay,
    Flap,
    LettingOut,
    Pack,
    Seat,
)
from bottlewright.make.specification import Specification, fits
from bottlewright.physics.nose_joint import most_oblique_pull
from bottlewright.quantities import Quantity, neat, value_of

__all__ = ["cautions", "letting_out_words", "opening_parts", "trip_texts"]

BODY_LENGTHS = 3.0
"""Least length of the cord between nose and bottle, in lengths of the rocket: common practice, no source."""
FRICTION = 0.3
"""Of a dry seat, give or take 0.1: common practice, no source."""
LAUNCH_CORD = 0.5
"""Cord between launcher and launch pin, m: the air already holds a flap when it is drawn (our judgement)."""


@cache
def _data() -> dict[str, Any]:
    return data_file("make", "letting_out")


def cautions(there: frozenset[str]) -> list[str]:
    """Return what people keep to with a release, of what the design has."""
    return [one["says"] for one in _data()["caution"] if fits(one["when"], there)]


def trip_texts(mechanism: Mechanism | None) -> Mapping[str, str]:
    """Return part, fit and check of what lets it go, with their gaps; empty texts where it lets go by itself."""
    if mechanism is None or mechanism.trip == "none":
        return {"trip_part": "", "trip_fit": "", "trip_check": ""}
    return {f"trip_{key}": text for key, text in _data()["trip"][mechanism.trip].items()}


def letting_out_words(spec: Specification) -> dict[str, str]:
    """Return every number of the way that the canopy is let out; a line to write on where only flights know it."""
    found, long = spec.letting_out, spec.body.exit
    given = spec.design.recovery.cord_length
    cord = spec.habit.distance(given.value if given else math.ceil(BODY_LENGTHS * long / 100.0) / 10.0, 3)
    words = {
        "cord_least": cord, "body_lengths": f"{BODY_LENGTHS:g}",
        "launch_cord": spec.habit.distance(LAUNCH_CORD),
        "sheet": spec.length(SHEET), "pin": spec.length(SKEWER),
        "hold_window": "By the flights of the study: from ________ to ________.",
        "timer_window": "By the flights of the study: from ________ to ________ s.", "hang": "________",
        "opening_load": "________",
    }  # fmt: skip
    return {**words, **_nose(found), **_pack(spec, found.pack), **_seat(spec, found.seat), **_bay(spec, found.bay),
            **_flap(spec, found.flap), **_mechanism(spec, found)}  # fmt: skip


def _nose(found: LettingOut) -> dict[str, str]:
    """Return how the rear of a nose is shaped."""
    if found.bay is not None:
        return {
            "nose_scoop": "Its rear stays flat: it goes on the bay.", "nose_rests": "the rear edge is even all round",
            "nose_sits": "the rear is flat and square",
        }  # fmt: skip
    if found.seat is not None:
        return {"nose_scoop": "Scoop the seat until the seat gauge fits to the line: it is shallower than the bottle's "
                "end, on purpose.", "nose_rests": "the rear edge is even all round",
                "nose_sits": "the bottle's end sits in it without rocking"}  # fmt: skip
    return {"nose_scoop": "Scoop the seat until the seat gauge, or your bottle's own end, fits to the line.",
            "nose_rests": "the rear sits on the bottle all round without force",
            "nose_sits": "the bottle's end sits in it without rocking"}  # fmt: skip


def _pack(spec: Specification, pack: Pack | None) -> dict[str, str]:
    if pack is None:
        return {}
    return {
        "pack_strip": spec.to_mm(pack.strip), "pack_folds": str(pack.folds), "pack_length": spec.to_mm(pack.length),
        "pack_across": spec.to_mm(pack.across),
    }  # fmt: skip


def _seat(spec: Specification, seat: Seat | None) -> dict[str, str]:
    if seat is None:
        return {}
    holes = f"{seat.vents} vents of {spec.length(seat.vent_bore)}"
    where = f"evenly round, {spec.to_mm(seat.vent_ahead)} ahead of the nose's rear edge"
    solid = "nose_solid" in spec.features
    return {
        "seat": spec.tenth(seat.diameter), "shoulder": spec.to_mm(seat.shoulder), "fixed": spec.to_mm(seat.fixed),
        "jams_at": spec.to_mm(most_oblique_pull(seat.shoulder, FRICTION)),
        "skirt_inner": spec.tenth(seat.inner), "paper_layers": str(PAPER_LAYERS),
        "play": f"{spec.length(0.5)} to {spec.length(1.0)}",
        "vent_words": f"Make {holes} through skirt and nose, {where}, with the nose off the bottle." if seat.vented else
        f"The flights of this design have no vents. {holes.capitalize()} ({where}) shift the hold that is wanted: make "
        'them only after cavity = "vented" is written and flown.',
        "stop_words": "Scoop the seat by its gauge, so that the nose stands on the middle of the bottle's end and its "
        f"rear edge stays {spec.length(EDGE_CLEAR)} clear." if solid else
        "Glue the ring into the nose, so that it stands on the bottle's end and the nose's rear edge stays "
        f"{spec.length(EDGE_CLEAR)} clear.",
    }  # fmt: skip


def _bay(spec: Specification, bay: Bay | None) -> dict[str, str]:
    if bay is None:
        return {}
    return {
        "bay_length": spec.tenth(bay.length), "on_bottle": spec.to_mm(ON_BOTTLE), "lap": spec.length(LAP),
        "opening": spec.tenth(bay.opening), "opening_wide": spec.tenth(bay.wide),
        "opening_arc": f"{math.degrees(bay.arc):.0f}°",
    }  # fmt: skip


def _flap(spec: Specification, flap: Flap | None) -> dict[str, str]:
    if flap is None:
        return {}
    return {
        "flap_area": f"{flap.area / 100.0:.1f} cm²", "flap_side": spec.tenth(flap.side),
        "flap_arm": spec.tenth(flap.arm), "flap_band": spec.habit.force(flap.band, 2),
        "flap_band_arm": spec.tenth(flap.band_arm), "flap_at_plate": spec.habit.force(flap.at_plate, 2),
        "flap_at_plate_scale": spec.habit.on_a_scale(flap.at_plate),
    }  # fmt: skip


def _mechanism(spec: Specification, found: LettingOut) -> dict[str, str]:
    mechanism = found.mechanism
    if mechanism is None:
        return {}
    habit = spec.habit
    started = (_latch(mechanism, habit) if mechanism.starts == "end of push" else
               f"Its start pin hangs on {habit.distance(LAUNCH_CORD)} of cord tied to the launcher, and the rocket "
               "draws it as it leaves.")  # fmt: skip
    return {
        **{key: text for one in _data()["held"] if fits(one["when"], spec.features)
           for key, text in one.items() if key != "when"},
        "way": mechanism.way, "starts": started, "time": _spread(mechanism.time, "s"),
        "drop": habit.distance(mechanism.drop.value) if mechanism.drop else "",
        "angle": f"{math.degrees(mechanism.angle.value):.0f}°" if mechanism.angle else "",
        "airspeed": habit.speed(mechanism.airspeed.value, 2) if mechanism.airspeed else "",
        "hold": habit.force(mechanism.hold.value, 2) if mechanism.hold else "",
        "hold_scale": habit.on_a_scale(mechanism.hold.value) if mechanism.hold else "",
        "push": habit.force(mechanism.push.value, 2) if mechanism.push else "",
        "push_end": habit.force(mechanism.push_end.value, 2) if mechanism.push_end else "",
        "push_stroke": spec.to_mm(mm(mechanism.push_stroke)),
    }  # fmt: skip


def _latch(mechanism: Mechanism, habit: UnitHabit) -> str:
    """Say what an inertia latch is set to."""
    level, time, travel = (value_of(one) for one in (mechanism.latch_level, mechanism.latch_time,
                                                     mechanism.latch_travel))  # fmt: skip
    return (f"An inertia latch starts it as the push ends: a weight on a spring that more than {level:.2g} g moves "
            f"aft, for {time:.2g} s at the least and over {habit.length(travel)}, and that springs back as soon as "
            "nothing pushes.")  # fmt: skip


def _spread(quantity: Quantity | None, unit: str) -> str:
    if quantity is None:
        return ""
    return neat(quantity.value, unit) + (f" ± {neat(quantity.spread, unit, 2)}" if quantity.spread else "")


def opening_parts(spec: Specification) -> list[tuple[str, str, str, str]]:
    """Return code, name, material and size of the pieces that let a canopy out; none has a key for its mass."""
    found, sheet = spec.letting_out, f"plastic sheet {spec.length(SHEET)}"
    rows: list[tuple[str, str, str, str]] = []
    if seat := found.seat:
        size = spec.to_mm(seat.around, seat.shoulder + seat.fixed)
        rows.append(("skirt", "skirt of the seat", sheet, f"{size}, Ø {spec.tenth(seat.inner)} inside"))
    if bay := found.bay:
        rows.append(("bay", "bay with its opening", sheet, f"{spec.to_mm(bay.around, bay.length)}"))
        door = spec.to_mm(bay.wide + 2.0 * LAP, bay.opening + 2.0 * LAP)
        rows.append(("door", "door", sheet, door))
    if flap := found.flap:
        rows.append(("flap", "flap on its lever", "thin plywood", f"plate {flap.area / 100.0:.1f} cm²"))
    return rows
