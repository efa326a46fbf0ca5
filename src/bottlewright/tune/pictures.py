"""Pictures of Tune: the response over water and pressure, the front of height, and the sources of the spread."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most, percent
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.own_ticks import own_ticks
from bottlewright.report.style import DASHES, FULL_WIDTH, LIGHT, MM, paper_style
from bottlewright.tune.mapping import FrontPoint, ResponseMap
from bottlewright.tune.sensitivity import Sources

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["front_chart", "response_chart", "sources_chart"]

Floats = NDArray[np.float64]
FINE = 81  # steps of a drawn map along each side
Load = tuple[float, float]


def response_chart(
    response: ResponseMap, present: Load, best: Load, title: str, habit: UnitHabit, ceiling: float | None = None,
    outside: bool = False, width: float = FULL_WIDTH,
) -> "Figure":
    """Draw the height over water and pressure as contour lines, the limits with a hatched far side, and both loads.

    Parameters
    ----------
    response
        The map; its heights are drawn.
    present, best
        Water (m³) and gauge pressure (Pa).
    title
        What the lines say.
    habit
        Units of the builder.
    ceiling
        Highest pressure allowed, Pa.
    outside
        Whether the present load does not keep to a limit.
    width
        Of the figure, mm.
    """
    from matplotlib.colors import LinearSegmentedColormap, to_rgba
    from matplotlib.figure import Figure

    with paper_style():
        figure = Figure(figsize=(width * MM, (112 if width > 120.0 else 100) * MM), layout="constrained")
        axes = figure.add_subplot()
        water = np.linspace(response.water[0], response.water[-1], FINE) * 1e6
        pressure = np.linspace(response.pressure[0], response.pressure[-1], FINE) / 1e5
        # One ink, more of it the higher: on a dark page it turns light with the lines and the lettering.
        shades = LinearSegmentedColormap.from_list("height", [to_rgba(LIGHT["teal"], a) for a in (0.0, 0.45)])
        unit, metres = ("ft", UNITS[Dimension.LENGTH]["ft"]) if habit.inches else ("m", 1.0)
        heights = _finer(response, np.nan_to_num(response.height, neginf=0.0)) / metres
        levels = _levels(heights)
        axes.contourf(water, pressure, heights, levels=levels, cmap=shades, zorder=0.5)
        lines = axes.contour(water, pressure, heights, levels=levels, colors=LIGHT["teal"], linewidths=0.9)
        axes.clabel(lines, fmt=f"%g {unit}", fontsize=7.5)
        for number, (name, slack) in enumerate(response.slacks.items()):
            kept = np.clip(np.nan_to_num(slack, nan=-2.0), -2.0, 2.0)
            _limit(axes, water, pressure, _finer(response, kept), name, number)
        if ceiling is not None:
            axes.axhline(ceiling / 1e5, color=LIGHT["ink"], lw=2.0, zorder=6)
            axes.annotate(
                f"{at_most(habit, ceiling)}, the highest pressure allowed", (1.0, ceiling / 1e5), fontsize=7.5,
                ha="right", xycoords=("axes fraction", "data"), xytext=(-4, 3), textcoords="offset points",
            )
        for (litres, pascals), mark, name in ((present, "o", present_name(outside)), (best, "*", "recommended")):
            axes.plot(litres * 1e6, pascals / 1e5, mark, ms=13 if mark == "*" else 8, mfc=LIGHT["orange"], ls="",
                      mec=LIGHT["ink"], label=name, zorder=8, clip_on=False)
        top = max(float(pressure.max()), present[1] / 1e5) * 1.04
        axes.set(xlabel="water, mL", ylim=(pressure.min(), top))
        axes.set_xlim(min(water.min(), present[0] * 1e6), max(water.max(), present[0] * 1e6))
        _pressure_axis(axes, "y", habit)
        axes.set_title(title)
        figure.legend(loc="outside lower center", ncols=2 if width > 120.0 else 1, frameon=False)
    return figure


def _pressure_axis(axes: "Axes", side: str, habit: UnitHabit) -> None:
    """Name an axis that is drawn in bar, in the builder's unit."""
    axes.set(**{f"{side}label": f"pressure, {'psi' if habit.psi else 'bar'} gauge"})
    if habit.psi:
        own_ticks(axes.xaxis if side == "x" else axes.yaxis, UNITS[Dimension.PRESSURE]["psi"] / 1e5)


def _finer(response: ResponseMap, values: Floats) -> Floats:
    """Return the values on finer, even steps of water and pressure, by bicubic splines, rows by pressure."""
    from scipy.interpolate import RectBivariateSpline

    water, pressure = response.water, response.pressure
    spline = RectBivariateSpline(water, pressure, values)
    return np.asarray(
        spline(np.linspace(water[0], water[-1], FINE), np.linspace(pressure[0], pressure[-1], FINE)), float
    ).T


