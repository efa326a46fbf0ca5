"""A logger's record as a picture: each quantity against time, and the events with their ± as upright bands."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.letters import Box
from bottlewright.figures.panel import LETTER, Axis, Panel, left_room, reach
from bottlewright.figures.sheet import MM, Sheet
from bottlewright.learn.channels import CHANNELS
from bottlewright.learn.events import Course
from bottlewright.learn.instruments.thrust_stand import push_of
from bottlewright.learn.record import Record
from bottlewright.learn.smoothing import noise_of

__all__ = ["Chart", "record_chart", "span_of"]

Floats = NDArray[np.float64]
_TALL = {True: (150.0, 70.0), False: (170.0, 76.0)}
"""Heights of the first panel and of the others, points, by whether the sheet is narrow."""
_HEAD, _GAP, _FOOT, _SIDE = 16.0, 24.0, 3.4 * LETTER, 10.0
_MOST = 900
"""Rows that are drawn of a curve: of each stretch the least and the greatest, so that no spike is lost."""
_BESIDE = 0.15
"""Share of a flight's time that is shown before and after it."""


class Chart(NamedTuple):
    """A record as it is drawn.

    Parameters
    ----------
    sheet
        The drawing.
    top, bottom
        Of all panels, points.
    left, per
        Where the shown time begins, points, and seconds in a point.
    first, last
        The shown time, s.
    """

    sheet: Sheet
    top: float
    bottom: float
    left: float
    per: float
    first: float
    last: float

    def at(self, time: float) -> float:
        """Return where a time lies, points; within what is shown."""
        return self.left + (min(max(time, self.first), self.last) - self.first) / self.per


def span_of(course: Course) -> tuple[float, float]:
    """Return the time of the flight with a little on either side, s; of the whole record where there are no events."""
    start, end = 0.0, float(course.record.time[-1])
    times = [one.time for one in course.events.values()]
    if "thrust" in course.record.more:
        times += push_of(course.record.time, course.record.more["thrust"]) or ()
    if len(times) < 2:
        return start, end
    beside = max(_BESIDE * (max(times) - min(times)), 10.0 * course.record.step)
    return max(start, min(times) - beside), min(end, max(times) + beside)


def record_chart(course: Course, wide: float, narrow: bool, span: tuple[float, float]) -> Chart:
    """Draw a record.

    Parameters
    ----------
    wide
        Of the sheet, mm.
    span
        The time that is shown, s.
    """
    first, last = span
    shown = _shown(course.record)
    tall, low = _TALL[narrow]
    heights = [tall if number == 0 else low for number in range(len(shown))]
    sheet = Sheet(wide, (_HEAD + sum(heights) + _GAP * (len(shown) - 1) + _FOOT) / MM)
    ends = {name: _ends(course, name, values, first, last) for name, values in shown.items()}
    axes = {name: Axis(*ends[name], unit=CHANNELS[name].factor) for name in shown}
    left = max(left_room(axis, low) for axis in axes.values()) + 4.0
    right, top, boxes = sheet.width - _SIDE, _HEAD, []
    for (name, values), high in zip(shown.items(), heights, strict=True):
        box = Box(left, top, right, top + high)
        boxes.append(box)
        bottom = box is boxes[-1] and len(boxes) == len(shown)
        panel = Panel(sheet, box, Axis(first, last, label="on the file's clock, s" if bottom else ""), axes[name])
        _panel(panel, course, name, values)
        panel.scales(x_words=bottom)
        words, unit = CHANNELS[name].words, CHANNELS[name].unit.replace("m/s2", "m/s²")
        panel.title(f"{words[:1].upper()}{words[1:]}, {unit}")
        top += high + _GAP
    return Chart(sheet, boxes[0].top, boxes[-1].bottom, left, (last - first) / (right - left), first, last)


def _shown(record: Record) -> Mapping[str, Floats]:
    every = {"height": record.height, "acceleration": record.pull, **record.more}
    return {name: every[name] for name in CHANNELS if name in every and len(every[name])}


def _ends(course: Course, name: str, values: Floats, first: float, last: float) -> tuple[float, float]:
    inside = (course.record.time >= first) & (course.record.time <= last)
    seen = values[inside & np.isfinite(values)]
    if name == "height" and len(course.curve):
        curve, off = course.curve[inside], 4.0 * max(noise_of(values[inside] - course.curve[inside]), 0.2)
        seen = seen[(seen > curve.min() - off) & (seen < curve.max() + off)]  # a spike is cut off, not the flight
        seen = np.concatenate([seen, curve])
    low, high = reach(seen, 0.0)
    pad = 0.06 * (high - low)
    return low - pad, high + pad


def _panel(panel: Panel, course: Course, name: str, values: Floats) -> None:
    for what, event in course.events.items():
        band = (event.time - event.spread, event.time + event.spread)
        if band[1] > panel.x.low and band[0] < panel.x.high:
            panel.block(band, (panel.y.low, panel.y.high), "wash")
            panel.upright(event.time, "teal", thick=0.8, part=what)
    time, rows = _thinned(course.record.time, values, panel.x.low, panel.x.high)
    smooth = name == "height" and len(course.curve) > 0
    panel.line(time, rows, "soft" if smooth else "ink", thick=0.7 if smooth else 1.1, part=name)
    if smooth:
        time, rows = _thinned(course.record.time, course.curve, panel.x.low, panel.x.high)
        panel.line(time, rows, "ink", thick=1.7, part="without spikes and drift")
        if course.top is not None:
            panel.mark(course.top.time, course.top.height, "D", 7.0, "orange", "orange", "sheet", part="highest point")


def _thinned(time: Floats, values: Floats, first: float, last: float) -> tuple[Floats, Floats]:
    """Return rows of a stretch; of many the least and the greatest of each piece."""
    start, end = max(int(np.searchsorted(time, first)) - 1, 0), int(np.searchsorted(time, last)) + 2
    time, values = time[start:end], values[start:end]
    if len(time) <= _MOST:
        return time, values
    chosen = {0, len(time) - 1}
    for piece in np.array_split(np.arange(len(time)), _MOST // 2):
        chosen |= {int(piece[np.argmin(values[piece])]), int(piece[np.argmax(values[piece])])}
    kept = np.array(sorted(chosen))
    return time[kept], values[kept]
