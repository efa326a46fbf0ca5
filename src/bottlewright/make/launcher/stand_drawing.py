"""The launcher drawn: front and side of the stand, the line from pump to rocket, the template for the plate's holes."""

import math
import re
from functools import partial
from itertools import pairwise

from bottlewright.make.dimensions import fraction_text, mm, on_drawing
from bottlewright.make.drawing import (
    Dimension,
    Label,
    Path,
    Pattern,
    Point,
    Shape,
    Style,
    bounds,
    circle,
    dimensioned,
    line,
    moved,
    rectangle,
    scaled,
    wrapped,
)
from bottlewright.make.launcher.stand import BAR, StandSizes, post_length
from bottlewright.make.specification import Specification

__all__ = ["hose_line", "plate_template", "stand_views"]


def plate_template(spec: Specification) -> Pattern:
    """Return the middle of the plate at true size with its hole centres and sizes."""
    sizes = spec.stand
    half, wide, drilled = min(0.5 * sizes.width, 85.0), sizes.board_width, partial(_drilled, spec)
    shapes: list[Shape] = [
        rectangle(-half, -0.5 * wide, 2.0 * half, wide),
        line((-half, 0.0), (half, 0.0), Style.MARK),
        line((0.0, -0.5 * wide), (0.0, 0.5 * wide), Style.MARK),
        circle((0.0, 0.0), sizes.hole),
        Label((3.0, -0.5 * sizes.hole - 5.0), f"{drilled(sizes.hole)} through, square to the board", 2.8, anchor=0.0),
        Label((3.0 - half, 3.0), "middle of the board", 2.6, anchor=0.0),
        Label((-3.0, 3.0 - 0.5 * wide), "middle of its length", 2.6, 0.5 * math.pi, anchor=0.0),
    ]
    for x, y in spec.cords:
        if max(abs(x) - half, abs(y) - 0.5 * wide) + 0.5 * sizes.cord_hole < 0.0:
            shapes.append(circle((x, y), sizes.cord_hole))
            side = -1.0 if x < 0.0 else 1.0
            beside = (x + side * (0.5 * sizes.cord_hole + 2.0), y + 3.0)
            shapes.append(Label(beside, drilled(sizes.cord_hole), 2.8, anchor=0.5 - 0.5 * side))
            if y > 0.0:
                shapes.append(Dimension((half, 0.0), (half, y), -5.0))
                shapes.append(Label((half - 3.0, 0.5 * wide - 4.0), "operator's side", 2.6, anchor=1.0))
            elif x > 0.0:
                shapes.append(Dimension((0.0, 0.5 * wide), (x, 0.5 * wide), 5.0))
    shapes.append(Dimension((-half, -0.5 * wide), (-half, 0.5 * wide), 5.0))
    notes = (
        "Tape it to the plate, both thin lines on its middles. "
        f"Prick the centres, drill {spec.drill(3.175 if spec.habit.inches else 3.0)}, then full size.",
        "Clamp the board on scrap wood; eye protection on; an adult drills. Round all edges that the cord touches.",
    )
    drawn = dimensioned(shapes, lambda length: on_drawing(fraction_text(spec.habit, length, form=".1f")))
    return Pattern("plate-template", "Drilling template for the stand's plate", drawn, 1, "paper", notes)


def stand_views(spec: Specification, width: float, height: float) -> tuple[float, tuple[Shape, ...]]:
    """Return n and front and side view side by side, drawn 1 : n, the largest of the usual steps that fits, mm."""
    for n in (2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 15.0, 20.0, 25.0, 50.0):
        front, side = _front(spec, n), _side(spec, n)
        gap = bounds(front)[2] - bounds(side)[0] + 6.0
        shapes = (*front, *moved(side, gap, 0.0))
        left, bottom, right, top = bounds(shapes)
        if right - left <= width and top - bottom <= height:
            break
    return n, shapes


