"""A whole flight as one picture: height, speed, thrust, water and attitude on one time axis, its push stretched."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.letters import Box, width
from bottlewright.figures.panel import HEAD, LETTER, SMALL, Axis, Panel
from bottlewright.figures.places import Places
from bottlewright.figures.sheet import MM, Sheet, Words, path
from bottlewright.figures.ticks import tick_words, ticks
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.charts import METRIC, Units, jolt_words_at, thrust_cut
from bottlewright.report.style import FULL_WIDTH, Event

__all__ = ["LANDS_AT", "ROOM", "CourseChart", "CourseView", "HeightBand"]

Floats = NDArray[np.float64]

LANDS_AT = 0.93
"""Share of the time axis at which this flight is over: what lies behind is for slower ones of the band."""
ROOM = 34.0
"""At the left and at the right of every panel, points: the same for any flight, so that a scrubber can lie under it."""

_PUSH_SHARE = 0.4
_SPLITS = (0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0, 5.0)
_MARK_ROW, _TEAR = 12.0, 5.0
_GAP, _FOOT = 1.3 * HEAD + 11.0, 3.2 * LETTER + 8.0
_TALL = ((132.0, 66.0, 58.0), (114.0, 54.0, 46.0))
"""Heights of the panels, points, on a wide sheet and on a narrow one."""


class HeightBand(NamedTuple):
    """Height against time of many flights, s and m: one in ten is lower than `low`, one in ten higher than `high`."""

    time: Floats
    low: Floats
    middle: Floats
    high: Floats


@dataclass(frozen=True)
class CourseView:
    """What the picture shows, SI; angles in degrees.

    Parameters
    ----------
    time, height, speed, thrust, water
        s, m, m/s, N, kg.
    lean, incidence
        The nose from upright, and from where the rocket goes through the air; NaN where it is not known or says
        nothing.
    push_end
        When nothing pushes any more, s.
    marks
        Moments, in their order.
    band
        Of many flights; None where they are not done.
    units
        In which the scales read.
    """

    time: Floats
    height: Floats
    speed: Floats
    thrust: Floats
    water: Floats
    lean: Floats
    incidence: Floats
    push_end: float
    marks: Sequence[Event]
    band: HeightBand | None = None
    units: Units = METRIC

    @property
    def split(self) -> float | None:
        """When the scale of the time axis changes, s; None where the push is no small part of the flight."""
        over = float(self.time[-1])
        return next((one for one in _SPLITS if 1.1 * self.push_end <= one < 0.35 * over), None)

    @property
    def axis(self) -> Axis:
        """The time axis, without its ticks."""
        over, split = float(self.time[-1]), self.split
        if split is None:
            return Axis(0.0, over / LANDS_AT)
        after = (1.0 - _PUSH_SHARE) / (LANDS_AT - _PUSH_SHARE)
        return Axis(0.0, split + after * (over - split), bend=(split, _PUSH_SHARE))

    def evenly(self, count: int) -> Floats:
        """Return moments from the release to the end of the flight that lie at even steps across the picture, s."""
        over, split = float(self.time[-1]), self.split
        shares = np.linspace(0.0, LANDS_AT, count)
        if split is None:
            return np.asarray(shares / LANDS_AT * over)
        return np.interp(shares, (0.0, _PUSH_SHARE, LANDS_AT), (0.0, split, over))


class _Quantity(NamedTuple):
    """A line of the picture: its values, name, unit with its size, and look."""

    values: Floats
    name: str
    unit: str
    size: float
    colour: str
    dash: Sequence[float] = ()


class CourseChart:
    """The picture at one width.

    Parameters
    ----------
    view
        What it shows.
    wide
        Of the figure, mm.
    """

    def __init__(self, view: CourseView, wide: float = FULL_WIDTH) -> None:
        self.view, self.roomy = view, wide > 120.0
        left, right, talls = ROOM, wide * MM - ROOM, _TALL[0 if self.roomy else 1]
        self.marks = self._mark_rows(Panel(Sheet(1, 1), Box(left, 0.0, right, 1.0), view.axis, Axis(0.0, 1.0)))
        top = 6.0 + _MARK_ROW * (1 + max((row for _, _, row in self.marks), default=-1)) + 1.5 * HEAD
        self.sheet = Sheet(wide, (top + sum(talls) + 2.0 * _GAP + _FOOT) / MM)
        self.boxes = list[Box]()
        for tall in talls:
            self.boxes.append(Box(left, top, right, top + tall))
            top += tall + _GAP
        self.time = view.axis._replace(named=self._ticks())

    def places(self, times: Floats) -> Floats:
        """Return where moments stand on the sheet, points: rows of (right, down to the height at that moment)."""
        heights = np.interp(times, self.view.time, self.view.height)
        return Panel(self.sheet, self.boxes[0], self.time, self._height_axis()).at(times, heights)

    def drawn(self) -> Sheet:
        """Return the sheet with everything on it."""
        self._height_and_speed()
        self._thrust_and_water()
        self._attitude()
        self._moments()
        self._tear()
        with self.sheet.group("cursor", f"translate({self.boxes[0].left:g} 0)"):
            runs = [[(0.0, box.top), (0.0, box.bottom)] for box in self.boxes]
            self.sheet.shape("".join(map(path, runs)), "ink", thick=1.4)
        right, down = self.places(self.view.time[:1])[0]
        with self.sheet.group("spot", f"translate({right:g} {down:g})"):
            self.sheet.shape("M-3.5 0a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0z", "ink", "sheet", 1.5)
        return self.sheet

    # --- scales --------------------------------------------------------------------------------------------------

    def _ticks(self) -> list[tuple[float, str]]:
        axis, split, roomy = self.view.axis, self.view.split, self.roomy
        if split is None:
            found = ticks(0.0, axis.high, 9 if roomy else 5)
            return list(zip(found, tick_words(found), strict=True))
        push = ticks(0.0, 0.98 * split, 5 if roomy else 2)
        rest = [one for one in ticks(0.0, axis.high, 9 if roomy else 4) if one > split + 0.02 * axis.high]
        return [*zip(push, tick_words(push), strict=True), *zip(rest, tick_words(rest), strict=True)]

    def _height_axis(self) -> Axis:
        ft, band = UNITS[Dimension.LENGTH]["ft"], self.view.band
        most = max(float(self.view.height.max()), 0.1)
        over = 0.0 if band is None else 1.03 * float(np.nanmax(band.high))
        return Axis(0.0, max(1.2 * most, over), unit=ft if self.view.units.inches else 1.0, most=6)

    def _line(self, number: int, one: _Quantity, axis: Axis, right: bool, upto: float = math.inf) -> Panel:
        """Draw one line in a box, with its scale and its name at the left or at the right."""
        panel = Panel(self.sheet, self.boxes[number], self.time, axis)
        last = len(self.boxes) - 1
        if right:
            panel.right_scale("", factor=1.0 / one.size)
        else:
            panel.scales(x_words=number == last)
        shown = self.view.time <= upto
        panel.line(self.view.time[shown], one.values[shown], one.colour, thick=1.8, dash=one.dash, part=one.name)
        side, anchor = (panel.box.right, "end") if right else (panel.box.left, "start")
        said = f"{one.name}, {one.unit}"
        self.sheet.write(Words(said[:1].upper() + said[1:], side, panel.box.top - 4.0, HEAD, one.colour, anchor,
                               bold=True))  # fmt: skip
        return panel

    # --- the panels ----------------------------------------------------------------------------------------------

    def _height_and_speed(self) -> None:
        view, units = self.view, self.view.units
        unit, size = ("ft", UNITS[Dimension.LENGTH]["ft"]) if units.inches else ("m", 1.0)
        axis = self._height_axis()
        self._band(Panel(self.sheet, self.boxes[0], self.time, axis))
        height = self._line(0, _Quantity(view.height, "height", unit, size, "teal"), axis, right=False)
        unit, size = ("mph", UNITS[Dimension.SPEED]["mph"]) if units.miles else ("m/s", 1.0)
        fast = _Quantity(view.speed, "speed", unit, size, "blue", (4.0, 2.0))
        speed = self._line(0, fast, Axis(0.0, 1.2 * max(float(view.speed.max()), 0.1), unit=size, most=6), right=True)
        peak = int(np.argmax(view.height))
        height.mark(float(view.time[peak]), float(view.height[peak]), "o", 5.0, "teal", part="apogee")
        self._names(height, speed)

    def _names(self, height: Panel, speed: Panel) -> None:
        """Write at each line what it is, where it covers least."""
        view = self.view
        lines = [height.at(view.time[::4], view.height[::4]), speed.at(view.time[::4], view.speed[::4])]
        if view.band is not None:
            lines += [height.at(view.band.time, one) for one in (view.band.low, view.band.high)]
        places = Places(height.box, lines)
        if view.split is not None:
            tear = float(height.at_x(view.split))
            places.take(Box(tear - 2.0 * _TEAR, height.box.top, tear + 2.0 * _TEAR, height.box.bottom))
        peak, fast, over = int(np.argmax(view.height)), int(np.argmax(view.speed)), float(view.time[-1])
        top = f"{view.height[peak] / height.y.unit:.{0 if view.units.inches else 1}f} {self._unit('ft', 'm')}"
        most = f"{view.speed[fast] / speed.y.unit:.1f} {'mph' if view.units.miles else 'm/s'}"
        said = [(top, height, float(view.time[peak]), view.height, "teal", True),
                (most, speed, float(view.time[fast]), view.speed, "blue", True),
                ("height", height, 0.45 * over, view.height, "teal", False),
                ("speed", speed, 0.75 * over, view.speed, "blue", False)]  # fmt: skip
        for text, panel, at, values, colour, bold in said:
            x, y = panel.at(at, np.interp(at, view.time, values))[0]
            places.beside(self.sheet, text, float(x), float(y), colour=colour, bold=bold, halo=True)
        if view.band is not None:
            at = 0.7 * over
            x, y = height.at(at, np.interp(at, view.band.time, view.band.high))[0]
            many = "eight flights in ten" if self.roomy else "8 in 10"
            places.beside(self.sheet, many, float(x), float(y), size=SMALL, halo=True, colour="teal")

    def _unit(self, own: str, metric: str) -> str:
        return own if self.view.units.inches else metric

    def _band(self, panel: Panel) -> None:
        band = self.view.band
        if band is None:
            return
        seen = (band.time <= self.time.high) & np.isfinite(band.low + band.high)
        time, box = band.time[seen], panel.box
        edges = [panel.at(time, values[seen]) for values in (band.low, band.high)]
        self.sheet.clip(box)
        self.sheet.shape(path(np.concatenate([edges[0], edges[1][::-1]]), closed=True), "", "wash", part="band")
        for edge, name in zip(edges, ("one in ten lower", "one in ten higher"), strict=True):
            self.sheet.line(edge, "teal", 0.7, part=name)
        self.sheet.line(panel.at(time, band.middle[seen]), "teal", 0.9, (5.0, 3.0), part="the middle flight")
        self.sheet.clip(None)

    def _thrust_and_water(self) -> None:
        view, pounds = self.view, self.view.units.pounds
        cut = thrust_cut(view.time[view.time <= view.push_end], view.thrust[view.time <= view.push_end])
        most = max(cut if cut is not None else 1.1 * float(view.thrust.max()), 0.1)
        unit, size = ("lbf", UNITS[Dimension.FORCE]["lbf"]) if pounds else ("N", 1.0)
        low = min(0.0, float(view.thrust.min()))
        weight, heavy = ("oz", UNITS[Dimension.MASS]["oz"]) if pounds else ("g", 1e-3)
        water = _Quantity(view.water, "water left", weight, heavy, "blue", (1.0, 1.4))
        axis = Axis(0.0, 1.15 * max(float(view.water.max()), 1e-3), unit=heavy, most=4)
        self._wet(Panel(self.sheet, self.boxes[1], self.time, axis))
        self._line(1, water, axis, right=True, upto=view.push_end)
        push = _Quantity(view.thrust, "thrust", unit, size, "orange")
        left = self._line(1, push, Axis(low, most, unit=size, most=4), right=False, upto=view.push_end)
        said = jolt_words_at(float(view.thrust.max()), pounds)
        if cut is None or not self.roomy:
            said = [said[0].partition(" for")[0].rstrip(",")]
        peak = float(left.at_x(view.time[int(np.argmax(view.thrust))]))
        self.sheet.rows("\n".join(said), peak + 8.0, left.box.top + 8.0, size=SMALL, colour="orange", halo=True)
        if cut is not None:
            foot = left.box.top - 0.5
            self.sheet.line([(left.box.left - 3.0, foot + 5.0), (left.box.left + 1.0, foot - 1.0),
                             (left.box.left + 5.0, foot + 5.0)], "orange", 1.4)  # fmt: skip
        self._push_in_numbers(left)

    def _wet(self, panel: Panel) -> None:
        """Fill what lies under the line of the water."""
        view = self.view
        pushes = view.time <= view.push_end
        rows = panel.at(view.time[pushes], view.water[pushes])
        foot = [(rows[-1, 0], panel.box.bottom), (rows[0, 0], panel.box.bottom)]
        self.sheet.shape(path(np.concatenate([rows, foot]), closed=True), "", "wash", part="water")

    def _push_in_numbers(self, panel: Panel) -> None:
        """Write what the push came to where the picture is empty, behind the tear."""
        view = self.view
        if view.split is None:
            return
        at = float(panel.at_x(view.split)) + 14.0
        text = f"nothing pushes after {view.push_end:.2f} s"
        if at + width(text, SMALL) < panel.box.right:
            self.sheet.write(Words(text, at, 0.5 * (panel.box.top + panel.box.bottom), SMALL, "soft"))

    def _attitude(self) -> None:
        view = self.view
        known = [one[np.isfinite(one)] for one in (view.lean, view.incidence)]
        most = max([10.0, *(float(one.max()) for one in known if one.size)])
        axis = Axis(0.0, min(1.15 * most, 180.0) if most < 170.0 else 180.0, most=3)
        panel = self._line(2, _Quantity(view.lean, "from upright", "°", 1.0, "ink"), axis, right=False)
        panel.line(view.time, view.incidence, "plum", thick=1.8, dash=(3.0, 2.0), part="nose off its way")
        self.sheet.write(Words("Nose off its way, °", panel.box.right, panel.box.top - 4.0, HEAD, "plum", "end",
                               bold=True))  # fmt: skip
        known_until = view.time[np.isfinite(view.lean)]
        gone = float(known_until[-1]) if known_until.size else 0.0
        if gone < 0.9 * view.time[-1] and self.roomy:
            x = 0.5 * (float(panel.at_x(gone)) + float(panel.at_x(view.time[-1])))
            self.sheet.write(Words("it hangs: attitude not worked out", x, 0.5 * (panel.box.top + panel.box.bottom),
                                   SMALL, "soft", "middle"))  # fmt: skip

    # --- moments and time ----------------------------------------------------------------------------------------

    def _mark_rows(self, scale: Panel) -> list[tuple[Event, Words, int]]:
        """Return each moment with its words, and the row over the panels in which they stand."""
        found, ends = list[tuple[Event, Words, int]](), list[tuple[float, int]]()
        for number, one in reversed(list(enumerate(self.view.marks, 1))):  # what stands further left stands higher
            text = f"{number} {one.label}" if self.roomy else str(number)
            at, long = float(scale.at_x(one.time)), width(text, SMALL)
            words = Words(text, min(at - 3.0, scale.box.right + ROOM - 2.0 - long), 0.0, SMALL)
            row = max((row + 1 for other, row in ends if other < words.box.right + 5.0), default=0)
            ends.append((at - 3.0, row))
            found.append((one, words, row))
        return found

    def _moments(self) -> None:
        high = self.boxes[0].top - 1.5 * HEAD
        for one, words, row in self.marks:
            at = float(Panel(self.sheet, self.boxes[0], self.time, Axis(0.0, 1.0)).at_x(one.time))
            foot = high - _MARK_ROW * row - 3.0
            runs = [[(at, foot + 2.0), (at, high + 1.0)], *([(at, box.top), (at, box.bottom)] for box in self.boxes)]
            self.sheet.shape("".join(map(path, runs)), "soft", thick=0.7, dash=(2.0, 2.0), part=one.label)
            self.sheet.write(words._replace(y=foot))

    def _tear(self) -> None:
        """Draw the torn edge where the scale of the time changes, and say which part is which."""
        split, foot = self.view.split, self.boxes[-1].bottom + 3.1 * LETTER
        left, right = self.boxes[0].left, self.boxes[0].right
        if split is None:
            self.sheet.write(Words("seconds after release", 0.5 * (left + right), foot, anchor="middle"))
            return
        at = left + _PUSH_SHARE * (right - left)
        for box in self.boxes:
            steps = 2 * max(round((box.bottom - box.top + 4.0) / 16.0), 2)
            down = np.linspace(box.top - 2.0, box.bottom + 2.0, steps + 1)
            zigzag = np.column_stack([np.where(np.arange(steps + 1) % 2, at + 2.5, at - 2.5), down])
            half = np.array([0.5 * _TEAR, 0.0])
            near, far = zigzag - half, zigzag + half
            self.sheet.shape(path(np.concatenate([near, far[::-1]]), closed=True), "", "sheet", part="tear")
            self.sheet.shape(path(near) + path(far), "soft", thick=0.7)
        push = f"the push, first {split:g} s" if self.roomy else f"first {split:g} s"
        rest = "the rest, seconds after release" if self.roomy else "the rest, seconds"
        self.sheet.write(Words(push, 0.5 * (left + at), foot, anchor="middle"))
        self.sheet.write(Words(rest, 0.5 * (at + right), foot, anchor="middle"))

