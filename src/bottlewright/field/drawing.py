"""What the builder drew of the site, before it is checked: from a GeoJSON file, or written in the design file.

A GeoJSON feature says what it is in its properties: ``role`` is ``"boundary"``, ``"launch point"`` or ``"keep-out"``,
with ``name``, ``kind``, ``width`` and ``allowed`` as in the design file. Positions are longitude, latitude (RFC 7946)
unless the file says ``"units": "m"`` at the top.
"""

import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple, get_args

from pydantic import ValidationError

from bottlewright.design.environment import Site
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.field_tables import KeepOut, KeepOutKind, Rectangle
from bottlewright.design.text_files import TextFileError, read_text_file
from bottlewright.design.validation_messages import problems_of
from bottlewright.quantities import Quantity

__all__ = ["Drawing", "Shape", "drawing", "map_drawing", "unfit"]

Position = tuple[float, float]
MOST_POSITIONS, MOST_FEATURES = 20_000, 1_000
LARGEST = 5_000_000
"""Bytes that a map may have."""

ROLES = ("boundary", "launch point", "keep-out")


class Shape(NamedTuple):
    """One drawn thing: where it stands in the input, what it is, and its GeoJSON type and coordinates."""

    path: str
    type: str
    coordinates: Any
    name: str = ""
    kind: str = "other"
    width: float | None = None
    allowed: float | None = None


class Drawing(NamedTuple):
    """Everything drawn, in degrees (longitude, latitude) or in metres (east, north)."""

    degrees: bool
    boundary: Shape | None
    launch: Shape | None
    keep_outs: tuple[Shape, ...]
    notes: tuple[str, ...] = ()  # about how the map was read


def drawing(site: Site, folder: Path) -> Drawing:
    """Collect what the design draws of its site.

    Parameters
    ----------
    site
        The design's table.
    folder
        Where the design file lies; `site.map` is read relative to it.

    Raises
    ------
    DesignError
        If the map can't be read or the site is described twice.
    """
    given = [name for name in ("map", "rectangle", "boundary") if getattr(site, name)]
    if len(given) > 1:
        why = f"is drawn twice, by {' and by '.join(given)}"
        raise DesignError([Problem(f"site.{given[1]}", why, "keep one of them")])
    inline = _inline(site)
    if not site.map:  # left out, or emptied with --set
        return inline
    drawn = _from_map(folder / site.map)
    if (inline.launch or inline.keep_outs) and inline.degrees != drawn.degrees:
        units = "degrees" if drawn.degrees else "metres"
        raise DesignError([Problem("site", f"mixes metres with degrees: the map is in {units}", f"write {units}")])
    return drawn._replace(
        launch=inline.launch or drawn.launch, keep_outs=drawn.keep_outs + inline.keep_outs
    )


# --- written in the design file ------------------------------------------------------------------------------------


def _inline(site: Site) -> Drawing:
    boundary = _rectangle(site.rectangle) if site.rectangle else None
    if site.boundary is not None:
        boundary = Shape("site.boundary", "Polygon", [[_position(spot) for spot in site.boundary]])
    launch = Shape("site.launch_point", "Point", _position(site.launch_point)) if site.launch_point else None
    keep_outs = tuple(_keep_out(entry, f"site.keep_out.{index}") for index, entry in enumerate(site.keep_out))
    return Drawing(_all_degrees(site), boundary, launch, keep_outs)


def _rectangle(plain: Rectangle) -> Shape:
    bearing = plain.bearing.value if plain.bearing else 0.0
    along, across = plain.length.value / 2.0, plain.width.value / 2.0
    sin, cos = math.sin(bearing), math.cos(bearing)
    corners = [(a, b) for a, b in ((-along, -across), (along, -across), (along, across), (-along, across))]
    return Shape("site.rectangle", "Polygon", [[(a * sin + b * cos, a * cos - b * sin) for a, b in corners]])


def _keep_out(entry: KeepOut, path: str) -> Shape:
    drawn = [name for name in ("outline", "line", "spot") if getattr(entry, name) is not None]
    if len(drawn) != 1:
        what = f"has {' and '.join(drawn)}" if drawn else "is drawn nowhere"
        raise DesignError([Problem(path, what, "give one of outline, line or spot")])
    kind, coordinates = "Polygon", [[_position(spot) for spot in entry.outline or ()]]  # type: tuple[str, Any]
    if entry.spot is not None:
        kind, coordinates = "Point", _position(entry.spot)
    elif entry.line is not None:
        kind, coordinates = "LineString", [_position(spot) for spot in entry.line]
    return _described(entry, path, kind, coordinates)


