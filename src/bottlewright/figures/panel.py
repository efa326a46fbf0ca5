"""A chart on a sheet: two scales with round ticks, and what is drawn between them."""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import DASHES
from bottlewright.figures.letters import Box, width
from bottlewright.figures.marks import mark
from bottlewright.figures.sheet import Sheet, Words, path
from bottlewright.figures.ticks import tick_words, ticks

__all__ = ["LETTER", "SMALL", "Axis", "Panel", "left_room", "reach"]

Floats = NDArray[np.float64]
LETTER, SMALL, HEAD = 8.0, 7.5, 9.0
"""Sizes of ordinary letters, of notes, and of titles, points."""

_TICK, _GAP = 3.0, 3.0


def reach(*values: Any, least: float = 0.0) -> tuple[float, float]:
    """Return the least and the greatest of all that is finite, at least so far apart that a scale can be drawn."""
    every = np.concatenate([np.ravel(np.asarray(one, float)) for one in values])
    every = every[np.isfinite(every)]
    low, high = (float(every.min()), float(every.max())) if every.size else (0.0, 1.0)
    need = max(least, 1e-9 * max(abs(low), abs(high)), 1e-12)
    if high - low < need:
        low, high = 0.5 * (low + high) - 0.5 * need, 0.5 * (low + high) + 0.5 * need
    return low, high


class Axis(NamedTuple):
    """What is laid along one side of a chart.

    Parameters
    ----------
    low, high
        In the unit of the data.
    label
        What it is, with its unit.
    unit
        Of the ticks, in units of the data: 0.0689 for psi where the data are in bar.
    named
        Places and words of the ticks where they are no round numbers.
    log
        Whether equal steps are equal factors.
    most
        Steps between ticks, at most; by the room when 0.
    bend
        A place where the scale changes, and its share of the axis; what lies outside the axis then falls on its ends.
    """

    low: float
    high: float
    label: str = ""
    unit: float = 1.0
    named: Sequence[tuple[float, str]] | None = None
    log: bool = False
    most: int = 0
    bend: tuple[float, float] | None = None

    def ticks(self, long: float, step: float) -> list[tuple[float, str]]:
        """Return places and words of the ticks along so many points, each needing `step` of them."""
        if self.named is not None:
            return [one for one in self.named if self.low <= one[0] <= self.high]
        most = self.most or min(max(int(long / step), 4), 9)
        found = ticks(self.low / self.unit, self.high / self.unit, most)
        places = [min(max(place * self.unit, self.low), self.high) for place in found]
        return list(zip(places, tick_words(found), strict=True))

    def share(self, values: Any) -> Floats:
        """Return where values lie along the axis, 0 at its low end and 1 at its high one."""
        if self.bend:
            place, share = self.bend
            return np.asarray(np.interp(values, (self.low, place, self.high), (0.0, share, 1.0)), float)
        if self.log:
            return np.asarray(np.log(np.asarray(values, float) / self.low) / math.log(self.high / self.low), float)
        return np.asarray((np.asarray(values, float) - self.low) / (self.high - self.low), float)


def left_room(axis: Axis, tall: float) -> float:
    """Return the room, points, that the ticks and the label at the left of a chart need."""
    labels = max((width(words, LETTER) for _, words in axis.ticks(tall, 21.0)), default=0.0)
    return labels + _TICK + _GAP + (1.6 * LETTER if axis.label else 0.0)


