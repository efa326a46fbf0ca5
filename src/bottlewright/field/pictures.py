"""The map of the field with its landings, and the rose of wind limits."""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import percent
from bottlewright.field.compass import compass
from bottlewright.field.site import Area, FieldSite, polygons
from bottlewright.field.wind_limit import WindLimit
from bottlewright.figures.colours import DASHES
from bottlewright.figures.key import KeyEntry, draw_key, key_height, line_entry, mark_entry
from bottlewright.figures.letters import ASCENT, Box
from bottlewright.figures.letters import width as width_of
from bottlewright.figures.marks import arrow, dots
from bottlewright.figures.panel import HEAD, LETTER, SMALL, Axis, Panel, left_room
from bottlewright.figures.places import Places
from bottlewright.figures.sheet import MM, Sheet, Words, joined, number, path
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import FULL_WIDTH

__all__ = [
    "MARKS", "OUTLINE_DASHES", "RoseScale", "draw_keep_outs", "field_map", "furniture", "name_area", "outline",
    "rings_on", "rose_scale", "wind_rose",
]  # fmt: skip

Floats = NDArray[np.float64]
MARKS = (("o", "teal", 2.0), ("x", "orange", 3.6), ("^", "plum", 3.5), ("s", "ochre", 3.2), ("D", "blue", 3.0))
_HATCH = {"spectators": 2, "road": None, "building": 3, "power line": 0, "trees": 5, "water": 4}
MOST_DRAWN = 1000  # landings of a kind; the outlines are those of all
OUTLINE_DASHES: dict[float, tuple[float, ...]] = {0.5: (), 0.9: DASHES[1], 0.95: DASHES[2]}


def field_map(
    field: FieldSite,
    landings: Mapping[str, Floats],
    outlines: Sequence[tuple[float, BaseGeometry]] = (),
    wind: tuple[float, float] | None = None,
    habit: UnitHabit = METRIC,
    width: float = FULL_WIDTH,
) -> Sheet:
    """Draw the field from above, north up, at one scale both ways.

    Parameters
    ----------
    field
        The site about the launch point.
    landings
        Rows of metres east and north by kind of return, such as ``"under the parachute"``; the commonest first.
    outlines
        Share and ground of each outline.
    wind
        Mean speed (m/s) and the direction it comes from (rad).
    habit
        Units of the builder.
    width
        Of the figure, mm.
    """
    west, south, east, north = _frame(field, landings)
    unit, metres = ("ft", UNITS[Dimension.LENGTH]["ft"]) if habit.inches else ("m", 1.0)
    x, y = (Axis(low, high, f"{name}, {unit}", metres, most=8 if width > 120.0 else 5)
            for low, high, name in ((west, east, "east"), (south, north, "north")))  # fmt: skip
    left, below = 8.0 + left_room(y, 200.0), 3.4 * LETTER + 8.0
    across, tallest = width * MM - left - 12.0, 190.0 * MM
    scale = min(across / (east - west), tallest / (north - south))
    long, high = scale * (east - west), scale * (north - south)
    start = left + 0.5 * (across - long)
    key = _key(field, landings, outlines, width)
    sheet = Sheet(width, (12.0 + high + below + key_height(key, width * MM - 20.0) + 4.0) / MM)
    panel = Panel(sheet, Box(start, 12.0, start + long, 12.0 + high), x, y)
    places = Places(panel.box)
    if field.boundary is not None:
        sheet.shape(joined(rings_on(panel, field.boundary)), "", "wash")
    panel.scales(frame=True)
    if field.boundary is not None:
        outline(panel, field.boundary, "teal", 1.8, (), "edge of the field")
    names = draw_keep_outs(panel, field)
    for level, ground in outlines:
        outline(panel, ground, "ink", 1.1, OUTLINE_DASHES.get(level, ()), f"{percent(level)} of landings")
    sheet.clip(panel.box)
    for (shape, colour, size), (name, points) in zip(MARKS, landings.items(), strict=False):
        if len(points):
            drawn = points[: _most(width)]
            dots(sheet, shape, panel.at(drawn[:, 0], drawn[:, 1]), size, colour, 0.55, part=name)
    sheet.clip(None)
    panel.mark(0.0, 0.0, "P", 9.0, "ink", "paper", "ink", part="launch point")
    furniture(panel, places, wind, habit)
    for area, seen in names:
        name_area(panel, places, area, seen)
    draw_key(sheet, key, 10.0, panel.box.bottom + below - 4.0, width * MM - 20.0)
    return sheet


