"""Charts of a flight and of a firing, drawn from plain arrays in SI units."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bottlewright.report.style import DASHES, FULL_WIDTH, LIGHT, MM, SERIES, Event, mark_events, paper_style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["firing_chart", "height_and_speed_chart", "margin_chart", "path_chart"]

Floats = NDArray[np.float64]
WIDTH = FULL_WIDTH * MM


def _figure(height_mm: float, rows: int, ratios: Sequence[float] | None = None) -> tuple["Figure", list["Axes"]]:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH, height_mm * MM), layout="constrained")
    axes = figure.subplots(rows, 1, sharex=True, squeeze=False, height_ratios=ratios or [1.0] * rows)
    return figure, list(axes[:, 0])


def _line(axes: "Axes", x: Floats, y: Floats, series: int, title: str) -> None:
    axes.plot(x, y, color=LIGHT[SERIES[series]], ls=DASHES[series])
    axes.set_title(title, color=LIGHT[SERIES[series]])
    axes.margins(x=0.0)


def firing_chart(
    time: Floats, thrust: Floats, gauge_pressure: Floats, water: Floats, events: Sequence[Event] = ()
) -> "Figure":
    """Draw thrust, gauge pressure and water left against time, one above the other.

    Parameters
    ----------
    time, thrust, gauge_pressure, water
        In s, N, Pa above the outside air, kg.
    events
        Moments to mark, such as the end of the water.
    """
    with paper_style():
        figure, (top, middle, bottom) = _figure(112, 3, [1.5, 1, 1])
        ms = time * 1e3
        marks = [Event(event.time * 1e3, event.label) for event in events]
        _line(top, ms, thrust, 0, "Thrust, N")
        _line(middle, ms, gauge_pressure / 1e5, 1, "Pressure in the bottle, bar gauge")
        _line(bottom, ms, water * 1e3, 2, "Water left, g")
        _cut_the_jolt(top, ms, thrust)
        for axes in (top, middle, bottom):
            axes.set_ylim(bottom=min(0.0, float(thrust.min())) if axes is top else 0.0)
            mark_events(axes, marks, label=False)
        _names_on_top(top, marks)
        bottom.set_xlabel("time, ms")
    return figure


def _cut_the_jolt(axes: "Axes", ms: Floats, thrust: Floats) -> None:
    """Let a jolt at the very start run out of the picture, its size in words, so that the rest can be read.

    Water that is set in motion at once pushes many times harder than the steady jet, for about a millisecond.
    """
    later = thrust[ms > ms[0] + 0.04 * (ms[-1] - ms[0])]
    if not later.size or thrust.max() < 2.0 * later.max() or thrust.argmax() >= thrust.size - later.size:
        return
    axes.set_ylim(top=1.35 * float(later.max()))
    axes.annotate(
        f"{thrust.max():.0f} N at most, for about 1 ms, as the water starts to move",
        (0.0, 1.0),
        xycoords="axes fraction",
        xytext=(8, -3),
        textcoords="offset points",
        va="top",
        fontsize=7.5,
        color=LIGHT["teal"],
    )


def _names_on_top(axes: "Axes", events: Sequence[Event]) -> None:
    """Write the names of the events over the uppermost chart, its title moved up to make room."""
    rows = mark_events(axes, events)
    axes.set_title(axes.get_title(loc="left"), pad=(6 if rows else 4) + 10 * rows, color=axes.lines[0].get_color())


def height_and_speed_chart(time: Floats, height: Floats, speed: Floats, events: Sequence[Event] = ()) -> "Figure":
    """Draw height above the launch point (m) and speed (m/s) against time (s)."""
    with paper_style():
        figure, (top, bottom) = _figure(98, 2, [1.25, 1])
        _line(top, time, height, 0, "Height above the launch point, m")
        _line(bottom, time, speed, 1, "Speed, m/s")
        top.set_ylim(0.0, 1.15 * max(float(np.max(height)), 0.1))
        bottom.set_ylim(0.0, 1.2 * max(float(np.max(speed)), 0.1))
        peak = int(np.argmax(height))
        top.plot(time[peak], height[peak], "o", color=LIGHT["teal"], ms=5)
        top.annotate(
            f"{height[peak]:.1f} m",
            (time[peak], height[peak]),
            xytext=(7, 3),
            textcoords="offset points",
            va="bottom",
            fontweight="bold",
            color=LIGHT["teal"],
        )
        fast = int(np.argmax(speed))
        bottom.annotate(
            f"{speed[fast]:.1f} m/s",
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


def margin_chart(time: Floats, margin: Floats, low: float, high: float, events: Sequence[Event] = ()) -> "Figure":
    """Draw the static margin in calibres against time (s), with the band between the two limits.

    Moments in which the rocket moves too slowly for the margin to matter are NaN in `margin` and left out.
    """
    with paper_style():
        figure, (axes,) = _figure(66, 1)
        shown = np.isfinite(margin)
        _line(axes, time, margin, 0, "Static margin, calibres")
        if shown.any():
            pad = 0.02 * max(float(np.ptp(time[shown])), 1e-3)
            axes.set_xlim(time[shown][0] - pad, time[shown][-1] + pad)
            least, most = float(np.min(margin[shown])), float(np.max(margin[shown]))
            axes.set_ylim(min(0.0, least - 0.3), max(high, most) + 0.5)
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
    """
    from matplotlib.figure import Figure

    with paper_style():
        away = float(np.hypot(east[-1], north[-1]))
        way = (east[-1] / away, north[-1] / away) if away > 1e-9 else (1.0, 0.0)
        along = east * way[0] + north * way[1]
        figure = Figure(figsize=(WIDTH, 88 * MM), layout="constrained")
        side, plan = figure.subplots(1, 2)
        _path(side, along, height, marks)
        side.axhline(0.0, color=LIGHT["ink"], lw=0.8)
        side.set_title("From the side")
        side.set_xlabel("distance towards the landing, m")
        side.set_ylabel("height, m")
        _path(plan, east, north, marks)
        plan.set_title("From above, north up")
        plan.set_xlabel("east, m")
        plan.set_ylabel("north, m")
        _same_scale(side, along, height)
        _same_scale(plan, east, north)
        if wind_towards is not None:
            _wind_arrow(plan, wind_towards, right=way[0] * way[1] > 0)
    return figure


