"""The rocket to scale, like a workshop drawing: dimensions, plain labels, a rule with what balances where."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.report.style import BALANCE, LIGHT, MM, PRESSURE, paper_style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["RocketView", "rocket_drawing"]

Floats = NDArray[np.float64]
_SHEET = 170.0  # mm, width of the drawing: fits between the margins of A4
_INCH = 25.4  # mm
_INK: Any = {"color": LIGHT["ink"], "solid_capstyle": "butt"}


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


def rocket_drawing(view: RocketView, sheet: float = _SHEET) -> "Figure":
    """Draw the rocket from the side, nose to the left, true to scale at the figure's own width of `sheet` mm."""
    from matplotlib.figure import Figure

    x, r = view.station * 1e3, view.radius * 1e3
    fin = None if view.fin_outline is None or view.fin_count < 1 else view.fin_outline * 1e3
    length, body = float(max(x.max(), fin[:, 0].max() if fin is not None else 0.0)), float(r.max())
    ahead = max(0.0, -min((_on_sheet(station * 1e3, length) for _, station, _ in view.marks), default=0.0))
    n = drawing_scale((length + ahead) * 1e-3, sheet - 38.0)
    if sheet < _SHEET / 1.5:  # on a narrow sheet only what has room for its name is dimensioned
        fits = (part for part in view.parts if (part[2] - part[1]) * 1e3 / n > 1.5 * len(f"{part[0]} 000"))
        view = replace(view, parts=list(fits))
    reach = body if fin is None else max(body, float(fin[:, 1].max()))
    below = max(_lowest(fin, view.fin_count), body)
    rows_above = 1 + len(_stacked(view.parts))
    top, bottom = reach + (4 + 8 * rows_above) * n, below + (13 + 6.5 * len(view.marks)) * n
    # The dimensions and names at the right need more room than the left.
    left = -ahead - max(12.0 * n, (sheet * n - length - ahead) / 2 - 12 * n)
    with paper_style():
        figure = Figure(figsize=(sheet * MM, (top + bottom) / n * MM))
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_axis_off()
        axes.set_xlim(left, left + sheet * n)
        axes.set_ylim(-bottom, top)
        _draw_body(axes, x, r, view, n)
        if fin is not None:
            _draw_fins(axes, fin, view.fin_count)
        _draw_dimensions(axes, view, x, r, fin, reach, length, n)
        _draw_rule(axes, view, length, -below - 6 * n, n)
        axes.text(
            left + 3 * n,
            top - 2 * n,
            f"Scale 1 : {n:g} at {view.said(sheet)} {'inches' if view.inches else 'mm'} wide",
            va="top",
            fontsize=7,
            color=LIGHT["soft"],
        )
    return figure


def _on_sheet(at: float, length: float) -> float:
    """Return where on the rule a mark stands, mm: one far off the rocket's ends stands half a length off."""
    return min(max(at, -0.5 * length), 1.1 * length)


def _angles(count: int) -> Floats:
    return np.pi / 2 + 2 * np.pi * np.arange(count) / count


def _lowest(fin: Floats | None, count: int) -> float:
    return 0.0 if fin is None else float(-(fin[:, 1].max() * np.sin(_angles(count))).min())


def _draw_body(axes: "Axes", x: Floats, r: Floats, view: RocketView, n: float) -> None:
    outline = np.concatenate([r, -r[::-1]])
    axes.fill(np.concatenate([x, x[::-1]]), outline, facecolor=LIGHT["paper"], edgecolor=LIGHT["ink"], lw=1.2, zorder=2)
    if view.hidden is not None:
        _draw_vessel(axes, view.hidden * 1e3, view.water_front, n)
    for _, front_m, back_m in view.parts:
        for edge in (front_m * 1e3, back_m * 1e3):
            if x.min() < edge < x.max():
                half = np.interp(edge, x, r)
                axes.plot([edge, edge], [-half, half], lw=0.7, zorder=2.5, **_INK)
    axes.plot([x.min() - 4 * n, x.max() + 4 * n], [0, 0], color=LIGHT["soft"], lw=0.6, ls=(0, (12, 3, 2, 3)), zorder=4)


def _draw_vessel(axes: "Axes", hidden: Floats, water_front: float | None, n: float) -> None:
    """Draw the vessel's inside dashed, as hidden edges are, and the water in it."""
    x, r = hidden[np.argsort(hidden[:, 0], kind="stable")].T
    for side in (r, -r):
        axes.plot(x, side, color=LIGHT["soft"], lw=0.6, ls=(0, (4, 2)), zorder=2.3)
    if water_front is None:
        return
    front = water_front * 1e3
    wet = x > front
    half = float(np.interp(front, x, r))
    wx, wr = np.concatenate([[front], x[wet]]), np.concatenate([[half], r[wet]])
    axes.fill_between(wx, -wr, wr, facecolor=LIGHT["wash"], lw=0, zorder=2.1)
    axes.plot([front, front], [-half, half], color=LIGHT["teal"], lw=1.0, zorder=2.4)
    plate = {"fc": LIGHT["wash"], "ec": "none", "pad": 0.6}  # the edge of a part may run through the word
    axes.text(front + 2 * n, 0.5 * half, "water", color=LIGHT["teal"], fontsize=7.5, va="center", zorder=5, bbox=plate)


