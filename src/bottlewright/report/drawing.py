"""The rocket to scale, like a workshop drawing: dimensions, plain labels, a rule with what balances where."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import BALANCE, PRESSURE
from bottlewright.figures.letters import ASCENT, width
from bottlewright.figures.marks import arrow, mark
from bottlewright.figures.sheet import MM, Sheet, Words, path

__all__ = ["RocketFrame", "RocketView", "fin_angles", "rocket_drawing", "rocket_frame"]

Floats = NDArray[np.float64]
_SHEET = 170.0  # mm, width of the drawing: fits between the margins of A4
_INCH = 25.4  # mm
_NAME, _RULE = 7.5, 6.5  # points, sizes of letters
_NARROW = _SHEET / 1.5  # mm, under which a sheet is a telephone's


@dataclass(frozen=True)
class RocketView:
    """What the drawing shows; every length in metres, stations from the nose tip, aft positive.

    Parameters
    ----------
    station, radius
        Outer profile of the body.
    parts
        Name, front and back of each part to dimension.
    fin_outline
        Corners of one fin, (station, distance from the axis), root first and last; empty without fins.
    fin_count
        Number of fins.
    hidden
        Inner shape of the vessel, (station, radius), drawn dashed; empty when there is none.
    water_front
        Station of the water's surface when loaded, None when dry.
    marks
        Name, station, kind ("balance" or "pressure") of each tick on the rule under the body.
    inches
        Whether the builder thinks in inches: lengths are then written so, and the rule is one of inches.
    """

    station: Floats
    radius: Floats
    parts: Sequence[tuple[str, float, float]] = ()
    fin_outline: Floats | None = None
    fin_count: int = 0
    hidden: Floats | None = None
    water_front: float | None = None
    marks: Sequence[tuple[str, float, str]] = ()
    inches: bool = False

    def said(self, millimetres: float) -> str:
        """Return a length of the drawing as its labels say it: whole millimetres, or inches to a hundredth."""
        return f"{millimetres / _INCH:.2f}" if self.inches else f"{millimetres:.0f}"


def drawing_scale(length: float, width: float = _SHEET - 38.0) -> float:
    """Return n of the largest usual drawing scale 1 : n at which `length` (m) fits into `width` (mm)."""
    for n in (0.5, 1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 25.0, 50.0, 100.0):
        if length * 1e3 / n <= width:
            return n
    return 200.0


@dataclass(frozen=True)
class RocketFrame:
    """Where the rocket stands on its sheet; all but the sheet's width in mm of the rocket, up and aft positive.

    Parameters
    ----------
    sheet_mm, n
        Width of the sheet, and the scale 1 : n.
    left, top, bottom
        Where the sheet ends, about the nose tip.
    reach, below
        How far the rocket reaches over and under its axis.
    """

    sheet_mm: float
    n: float
    left: float
    top: float
    bottom: float
    reach: float
    below: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return where a place of the rocket, mm, stands on the sheet, points."""
        return (x - self.left) / self.n * MM, (self.top - y) / self.n * MM

    @property
    def point(self) -> float:
        """What a point of the sheet is on the rocket, m."""
        return self.n / MM * 1e-3

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the sheet, points."""
        return self.sheet_mm * MM, (self.top + self.bottom) / self.n * MM


class _Drawing:
    """A sheet on which lengths of the rocket, mm, are drawn in a frame."""

    def __init__(self, frame: RocketFrame) -> None:
        self.n, self.left, self.top, self.at = frame.n, frame.left, frame.top, frame.at
        self.sheet = Sheet(frame.sheet_mm, (frame.top + frame.bottom) / frame.n)

    def line(self, x: Any, y: Any, colour: str, thick: float, dash: Sequence[float] = (), part: str = "") -> None:
        """Draw a line through places of the rocket."""
        rows = np.column_stack([np.asarray(x, float) - self.left, self.top - np.asarray(y, float)]) / self.n * MM
        self.sheet.line(rows, colour, thick, dash, part)

    def area(self, x: Any, y: Any, fill: str, thick: float = 0.0, part: str = "") -> None:
        """Fill an outline, with an edge of ink where it has a thickness."""
        rows = np.column_stack([np.asarray(x, float) - self.left, self.top - np.asarray(y, float)]) / self.n * MM
        self.sheet.shape(path(rows, closed=True), "ink" if thick else "", fill, thick, part=part)

    def words(self, text: str, x: float, y: float, size: float = _NAME, rise: float = 0.36, **look: Any) -> Words:
        """Write words; `rise` is how far their foot lies under the place, in sizes of their letters."""
        right, down = self.at(x, y)
        one = Words(text, right, down + rise * size, size, **look)
        self.sheet.write(one)
        return one


def rocket_drawing(view: RocketView, sheet: float = _SHEET, frame: RocketFrame | None = None) -> Sheet:
    """Draw the rocket from the side, nose to the left, true to scale at the figure's own width of `sheet` mm.

    Parameters
    ----------
    frame
        Where it stands on the sheet, for one that is being changed and shall not jump; as suits it when left out.
    """
    x, r, fin, length, _, _ = _sizes(view)
    frame = frame or rocket_frame(view, sheet)
    n, reach, below = frame.n, frame.reach, frame.below
    view = _dimensioned(view, sheet, n)
    drawing = _Drawing(frame)
    if fin is not None:
        _draw_fins(drawing, fin, view.fin_count, near=False)
    _draw_body(drawing, x, r, view)
    if fin is not None:
        _draw_fins(drawing, fin, view.fin_count, near=True)
    middle = [x.min() - 4 * n, x.max() + 4 * n]
    drawing.line(middle, [0, 0], "soft", 0.6, (12, 3, 2, 3))
    _draw_dimensions(drawing, view, x, r, fin, reach, length)
    _draw_rule(drawing, view, length, -below - 6 * n)
    wide = f"{view.said(sheet)} {'inches' if view.inches else 'mm'}"
    drawing.words(f"Scale 1 : {n:g} at {wide} wide", frame.left + 3 * n, frame.top - 2 * n, 7.0, ASCENT, colour="soft")
    return drawing.sheet


def rocket_frame(view: RocketView, sheet: float = _SHEET) -> RocketFrame:
    """Return where a rocket stands on a sheet so wide, mm, at the largest usual scale."""
    _, _, fin, length, body, ahead = _sizes(view)
    # The dimensions and names at the right need more room than the left.
    least, aside, both = (12.0, 12.0, 38.0) if sheet >= _NARROW else (4.0, 9.0, 26.0)
    n = drawing_scale((length + ahead) * 1e-3, sheet - both)
    reach = body if fin is None else max(body, float(fin[:, 1].max()))
    below = max(_lowest(fin, view.fin_count), body)
    parts = _dimensioned(view, sheet, n).parts
    left = -ahead - max(least * n, (sheet * n - length - ahead) / 2 - aside * n)
    return RocketFrame(sheet, n, left, reach + (4 + 8 * (1 + len(_stacked(parts)))) * n,
                       below + (13 + 6.5 * len(view.marks)) * n, reach, below)  # fmt: skip


def _sizes(view: RocketView) -> tuple[Floats, Floats, Floats | None, float, float, float]:
    """Return profile, fin, length, largest radius and how far a mark lies ahead of the nose, mm."""
    x, r = view.station * 1e3, view.radius * 1e3
    fin = None if view.fin_outline is None or view.fin_count < 1 else view.fin_outline * 1e3
    length = float(max(x.max(), fin[:, 0].max() if fin is not None else 0.0))
    ahead = max(0.0, -min((_on_sheet(station * 1e3, length) for _, station, _ in view.marks), default=0.0))
    return x, r, fin, length, float(r.max()), ahead


def _dimensioned(view: RocketView, sheet: float, n: float) -> RocketView:
    """Return what is dimensioned: on a narrow sheet only what has room for its name."""
    if sheet >= _NARROW:
        return view
    fits = (part for part in view.parts if (part[2] - part[1]) * 1e3 / n * MM > width(f"{part[0]} 000", _NAME))
    return replace(view, parts=list(fits))


def _on_sheet(at: float, length: float) -> float:
    """Return where on the rule a mark stands, mm: one far off the rocket's ends stands half a length off."""
    return min(max(at, -0.5 * length), 1.1 * length)