class Panel:
    """A chart in a box of a sheet, points.

    Parameters
    ----------
    box
        What the scales enclose; ticks and labels stand outside.
    """

    def __init__(self, sheet: Sheet, box: Box, x: Axis, y: Axis) -> None:
        self.sheet, self.box, self.x, self.y = sheet, box, x, y

    # --- places --------------------------------------------------------------------------------------------------

    def at_x(self, values: Any) -> Floats:
        """Return points from the left edge of the sheet."""
        return self.box.left + self.x.share(values) * (self.box.right - self.box.left)

    def at_y(self, values: Any) -> Floats:
        """Return points from the upper edge of the sheet."""
        return self.box.bottom - self.y.share(values) * (self.box.bottom - self.box.top)

    def at(self, x: Any, y: Any) -> Floats:
        """Return rows of places on the sheet."""
        return np.column_stack([np.atleast_1d(self.at_x(x)), np.atleast_1d(self.at_y(y))])

    # --- scales --------------------------------------------------------------------------------------------------

    def scales(self, x: bool = True, y: bool = True, x_words: bool = True, y_grid: bool = True,
               frame: bool = False) -> None:
        """Draw the grid, the two scales with their ticks, and their labels; `x_words` leaves the words below out."""
        left, top, right, bottom = self.box
        across = self.x.ticks(right - left, 34.0) if x else []
        up = self.y.ticks(bottom - top, 21.0) if y else []
        xs, ys = ([float(at(place)) for place, _ in found] for at, found in ((self.at_x, across), (self.at_y, up)))
        grid = "".join(path([(at, top), (at, bottom)]) for at in xs)
        grid += "".join(path([(left, at), (right, at)]) for at in ys) if y_grid else ""
        self.sheet.shape(grid, "rules", thick=0.5)
        edge = path([(left, top), (left, bottom), (right, bottom)] + [(right, top)] * frame, closed=frame)
        if x_words:
            edge += "".join(path([(at, bottom), (at, bottom + _TICK)]) for at in xs)
        edge += "".join(path([(left, at), (left - _TICK, at)]) for at in ys) if y_grid else ""
        self.sheet.shape(edge, "soft", thick=0.6)
        for at, (_, words) in zip(ys, up, strict=True):
            self.sheet.write(Words(words, left - _TICK - _GAP, at + 0.36 * LETTER, anchor="end"))
        if x_words:
            self._across(list(zip(xs, (words for _, words in across), strict=True)))
        if y and self.y.label:
            room = left_room(self.y, bottom - top)
            self.sheet.write(Words(self.y.label, left - room + 0.76 * LETTER, 0.5 * (top + bottom), anchor="middle",
                                   turned=True))

    def _across(self, found: Sequence[tuple[float, str]]) -> None:
        left, _, right, bottom = self.box
        end = -math.inf
        for at, words in found:
            one = Words(words, at, bottom + _TICK + _GAP + 0.76 * LETTER, anchor="middle")
            if one.box.left > end + 2.0:
                self.sheet.write(one)
                end = one.box.right
        if self.x.label:
            self.sheet.write(Words(self.x.label, 0.5 * (left + right), bottom + 2.95 * LETTER, anchor="middle"))

    def right_scale(self, unit: str, factor: float = 1.0) -> None:
        """Draw a second scale at the right in another unit, `factor` of which is one of the data."""
        _, top, right, bottom = self.box
        found = Axis(self.y.low, self.y.high, unit=1.0 / factor, most=self.y.most).ticks(bottom - top, 21.0)
        ys = [float(self.at_y(place)) for place, _ in found]
        edge = path([(right, top), (right, bottom)])
        self.sheet.shape(edge + "".join(path([(right, at), (right + _TICK, at)]) for at in ys), "soft", thick=0.6)
        words = [Words(said, right + _TICK + _GAP, at + 0.36 * LETTER)
                 for at, (_, said) in zip(ys, found, strict=True)]  # fmt: skip
        for one in words:
            self.sheet.write(one)
        beside = max((one.box.right for one in words), default=right) + 4.0 + 0.76 * LETTER
        self.sheet.write(Words(unit, beside, 0.5 * (top + bottom), anchor="middle", turned=True))

    # --- what is drawn -------------------------------------------------------------------------------------------

    def line(self, x: Any, y: Any, colour: str, series: int = 0, thick: float = 1.6, part: str = "",
             dash: Sequence[float] | None = None) -> None:
        """Draw a line through the data in the pattern of a series or another; cut off where it leaves the chart."""
        rows = self.at(x, y)
        seen = rows[np.isfinite(rows).all(axis=1)]
        box = self.box
        out = seen.size and (seen.min(0) < (box.left - 0.5, box.top - 0.5)).any()
        out = out or (seen.size and (seen.max(0) > (box.right + 0.5, box.bottom + 0.5)).any())
        if out:
            self.sheet.clip(box)
        pattern = DASHES[series] if dash is None else dash
        self.sheet.line(rows, colour, thick, pattern, part, cap="" if pattern else "round")
        self.sheet.clip(None)

    def level(self, y: float, colour: str, thick: float = 0.8, dash: Sequence[float] = (), part: str = "") -> None:
        """Draw a level line across."""
        if self.y.low <= y <= self.y.high:
            at = float(self.at_y(y))
            self.sheet.shape(path([(self.box.left, at), (self.box.right, at)]), colour, thick=thick, dash=dash,
                             part=part)  # fmt: skip

    def upright(self, x: float, colour: str, thick: float = 0.7, dash: Sequence[float] = (), part: str = "") -> None:
        """Draw an upright line from top to bottom."""
        if self.x.low <= x <= self.x.high:
            at = float(self.at_x(x))
            self.sheet.shape(path([(at, self.box.top), (at, self.box.bottom)]), colour, thick=thick, dash=dash,
                             part=part)  # fmt: skip

    def block(self, x: tuple[float, float], y: tuple[float, float], colour: str, edge: str = "") -> None:
        """Fill what lies between two places on each scale, as far as it is seen."""
        xs = np.clip(self.at_x(x), self.box.left, self.box.right)
        ys = np.clip(self.at_y(y), self.box.top, self.box.bottom)
        self.sheet.shape(path([(xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1])], closed=True), edge,
                         colour)  # fmt: skip

    def mark(self, x: float, y: float, shape: str, size: float, colour: str, fill: str = "", edge: str = "",
             part: str = "") -> None:
        """Draw a mark at a place of the data."""
        mark(self.sheet, shape, float(self.at_x(x)), float(self.at_y(y)), size, colour, fill, edge, part)

    def words(self, text: str, x: float, y: float, dx: float = 0.0, dy: float = 0.0, **look: Any) -> Words:
        """Return words beside a place of the data, moved by points, no farther than the chart; they are not written."""
        one = Words(text, float(self.at_x(x)) + dx, float(self.at_y(y)) + dy, **look)
        shift = max(2.0 - one.box.left, 0.0) - max(one.box.right - self.box.right, 0.0)
        return one._replace(x=one.x + shift)

    def title(self, text: str, colour: str = "ink", lift: float = 4.0) -> None:
        """Write what the chart shows over its left corner."""
        self.sheet.write(Words(text, self.box.left, self.box.top - lift, HEAD, colour, bold=True))
