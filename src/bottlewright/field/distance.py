"""How far people must stand: the distance from the launch point beyond which hardly any flight comes down."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.field.chance import chance

__all__ = ["SECTORS", "Distance", "distance_by_direction", "distance_everywhere"]

Floats = NDArray[np.float64]
SECTORS = 12


class Distance(NamedTuple):
    """A distance (m) that at most the accepted share of flights passes; not `settled` when the flights are too few."""

    metres: float
    settled: bool


def _bound(distances: Floats, flights: int, allowed: float) -> Distance:
    """Return the smallest distance that is passed by no more flights than the accepted chance leaves room for.

    With k of n flights beyond it, the upper end of the exact interval of k in n must not pass the accepted chance, so
    the sample can't make the distance look shorter than it is. When even k = 0 is too many, the flights settle nothing
    and the furthest landing is returned as a lower limit.
    """
    beyond = -1
    while beyond + 1 < flights and chance(beyond + 1, flights).high <= allowed:
        beyond += 1
    if len(distances) <= beyond:
        return Distance(0.0, True)
    furthest = float(np.sort(distances)[::-1][max(beyond, 0)]) if len(distances) else 0.0
    return Distance(furthest, beyond >= 0)


def distance_everywhere(landings: Floats, allowed: float) -> Distance:
    """Return the distance that holds for people on any side.

    Parameters
    ----------
    landings
        Rows of metres east and north of the launch point.
    allowed
        Accepted chance of coming down beyond it.
    """
    return _bound(np.hypot(landings[:, 0], landings[:, 1]), len(landings), allowed)


def distance_by_direction(landings: Floats, allowed: float) -> list[tuple[float, Distance]]:
    """Return for each of twelve bearings (rad) the distance for people in the 30° about it.

    Whatever comes down further out in the sector counts, so the distance errs to the far side.
    """
    away = np.hypot(landings[:, 0], landings[:, 1])
    bearing = np.arctan2(landings[:, 0], landings[:, 1])
    half = math.pi / SECTORS
    result = []
    for middle in np.arange(SECTORS) * (2.0 * half):
        off = np.abs((bearing - middle + math.pi) % (2.0 * math.pi) - math.pi)
        result.append((float(middle), _bound(away[off <= half], len(landings), allowed)))
    return result