def fin_angles(count: int) -> Floats:
    """Return where the fins stand round the body, radians from the side that is seen; the first one is on top."""
    return np.pi / 2 + 2 * np.pi * np.arange(count) / count


def _lowest(fin: Floats | None, count: int) -> float:
    return 0.0 if fin is None else float(-(fin[:, 1].max() * np.sin(fin_angles(count))).min())


def _draw_body(drawing: _Drawing, x: Floats, r: Floats, view: RocketView) -> None:
    drawing.area(np.concatenate([x, x[::-1]]), np.concatenate([r, -r[::-1]]), "paper", 1.2, part="body")
    if view.hidden is not None:
        _draw_vessel(drawing, view.hidden * 1e3, view.water_front)
    for _, front_m, back_m in view.parts:
        for edge in (front_m * 1e3, back_m * 1e3):
            if x.min() < edge < x.max():
                half = np.interp(edge, x, r)
                drawing.line([edge, edge], [-half, half], "ink", 0.7)


def _draw_vessel(drawing: _Drawing, hidden: Floats, water_front: float | None) -> None:
    """Draw the vessel's inside dashed, as hidden edges are, and the water in it."""
    x, r = hidden[np.argsort(hidden[:, 0], kind="stable")].T
    if water_front is not None:
        front = water_front * 1e3
        wet = x > front
        half = float(np.interp(front, x, r))
        wx, wr = np.concatenate([[front], x[wet]]), np.concatenate([[half], r[wet]])
        drawing.area(np.concatenate([wx, wx[::-1]]), np.concatenate([wr, -wr[::-1]]), "wash", part="water")
        drawing.line([front, front], [-half, half], "teal", 1.0)
        drawing.words("water", front + 2 * drawing.n, 0.5 * half, colour="teal", halo=True)
    for side in (r, -r):
        drawing.line(x, side, "soft", 0.6, (4, 2))


