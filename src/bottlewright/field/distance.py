"""How far people stand: the distance in each direction beyond which next to no flight comes down."""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from bottlewright.field.tail import Bound, Floats, Measure, Stratum

__all__ = ["SECTORS", "Distance", "distance_by_direction", "distance_everywhere", "sector_of", "towards"]

SECTORS = 12
HALF = math.pi / SECTORS


class Distance(NamedTuple):
    """A distance (m) that at most the accepted share of flights passes; not `settled` when the flights can't tell."""

    metres: float
    settled: bool


def towards(bearing: float) -> Measure:
    """Return the measure of a 30° sector about a bearing (rad): how far out in it a place lies, m.

    It is the distance along the bearing over cos 15°, less half of how far the place lies beside the sector, measured
    across (of the shares tried on Curlew's landings a half gave the least distances over all sectors).
    It is concave, and inside the sector no less than the distance from the launcher: whatever comes down further out
    there counts, and some beside it.
    """
    east, north = math.sin(bearing), math.cos(bearing)

    def measure(landings: Floats) -> Floats:
        along = landings[:, 0] * east + landings[:, 1] * north
        across = np.abs(landings[:, 0] * north - landings[:, 1] * east)
        beside = np.maximum(across - math.tan(HALF) * along, 0.0)
        return np.asarray(along / math.cos(HALF) - 0.5 * beside, float)

    return measure


def distance_by_direction(
    strata: Sequence[Stratum], allowed: float, known: bool = True
) -> list[tuple[float, Distance]]:
    """Return for each of twelve bearings (rad) the distance for people in the 30° about it.

    Parameters
    ----------
    strata
        Each kind of return with its odds.
    allowed
        Accepted chance, for each flight, of coming down beyond it in its sector.
    known
        False when flights are missing whose end nobody knows: then nothing is settled.
    """
    result = []
    for bearing in np.arange(SECTORS) * (2.0 * HALF):
        bound = Bound(strata, towards(float(bearing)))
        metres = bound.furthest(allowed)
        settled = known and metres is not None and not bound.fat(allowed)
        if metres is None:
            metres = _furthest_seen(strata, float(bearing))
        result.append((float(bearing), Distance(max(metres, 0.0), settled)))
    return result


def distance_everywhere(sectors: Sequence[tuple[float, Distance]]) -> Distance:
    """Return the distance that holds for people on any side."""
    furthest = max((one for _, one in sectors), key=lambda one: one.metres)
    return Distance(furthest.metres, all(one.settled for _, one in sectors))


def sector_of(sectors: Sequence[tuple[float, Distance]], bearing: float) -> Distance:
    """Return the distance of the sector that a bearing (rad) lies in; on the border of two, the larger one."""
    step = 2.0 * math.pi / len(sectors)
    turns = [abs((way - bearing + math.pi) % (2.0 * math.pi) - math.pi) for way, _ in sectors]
    near = [one for (_, one), turn in zip(sectors, turns, strict=True) if turn <= step / 2.0 + 1e-6]
    return max(near, key=lambda one: one.metres)


def _furthest_seen(strata: Sequence[Stratum], bearing: float) -> float:
    seen = np.concatenate([one.landings for one in strata])
    off = np.abs((np.arctan2(seen[:, 0], seen[:, 1]) - bearing + math.pi) % (2.0 * math.pi) - math.pi)
    return float(np.max(np.hypot(*seen.T), initial=0.0, where=off <= HALF))
