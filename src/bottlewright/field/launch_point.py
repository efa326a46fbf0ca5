"""A launch point and a tilt that keep the landings further from what they must not reach.

On a flat field in an even wind the scatter about the launch point is the same wherever the launcher stands, so other
launch points are tried with the flights that are there already.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.field.exposure import clearances, exposures, worst_ratio
from bottlewright.field.site import FieldSite

__all__ = ["Place", "best_launch_point", "best_tilt", "place_now"]

Floats = NDArray[np.float64]


class Place(NamedTuple):
    """A launch point and how it does.

    Parameters
    ----------
    east, north
        From the present launch point, m.
    ratio
        Largest chance over its accepted chance.
    room
        Distance that 99 of 100 landings keep from what they must not reach, m; negative when they pass the boundary.
    """

    east: float
    north: float
    ratio: float
    room: float


def place_now(field: FieldSite, landings: Floats, east: float = 0.0, north: float = 0.0) -> Place:
    """Return how a launch point does, given the landings (m) about it."""
    shifted = np.add(landings, (east, north))
    room = float(np.quantile(clearances(field, shifted), 0.01, method="lower"))
    return Place(east, north, worst_ratio(exposures(field, shifted)), room)


def _better(place: Place) -> tuple[float, float]:
    """Order places: first until nothing is over its accepted chance, then by the room that is left."""
    return max(place.ratio, 1.0), -place.room


def best_launch_point(
    field: FieldSite, landings: Floats, clear: float = 10.0, people: float = 10.0, steps: int = 16, most: int = 500
) -> Place | None:
    """Search the field for the launch point with the lowest chances and the most room.

    Parameters
    ----------
    field, landings
        The site, and rows of metres from the launch point.
    clear
        Distance (m) that the launcher itself keeps from boundary and keep-outs.
    people
        The same from keep-outs where people may be.
    steps
        Points of the first grid along each side; a grid a quarter as wide about the best one follows.
    most
        Flights of the sample that are used.

    Returns
    -------
    Place or None
        None when there is no boundary, or no ground inside it with that much clear space.
    """
    if field.boundary is None:
        return None
    ground: BaseGeometry = field.boundary.buffer(-clear)
    for area in field.keep_outs:
        ground = ground.difference(area.ground.buffer(max(clear, people) if area.kind.people else clear))
    if ground.is_empty:
        return None
    west, south, east, north = ground.bounds
    some = landings[:most]
    best = _best_of(field, some, ground, np.linspace(west, east, steps), np.linspace(south, north, steps))
    if best is None:
        middle = ground.representative_point()
        best = place_now(field, some, middle.x, middle.y)
    wide, high = (east - west) / (steps - 1), (north - south) / (steps - 1)
    fine = np.linspace(-0.75, 0.75, 7)
    closer = _best_of(field, some, ground, best.east + fine * wide, best.north + fine * high)
    winner = min((place for place in (best, closer) if place), key=_better)
    return place_now(field, landings, winner.east, winner.north)


def _best_of(field: FieldSite, landings: Floats, ground: BaseGeometry, easts: Floats, norths: Floats) -> Place | None:
    grid = np.array([(east, north) for east in easts for north in norths])
    grid = grid[shapely.contains_xy(ground, grid)]
    places = (place_now(field, landings, float(east), float(north)) for east, north in grid)
    return min(places, key=_better, default=None)


def best_tilt(place_at: Callable[[float], Place], most: float) -> tuple[float, Place]:
    """Search the tilt that leaves the most room; returns the tilt (rad) and how it does.

    Parameters
    ----------
    place_at
        How a tilt (rad, from the vertical, in a fixed heading) does, on the same sample of flights each time.
    most
        Largest tilt to try, rad.
    """
    tried = {tilt: place_at(tilt) for tilt in np.linspace(0.0, most, 6).tolist()}
    middle = min(tried, key=lambda tilt: _better(tried[tilt]))
    step = most / 5.0
    for tilt in (middle - step / 2.0, middle + step / 2.0):
        if 0.0 < tilt < most:
            tried[tilt] = place_at(tilt)
    best = min(tried, key=lambda tilt: _better(tried[tilt]))
    return best, tried[best]
