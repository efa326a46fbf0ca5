"""What people do rather than write: wait for less wind, peg the stand down, stand the launcher elsewhere.

Each is tried as knobs are, by judging the design with it. Yet no key is offered: the weather, the field and the
equipment stand in the file as they are, and whoever has changed one of them writes that down then.
"""

import math
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import shapely

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.rewriting import Changes
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.drawing import drawing
from bottlewright.field.site import field_site
from bottlewright.proof.rules import rule_table, strictest
from bottlewright.quantities import UNITS, Dimension

__all__ = ["ACTS", "acted"]

_MOST_STAKES, _MOST_WEIGHTS = 12, 60
"""Stakes in all; steps of weight (1 kg or 2 lb) more than there are."""
_CLEAR, _STRIDE, _MOST_STRIDES = 10.0, 10.0, 12
"""Metres that the launcher keeps from the boundary, and between two places that are tried for it."""


def acted(changes: Changes) -> bool:
    """Say whether a change is one of the weather, the field or the equipment."""
    return any(key.startswith(_ACTED) for key, _ in changes)


_ACTED = ("weather.", "site.", "launcher.stakes.", "launcher.cord.turn")


def _stakes(design: Design, _: UnitHabit) -> Iterator[Changes]:
    """Peg it down with more stakes, where the builder has spoken of some."""
    stakes = design.launcher.stakes
    if stakes is not None and stakes.count:
        yield from ((("launcher.stakes.count", str(count)),) for count in range(stakes.count + 1, _MOST_STAKES + 1))


def _weights(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Lay more on its feet, where the builder has spoken of weights."""
    stakes = design.launcher.stakes
    if stakes is not None and stakes.weights is not None and stakes.weights.value:
        unit, step = ("lb", 2) if habit.pounds else ("kg", 1)
        first = math.floor(stakes.weights.value / (step * UNITS[Dimension.MASS][unit]) + 1e-6) + 1
        for count in range(first, first + _MOST_WEIGHTS):
            yield (("launcher.stakes.weights", f"{step * count} {unit}"),)


def _turn(design: Design, _: UnitHabit) -> Iterator[Changes]:
    """Lead the cord round less of a bar."""
    cord = design.launcher.cord
    if cord is not None and cord.turn is not None:
        most = math.ceil(math.degrees(cord.turn.value) / 15.0 - 1e-6)
        yield from ((("launcher.cord.turn", f"{15 * step} deg"),) for step in range(most - 1, -1, -1))


def _calmer(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Wait for less wind, gusts included: no more than the strictest published maximum."""
    wind, rule = design.weather.wind_speed, strictest(rule_table(), "wind")
    if wind is None or rule is None or rule.value is None:
        return
    unit = "mph" if habit.miles else "m/s"
    size = UNITS[Dimension.SPEED][unit]
    gust: Changes = (("weather.gust", ""),) if design.weather.gust else ()
    spread = f" ± {wind.spread / size:.3g} {unit}" if wind.spread else ""
    for tenths in range(math.floor(10.0 * min(rule.value, wind.value - 1e-6) / size), 0, -2):
        yield (("weather.wind_speed", f"{tenths / 10.0:.1f} {unit}{spread}"), *gust)


def _frostless(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Wait for a day without frost, and fill it with water that is no colder than the air then."""
    air, water = design.weather.temperature, design.charge.temperature
    if air is None or water is None:
        return
    for celsius in range(max(math.floor(air.value - 273.15), 0) + 1, 16):
        text = f"{celsius * 9 / 5 + 32:.0f} °F" if habit.fahrenheit else f"{celsius} °C"
        cold: Changes = (("charge.temperature", text),) if water.value < celsius + 273.15 else ()
        yield (("weather.temperature", text), *cold)


def _launch_point(design: Design, _: UnitHabit) -> Iterator[Changes]:
    """Stand the launcher further from the nearest power line, on a field that the file draws in metres or feet."""
    site = design.site
    point = [one.value for one in site.launch_point] if site.launch_point else [0.0, 0.0] if site.rectangle else None
    try:
        field = field_site(site, Path())
        if site.map or point is None or field.boundary is None or drawing(site, Path()).degrees:
            return
    except DesignError:
        return
    lines = shapely.union_all([area.ground for area in field.keep_outs if area.kind.name == "power line"])
    near = shapely.get_coordinates(shapely.shortest_line(lines, shapely.Point(0.0, 0.0)))
    if not len(near) or not np.hypot(*near[0]):
        return
    away, inside = -near[0] / np.hypot(*near[0]), field.boundary.buffer(-_CLEAR)
    for stride in range(1, _MOST_STRIDES + 1):
        east, north = stride * _STRIDE * away
        if not inside.covers(shapely.Point(east, north)):
            return
        yield (("site.launch_point", f'["{point[0] + east:.0f} m", "{point[1] + north:.0f} m"]'),)


ACTS: dict[str, Callable[[Design, UnitHabit], Iterator[Changes]]] = {
    "stakes": _stakes,
    "weights": _weights,
    "turn": _turn,
    "calmer wind": _calmer,
    "no frost": _frostless,
    "launch point": _launch_point,
}
"""What may be done, by name."""