def _described(entry: KeepOut, path: str, kind: str, coordinates: Any) -> Shape:
    width = entry.width.value if entry.width else None
    allowed = entry.allowed.value if entry.allowed else None
    return Shape(path, kind, coordinates, entry.name, entry.kind, width, allowed)


def _in_degrees(spot: tuple[Quantity, Quantity]) -> bool:
    return any(unit in spot[0].text for unit in ("deg", "°", "rad"))


def _position(spot: tuple[Quantity, Quantity]) -> Position:
    scale = 180.0 / math.pi if _in_degrees(spot) else 1.0
    return spot[0].value * scale, spot[1].value * scale


def _all_degrees(site: Site) -> bool:
    spots = [*(site.boundary or ()), *([site.launch_point] if site.launch_point else ())]
    for entry in site.keep_out:
        spots += [*(entry.outline or ()), *(entry.line or ()), *([entry.spot] if entry.spot else ())]
    degrees = {_in_degrees(spot) for spot in spots} | ({False} if site.rectangle else set())
    if len(degrees) > 1:
        raise DesignError([Problem("site", "mixes metres with degrees", "write every position the same way")])
    return True in degrees


# --- from a map ----------------------------------------------------------------------------------------------------


def _from_map(file: Path) -> Drawing:
    where = "site.map"
    try:
        text, notes = read_text_file(file, LARGEST, "a map")
    except TextFileError as error:
        missing = error.why == "does not exist"
        right = "give the file's name relative to the design file" if missing else error.right
        raise DesignError([Problem(where, f"can't be read: {file.name} {error.why}", right)]) from None
    return map_drawing(text, file.name, notes, where)


def map_drawing(text: str, name: str, notes: tuple[str, ...] = (), where: str = "the map") -> Drawing:
    """Return what a GeoJSON text draws.

    Parameters
    ----------
    text, name
        What the file holds, and what it is called.
    notes
        About how it was read.
    where
        What a problem is said of.

    Raises
    ------
    DesignError
        If it is no map.
    """
    document = _json(text, name, where)
    units = document.get("units", "degrees") if isinstance(document, dict) else "degrees"
    if units not in ("degrees", "m"):
        raise DesignError([Problem(where, f'has the units {str(units)[:20]!r}', 'write "units": "m", or leave it out')])
    shapes = list(_features(document, where))
    boundaries = [shape for role, shape in shapes if role == "boundary"]
    launches = [shape for role, shape in shapes if role == "launch point"]
    problems = [Problem(extra.path, "is a second boundary", "draw one") for extra in boundaries[1:]]
    problems += [Problem(extra.path, "is a second launch point", "draw one") for extra in launches[1:]]
    problems += [Problem(each.path, f"is a boundary drawn as a {each.type[:30]}", "draw a Polygon")
                 for each in boundaries if not each.type.endswith("Polygon")]
    problems += [Problem(each.path, f"is a launch point drawn as a {each.type[:30]}", "draw a Point")
                 for each in launches if each.type != "Point"]
    if sum(1 for _, shape in shapes for _ in _positions(shape.coordinates)) > MOST_POSITIONS:
        problems.append(Problem(where, f"has more than {MOST_POSITIONS} positions", "simplify the drawing"))
    if problems:
        raise DesignError(problems)
    return Drawing(
        degrees=units == "degrees",
        boundary=boundaries[0] if boundaries else None,
        launch=launches[0] if launches else None,
        keep_outs=tuple(shape for role, shape in shapes if role == "keep-out"),
        notes=(*notes, *_commas(document)),
    )


def _commas(document: dict[str, Any]) -> Iterator[str]:
    """Yield what was read with a decimal point for a decimal comma."""
    for index, feature in enumerate(document.get("features", [document])):
        for key in ("width", "allowed"):
            written = (feature.get("properties") or {}).get(key)
            if isinstance(written, str) and "," in written:
                yield f"feature {index + 1} {key}: {written!r} was read with a decimal point"


