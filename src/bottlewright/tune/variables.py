"""What may be changed: bounds, and what each change does to a batch of flights."""

import math
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.unit_habit import unit_habit
from bottlewright.flight.parameters import EXTRA_MASSES
from bottlewright.quantities import Quantity, show

__all__ = ["Variable", "variables_of"]

Floats = NDArray[np.float64]
BALLAST_PLACE = 0.25  # of the nose's length behind the tip: where a weight fits


class Variable(NamedTuple):
    """A thing that may be changed.

    Parameters
    ----------
    name
        As in the design file.
    path
        Key of the design that it stands for.
    low, high, present
        Bounds and present value, SI.
    text
        Writes a value in words.
    yours
        Whether the builder set the bounds.
    change
        Puts new values into a batch of shape (trials, flights); values of shape (trials, 1).
    """

    name: str
    path: str
    low: float
    high: float
    present: float
    text: Callable[[float], str]
    yours: bool
    change: Callable[[Any, Floats], None]

def variables_of(design: Design, most_pressure: float) -> list[Variable]:
    """Return what the design's [tune] table allows to change.

    Parameters
    ----------
    design
        Completed.
    most_pressure
        Highest gauge pressure that any trial may have, Pa: the rating, or less.

    Raises
    ------
    DesignError
        If bounds are crossed or the design has no such part.
    """
    makers = {"water": _water, "pressure": _pressure, "bore": _bore, "ballast": _ballast, "fin span": _fin_span}
    problems: list[Problem] = []
    found = []
    for name in dict.fromkeys(design.tune.vary):
        try:
            variable = makers[name](design, most_pressure)
        except DesignError as error:
            problems += error.problems
            continue
        if not variable.low < variable.high:
            key = f"tune.{name.replace(' ', '_')}"
            why = f"leaves nothing to choose: from {variable.text(variable.low)} to {variable.text(variable.high)}"
            problems.append(Problem(key, why, "give the lower bound first, and a wider span"))
        found.append(variable)
    if not found and not problems:
        problems.append(Problem("tune.vary", "is empty", 'such as vary = ["water", "pressure"]'))
    if problems:
        raise DesignError(problems)
    return found


def _value(quantity: Quantity | None) -> float:
    return quantity.value if quantity is not None else math.nan


def _bounds(given: tuple[Quantity, Quantity] | None, low: float, high: float) -> tuple[float, float]:
    return (given[0].value, given[1].value) if given else (low, high)


def _shift(slot: str, present: float) -> Callable[[Any, Floats], None]:
    """Move a value of the batch, keeping each flight's own deviation from the middle."""

    def change(batch: Any, values: Floats) -> None:
        batch[slot] += values - present

    return change


def _water(design: Design, _: float) -> Variable:
    volume = _value(design.vessel.volume) * design.vessel.count
    low, high = _bounds(design.tune.water, 0.1 * volume, 0.7 * volume)
    present = _value(design.charge.water)
    return Variable("water", "charge.water", low, min(high, 0.95 * volume), present, partial(show, unit="mL"),
                    design.tune.water is not None, _shift("water", present))  # fmt: skip


def _pressure(design: Design, most: float) -> Variable:
    low, high = _bounds(design.tune.pressure, min(1.5e5, 0.5 * most), most)
    present = _value(design.charge.pressure)
    return Variable("pressure", "charge.pressure", low, min(high, most), present, unit_habit(design).pressure,
                    design.tune.pressure is not None, _shift("pressure_gauge", present))  # fmt: skip


def _bore(design: Design, _: float) -> Variable:
    neck = _value(design.vessel.neck_bore)
    low, high = _bounds(design.tune.bore, 4e-3, neck)
    present = _value(design.nozzle.bore)
    return Variable("bore", "nozzle.bore", low, min(high, neck), present, unit_habit(design).length,
                    design.tune.bore is not None, _shift("bore", present))  # fmt: skip


def _ballast(design: Design, _: float) -> Variable:
    if len(design.mass) >= EXTRA_MASSES:
        why = f'can\'t add ballast: the design has {EXTRA_MASSES} extra masses already'
        raise DesignError([Problem("tune.vary", why, "join some of them")])
    low, high = _bounds(design.tune.ballast, 0.0, 0.08)
    place = BALLAST_PLACE * _value(design.nose.length if design.nose else None)
    index = len(design.mass)

    def change(batch: Any, values: Floats) -> None:
        batch["extra_count"] = index + 1
        batch["extra_mass"][..., index] = values
        batch["extra_position"][..., index] = place
        _weigh_again(batch, values, place)

    return Variable("ballast", "mass (added at the nose)", low, high, 0.0, unit_habit(design).mass,
                    design.tune.ballast is not None, change)  # fmt: skip


def _fin_span(design: Design, _: float) -> Variable:
    if design.fins is None or design.fins.outline:
        why = "can't change the fin span of a design without fins, or with an outline of its own"
        raise DesignError([Problem("tune.vary", why, 'take "fin span" out')])
    present = _value(design.fins.span)
    low, high = _bounds(design.tune.fin_span, 0.6 * present, 1.6 * present)
    middle = _value(design.fins.position) + 0.5 * _value(design.fins.root)

    def change(batch: Any, values: Floats) -> None:
        added = batch["fin_mass"] * (values / present - 1.0)
        batch["fin_span"] += values - present
        batch["fin_mass"] += added
        _weigh_again(batch, added, middle)

    return Variable("fin span", "fins.span", low, high, present, unit_habit(design).length,
                    design.tune.fin_span is not None, change)  # fmt: skip


def _weigh_again(batch: Any, added: Floats, place: float) -> None:
    """Carry an added mass (kg, at metres from the tip) into a measured mass and balance point."""
    before = batch["measured_mass"]
    after = np.where(before > 0.0, before + added, 0.0)
    balance = batch["measured_balance"]
    moved = (before * balance + added * place) / np.where(after > 0.0, after, 1.0)
    batch["measured_balance"] = np.where((balance > 0.0) & (before > 0.0), moved, balance)
    batch["measured_mass"] = after
    batch["swing_period"] = np.where(added == 0.0, batch["swing_period"], 0.0)  # it was swung without