def _wind_arrow(axes: "Axes", towards: tuple[float, float], right: bool) -> None:
    """Draw the wind as an arrow of fixed length in a lower corner that the path leaves free."""
    strength = float(np.hypot(*towards))
    if strength < 0.05:
        return
    x, y = 0.86 if right else 0.14, 0.17
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
        f"wind {strength:.1f} m/s",
        (x, 0.03),
        xycoords="axes fraction",
        fontsize=7.5,
        color=LIGHT["orange"],
        va="bottom",
        ha="center",
    )


def _path(axes: "Axes", x: Floats, y: Floats, marks: Sequence[tuple[int, str]]) -> None:
    """Draw a path with its marks; the names of marks that nearly touch are written as one."""
    reach = max(float(np.ptp(x)), float(np.ptp(y)), 4.0)
    named: list[tuple[int, str]] = []
    for index, name in marks:
        level = [k for k, (at, _) in enumerate(named) if abs(y[index] - y[at]) < 0.06 * reach]
        touched = next((k for k in level if abs(x[index] - x[named[k][0]]) < 0.22 * reach), None)
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
    for index, name in named:
        axes.annotate(name, (x[index], y[index]), xytext=(6, 4), textcoords="offset points", fontsize=7.5)


def _same_scale(axes: "Axes", x: Floats, y: Floats) -> None:
    """Show both directions at one scale, in a square wide enough for the path and its labels, and at least 4 m."""
    reach = 1.3 * max(float(np.ptp(x)), float(np.ptp(y)), 4.0)
    mid_x, mid_y = (float(np.max(v) + np.min(v)) / 2 for v in (x, y))
    axes.set_xlim(mid_x - reach / 2, mid_x + reach / 2)
    axes.set_ylim(mid_y - reach / 2, mid_y + reach / 2)
    axes.set_aspect("equal")
