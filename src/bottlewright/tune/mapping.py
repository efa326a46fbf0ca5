"""The response over water and pressure, and the front of height against pressure drawn from it."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.tune.aims import low_end
from bottlewright.tune.search import grid_points
from bottlewright.tune.trials import Workbench
from bottlewright.tune.variables import variables_of

__all__ = ["PLANE", "STEPS", "FrontPoint", "ResponseMap", "front", "plane_bench", "response_map"]

Floats = NDArray[np.float64]
STEPS = 11
PLANE = ("water", "pressure")


class ResponseMap(NamedTuple):
    """Over water (m³) and gauge pressure (Pa): arrays of shape (water, pressure), slacks by name of the limit.

    `height` is what the wanted share of flights passes, m; `worth` is the aim's own.
    """

    water: Floats
    pressure: Floats
    worth: Floats
    height: Floats
    slacks: dict[str, Floats]


class FrontPoint(NamedTuple):
    """The best height (m, that the wanted share of flights passes) at a pressure (Pa), and the water for it (m³)."""

    pressure: float
    height: float
    water: float


def plane_bench(bench: Workbench, design: Design, point: Floats, ceiling: float) -> Workbench:
    """Return a bench that sets water and pressure alone, with everything else as at a point of another bench."""
    batch = bench.batch.copy()
    stacked = batch[None, :]
    for column, variable in enumerate(bench.variables):
        if variable.name not in PLANE:
            variable.change(stacked, point[None, column, None])
    tune = design.tune.model_copy(update={"vary": list(PLANE)})
    both = variables_of(design.model_copy(update={"tune": tune}), ceiling)
    return Workbench(batch, both, bench.aim, bench.held, bench.fly)


def response_map(bench: Workbench, flown: tuple[Floats, Any] | None = None, steps: int = STEPS) -> ResponseMap:
    """Fly a grid of water and pressure.

    Parameters
    ----------
    bench
        Of `plane_bench`, or any that sets water and pressure alone.
    flown
        Points and flights that begin with this very grid, when they are there already.
    steps
        Along each side.
    """
    water, pressure = bench.variables
    points = grid_points([(water.low, water.high), (pressure.low, pressure.high)], [steps, steps])
    flights = bench.flights(points) if flown is None else flown[1][: len(points)]
    trials = bench.judge(points, flights)
    shape = (steps, steps)
    return ResponseMap(
        water=points[:, 0].reshape(shape)[:, 0],
        pressure=points[:, 1].reshape(shape)[0],
        worth=trials.worth.reshape(shape),
        height=low_end(flights["apogee_m"], bench.aim.reach).reshape(shape),
        slacks={held.name: trials.slacks[:, k].reshape(shape) for k, held in enumerate(bench.held)},
    )


def front(response: ResponseMap) -> tuple[FrontPoint, ...]:
    """Return the best height at each pressure of the map, over the water that keeps to all limits.

    Between the steps of the map heights and limits follow monotone cubics (scipy). A pressure at which no water keeps
    to the limits has no point.
    """
    from scipy.interpolate import PchipInterpolator

    water = np.linspace(response.water[0], response.water[-1], 401)
    finite = np.nan_to_num(response.height, nan=0.0, neginf=0.0)
    heights = PchipInterpolator(response.water, finite)(water)
    inside = np.ones_like(heights, bool)
    for slack in response.slacks.values():
        kept = np.clip(np.nan_to_num(slack, nan=-1.0), -1.0, 1.0)
        inside &= PchipInterpolator(response.water, kept)(water) >= 0.0
    best = np.where(inside, heights, -np.inf)
    tops = best.argmax(axis=0)
    return tuple(
        FrontPoint(float(pressure), float(best[top, column]), float(water[top]))
        for column, (pressure, top) in enumerate(zip(response.pressure, tops, strict=True))
        if np.isfinite(best[top, column])
    )
