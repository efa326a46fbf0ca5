"""Charts of a flight and of a firing, drawn from plain arrays in SI units."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.own_ticks import own_ticks
from bottlewright.report.style import DASHES, FULL_WIDTH, LIGHT, MM, SERIES, Event, mark_events, paper_style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["Units", "firing_chart", "height_and_speed_chart", "margin_chart", "path_chart"]

Floats = NDArray[np.float64]
_PLATE = {"fc": LIGHT["sheet"], "ec": "none", "pad": 0.8}
"""Ground behind words that a line may cross."""


def _figure(
    width: float, height: float, rows: int, ratios: Sequence[float] | None = None
) -> tuple["Figure", list["Axes"]]:
    """Return a figure of a width and height, mm, with charts one above the other."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width * MM, height * MM), layout="constrained")
    axes = figure.subplots(rows, 1, sharex=True, squeeze=False, height_ratios=ratios or [1.0] * rows)
    return figure, list(axes[:, 0])


def _line(axes: "Axes", x: Floats, y: Floats, series: int, title: str) -> None:
    axes.plot(x, y, color=LIGHT[SERIES[series]], ls=DASHES[series])
    axes.set_title(title, color=LIGHT[SERIES[series]])
    axes.margins(x=0.0)


def _in_own_unit(axes: "Axes", title: str, metric: str, own: str, size: float) -> None:
    """Let an axis drawn in a metric unit read in the builder's own, `size` times as large; metric goes to the right.

    Its limits are set before.
    """
    axes.set_title(f"{title}, {own}", color=axes.lines[0].get_color())
    scale = axes.secondary_yaxis("right")
    scale.set_ylabel(metric)
    scale.spines["right"].set_visible(True)
    own_ticks(axes.yaxis, size, 5)


class Units(NamedTuple):
    """Which kinds of quantity a chart shows in inch-pound units first, as `UnitHabit` has them."""

    psi: bool = False
    inches: bool = False
    pounds: bool = False
    miles: bool = False


METRIC = Units()

_FT, _MPH = UNITS[Dimension.LENGTH]["ft"], UNITS[Dimension.SPEED]["mph"]
_LBF, _OZ, _PSI = UNITS[Dimension.FORCE]["lbf"], UNITS[Dimension.MASS]["oz"], UNITS[Dimension.PRESSURE]["psi"]


def firing_chart(
    time: Floats,
    thrust: Floats,
    gauge_pressure: Floats,
    water: Floats,
    events: Sequence[Event] = (),
    units: Units = METRIC,
    width: float = FULL_WIDTH,
) -> "Figure":
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
    with paper_style():
        figure, (top, middle, bottom) = _figure(width, 112, 3, [1.5, 1, 1])
        ms = time * 1e3
        marks = [Event(event.time * 1e3, event.label) for event in events]
        _line(top, ms, thrust, 0, "Thrust, N")
        _line(middle, ms, gauge_pressure / 1e5, 1, "Pressure in the bottle, bar gauge")
        _line(bottom, ms, water * 1e3, 2, "Water left, g")
        _cut_the_jolt(top, ms, thrust, units.pounds)
        for axes in (top, middle, bottom):
            axes.set_ylim(bottom=min(0.0, float(thrust.min())) if axes is top else 0.0)
            mark_events(axes, marks, label=False)
        if units.pounds:
            _in_own_unit(top, "Thrust", "N", "lbf", _LBF)
            _in_own_unit(bottom, "Water left", "g", "oz", 1e3 * _OZ)
        if units.psi:
            _in_own_unit(middle, "Pressure in the bottle on the gauge", "bar", "psi", _PSI / 1e5)
        _names_on_top(top, marks)
        bottom.set_xlabel("time, ms")
    return figure


