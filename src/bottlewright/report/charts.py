"""Charts of a flight and of a firing, drawn from plain arrays in SI units."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import DASHES, SERIES
from bottlewright.figures.letters import Box, width
from bottlewright.figures.panel import HEAD, LETTER, SMALL, Axis, Panel, left_room, reach
from bottlewright.figures.places import rows_needed
from bottlewright.figures.sheet import Sheet, Words
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import FULL_WIDTH, Event

__all__ = [
    "METRIC", "Units", "firing_chart", "height_and_speed_chart", "jolt_words_at", "margin_chart", "thrust_cut",
]  # fmt: skip

Floats = NDArray[np.float64]
_EVENT_ROW = 10.0


class Units(NamedTuple):
    """Which kinds of quantity a chart shows in inch-pound units first, as `UnitHabit` has them."""

    psi: bool = False
    inches: bool = False
    pounds: bool = False
    miles: bool = False


METRIC = Units()

_FT, _MPH = UNITS[Dimension.LENGTH]["ft"], UNITS[Dimension.SPEED]["mph"]
_LBF, _OZ, _PSI = UNITS[Dimension.FORCE]["lbf"], UNITS[Dimension.MASS]["oz"], UNITS[Dimension.PRESSURE]["psi"]


class _Row(NamedTuple):
    """One of several charts over one another: its scale, what it shows, in which unit.

    Parameters
    ----------
    share
        Of the height.
    metric, unit
        The metric unit's name, and the builder's own unit in metric ones with its name; the two are one when None.
    band
        What lies between two values is shaded.
    """

    y: Axis
    title: str
    share: float
    metric: str
    own: tuple[str, float] | None = None
    band: tuple[float, float] | None = None

    @property
    def axis(self) -> Axis:
        """The scale with the ticks of the builder's unit."""
        return self.y if self.own is None else self.y._replace(unit=self.own[1])

    @property
    def name(self) -> str:
        """What it shows, with the unit of its ticks."""
        unit = self.metric if self.own is None else self.own[0]
        return f"{self.title}, {unit}" if unit else self.title


def _stacked(width_mm: float, height_mm: float, x: Axis, rows: Sequence[_Row], events: Sequence[Event]) -> list[Panel]:
    """Draw the frames of charts over one another with one scale below, a line at each event, its name on top."""
    sheet = Sheet(width_mm, height_mm)
    left = 8.0 + max(left_room(row.axis, 60.0) for row in rows)
    right = sheet.width - (42.0 if any(row.own for row in rows) else 12.0)
    seen = sorted((one for one in events if x.low <= one.time <= x.high), key=lambda one: one.time)
    scale = Panel(sheet, Box(left, 0.0, right, 1.0), x, rows[0].y)
    names = [(one, min(float(scale.at_x(one.time)), right - width(one.label, SMALL)) + 1.5) for one in seen]
    lines = rows_needed([(at, at + width(one.label, SMALL)) for one, at in names])
    over = _EVENT_ROW * (max(lines, default=-1) + 1)
    head, foot, gap = 8.0 + 1.3 * HEAD, 3.4 * LETTER + 6.0, 1.3 * HEAD + 12.0
    free = sheet.height - head - over - foot - gap * (len(rows) - 1)
    shares, panels, top = sum(row.share for row in rows), list[Panel](), head + over
    for number, row in enumerate(rows):
        bottom = top + free * row.share / shares
        panel = Panel(sheet, Box(left, top, right, bottom), x._replace(label="time, " + x.label), row.axis)
        if row.band is not None:
            panel.block((x.low, x.high), row.band, "wash")
        panel.scales(x_words=number == len(rows) - 1)
        for event in seen:
            panel.upright(event.time, "soft", 0.7, (2, 2), part=event.label)
        panel.title(row.name, SERIES[number], 4.0 + (over if number == 0 else 0.0))
        if row.own:
            panel.right_scale(row.metric)
        panels.append(panel)
        top = bottom + gap
    for (event, at), line in zip(names, lines, strict=True):
        sheet.write(Words(event.label, at, head + over - 2.5 - _EVENT_ROW * line, SMALL, "soft"))
    return panels


def firing_chart(
    time: Floats,
    thrust: Floats,
    gauge_pressure: Floats,
    water: Floats,
    events: Sequence[Event] = (),
    units: Units = METRIC,
    width: float = FULL_WIDTH,
) -> Sheet:
    """Draw thrust, gauge pressure and water left against time, one above the other.

    Parameters
    ----------
    time, thrust, gauge_pressure, water
        In s, N, Pa above the outside air, kg.
    events
        Moments to mark, such as the end of the water.
    units
        Which of the three read in lbf, psi and oz, with the metric unit at the right.
    width
        Of the figure, mm.
    """
    ms, cut = time * 1e3, thrust_cut(time * 1e3, thrust)
    marks = [Event(event.time * 1e3, event.label) for event in events]
    at_most = float(thrust.max()) if cut is None else cut
    pressure = "Pressure in the bottle on the gauge" if units.psi else "Pressure in the bottle"
    rows = [
        _Row(_from(min(0.0, float(thrust.min())), at_most, cut is None), "Thrust", 1.5, "N",
             ("lbf", _LBF) if units.pounds else None),
        _Row(_from(0.0, float(gauge_pressure.max()) / 1e5), pressure, 1.0, "bar" if units.psi else "bar gauge",
             ("psi", _PSI / 1e5) if units.psi else None),
        _Row(_from(0.0, float(water.max()) * 1e3), "Water left", 1.0, "g", ("oz", 1e3 * _OZ) if units.pounds else None),
    ]  # fmt: skip
    top, middle, bottom = _stacked(width, 112.0, Axis(*reach(ms), "ms"), rows, marks)
    top.line(ms, thrust, SERIES[0], 0, part="thrust")
    middle.line(ms, gauge_pressure / 1e5, SERIES[1], 1, part="pressure")
    bottom.line(ms, water * 1e3, SERIES[2], 2, part="water")
    if cut is not None:
        _say_the_jolt(top, ms, thrust, cut, units.pounds)
    return top.sheet


