"""The path of a flight over the ground from above, and from the side along its own direction."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.letters import ASCENT, DESCENT, Box
from bottlewright.figures.letters import width as wide
from bottlewright.figures.marks import arrow, mark
from bottlewright.figures.panel import HEAD, LETTER, SMALL, Axis, Panel, left_room
from bottlewright.figures.places import Places
from bottlewright.figures.sheet import MM, Sheet, Words
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.charts import METRIC, Units
from bottlewright.report.style import FULL_WIDTH

__all__ = ["path_chart"]

Floats = NDArray[np.float64]
_SHAPES = ("s", "o", "^", "v", "D", "P")


def path_chart(
    east: Floats,
    north: Floats,
    height: Floats,
    wind_towards: tuple[float, float] | None = None,
    marks: Sequence[tuple[int, str]] = (),
    units: Units = METRIC,
    width: float = FULL_WIDTH,
) -> Sheet:
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
    away = float(np.hypot(east[-1], north[-1]))
    way = (east[-1] / away, north[-1] / away) if away > 1e-9 else (1.0, 0.0)
    along = east * way[0] + north * way[1]
    beside = width > 120.0  # else one above the other
    unit, metres = ("ft", UNITS[Dimension.LENGTH]["ft"]) if units.inches else ("m", 1.0)

    def scales(x: Floats, y: Floats, x_label: str, y_label: str) -> tuple[Axis, Axis]:
        (low_x, high_x), (low_y, high_y) = _square(x, y)
        return (Axis(low_x, high_x, f"{x_label}, {unit}", metres, most=6),
                Axis(low_y, high_y, f"{y_label}, {unit}", metres, most=6))

    side, plan = scales(along, height, "distance towards the landing", "height"), scales(east, north, "east", "north")
    room = 8.0 + max(left_room(side[1], 170.0), left_room(plan[1], 170.0))
    head, foot = 8.0 + 1.6 * HEAD, 3.4 * LETTER + 6.0
    each = (width * MM - 2.0 * room - 22.0) / 2.0 if beside else width * MM - room - 14.0
    sheet = Sheet(width, ((1 if beside else 2) * (each + head + foot)) / MM)
    boxes = [Box(room, head, room + each, head + each)]
    boxes.append(Box(2.0 * room + each + 8.0, head, 2.0 * (room + each) + 8.0, head + each) if beside else
                 Box(room, 2.0 * head + each + foot, room + each, 2.0 * (head + each) + foot))
    first, second = (Panel(sheet, box, *axes) for box, axes in zip(boxes, (side, plan), strict=True))
    for panel, title in ((first, "From the side"), (second, "From above, north up")):
        panel.scales()
        panel.title(title, lift=6.0)
    first.level(0.0, "ink", 0.8)
    _path(first, along, height, marks, [])
    _path(second, east, north, marks, _wind(second, wind_towards or (0.0, 0.0), way[0] * way[1] > 0, units.miles))
    return sheet


def _square(x: Floats, y: Floats) -> list[tuple[float, float]]:
    """Return both ends of both scales: one scale both ways, wide enough for the path and its names."""
    reach = 1.3 * max(float(np.ptp(x)), float(np.ptp(y)), 4.0)
    middles = (0.5 * float(np.max(v) + np.min(v)) for v in (x, y))
    return [(middle - 0.5 * reach, middle + 0.5 * reach) for middle in middles]


def _wind(panel: Panel, towards: tuple[float, float], right: bool, miles: bool) -> list[Box]:
    """Draw the wind as an arrow of fixed length in a lower corner that the path leaves free; return what it covers."""
    strength = float(np.hypot(*towards))
    if strength < 0.05:
        return []
    left, _, far, bottom = panel.box
    size, mph = far - left, UNITS[Dimension.SPEED]["mph"]
    x, y = left + (0.84 if right else 0.16) * size, bottom - 0.17 * size
    dx, dy = (0.075 * size * part / strength for part in towards)
    arrow(panel.sheet, (x - dx, y + dy), (x + dx, y - dy), "orange", 1.4)
    text = f"wind {strength / mph:.1f} mph" if miles else f"wind {strength:.1f} m/s"
    half = 0.5 * wide(text, SMALL)
    middle = min(max(x, left + half + 2.0), far - half - 2.0)
    words = Words(text, middle, bottom - 0.03 * size, SMALL, "orange", "middle")
    panel.sheet.write(words)
    return [words.box, Box(x - 0.08 * size, y - 0.08 * size, x + 0.08 * size, y + 0.08 * size)]


def _path(panel: Panel, x: Floats, y: Floats, marks: Sequence[tuple[int, str]], taken: Sequence[Box]) -> None:
    """Draw a path with its marks; the names of marks that touch are written as one."""
    near = 0.05 * (panel.x.high - panel.x.low)
    named: list[tuple[int, str]] = []
    for index, name in marks:
        touched = next((k for k, (at, _) in enumerate(named) if np.hypot(x[index] - x[at], y[index] - y[at]) < near),
                       None)  # fmt: skip
        if touched is None:
            named.append((index, name))
        else:
            named[touched] = (named[touched][0], f"{named[touched][1]}, {name}")
    spots = panel.at(x, y)
    panel.sheet.line(spots, "teal", 1.6, part="path", cap="round")
    left, top, right, bottom = panel.box
    places = Places(Box(left + 1.0, top, right + 8.0, bottom - 1.0), [spots])
    for box in taken:
        places.take(box)
    for number, (index, name) in enumerate(marks):
        at_x, at_y = spots[index]
        mark(panel.sheet, _SHAPES[number % len(_SHAPES)], at_x, at_y, 4.5, "ink", "sheet", part=name)
        places.take(Box(at_x - 2.0, at_y - 2.0, at_x + 2.0, at_y + 2.0))
    for index, name in named:
        _name(panel.sheet, places, (float(spots[index, 0]), float(spots[index, 1])), name)


def _name(sheet: Sheet, places: Places, at: tuple[float, float], name: str) -> None:
    """Write a name on that side of its mark where it crosses least."""
    (x, y), choices = at, list[Words]()
    for far in (1.0, 2.4, 3.8):
        for dx, rise in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            foot = y - 3.0 * far - DESCENT * SMALL if rise > 0 else y + 3.0 * far + ASCENT * SMALL
            choices.append(Words(name, x + 6.0 * dx, foot, SMALL, anchor="start" if dx > 0 else "end"))
    places.put(sheet, choices)
