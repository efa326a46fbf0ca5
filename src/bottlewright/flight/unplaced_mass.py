"""Weight that the scale finds and no part accounts for: where it sits decides the margin, and nobody has said where."""

import math
from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.findings import limit
from bottlewright.flight.fly import Flight, fly_parameters
from bottlewright.flight.layout import layout_of
from bottlewright.flight.parameters import parameters_of

__all__ = ["unplaced_mass"]

_A_FEW = 3.0
"""How many times the ± of scale and parts together the two may lie apart (our judgement)."""


def unplaced_mass(design: Design, flight: Flight) -> Iterator[Finding]:
    """Look at a rocket that weighs other than its parts while nobody has found its balance point."""
    dry, least = design.measured.dry_mass, flight.summary["static_margin_min_calibres"]
    if dry is None or design.measured.balance_point is not None or math.isnan(least):
        return
    parts = layout_of(design).parts
    summed, surplus = float(flight.vehicle["estimated_mass"]), dry.value - float(flight.vehicle["estimated_mass"])
    doubt = math.hypot(dry.spread, *(part.mass.spread for part in parts))
    if abs(surplus) <= _A_FEW * doubt:
        return
    habit, held, worst = unit_habit(design), limit("margin_least"), _margin_at_worst(design, flight, surplus)
    where = "all of it sits at the tail" if surplus > 0.0 else "all of it is missing at the nose"
    yield Finding(
        Level.LOOK if not worst >= held.value else Level.NOTE, Stage.FLY, "unplaced-mass",
        "Nobody knows where part of the weight sits, and that decides whether the rocket flies straight",
        f"the scale says {habit.mass(dry.value)}, the parts add up to {habit.mass(summed)}; the least margin of "
        f"{least:.2f} calibres holds if the {habit.mass(abs(surplus))} between them is spread like the rest, and is "
        f"{worst:.2f} if {where}",
        f"parts that add up to what the scale says, or a balance point of your own; {held.says}", held.source,
        f"{_string(habit)} Or name what is {'left out' if surplus > 0.0 else 'too heavy'} under [[mass]] or in its "
        "part.",
    )  # fmt: skip


def _string(habit: UnitHabit) -> str:
    such = "10.5 in ± 0.1 in" if habit.inches else "267 mm ± 3 mm"
    return (
        "Hang the rocket level from a string, without water, and write how far behind the nose tip it balances, such "
        f'as measured.balance_point = "{such}".'
    )


def _margin_at_worst(design: Design, flight: Flight, surplus: float) -> float:
    """Return the least margin, calibres, with the surplus (kg) at the tail, or what is too much taken from the tip."""
    vehicle, again = flight.vehicle, parameters_of(design)[0]
    summed, place = float(vehicle["estimated_mass"]), float(vehicle["length"]) if surplus > 0.0 else 0.0
    again["measured_balance"] = (summed * float(vehicle["dry_centre"]) + surplus * place) / (summed + surplus)
    return fly_parameters(again).summary["static_margin_min_calibres"]