def _draw_fins(drawing: _Drawing, fin: Floats, count: int, near: bool) -> None:
    """Draw the fins of the near or of the far side of the body as they are seen from the side."""
    for angle in fin_angles(count):
        if (np.cos(angle) > 1e-9) == near:
            drawing.area(fin[:, 0], fin[:, 1] * np.sin(angle), "paper", 1.0, part="fin")


def _stacked(parts: Sequence[tuple[str, float, float]]) -> list[list[tuple[str, float, float]]]:
    """Return the parts in rows, so that those which overlap lie in different ones."""
    rows: list[list[tuple[str, float, float]]] = []
    for part in sorted(parts, key=lambda one: (one[1], one[2])):
        row = next((row for row in rows if part[1] >= row[-1][2] - 1e-4), None)
        if row is None:
            rows.append([part])
        else:
            row.append(part)
    return rows


def _draw_dimensions(
    drawing: _Drawing, view: RocketView, x: Floats, r: Floats, fin: Floats | None, reach: float, length: float
) -> None:
    n, rows = drawing.n, _stacked(view.parts)
    for number, row in enumerate(rows):
        level = reach + (4 + 8 * number) * n
        for name, front, back in row:
            starts = (float(np.interp(front * 1e3, x, r)),) * 2
            label = f"{name} {view.said((back - front) * 1e3)}"
            _dimension(drawing, front * 1e3, back * 1e3, level, label, starts, last=back == row[-1][2])
    end = float(fin[int(np.argmax(fin[:, 0])), 1]) if fin is not None and length > x.max() else float(r[-1])
    level = reach + (4 + 8 * len(rows)) * n
    _dimension(drawing, 0.0, length, level, f"overall {view.said(length)}", (0.0, end))
    widest = float(x[int(np.argmax(r))])
    wide = f"Ø{view.said(2.0 * float(r.max()))}"
    _height_dimension(drawing, length + 8 * n, -float(r.max()), float(r.max()), wide, widest)
    if fin is not None:
        tip, root, top = float(fin[int(np.argmax(fin[:, 1])), 0]), float(fin[0, 1]), float(fin[:, 1].max())
        _height_dimension(drawing, length + 16 * n, root, top, f"fin {view.said(top - root)}", tip)


def _dimension(
    drawing: _Drawing, front: float, back: float, level: float, label: str, starts: tuple[float, float],
    last: bool = True,
) -> None:
    """Draw one level dimension line with its witness lines.

    A label too long for its span stands behind it, or ends with it where another dimension follows in the row.
    """
    n = drawing.n
    for edge, start in zip((front, back), starts, strict=True):
        drawing.line([edge, edge], [start + 1.5 * n, level + 1.5 * n], "soft", 0.35)
    arrow(drawing.sheet, drawing.at(front, level), drawing.at(back, level), thick=0.6, both=True, head=(4.0, 1.2))
    tight = (back - front) / n * MM < width(label, _NAME) + 3.0
    if tight and last:
        drawing.words(label, back + 1.5 * n, level, halo=True)
    else:
        at, anchor = (back, "end") if tight else ((front + back) / 2, "middle")
        drawing.words(label, at, level + 0.8 * n, rise=-0.12, anchor=anchor, halo=True)