def _most(width: float) -> int:
    return MOST_DRAWN if width > 120.0 else MOST_DRAWN // 4


def _key(
    field: FieldSite, landings: Mapping[str, Floats], outlines: Sequence[tuple[float, BaseGeometry]], width: float
) -> list[KeyEntry]:
    """Return what every line and mark of the map stands for."""
    found = [line_entry("edge of the field", "teal", 1.8)] if field.boundary is not None else []
    found += [line_entry(f"{percent(level)} of landings", "ink", 1.1, OUTLINE_DASHES.get(level, ()))
              for level, _ in outlines]  # fmt: skip
    for (shape, colour, size), (name, points) in zip(MARKS, landings.items(), strict=False):
        drawn = min(len(points), _most(width))
        count = f"{len(points)}" if drawn == len(points) else f"{drawn} of {len(points)} drawn"
        if len(points):
            found.append(mark_entry(f"{name} ({count})", shape, colour, 1.6 * size))
    return [*found, mark_entry("launch point", "P", "ink", 9.0, "paper", "ink")]


def _frame(field: FieldSite, landings: Mapping[str, Floats]) -> tuple[float, float, float, float]:
    """Return the window: the field, the launch point and all but the last few landings, with a margin."""
    corners = [np.zeros((1, 2))]
    if field.boundary is not None:
        corners.append(np.reshape(field.boundary.bounds, (2, 2)))
    corners += [np.quantile(points, (0.002, 0.998), axis=0) for points in landings.values() if len(points)]
    rows = np.concatenate(corners)
    low, high = rows.min(axis=0), rows.max(axis=0)
    margin = 0.14 * max(float(np.max(high - low)), 20.0)
    return low[0] - margin, low[1] - margin, high[0] + margin, high[1] + margin


def rings_on(panel: Panel, ground: BaseGeometry) -> list[Floats]:
    """Return the outlines of a ground in points, outer and inner."""
    return [panel.at(*np.asarray(ring.coords)[:, :2].T)
            for piece in polygons(ground) for ring in (piece.exterior, *piece.interiors)]  # fmt: skip


def outline(panel: Panel, ground: BaseGeometry, colour: str, thick: float, dash: Sequence[float], part: str) -> None:
    """Draw the outline of a ground, as far as it lies within the map."""
    panel.sheet.clip(panel.box)
    panel.sheet.shape(joined(rings_on(panel, ground)), colour, thick=thick, dash=dash, part=part)
    panel.sheet.clip(None)


def draw_keep_outs(panel: Panel, field: FieldSite) -> list[tuple[Area, BaseGeometry]]:
    """Draw what to keep out of, and return each with what is seen of it."""
    window = box(panel.x.low, panel.y.low, panel.x.high, panel.y.high)
    found = []
    for area in field.keep_outs:
        seen = area.ground.intersection(window)
        if not seen.is_empty:
            d = joined(rings_on(panel, seen))
            panel.sheet.shape(d, "", "paper")
            hatch = _HATCH.get(area.kind.name, 3)
            if hatch is not None:
                panel.sheet.shape(d, "", "orange", hatch=hatch, opacity=0.8)
            panel.sheet.shape(d, "orange", thick=0.9, part=area.name)
            found.append((area, seen))
    return found


