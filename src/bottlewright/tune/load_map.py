"""The loads of one rocket: any single one in a small sample of flights, and all of them as a map that grows finer."""

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from bottlewright.design.digest import design_digest
from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.flight.batch import fly_batch
from bottlewright.quantities import Quantity
from bottlewright.tune.advice import Spread, holding, sampled, spread_of
from bottlewright.tune.aims import aim_of, low_end
from bottlewright.tune.mapping import PLANE, ResponseMap, response_map
from bottlewright.tune.pressure_limit import Ceiling, own_ceiling
from bottlewright.tune.search import grid_points
from bottlewright.tune.trials import FlyBatch, Room, Workbench, limits_of
from bottlewright.tune.variables import variables_of

__all__ = ["GRAINS", "LoadTrial", "load_bench", "load_maps", "load_trial", "loadless_digest"]

GRAINS = (3, 6, 11)
"""Points along each side of the map, one after the other."""


class LoadTrial(NamedTuple):
    """One load in the sampled flights.

    Parameters
    ----------
    water, pressure
        m³ and Pa gauge.
    reached
        What the wanted share of flights passes, m.
    height, hang
        Over the flights, m and s.
    margin
        Least static margin that the wanted share, or nine in ten where that is less, passes, calibres.
    beyond
        Limits that it does not keep to, in words.
    holding
        Bounds and limits that it is close to, in words.
    flown
        How many flights stand behind it.
    """

    water: float
    pressure: float
    reached: float
    height: Spread
    hang: Spread
    margin: float
    beyond: tuple[str, ...]
    holding: tuple[str, ...]
    flown: int


def load_bench(design: Design, ceiling: Ceiling, room: Room | None = None, fly: FlyBatch = fly_batch) -> Workbench:
    """Return trials of a completed design that set water and pressure alone; see `advise`.

    Raises
    ------
    DesignError
        If aim or bounds leave nothing to choose.
    """
    aim, ceiling = aim_of(design.tune), own_ceiling(design, ceiling)
    plane = design.model_copy(update={"tune": design.tune.model_copy(update={"vary": list(PLANE)})})
    variables = variables_of(plane, ceiling.pressure)
    return Workbench(sampled(design, design.tune.flights), variables, aim, limits_of(design, aim, room), fly)


def load_trial(bench: Workbench, ceiling: Ceiling, design: Design) -> LoadTrial:
    """Fly the design's own load in the sampled flights."""
    point = np.array([variable.present for variable in bench.variables])
    flights = bench.flights(point[None])
    slacks = {held.name: float(held.slack(flights)[0]) for held in bench.held}
    over = [held.broken for held in bench.held if slacks[held.name] < 0.0]
    if point[1] > 1.001 * ceiling.pressure:
        over.insert(0, f"the highest pressure to aim at, for {ceiling.basis}")
    near = {name: slack for name, slack in slacks.items() if slack >= 0.0}
    reach = bench.aim.reach
    return LoadTrial(
        water=float(point[0]), pressure=float(point[1]), reached=float(low_end(flights["apogee_m"], reach)[0]),
        height=spread_of(flights[0], "apogee_m"), hang=spread_of(flights[0], "flight_time_s"),
        margin=float(low_end(flights["static_margin_min_calibres"], max(reach, 0.9))[0]), beyond=tuple(over),
        holding=() if over else holding(bench.variables, point, near, bench.held, ceiling, {}, unit_habit(design)),
        flown=flights.size,
    )  # fmt: skip


def load_maps(bench: Workbench) -> Iterator[ResponseMap]:
    """Fly the map of water and pressure, coarse at first and finer after; no point is flown twice."""
    bounds = [(variable.low, variable.high) for variable in bench.variables]
    finest = GRAINS[-1]
    points, number = grid_points(bounds, [finest, finest]), np.arange(finest**2).reshape(finest, finest)
    flown: dict[int, Any] = {}
    for grain in GRAINS:
        every = (finest - 1) // (grain - 1)
        seen: list[int] = number[::every, ::every].ravel().tolist()
        new = [one for one in seen if one not in flown]
        flown.update(zip(new, bench.flights(points[new]), strict=True))
        yield response_map(bench, (points[seen], np.stack([flown[one] for one in seen])), grain)


def loadless_digest(design: Design) -> str:
    """Return a name for all of a design but its load: the same map and the same best load belong to it.

    The ± of the load counts where it was written; an assumed one follows the value and does not.
    """
    charge = design.charge
    told = {name: getattr(charge, name) for name in ("water", "pressure")}
    fixed = {name: one and Quantity(0.0, one.spread if "±" in one.text else 0.0)
             for name, one in told.items()}  # fmt: skip
    return design_digest(design.model_copy(update={"charge": charge.model_copy(update=fixed)}))
