"""A door in the side: the bay with its opening, the door, and the flap in the air that can free the door's band."""

import math

from bottlewright.make.drawing import Dimension, Label, Path, Pattern, Shape, Style, circle, line, rectangle
from bottlewright.make.letting_out.sizes import (
    LAP,
    MARGIN,
    NOTCH,
    ON_BOTTLE,
    PIN,
    ROOM,
    SHEET,
    SLOT,
    SLOT_WIDE,
    Bay,
    Flap,
)
from bottlewright.make.specification import Specification

__all__ = ["LEVER", "TAIL", "TO_LEVER", "door"]

_WRAP = 15.0
"""Overlap of the bay's sheet, mm: common practice, no source."""
LEVER, TAIL, TO_LEVER = 8.0, 5.0, 35.0
"""Width of the flap's lever, how far its tail reaches past the thread, and how far it stands ahead of the pin, mm: our
choice."""
_HINGE, _SWING = 1.5, 6.0


def door(spec: Specification) -> list[Pattern]:
    """Return the patterns of bay, door and flap; none without a door."""
    bay, flap = spec.letting_out.bay, spec.letting_out.flap
    if bay is None:
        return []
    return [_bay(spec, bay, flap), _door(spec, bay), *([_lever(spec, flap)] if flap else [])]


def _sheet(spec: Specification) -> str:
    return f"plastic sheet {spec.length(SHEET)}"


def _bay(spec: Specification, bay: Bay, flap: Flap | None) -> Pattern:
    middle, rear = bay.to_pin + 15.0, ON_BOTTLE + MARGIN  # near one end: no join runs through the opening
    left, high = middle - 0.5 * bay.wide, rear + 0.5 * bay.opening
    slot, pin = middle - bay.to_pin, middle + bay.to_pin
    wide = bay.around + _WRAP
    shapes: list[Shape] = [
        Path(((0.0, 0.0), (wide, 0.0), (wide, bay.length), (0.0, bay.length)), closed=True),
        line((bay.around, 0.0), (bay.around, bay.length), Style.FOLD),
        Label((bay.around + 0.5 * _WRAP, 0.3 * bay.length), "lap", 2.8, 0.5 * math.pi),
        line((0.0, ON_BOTTLE), (bay.around, ON_BOTTLE), Style.MARK),
        Label((0.3 * bay.around, 0.5 * ON_BOTTLE), "this strip on the bottle", 2.8),
        Label((0.3 * bay.around, bay.length - 6.0), "front, towards the nose", 2.8),
        rectangle(left, rear, bay.wide, bay.opening),
        rectangle(left - LAP, rear - LAP, bay.wide + 2.0 * LAP, bay.opening + 2.0 * LAP, Style.MARK),
        Label((middle, rear + 0.72 * bay.opening), "opening", 3.0),
        Label((middle, rear - 0.6 * MARGIN), "hinge: cloth tape", 2.6),
        rectangle(slot - 0.5 * SLOT_WIDE, high - 0.5 * SLOT, SLOT_WIDE, SLOT),
        Label((slot - 3.0, high), "band slot", 2.6, 0.5 * math.pi),
        *_at_pin(pin, high, flap),
        Dimension((0.0, 0.0), (bay.around, 0.0), -5.0),
        Dimension((0.0, 0.0), (0.0, bay.length), 5.0),
        Dimension((0.0, 0.0), (0.0, ON_BOTTLE), -12.0),
        Dimension((left, bay.front), (left + bay.wide, bay.front), -7.0),
        Dimension((left + bay.wide, rear), (left + bay.wide, bay.front), 6.0),
        Dimension((slot, high), (pin, high), -12.0),
    ]
    notes = (
        f"Rolls to {spec.to_tenth(bay.inner)} inside, round the bottle. Tape its rear {spec.to_mm(ON_BOTTLE)} onto the "
        "straight part, never glue or staple; the nose stays on its front.",
        f"Opening {spec.to_tenth(bay.opening)} long, the pack and {spec.length(ROOM)}, and "
        f"{spec.to_tenth(bay.wide)} round: {math.degrees(bay.arc):.0f}° of the way round, never over 90° "
        "(common practice, no source). Round its corners. The thin frame is where the door lies.",
    )
    return Pattern("bay", "Bay with its opening", tuple(shapes), 1, _sheet(spec), notes)


