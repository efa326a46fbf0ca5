"""Pictures of Tune: the response over water and pressure, the front of height, and the sources of the spread."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most, percent
from bottlewright.figures.colours import DASHES
from bottlewright.figures.contours import beyond_limit, heights_of, name_levels, surface
from bottlewright.figures.key import KeyEntry, area_entry, draw_key, key_height
from bottlewright.figures.letters import ASCENT, Box
from bottlewright.figures.letters import width as wide
from bottlewright.figures.panel import HEAD, LETTER, SMALL, Axis, Panel, left_room, reach
from bottlewright.figures.places import Places
from bottlewright.figures.sheet import MM, Sheet, Words, path
from bottlewright.figures.ticks import ticks
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import FULL_WIDTH
from bottlewright.tune.mapping import FrontPoint, ResponseMap
from bottlewright.tune.sensitivity import Sources

__all__ = ["front_chart", "response_chart", "sources_chart"]

Floats = NDArray[np.float64]
FINE = 81  # steps of a drawn map along each side
Load = tuple[float, float]


_BESIDE = 120.0
"""A figure wider than this, mm, has room for longer words."""


def response_chart(
    response: ResponseMap, present: Load | None, best: Load | None, title: str, habit: UnitHabit,
    ceiling: float | None = None, outside: bool = False, width: float = FULL_WIDTH,
) -> Panel:
    """Draw the height over water and pressure as contour lines, the limits with a hatched far side, and both loads.

    Parameters
    ----------
    response
        The map; its heights are drawn.
    present, best
        Water (m³) and gauge pressure (Pa); None leaves one out.
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
    water, pressure = (np.linspace(way[0], way[-1], FINE) * size
                       for way, size in ((response.water, 1e6), (response.pressure, 1e-5)))  # fmt: skip
    unit, metres = ("ft", UNITS[Dimension.LENGTH]["ft"]) if habit.inches else ("m", 1.0)
    seen = present or (float(response.water[0]), float(response.pressure[0]))
    top = max(float(pressure.max()), seen[1] / 1e5) * 1.04
    x = Axis(min(water.min(), seen[0] * 1e6), max(water.max(), seen[0] * 1e6), "water, mL")
    y = Axis(float(pressure.min()), top, *_pressure(habit))
    limits = _limits(response)
    key = [entry for _, _, _, entry in limits]
    left, tall, across = 8.0 + left_room(y, 200.0), 112.0 if width > _BESIDE else 100.0, width * MM - 20.0
    below, head = 3.4 * LETTER + 8.0, 8.0 + 1.6 * HEAD
    sheet = Sheet(width, tall + key_height(key, across) / MM)
    panel = Panel(sheet, Box(left, head, sheet.width - 12.0, tall * MM - below), x, y)
    panel.scales()
    panel.title(title, lift=6.0)
    heights = _finer(response, np.nan_to_num(response.height, neginf=0.0)) / metres
    levels = _levels(heights)
    drawn = heights_of(panel, surface(water, pressure, heights), levels, "teal")
    for number, (name, slack, colour, _) in enumerate(limits):
        beyond_limit(panel, surface(water, pressure, slack), colour, number, name)
    places = Places(panel.box)
    if ceiling is not None and ceiling / 1e5 <= top:
        _draw_ceiling(panel, places, ceiling / 1e5, at_most(habit, ceiling))
    both = ((present, "o", present_name(outside), 8.0), (best, "*", "recommended", 13.0))
    named = [(load, shape, name, size) for load, shape, name, size in both if load]
    for (litres, pascals), shape, name, size in named:
        panel.mark(litres * 1e6, pascals / 1e5, shape, size, "ink", "orange", "ink", part=name)
        ((at, up),) = panel.at(litres * 1e6, pascals / 1e5)
        places.take(Box(at - 0.5 * size, up - 0.5 * size, at + 0.5 * size, up + 0.5 * size))
    for (litres, pascals), _, name, size in named:
        ((at, up),) = panel.at(litres * 1e6, pascals / 1e5)
        places.beside(sheet, name, at, up, 0.5 * size + 4.0, bold=True, halo=True)
    name_levels(panel, places, drawn, unit)
    draw_key(sheet, key, 10.0, panel.box.bottom + below - 4.0, across)
    return panel


def _pressure(habit: UnitHabit) -> tuple[str, float]:
    """Return the name of an axis whose data are in bar, and its unit in bar, as the builder has it."""
    return (f"pressure, {'psi' if habit.psi else 'bar'} gauge",
            UNITS[Dimension.PRESSURE]["psi"] / 1e5 if habit.psi else 1.0)


def _draw_ceiling(panel: Panel, places: Places, bar: float, said: str) -> None:
    """Draw the highest pressure to aim at, its words over the line."""
    panel.level(bar, "ink", 2.0, part="ceiling")
    at = float(panel.at_y(bar))
    places.take(Box(panel.box.left, at - 1.5, panel.box.right, at + 1.5))
    words = f"{said}, the highest pressure to aim at"
    one = Words(words, panel.box.right - 4.0, at - 4.0, SMALL, anchor="end", halo=True)
    places.take(one.box)
    panel.sheet.write(one)


def _finer(response: ResponseMap, values: Floats) -> Floats:
    """Return the values on finer, even steps of water and pressure, by bicubic splines, rows by pressure."""
    from scipy.interpolate import RectBivariateSpline

    water, pressure = response.water, response.pressure
    degree = min(3, len(water) - 1)
    spline = RectBivariateSpline(water, pressure, values, kx=degree, ky=degree)
    return np.asarray(
        spline(np.linspace(water[0], water[-1], FINE), np.linspace(pressure[0], pressure[-1], FINE)), float
    ).T


