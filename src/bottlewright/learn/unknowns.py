"""What flights can teach: values that stay with a rocket and its gauge, and those that belong to one launch.

A value is as many of its own ± away from the design's as a score says: a standard normal number before anything is
measured, in the very way in which a batch of flights draws it (`flight.batch.vary_value`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.learned import GAUGE, TOLD_APART
from bottlewright.design.paths import uncertain
from bottlewright.flight.batch import settle, vary_value
from bottlewright.flight.parameters import parameters_of, slot_of

__all__ = ["GAUGE", "NAMED", "Unknown", "of_the_launch", "unknowns_of", "varied"]

Floats = NDArray[np.float64]

_OF_THE_GAUGE = 0.9
"""Share of the ± of a pressure that is the gauge's own and the same at each launch; the rest is how it was read and the
pressure held. The squares add up to 1. Our judgement."""

NAMED = {**TOLD_APART, GAUGE: "true pressure against the gauge"}
"""What is asked about a rocket by name; of every other value that stays with it only the sum is followed."""

_OF_A_LAUNCH = ("charge.water", "charge.temperature", "launcher.tilt", "launcher.leans_towards")
_AT_THE_FIELD = ("weather", "site")


@dataclass(frozen=True, slots=True)
class Unknown:
    """One value that flights may tell something about.

    Parameters
    ----------
    path
        Of the design.
    launch
        Number of its launch, from 0; None where it stays with the rocket.
    share
        Of the design's ±.
    """

    path: str
    launch: int | None = None
    share: float = 1.0

    @property
    def named(self) -> bool:
        """Whether it is asked about by name."""
        return self.launch is None and self.path in NAMED


def of_the_launch(path: str) -> bool:
    """Say whether a value is another at each launch."""
    return path in _OF_A_LAUNCH or path.partition(".")[0] in _AT_THE_FIELD


def unknowns_of(designs: Sequence[Design]) -> list[Unknown]:
    """Return all that carries a ± in the designs of launches of one rocket, those of the rocket first.

    Parameters
    ----------
    designs
        Completed, one a launch.
    """
    found = [Unknown(path, None, _OF_THE_GAUGE if path == GAUGE else 1.0)
             for path in _flown(designs[0]) if not of_the_launch(path)]  # fmt: skip
    for number, design in enumerate(designs):
        found += [Unknown(path, number) for path in _flown(design) if of_the_launch(path)]
        if GAUGE in _flown(design):
            found.append(Unknown(GAUGE, number, math.sqrt(1.0 - _OF_THE_GAUGE**2)))
    return found


def _flown(design: Design) -> list[str]:
    return [path for path in uncertain(design) if _has_a_slot(path)]


def _has_a_slot(path: str) -> bool:
    try:
        slot_of(path)
    except KeyError:
        return False
    return True


def varied(design: Design, number: int, unknowns: Sequence[Unknown], scores: Floats) -> Any:
    """Return flight parameters of one launch, a record for each row of scores.

    Parameters
    ----------
    design
        Of the launch.
    number
        Of the launch: values of other launches are left alone.
    unknowns, scores
        What varies, (n,), and by how many of its ±, (m, n).
    """
    batch = parameters_of(design, len(scores))
    batch["index"] = 0
    moved: dict[str, Floats] = {}
    for column, one in enumerate(unknowns):
        if one.launch in (None, number):
            moved[one.path] = moved.get(one.path, 0.0) + one.share * scores[:, column]
    for path, by in moved.items():
        vary_value(batch, design, path, by)
    settle(batch, design)
    np.maximum(batch["pressure_gauge"], 1e3, out=batch["pressure_gauge"])
    return batch