def _front(spec: Specification, n: float) -> tuple[Shape, ...]:
    """Return the view along the cord, on paper."""
    s = spec.stand
    half, top = 0.5 * s.width, s.height
    shapes: list[Shape] = [*_sides(s), rectangle(-half, top - s.board, s.width, s.board)]
    shapes += [line((x, top - s.board), (x, top), Style.FOLD) for x in (-0.5 * s.hole, 0.5 * s.hole)]
    shapes += [Dimension((-half, 0.0), (half, 0.0), -6.0), Dimension((-half, 0.0), (-half, top), 6.0)]
    if s.corded:
        shapes.append(Dimension((0.0, top), (s.pull, top), 5.0, f"{_sawn(spec, s.pull)} axis to cord"))
    shapes.append(Dimension((-0.5 * s.hole, top), (0.5 * s.hole, top), 11.0, f"hole {_drilled(spec, s.hole)}"))
    return (
        *_drawn(spec, shapes, n),
        line((0.0, -3.0), (0.0, top / n + 16.0), Style.AID),
        Label((-0.5 * half / n, top / n + 20.0), "front", 3.2, bold=True),
    )


def _sides(s: StandSizes) -> list[Shape]:
    half = 0.5 * s.width
    shapes: list[Shape] = []
    for side in (-1.0, 1.0):
        if s.kind == "tube":
            edge = min(side * half, side * (half - s.tube))
            shapes += [
                circle((edge + 0.5 * s.tube, 0.5 * s.tube), s.tube),
                rectangle(edge, s.tube, s.tube, s.height - s.board - s.tube),
            ]
        else:
            foot = min(side * half, side * (half - s.board_width))
            leg = min(side * half, side * (half - s.board))
            shapes += [
                rectangle(foot, 0.0, s.board_width, s.board),
                rectangle(leg, s.board, s.board, s.height - 2 * s.board),
            ]
    if s.kind == "tube":
        return [*shapes, rectangle(-half + s.tube, s.height - s.board - s.tube, s.width - 2 * s.tube, s.tube)]
    return [*shapes, rectangle(-half + s.board_width, 0.0, s.width - 2 * s.board_width, s.board_width, Style.FOLD)]


def _side(spec: Specification, n: float) -> tuple[Shape, ...]:
    """Return the view along the plate: hose with its raised loop on the left, cord to the operator on the right."""
    s = spec.stand
    half, foot = 0.5 * s.depth, s.board if s.kind == "boards" else s.tube
    upright = s.board_width if s.kind == "boards" else s.tube
    left, right, top = -half - 14.0 * n, half + 18.0 * n, s.height + s.loop
    hose = [(0.0, s.height - s.board), (-0.25 * s.depth, 0.5 * s.height), (-half - 1.0 * n, s.height)]
    crown = [(left + (5.0 + k) * n, top + (1.3 - 2.5 * abs(k)) * n) for k in (2.0, 0.0, -2.0)]
    shapes: list[Shape] = [
        rectangle(-half, 0.0, s.depth, foot),
        rectangle(-0.5 * upright, foot, upright, s.height - foot - s.board),
        rectangle(-0.5 * s.board_width, s.height - s.board, s.board_width, s.board),
        Path(tuple(_rounded([*hose, *crown, (left + 1.0 * n, 8.0), (left - 18.0 * n, 6.0)])), Style.MARK),
        Dimension((-half, 0.0), (half, 0.0), -6.0),
        Dimension((left + 5.0 * n, s.height), (left + 5.0 * n, top), -10.0, _sawn(spec, s.loop)),
        line((left - 18.0 * n, 0.0), (right, 0.0), Style.AID),
    ]
    names = [
        Label((0.0, s.height / n + 20.0), "side", 3.2, bold=True),
        Label(((left - 18.0 * n) / n, 9.0), "to valve", 2.6, anchor=0.0),
        Label(((left - 18.0 * n) / n, 4.5), "and pump", 2.6, anchor=0.0),
        Label((left / n + 3.0, top / n + 3.0), "raised loop of the hose", 2.6),
    ]
    if s.corded:
        bar: Point = (half - 20.0, s.bar_height)
        low = bar[1] - 0.5 * BAR
        shapes += [
            rectangle(bar[0] - 20.0, foot, 40.0, post_length(s), Style.AID),
            circle(bar, BAR),
            Path(((0.0, s.height + 10.0), (bar[0] - 6.0, low), (right, low)), Style.MARK),
            Dimension((bar[0], 0.0), bar, -9.0, f"bar {_sawn(spec, s.bar_height)}"),
        ]
        rows = ((8.0, "cord to the"), (3.5, "operator"))
        names += [Label((bar[0] / n + 12.0, bar[1] / n + up), text, 2.6, anchor=0.0) for up, text in rows]
    stakes = spec.design.launcher.stakes
    if stakes and stakes.count:
        deep = mm(stakes.length, 200.0)
        shapes += [
            line((x, foot + 12.0), (x, foot - min(deep, 0.8 * s.height)), Style.CUT) for x in (15.0 - half, half - 15.0)
        ]
    return (*_drawn(spec, shapes, n), *names)