def _cut_the_jolt(axes: "Axes", ms: Floats, thrust: Floats, pounds: bool) -> None:
    """Let a jolt at the very start run out of the picture, its size in words, so that the rest can be read.

    Water that is set in motion at once pushes many times harder than the steady jet, for about a millisecond.
    """
    later = thrust[ms > ms[0] + 0.04 * (ms[-1] - ms[0])]
    if not later.size or thrust.max() < 2.0 * later.max() or thrust.argmax() >= thrust.size - later.size:
        return
    top = 1.35 * float(later.max())
    axes.set_ylim(top=top)
    fallen = ms[int(np.argmax(thrust < 0.8 * top))]  # the words stand clear of the falling line
    most = f"{thrust.max() / _LBF:.0f} lbf" if pounds else f"{thrust.max():.0f} N"
    axes.annotate(
        f"{most} at most, for about 1 ms, as the water starts to move",
        (fallen, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(4, -3),
        textcoords="offset points",
        va="top",
        fontsize=7.5,
        color=LIGHT["teal"],
        bbox=_PLATE,
    )


def _names_on_top(axes: "Axes", events: Sequence[Event]) -> None:
    """Write the names of the events over the uppermost chart, its title moved up to make room."""
    rows = mark_events(axes, events)
    axes.set_title(axes.get_title(loc="left"), pad=(6 if rows else 4) + 10 * rows, color=axes.lines[0].get_color())


def height_and_speed_chart(
    time: Floats,
    height: Floats,
    speed: Floats,
    events: Sequence[Event] = (),
    units: Units = METRIC,
    width: float = FULL_WIDTH,
) -> "Figure":
    """Draw height above the launch point (m) and speed (m/s) against time (s), in feet and miles an hour if asked."""
    with paper_style():
        figure, (top, bottom) = _figure(width, 98, 2, [1.25, 1])
        _line(top, time, height, 0, "Height above the launch point, m")
        _line(bottom, time, speed, 1, "Speed, m/s")
        top.set_ylim(0.0, 1.15 * max(float(np.max(height)), 0.1))
        bottom.set_ylim(0.0, 1.2 * max(float(np.max(speed)), 0.1))
        if units.inches:
            _in_own_unit(top, "Height above the launch point", "m", "ft", _FT)
        if units.miles:
            _in_own_unit(bottom, "Speed", "m/s", "mph", _MPH)
        peak = int(np.argmax(height))
        top.plot(time[peak], height[peak], "o", color=LIGHT["teal"], ms=5)
        top.annotate(
            f"{height[peak] / _FT:.0f} ft" if units.inches else f"{height[peak]:.1f} m",
            (time[peak], height[peak]),
            xytext=(7, 3),
            textcoords="offset points",
            va="bottom",
            fontweight="bold",
            color=LIGHT["teal"],
        )
        fast = int(np.argmax(speed))
        bottom.annotate(
            f"{speed[fast] / _MPH:.1f} mph" if units.miles else f"{speed[fast]:.1f} m/s",
            (time[fast], speed[fast]),
            xytext=(8, 0),
            textcoords="offset points",
            va="bottom",
            fontweight="bold",
            color=LIGHT["orange"],
        )
        mark_events(bottom, events, label=False)
        _names_on_top(top, events)
        bottom.set_xlabel("time, s")
    return figure


def margin_chart(
    time: Floats, margin: Floats, low: float, high: float, events: Sequence[Event] = (), width: float = FULL_WIDTH
) -> "Figure":
    """Draw the static margin in calibres against time (s), with the band between the two limits.

    Moments in which the rocket moves too slowly for the margin to matter are NaN in `margin` and left out.
    """
    with paper_style():
        figure, (axes,) = _figure(width, 66, 1)
        shown = np.isfinite(margin)
        _line(axes, time, margin, 0, "Static margin, calibres (body widths)")
        if shown.any():
            pad = 0.02 * max(float(np.ptp(time[shown])), 1e-3)
            axes.set_xlim(time[shown][0] - pad, time[shown][-1] + pad)
            least, most = float(np.min(margin[shown])), float(np.max(margin[shown]))
            upper = max(high, most) + 0.5
            axes.set_ylim(min(0.0, least - 0.2 * (upper - least)), upper)  # room for the least in words
            where = int(np.nanargmin(margin))
            axes.plot(time[where], least, "o", color=LIGHT["teal"], ms=5)
            axes.annotate(
                f"least: {least:.2f}",
                (time[where], least),
                xytext=(7, -4),
                textcoords="offset points",
                va="top",
                fontweight="bold",
                color=LIGHT["teal"],
                bbox=_PLATE,
            )
        axes.axhspan(low, high, color=LIGHT["wash"], zorder=0, lw=0)
        limits = (low, "less: may swing or tumble", "top"), (high, "more: turns into the wind", "bottom")
        for level, words, side in limits:
            axes.axhline(level, color=LIGHT["orange"], lw=0.9, ls=DASHES[1], zorder=1)
            axes.annotate(
                f"{level:g}, {words}",
                (1.0, level),
                xycoords=("axes fraction", "data"),
                ha="right",
                va=side,
                xytext=(-3, -2 if side == "top" else 2),
                textcoords="offset points",
                fontsize=7.5,
                color=LIGHT["orange"],
            )
        axes.axhline(0.0, color=LIGHT["ink"], lw=0.8)
        _names_on_top(axes, events)
        axes.set_xlabel("time, s")
    return figure


def path_chart(
    east: Floats,
    north: Floats,
    height: Floats,
    wind_towards: tuple[float, float] | None = None,
    marks: Sequence[tuple[int, str]] = (),
    units: Units = METRIC,
    width: float = FULL_WIDTH,
) -> "Figure":
    """Draw the path over the ground from above, and from the side along its own direction.

    Parameters
    ----------
    east, north, height
        Path from the launch point, m.
    wind_towards
        Where the air goes, east and north part, m/s; None in still air.
    marks
        Index into the path and name of each place to mark.
    units
        Whether distances read in feet and the wind in miles an hour.
    width
        Of the figure, mm.
    """
    from matplotlib.figure import Figure

    with paper_style():
        away = float(np.hypot(east[-1], north[-1]))
        way = (east[-1] / away, north[-1] / away) if away > 1e-9 else (1.0, 0.0)
        along = east * way[0] + north * way[1]
        beside = width > 120.0  # else one above the other
        figure = Figure(figsize=(width * MM, (88 if beside else 168) * MM), layout="constrained")
        side, plan = figure.subplots(1, 2) if beside else figure.subplots(2, 1)
        side.axhline(0.0, color=LIGHT["ink"], lw=0.8)
        side.set_title("From the side")
        unit = "ft" if units.inches else "m"
        side.set_xlabel(f"distance towards the landing, {unit}")
        side.set_ylabel(f"height, {unit}")
        plan.set_title("From above, north up")
        plan.set_xlabel(f"east, {unit}")
        plan.set_ylabel(f"north, {unit}")
        _path(side, along, height, marks)
        arrow = _wind_arrow(plan, wind_towards or (0.0, 0.0), way[0] * way[1] > 0, units.miles)
        _path(plan, east, north, marks, arrow)
        for axis in (side.xaxis, side.yaxis, plan.xaxis, plan.yaxis) if units.inches else ():
            own_ticks(axis, _FT)
    return figure


class _Box(NamedTuple):
    """A rectangle in points from the lower left corner of the axes."""

    left: float
    low: float
    right: float
    high: float

    def holds(self, x: Floats, y: Floats) -> int:
        """Return how many of the points lie inside."""
        return int(np.sum((x > self.left) & (x < self.right) & (y > self.low) & (y < self.high)))

    def meets(self, other: "_Box") -> bool:
        """Return whether the two overlap."""
        apart = self.right < other.left or other.right < self.left or self.high < other.low or other.high < self.low
        return not apart


_SQUARE = 170.0
"""Side of the square that shows a path, points: what the figure's layout leaves for it, nearly."""


def _wind_arrow(axes: "Axes", towards: tuple[float, float], right: bool, miles: bool) -> list[_Box]:
    """Draw the wind as an arrow of fixed length in a lower corner that the path leaves free; return what it covers."""
    strength = float(np.hypot(*towards))
    if strength < 0.05:
        return []
    x, y = 0.84 if right else 0.16, 0.17
    dx, dy = (0.075 * part / strength for part in towards)
    axes.annotate(
        "",
        (x + dx, y + dy),
        (x - dx, y - dy),
        xycoords="axes fraction",
        textcoords="axes fraction",
        arrowprops={"arrowstyle": "-|>", "color": LIGHT["orange"], "lw": 1.4, "shrinkA": 0, "shrinkB": 0},
    )
    axes.annotate(
        f"wind {strength / _MPH:.1f} mph" if miles else f"wind {strength:.1f} m/s",
        (x, 0.03),
        xycoords="axes fraction",
        fontsize=7.5,
        color=LIGHT["orange"],
        va="bottom",
        ha="center",
    )
    return [_Box((x - 0.16) * _SQUARE, 0.0, (x + 0.16) * _SQUARE, 0.26 * _SQUARE)]


def _path(axes: "Axes", x: Floats, y: Floats, marks: Sequence[tuple[int, str]], taken: Sequence[_Box] = ()) -> None:
    """Draw a path with its marks at one scale; the names of marks that touch are written as one."""
    reach = _same_scale(axes, x, y)
    named: list[tuple[int, str]] = []
    for index, name in marks:
        near = (k for k, (at, _) in enumerate(named) if np.hypot(x[index] - x[at], y[index] - y[at]) < 0.05 * reach)
        touched = next(near, None)
        if touched is None:
            named.append((index, name))
        else:
            named[touched] = (named[touched][0], f"{named[touched][1]}, {name}")
    axes.plot(x, y, color=LIGHT["teal"])
    shapes = ("s", "o", "^", "v", "D", "P")
    for number, (index, _) in enumerate(marks):
        axes.plot(
            x[index], y[index], shapes[number % len(shapes)], color=LIGHT["ink"], ms=4.5, mfc=LIGHT["sheet"], zorder=4
        )
    covered = list(taken)
    points = _SQUARE / reach
    px, py = (x - axes.get_xlim()[0]) * points, (y - axes.get_ylim()[0]) * points
    for index, name in named:
        covered.append(_name(axes, px, py, index, name, covered))


def _name(axes: "Axes", px: Floats, py: Floats, index: int, name: str, covered: Sequence[_Box]) -> _Box:
    """Write a name on that side of its mark where it crosses least; return the box that it takes.

    Parameters
    ----------
    px, py
        The path in points from the lower left corner of the axes.
    """
    at, up, wide, tall = float(px[index]), float(py[index]), 4.6 * len(name), 9.0

    def box(side: int, rise: int) -> _Box:
        left = at + 6.0 if side > 0 else at - 6.0 - wide
        low = up + 3.0 if rise > 0 else up - 3.0 - tall
        return _Box(left, low, left + wide, low + tall)

    def cost(sides: tuple[int, int]) -> float:
        one = box(*sides)
        outside = one.left < 0.0 or one.right > _SQUARE + 12.0 or one.low < 0.0 or one.high > _SQUARE
        return 5.0 * sum(one.meets(other) for other in covered) + 5.0 * outside + min(one.holds(px, py), 4)

    side, rise = best = min(((1, 1), (1, -1), (-1, 1), (-1, -1)), key=cost)
    axes.annotate(
        name,
        (px[index] / _SQUARE, py[index] / _SQUARE),
        xycoords="axes fraction",
        xytext=(6 * side, 3 * rise),
        textcoords="offset points",
        fontsize=7.5,
        ha="left" if side > 0 else "right",
        va="bottom" if rise > 0 else "top",
    )
    return box(*best)


def _same_scale(axes: "Axes", x: Floats, y: Floats) -> float:
    """Show both directions at one scale, in a square wide enough for the path and its names; return its side, m."""
    reach = 1.3 * max(float(np.ptp(x)), float(np.ptp(y)), 4.0)
    mid_x, mid_y = (float(np.max(v) + np.min(v)) / 2 for v in (x, y))
    axes.set_xlim(mid_x - reach / 2, mid_x + reach / 2)
    axes.set_ylim(mid_y - reach / 2, mid_y + reach / 2)
    axes.set_aspect("equal")
    return reach
