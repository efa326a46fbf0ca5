"""The field from above to be drawn on: a grid, what is drawn so far, where the rocket comes down, and the wind."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.pictures import MARKS, OUTLINE_DASHES, draw_keep_outs, furniture, name_area, outline, rings_on
from bottlewright.field.site import FieldSite
from bottlewright.field.site_plan import StandBack, Stands, plan_frame, ring_of
from bottlewright.figures.letters import Box
from bottlewright.figures.marks import dots
from bottlewright.figures.panel import Axis, Panel
from bottlewright.figures.places import Places
from bottlewright.figures.sheet import MM, Sheet, Words, joined, path
from bottlewright.quantities import UNITS, Dimension

__all__ = ["Beside", "Window", "field_canvas", "grid_step", "window_of"]

Floats = NDArray[np.float64]
class Beside(NamedTuple):
    """Where words stand beside a place: how far to the right and down, points, and which of their ends."""

    right: float
    down: float
    anchor: str


_SIDES = (Beside(9.0, 2.7, "start"), Beside(-9.0, 2.7, "end"), Beside(0.0, 15.0, "middle"),
          Beside(0.0, -10.0, "middle"), Beside(7.0, 13.0, "start"), Beside(-7.0, 13.0, "end"))  # fmt: skip
Window = tuple[float, float, float, float]
"""West, south, east and north edge, metres about the launcher."""

_LEAST = 120.0
"""m; an empty field is shown that wide."""
_TALL = {True: 1.15, False: 0.86}
"""Height over width, on a telephone and on a page."""
_STEP, _MARGIN = 1.4, 1.08
_FINE = 12.0
"""Points between two lines of the grid, at the least."""


def window_of(
    site: FieldSite, people: Sequence[Stands], landings: Sequence[tuple[float, BaseGeometry]],
    stand_back: Sequence[StandBack], narrow: bool, closer: int = 0, middle: tuple[float, float] | None = None,
) -> Window:  # fmt: skip
    """Return the ground that is shown: field, people, landings, and what lies near; `closer` by so many steps.

    Closer, or further off, it lies about a `middle` (m from the launcher) that somebody looks at.
    """
    west, south, east, north = plan_frame(site, people, landings, ring_of(stand_back))
    wide = max(east - west, (north - south) / _TALL[narrow], _LEAST if site.boundary is None else 20.0)
    wide *= _MARGIN / _STEP**closer
    x, y = middle if middle and closer else (0.5 * (west + east), 0.5 * (south + north))
    return x - wide / 2, y - wide * _TALL[narrow] / 2, x + wide / 2, y + wide * _TALL[narrow] / 2


def grid_step(window: Window, width: float, habit: UnitHabit = METRIC) -> tuple[float, str]:
    """Return the step of the grid, m, and its words: 10 m, or the next round one that leaves lines apart."""
    unit = "ft" if habit.inches else "m"
    size = UNITS[Dimension.LENGTH][unit]
    for step in (25, 100, 500, 2000, 10_000, 50_000) if habit.inches else (10, 50, 100, 500, 1000, 5000):
        if step * size / (window[2] - window[0]) * width * MM >= _FINE:
            break
    return step * size, f"{step} {unit}"


def field_canvas(
    site: FieldSite, window: Window, landings: Mapping[str, Floats], outlines: Sequence[tuple[float, BaseGeometry]],
    stand_back: Sequence[StandBack], wind: tuple[float, float] | None, habit: UnitHabit, width: float,
    marked: Sequence[tuple[float, float, str]] = (),
) -> tuple[Panel, list[Beside]]:  # fmt: skip
    """Draw the ground at one scale both ways, north up.

    Parameters
    ----------
    site
        As far as it is drawn.
    window
        Of `window_of`.
    landings, outlines, stand_back
        Landings by kind of return, ground that holds a share of them, and how far spectators stand by side.
    wind
        Mean speed (m/s) and the bearing it comes from (rad).
    width
        Of the figure, mm.
    marked
        Places (m) that somebody else marks, with the words beside each.

    Returns
    -------
    tuple
        The drawing, and where the words of each marked place stand clear of each other.
    """
    west, south, east, north = window
    sheet = Sheet(width, width * (north - south) / (east - west))
    panel = Panel(sheet, Box(0.0, 0.0, sheet.width, sheet.height), Axis(west, east), Axis(south, north))
    places = Places(Box(4.0, 4.0, sheet.width - 4.0, sheet.height - 4.0))
    ring = ring_of(stand_back)
    if site.boundary is not None:
        sheet.shape(joined(rings_on(panel, site.boundary)), "", "wash")
    _grid(panel, grid_step(window, width, habit)[0])
    if site.boundary is not None:
        outline(panel, site.boundary, "teal", 1.8, (), "edge of the field")
    named = draw_keep_outs(panel, site)
    if ring is not None:
        outline(panel, ring, "orange", 1.3, (5.0, 3.0), "spectators stand beyond")
    for share, ground in outlines:
        outline(panel, ground, "ink", 1.1, OUTLINE_DASHES.get(share, ()), f"{share:g} of landings")
    sheet.clip(panel.box)
    for (shape, colour, size), (name, points) in zip(MARKS, landings.items(), strict=False):
        if len(points):
            dots(sheet, shape, panel.at(points[:, 0], points[:, 1]), size, colour, 0.5, part=name)
    sheet.clip(None)
    furniture(panel, places, wind, habit)
    beside = _beside(panel, places, marked)
    for area, seen in named:
        name_area(panel, places, area, seen)
    return panel, beside


def _beside(panel: Panel, places: Places, marked: Sequence[tuple[float, float, str]]) -> list[Beside]:
    """Return where words stand beside each marked place: at the side where they cover least."""
    spots = [panel.at(east, north)[0].tolist() for east, north, _ in marked]
    for x, y in spots:
        places.take(Box(x - 7.0, y - 8.0, x + 7.0, y + 8.0))
    found = []
    for (x, y), (_, _, text) in zip(spots, marked, strict=True):
        boxes = {one: Words(text, x + one.right, y + one.down, anchor=one.anchor, bold=True).box for one in _SIDES}
        best = min(boxes, key=lambda one: places.cost(boxes[one]))
        places.take(boxes[best])
        found.append(best)
    return found


def _grid(panel: Panel, step: float) -> None:
    """Draw lines so many metres apart, one of them through the launcher."""
    lines = []
    for axis, across in ((panel.x, panel.y), (panel.y, panel.x)):
        for place in np.arange(np.ceil(axis.low / step), axis.high / step) * step:
            ends = [(place, across.low), (place, across.high)]
            lines.append(path(panel.at(*np.asarray(ends if axis is panel.x else [end[::-1] for end in ends]).T)))
    panel.sheet.shape("".join(lines), "rules", thick=0.5, part="grid")