def _sawn(spec: Specification, length: float) -> str:
    return on_drawing(spec.sawn(length))


def _drilled(spec: Specification, diameter: float) -> str:
    return f"Ø {on_drawing(spec.drill(diameter))}"


def _drawn(spec: Specification, shapes: list[Shape], n: float) -> tuple[Shape, ...]:
    """Return the shapes drawn 1 : n, with lengths that a rule shows."""
    return scaled(dimensioned(shapes, lambda length: _sawn(spec, length)), 1.0 / n)


def _rounded(points: list[Point]) -> list[Point]:
    """Return a soft line near the points, its ends on the first and the last (Chaikin, 1974: corners cut)."""
    for _ in range(3):
        cut = [
            (a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1]))
            for a, b in pairwise(points)
            for part in (0.25, 0.75)
        ]
        points = [points[0], *cut, points[-1]]
    return points


def _held(words: str) -> str:
    """Return words in which no number parts from its unit."""
    return re.sub(r"(?<=\d) (?=[a-z])", "\u00a0", words)


LINE_TEXT = 2.5
"""Letters of the line from pump to rocket, mm."""


def hose_line(spec: Specification, width: float) -> tuple[Shape, ...]:
    """Return the line from pump to rocket as a row of named boxes with their ratings; not to scale, on paper."""
    gear, habit = spec.design.launcher, spec.habit

    def rated(part: object) -> str:
        rating = getattr(part, "rating", None)
        return f"to {habit.pressure(rating.value)}" if rating else "rating ____"

    gauge = f"0 to {habit.pressure(gear.gauge.range.value)}" if gear.gauge and gear.gauge.range else "range ____"
    long = f"{habit.distance(gear.hose.length.value)} " if gear.hose and gear.hose.length else ""
    boxes = [
        ("pump", rated(gear.pump)),
        ("valve", rated(gear.valve)),
        ("gauge", gauge),
        ("bleed valve", "opens by hand"),
        ("clamp", rated(gear.clamp)),
        ("hose, loop", f"{long}{rated(gear.hose)}"),
        ("clamp", rated(gear.clamp)),
        ("connector", rated(gear.coupling)),
        ("rocket", ""),
    ]
    step = width / len(boxes)
    shapes: list[Shape] = []
    for k, (name, words) in enumerate(boxes):
        x, middle = k * step, (k + 0.5) * step - 1.5
        shapes.append(rectangle(x, 0.0, step - 3.0, 11.0))
        rows = wrapped(name, step - 4.0, LINE_TEXT)
        shapes += [
            Label((middle, 5.5 + 1.7 * (len(rows) - 1 - 2 * row)), text, LINE_TEXT, bold=True)
            for row, text in enumerate(rows)
        ]
        shapes += [
            Label((middle, -3.0 - 3.6 * row), text, LINE_TEXT)
            for row, text in enumerate(wrapped(_held(words), step - 2.0, LINE_TEXT))
        ]
        if k:
            shapes.append(line((x - 3.0, 5.5), (x, 5.5)))
    return tuple(shapes)
