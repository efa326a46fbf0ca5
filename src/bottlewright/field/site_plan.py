"""The site plan of the first page: who stands where, where the rocket comes down, today's wind, what to keep out of.

One SVG to scale, north up, drawn for the width at which it is shown, so that its lettering keeps its size.
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.compass import compass
from bottlewright.field.site import Area, FieldSite, polygons
from bottlewright.figures.colours import LIGHT
from bottlewright.figures.letters import Box
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.labels import Labels, shape_path, svg_words

__all__ = ["StandBack", "Stands", "left_out", "plan_frame", "ring_of", "site_plan"]

Floats = NDArray[np.float64]
NEAR = 2.5
"""A keep-out up to so many times as far off as all else is drawn; one beyond is named beside the plan."""


class Stands(NamedTuple):
    """A person's place: the label with its distance, metres from the launcher, and the bearing (rad) if it is known."""

    label: str
    distance: float
    bearing: float | None = None
    many: bool = False


class StandBack(NamedTuple):
    """Metres that spectators keep from the launcher between two bearings, degrees clockwise from north."""

    from_deg: float
    to_deg: float
    distance: float


def site_plan(
    site: FieldSite,
    people: Sequence[Stands] = (),
    landings: Sequence[tuple[float, BaseGeometry]] = (),
    stand_back: Sequence[StandBack] = (),
    wind: tuple[float, float] | None = None,
    habit: UnitHabit = METRIC,
    width: float = 690.0,
    name: str = "plan",
) -> str:
    """Draw the site from above, in pixels of the width at which it is shown.

    Parameters
    ----------
    site
        The field about the launcher.
    people
        Everyone with a place; without a bearing it is drawn as a ring.
    landings
        Share of the landings inside, and its ground in metres about the launcher.
    stand_back
        Distance for spectators by side.
    wind
        Today's mean speed (m/s) and the bearing it comes from (rad).
    name
        Makes names inside the drawing its own on a page with several.
    """
    ring = ring_of(stand_back)
    people = _together(people)
    plan = _Plan(plan_frame(site, people, landings, ring), width, habit, name)
    plan.furniture(wind)
    plan.ground(site, landings, ring)
    plan.keep_outs(site.keep_outs)
    plan.people(people)
    plan.name_all(site.keep_outs, people, landings, ring)
    return plan.svg()


def _together(people: Sequence[Stands]) -> list[Stands]:
    """Return everyone with a place, and one ring for all who keep the same distance on no known side."""
    rings: dict[float, list[str]] = {}
    for one in people:
        if one.bearing is None:
            rings.setdefault(round(one.distance, 2), []).append(one.label)
    return [
        *(one for one in people if one.bearing is not None),
        *(Stands(", ".join(labels), distance) for distance, labels in rings.items()),
    ]


def left_out(
    site: FieldSite,
    people: Sequence[Stands] = (),
    landings: Sequence[tuple[float, BaseGeometry]] = (),
    stand_back: Sequence[StandBack] = (),
) -> list[str]:
    """Name the keep-outs that lie too far off for the plan, each with its distance (m) and side."""
    frame = box(*plan_frame(site, people, landings, ring_of(stand_back)))
    away = [(area, Point(0.0, 0.0).distance(area.ground)) for area in site.keep_outs
            if not area.ground.intersects(frame)]
    return [f"{area.name}, {distance:.0f} m {compass(_bearing(_nearest(area)))}" for area, distance in away]


def _nearest(area: Area) -> Point:
    return nearest_points(area.ground, Point(0.0, 0.0))[0]


def _bearing(point: Point) -> float:
    return math.atan2(point.x, point.y) % (2.0 * math.pi)


def _at(distance: float, bearing: float) -> tuple[float, float]:
    return distance * math.sin(bearing), distance * math.cos(bearing)