def name_area(panel: Panel, places: Places, area: Area, seen: BaseGeometry) -> None:
    """Write a keep-out's name on what is seen of it, along it where it is tall, or beside it where it is small."""
    rows = [area.name] if area.name == area.kind.name else [area.name, f"({area.kind.name})"]
    inside, (west, south, east, north) = seen.representative_point(), seen.bounds
    ((x, y),) = panel.at(inside.x, inside.y)
    ground = Box(*panel.at(west, north)[0], *panel.at(east, south)[0])
    across, high = ground.right - ground.left, ground.bottom - ground.top
    long, tall = max(width_of(row, SMALL) for row in rows), 1.25 * SMALL * len(rows)
    if across < 0.3 * high and high > 1.2 * width_of(" ".join(rows), SMALL):
        words = Words(" ".join(rows), x, y, SMALL, anchor="middle", turned=True, halo=True)
        places.put(panel.sheet, [words._replace(x=x + dx, y=y + dy) for dx in (0.36 * SMALL, -9.0, 9.0 + SMALL)
                                 for dy in (0.0, 0.2 * high, -0.2 * high)])  # fmt: skip
        return
    spots = [(x, ground.bottom + 3.0 + tall / 2), (x, ground.top - 3.0 - tall / 2),
             (ground.right + 4.0 + long / 2, y), (ground.left - 4.0 - long / 2, y)]  # fmt: skip
    if long < across and tall < high:
        spots.insert(0, (x, y))
    boxes = []
    for at, up in spots:
        middle = min(max(at, panel.box.left + long / 2 + 2.0), panel.box.right - long / 2 - 2.0)
        boxes.append(Box(middle - long / 2, up - tall / 2, middle + long / 2, up + tall / 2))
    best = min(boxes, key=places.cost)
    places.take(best)
    foot = best.top + 0.98 * SMALL
    panel.sheet.rows("\n".join(rows), 0.5 * (best.left + best.right), foot, size=SMALL, anchor="middle", halo=True)


def furniture(panel: Panel, places: Places, wind: tuple[float, float] | None, habit: UnitHabit) -> None:
    """Draw a bar of a round length, about a fifth of the map, north, and the wind."""
    sheet, (left, top, right, bottom) = panel.sheet, panel.box
    unit = UNITS[Dimension.LENGTH]["ft"] if habit.inches else 1.0
    span = panel.x.high - panel.x.low
    rough = span / 5.0 / unit
    decade = 10.0 ** math.floor(math.log10(rough))
    length = unit * next(step * decade for step in (5.0, 2.0, 1.0) if step * decade <= rough)
    x, y, bar = left + 10.0, bottom - 10.0, length / span * (right - left)
    sheet.shape(path([(x, y - 3.5), (x, y), (x + bar, y), (x + bar, y - 3.5)]), "ink", thick=1.6, part="scale bar")
    _keep(sheet, places, Words(f"{length / unit:g} {'ft' if habit.inches else 'm'}", x + 0.5 * bar, y - 4.0,
                               anchor="middle", halo=True))  # fmt: skip
    arrow(sheet, (right - 12.0, top + 30.0), (right - 12.0, top + 8.0), "ink", 1.4)
    _keep(sheet, places, Words("N", right - 12.0, top + 40.0, 9.0, anchor="middle", bold=True, halo=True))
    if wind is not None:
        speed, bearing = wind
        dx, dy = -11.0 * math.sin(bearing), 11.0 * math.cos(bearing)
        x, y = left + 18.0, top + 18.0
        arrow(sheet, (x - dx, y - dy), (x + dx, y + dy), "blue", 1.8)
        places.take(Box(x - 12.0, y - 12.0, x + 12.0, y + 12.0))
        for row, words in enumerate((f"wind {habit.speed(speed, 2)}", f"from {compass(bearing)}")):
            _keep(sheet, places, Words(words, x + 17.0, y - 1.5 + 10.0 * row, 8.0, "blue", halo=True))