def present_name(outside: bool) -> str:
    """Return the present load's name in a legend."""
    return "present load, beyond a limit" if outside else "present load"


def _levels(heights: Floats) -> list[float]:
    """Return eight or so round levels; none at or under 0, where the rocket stays on the launcher or just off it."""
    return [level for level in ticks(float(heights.min()), float(heights.max()), 8) if level > 0.0]


def _limits(response: ResponseMap) -> list[tuple[str, Floats, str, KeyEntry]]:
    """Return name, slack, colour and entry of the key for each limit that some ground of the map lies beyond."""
    found = list[tuple[str, Floats, str, KeyEntry]]()
    for name, slack in response.slacks.items():
        kept = _finer(response, np.clip(np.nan_to_num(slack, nan=-2.0), -2.0, 2.0))
        if kept.min() < 0.0:
            number = len(found)
            colour = ("orange", "blue", "plum", "ochre")[number % 4]
            entry = area_entry(f"beyond: {name}", colour, number % 4, DASHES[(number + 1) % len(DASHES)])
            found.append((name, kept, colour, entry))
    return found


def front_chart(
    points: Sequence[FrontPoint], present: Load, share: str, habit: UnitHabit, outside: bool = False,
    width: float = FULL_WIDTH,
) -> Sheet:
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
    bars, heights = ([point.pressure / 1e5 for point in points], [point.height for point in points])
    every = [*bars, present[0] / 1e5]
    low, high = reach(every, least=0.4)
    pad = 0.05 * (high - low)
    metres = UNITS[Dimension.LENGTH]["ft"] if habit.inches else 1.0
    x = Axis(low - pad, high + pad, *_pressure(habit))
    y = Axis(0.0, 1.08 * max(*heights, present[1], 1.0), f"height, {'ft' if habit.inches else 'm'}", metres)
    sheet = Sheet(width, 84.0)
    box = Box(8.0 + left_room(y, 180.0), 8.0 + 1.6 * HEAD, sheet.width - 12.0, sheet.height - 3.4 * LETTER - 6.0)
    panel = Panel(sheet, box, x, y)
    panel.scales()
    panel.title(f"Height that {share} {'passes' if share.startswith('the ') else 'pass'}", lift=6.0)
    places = Places(box, [panel.at(bars, heights)] if points else [])
    panel.line(bars, heights, "teal", part="front") if points else None
    for point in points:
        panel.mark(point.pressure / 1e5, point.height, "o", 4.0, "teal", part=f"{point.water * 1e6:.0f} mL")
    panel.mark(present[0] / 1e5, present[1], "o", 8.0, "ink", "orange", "ink", part="present")
    ((at, up),) = panel.at(present[0] / 1e5, present[1])
    places.take(Box(at - 4.0, up - 4.0, at + 4.0, up + 4.0))
    places.beside(sheet, present_name(outside), at, up, 8.0, bold=True, halo=True)
    for point in points[1::2]:
        ((at, up),) = panel.at(point.pressure / 1e5, point.height)
        places.beside(sheet, f"{point.water * 1e6:.0f} mL", at, up, 5.0, size=SMALL, colour="soft", halo=True)
    if points:
        ((at, up),) = panel.at(bars[len(bars) // 2], heights[len(bars) // 2])
        said = "best water for each pressure, inside all limits" if width > _BESIDE else "best water, inside all limits"
        places.beside(sheet, said, at, up, 8.0, size=SMALL, colour="teal", halo=True)
    return sheet


def sources_chart(found: Sources, width: float = FULL_WIDTH) -> Sheet:
    """Draw the share of the variance that each uncertainty makes, with its interval."""
    rows = [*found.sources][::-1]
    sheet = Sheet(width, 22.0 + 7.0 * max(len(rows), 1))
    most = max((max(source.high, source.total) for source in rows), default=0.01)
    label = "share of the spread (variance), %" + (
        f", interplay included; thin line: {percent(0.95)} interval" if width > _BESIDE else ""
    )
    y = Axis(-0.5, max(len(rows), 1) - 0.5, named=[(float(place), one.path) for place, one in enumerate(rows)])
    left = 8.0 + left_room(y, 100.0)
    x = Axis(0.0, (118.0 if width > _BESIDE else 135.0) * max(most, 0.01), label)
    panel = Panel(sheet, Box(left, 8.0, sheet.width - 12.0, sheet.height - 3.4 * LETTER - 4.0), x._replace(label=""), y)
    panel.scales(y_grid=False)
    middle = min(0.5 * (panel.box.left + panel.box.right), sheet.width - 6.0 - 0.5 * wide(label, LETTER))
    sheet.write(Words(label, middle, panel.box.bottom + 2.95 * LETTER, anchor="middle"))
    for place, source in enumerate(rows):
        share, up = 100.0 * source.total, float(place)
        panel.block((0.0, share), (up - 0.31, up + 0.31), "wash", "teal")
        sheet.shape(path(panel.at([100.0 * source.low, 100.0 * source.high], [up, up])), "ink", thick=1.2,
                    part=source.path)  # fmt: skip
        sheet.write(panel.words(percent(source.total), max(100.0 * source.high, share), up, 5.0,
                                0.5 * (ASCENT - 0.04) * LETTER))  # fmt: skip
    return sheet
