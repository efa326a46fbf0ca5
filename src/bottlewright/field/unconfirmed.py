"""With which design the field's landings are flown while nobody has confirmed what the flights taught.

What was learned may bring lines nearer to the launcher. That counts once a person has seen old and new and put name and
day to it. Until then a few flights of either are held against each other, and the one that reaches further counts.
"""

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.taught import without_learned
from bottlewright.design.unit_habit import unit_habit
from bottlewright.field.landings import FlyBatch, ballistic_flights, points
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.batch import sample_batch

__all__ = ["flown_with"]

_FLIGHTS, _SHARE = 400, 0.99
"""Flights of each, and the share of them that comes down within what is compared: our judgement."""


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
    old, new = (_reach(one, fly, seed) for one in (without, design))
    further = new >= old
    distance = unit_habit(design).distance
    found = (f"99 flights in 100 come down within {distance(old)} without it, {distance(new)} with it: "
             f"the landings are flown {'with' if further else 'without'} what was learned")  # fmt: skip
    return design if further else without, [Finding(
        Level.LOOK, Stage.FIELD, "learned-unconfirmed",
        "Nobody has confirmed that lines and failures may follow what the flights taught", found,
        "whichever reaches further, until a person has seen old and new", "our judgement",
        "See old and new on the page Learn, then write name and day: learned.confirmed_by, learned.confirmed_on",
    )]  # fmt: skip


def _reach(design: Design, fly: FlyBatch, seed: int) -> float:
    """Return within which distance of the launcher 99 in 100 flights come down, opened or not, m."""
    opened = sample_batch(design, 0, _FLIGHTS, seed=seed)
    opened["turbulence"] = 1
    landed = points(fly(np.concatenate([opened, ballistic_flights(design, seed)])))
    away = np.hypot(*landed[np.isfinite(landed).all(axis=1)].T)
    return float(np.quantile(away, _SHARE)) if len(away) else 0.0
