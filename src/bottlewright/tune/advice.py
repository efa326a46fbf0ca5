"""The whole of Tune for one design: recommendation, gain, what holds it back, map, front, what to measure next."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.tune.aims import Aim, aim_of, low_end
from bottlewright.tune.mapping import PLANE, STEPS, FrontPoint, ResponseMap, front, plane_bench, response_map
from bottlewright.tune.pressure_limit import Ceiling, own_ceiling
from bottlewright.tune.reach import OutOfReach, out_of_reach
from bottlewright.tune.search import Trials, best_point, grid_points, merit
from bottlewright.tune.sensitivity import Sources
from bottlewright.tune.spread_contributions import spread_sources
from bottlewright.tune.trials import FlyBatch, Held, Room, Workbench, limits_of
from bottlewright.tune.variables import Variable, variables_of

__all__ = ["Advice", "Spread", "Step", "advise", "holding", "sampled", "spread_of"]

Floats = NDArray[np.float64]
SURE = 20  # times the flights of a trial stand behind the recommendation and the present load
NEAR = 0.03  # a limit nearer than this share of itself holds the load back


class Spread(NamedTuple):
    """A figure over many flights: the middle and the values that one flight in ten stays under and over."""

    low: float
    middle: float
    high: float


class Step(NamedTuple):
    """What a step of one variable changes (m or s), and what it passes, in words."""

    change: float
    past: tuple[str, ...]


@dataclass(frozen=True)
class Advice:
    """What to load and why.

    Parameters
    ----------
    aim, variables, held
        What was aimed at, changed and kept to.
    point, present
        Recommended and present values, SI, in the order of the variables.
    worth, present_worth
        Of both, in the aim's own unit.
    slacks, present_slacks
        How far inside each limit both are, as a share of it, by name of the limit.
    gain
        What the recommendation gains over the present load in the middle flight, with a 95 % interval.
    height, present_height, hang, present_hang
        Spread over the flights, m and s.
    holding
        What holds the recommendation back, in words.
    felt
        Greatest acceleration, m/s²: what a payload feels.
    unmet, out_of_reach
        Limits that no trial could meet by what may be changed: by name, and with what would reach them.
    steps
        By variable: what a fifth less and a fifth more of it change, and what each passes.
    habit
        Units of the builder.
    """

    aim: Aim
    ceiling: Ceiling
    variables: list[Variable]
    held: list[Held]
    point: Floats
    present: Floats
    worth: float
    present_worth: float
    slacks: dict[str, float]
    present_slacks: dict[str, float]
    gain: tuple[float, float, float]
    height: Spread
    present_height: Spread
    hang: Spread
    present_hang: Spread
    holding: tuple[str, ...]
    felt: Spread
    unmet: tuple[str, ...]
    out_of_reach: tuple[OutOfReach, ...]
    steps: dict[str, tuple["Step", "Step"]]
    map: ResponseMap
    front: tuple[FrontPoint, ...]
    sources: Sources
    flown: int
    habit: UnitHabit


def advise(
    design: Design,
    ceiling: Ceiling,
    room: Room | None = None,
    fly: FlyBatch = fly_batch,
    say: Callable[[str], None] = lambda _: None,
) -> Advice:
    """Work out what to load.

    Parameters
    ----------
    design
        Completed.
    ceiling
        Rated pressure with its basis; a lower `tune.most_pressure` goes before it.
    room
        How far landings lie inside the field, and the accepted chance of leaving; None without a field.
    fly
        Flies a batch.
    say
        Called with what is being done.
    """
    aim, habit = aim_of(design.tune), unit_habit(design)
    ceiling = own_ceiling(design, ceiling)
    variables = variables_of(design, ceiling.pressure)
    batch = sampled(design, design.tune.flights)
    bench = Workbench(batch, variables, aim, limits_of(design, aim, room), fly)
    present = np.array([variable.present for variable in variables])
    say("a first look")
    first = _first(bench, variables, present)
    unmet = _drop_hopeless(bench, first)
    beyond = out_of_reach(design, bench, unmet, first.points, first.flights, ceiling.pressure)
    say("walking to the best load")
    bounds = [(variable.low, variable.high) for variable in variables]
    point = best_point(bench.evaluate, bounds, present, design.tune.seed, _again(bench, first), bench.weighed)
    point = _snapped(point, bounds)
    say("many flights of the recommended and the present load")
    sure = Workbench(sampled(design, SURE * design.tune.flights), variables, aim, bench.held, fly)
    point, recommended = _settled(point, bench, sure, first)
    say("the map of water and pressure")
    if tuple(variable.name for variable in variables) == PLANE:
        response = response_map(bench, (first.points, first.flights))
    else:
        response = response_map(plane_bench(bench, design, point, ceiling.pressure))
    tops = _front(response, sure, point, recommended)
    flights = np.concatenate([recommended, sure.flights(present[None])])
    point, flights = _no_worse(sure, ceiling, point, present, flights, tops)
    trials = sure.judge(np.stack([point, present]), flights)
    say("which uncertainty matters most")
    sources = spread_sources(design, aim.figure, sure.stacked(point[None])[0], flights[0], fly)
    steps, least = _steps(bench, variables, point, ceiling), aim.name == "least pressure"
    names = [held.name for held in bench.held] + (["wanted height"] if least else [])
    slacks = [dict(zip(names, map(float, row), strict=False)) for row in trials.slacks]
    return Advice(
        aim=aim, ceiling=ceiling, variables=variables, held=bench.held, point=point, present=present,
        worth=float(trials.worth[0]), present_worth=float(trials.worth[1]),
        slacks=slacks[0], present_slacks=slacks[1], gain=_gain(aim, flights),
        height=spread_of(flights[0], "apogee_m"), present_height=spread_of(flights[1], "apogee_m"),
        hang=spread_of(flights[0], "flight_time_s"), present_hang=spread_of(flights[1], "flight_time_s"),
        holding=holding(variables, point, slacks[0], bench.held, ceiling, {} if least else steps, habit),
        felt=spread_of(flights[0], "max_acceleration_m_s2"), unmet=tuple(held.name for held in unmet),
        out_of_reach=beyond, steps=steps, map=response, front=tuple(top.shown for top in tops),
        sources=sources, flown=bench.flown + sure.flown, habit=habit,
    )


def sampled(design: Design, count: int) -> Any:
    """Return so many of the flights that every trial of a design shares."""
    return sample_batch(design, 0, count, seed=design.tune.seed)


# --- the search ----------------------------------------------------------------------------------------------------


class _Look(NamedTuple):
    points: Floats
    flights: Any


def _first(bench: Workbench, variables: list[Variable], present: Floats) -> _Look:
    """Fly a grid of two variables, or a scatter of points for more, with the present load among them."""
    bounds = [(variable.low, variable.high) for variable in variables]
    low, high = np.transpose(bounds)
    if len(bounds) <= 2:
        points = grid_points(bounds, [25] if len(bounds) == 1 else [STEPS, STEPS])
    else:
        from scipy.stats import qmc

        points = qmc.scale(qmc.Sobol(len(bounds), rng=1).random(64), low, high)
    points = np.vstack([points, np.clip(present, low, high)])
    return _Look(points, bench.flights(points))


def _drop_hopeless(bench: Workbench, look: _Look) -> list[Held]:
    """Take out and return the limits that no trial of the first look meets, so that the rest still decide."""
    best = {held.name: float(np.nanmax(held.slack(look.flights))) for held in bench.held}
    hopeless = [held for held in bench.held if best[held.name] < 0.0]
    bench.held = [held for held in bench.held if best[held.name] >= 0.0]
    return hopeless


def _again(bench: Workbench, look: _Look) -> tuple[Floats, Trials] | None:
    return (look.points, bench.judge(look.points, look.flights)) if len(bench.variables) <= 2 else None


def _snapped(point: Floats, bounds: list[tuple[float, float]]) -> Floats:
    """Move a value that is within a two-hundredth of its span from a bound onto it: nobody weighs 0.1 g of ballast."""
    low, high = np.transpose(bounds)
    near = (high - low) / 200.0
    return np.where(point < low + near, low, np.where(point > high - near, high, point))


def _settled(point: Floats, bench: Workbench, sure: Workbench, look: _Look) -> tuple[Floats, Any]:
    """Draw a point that many flights show to be beyond a limit back inside, towards the best place well inside.

    A trial's few flights leave the edge of a limit uncertain by some per cent. Returns the point and its many flights.
    """
    flights = sure.flights(point[None])
    if not bench.held or (sure.judge(point[None], flights).slacks >= 0.0).all():
        return point, flights
    trials, order = bench.judge(look.points, look.flights), sure.worst_first(flights)
    for room in (NEAR, 0.1, 0.3, 0.6):
        inside = (trials.slacks >= room).all(axis=1)
        if not inside.any():
            break
        target = look.points[inside][int(np.argmax(trials.worth[inside]))]
        for part in (0.1, 0.2, 0.35, 0.5, 1.0):
            there = point + part * (target - point)
            tried = sure.kept(there, order)
            if tried is not None:
                return there, tried
    return point, flights


class _Top(NamedTuple):
    """The best load at one pressure of the map, as shown, and its many flights; no flights where it is not tried."""

    shown: FrontPoint
    point: Floats
    flights: Any


def _front(response: ResponseMap, sure: Workbench, point: Floats, recommended: Any) -> list[_Top]:
    """Return the front with the heights of as many flights as stand behind the recommendation.

    The map's few flights find the water; table and headline then agree because the same flights stand behind both.
    `recommended` are those of the point.
    """
    columns = {variable.name: column for column, variable in enumerate(sure.variables)}
    if not set(PLANE) <= set(columns):
        return [_Top(top, point, None) for top in front(response)]
    tops, order = [], sure.worst_first(recommended)
    for top in front(response):
        there = point.copy()
        there[columns["water"]], there[columns["pressure"]] = top.water, top.pressure
        flights = sure.kept(there, order)
        if flights is not None:
            height = float(low_end(flights["apogee_m"], sure.aim.reach)[0])
            tops.append(_Top(FrontPoint(top.pressure, height, top.water), there, flights))
    return tops


def _no_worse(
    sure: Workbench, ceiling: Ceiling, point: Floats, present: Floats, flights: Any, tops: list[_Top]
) -> tuple[Floats, Any]:
    """Return the best of the recommended load, the present one and those of the table, by their many flights.

    A present load above the ceiling is none to recommend, however well it flies.
    """
    loads = [(point, flights[:1])] + [(top.point, top.flights) for top in tops if top.flights is not None]
    if sure.pressures(present[None])[0] <= ceiling.pressure * 1.001:
        loads.append((present, flights[1:]))
    points = np.stack([load for load, _ in loads])
    worth = merit(sure.judge(points, np.concatenate([flown for _, flown in loads])))
    best = int(np.argmax(worth)) if worth.max() > worth[0] else 0
    return points[best], np.concatenate([loads[best][1], flights[1:]])


# --- what it comes to ----------------------------------------------------------------------------------------------


def spread_of(flights: Any, figure: str) -> Spread:
    """Return the spread of a figure over flights."""
    low, middle, high = np.nanquantile(flights[figure], (0.1, 0.5, 0.9))
    return Spread(float(low), float(middle), float(high))


def _gain(aim: Aim, flights: Any) -> tuple[float, float, float]:
    """Return the gain flight by flight, the same draws under both loads: mean and 95 % interval of the mean."""
    seen = flights[aim.figure]
    if aim.name == "nearest height":
        seen = -np.abs(seen - aim.wanted)
    step = seen[0] - seen[1]
    step = step[np.isfinite(step)]
    if not len(step):
        return math.nan, math.nan, math.nan
    half = 1.96 * float(np.std(step)) / math.sqrt(len(step))
    return float(np.mean(step)), float(np.mean(step)) - half, float(np.mean(step)) + half


def holding(
    variables: list[Variable], point: Floats, slacks: Mapping[str, float], held: list[Held], ceiling: Ceiling,
    steps: Mapping[str, tuple[Step, Step]], habit: UnitHabit,
) -> tuple[str, ...]:
    """Say what holds a load back: bounds beyond which a step would gain, and limits that are near."""
    words = []
    for variable, value in zip(variables, point, strict=True):
        edge = 0.01 * (variable.high - variable.low)
        at_low, at_high = value < variable.low + edge, value > variable.high - edge
        if not (at_low or at_high):
            continue
        step = steps[variable.name][0 if at_low else 1].change if variable.name in steps else math.inf
        if value <= 0.0 or step <= 0.0:  # there is nothing beyond it, or nothing to gain there
            continue
        if variable.name == "pressure" and value > ceiling.pressure - edge:
            words.append(f"the pressure of {at_most(habit, ceiling.pressure)}, for {ceiling.basis}")
        else:
            whose = "that you allow" if variable.yours else "that was tried"
            words.append(f"the {'least' if at_low else 'most'} {variable.name} {whose}, {variable.text(value)}")
    by_name = {each.name: each for each in held}
    for name, slack in slacks.items():
        if slack < NEAR and name in by_name:
            words.append(f"the {name}, {by_name[name].says} ({by_name[name].source})")
    return tuple(words)


def _steps(
    bench: Workbench, variables: list[Variable], point: Floats, ceiling: Ceiling
) -> dict[str, tuple[Step, Step]]:
    """Return what a fifth less and a fifth more of each variable change, the others as recommended.

    In m or s of what the wanted share passes; of the distance from the wanted height where that is the aim.
    """
    rows = []
    for column in range(len(variables)):
        for factor in (0.8, 1.2):
            row = point.copy()
            row[column] *= factor
            rows.append(row)
    points = np.array([point, *rows])
    flights, aim = bench.flights(points), bench.aim
    seen, slacks = flights[aim.figure], bench.judge(points, flights).slacks
    worth = low_end(-np.abs(seen - aim.wanted) if aim.name == "nearest height" else seen, aim.reach)

    def step(row: int, variable: Variable, value: float) -> Step:
        limits = zip(bench.held, slacks[row], strict=False)
        past = (f"the limit of the {held.name}" for held, slack in limits if slack < 0.0)
        return Step(float(worth[row] - worth[0]), (*_past_bounds(variable, value, ceiling), *past))

    return {
        variable.name: (step(1 + 2 * k, variable, 0.8 * point[k]), step(2 + 2 * k, variable, 1.2 * point[k]))
        for k, variable in enumerate(variables)
    }


def _past_bounds(variable: Variable, value: float, ceiling: Ceiling) -> list[str]:
    if variable.low <= value <= variable.high:
        return []
    if variable.name == "pressure" and value > ceiling.pressure:
        return ["the highest pressure to aim at"]
    return [f"the {'least' if value < variable.low else 'most'} {variable.name} "
            f"{'that you allow' if variable.yours else 'that was tried'}"]
