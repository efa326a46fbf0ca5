"""The field in metres about the launch point: boundary and keep-outs, checked, and the way back to degrees."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry import Point, Polygon, shape
from shapely.geometry.base import BaseGeometry

from bottlewright.design.environment import Site
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.reading_notes import file_note
from bottlewright.field.drawing import Drawing, Shape, drawing, unfit
from bottlewright.field.keep_out_kinds import Kind, kinds
from bottlewright.field.numbers import site_digest
from bottlewright.field.projection import LonLat, from_metres, to_metres
from bottlewright.findings import Finding, Stage
from bottlewright.quantities import Basis

__all__ = ["Area", "FieldSite", "as_drawn", "field_site", "launch_of", "moved", "polygons"]

FURTHEST = 20_000.0  # m; no water rocket's field is larger, so it is a drawing in other units
LATITUDE_SLACK = 0.5  # degrees between the map and `site.latitude`


class Area(NamedTuple):
    """A keep-out: its name, what kind it is, its ground in metres, and the chance of landing there you accept."""

    name: str
    kind: Kind
    ground: BaseGeometry
    allowed: float


@dataclass(frozen=True)
class FieldSite:
    """The field; metres east and north of the launch point, which is at (0, 0).

    Parameters
    ----------
    name
        As the builder calls it.
    boundary
        Where the rocket has to come down; None when nobody drew it.
    keep_outs
        Where it must not.
    origin
        Longitude and latitude of the launch point; None when the site is drawn in metres only.
    launch_given
        False when the launch point was taken to be the middle of the field.
    notes
        What there is to say about how the map was read.
    digest
        Of the map's file; empty without one.
    rules
        Groups of rules that the design names for this site.
    """

    name: str
    boundary: BaseGeometry | None
    keep_outs: tuple[Area, ...]
    origin: LonLat | None
    launch_given: bool = True
    notes: tuple[Finding, ...] = ()
    digest: str = ""
    rules: tuple[str, ...] = ()


def field_site(site: Site, folder: Path) -> FieldSite:
    """Read the site of a design, check it, and put it in metres about the launch point.

    Parameters
    ----------
    site
        The design's table.
    folder
        Where the design file lies.

    Raises
    ------
    DesignError
        With every reason why the drawing can't be used: a boundary that crosses itself, a launch point outside it,
        coordinates that look swapped or are in other units.
    """
    return as_drawn(site, drawing(site, folder), site_digest(site, folder))


def as_drawn(site: Site, drawn: Drawing, digest: str = "") -> FieldSite:
    """Return a drawing of a site, checked, in metres about the launch point; see `field_site`."""
    return _in_metres(_Drawn(f"{site!r}{drawn!r}", site, drawn, digest))


@dataclass(frozen=True)
class _Drawn:
    """A site as drawn: the same one when all that is written of it, in the design and in its map, is the same."""

    key: str
    site: Site = field(compare=False)
    drawn: Drawing = field(compare=False)
    digest: str


@lru_cache(8)
def _in_metres(given: _Drawn) -> FieldSite:
    site, drawn = given.site, given.drawn
    shapes = [each for each in (drawn.boundary, drawn.launch, *drawn.keep_outs) if each]
    _refuse([problem for problem in map(unfit, shapes) if problem])
    _refuse(_off_the_globe(shapes) if drawn.degrees else [])
    origin, launch_given = launch_of(drawn)
    _refuse(_wrong_latitude(origin, site) if drawn.degrees and shapes else [])
    placed = [_placed(each, origin, drawn.degrees) for each in shapes]
    _refuse(_too_far(shapes, placed) or _crossing(shapes, placed))
    boundary = placed[0] if drawn.boundary else None
    if boundary is not None and not boundary.covers(Point(0.0, 0.0)):
        _refuse([_outside(drawn, boundary, origin)])
    areas = tuple(_area(each, origin, drawn.degrees) for each in drawn.keep_outs)
    globe = LonLat(*origin) if drawn.degrees else _given_place(site, origin)
    notes = (file_note(f"The map, site.map = {site.map!r}", drawn.notes, Stage.FIELD),) if drawn.notes else ()
    name, rules = site.name or "the field", tuple(site.rules)
    return FieldSite(name, boundary, areas, globe, launch_given, notes, given.digest, rules)


def moved(field: FieldSite, east: float, north: float) -> FieldSite:
    """Return the same field about another launch point, `east` and `north` metres from the present one.

    The turn of north between the two points, under a millimetre across a field, is left out.
    """
    def shifted(ground: BaseGeometry) -> BaseGeometry:
        return shapely.transform(ground, lambda rows: rows - (east, north))

    return FieldSite(
        name=field.name,
        boundary=None if field.boundary is None else shifted(field.boundary),
        keep_outs=tuple(area._replace(ground=shifted(area.ground)) for area in field.keep_outs),
        origin=LonLat(*from_metres(field.origin, (east, north))[0]) if field.origin else None,
        rules=field.rules,
    )


# --- placing -------------------------------------------------------------------------------------------------------


def launch_of(drawn: Drawing) -> tuple[LonLat, bool]:
    """Return the launch point in the drawing's own coordinates: as drawn, or the middle of the field."""
    if drawn.launch is not None:
        return LonLat(*drawn.launch.coordinates[:2]), True
    if drawn.boundary is not None:
        return _middle(shape({"type": drawn.boundary.type, "coordinates": drawn.boundary.coordinates})), False
    return LonLat(0.0, 0.0), False