def ring_of(stand_back: Sequence[StandBack]) -> Polygon | None:
    """Return the ground that spectators keep out of."""
    corners = [
        _at(side.distance, math.radians(side.from_deg + turn))
        for side in stand_back
        for turn in np.linspace(0.0, (side.to_deg - side.from_deg) % 360.0 or 360.0, 16)
    ]
    return Polygon(corners) if corners else None


def plan_frame(
    site: FieldSite, people: Sequence[Stands], landings: Sequence[tuple[float, BaseGeometry]], ring: Polygon | None
) -> tuple[float, float, float, float]:
    """Return the window: field, people, landings, and the near end of every keep-out that is not far off."""
    corners = [(-8.0, -8.0), (8.0, 8.0)]
    for ground in (site.boundary, *(ground for _, ground in landings)):
        if ground is not None and not ground.is_empty:
            corners += [ground.bounds[:2], ground.bounds[2:]]
    for one in people:
        if one.bearing is None:
            corners += [(-one.distance, -one.distance), (one.distance, one.distance)]
        else:
            corners.append(_at(one.distance, one.bearing))
    reach = max(math.hypot(*corner) for corner in corners)
    for east, north in ring.exterior.coords if ring is not None else ():  # as much of it as leaves the rest its size
        off = min(1.0, 1.15 * reach / max(math.hypot(east, north), 1e-9))
        corners.append((off * east, off * north))
    for area in site.keep_outs:
        near = _nearest(area)
        if math.hypot(near.x, near.y) <= NEAR * reach:
            west, south, east, north = area.ground.bounds
            if max(east - west, north - south) < reach:  # all of it; else its near end
                corners += [(west, south), (east, north)]
            off = 1.0 + 0.06 * reach / max(math.hypot(near.x, near.y), 1.0)
            corners.append((near.x * off, near.y * off))
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    margin = 0.07 * float(np.max(high - low))
    return float(low[0] - margin), float(low[1] - margin), float(high[0] + margin), float(high[1] + margin)


