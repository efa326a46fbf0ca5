"""A launch point and a tilt that keep the landings further from what they must not reach.

On a flat field in an even wind the scatter about the launch point is the same wherever the launcher stands, so other
launch points are tried with the flights that are there already.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.compass import compass
from bottlewright.field.exposure import clearances, exposures, worst_ratio
from bottlewright.field.people import people_rule
from bottlewright.field.site import FieldSite
from bottlewright.field.trials import FlownSample, Trials, worst_first

__all__ = ["Place", "Proposal", "best_launch_point", "best_tilt", "place_now", "proposals"]

Floats = NDArray[np.float64]
HIGHEST_TILT = math.radians(15.0)


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


def place_now(
    field: FieldSite, landings: Floats, east: float = 0.0, north: float = 0.0, leaving: float | None = None
) -> Place:
    """Return how a launch point does, given the landings (m) about it and the accepted chance of leaving."""
    shifted = np.add(landings, (east, north))
    room = float(np.quantile(clearances(field, shifted), 0.01, method="lower"))
    return Place(east, north, worst_ratio(exposures(field, shifted, leaving)), room)


_WORSE = Place(0.0, 0.0, math.inf, -math.inf)


def _better(place: Place) -> tuple[float, float]:
    """Order places: first until nothing is over its accepted chance, then by the room that is left."""
    return max(place.ratio, 1.0), -place.room


def _no_better(
    field: FieldSite, some: Floats, count: int, leaving: float | None, best: Place | None
) -> bool:
    """Say whether some of so many landings show that a place is no better than the best, wherever the others lie."""
    if best is None or not len(some):
        return False
    least = worst_ratio(exposures(field, some, leaving)) * len(some) / count
    last = math.ceil(0.01 * count)  # of all landings one in 100 at most lies further out than this one
    most = float(np.partition(clearances(field, some), last)[last]) if len(some) > last else math.inf
    return (max(least * (1.0 - 1e-9), 1.0), -most) >= _better(best)


def best_launch_point(
    field: FieldSite, landings: Floats, clear: float = 10.0, people: float = 10.0, steps: int = 16, most: int = 500,
    leaving: float | None = None, look: Callable[[], None] = lambda: None,
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
    leaving
        Accepted chance of leaving the field; the table's when None.
    look
        Called before each point is tried; it may raise to stop.

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
    coarse = np.linspace(west, east, steps), np.linspace(south, north, steps)
    best = _best_of(field, some, leaving, look, ground, *coarse)
    if best is None:
        middle = ground.representative_point()
        best = place_now(field, some, middle.x, middle.y, leaving)
    wide, high = (east - west) / (steps - 1), (north - south) / (steps - 1)
    fine = np.linspace(-0.75, 0.75, 7)
    around = best.east + fine * wide, best.north + fine * high
    winner = _best_of(field, some, leaving, look, ground, *around, best) or best
    return place_now(field, landings, winner.east, winner.north, leaving)


def _best_of(
    field: FieldSite, landings: Floats, leaving: float | None, look: Callable[[], None], ground: BaseGeometry,
    easts: Floats, norths: Floats, best: Place | None = None,
) -> Place | None:  # fmt: skip
    """Return the first of the best points of a grid, or the one that was best before; the outer landings tell most."""
    grid = np.array([(east, north) for east in easts for north in norths])
    far = np.hypot(*(landings - np.median(landings, axis=0)).T)
    outer = landings[np.argsort(-far)[: len(landings) // 8]]
    for east, north in grid[shapely.contains_xy(ground, grid)].tolist():
        look()
        if not _no_better(field, np.add(outer, (east, north)), len(landings), leaving, best):
            place = place_now(field, landings, east, north, leaving)
            best = min((one for one in (best, place) if one), key=_better)
    return best


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


@dataclass(frozen=True)
class Proposal:
    """A launch point or a tilt that keeps the landings further from what they must not reach."""

    words: str
    place: Place
    tilt: float | None = None
    leans_towards: float | None = None
    habit: UnitHabit = METRIC

    @property
    def remedy(self) -> str:
        """The words, and whether it is enough."""
        left = self.place.ratio
        return self.words if left <= 1.0 else f"{self.words} (not enough: {left:.1f} times the accepted chance is left)"

    @property
    def sentence(self) -> str:
        """What to do and what it brings."""
        room = self.place.room
        lie = self.habit.distance(math.floor(abs(room)), 3)
        brings = (f"99 of 100 landings then keep {lie} of room" if room >= 0.0
                  else f"even then one landing in 100 lies {lie} or more too far")
        return f"{self.remedy}. {brings[:1].upper()}{brings[1:]}."


def proposals(trials: Trials, sample: FlownSample, count: int) -> list[Proposal]:
    """Return a launch point and a tilt that do better than the present ones, where there are such.

    Parameters
    ----------
    sample
        As flown from the present launch point; so many flights of it are flown again for each tilt.
    """
    site, landings = trials.site, sample.landings
    if site.boundary is None:
        return []
    look = partial(trials.say, "looking for a better launch point", 0.0)
    look()
    now = place_now(site, landings, leaving=trials.leaving)
    best = best_launch_point(site, landings, people=people_rule().value or 0.0, leaving=trials.leaving,
                             look=look)
    if best is None:
        return []
    away, bearing = math.hypot(best.east, best.north), math.atan2(best.east, best.north)
    found = []
    if away > 3.0 and _helps(best, now):
        found.append(Proposal(f"Move the launcher {trials.habit.distance(round(away))} towards "
                              f"{compass(bearing)}", best,
                              habit=trials.habit))
    if away > 3.0:
        found += _tilt(trials, sample, count, bearing)
    trials.say("looking for a better launch point", 1.0)
    return found


def _helps(best: Place, now: Place) -> bool:
    """Say whether a place is worth the move: fewer landings where they must not be, or more room."""
    if max(best.ratio, 1.0) > max(now.ratio, 1.0):
        return False
    return best.room > now.room + 2.0 or (now.ratio > 1.0 and best.ratio < 0.9 * now.ratio)


def _tilt(trials: Trials, sample: FlownSample, count: int, leans_towards: float) -> list[Proposal]:
    """Try tilts towards where the landings should go; one that its first flights show to be no better flies no more."""
    launcher, leaving = trials.design.launcher, trials.leaving
    aimed, flown, best = sample.batch[:count].copy(), worst_first(trials, count), None
    aimed["leans_towards"] += leans_towards - (launcher.leans_towards.value if launcher.leans_towards else 0.0)
    present = launcher.tilt.value if launcher.tilt else 0.0

    def place_at(tilt: float) -> Place:
        nonlocal best
        leaning = aimed.copy()
        leaning["tilt"] += tilt - present
        for rows in flown(leaning):
            landed = rows[np.isfinite(rows).all(axis=1)]
            if len(rows) < count and _no_better(trials.site, landed, count, leaving, best):
                return _WORSE
        place = place_now(trials.site, landed, leaving=leaving)
        best = min((one for one in (best, place) if one), key=_better)
        return place

    tilt, place = best_tilt(place_at, HIGHEST_TILT)
    upright = sample.landings[: np.count_nonzero(sample.ended[:count])]
    if place.room < place_now(trials.site, upright).room + 2.0:
        return []
    words = f"Lean the launcher {math.degrees(tilt):.0f}° from upright towards {compass(leans_towards)}"
    return [Proposal(words, place, tilt, leans_towards, trials.habit)]