def _height_dimension(drawing: _Drawing, at: float, low: float, high: float, label: str, start: float) -> None:
    n = drawing.n
    for edge in (low, high):
        drawing.line([start, at + 1.5 * n], [edge, edge], "soft", 0.35)
    arrow(drawing.sheet, drawing.at(at, low), drawing.at(at, high), thick=0.6, both=True, head=(4.0, 1.2))
    x, y = drawing.at(at + 1.2 * n, (low + high) / 2)
    drawing.sheet.write(Words(label, x + ASCENT * _NAME, y, _NAME, anchor="middle", turned=True, halo=True))


def _draw_rule(drawing: _Drawing, view: RocketView, length: float, level: float) -> None:
    """Draw a rule from the nose tip, in mm or inches, and hang each labelled tick from it on its own row."""
    n = drawing.n
    drawing.line([0, length], [level, level], "ink", 0.8)
    unit, tick = (_INCH, 0.5) if view.inches else (1.0, 10.0 if length > 250 else 5.0)
    tens = [number * tick for number in range(0, int(length / (tick * unit) + 1e-6) + 1, 10)]
    room = 10.0 * tick * unit / n * MM
    every = next(step for step in (1, 2, 5, 10, 1000) if step * room > width(f"{tens[-1]:.0f}", _RULE) + 4.0)
    number = np.arange(int(length / (tick * unit) + 1e-6) + 1)
    tall = np.where(number % 10 == 0, 1.8, np.where(number % 5 == 0, 1.1, 0.7)) * n
    at = np.repeat(number * tick * unit, 3)  # each from the rule upwards, and a gap before the next
    drawing.line(at, np.column_stack([np.full(len(number), level), level + tall, np.full(len(number), np.nan)]).ravel(),
                 "ink", 0.5)  # fmt: skip
    for one in number[:: 10 * every]:
        drawing.words(f"{one * tick:.0f}", one * tick * unit, level - 0.8 * n, _RULE, ASCENT, colour="soft",
                      anchor="middle")  # fmt: skip
    for row, said in enumerate((f"{'inches' if view.inches else 'mm'} from", "the nose tip")):
        drawing.words(said, length + 2.5 * n, level, _RULE, -0.27 + 1.25 * row, colour="soft")
    for row, (name, station, kind) in enumerate(sorted(view.marks, key=lambda mark: -mark[1])):
        hang = level - (8 + 6.5 * row) * n  # the foremost lowest: no name crossed
        _draw_mark(drawing, view, length, level, hang, (name, station * 1e3, kind))


def _draw_mark(
    drawing: _Drawing, view: RocketView, length: float, level: float, hang: float, one: tuple[str, float, str]
) -> None:
    """Draw a balance point or pressure centre over the rule, and its name at the end of a line down from it."""
    (name, station, kind), n = one, drawing.n
    at, colour = _on_sheet(station, length), PRESSURE if kind == "pressure" else BALANCE
    shape = "<" if at > station else ">" if at < station else "D" if kind == "pressure" else "^"
    drawing.line([at, at], [level + 3.5 * n, hang], colour, 0.9)
    fill = "sheet" if "loaded" in name else colour
    mark(drawing.sheet, shape, *drawing.at(at, level + 3.5 * n), 4.5, colour, fill, part=name)
    said = f"{name}  {view.said(station)}" + (", further off than drawn" if shape in "<>" else "")
    side, way = ("start", 1) if at <= length else ("end", -1)
    long = width(said, _NAME)
    room = drawing.sheet.width - drawing.at(at, 0.0)[0] if way > 0 else drawing.at(at, 0.0)[0]
    if long + 1.5 * MM + 2.0 > room:  # beside its line on the other side
        side, way = ("end", -1) if way > 0 else ("start", 1)
    drawing.words(said, at + way * 1.5 * n, hang, colour=colour, anchor=side, halo=True)