class _Plan:
    """A drawing in the making: pieces of SVG from below to above, and the places that its labels have taken."""

    def __init__(
        self, frame: tuple[float, float, float, float], width: float, habit: UnitHabit, name: str
    ) -> None:
        west, south, east, north = frame
        spare = max(0.0, 0.5 * (east - west) - (north - south))  # never flatter than 2 : 1 ...
        tall = max(0.0, 1.25 * (north - south) - (east - west))  # ... nor as tall as wide
        self.window = (west - 0.5 * tall, south - 0.5 * spare, east + 0.5 * tall, north + 0.5 * spare)
        self.scale = width / (self.window[2] - self.window[0])
        self.width, self.height = width, self.scale * (self.window[3] - self.window[1])
        self.habit, self.name, self.pieces = habit, name, list[str]()
        self.labels = Labels(self.width, self.height, size=13.0 if width > 500.0 else 12.0)

    def px(self, east: float, north: float) -> tuple[float, float]:
        return self.scale * (east - self.window[0]), self.scale * (self.window[3] - north)

    def draw(self, ground: BaseGeometry, **look: str) -> None:
        for piece in polygons(ground):
            rings = [[self.px(*spot[:2]) for spot in ring.coords] for ring in (piece.exterior, *piece.interiors)]
            self.pieces.append(shape_path(rings, **look))

    def ground(
        self, site: FieldSite, landings: Sequence[tuple[float, BaseGeometry]], ring: Polygon | None
    ) -> None:
        """Draw the field, the ground that spectators keep out of, and the landings."""
        if site.boundary is not None:
            self.draw(site.boundary, fill=LIGHT["paper"], stroke=LIGHT["teal"], stroke_width="1.8")
        if ring is not None:
            self.draw(ring, fill=LIGHT["orange"], fill_opacity="0.10", stroke=LIGHT["orange"], stroke_width="1.4",
                      stroke_dasharray="6 3")
        for _, ground in sorted(landings, key=lambda one: -one[0]):
            self.draw(ground, fill=LIGHT["teal"], fill_opacity="0.22", stroke=LIGHT["teal"], stroke_width="0.7")

    def keep_outs(self, areas: Sequence[Area]) -> None:
        """Draw what to keep out of, hatched, each with its name."""
        view = box(*self.window)
        hatch = f"{self.name}-keep-out"
        self.pieces.append(
            f'<defs><pattern id="{hatch}" width="6" height="6" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45)"><path d="M0 0V6" stroke="{LIGHT["orange"]}" stroke-width="1.4"/>'
            "</pattern></defs>"
        )
        for area in areas:
            seen = area.ground.intersection(view)
            if seen.is_empty:
                continue
            thin = min(seen.bounds[2] - seen.bounds[0], seen.bounds[3] - seen.bounds[1]) * self.scale < 6.0
            self.draw(seen.buffer(2.0 / self.scale) if thin else seen, fill=f"url(#{hatch})", stroke=LIGHT["orange"],
                      stroke_width="1")

    def people(self, people: Sequence[Stands]) -> None:
        """Draw everyone's place with its distance, and the launcher in the middle."""
        x0, y0 = self.px(0.0, 0.0)
        self.labels.take(Box(x0 - 8.0, y0 - 8.0, x0 + 8.0, y0 + 8.0))
        for number, one in enumerate(people):
            if one.bearing is None:
                self.pieces.append(f'<circle cx="{x0:.1f}" cy="{y0:.1f}" r="{one.distance * self.scale:.1f}" '
                                   f'fill="none" stroke="{LIGHT["ink"]}" stroke-dasharray="{2 + 2 * number} 3"/>')
                continue
            x, y = self.px(*_at(one.distance, one.bearing))
            self.pieces.append(f'<path d="M{x0:.1f} {y0:.1f}L{x:.1f} {y:.1f}" stroke="{LIGHT["soft"]}" '
                               'stroke-width="0.9"/>')
            heads = (-7.0, 0.0, 7.0) if one.many else (0.0,)
            self.pieces += [_head(x + dx, y) for dx in heads]
            self.labels.take(Box(x + heads[0] - 4.0, y - 4.0, x + heads[-1] + 4.0, y + 4.0))
        self.pieces.append(f'<path d="M{x0 - 7:.1f} {y0:.1f}h14M{x0:.1f} {y0 - 7:.1f}v14" stroke="{LIGHT["ink"]}" '
                           'stroke-width="2.4"/>')

    def name_all(
        self, areas: Sequence[Area], people: Sequence[Stands], landings: Sequence[tuple[float, BaseGeometry]],
        ring: Polygon | None,
    ) -> None:
        """Write everything's name, people first, for they matter most where room is short."""
        for number, one in enumerate(people):
            bearing = math.radians(200.0 + 70.0 * number) if one.bearing is None else one.bearing
            self.label(one.label, *_at(one.distance, bearing), bold=True, clear=9.0 if one.bearing is not None else 4.0)
        self.label("launcher", 0.0, 0.0, clear=8.0)
        if landings:
            share, middle = max(landings, key=lambda one: one[0])[0], min(landings, key=lambda one: one[0])[1]
            words = f"comes down here, {round(100 * share)} in 100" if self.width > 500.0 else "comes down here"
            self.label(words, *_middle(middle), colour="teal", bold=True, clear=2.0)
        view = box(*self.window)
        for area in areas:
            seen = area.ground.intersection(view)
            if not seen.is_empty:
                named = self.width <= 500.0 or area.kind.name in area.name.lower()
                text = area.name if named else f"{area.name} ({area.kind.name})"
                self.label(text, *_middle(seen), along=seen)
        ground = None if ring is None else ring.intersection(view)
        if ring is not None and ground is not None and not ground.is_empty:
            beyond = "" if view.contains(ring) or self.width <= 500.0 else ", nor beyond the plan where it goes on"
            corners = (spot for piece in polygons(ground) for spot in piece.exterior.coords)
            top, words = max(corners, key=lambda spot: spot[1]), f"no spectators on this ground{beyond}"
            self.label(words, top[0], top[1], colour="orange")

    def label(
        self, text: str, east: float, north: float, colour: str = "ink", bold: bool = False, clear: float = 5.0,
        along: BaseGeometry | None = None,
    ) -> None:
        """Write words beside a place, or somewhere else on the ground that they name."""
        spots = [self.px(east, north), *(self.px(*spot) for spot in _along(along))]
        self.labels.write(text, spots, LIGHT[colour], bold, clear)

    def furniture(self, wind: tuple[float, float] | None) -> None:
        """Draw scale bar, north and today's wind."""
        size = self.labels.size
        unit = UNITS[Dimension.LENGTH]["ft"] if self.habit.inches else 1.0
        rough = 0.28 * self.width / self.scale / unit
        decade = 10.0 ** math.floor(math.log10(rough))
        length = next(step * decade for step in (5.0, 2.0, 1.0) if step * decade <= rough)
        long = length * unit * self.scale
        x, y = 12.0, self.height - 12.0
        self.pieces.append(f'<path d="M{x} {y - 4:.1f}v4h{long:.1f}v-4" fill="none" stroke="{LIGHT["ink"]}" '
                           'stroke-width="1.4"/>')
        self.labels.fixed(f"{length:g} {'ft' if self.habit.inches else 'm'}", x + 6.0, y - 6.0)
        x = self.width - 16.0
        self.pieces.append(f'<path d="M{x} {34 + size:.1f}V14m-4 8l4 -8l4 8" fill="none" stroke="{LIGHT["ink"]}" '
                           'stroke-width="1.4"/>')
        self.labels.fixed("N", x - 0.36 * size, 36.0 + 2.0 * size, bold=True)
        if wind is not None:
            self._wind(*wind)

    def _wind(self, speed: float, from_bearing: float) -> None:
        east, north = (-14.0 * part for part in _at(1.0, from_bearing))
        x, y, blue = 26.0, 26.0, LIGHT["blue"]
        turn = math.degrees(from_bearing) % 360.0
        self.pieces.append(
            f'<path d="M{x - east:.1f} {y + north:.1f}L{x + east:.1f} {y - north:.1f}" stroke="{blue}" '
            f'stroke-width="2.4"/><path transform="translate({x + east:.1f} {y - north:.1f}) rotate({turn:.0f})" '
            f'd="M0 5L-5 -5H5z" fill="{blue}"/>'
        )
        words = f"wind {self.habit.speed(speed, 2)} from {compass(from_bearing)}"
        self.labels.fixed(words, 48.0, 30.0, blue)

    def svg(self) -> str:
        """Return the drawing, its labels on top."""
        head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.0f}" height="{self.height:.0f}" '
        head += f'viewBox="0 0 {self.width:.0f} {self.height:.0f}">'
        ground = f'<rect width="100%" height="100%" fill="{LIGHT["sheet"]}"/>'
        return head + ground + "".join(self.pieces) + svg_words(self.labels) + "</svg>"


def _middle(ground: BaseGeometry) -> tuple[float, float]:
    point = ground.representative_point()
    return point.x, point.y


def _head(x: float, y: float) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{LIGHT["ink"]}"/>'


def _along(ground: BaseGeometry | None) -> Iterator[tuple[float, float]]:
    """Yield further places on a ground where its name could stand."""
    if ground is None:
        return
    for piece in polygons(ground):
        west, south, east, north = piece.bounds
        for share in (0.25, 0.75, 0.1, 0.9):
            x, y = west + share * (east - west), south + share * (north - south)
            ends = [(x, south), (x, north)] if east - west > north - south else [(west, y), (east, y)]
            cut = piece.intersection(LineString(ends))
            if not cut.is_empty:
                yield cut.centroid.x, cut.centroid.y
