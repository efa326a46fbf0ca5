"""The sheet that folds the canopy: cautions, every size of what lets it out, and the frames of the folding."""

from collections.abc import Mapping, Sequence
from typing import Any

from bottlewright.make.drawing import Shape, bounds, dimensioned
from bottlewright.make.letting_out.folding import fold_plan
from bottlewright.make.letting_out.sizes import CLEARANCE, ROOM
from bottlewright.make.letting_out.words import cautions
from bottlewright.make.patterns.line_jig import EVEN
from bottlewright.make.patterns.paper import placed_items
from bottlewright.make.specification import Specification

__all__ = ["packing", "sketch"]


def sketch(shapes: Sequence[Shape]) -> dict[str, Any]:
    """Return a drawing for the typesetter with its width and height, mm."""
    drawn = dimensioned(shapes, lambda length: f"{length:.0f}")
    left, bottom, right, top = bounds(drawn)
    return {"items": placed_items(drawn, -left, top), "width": right - left, "height": top - bottom}


def packing(spec: Specification, words: Mapping[str, str]) -> dict[str, Any] | None:
    """Return the sheet of a design with a canopy, a streamer or a seat; None without any."""
    if spec.letting_out.pack is None and spec.letting_out.seat is None:
        return None
    return {
        "cautions": cautions(spec.features),
        "sizes": [list(row) for row in _sizes(spec, words)],
        "frames": [{**sketch(frame.shapes), "title": frame.title, "says": frame.says} for frame in fold_plan(spec)],
        "flown": words["hold_window"] if "nose_seat" in spec.features else "",
    }


_PRACTICE, _OURS = "common practice, no source", "our choice"


def _sizes(spec: Specification, words: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """Return what, how much, and whence."""
    found, part = spec.letting_out, spec.design.recovery
    rows: list[tuple[str, str, str]] = []
    if found.pack:
        rows.append(("pack, folded and rolled", f"{words['pack_length']} long, {words['pack_across']} thick",
                     "its mass at 200 kg/m³ give or take 50: " + _PRACTICE))  # fmt: skip
    if part.kind == "parachute":
        rows.append((f"{words['lines']} lines, each", f"{words['line_length']}, equal within {spec.length(EVEN)}",
                     "1 to 1.5 times the canopy's width: " + _PRACTICE))  # fmt: skip
    given = part.cord_length is not None
    rows.append(("cord between the parts", words["cord_least"] + ("" if given else " or more"), "yours" if given else
                 f"{words['body_lengths']} lengths of the rocket: {_PRACTICE}"))  # fmt: skip
    if seat := found.seat:
        rows += [
            ("skirt, inside", f"{words['skirt_inner']} on a seat of {words['seat']}",
             f"{spec.tenth(CLEARANCE)} of play; {spec.length(0.5)} to {spec.length(1.0)} is {_PRACTICE}"),
            ("shoulder that slides", words["shoulder"], f"0.35 of the width, unless you give it: {_PRACTICE}"),
            ("skirt on the nose", words["fixed"], _OURS),
            ("vents", f"{seat.vents} of {spec.length(seat.vent_bore)}" if seat.vented else
             f"none in these flights; else {seat.vents} of {spec.length(seat.vent_bore)}", _OURS),
        ]  # fmt: skip
    if "nose_seat" in spec.features:
        rows.append(("hold of the seat, in the design", f"{words['hold']}, {words['hold_scale']} on a scale",
                     "yours, or assumed: draw it off"))  # fmt: skip
    if found.bay:
        rows += [
            ("bay", f"{words['bay_length']} long, {words['on_bottle']} of it on the bottle", _OURS),
            ("opening, along the axis", words["opening"], f"the pack and {spec.length(ROOM)}: {_PRACTICE}"),
            ("opening, round", f"{words['opening_wide']}, {words['opening_arc']}", f"not over 90°: {_PRACTICE}"),
            ("lap of the door", f"{words['lap']} all round", _PRACTICE),
            ("hinge", "aft, or at a side; never in front", "the air blows a front hinge shut"),
        ]  # fmt: skip
    if found.flap:
        rows += [
            ("plate of the flap", f"{words['flap_area']}, {words['flap_side']} square",
             f"pull × arm / ({found.flap.normal.value:g} q × arm of plate)"),
            ("arms: plate, thread", f"{words['flap_arm']}, {words['flap_band_arm']}", "yours, or our choice"),
            ("pull of the thread", f"{words['flap_band']}; it opens below {words['airspeed']}", "yours, or our choice"),
        ]  # fmt: skip
    return rows
