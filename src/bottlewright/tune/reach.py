"""Wishes that no load fulfils: how near the loads come, and what else would have to change."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.field_tables import TuneVariable
from bottlewright.tune.trials import Held, Workbench
from bottlewright.tune.variables import Variable, variables_of

__all__ = ["OutOfReach", "out_of_reach"]

Floats = NDArray[np.float64]
TRIED = 128  # loads and rockets that are tried for what would reach it
EVERYTHING: tuple[TuneVariable, ...] = ("water", "pressure", "bore", "ballast", "fin span")


class OutOfReach(NamedTuple):
    """A limit that no trial keeps to.

    Parameters
    ----------
    held
        The limit.
    nearest
        How near the best trial comes, in words.
    at
        Its values, in words.
    cure
        The values that would keep to it and to all other limits, in words; empty where none was found.
    """

    held: Held
    nearest: str
    at: str
    cure: str


def out_of_reach(
    design: Design, bench: Workbench, unmet: Sequence[Held], points: Floats, flights: object, ceiling: float
) -> tuple[OutOfReach, ...]:
    """Say of each limit that no trial keeps to how near one comes, and what would reach it.

    Parameters
    ----------
    bench
        With the limits that can be kept.
    points, flights
        Trials that have been flown.
    ceiling
        Highest gauge pressure, Pa: no cure passes it.
    """
    return tuple(_one(design, bench, held, points, flights, ceiling) for held in unmet)


def _one(
    design: Design, bench: Workbench, held: Held, points: Floats, flights: object, ceiling: float
) -> OutOfReach:
    slack = held.slack(flights)
    best = int(np.nanargmax(slack))
    at = words_of(bench.variables, points[best])
    return OutOfReach(held, held.at(float(slack[best])), at, _cure(design, bench, held, ceiling))


def words_of(variables: Sequence[Variable], values: Floats) -> str:
    """Return values in a row."""
    return ", ".join(f"{each.text(float(value))} of {each.name}" for each, value in zip(variables, values, strict=True))


def _cure(design: Design, bench: Workbench, held: Held, ceiling: float) -> str:
    """Try all that `tune` may ever change, then take back what is not needed."""
    from scipy.stats import qmc

    variables = [each for name in EVERYTHING for each in _possible(design, name, ceiling)]
    wide = Workbench(bench.batch, variables, bench.aim, [held, *bench.held], bench.fly)
    low, high = np.transpose([(each.low, each.high) for each in variables])
    present = np.clip([each.present for each in variables], low, high)
    points = qmc.scale(qmc.Sobol(len(variables), rng=1).random(TRIED), low, high)
    inside = (wide.evaluate(points).slacks >= 0.0).all(axis=1)
    bench.flown += wide.flown
    if not inside.any():
        return ""
    away = np.abs((points - present) / (high - low)).sum(axis=1)
    point = points[inside][int(np.argmin(away[inside]))]
    for column in range(len(variables)):
        kept = point.copy()
        kept[column] = present[column]
        if (wide.evaluate(kept[None]).slacks >= 0.0).all():
            point = kept
    changed = np.flatnonzero(point != present)
    return words_of([variables[k] for k in changed], point[changed])


def _possible(design: Design, name: TuneVariable, ceiling: float) -> list[Variable]:
    """Return the variable, or nothing where this rocket has no such part or no room to change it."""
    tune = design.tune.model_copy(update={"vary": [name]})
    try:
        return variables_of(design.model_copy(update={"tune": tune}), ceiling)
    except DesignError:
        return []
