"""The field as it is drawn: its edge, what to keep out of, the launcher and the people, each with its corners."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal, NamedTuple

from bottlewright.errors import BottlewrightError

if TYPE_CHECKING:
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.field.drawing import Drawing, Shape
    from bottlewright.field.site import FieldSite
    from bottlewright.project.project import Project

__all__ = [
    "ROLES", "Corner", "Form", "Grounds", "Outline", "Person", "grounds_of", "kinds_to_keep_out_of", "outlines_in",
]  # fmt: skip

Corner = tuple[float, float]
"""Metres east and north, of the file's own zero point."""

Form = Literal["outline", "line", "spot"]
FORMS: dict[str, Form] = {"Polygon": "outline", "MultiPolygon": "outline", "LineString": "line", "Point": "spot"}

ROLES = {"operator": "pulls the cord", "pumper": "pumps", "spectators": "spectators"}
"""Who has a place in the file, and what they do."""


class Outline(NamedTuple):
    """Ground with corners, or a line, or a spot.

    Parameters
    ----------
    what
        The edge of the field, or a keep-out.
    corners
        In order, the first not said again.
    name, kind, form
        Of a keep-out.
    width, allowed
        As drawn: m and a share; None where the kind's own counts.
    whole
        False where the drawing has more than these corners say: holes, or several pieces.
    """

    what: Literal["boundary", "keep-out"]
    corners: tuple[Corner, ...]
    name: str = ""
    kind: str = "other"
    form: Form = "outline"
    width: float | None = None
    allowed: float | None = None
    whole: bool = True


class Person(NamedTuple):
    """Somebody with a place in the file.

    Parameters
    ----------
    role, does
        As the file and as a page calls them.
    distance, bearing
        From the launcher, m and rad; None where the file does not say.
    place
        Both together, of the file's zero point; None where one is not said.
    """

    role: str
    does: str
    distance: float | None
    bearing: float | None
    place: Corner | None


@dataclass(frozen=True, eq=False)
class Grounds:
    """What is drawn of a project's field.

    Parameters
    ----------
    project
        Whose field.
    wrong
        Why its drawing can't be used; empty where it can.
    drawn
        As it stands in the file and its map; None where that can't be read.
    """

    project: "Project"
    wrong: str
    drawn: "Drawing | None"

    @property
    def mapped(self) -> str:
        """The map that the design names; empty without one."""
        return self.project.design.site.map or ""

    @cached_property
    def habit(self) -> "UnitHabit":
        """Units of the builder."""
        from bottlewright.design.unit_habit import unit_habit

        return unit_habit(self.project.design)

    @property
    def unit(self) -> str:
        """What corners are written in."""
        return self.habit.unit("m")

    @property
    def size(self) -> float:
        """How many metres that unit has."""
        from bottlewright.quantities import UNITS, Dimension

        return UNITS[Dimension.LENGTH][self.unit]

    @property
    def site(self) -> "FieldSite | None":
        """The field in metres about the launcher, checked; None where it can't be used."""
        return None if self.wrong else self.project.site

    @cached_property
    def edge(self) -> Outline | None:
        """The edge of the field."""
        return next((one for one in self._outlines if one.what == "boundary"), None)

    @cached_property
    def keep_outs(self) -> list[Outline]:
        """What to keep out of, as it stands in the map and then in the file."""
        return [one for one in self._outlines if one.what == "keep-out"]

    @cached_property
    def _outlines(self) -> list[Outline]:
        return outlines_in(self.drawn) if self.drawn else []

    @cached_property
    def launcher(self) -> Corner:
        """Where the launcher stands."""
        from bottlewright.field.site import launch_of

        if self.drawn is None or self.drawn.degrees:  # degrees are shown in metres about it
            return 0.0, 0.0
        east, north = launch_of(self.drawn)[0]
        return float(east), float(north)

    @property
    def launcher_given(self) -> bool:
        """Whether somebody said so; if not, it is the middle of the field."""
        return self.drawn is not None and self.drawn.launch is not None

    @cached_property
    def people(self) -> list[Person]:
        """Everybody with a place in the file."""
        crew = self.project.design.launcher.crew
        found = []
        for role, does in ROLES.items():
            away = getattr(crew, role) if crew else None
            way = getattr(crew, f"{role}_bearing") if crew else None
            distance, bearing = away.value if away else None, way.value if way else None
            place = self.at(distance, bearing) if distance is not None and bearing is not None else None
            found.append(Person(role, does, distance, bearing, place))
        return found

    def at(self, distance: float, bearing: float) -> Corner:
        """Return the place so far from the launcher on a bearing (rad)."""
        east, north = self.launcher
        return east + distance * math.sin(bearing), north + distance * math.cos(bearing)

    def written(self, corner: Corner) -> tuple[str, str]:
        """Return a corner as two numbers in the builder's unit, without it."""
        return _number(corner[0] / self.size), _number(corner[1] / self.size)


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".").replace("-0", "0") if abs(value) < 0.005 else (
        f"{value:.2f}".rstrip("0").rstrip("."))


def grounds_of(project: "Project") -> Grounds:
    """Return what is drawn of a project's field; where that can't be used, it says why."""
    from bottlewright.field.drawing import drawing, unfit

    drawn = None
    try:
        drawn = drawing(project.design.site, project.folder)
        _ = project.site
    except BottlewrightError as error:
        if drawn and (drawn.degrees or any(unfit(one) for one in (drawn.boundary, *drawn.keep_outs) if one)):
            drawn = None
        return Grounds(project, str(error), drawn)
    return Grounds(project, "", drawn)


def outlines_in(drawn: "Drawing") -> list[Outline]:
    """Return what a drawing holds, in metres; one in degrees about the launcher."""
    return [
        *([_outline(drawn.boundary, "boundary", drawn)] if drawn.boundary else []),
        *(_outline(one, "keep-out", drawn) for one in drawn.keep_outs),
    ]


def _outline(one: "Shape", what: Literal["boundary", "keep-out"], drawn: "Drawing") -> Outline:
    from bottlewright.field.projection import to_metres
    from bottlewright.field.site import launch_of

    pieces = [one.coordinates] if one.type == "Polygon" else one.coordinates if one.type == "MultiPolygon" else []
    rows = pieces[0][0] if pieces else [one.coordinates] if one.type == "Point" else one.coordinates
    spots = [(float(spot[0]), float(spot[1])) for spot in rows]
    if pieces and len(spots) > 3 and spots[0] == spots[-1]:
        spots.pop()
    if drawn.degrees:
        spots = [(float(east), float(north)) for east, north in to_metres(launch_of(drawn)[0], spots)]
    whole = not pieces or (len(pieces) == 1 and len(pieces[0]) == 1)
    return Outline(what, tuple(spots), one.name, one.kind, FORMS[one.type], one.width, one.allowed, whole)


def kinds_to_keep_out_of() -> Sequence[str]:
    """Return the kinds of what to keep out of, by name."""
    from bottlewright.field.keep_out_kinds import kinds

    return list(kinds())
