"""Height of a rocket from angles: one station, two, three or more; least squares with each angle's ±, and the closure.

Places are in metres, east, north and up from the launcher; angles in rad, bearings clockwise from north. A station
tells the elevation of the rocket above its own level line, and its bearing where it has one. ± by the law of
propagation of uncertainty, first order (JCGM 100:2008, 5.1 and 5.2): from the least squares' covariance, with what is
not known of the stations' own places carried through.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.errors import InputError

__all__ = ["MOST_CLOSURE", "Drift", "Sight", "Sighted", "height_by_angles"]

MOST_CLOSURE = 0.10
"""Heights of two stations that differ by more than this share of their sum make no measurement: a national sporting
code's rule for tracked flights."""

STEEPEST = math.radians(80.0)
"""Above this a degree is more than half the distance in height, of a single station: our judgement."""

_Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Sight:
    """What one station saw.

    Parameters
    ----------
    east, north, up
        Where its eye is, from the launcher, m.
    elevation, u_elevation
        Of the rocket at its highest point, rad, and its standard deviation.
    bearing, u_bearing
        Towards the rocket, rad; None where nobody read one.
    u_place
        Standard deviation of each of the station's own coordinates, m.
    """

    east: float
    north: float
    up: float
    elevation: float
    u_elevation: float
    bearing: float | None = None
    u_bearing: float = 0.0
    u_place: float = 0.0


@dataclass(frozen=True, slots=True)
class Drift:
    """How far from straight above the launcher the rocket was at its highest point, as far as anybody knows.

    Parameters
    ----------
    east, north
        m from the launcher.
    spread
        Standard deviation of each, m.
    """

    east: float = 0.0
    north: float = 0.0
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Sighted:
    """A height by angles, m above the launcher, with its standard deviation.

    Parameters
    ----------
    east, north, u_east, u_north
        Where the highest point was.
    correlation
        Of height with east and north.
    closure
        |h1 − h2|/(h1 + h2), the largest of any two stations each by itself; None with one station.
    counts
        Whether it is a measurement: the stations agree.
    says
        How it was worked out, and what is doubtful, in words.
    """

    height: float
    u_height: float
    east: float
    north: float
    u_east: float
    u_north: float
    correlation: tuple[float, float]
    closure: float | None
    counts: bool
    says: str


def height_by_angles(sights: Sequence[Sight], drift: Drift | None = None) -> Sighted:
    """Return the height of the highest point by all stations together.

    Parameters
    ----------
    sights
        At least one.
    drift
        What is known of where the rocket was: with one station, or two without bearings, nothing else says it. Straight
        above the launcher, not known better than a fifth of the stations' distance, when left out.

    Raises
    ------
    InputError
        Where the angles make no height: at or below the level, or a station at the launcher itself.
    """
    return _by_angles(tuple(sights), drift)


@lru_cache(512)
def _by_angles(sights: tuple[Sight, ...], drift: Drift | None) -> Sighted:
    if not sights:
        raise InputError("a height needs the angle of one station at the least")
    for number, sight in enumerate(sights, 1):
        if not 0.0 < sight.elevation < 0.5 * math.pi or sight.u_elevation <= 0.0:
            raise InputError(f"station {number}: an elevation lies between 0° and 90°, with its ±")
        if math.hypot(sight.east, sight.north) < 1.0:
            raise InputError(f"station {number}: stand away from the launcher")
    known = drift or Drift(spread=0.2 * float(np.mean([math.hypot(one.east, one.north) for one in sights])))
    place, covariance = _solved(sights, known, needed=_needs_drift(sights, drift))
    spread = np.sqrt(np.diag(covariance))
    closure = _closure(sights, place)
    counts = closure is None or closure <= MOST_CLOSURE
    checked = drift is not None or _readings(sights) > 3
    both = (covariance[2, :2] / np.where(spread[2] * spread[:2] > 0.0, spread[2] * spread[:2], 1.0)).tolist()
    return Sighted(float(place[2]), float(spread[2]), float(place[0]), float(place[1]), float(spread[0]),
                   float(spread[1]), (both[0], both[1]), closure, counts,
                   _says(sights, closure if checked else None, counts, checked))  # fmt: skip


def _needs_drift(sights: Sequence[Sight], drift: Drift | None) -> bool:
    """Say whether the angles alone leave the place open, or somebody knows something of it."""
    return drift is not None or _readings(sights) < 3


def _readings(sights: Sequence[Sight]) -> int:
    return len(sights) + sum(one.bearing is not None for one in sights)


def _residuals(place: _Vector, sights: Sequence[Sight], drift: Drift, needed: bool) -> _Vector:
    found = []
    for one in sights:
        east, north, up = place[0] - one.east, place[1] - one.north, place[2] - one.up
        found.append((math.atan2(up, math.hypot(east, north)) - one.elevation) / one.u_elevation)
        if one.bearing is not None:
            found.append(math.remainder(math.atan2(east, north) - one.bearing, 2.0 * math.pi) / one.u_bearing)
    if needed:
        found += [(place[0] - drift.east) / max(drift.spread, 1e-6), (place[1] - drift.north) / max(drift.spread, 1e-6)]
    return np.array(found)


def _solved(sights: Sequence[Sight], drift: Drift, needed: bool) -> tuple[_Vector, _Vector]:
    """Return the best place and its covariance."""
    from scipy.optimize import least_squares

    alone = [_alone(one, drift.east, drift.north) for one in sights]
    first = np.array([drift.east, drift.north, float(np.mean(alone))])

    def solve(used: Sequence[Sight]) -> Any:
        return least_squares(_residuals, first, args=(used, drift, needed), x_scale=(10.0, 10.0, 10.0), xtol=1e-12,
                             ftol=1e-12, gtol=1e-12)  # fmt: skip

    best = solve(sights)
    covariance = np.linalg.pinv(best.jac.T @ best.jac)
    for number, one in enumerate(sights):  # the stations' own places: by how much the answer moves with each
        for axis in ("east", "north", "up") if one.u_place > 0.0 else ():
            moved = [*sights]
            moved[number] = _moved(one, axis)
            step = solve(moved).x - best.x
            covariance = covariance + np.outer(step, step)
    return np.asarray(best.x, float), covariance


def _moved(sight: Sight, axis: str) -> Sight:
    return replace(sight, **{axis: getattr(sight, axis) + sight.u_place})


def _alone(sight: Sight, east: float, north: float) -> float:
    """Return the height above the launcher by one station, for a place."""
    return math.hypot(east - sight.east, north - sight.north) * math.tan(sight.elevation) + sight.up


def _closure(sights: Sequence[Sight], place: _Vector) -> float | None:
    if len(sights) < 2:
        return None
    heights = [_alone(one, place[0], place[1]) for one in sights]
    low, high = min(heights), max(heights)
    return (high - low) / (high + low)


def _says(sights: Sequence[Sight], closure: float | None, counts: bool, checked: bool) -> str:
    bearings = sum(one.bearing is not None for one in sights)
    said = f"{len(sights)} station{'s' if len(sights) > 1 else ''}, {bearings or 'no'} bearing{'s' * (bearings != 1)}"
    if closure is not None:
        said += f"; they agree to {closure * 100:.1f} % of their sum"
        said += "" if counts else f", worse than {MOST_CLOSURE * 100:.0f} %: no measurement"
    if not checked and len(sights) > 1:
        said += "; nothing checks them against one another, for they say no more than one place takes"
    steep = [number for number, one in enumerate(sights, 1) if one.elevation > STEEPEST]
    if steep:
        said += f"; station {' and '.join(map(str, steep))} looked up too steeply: stand further away"
    return said