def _json(text: str, name: str, where: str) -> Any:
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        line = text.split("\n")[error.lineno - 1]
        curly = any(quote in line for quote in "“”„‟")
        why = f"{name} is not GeoJSON: line {error.lineno} " + ("has curly quotes" if curly else "can't be read")
        right = "write straight quotes" if curly else "export the drawing as GeoJSON"
        raise DesignError([Problem(where, why if text.strip() else f"{name} is empty", right)]) from None
    except (ValueError, RecursionError):
        why = f"{name} is not GeoJSON: a number is too long, or lists lie too deep"
        raise DesignError([Problem(where, why, "export the drawing as GeoJSON")]) from None


def _features(document: Any, where: str) -> Iterator[tuple[str, Shape]]:
    kind = document.get("type") if isinstance(document, dict) else None
    features = document.get("features") if kind == "FeatureCollection" else [document] if kind == "Feature" else None
    if isinstance(features, list) and len(features) > MOST_FEATURES:
        why = f"has {len(features)} features, more than {MOST_FEATURES}"
        raise DesignError([Problem(where, why, "keep what matters for the landing")])
    if not isinstance(features, list) or not all(isinstance(feature, dict) for feature in features):
        why = "is not a GeoJSON FeatureCollection"
        raise DesignError([Problem(where, why, "export the drawing as a collection of features")])
    for index, feature in enumerate(features):
        yield _feature(feature, f"{where} feature {index + 1}")


def _feature(feature: dict[str, Any], path: str) -> tuple[str, Shape]:
    words, geometry = feature.get("properties") or {}, feature.get("geometry") or {}
    role = words.get("role") if isinstance(words, dict) else None
    if role not in ROLES:
        why = f"has the role {str(role)[:30]!r}" if role else "says no role in its properties"
        raise DesignError([Problem(path, why, f"write one of {', '.join(ROLES)}")])
    if not isinstance(geometry, dict) or "coordinates" not in geometry:
        raise DesignError([Problem(path, "has no geometry with coordinates", "draw it again")])
    shown = {key: words[key] for key in ("name", "kind", "width", "allowed") if key in words}
    shown = {"name": shown["kind"] if shown.get("kind") in get_args(KeepOutKind) else role} | shown
    try:
        entry = KeepOut.model_validate(shown)
    except ValidationError as error:
        wrong = problems_of(error, shown)
        raise DesignError([replace(problem, path=f"{path} {problem.path}") for problem in wrong]) from None
    return role, _described(entry, path, str(geometry.get("type")), geometry["coordinates"])


def _positions(coordinates: Any) -> Iterator[Any]:
    """Walk down to the positions: lists that start with a number."""
    if isinstance(coordinates, list | tuple) and coordinates and not isinstance(coordinates[0], list | tuple):
        yield coordinates
    elif isinstance(coordinates, list | tuple):
        for part in coordinates:
            yield from _positions(part)


def unfit(shape: Shape) -> Problem | None:
    """Return what is wrong with the coordinates as GeoJSON, before any geometry is made of them."""
    depth = {"Point": 0, "LineString": 1, "Polygon": 2, "MultiPolygon": 3}.get(shape.type)
    if depth is None:
        return Problem(shape.path, f"is a {shape.type[:30]}", "draw a Polygon, LineString or Point")
    fewest = 2 if shape.type == "LineString" else 3
    mixed = {len(position) for position in _positions(shape.coordinates)}
    if len(mixed) > 1 and mixed <= {2, 3}:
        return Problem(shape.path, "has positions of two and of three numbers",
                       "give every position as longitude and latitude; a height is not needed")
    if mixed and max(mixed) > 3:
        why = f"has a position of {max(mixed)} numbers; a decimal comma makes two numbers of one"
        return Problem(shape.path, why, "write the decimal point: [-30.001, 52.002]")
    if not _is_nest(shape.coordinates, depth, fewest):
        right = f"give at least {fewest} positions of two numbers each" if depth else "give two numbers"
        return Problem(shape.path, f"has coordinates that make no {shape.type}", right)
    return None


def _is_nest(coordinates: Any, depth: int, fewest: int) -> bool:
    if not isinstance(coordinates, list | tuple):
        return False
    if depth:
        enough = len(coordinates) >= (fewest if depth == 1 else 1)
        return enough and all(_is_nest(part, depth - 1, fewest) for part in coordinates)
    return 2 <= len(coordinates) <= 3 and all(map(_is_number, coordinates))


def _is_number(part: Any) -> bool:
    """Tell whether a part of a position is a number that a place can have; a whole number may be of any length."""
    return isinstance(part, int | float) and not isinstance(part, bool) and -1e9 < part < 1e9
