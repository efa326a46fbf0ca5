"""With which design the field's landings are flown while nobody has confirmed what the flights taught.

What was learned may bring lines nearer to the launcher. That counts once a person has seen old and new and put name and
day to it. Until then a few flights of either are held against each other, and the one that reaches further counts.
Where the other one reaches further towards some side, that is said; the lines don't follow it.
"""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.taught import without_learned
from bottlewright.design.unit_habit import unit_habit
from bottlewright.field.compass import compass
from bottlewright.field.landings import FlyBatch, ballistic_flights, points
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.batch import sample_batch

__all__ = ["flown_with"]

_FLIGHTS, _SHARE = 400, 0.99
"""Flights of each, and the share of them that comes down within what is compared: our judgement."""
_FEWEST, _PLAINLY, _LEAST = 20, 1.2, 2.0
"""Landings in a direction of which a reach can be told; by which factor and how many m more is plainly further: nine in
ten of fifty landings, drawn twice, differ by some 13 % (order statistics of a Rayleigh spread). Our judgement."""


def flown_with(design: Design, fly: FlyBatch, seed: int) -> tuple[Design, list[Finding]]:
    """Return the design that the landings are flown with, and what there is to say of it.

    Parameters
    ----------
    design
        Completed.
    fly, seed
        Flies a batch; of its draws.
    """
    keys = design.learned
    if design.written.taken is None or (keys.confirmed_by and keys.confirmed_on):
        return design, []
    without = without_learned(design)
    landed = [_landed(one, fly, seed) for one in (without, design)]
    old, new = (_reach(one) for one in landed)
    further = new >= old
    distance = unit_habit(design).distance
    sides = [f"towards {compass(way)} {distance(other)} {'without' if further else 'with'} it, not {distance(mine)}"
             for way, other, mine in _sides(*(landed if further else landed[::-1]))]  # fmt: skip
    found = (f"99 flights in 100 come down within {distance(old)} without it, {distance(new)} with it: "
             f"the landings are flown {'with' if further else 'without'} what was learned"
             f"{'. Nine in ten lie further out ' if sides else ''}{'; '.join(sides)}")  # fmt: skip
    return design if further else without, [Finding(
        Level.LOOK, Stage.FIELD, "learned-unconfirmed",
        "Nobody has confirmed that lines and failures may follow what the flights taught", found,
        "whichever reaches further, until a person has seen old and new", "our judgement",
        "See old and new on the page Learn, then write name and day: learned.confirmed_by, learned.confirmed_on",
    )]  # fmt: skip


def _landed(design: Design, fly: FlyBatch, seed: int) -> NDArray[np.float64]:
    """Return where flights come down, opened or not, rows of metres east and north."""
    opened = sample_batch(design, 0, _FLIGHTS, seed=seed)
    opened["turbulence"] = 1
    landed = points(fly(np.concatenate([opened, ballistic_flights(design, seed)])))
    return np.asarray(landed[np.isfinite(landed).all(axis=1)])


def _reach(landed: NDArray[np.float64]) -> float:
    """Return within which distance of the launcher 99 in 100 come down, m."""
    return float(np.quantile(np.hypot(*landed.T), _SHARE)) if len(landed) else 0.0


def _sides(other: NDArray[np.float64], mine: NDArray[np.float64]) -> Iterator[tuple[float, float, float]]:
    """Yield each of eight directions in which the other landings reach plainly further: direction, both reaches, m."""
    for number in range(8):
        reaches = []
        for landed in (other, mine):
            here = landed[np.round(np.arctan2(*landed.T) / (0.25 * math.pi)) % 8 == number]
            reaches.append(float(np.quantile(np.hypot(*here.T), 0.9)) if len(here) >= _FEWEST else 0.0)
        if reaches[0] > _PLAINLY * reaches[1] + _LEAST:
            yield number * 0.25 * math.pi, reaches[0], reaches[1]