def _middle(boundary: BaseGeometry) -> LonLat:
    if not boundary.is_valid:  # it is refused later; until then anywhere near will do
        west, south, east, north = boundary.bounds
        return LonLat((west + east) / 2.0, (south + north) / 2.0)
    centre = boundary.centroid
    inside = centre if boundary.covers(centre) else boundary.representative_point()
    return LonLat(inside.x, inside.y)


def _placed(each: Shape, origin: LonLat, degrees: bool) -> BaseGeometry:
    drawn = shapely.force_2d(shape({"type": each.type, "coordinates": each.coordinates}))
    if degrees:
        return shapely.transform(drawn, lambda rows: to_metres(origin, rows))
    return shapely.transform(drawn, lambda rows: rows - np.asarray(origin))


def _area(each: Shape, origin: LonLat, degrees: bool) -> Area:
    kind = kinds()[each.kind]
    ground = _placed(each, origin, degrees)
    if each.type in ("Point", "LineString") or each.width is not None:
        ground = ground.buffer((kind.width if each.width is None else each.width) / 2.0)
    return Area(each.name, kind, ground, kind.allowed if each.allowed is None else each.allowed)


def _given_place(site: Site, launch: LonLat) -> LonLat | None:
    """Return where a field in metres lies, when the builder wrote longitude and latitude of its zero point."""
    if site.longitude is None or site.latitude is None or site.latitude.basis is not Basis.MEASURED:
        return None
    zero = LonLat(math.degrees(site.longitude.value), math.degrees(site.latitude.value))
    return LonLat(*from_metres(zero, launch)[0])


# --- what can be wrong ---------------------------------------------------------------------------------------------


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise DesignError(problems)


def _rows(each: Shape) -> Any:
    return shapely.get_coordinates(shape({"type": each.type, "coordinates": each.coordinates}))


def _off_the_globe(shapes: list[Shape]) -> list[Problem]:
    problems = []
    for each in shapes:
        longitude, latitude = np.abs(_rows(each)).max(axis=0)
        if latitude > 90.0 and longitude <= 90.0:
            why = f"has a latitude of {latitude:.4g}°: longitude and latitude look swapped"
            right = 'GeoJSON has longitude first, then latitude; for metres write "units": "m" at the top of the map'
            problems.append(Problem(each.path, why, right))
        elif latitude > 90.0 or longitude > 180.0:
            why = "lies off the globe; its positions look like metres"
            problems.append(Problem(each.path, why, 'write "units": "m" at the top of the map'))
    return problems


def _wrong_latitude(origin: LonLat, site: Site) -> list[Problem]:
    if site.latitude is None or site.latitude.basis is not Basis.MEASURED:
        return []
    shown = math.degrees(site.latitude.value)
    if abs(origin.latitude - shown) <= LATITUDE_SLACK:
        return []
    if abs(origin.longitude - shown) <= LATITUDE_SLACK:
        why = f"has longitude and latitude swapped: it says {origin.latitude:.4f}°, site.latitude {shown:.4f}°"
        return [Problem("site.map", why, "longitude comes first, then latitude")]
    why = f"lies at latitude {origin.latitude:.4f}°, and site.latitude says {shown:.4f}°"
    return [Problem("site.map", why, "put right whichever is wrong")]


def _too_far(shapes: list[Shape], placed: list[BaseGeometry]) -> list[Problem]:
    problems = []
    for each, ground in zip(shapes, placed, strict=True):
        far = float(np.hypot(*shapely.get_coordinates(ground).T).max())
        if not far <= FURTHEST:
            why = f"reaches {far / 1e3:.0f} km from the launch point"
            right = 'swapped coordinates, another place, or metres without "units": "m"'
            problems.append(Problem(each.path, why, f"look for {right}"))
    return problems


def _crossing(shapes: list[Shape], placed: list[BaseGeometry]) -> list[Problem]:
    problems = []
    for each, ground in zip(shapes, placed, strict=True):
        if not each.type.endswith("Polygon"):
            continue
        if not ground.is_valid:
            why = f"crosses itself ({shapely.is_valid_reason(ground)}, metres from the launch point)"
            problems.append(Problem(each.path, why, "give the corners in order, going round once"))
        elif ground.area < 1.0:
            problems.append(Problem(each.path, f"encloses {ground.area:.2g} m²", "draw it round some ground"))
    return problems


def _outside(drawn: Drawing, boundary: BaseGeometry, origin: LonLat) -> Problem:
    path = drawn.launch.path if drawn.launch else "site.launch_point"
    away = boundary.distance(Point(0.0, 0.0))
    why = f"is {away:.0f} m outside the field"
    if drawn.boundary is not None and _fits_swapped(drawn.boundary, origin):
        return Problem(path, f"{why}; its two numbers look swapped", "east before north, longitude before latitude")
    return Problem(path, why, "move it inside, or put the boundary right")


def _fits_swapped(boundary: Shape, origin: LonLat) -> bool:
    field = shape({"type": boundary.type, "coordinates": boundary.coordinates})
    return bool(field.covers(Point(origin.latitude, origin.longitude)))


def polygons(ground: BaseGeometry) -> Iterator[Polygon]:
    """Walk over the polygons of a ground, whether it is one piece or several."""
    for part in getattr(ground, "geoms", [ground]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part