def _draw_fins(axes: "Axes", fin: Floats, count: int) -> None:
    """Draw every fin as it is seen from the side; those on the far side of the body lie behind it."""
    for angle in _angles(count):
        near = np.cos(angle) > 1e-9
        axes.fill(
            fin[:, 0],
            fin[:, 1] * np.sin(angle),
            facecolor=LIGHT["paper"],
            edgecolor=LIGHT["ink"],
            lw=1.0,
            zorder=3 if near else 1.5,
        )


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
    axes: "Axes", view: RocketView, x: Floats, r: Floats, fin: Floats | None, reach: float, length: float, n: float
) -> None:
    rows = _stacked(view.parts)
    for number, row in enumerate(rows):
        level = reach + (4 + 8 * number) * n
        for name, front, back in row:
            starts = (float(np.interp(front * 1e3, x, r)),) * 2
            label = f"{name} {view.said((back - front) * 1e3)}"
            _dimension(axes, front * 1e3, back * 1e3, level, label, n, starts, last=back == row[-1][2])
    end = float(fin[int(np.argmax(fin[:, 0])), 1]) if fin is not None and length > x.max() else float(r[-1])
    _dimension(axes, 0.0, length, reach + (4 + 8 * len(rows)) * n, f"overall {view.said(length)}", n, (0.0, end))
    widest = float(x[int(np.argmax(r))])
    wide = f"Ø{view.said(2.0 * float(r.max()))}"
    _height_dimension(axes, length + 8 * n, -float(r.max()), float(r.max()), wide, widest, n)
    if fin is not None:
        tip = float(fin[int(np.argmax(fin[:, 1])), 0])
        root = float(fin[0, 1])
        top = float(fin[:, 1].max())
        _height_dimension(axes, length + 16 * n, root, top, f"fin {view.said(top - root)}", tip, n)


def _dimension(
    axes: "Axes", front: float, back: float, level: float, label: str, n: float, starts: tuple[float, float],
    last: bool = True,
) -> None:
    """Draw one level dimension line with its witness lines.

    A label too long for its span stands behind it, or ends with it where another dimension follows in the row.
    """
    for edge, start in zip((front, back), starts, strict=True):
        axes.plot([edge, edge], [start + 1.5 * n, level + 1.5 * n], lw=0.35, zorder=1, color=LIGHT["soft"])
    _arrow(axes, (front, level), (back, level))
    tight = (back - front) / n < 1.6 * len(label)
    behind = tight and last
    axes.text(
        back + 1.5 * n if behind else back if tight else (front + back) / 2,
        level if behind else level + 0.8 * n,
        label,
        ha="left" if behind else "right" if tight else "center",
        va="center" if behind else "bottom",
        fontsize=7.5,
        bbox={"fc": LIGHT["sheet"], "ec": "none", "pad": 0.6},
    )


def _height_dimension(axes: "Axes", at: float, low: float, high: float, label: str, start: float, n: float) -> None:
    for edge in (low, high):
        axes.plot([start, at + 1.5 * n], [edge, edge], lw=0.35, zorder=1, color=LIGHT["soft"])
    _arrow(axes, (at, low), (at, high))
    axes.text(at + 1.2 * n, (low + high) / 2, label, rotation=90, ha="left", va="center", fontsize=7.5)


def _arrow(axes: "Axes", start: tuple[float, float], end: tuple[float, float]) -> None:
    axes.annotate(
        "",
        end,
        start,
        arrowprops={
            "arrowstyle": "<|-|>,head_length=0.35,head_width=0.12",
            "lw": 0.6,
            "color": LIGHT["ink"],
            "shrinkA": 0,
            "shrinkB": 0,
        },
    )


def _draw_rule(axes: "Axes", view: RocketView, length: float, level: float, n: float) -> None:
    """Draw a rule from the nose tip, in mm or inches, and hang each labelled tick from it on its own row."""
    axes.plot([0, length], [level, level], lw=0.8, **_INK)
    unit, tick = (_INCH, 0.5) if view.inches else (1.0, 10.0 if length > 250 else 5.0)
    for number in range(int(length / (tick * unit) + 1e-6) + 1):
        at = number * tick * unit
        tall = 1.8 if number % 10 == 0 else 1.1 if number % 5 == 0 else 0.7
        axes.plot([at, at], [level, level + tall * n], lw=0.5, **_INK)
        if number % 10 == 0:
            said = f"{number * tick:.0f}"
            axes.text(at, level - 0.8 * n, said, ha="center", va="top", fontsize=6.5, color=LIGHT["soft"])
    what = "inches" if view.inches else "mm"
    axes.text(length + 2.5 * n, level, f"{what} from\nthe nose tip", fontsize=6.5, color=LIGHT["soft"], va="center")
    for row, (name, station, kind) in enumerate(sorted(view.marks, key=lambda mark: -mark[1])):
        at, hang = _on_sheet(station * 1e3, length), level - (8 + 6.5 * row) * n  # the foremost lowest: no name crossed
        colour = LIGHT[PRESSURE if kind == "pressure" else BALANCE]
        shape = "<" if at > station * 1e3 else ">" if at < station * 1e3 else "D" if kind == "pressure" else "^"
        axes.plot([at, at], [level + 3.5 * n, hang], color=colour, lw=0.9)
        fill = LIGHT["sheet"] if "loaded" in name else colour
        axes.plot(at, level + 3.5 * n, shape, color=colour, ms=4.5, mfc=fill, zorder=6)
        said = f"{name}  {view.said(station * 1e3)}" + (", further off than drawn" if shape in "<>" else "")
        side, way = ("left", 1) if at <= length else ("right", -1)
        axes.text(at + way * 1.5 * n, hang, said, color=colour, fontsize=7.5, va="center", ha=side)
