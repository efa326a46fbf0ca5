"""Chart of a nose's hold: the pull at its joint through the flight, the hold, and when drawn flights open."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.letters import Box, width
from bottlewright.figures.panel import LETTER, SMALL, Axis, Panel, left_room
from bottlewright.figures.places import Places, rows_needed
from bottlewright.figures.sheet import Sheet, Words
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import NARROW, Event

__all__ = ["HoldView", "Opened", "hold_chart"]

Floats = NDArray[np.float64]
_GRAM = 1e-3 * UNITS[Dimension.FORCE]["kgf"]
_OUNCE = UNITS[Dimension.MASS]["oz"] * UNITS[Dimension.FORCE]["kgf"]
_ROW, _MARKS, _GAP = 11.0, 3.0, 4.0


class Opened(NamedTuple):
    """Flights of one outcome: what it is called, and when each was let go, s."""

    name: str
    times: Floats


@dataclass(frozen=True, slots=True, eq=False)
class HoldView:
    """What the chart shows, SI.

    Parameters
    ----------
    time, pull
        Pull at the joint had the nose stayed on, N against s; NaN while the rocket is driven.
    hold, factor
        The hold, N, and the factor both ways that is its ±.
    middle, nine
        Window of the hold of the middle flight, and that in which nine of ten open in time, N; None without one.
    moments, opens
        Moments with a name; when the middle flight lets go, s, NaN where it never does.
    opened, never, flights
        Drawn flights by outcome, those that never opened, and all.
    ounces
        Whether the builder reads ounces.
    """

    time: Floats
    pull: Floats
    hold: float
    factor: float
    middle: tuple[float, float] | None
    nine: tuple[float, float] | None
    moments: Sequence[Event]
    opens: float
    opened: Sequence[Opened]
    never: int
    flights: int
    ounces: bool


def _top(view: HoldView) -> float:
    """Return the greatest pull that the chart shows, N: what decides is low, and a falling rocket pulls far harder."""
    climbs = view.time <= next((one.time for one in view.moments if one.label == "turns over"), math.inf)
    seen = [view.hold * view.factor, float(np.nanmax(view.pull[climbs], initial=0.0))]
    seen += [edge for window in (view.middle, view.nine) for edge in window or () if edge < 5.0 * view.hold]
    return 1.3 * max(seen)


def hold_chart(view: HoldView, width_mm: float) -> Sheet:
    """Draw the pull against the hold, and under it when the drawn flights open."""
    narrow = width_mm <= NARROW
    strip = _ROW * len(view.opened) + 2.0 * LETTER
    sheet = Sheet(width_mm, (88.0 if narrow else 84.0) + strip / 2.83)
    unit, name, other = (_OUNCE, "oz on a scale", "N") if view.ounces else (1.0, "N", "g on a scale")
    end = float(np.nanmax(view.time))
    x = Axis(0.0, end, "time after launch, s")
    y = Axis(0.0, _top(view), f"pull at the joint, {name}", unit, most=5)
    left = max(8.0 + left_room(y, 110.0), 6.0 + max(width(one.name, SMALL) for one in view.opened))
    names = [(one, width(one.label, SMALL)) for one in view.moments]
    scale = Panel(sheet, Box(left, 0.0, sheet.width - 42.0, 1.0), x, y)
    places = [float(scale.at_x(one.time)) + 1.5 for one, _ in names]
    lines = rows_needed([(at, at + wide) for at, (_, wide) in zip(places, names, strict=True)])
    head = 10.0 + 10.0 * (max(lines, default=0) + 1)
    foot = strip + 3.4 * LETTER + 8.0
    panel = Panel(sheet, Box(left, head, sheet.width - 42.0, sheet.height - foot), x, y)
    _windows(panel, view)
    panel.scales(x_words=False)
    panel.right_scale(other, 1.0 if view.ounces else 1.0 / _GRAM)
    rug = Panel(sheet, Box(left, panel.box.bottom + 6.0, panel.box.right, sheet.height - 3.4 * LETTER - 2.0), x,
                Axis(0.0, 1.0))  # fmt: skip
    for (event, _), at, line in zip(names, places, lines, strict=True):
        for one in (panel, rug):
            one.upright(event.time, "soft", 0.7, (2, 2), part=event.label)
        sheet.write(Words(event.label, at, head - 3.0 - 10.0 * line, SMALL, "soft"))
    panel.line(view.time, view.pull, "ink", thick=1.8, part="pull")
    _hold(panel, view)
    _labels(panel, view)
    _rug(rug, view)
    return sheet


def _windows(panel: Panel, view: HoldView) -> None:
    """Shade the middle flight's window, and edge the one in which nine of ten open in time."""
    if view.middle is not None:
        panel.block((panel.x.low, panel.x.high), (view.middle[0], min(view.middle[1], panel.y.high)), "wash")
    for edge in view.nine or ():
        if 0.0 < edge < panel.y.high:
            panel.level(edge, "orange", 1.2, (5, 2), part="nine in ten")


