"""The map of the field with its landings, and the rose of wind limits."""

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import percent
from bottlewright.field.compass import compass
from bottlewright.field.site import Area, FieldSite, polygons
from bottlewright.field.wind_limit import WindLimit
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.own_ticks import own_ticks
from bottlewright.report.style import DASHES, FULL_WIDTH, LIGHT, MM, paper_style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["field_map", "wind_rose"]

Floats = NDArray[np.float64]
_MARKS = (("o", "teal", 3.0), ("x", "orange", 14.0), ("^", "plum", 12.0), ("s", "ochre", 10.0), ("D", "blue", 10.0))
_HATCH = {"spectators": "....", "road": "", "building": "xxxx", "power line": "//", "trees": "oo", "water": "--"}
_BEHIND = {"boxstyle": "round,pad=0.15", "fc": LIGHT["sheet"], "ec": "none", "alpha": 0.8}
MOST_DRAWN = 1000  # landings of a kind; the outlines are those of all
_OUTLINE = {0.5: "-", 0.9: DASHES[1], 0.95: DASHES[2]}


def field_map(
    field: FieldSite,
    landings: Mapping[str, Floats],
    outlines: Sequence[tuple[float, BaseGeometry]] = (),
    wind: tuple[float, float] | None = None,
    habit: UnitHabit = METRIC,
    width: float = FULL_WIDTH,
) -> "Figure":
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
    from matplotlib.figure import Figure

    with paper_style():
        west, south, east, north = _frame(field, landings)
        height = min(max(width * (north - south) / (east - west), 80.0), 190.0)
        wide = width > 120.0
        figure = Figure(figsize=(width * MM, (height + (22.0 if wide else 44.0)) * MM), layout="constrained")
        axes = figure.add_subplot()
        axes.set(xlim=(west, east), ylim=(south, north), aspect="equal")
        _name_axes(axes, habit)
        axes.grid(visible=True, alpha=0.6)
        if field.boundary is not None:
            _outline(axes, field.boundary, color=LIGHT["teal"], lw=1.8, label="edge of the field", fill=LIGHT["wash"])
        _draw_keep_outs(axes, field)
        for level, ground in outlines:
            style = _OUTLINE.get(level, "-")
            _outline(axes, ground, color=LIGHT["ink"], lw=1.1, ls=style, label=f"{percent(level)} of landings")
        for (mark, colour, size), (name, points) in zip(_MARKS, landings.items(), strict=False):
            drawn = points[: MOST_DRAWN if wide else MOST_DRAWN // 4]
            count = f"{len(points)}" if len(drawn) == len(points) else f"{len(drawn)} of {len(points)} drawn"
            _draw_points(axes, drawn, mark, colour, size, f"{name} ({count})")
        axes.plot(0.0, 0.0, "P", ms=9, mfc=LIGHT["paper"], mec=LIGHT["ink"], label="launch point", zorder=8)
        _scale_bar(axes, east - west, habit)
        _north(axes)
        if wind is not None:
            _wind(axes, *wind, habit)
        figure.legend(loc="outside lower center", ncols=3 if wide else 1, frameon=False, fontsize=7.5)
    return figure


def _name_axes(axes: "Axes", habit: UnitHabit) -> None:
    unit = "ft" if habit.inches else "m"
    axes.set(xlabel=f"east, {unit}", ylabel=f"north, {unit}")
    if habit.inches:
        for axis in (axes.xaxis, axes.yaxis):
            own_ticks(axis, UNITS[Dimension.LENGTH]["ft"])


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


def _outline(
    axes: "Axes", ground: BaseGeometry, color: str, lw: float, label: str, ls: Any = "-", fill: str | None = None
) -> None:
    for piece in polygons(ground):
        if fill:
            axes.fill(*np.asarray(piece.exterior.coords).T, color=fill, lw=0, zorder=0.5)
        for ring in (piece.exterior, *piece.interiors):
            axes.plot(*np.asarray(ring.coords).T, color=color, lw=lw, ls=ls, label=label, zorder=5)
            label = "_"


def _draw_keep_outs(axes: "Axes", field: FieldSite) -> None:
    from shapely.geometry import box

    (west, east), (south, north) = axes.get_xlim(), axes.get_ylim()
    window = box(west, south, east, north)
    for area in field.keep_outs:
        seen = area.ground.intersection(window)
        for piece in polygons(seen):
            axes.fill(
                *np.asarray(piece.exterior.coords).T, facecolor=LIGHT["paper"], edgecolor=LIGHT["orange"], lw=0.9,
                hatch=_HATCH.get(area.kind.name, "++"), zorder=2,
            )
        if not seen.is_empty:
            _name(axes, area, seen, east - west)


def _name(axes: "Axes", area: Area, seen: BaseGeometry, span: float) -> None:
    """Write a keep-out's name on what is seen of it, or under it where it is smaller than its name."""
    text = area.name if area.name == area.kind.name else f"{area.name}\n({area.kind.name})"
    west, south, east, north = seen.bounds
    wide, high = east - west, north - south
    if max(wide, high) < 0.2 * span:
        place, side, turn = ((west + east) / 2.0, south), "top", 0
    else:
        inside = seen.representative_point()
        place, side, turn = (inside.x, inside.y), "center", 90 if wide < 0.2 * high else 0
    axes.annotate(text, place, ha="center", va=side, xytext=(0, -4 if side == "top" else 0), fontsize=7.5, zorder=7,
                  textcoords="offset points", rotation=turn, bbox=_BEHIND, annotation_clip=True)


def _draw_points(axes: "Axes", points: Floats, mark: str, colour: str, size: float, label: str) -> None:
    if len(points):
        line = 0.7 if mark == "x" else 0.0
        axes.scatter(points[:, 0], points[:, 1], s=size, marker=mark, c=LIGHT[colour], alpha=0.55, label=label,
                     zorder=4, linewidths=line)


def _scale_bar(axes: "Axes", span: float, habit: UnitHabit) -> None:
    """Draw a bar of a round length, about a fifth of the map, at the lower left."""
    unit = UNITS[Dimension.LENGTH]["ft"] if habit.inches else 1.0
    rough = span / 5.0 / unit
    decade = 10.0 ** math.floor(math.log10(rough))
    length = unit * next(step * decade for step in (5.0, 2.0, 1.0) if step * decade <= rough)
    (west, _), (south, north) = axes.get_xlim(), axes.get_ylim()
    x, y = west + 0.03 * span, south + 0.035 * (north - south)
    tick = 0.008 * span
    axes.plot([x, x, x + length, x + length], [y + tick, y, y, y + tick], color=LIGHT["ink"], lw=1.6, zorder=9)
    label = f"{length / unit:g} {'ft' if habit.inches else 'm'}"
    axes.annotate(label, (x + length / 2.0, y), xytext=(0, 3), textcoords="offset points", ha="center", fontsize=8,
                  zorder=9, bbox=_BEHIND)


def _north(axes: "Axes") -> None:
    axes.annotate("N", xy=(0.965, 0.975), xytext=(0.965, 0.885), xycoords="axes fraction", textcoords="axes fraction",
                  ha="center", va="center", fontsize=9, fontweight="bold", zorder=9,
                  arrowprops={"arrowstyle": "-|>", "color": LIGHT["ink"], "lw": 1.4})


def _wind(axes: "Axes", speed: float, from_direction: float, habit: UnitHabit) -> None:
    """Draw an arrow along which the wind blows, at the upper left."""
    east, north = -math.sin(from_direction), -math.cos(from_direction)
    axes.annotate("", xy=(0.07 + 0.04 * east, 0.93 + 0.04 * north), xytext=(0.07 - 0.04 * east, 0.93 - 0.04 * north),
                  xycoords="axes fraction", textcoords="axes fraction", zorder=9,
                  arrowprops={"arrowstyle": "-|>", "color": LIGHT["blue"], "lw": 1.8})
    words = f"wind {habit.speed(speed, 2)}\nfrom {compass(from_direction)}"
    axes.annotate(words, (0.13, 0.93), xycoords="axes fraction", va="center", fontsize=8, color=LIGHT["blue"], zorder=9,
                  bbox=_BEHIND)


def wind_rose(limits: Sequence[WindLimit], habit: UnitHabit = METRIC, width: float = 100.0) -> "Figure":
    """Draw the strongest acceptable wind by the direction it comes from; a hatched bar reached the highest tried."""
    from matplotlib.figure import Figure

    with paper_style():
        figure = Figure(figsize=(width * MM, width * MM), layout="constrained")
        axes = figure.add_subplot(projection="polar")
        axes.set_theta_zero_location("N")  # type: ignore[attr-defined]
        axes.set_theta_direction(-1)  # type: ignore[attr-defined]
        width = 2.0 * math.pi / len(limits) * 0.86
        top = max(max(limit.speed for limit in limits), 0.1)
        name = "mph" if habit.miles else "m/s"
        unit = UNITS[Dimension.SPEED][name]
        for limit in limits:
            axes.bar(limit.from_direction, limit.speed, width=width, facecolor=LIGHT["wash"], edgecolor=LIGHT["teal"],
                     hatch="" if limit.reached else "////", lw=1.2)
            words = f"{limit.speed / unit:.1f}{'' if limit.reached else '+'}"
            inside = limit.speed > 0.35 * top  # else it goes beyond the bar's end
            beyond = max(limit.speed + 0.11 * top, 0.25 * top)  # off the middle, where all directions meet
            place = limit.speed - 0.13 * top if inside else beyond
            axes.annotate(words, (limit.from_direction, place), ha="center", va="center", fontsize=7.5, zorder=6)
        names = [compass(math.radians(angle)) for angle in range(0, 360, 45)]
        axes.set_thetagrids(range(0, 360, 45), names)  # type: ignore[attr-defined]
        axes.set_ylim(0.0, 1.1 * top)
        axes.set_yticklabels([])  # every bar carries its number
        axes.set_title(f"Strongest wind, {name}, by where it comes from")
    return figure