def _keep(sheet: Sheet, places: Places, words: Words) -> None:
    sheet.write(words)
    places.take(words.box)


# --- the rose ------------------------------------------------------------------------------------------------------


class RoseScale(NamedTuple):
    """Where winds lie on the rose: its middle and radius, points, and the speed (m/s) at the rim."""

    x: float
    y: float
    radius: float
    top: float

    def at(self, bearing: float, speed: float) -> tuple[float, float]:
        """Return the place of a wind (rad, m/s)."""
        long = self.radius * speed / self.top
        return self.x + long * math.sin(bearing), self.y - long * math.cos(bearing)


def rose_scale(limits: Sequence[WindLimit], width: float = 100.0) -> RoseScale:
    """Return where winds lie on the rose of some limits, drawn so many mm wide."""
    radius = 0.5 * width * MM - 30.0
    top = 1.1 * max(max((limit.speed for limit in limits), default=0.0), 0.1)
    return RoseScale(0.5 * width * MM, 34.0 + ASCENT * HEAD + radius, radius, top)


def wind_rose(limits: Sequence[WindLimit], habit: UnitHabit = METRIC, width: float = 100.0) -> Sheet:
    """Draw the strongest acceptable wind by the direction it comes from; a hatched bar reached the highest tried."""
    sheet, scale = Sheet(width, width + 4.0), rose_scale(limits, width)
    name = "mph" if habit.miles else "m/s"
    unit = UNITS[Dimension.SPEED][name]
    sheet.write(Words(f"Strongest wind, {name}, by where it comes from", 8.0, 8.0 + ASCENT * HEAD, HEAD, bold=True))
    (x, y, radius, top), at = scale, scale.at

    rings = [radius * share for share in (0.25, 0.5, 0.75, 1.0)]
    sheet.shape("".join(_circle(x, y, ring) for ring in rings), "rules", thick=0.5)
    for angle in range(0, 360, 45):
        sheet.shape(path([(x, y), at(math.radians(angle), top)]), "rules", thick=0.5)
        place = at(math.radians(angle), top * (1.0 + 12.0 / radius))
        sheet.write(Words(compass(math.radians(angle)), place[0], place[1] + 0.36 * LETTER, anchor="middle"))
    half = math.pi / len(limits) * 0.86
    for limit in limits:
        d = _sector(x, y, radius * limit.speed / top, limit.from_direction - half, limit.from_direction + half)
        sheet.shape(d, "teal", "wash", thick=1.2, part=f"from {math.degrees(limit.from_direction):.0f}")
        if not limit.reached:
            sheet.shape(d, "", "teal", hatch=0, opacity=0.7)
    for limit in limits:
        words = f"{limit.speed / unit:.1f}{'' if limit.reached else '+'}"
        inside = limit.speed > 0.35 * top  # else it goes beyond the bar's end
        beyond = max(limit.speed + 0.11 * top, 0.25 * top)  # off the middle, where all directions meet
        place = at(limit.from_direction, limit.speed - 0.13 * top if inside else beyond)
        sheet.write(Words(words, place[0], place[1] + 0.36 * SMALL, SMALL, anchor="middle", halo=not limit.reached))
    return sheet


def _circle(x: float, y: float, radius: float) -> str:
    r = number(radius)
    across = number(2.0 * radius)
    return f"M{number(x - radius)} {number(y)}a{r} {r} 0 1 0 {across} 0a{r} {r} 0 1 0 -{across} 0z"


def _sector(x: float, y: float, radius: float, start: float, end: float) -> str:
    """Return the outline of a slice between two bearings, clockwise from north."""
    (x0, y0), (x1, y1) = ((x + radius * math.sin(way), y - radius * math.cos(way)) for way in (start, end))
    r = number(radius)
    return f"M{number(x)} {number(y)}L{number(x0)} {number(y0)}A{r} {r} 0 0 1 {number(x1)} {number(y1)}z"