def _labels(panel: Panel, view: HoldView) -> None:
    """Write beside each line what it is, where it covers nothing."""
    rows = panel.at(view.time, np.clip(view.pull, panel.y.low, panel.y.high))
    places = Places(panel.box, [rows[np.isfinite(rows).all(axis=1)]])
    if math.isfinite(view.opens):
        at, up = float(panel.at_x(view.opens)), float(panel.at_y(_pull_at(view, view.opens, panel)))
        places.put(panel.sheet, [Words("opens", at + dx, up + dy, SMALL, "teal", anchor, bold=True, halo=True)
                                 for dx, dy, anchor in ((7, -3, "start"), (-7, -3, "end"), (7, 9, "start"),
                                                        (-7, 9, "end"))])  # fmt: skip
    lines = [(view.hold, "your hold", "teal")]
    if view.middle is not None and view.middle[1] < panel.y.high:
        lines.append((view.middle[1], "middle flight", "soft"))
    if view.nine is not None and view.nine[1] < panel.y.high:
        lines.append((view.nine[1], "nine of ten in time", "orange"))
    for level, said, colour in lines:
        up = float(panel.at_y(level))
        inside = [up + 0.76 * SMALL + 3.0, up - 4.0] if colour != "teal" else [up - 4.0, up + 0.76 * SMALL + 3.0]
        places.put(panel.sheet, [Words(said, at, high, SMALL, colour, anchor, bold=colour == "teal", halo=True)
                                 for high in inside for at, anchor in ((panel.box.left + 14.0, "start"),
                                                                       (panel.box.right - 4.0, "end"))])  # fmt: skip


def _pull_at(view: HoldView, when: float, panel: Panel) -> float:
    return float(min(np.interp(when, view.time, view.pull), 0.97 * panel.y.high))


def _hold(panel: Panel, view: HoldView) -> None:
    """Draw the hold with its ± as a bar, and where the middle flight lets go."""
    panel.level(view.hold, "teal", 1.6, part="hold")
    at = float(panel.at_x(panel.x.low)) + 6.0
    ends = [float(panel.at_y(min(one, panel.y.high))) for one in (view.hold / view.factor, view.hold * view.factor)]
    panel.sheet.line([(at, end) for end in ends], "teal", 1.6, (), "±")
    for end in ends:
        panel.sheet.line([(at - 3.0, end), (at + 3.0, end)], "teal", 1.6, (), "±")
    if math.isfinite(view.opens):
        panel.mark(view.opens, _pull_at(view, view.opens, panel), "o", 6.0, "teal", part="opens")


def _rug(rug: Panel, view: HoldView) -> None:
    """Draw a mark for each flight where it opens, a row an outcome, and say how many never do."""
    left, top, right, bottom = rug.box
    rug.sheet.line([(left, bottom), (right, bottom)], "soft", 0.6, ())
    for number, one in enumerate(view.opened):
        at = top + _ROW * (number + 0.5)
        good = one.name == "in time"
        rug.sheet.write(Words(f"{one.name}", left - _GAP, at + 0.36 * SMALL, SMALL, "ink" if good else "orange", "end"))
        for when in one.times:
            place = float(rug.at_x(min(when, rug.x.high)))
            rug.sheet.line([(place, at - _MARKS), (place, at + _MARKS)], "teal" if good else "orange", 1.0, ())
        rug.sheet.write(Words(str(len(one.times)), right + _GAP, at + 0.36 * SMALL, SMALL, bold=True))
    for place, said in rug.x.ticks(right - left, 34.0):
        rug.sheet.write(Words(said, float(rug.at_x(place)), bottom + 3.0 + 0.76 * LETTER, anchor="middle"))
    rug.sheet.write(Words(rug.x.label, 0.5 * (left + right), bottom + 2.95 * LETTER, anchor="middle"))
    if view.never:
        rug.sheet.write(Words(f"never: {view.never} of {view.flights}", right, bottom - 3.0, SMALL, "orange", "end",
                              bold=True, halo=True))  # fmt: skip
