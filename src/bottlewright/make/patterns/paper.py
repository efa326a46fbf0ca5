"""Sheets at true size as data for the typesetter: lines, curves and text in mm from the sheet's upper left corner."""

import math
from collections.abc import Iterable, Sequence
from typing import Any

from bottlewright.make.drawing import Arc, Label, Path, Pattern, Point, Shape, simple
from bottlewright.make.patterns.nesting import HEAD, HEAD_TEXT, Paper, Placed, nest, pieces_of

__all__ = ["pattern_sheets", "placed_items"]

Items = list[dict[str, Any]]


def pattern_sheets(patterns: Iterable[Pattern], paper: Paper, inches: bool = False) -> list[dict[str, Any]]:
    """Return one entry a sheet: its drawing, the names of the parts on it, and whether any comes in tiles.

    The bars to measure show `inches` besides millimetres where the builder's rule does.
    """
    pieces = [piece for pattern in patterns if pattern.printed for piece in pieces_of(pattern, paper.window)]
    return [
        {
            "items": [*_placed(sheet, paper), *_check_bars(paper, inches)],
            "parts": sorted({p.piece.name for p in sheet}),
            "tiles": any(p.piece.clipped for p in sheet),
        }
        for sheet in nest(pieces, paper.window)
    ]


def _placed(sheet: Sequence[Placed], paper: Paper) -> Items:
    items: Items = []
    for placed in sheet:
        left, bottom, right, top = placed.piece.box
        width, height = right - left, top - bottom
        x, y = paper.left + placed.x, paper.top + placed.y
        if placed.piece.head:
            head = Label((x, -y - 0.4 * HEAD), placed.piece.head, HEAD_TEXT, anchor=0.0, bold=True)
            items += placed_items([head], 0.0, 0.0)
            y += HEAD
            inner = placed_items(placed.piece.shapes, -left, top)
            items.append({"k": "clip", "x": _r(x), "y": _r(y), "w": _r(width), "h": _r(height), "items": inner})
        else:
            items += placed_items(placed.piece.shapes, x - left, y + top)
    return items


def _r(value: float) -> float:
    return round(value, 5)


def placed_items(shapes: Iterable[Shape], dx: float, dy: float) -> Items:
    """Return shapes with y turned down and moved by mm."""

    def to(point: Point) -> list[float]:
        return [_r(point[0] + dx), _r(dy - point[1])]

    items: Items = []
    for shape in simple(shapes):
        if isinstance(shape, Path):
            items.append({"k": "path", "s": shape.style.value, "c": shape.closed, "p": [to(p) for p in shape.points]})
        elif isinstance(shape, Arc):
            items.append({"k": "curve", "s": shape.style.value, "p": [to(p) for p in _cubics(shape)]})
        else:
            x, y = to(shape.at)
            items.append(
                {
                    "k": "text",
                    "x": x,
                    "y": y,
                    "t": shape.text,
                    "h": shape.height,
                    "b": shape.bold,
                    "w": shape.plate,
                    "a": _r(-math.degrees(shape.angle)),
                    "f": shape.anchor,
                }
            )
    return items


def _cubics(arc: Arc) -> list[Point]:
    """Return a start point, then three points for each cubic curve of 45° at most, off by 4e-6 of the radius."""
    sweep = arc.end - arc.start
    count = max(1, math.ceil(abs(sweep) / (0.25 * math.pi) - 1e-9))
    part = sweep / count
    reach = 4.0 / 3.0 * math.tan(0.25 * part) * arc.radius
    (cx, cy), r = arc.centre, arc.radius
    points = [(cx + r * math.cos(arc.start), cy + r * math.sin(arc.start))]
    for k in range(count):
        a, b = arc.start + k * part, arc.start + (k + 1) * part
        x0, y0, x1, y1 = cx + r * math.cos(a), cy + r * math.sin(a), cx + r * math.cos(b), cy + r * math.sin(b)
        points += [
            (x0 - reach * math.sin(a), y0 + reach * math.cos(a)),
            (x1 + reach * math.sin(b), y1 - reach * math.cos(b)),
            (x1, y1),
        ]
    return points


_INCH = 25.4


def _check_bars(paper: Paper, inches: bool) -> Items:
    """Return a bar of 100 mm along the foot and one up the side, a tick each 10 mm; with 4 in, a tick each quarter."""
    items: Items = []

    def stroke(a: tuple[float, float], b: tuple[float, float]) -> None:
        items.append({"k": "path", "s": "cut", "c": False, "p": [list(a), list(b)]})

    y, x, long = paper.height - 17.0, 11.0, 100.0
    if inches:  # its ticks stand on both sides, so the words lie further in
        x, long = 9.5, 4.0 * _INCH
    stroke((paper.left, y), (paper.left + long, y))
    stroke((x, paper.top), (x, paper.top + long))
    ticks = [(10.0 * k, -3.0 if k in (0, 10) else -1.6) for k in range(11)]
    if inches:
        ticks += [(0.25 * _INCH * k, 3.0 if k % 4 == 0 else 1.6) for k in range(17)]
    for at, tall in ticks:
        stroke((paper.left + at, y), (paper.left + at, y + tall))
        stroke((x, paper.top + at), (x + tall, paper.top + at))
    aside, words = (5.6, "4 in below, 100 mm above") if inches else (2.6, "100 mm")
    side = words.replace("below", "right").replace("above", "left")
    text = {"k": "text", "h": 2.8, "b": False, "w": False}
    measure = "measure both bars before you cut"
    return [
        *items,
        {**text, "t": f"{words}: {measure}", "x": paper.left + 50.0, "y": y + aside, "a": 0.0, "f": 0.5},
        {**text, "t": f"{side}: {measure}", "x": x + aside + 0.2, "y": paper.top + 50.0, "a": -90.0, "f": 0.5},
    ]