def _at_pin(x: float, y: float, flap: Flap | None) -> list[Shape]:
    """Return the pin's hole; with a flap also the slot ahead of it that its lever swings in, and its launch pin's."""
    hole: list[Shape] = [circle((x, y), PIN), Label((x + 3.0, y), "pin", 2.6, anchor=0.0)]
    if flap is None:
        return hole
    at, wide = y + TO_LEVER, LEVER + 2.0
    return [
        *hole, rectangle(x - 0.5 * wide, at - 0.5 * _SWING, wide, _SWING),
        Label((x + 0.5 * wide + 2.0, at), "lever", 2.6, anchor=0.0),
        circle((x, at + 0.5 * _SWING + 5.0), PIN),
        Label((x + 3.0, at + 0.5 * _SWING + 5.0), "launch pin", 2.6, anchor=0.0),
        Dimension((x, y), (x, at), 6.0),
    ]  # fmt: skip


def _door(spec: Specification, bay: Bay) -> Pattern:
    wide, high = bay.wide + 2.0 * LAP, bay.opening + 2.0 * LAP
    low, up = 0.5 * high - 0.5 * SLOT_WIDE - 2.0, 0.5 * high + 0.5 * SLOT_WIDE + 2.0
    outline = (
        (0.0, 0.0), (wide, 0.0), (wide, low), (wide - NOTCH, low), (wide - NOTCH, up), (wide, up), (wide, high),
        (0.0, high), (0.0, up), (NOTCH, up), (NOTCH, low), (0.0, low),
    )  # fmt: skip
    shapes: list[Shape] = [
        Path(outline, closed=True),
        rectangle(LAP, LAP, bay.wide, bay.opening, Style.MARK),
        line((0.0, LAP), (wide, LAP), Style.FOLD),
        line((NOTCH, 0.5 * high), (wide - NOTCH, 0.5 * high), Style.AID),
        Label((0.5 * wide, 0.5 * high + 4.0), "band", 2.6),
        Label((0.5 * wide, high - LAP - 5.0), "front", 2.8),
        Label((0.5 * wide, LAP + 4.0), "hinge, aft", 2.8),
        Dimension((0.0, 0.0), (wide, 0.0), -5.0),
        Dimension((0.0, 0.0), (0.0, high), 5.0),
        Dimension((LAP, high), (0.0, high), -5.0),
    ]
    notes = (
        f"It lies over the edge of the opening by {spec.length(LAP)} all round (common practice, no source); the thin "
        "frame is the opening. Curve it like the bay: cut it from the same sheet, the same way round.",
        "Hinge it with cloth tape at its rear edge, or at a side: the air blows a hinge in front shut. The band lies "
        "in the two notches.",
    )
    return Pattern("door", "Door", tuple(shapes), 1, _sheet(spec), notes)


def _lever(spec: Specification, flap: Flap) -> Pattern:
    """Return plate, lever and tail in one piece, hinge at the origin, plate up."""
    half, thin, at = 0.5 * flap.side, 0.5 * min(LEVER, flap.side), flap.band_arm
    foot, head, tail = flap.arm - half, flap.arm + half, -at - TAIL
    right = ((thin, foot), (thin, 1.0 - at), (thin - 1.5, 1.0 - at), (thin - 1.5, -1.0 - at), (thin, -1.0 - at),
             (thin, tail))  # fmt: skip
    outline = ((-half, head), (half, head), (half, foot), *right, *((-x, y) for x, y in reversed(right)), (-half, foot))
    shapes: list[Shape] = [
        Path(outline, closed=True),
        circle((0.0, 0.0), _HINGE),
        line((-half, flap.arm), (half, flap.arm), Style.AID),
        Label((thin + 2.0, 0.0), "hinge: a wire along the wall", 2.6, anchor=0.0),
        Label((thin + 2.0, -at), "loop of thread in both notches", 2.6, anchor=0.0),
        Dimension((-half, head), (half, head), 5.0),
        Dimension((half, foot), (half, head), -6.0),
        Dimension((-half, 0.0), (-half, flap.arm), 6.0),
        Dimension((-thin, -at), (-thin, 0.0), 6.0),
    ]
    notes = (
        f"Plate {flap.area / 100.0:.1f} cm², square. With a thread that pulls {spec.habit.force(flap.band, 2)} at "
        f"{spec.to_tenth(at)} it opens below {spec.habit.speed(flap.airspeed, 2)}: area = pull × its arm / "
        f"({flap.normal.value:g} q × arm of the plate), the {flap.normal.value:g} give or take {flap.normal.spread:g} "
        f"({flap.normal.source}).",
        f"Drawn back at the middle of the plate it just swings at {spec.habit.force(flap.at_plate, 2)}.",
    )
    return Pattern("flap", "Flap on its lever", tuple(shapes), 1, "thin plywood or stiff plastic", notes)
