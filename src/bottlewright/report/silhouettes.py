"""Rockets from the side at one scale, one under the other: to tell designs apart and to compare them."""

from collections.abc import Sequence

import numpy as np

from bottlewright.figures.sheet import MM, Sheet, Words, path
from bottlewright.report.drawing import RocketView, fin_angles

__all__ = ["silhouettes"]

_NAME, _EDGE = 8.0, 3.0


def silhouettes(rockets: Sequence[tuple[str, RocketView]], sheet_mm: float, longest: float, bar: bool = True) -> Sheet:
    """Draw rockets under each other, noses to the left in one line.

    Parameters
    ----------
    rockets
        A name to stand over each, none where it is empty, and what it looks like.
    longest
        m that the width of the sheet is; the same for all sheets that are to have one scale.
    bar
        Whether a bar with its length stands at the foot.
    """
    scale = (sheet_mm - 2.0 * _EDGE) * MM / max(longest, 1e-3)  # points a metre
    tall = [_reach(view) * scale for _, view in rockets]
    heads = [1.6 * _NAME if name else 0.0 for name, _ in rockets]
    foot = 22.0 if bar else 2.0
    high = sum(up + down + head + 10.0 for (up, down), head in zip(tall, heads, strict=True)) + foot
    sheet = Sheet(sheet_mm, high / MM)
    top = 4.0
    for (name, view), (up, down), head in zip(rockets, tall, heads, strict=True):
        if name:
            sheet.write(Words(name, _EDGE * MM, top + _NAME, _NAME, bold=True))
        _draw(sheet, view, scale, top + head + up)
        top += head + up + down + 10.0
    if bar:
        _bar(sheet, scale, longest, top + 4.0, any(view.inches for _, view in rockets))
    return sheet


def _reach(view: RocketView) -> np.ndarray:
    """Return how far a rocket reaches over and under its axis, m."""
    body = float(view.radius.max())
    if view.fin_outline is None or view.fin_count < 1:
        return np.array([body, body])
    out = float(view.fin_outline[:, 1].max()) * np.sin(fin_angles(view.fin_count))
    return np.array([max(body, out.max()), max(body, -out.min())])


def _draw(sheet: Sheet, view: RocketView, scale: float, axis: float) -> None:
    left = _EDGE * MM

    def at(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.column_stack([left + x * scale, axis - y * scale])

    x, r = view.station, view.radius
    if view.fin_outline is not None:
        for angle in fin_angles(view.fin_count):
            corners = at(view.fin_outline[:, 0], view.fin_outline[:, 1] * np.sin(angle))
            sheet.shape(path(corners, closed=True), "ink", "wash", 0.9)
    outline = at(np.concatenate([x, x[::-1]]), np.concatenate([r, -r[::-1]]))
    sheet.shape(path(outline, closed=True), "ink", "paper", 1.2, part="body")


def _bar(sheet: Sheet, scale: float, longest: float, top: float, inches: bool) -> None:
    step, words = (0.3048, "1 ft") if inches else (0.1, "100 mm") if longest < 1.5 else (0.5, "500 mm")
    left, right = _EDGE * MM, _EDGE * MM + step * scale
    ends = "".join(path([(at, top - 3.0), (at, top + 3.0)]) for at in (left, right))
    sheet.shape(path([(left, top), (right, top)]) + ends, "ink", thick=0.9)
    sheet.write(Words(words, right + 4.0, top + 2.8, _NAME, "soft"))
