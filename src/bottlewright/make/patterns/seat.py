"""The seat of a nose, or of two halves: the skirt that slides, what the nose stands on, the tab to draw it by."""

import math

import numpy as np

from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import Dimension, Label, Path, Pattern, Shape, Style, circle, line
from bottlewright.make.letting_out.sizes import EDGE_CLEAR, PIN, SHEET, Seat
from bottlewright.make.specification import Specification

__all__ = ["TAB_HOLE", "TAB_LENGTH", "TAB_WIDE", "seat", "stop_ring_sizes"]

LAP = 15.0
"""Overlap of the skirt's sheet, mm: common practice, no source."""
TAB_LENGTH, TAB_WIDE, TAB_HOLE = 120.0, 15.0, 5.0
"""Of the pull tab: our choice."""
_STANDS_AT = 0.6
"""Of the bottle's radius, where the ring stands on its end; farther out the end is too steep (our judgement)."""


def seat(spec: Specification) -> list[Pattern]:
    """Return the patterns of the seat; none where nothing slides off one."""
    found = spec.letting_out.seat
    if found is None:
        return []
    tab = [_tab()] if "nose_seat" in spec.features else []
    return [_skirt(spec, found), *_stop_ring(spec), *tab]


def _skirt(spec: Specification, found: Seat) -> Pattern:
    around, high = found.around, found.fixed + found.shoulder
    joint = found.shoulder
    shapes: list[Shape] = [
        Path(((0.0, 0.0), (around + LAP, 0.0), (around + LAP, high), (0.0, high)), closed=True),
        line((around, 0.0), (around, high), Style.FOLD),
        line((0.0, joint), (around, joint), Style.MARK),
        Label((around + 0.5 * LAP, 0.5 * high), "lap", 2.8, 0.5 * math.pi),
        Label((0.25 * around, joint + 0.65 * found.fixed), "this half on the nose, tip up", 2.8),
        Label((0.25 * around, 0.5 * joint), "shoulder: this half slides", 2.8),
        Dimension((0.0, 0.0), (around, 0.0), -5.0),
        Dimension((0.0, 0.0), (0.0, joint), 5.0),
        Dimension((0.0, joint), (0.0, high), 5.0),
    ]
    for k in range(found.vents):
        x = (k + 0.5) * around / found.vents
        shapes += [
            circle((x, joint + found.vent_ahead), found.vent_bore, Style.CUT if found.vented else Style.MARK),
            Label((x + 0.5 * found.vent_bore + 1.5, joint + found.vent_ahead), "vent", 2.6, anchor=0.0),
        ]
    if "pinned" in spec.features:
        x = 0.75 * around
        shapes += [circle((x, 0.5 * joint), PIN), Label((x + 3.0, 0.5 * joint), "arming pin", 2.6, anchor=0.0)]
    return Pattern("seat-skirt", "Skirt of the seat", tuple(shapes), 1, f"plastic sheet {spec.length(SHEET)}",
                   tuple(_skirt_notes(spec, found)))  # fmt: skip


def _skirt_notes(spec: Specification, found: Seat) -> list[str]:
    notes = [
        f"Closes to {spec.to_tenth(found.inner)} inside and slides over a seat {spec.to_tenth(found.diameter)} across: "
        f"{spec.length(0.5)} to {spec.length(1.0)} of play, or it jams (common practice, no source).",
        "A seat that is a cone instead needs a half angle of 20° or more: under 16.7° it locks by itself (friction "
        "0.3).",
    ]
    if found.vented:
        return [*notes, f"{found.vents} vents, {spec.length(found.vent_bore)}, through skirt and nose."]
    return [*notes, "The vents are thin: this design's flights have none. Vents shift the hold that is wanted: first "
            'write cavity = "vented", then make them.']  # fmt: skip


def stop_ring_sizes(spec: Specification) -> tuple[float, float] | None:
    """Return hole and rim, mm, of the ring in a hollow nose that stands on the bottle's end; None without one."""
    nose, body = spec.design.nose, spec.body
    if nose is None or nose.wall is None or len(spec.nose_profile) < 2 or spec.letting_out.seat is None:
        return None
    high = body.base * math.sqrt(1.0 - _STANDS_AT**2) + EDGE_CLEAR
    x, r = zip(*spec.nose_profile, strict=True)
    rim = 2.0 * (float(np.interp(body.nose_end - high, x, r)) - mm(nose.wall))
    hole = _STANDS_AT * body.diameter
    return (hole, rim) if rim > hole + 10.0 else None


def _stop_ring(spec: Specification) -> list[Pattern]:
    sizes = stop_ring_sizes(spec)
    if sizes is None:
        return []
    hole, rim = sizes
    shapes = (circle((0.0, 0.0), hole), circle((0.0, 0.0), rim), Dimension((-0.5 * rim, 0.0), (0.5 * rim, 0.0), 0.01))
    notes = (
        f"Outside {spec.to_tenth(rim)}, hole {spec.to_tenth(hole)}. Glue it into the nose so that it stands on the "
        f"bottle's end and the nose's rear edge stays {spec.length(EDGE_CLEAR)} clear of the bottle.",
    )
    return [Pattern("seat-ring", "Ring that the nose stands on", shapes, 1, "foam board", notes)]


def _tab() -> Pattern:
    half = 0.5 * TAB_LENGTH
    shapes: tuple[Shape, ...] = (
        Path(((0.0, 0.0), (TAB_LENGTH, 0.0), (TAB_LENGTH, TAB_WIDE), (0.0, TAB_WIDE)), closed=True),
        *(line((x, 0.0), (x, TAB_WIDE), Style.FOLD) for x in (half - 25.0, half, half + 25.0)),
        *(circle((half + side * 8.0, 0.5 * TAB_WIDE), TAB_HOLE) for side in (-1.0, 1.0)),
        *(Label((x, 0.5 * TAB_WIDE), "on the nose", 2.6) for x in (17.5, TAB_LENGTH - 17.5)),
        Dimension((0.0, 0.0), (TAB_LENGTH, 0.0), -5.0),
        Dimension((0.0, 0.0), (0.0, TAB_WIDE), 5.0),
    )
    notes = (
        "Fold it in the middle, both holes on each other, and tape its ends left and right of the tip: the loop stands "
        "up in the rocket's axis, and a scale's hook goes through the holes.",
    )
    return Pattern("pull-tab", "Pull tab", shapes, 1, "cloth tape or thin sheet", notes)