def present_name(outside: bool) -> str:
    """Return the present load's name in a legend."""
    return "present load, beyond a limit" if outside else "present load"


def _levels(heights: Floats) -> list[float]:
    """Return eight or so round levels; none at or under 0, where the rocket stays on the launcher or just off it."""
    from matplotlib.ticker import MaxNLocator

    ticks = MaxNLocator(9, steps=[1, 2, 2.5, 5, 10]).tick_values(float(heights.min()), float(heights.max()))
    return [float(level) for level in ticks if level > 0.0]


def _limit(axes: "Axes", water: Floats, pressure: Floats, slack: Floats, name: str, number: int) -> None:
    """Hatch the ground beyond a limit and draw its edge, where the map has any."""
    if slack.min() >= 0.0:
        return
    hatches, colours = ("//", "\\\\", "..", "xx"), ("orange", "blue", "plum", "ochre")
    colour = LIGHT[colours[number % 4]]
    ground = axes.contourf(water, pressure, slack, levels=[-9.0, 0.0], colors="none", hatches=[hatches[number % 4]])
    ground.set(facecolor="none", edgecolor=colour, linewidth=0.0, zorder=3)
    if slack.max() > 0.0:
        axes.contour(water, pressure, slack, levels=[0.0], colors=colour, linewidths=1.8,
                     linestyles=[DASHES[(number + 1) % len(DASHES)]], zorder=4)
    axes.plot([], [], color=colour, lw=1.8, ls=DASHES[(number + 1) % len(DASHES)], label=f"beyond: {name}")


def front_chart(
    points: Sequence[FrontPoint], present: Load, share: str, habit: UnitHabit, outside: bool = False,
    width: float = FULL_WIDTH,
) -> "Figure":
    """Draw the best height at each pressure with the water it takes, and the present load.

    Parameters
    ----------
    points
        Of `bottlewright.tune.mapping.front`.
    present
        Gauge pressure (Pa) and height (m) of the present load.
    share
        Which flights pass the height, in words.
    habit
        Units of the builder.
    outside
        Whether the present load does not keep to a limit, and so may lie above the line.
    width
        Of the figure, mm.
    """
    from matplotlib.figure import Figure

    with paper_style():
        figure = Figure(figsize=(width * MM, 84 * MM), layout="constrained")
        axes = figure.add_subplot()
        bars = [point.pressure / 1e5 for point in points]
        heights = [point.height for point in points]
        axes.plot(bars, heights, color=LIGHT["teal"], marker="o", ms=4,
                  label="best water for each pressure, inside all limits")
        for point in points[1::2]:
            axes.annotate(f"{point.water * 1e6:.0f} mL", (point.pressure / 1e5, point.height), xytext=(4, -10),
                          textcoords="offset points", fontsize=7.5, color=LIGHT["soft"])
        axes.plot(present[0] / 1e5, present[1], "o", ms=8, mfc=LIGHT["orange"], mec=LIGHT["ink"], ls="",
                  label=present_name(outside))
        axes.set(ylabel=f"height, {'ft' if habit.inches else 'm'}")
        axes.set_title(f"Height that {share} passes" if share.startswith("the ") else f"Height that {share} pass")
        axes.set_ylim(bottom=0.0)
        _pressure_axis(axes, "x", habit)
        if habit.inches:
            own_ticks(axes.yaxis, UNITS[Dimension.LENGTH]["ft"])
        axes.legend(frameon=False)
    return figure


def sources_chart(found: Sources, width: float = FULL_WIDTH) -> "Figure":
    """Draw the share of the variance that each uncertainty makes, with its interval."""
    from matplotlib.figure import Figure

    with paper_style():
        rows = [*found.sources][::-1]
        figure = Figure(figsize=(width * MM, (22 + 7 * max(len(rows), 1)) * MM), layout="constrained")
        axes = figure.add_subplot()
        places = np.arange(len(rows))
        shares = [100 * source.total for source in rows]
        axes.barh(places, shares, height=0.62, color=LIGHT["wash"], edgecolor=LIGHT["teal"])
        for place, source in zip(places, rows, strict=True):
            axes.plot([100 * source.low, 100 * source.high], [place, place], color=LIGHT["ink"], lw=1.2)
            axes.annotate(percent(source.total), (100 * max(source.high, source.total), place), xytext=(5, 0),
                          textcoords="offset points", va="center", fontsize=8)
        axes.set_yticks(places, [source.path for source in rows])
        axes.grid(visible=False, axis="y")
        axes.margins(x=0.12)
        axes.set_xlim(left=0.0)
        axes.set_xlabel("share of the spread (variance), %" + (
            f", interplay included; thin line: {percent(0.95)} interval" if width > 120.0 else ""
        ))
    return figure
