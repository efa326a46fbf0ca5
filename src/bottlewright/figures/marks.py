"""Marks on a figure: shapes that differ without their colour."""

import math
from typing import Any

import numpy as np

from bottlewright.figures.sheet import Sheet, number, path

__all__ = ["arrow", "dots", "mark"]

_STAR = [(math.sin(k * math.pi / 5) * r, -math.cos(k * math.pi / 5) * r) for k, r in enumerate((1.0, 0.42) * 5)]
_CORNERS: dict[str, list[tuple[float, float]]] = {
    "s": [(-1, -1), (1, -1), (1, 1), (-1, 1)],
    "^": [(0, -1), (1, 1), (-1, 1)],
    "v": [(0, 1), (-1, -1), (1, -1)],
    "<": [(-1, 0), (1, -1), (1, 1)],
    ">": [(1, 0), (-1, 1), (-1, -1)],
    "D": [(0, -1.3), (1.3, 0), (0, 1.3), (-1.3, 0)],
    "P": [(-0.4, -1), (0.4, -1), (0.4, -0.4), (1, -0.4), (1, 0.4), (0.4, 0.4), (0.4, 1), (-0.4, 1), (-0.4, 0.4),
          (-1, 0.4), (-1, -0.4), (-0.4, -0.4)],
    "*": _STAR,
}  # fmt: skip
"""By the letter of the shape, its corners about its middle, half a size from it."""


def _outline(shape: str, x: float, y: float, size: float) -> str:
    half = 0.5 * size
    if shape == "o":
        r = number(half)
        return f"M{number(x - half)} {number(y)}a{r} {r} 0 1 0 {number(size)} 0a{r} {r} 0 1 0 {number(-size)} 0z"
    if shape == "x":
        return (f"M{number(x - half)} {number(y - half)}l{number(size)} {number(size)}m0 {number(-size)}"
                f"l{number(-size)} {number(size)}")
    return path([(x + half * dx, y + half * dy) for dx, dy in _CORNERS[shape]], closed=True)


def mark(
    sheet: Sheet, shape: str, x: float, y: float, size: float, colour: str, fill: str = "", edge: str = "",
    part: str = "",
) -> None:
    """Draw one mark: o circle, x cross, s square, ^ v < > triangles, D diamond, P plus, * star."""
    cross = shape == "x"
    sheet.shape(_outline(shape, x, y, size), edge or colour, "" if cross else fill or colour,
                thick=1.6 if cross else 1.0, part=part)  # fmt: skip


def dots(sheet: Sheet, shape: str, points: Any, size: float, colour: str, opacity: float, part: str = "") -> None:
    """Draw thousands of marks as four paths: short, and where marks lie over one another it is darker."""
    rows = np.asarray(points, float).round(1)
    for turn in range(4):
        spots = rows[turn::4].tolist()
        if shape == "o":
            d = "".join(f"M{x:g} {y:g}h0" for x, y in spots)
            sheet.shape(d, colour, thick=size, opacity=opacity, part=part, cap="round")
        elif shape == "x":
            d = "".join(_outline("x", x, y, size) for x, y in spots)
            sheet.shape(d, colour, thick=0.7, opacity=opacity, part=part)
        else:
            sheet.shape("".join(_outline(shape, x, y, size) for x, y in spots), "", colour, opacity=opacity, part=part)


def arrow(
    sheet: Sheet, start: tuple[float, float], end: tuple[float, float], colour: str = "ink", thick: float = 1.0,
    both: bool = False, head: tuple[float, float] = (6.0, 2.2),
) -> None:
    """Draw an arrow from one place to another; `head` is its length and half its width."""
    long = math.dist(start, end)
    if long < 1e-6:
        return
    ux, uy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    reach = min(head[0], 0.5 * long)

    def tip(x: float, y: float, way: float) -> str:
        back = (x - way * reach * ux, y - way * reach * uy)
        side = (-uy * head[1], ux * head[1])
        return path([(x, y), (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])], True)

    sheet.shape(path([start, end]), colour, thick=thick)
    sheet.shape(tip(*end, 1.0) + (tip(*start, -1.0) if both else ""), "", colour)
