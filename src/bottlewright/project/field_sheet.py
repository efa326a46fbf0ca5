"""The field as a sheet that is drawn on: the picture, and over it every corner and place that a hand can take."""

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project.grounds import Corner, Grounds, Outline

if TYPE_CHECKING:
    from bottlewright.field.canvas import Beside
    from bottlewright.field.site import FieldSite
    from bottlewright.field.site_plan import StandBack, Stands
    from bottlewright.figures.panel import Panel
    from bottlewright.project.scatter import ScatterResult
    from bottlewright.project.winds import WindLandings

__all__ = ["MOST_DRAWN", "FieldSheet", "Landed", "Place", "Rose", "Traced", "field_sheet", "landed_in", "rose_of"]

_NARROW = 76.0
"""Width on a telephone, mm: its letters are then as high as on a page."""
MOST_DRAWN = 5000
"""Landings of a kind that a page shows: what it says of them rests on all."""
_STEPS = {"m": 0.5, "ft": 1.0}
"""What a finger draws to, in the builder's unit."""


class Landed(NamedTuple):
    """Where the rocket comes down in one wind, as far as it is known.

    Parameters
    ----------
    landings, outlines, sectors
        By kind of return; ground that holds a share of them; how far spectators stand by bearing (rad).
    blocks
        Landings that are still being flown.
    """

    landings: dict[str, Any]
    outlines: Sequence[Any]
    sectors: Sequence[Any]
    blocks: Sequence[Any] = ()


class Place(NamedTuple):
    """A corner, the launcher, or where somebody stands.

    Parameters
    ----------
    what, corner
        Whose place, and which corner it is.
    name, label
        In words for who can't see it, and what stands beside it.
    beside
        Where the label stands.
    x, y
        On the sheet, points.
    east, north
        On the ground, in the builder's unit.
    """

    what: str
    corner: int
    name: str
    label: str
    beside: "Beside | None"
    x: float
    y: float
    east: str
    north: str


class Traced(NamedTuple):
    """An outline on the sheet: whose, its path, its corners in the builder's unit, and a place for each."""

    what: str
    number: int
    name: str
    form: str
    path: str
    corners: str
    places: list[Place]


class FieldSheet(NamedTuple):
    """The field for one width.

    Parameters
    ----------
    svg, wide, high
        The picture, and its sides in points.
    west, north, per
        The ground at its upper left corner, and what a point of it is, in the builder's unit.
    unit, step, grid
        That unit, what a finger draws to, and how far the lines of the grid lie apart.
    traced, places
        Outlines; launcher and people.
    blocks
        Landings that are still being flown, each as a path.
    """

    svg: str
    wide: float
    high: float
    west: float
    north: float
    per: float
    unit: str
    step: float
    grid: str
    traced: list[Traced]
    places: list[Place]
    blocks: list[str]


def landed_in(found: "ScatterResult | None", wind: "WindLandings | None" = None) -> Landed:
    """Return where the rocket comes down in the wind of the file, or in another one that was flown."""
    if wind is not None:
        return Landed(wind.landings, wind.outlines, wind.ground.sectors)
    if found is None:
        return Landed({}, (), ())
    return Landed(found.found.landings, found.found.outlines, found.found.sectors)


