"""The chance of each thing that must not happen on the ground: leaving the field, coming down on each keep-out."""

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.field.chance import Chance, chance
from bottlewright.field.keep_out_kinds import Kind, leaving
from bottlewright.field.site import Area, FieldSite
from bottlewright.field.tail import DOUBT, Bound, Stratum
from bottlewright.quantities import Quantity

__all__ = ["Exposure", "clearances", "exposures", "room_inside", "with_tails", "worst_ratio"]

Floats = NDArray[np.float64]

_asking = threading.Lock()
"""GEOS prepares a ground further as it is asked, which is not made for two at once."""


class Exposure(NamedTuple):
    """A thing that must not happen: what it is, its chance, and the chance you accept."""

    name: str
    kind: Kind
    chance: Chance
    allowed: float

    @property
    def ratio(self) -> float:
        """Chance over accepted chance; above 1 is too much."""
        return self.chance.value / self.allowed if self.allowed > 0.0 else float(self.chance.hits) * np.inf


def exposures(field: FieldSite, landings: Floats, allowed_leaving: float | None = None) -> list[Exposure]:
    """Count where the landings lie.

    Parameters
    ----------
    field
        The site about the launch point.
    landings
        One row of metres east and north of the launch point per flight.
    allowed_leaving
        Accepted chance of leaving the field; the table's when None.
    """
    total = len(landings)
    out = leaving()
    seen = []
    if field.boundary is not None:
        gone = total - int(np.count_nonzero(_inside(field.boundary, landings)))
        accepted = out.allowed if allowed_leaving is None else allowed_leaving
        seen.append(Exposure(out.name, out, chance(gone, total), accepted))
    for area in field.keep_outs:
        hits = int(np.count_nonzero(_inside(area.ground, landings)))
        seen.append(Exposure(area.name, area.kind, chance(hits, total), area.allowed))
    return seen


def with_tails(seen: Sequence[Exposure], field: FieldSite, strata: Sequence[Stratum]) -> list[Exposure]:
    """Return the chances with the upper end of those of spectators lowered to what the tails of the landings allow.

    The count's own upper end and the tail's each hold to half of the doubt. The tail is taken towards the smallest
    ground without a hollow round the keep-out.

    Parameters
    ----------
    seen
        Of `exposures` on the same field.
    strata
        Each kind of return with its odds.
    """
    areas = field.keep_outs
    first = len(seen) - len(areas)
    return [*seen[:first], *map(partial(_with_tail, strata=strata), seen[first:], areas)]


def _with_tail(exposure: Exposure, area: Area, strata: Sequence[Stratum]) -> Exposure:
    if area.kind.name != "spectators" or not strata:
        return exposure
    round_it = shapely.convex_hull(area.ground)
    bound = Bound(strata, lambda rows: -np.asarray(shapely.distance(shapely.points(rows), round_it), float))
    high = min(exposure.chance.high, max(bound.at(0.0, DOUBT / 2.0), exposure.chance.value))
    return exposure._replace(chance=exposure.chance._replace(high=high))


def worst_ratio(seen: list[Exposure]) -> float:
    """Return the largest chance over its accepted chance, 0 when there is nothing to hit."""
    return max((0.0 if exposure.chance.hits == 0 else exposure.ratio for exposure in seen), default=0.0)


def clearances(field: FieldSite, landings: Floats) -> Floats:
    """Return how far (m) each landing is from the nearest thing it must not reach; negative beyond the boundary.

    Inside a keep-out it is 0. Without boundary and keep-outs it is infinite.
    """
    points = shapely.points(landings)
    room = np.full(len(landings), np.inf)
    if field.boundary is not None:
        edge = shapely.distance(points, field.boundary.boundary)
        room = np.where(_inside(field.boundary, landings), edge, -edge)
    for area in field.keep_outs:
        room = np.minimum(room, shapely.distance(points, area.ground))
    return np.asarray(room, float)


def room_inside(field: FieldSite, allowed: Quantity | None) -> tuple[Callable[[Floats], Floats], float] | None:
    """Return how far (m) landings lie inside the boundary and the accepted chance of leaving; None without one.

    Keep-outs do not count here: they decide about the day, not about what to load.
    """
    if field.boundary is None:
        return None
    bare = replace(field, keep_outs=())
    return lambda landings: clearances(bare, landings), allowed.value if allowed else leaving().allowed


def _inside(ground: BaseGeometry, landings: Floats) -> NDArray[np.bool_]:
    with _asking:
        shapely.prepare(ground)
        return np.asarray(shapely.contains_xy(ground, landings), bool)