def _from(low: float, high: float, room: bool = True) -> Axis:
    """Return a scale from a place on with room over the highest value."""
    low, high = reach([low, high], least=1e-6)
    return Axis(low, high + 0.05 * (high - low) * room, most=5)


def thrust_cut(time: Floats, thrust: Floats) -> float | None:
    """Return where a chart of the push ends so that a jolt at the very start runs out of it; None without one.

    Water that is set in motion at once pushes many times harder than the steady jet, for about a millisecond.
    """
    later = thrust[time > time[0] + 0.04 * (time[-1] - time[0])]
    if not later.size or thrust.max() < 2.0 * later.max() or thrust.argmax() >= thrust.size - later.size:
        return None
    return 1.35 * float(later.max())


def jolt_words_at(most: float, pounds: bool) -> list[str]:
    """Return, in two lines, how hard the jolt of water set in motion at once pushes, N."""
    said = f"{most / _LBF:.0f} lbf" if pounds else f"{most:.0f} N"
    return [f"{said} at most, for about 1 ms,", "as the water starts to move"]


def _say_the_jolt(panel: Panel, ms: Floats, thrust: Floats, cut: float, pounds: bool) -> None:
    """Say how large the jolt is, clear of the falling line."""
    fallen = float(ms[int(np.argmax(thrust < 0.8 * cut))])
    said = jolt_words_at(float(thrust.max()), pounds)
    at = float(panel.at_x(fallen)) + 4.0
    if at + width(" ".join(said), SMALL) < panel.box.right:
        said = [" ".join(said)]
    panel.sheet.rows("\n".join(said), at, panel.box.top + 3.0 + 0.76 * SMALL, size=SMALL, colour="teal", halo=True)


def height_and_speed_chart(
    time: Floats,
    height: Floats,
    speed: Floats,
    events: Sequence[Event] = (),
    units: Units = METRIC,
    width: float = FULL_WIDTH,
) -> Sheet:
    """Draw height above the launch point (m) and speed (m/s) against time (s), in feet and miles an hour if asked."""
    peak, fast = int(np.argmax(height)), int(np.argmax(speed))
    rows = [
        _Row(Axis(0.0, 1.15 * max(float(height[peak]), 0.1), most=6), "Height above the launch point", 1.25, "m",
             ("ft", _FT) if units.inches else None),
        _Row(Axis(0.0, 1.2 * max(float(speed[fast]), 0.1), most=6), "Speed", 1.0, "m/s",
             ("mph", _MPH) if units.miles else None),
    ]  # fmt: skip
    top, bottom = _stacked(width, 98.0, Axis(*reach(time), "s"), rows, events)
    top.line(time, height, SERIES[0], 0, part="height")
    bottom.line(time, speed, SERIES[1], 1, part="speed")
    top.mark(float(time[peak]), float(height[peak]), "o", 5.0, SERIES[0], part="apogee")
    high = f"{height[peak] / _FT:.0f} ft" if units.inches else f"{height[peak]:.1f} m"
    quick = f"{speed[fast] / _MPH:.1f} mph" if units.miles else f"{speed[fast]:.1f} m/s"
    for panel, text, at, value, dx, colour in (
        (top, high, peak, height[peak], 7.0, SERIES[0]), (bottom, quick, fast, speed[fast], 8.0, SERIES[1]),
    ):  # fmt: skip
        panel.sheet.write(panel.words(text, float(time[at]), float(value), dx, -4.0, colour=colour, bold=True,
                                      halo=True))  # fmt: skip
    return top.sheet


def margin_chart(
    time: Floats, margin: Floats, low: float, high: float, events: Sequence[Event] = (), width: float = FULL_WIDTH
) -> Sheet:
    """Draw the static margin in calibres against time (s), with the band between the two limits.

    Moments in which the rocket moves too slowly for the margin to matter are NaN in `margin` and left out.
    """
    shown = np.isfinite(margin)
    start, end = reach(time[shown] if shown.any() else time, least=1e-3)
    pad = 0.02 * (end - start)
    least, most = reach(margin[shown]) if shown.any() else (low, high)
    upper = max(high, most) + 0.5
    foot = min(0.0, least - 0.2 * (upper - least))  # room for the least in words
    rows = [_Row(Axis(foot, upper, most=4), "Static margin, calibres (body widths)", 1.0, "", band=(low, high))]
    (panel,) = _stacked(width, 66.0, Axis(start - pad, end + pad, "s"), rows, events)
    for level, words, below in ((low, "less: may swing or tumble", True), (high, "more: turns into the wind", False)):
        panel.level(level, "orange", 0.9, DASHES[1], part=f"limit {level:g}")
        panel.sheet.write(Words(f"{level:g}, {words}", panel.box.right - 3.0,
                                float(panel.at_y(level)) + (2.0 + 0.76 * SMALL if below else -3.5), SMALL, "orange",
                                "end", halo=True))  # fmt: skip
    panel.level(0.0, "ink")
    panel.line(time, margin, SERIES[0], 0, part="margin")
    if shown.any():
        where = int(np.nanargmin(margin))
        panel.mark(float(time[where]), float(margin[where]), "o", 5.0, "teal", part="least")
        panel.sheet.write(panel.words(f"least: {margin[where]:.2f}", float(time[where]), float(margin[where]), 7.0,
                                      4.0 + 0.76 * LETTER, colour="teal", bold=True, halo=True))  # fmt: skip
    return panel.sheet