def field_sheet(
    grounds: Grounds, landed: Landed, wind: tuple[float, float] | None, narrow: bool, closer: int = 0,
    middle: Corner | None = None,
) -> FieldSheet:  # fmt: skip
    """Draw the field for a page or a telephone.

    Parameters
    ----------
    wind
        Mean speed (m/s) and the bearing it comes from (rad).
    closer
        From so many steps nearer than all of it.
    middle
        Of what is shown, m from the file's own zero point; the middle of all of it when left out.
    """
    from bottlewright.field.canvas import field_canvas, grid_step, window_of
    from bottlewright.field.site import FieldSite
    from bottlewright.field.trials import BLOCK
    from bottlewright.report.style import FULL_WIDTH

    site = grounds.site or FieldSite("the field", None, (), None)
    width, size = _NARROW if narrow else FULL_WIDTH, grounds.size
    back = _stand_back(landed.sectors)
    window = window_of(_seen(site, grounds), _stands(grounds), landed.outlines, back, narrow, closer,
                       middle and _about(grounds, middle))  # fmt: skip
    marked = _marked(grounds)
    shown = {name: rows[:MOST_DRAWN] for name, rows in landed.landings.items()}
    panel, beside = field_canvas(site, window, shown, landed.outlines, back, wind, grounds.habit, width,
                                 [(*_about(grounds, spot), label) for _, label, spot in marked])  # fmt: skip
    sheet = panel.sheet
    said = f"The field from above, north up: {_said(grounds, site)}"
    svg = sheet.svg(said, "", f"ground{'-narrow' * narrow}", alone=False, share=None)
    west, north = window[0] + grounds.launcher[0], window[3] + grounds.launcher[1]
    return FieldSheet(
        svg, sheet.width, sheet.height, west / size, north / size, (window[2] - window[0]) / sheet.width / size,
        grounds.unit, _STEPS.get(grounds.unit, 0.5), grid_step(window, width, grounds.habit)[1],
        _traced(grounds, panel),
        [_place(grounds, panel, what, 0, label, spot, label, side)
         for (what, label, spot), side in zip(marked, beside, strict=True)],
        [_dots(panel, rows) for rows in landed.blocks[: MOST_DRAWN // BLOCK + 1]],
    )  # fmt: skip


def _seen(site: "FieldSite", grounds: Grounds) -> "FieldSite":
    """Return the site as it is shown: where its drawing can't be used, its corners count for the window."""
    from dataclasses import replace

    from shapely.geometry import MultiPoint

    if not grounds.wrong or grounds.edge is None:
        return site
    return replace(site, boundary=MultiPoint([_about(grounds, one) for one in grounds.edge.corners]).envelope)


def _said(grounds: Grounds, site: "FieldSite") -> str:
    things = [site.name if site.boundary is not None else "no edge is drawn", *(one.name for one in grounds.keep_outs)]
    return ", ".join([*things, "the launcher", *(one.does for one in grounds.people if one.place)])


def _stand_back(sectors: Sequence[Any]) -> "list[StandBack]":
    from bottlewright.field.sides import counted_sides
    from bottlewright.field.site_plan import StandBack

    half, counts = 180.0 / max(len(sectors), 1), counted_sides([one for _, one in sectors])
    return [StandBack(math.degrees(way) - half, math.degrees(way) + half, away)
            for (way, _), (away, _) in zip(sectors, counts, strict=True)]


def _stands(grounds: Grounds) -> "list[Stands]":
    from bottlewright.field.site_plan import Stands

    return [Stands(one.does, one.distance, one.bearing) for one in grounds.people
            if one.distance is not None and one.bearing is not None]  # fmt: skip


def _about(grounds: Grounds, corner: Corner) -> Corner:
    """Return a corner in metres about the launcher."""
    return corner[0] - grounds.launcher[0], corner[1] - grounds.launcher[1]


def _marked(grounds: Grounds) -> list[tuple[str, str, Corner]]:
    """Return the launcher and everybody with a place; of those in the very same one, the names stand together."""
    found = {(0.0, 0.0): ("launcher", "launcher", grounds.launcher)}
    for one in grounds.people:
        if one.place is not None:
            east, north = _about(grounds, one.place)
            key = round(east, 2), round(north, 2)
            role, label, place = found.get(key, (one.role, "", one.place))
            found[key] = role, f"{label}, {one.does}".lstrip(", "), place
    return list(found.values())


def _traced(grounds: Grounds, panel: "Panel") -> list[Traced]:
    outlines = [*([(0, grounds.edge)] if grounds.edge else []), *enumerate(grounds.keep_outs)]
    return [_trace(grounds, panel, number, one) for number, one in outlines]


def _trace(grounds: Grounds, panel: "Panel", number: int, one: Outline) -> Traced:
    from bottlewright.figures.sheet import path

    spots = [panel.at(*_about(grounds, corner))[0].tolist() for corner in one.corners]
    name = "edge of the field" if one.what == "boundary" else one.name
    texts = [grounds.written(corner) for corner in one.corners]
    places = [_place(grounds, panel, one.what, k, name if one.form == "spot" else f"{name}, corner {k + 1}", corner)
              for k, corner in enumerate(one.corners)]  # fmt: skip
    return Traced(one.what, number, name, one.form, path(spots, closed=one.form == "outline"),
                  " ".join(",".join(text) for text in texts), places)  # fmt: skip


def _place(
    grounds: Grounds, panel: "Panel", what: str, number: int, name: str, corner: Corner, label: str = "",
    beside: "Beside | None" = None,
) -> Place:  # fmt: skip
    (x, y) = panel.at(*_about(grounds, corner))[0].tolist()
    east, north = grounds.written(corner)
    said = f"{name}: {east} {grounds.unit} east, {north} {grounds.unit} north"
    return Place(what, number, said, label, beside, x, y, east, north)


def _dots(panel: "Panel", rows: Any) -> str:
    import numpy as np

    kept = rows[np.isfinite(rows).all(axis=1)]
    spots: Iterable[list[float]] = panel.at(kept[:, 0], kept[:, 1]).round(1).tolist()
    return "".join(f"M{x:g} {y:g}h0" for x, y in spots)


class Rose(NamedTuple):
    """The rose of wind limits, and where a wind lies on it.

    Parameters
    ----------
    svg, wide, high
        The picture, and its sides in points.
    x, y, radius, top
        Its middle and its rim, points, and the speed at the rim, in the builder's unit.
    at
        Where the wind of now lies.
    speed, towards, unit
        That wind in the builder's unit, the degrees it comes from, and the unit.
    """

    svg: str
    wide: float
    high: float
    x: float
    y: float
    radius: float
    top: float
    at: tuple[float, float]
    speed: str
    towards: int
    unit: str


def rose_of(found: "ScatterResult", wind: tuple[float, float]) -> Rose | None:
    """Return the rose with a wind (m/s, rad) on it; None where there are no limits."""
    from bottlewright.field.pictures import rose_scale
    from bottlewright.quantities import UNITS, Dimension, neat

    if not found.found.limits:
        return None
    scale, unit = rose_scale(found.found.limits), found.found.habit.unit("m/s")
    size = UNITS[Dimension.SPEED][unit]
    picture = found.pictures["wind-rose"]
    sheet = picture.drawn.figure
    return Rose(
        picture.inline(), sheet.width, sheet.height, scale.x, scale.y, scale.radius, scale.top / size,
        scale.at(wind[1], min(wind[0], scale.top)), neat(wind[0], unit, 2).partition(" ")[0],
        round(math.degrees(wind[1])) % 360, unit,
    )  # fmt: skip
