"""Drawings for the steps: seat, spring, joint of two halves, door, flap and jig, each with its numbered names."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from bottlewright.make.drawing import (
    Arc,
    Dimension,
    Label,
    Path,
    Point,
    Shape,
    Style,
    circle,
    line,
    moved,
    rectangle,
    scaled,
)
from bottlewright.make.letting_out.sizes import BESIDE, LAP, ON_BOTTLE, SHEET, Bay, Flap, Seat
from bottlewright.make.specification import Specification

__all__ = ["StepDrawing", "step_drawing"]


@dataclass(frozen=True, slots=True)
class StepDrawing:
    """A drawing for paper, mm, what its numbers name in their order, and what is said of its scale."""

    shapes: tuple[Shape, ...]
    names: tuple[str, ...]
    scale: str


_SMALL = 0.4
"""Seats and bays are drawn at two fifths of their size."""
_TIP, _GAP, _NOSE, _BOTTLE = 22.0, 10.0, 42.0, 46.0
"""Of a nose on its bottle, what is drawn: tip, break, rear of the nose, and how much of the bottle, mm."""


def step_drawing(spec: Specification, name: str) -> StepDrawing | None:
    """Return the drawing of a step by its name; None where the design has nothing to draw there."""
    return _DRAWN[name](spec) if name else None


Named = tuple[Point, str] | tuple[Point, str, Point]
"""Where a number stands, what it names, and where a line leads from it if it stands beside; mm of the real thing."""


def _drawing(shapes: Sequence[Shape], named: Sequence[Named], scale: float, said: str) -> StepDrawing:
    leaders: list[Shape] = [line(one[0], one[2], Style.AID) for one in named if len(one) == 3]
    numbers = [Label((one[0][0] * scale, one[0][1] * scale), f"{k}", 3.0, bold=True, plate=True)
               for k, one in enumerate(named, 1)]  # fmt: skip
    return StepDrawing((*scaled([*shapes, *leaders], scale), *numbers), tuple(one[1] for one in named), said)


# --- a nose on its bottle ------------------------------------------------------------------------------------------


def _wall(points: Sequence[Point]) -> list[Shape]:
    """Return a line through points (out, up) and the same on the other side of the axis."""
    return [Path(tuple(points)), Path(tuple((-x, y) for x, y in points))]


def _nose_on_bottle(spec: Specification, seat: Seat) -> list[Shape]:
    """Return the section, axis upright, rear edge of the nose at height 0; the middle of a long nose is left out."""
    profile, body = spec.nose_profile, spec.body
    end, radius = spec.letting_out.nose, 0.5 * body.diameter
    rear = [(r, end - x) for x, r in profile if end - x <= _NOSE]
    shift = _NOSE + _GAP - (end - _TIP)
    tip = [(r, end - x + shift) for x, r in profile if x <= _TIP] if end > _TIP + _GAP + _NOSE else []
    skirt = 0.5 * seat.inner
    base = [(radius * math.cos(a), body.base * math.sin(a) - 3.0) for a in (0.5 * math.pi * k / 30 for k in range(31))]
    shapes: list[Shape] = [
        *_wall(rear), *_wall(tip), *_wall([(radius, -_BOTTLE), *base]),
        rectangle(skirt, -seat.shoulder, 2.0, seat.shoulder + seat.fixed),
        rectangle(-skirt - 2.0, -seat.shoulder, 2.0, seat.shoulder + seat.fixed),
        line((0.0, -_BOTTLE), (0.0, _NOSE + _GAP + _TIP + 4.0), Style.AID),
        Dimension((-skirt - 2.0, -seat.shoulder), (-skirt - 2.0, 0.0), 12.0),
        Dimension((-skirt - 2.0, 0.0), (-skirt - 2.0, seat.fixed), 12.0),
    ]  # fmt: skip
    if tip:
        wide = max(r for r, _ in rear)
        shapes += [line((-wide, y), (wide, y), Style.FOLD) for y in (_NOSE + 2.0, _NOSE + _GAP - 2.0)]
    return shapes


def _vents(seat: Seat) -> list[Shape]:
    at, out = seat.vent_ahead, 0.5 * seat.inner
    return [rectangle(side * out - 4.0, at - 1.5, 8.0, 3.0, Style.MARK) for side in (-1.0, 1.0)]


def _tab(top: float) -> list[Shape]:
    return [Path(((-7.0, top - 4.0), (-1.0, top), (-1.0, top + 16.0), (1.0, top + 16.0), (1.0, top), (7.0, top - 4.0))),
            circle((0.0, top + 11.0), 2.0, Style.MARK)]  # fmt: skip


def _top(spec: Specification) -> float:
    end = spec.letting_out.nose
    return _NOSE + _GAP + _TIP if end > _TIP + _GAP + _NOSE else end


def _seat(spec: Specification) -> StepDrawing | None:
    seat = spec.letting_out.seat
    if seat is None:
        return None
    top, skirt, half = _top(spec), 0.5 * seat.inner, "nose_seat" in spec.features
    out = skirt + 14.0
    named: list[Named] = [
        ((out, -0.5 * seat.shoulder), f"skirt: the shoulder, {spec.to_mm(seat.shoulder)}, slides on the bottle",
         (skirt + 1.0, -0.5 * seat.shoulder)),
        ((out, 0.8 * seat.fixed), "its front half, taped to the nose", (skirt + 1.0, 0.8 * seat.fixed)),
        ((0.0, 0.5 * spec.body.base), "the nose stands on the middle of the bottle's end"),
        ((-0.62 * skirt, -0.8 * _BOTTLE), "bottle: never glued, drilled or cut"),
    ]
    shapes = _nose_on_bottle(spec, seat)
    if half:
        shapes += [*_vents(seat), *_tab(top)]
        named += [((-skirt + 12.0, seat.vent_ahead), "vents, opposite each other, only where the flights have them"),
                  ((12.0, top + 8.0), "pull tab in the axis, for the scale's hook")]  # fmt: skip
    return _drawing(shapes, named, _SMALL, "Section, 2 : 5; play and sheet are drawn thicker.")


def _pin(x: float, y: float) -> list[Shape]:
    """Return an arming pin from the right, with its flag."""
    flag = ((26.0, 1.0), (26.0, -22.0), (40.0, -16.0), (26.0, -10.0))
    return [rectangle(x - 14.0, y - 1.0, 40.0, 2.0), Path(tuple((x + dx, y + dy) for dx, dy in flag))]


def _rubber(x: float, low: float, high: float) -> Path:
    steps = 8
    return Path(tuple((x + (3.0 if k % 2 else -3.0) * (0 < k < steps), low + (high - low) * k / steps)
                      for k in range(steps + 1)), Style.MARK)  # fmt: skip


def _spring(spec: Specification) -> StepDrawing | None:
    seat = spec.letting_out.seat
    if seat is None:
        return None
    skirt, base = 0.5 * seat.inner, spec.body.base
    low, high, middle = base - 2.0, _NOSE - 2.0, -0.5 * seat.shoulder
    latched = "latched" in spec.features
    shapes = [*_nose_on_bottle(spec, seat), *_vents(seat), _rubber(-8.0, low, high), _rubber(8.0, low, high),
              *_pin(skirt, middle)]  # fmt: skip
    shapes += [rectangle(skirt - 10.0, middle - 5.0, 8.0, 10.0)] if latched else []
    latch: list[Named] = [((skirt - 22.0, -0.5 * seat.shoulder), "latch", (skirt - 10.0, -0.5 * seat.shoulder))]
    named: list[Named] = [
        ((-20.0, 0.5 * (low + high)), "rubber or spring: pushes the nose off"), *(latch if latched else []),
        ((skirt + 14.0, -0.5 * seat.shoulder + 9.0), "arming pin with its flag: in first, out last"),
        ((-skirt + 14.0, -0.75 * seat.shoulder), "skirt", (-skirt - 1.0, -0.75 * seat.shoulder)),
    ]
    return _drawing(shapes, named, _SMALL, "Section, 2 : 5; nobody's face over the nose.")


def _halves(spec: Specification) -> StepDrawing | None:
    seat = spec.letting_out.seat
    if seat is None:
        return None
    skirt, base = 0.5 * seat.inner, spec.body.base
    way = ((-6.0, base - 4.0), (-16.0, base + 6.0), (2.0, base + 10.0), (-10.0, base + 16.0), (-4.0, _NOSE - 2.0))
    cord = Path(way, Style.MARK)
    shapes = [*_nose_on_bottle(spec, seat), cord, _rubber(skirt + 6.0, -0.5 * seat.shoulder, 0.7 * seat.fixed),
              *_pin(skirt + 6.0, -0.5 * seat.shoulder)]  # fmt: skip
    named: list[Named] = [
        ((skirt + 16.0, 0.5 * seat.fixed), "band over the joint, from a knot in front to the latch"),
        ((skirt + 20.0, -0.5 * seat.shoulder + 7.0), "arming pin with its flag: in first, out last"),
        ((-24.0, base + 8.0), "cord between the halves"),
        ((-skirt + 14.0, -0.75 * seat.shoulder), "skirt", (-skirt - 1.0, -0.75 * seat.shoulder)),
    ]
    return _drawing(shapes, named, _SMALL, "Section, 2 : 5; play and sheet are drawn thicker.")


# --- a door ----------------------------------------------------------------------------------------------------------


def _door(spec: Specification) -> StepDrawing | None:
    bay = spec.letting_out.bay
    if bay is None:
        return None
    side, end = _door_seen(bay), _door_across(bay)
    far = bay.length + 0.75 * bay.inner
    named: list[Named] = [
        ((bay.length - bay.front + 10.0, 0.32 * bay.inner), "front edge: lifts, soft foam under it"),
        ((bay.length - bay.front + bay.opening + LAP, -0.14 * bay.inner), "hinge of cloth tape, aft"),
        ((bay.length - bay.front + 0.5 * bay.opening, 0.12 * bay.inner), "band, in both notches"),
        ((far - 0.68 * bay.inner, 0.3 * bay.inner), "knot of the band behind its slot"),
        ((far + 0.68 * bay.inner, 0.3 * bay.inner), "loop at the pin's hole; arming pin with its flag through it"),
        ((bay.length - 0.5 * ON_BOTTLE, 0.62 * bay.inner), "bottle"),
    ]
    said = f"From the side, front to the left, and from the front; 2 : 5. The door lies over by {spec.length(LAP)}."
    return _drawing([*side, *moved(end, far, 0.0)], named, _SMALL, said)


def _door_seen(bay: Bay) -> list[Shape]:
    """Return the bay from the side, door towards us, front to the left."""
    half, front = 0.5 * bay.inner + SHEET, bay.length - bay.front
    wide = half * math.sin(0.5 * bay.arc)
    lap = wide + LAP
    at = front + 0.5 * bay.opening
    return [
        rectangle(0.0, -half, bay.length, 2.0 * half),
        Path(((bay.length, half - 2.0), (bay.length + 14.0, half - 2.0)), Style.MARK),
        Path(((bay.length, 2.0 - half), (bay.length + 14.0, 2.0 - half)), Style.MARK),
        line((bay.length - ON_BOTTLE, -half), (bay.length - ON_BOTTLE, half), Style.FOLD),
        rectangle(front - LAP, -lap, bay.opening + 2.0 * LAP, 2.0 * lap),
        rectangle(front, -wide, bay.opening, 2.0 * wide, Style.MARK),
        line((front + bay.opening, -lap), (front + bay.opening, lap), Style.FOLD),
        rectangle(at - 1.5, -half, 3.0, 2.0 * half),
        Dimension((front, -half), (front + bay.opening, -half), -8.0),
        Dimension((bay.length - ON_BOTTLE, -half), (bay.length, -half), -8.0),
    ]


def _door_across(bay: Bay) -> list[Shape]:
    """Return the bay from the front, door up: opening, lap, band, slot and pin."""
    radius = 0.5 * bay.inner
    half, lap = 0.5 * bay.arc, LAP / radius
    beside = (LAP + BESIDE) / radius
    up = 0.5 * math.pi
    ends = [(radius * math.cos(a), radius * math.sin(a)) for a in (up - half - beside, up + half + beside)]
    return [
        Arc((0.0, 0.0), radius, up + half, up - half + 2.0 * math.pi),
        Arc((0.0, 0.0), radius + 3.0, up - half - lap, up + half + lap),
        Arc((0.0, 0.0), radius + 6.0, up - half - beside, up + half + beside, Style.MARK),
        *(line((0.85 * x, 0.85 * y), (1.2 * x, 1.2 * y)) for x, y in ends),
        line((0.0, 0.0), (radius * math.cos(up - half), radius * math.sin(up - half)), Style.AID),
        line((0.0, 0.0), (radius * math.cos(up + half), radius * math.sin(up + half)), Style.AID),
        Label((0.0, 0.42 * radius), f"{math.degrees(bay.arc):.0f}°", 3.0),
    ]


# --- flap, jig -----------------------------------------------------------------------------------------------------


def _flap(spec: Specification) -> StepDrawing | None:
    flap = spec.letting_out.flap
    return None if flap is None else _drawing(
        _flap_seen(flap), [
            ((4.0, flap.arm), f"plate, {spec.to_tenth(flap.side)} square: the air pushes it back"),
            ((5.0, 3.0), "hinge"),
            ((20.0, -flap.band_arm - 4.0), "thread: pulls the tail back, then once and a quarter round a skewer"),
            ((-15.0, 16.0), "launch pin on its cord: drawn as the rocket leaves"),
            ((70.0, 6.0), "out through the pin's hole to the band of the door"),
        ], 0.6, "Section through the wall of the bay, front to the left; 3 : 5.",
    )  # fmt: skip


def _flap_seen(flap: Flap) -> list[Shape]:
    half, tail = 0.5 * flap.side, -flap.band_arm
    return [
        line((-40.0, 0.0), (-5.0, 0.0)), line((5.0, 0.0), (80.0, 0.0)),
        rectangle(-1.0, flap.arm - half, 2.0, flap.side),
        rectangle(-0.5, tail - 5.0, 1.0, flap.arm - half - tail + 5.0),
        circle((0.0, 0.0), 3.0),
        Path(((0.0, tail), (48.0, tail))), circle((52.0, tail), 8.0), Path(((55.0, tail + 2.5), (62.0, 6.0))),
        rectangle(-8.0, -9.0, 2.0, 32.0),
        Path(((-36.0, flap.arm), (-16.0, flap.arm)), Style.MARK),
        Path(((-20.0, flap.arm + 2.0), (-16.0, flap.arm), (-20.0, flap.arm - 2.0)), Style.MARK),
        Label((-27.0, flap.arm + 6.0), "air", 2.8),
        Dimension((1.0, 0.0), (1.0, flap.arm), -26.0), Dimension((-0.5, tail), (-0.5, 0.0), 16.0),
    ]  # fmt: skip


def _jig(spec: Specification) -> StepDrawing | None:
    words = spec.design.recovery.line_length
    if words is None:
        return None
    free = spec.to_mm(1e3 * words.value)
    shapes: list[Shape] = [
        rectangle(0.0, 0.0, 130.0, 16.0), rectangle(4.0, 2.0, 24.0, 12.0), rectangle(102.0, 2.0, 24.0, 12.0),
        circle((16.0, 8.0), 2.0), rectangle(111.5, 3.0, 5.0, 10.0, Style.MARK), circle((114.0, 8.0), 2.4),
        line((17.0, 8.0), (128.0, 8.0), Style.MARK), Dimension((16.0, 0.0), (114.0, 0.0), -6.0, free),
    ]  # fmt: skip
    named: list[Named] = [((9.0, 8.0), "card with the nail: loop at the canopy's edge"),
                          ((106.0, 8.0), "card with the window: the knot lies in it")]
    return _drawing(shapes, named, 0.7, "From above; the board is as long as the line, and drawn shorter.")


_DRAWN: Mapping[str, Callable[[Specification], StepDrawing | None]] = {
    "seat": _seat, "spring": _spring, "rubber": _spring, "halves": _halves, "door": _door, "flap": _flap, "jig": _jig,
}  # fmt: skip
