"""What a day's needs are counted from: a design's own numbers, each from its owner, before any counting is done."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.launcher_parts import Pump
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.make.parts import PartsList, parts_list
from bottlewright.make.plan.glues import usual_temperature
from bottlewright.make.plan.steps import build_steps, tasks_of, tools_and_supplies
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values
from bottlewright.proof.defaults import taken
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.pump import strokes
from bottlewright.proof.rule_plan import rule_plan
from bottlewright.proof.rules import Plan
from bottlewright.proof.vessel import need
from bottlewright.proof.vessel_findings import chance
from bottlewright.quantities import Quantity, show

__all__ = ["Away", "Figures", "Pumping", "WaterTest", "figures_of", "pumping_of"]


@dataclass(frozen=True, slots=True)
class Away:
    """How far people stand, as the verdict has it.

    Parameters
    ----------
    pumper, operator, spectators
        In words.
    pumper_m, operator_m
        The same, m; None where no place will do.
    nearest_m, furthest_m
        Spectators on the side where they stand nearest, and where they stand furthest, m.
    landings
        Whether landings of this very design count in them.
    height
        How high it goes, in words.
    stop
        What the verdict says where it says stop; empty otherwise.
    """

    pumper: str
    operator: str
    spectators: str
    pumper_m: float | None
    operator_m: float | None
    nearest_m: float
    furthest_m: float
    landings: bool
    height: str
    stop: str = ""


@dataclass(frozen=True, slots=True)
class Pumping:
    """One filling with air: strokes with their ±, how long it takes with its ± (s), and what with.

    `strokes` is 0 for a compressor, and infinite where the pump does not get there.
    """

    compressor: bool
    strokes: float
    spread: float
    time: float
    time_spread: float
    air: float
    pump: str
    described: bool


@dataclass(frozen=True, slots=True)
class WaterTest:
    """One water-filled test of one vessel: gauge and chance that it breaks in words, all holds (s), water (m³)."""

    proof: str
    holds: float
    water: float
    break_chance: str


@dataclass(frozen=True, slots=True)
class Figures:
    """What one design brings to the count; SI.

    Parameters
    ----------
    bottles
        In one vessel.
    water
        Of one launch, m³.
    pressure
        On the gauge, in words.
    test
        None for a vessel that nobody pumps again.
    hose, cord
        Lengths in the design, m; None where it has none.
    children_per_adult
        Most, by the local rule; None where nobody has said it.
    rocket_work, first_test, longest_wait
        Working time on one rocket without its water test, of the first water test, and the longest wait for glue or
        tape, s.
    plan
        What the published rules are held against.
    away
        None while nobody has judged the design.
    """

    habit: UnitHabit
    bottles: int
    water: float
    pressure: str
    pumping: Pumping
    test: WaterTest | None
    hose: float | None
    cord: float | None
    children_per_adult: int | None
    rocket_work: float
    first_test: float
    longest_wait: float
    parts: PartsList
    plan: Plan
    away: Away | None = None


def figures_of(design: Design, proved: ProofReport, prices: Mapping[str, float], away: Away | None) -> Figures:
    """Gather what a completed design brings to the count.

    Parameters
    ----------
    proved
        What Prove says of it.
    prices
        From the price file.
    away
        From the verdict; None while it is being worked out.
    """
    habit, launcher = unit_habit(design), design.launcher
    spec = specify(design, {})
    steps = build_steps(spec, template_values(spec))
    room = design.workshop.temperature
    tasks, _ = tasks_of(steps, room.value if room else usual_temperature())
    once = {step.code for step in steps if step.once}
    own = [task for task in tasks if task.code not in once]
    return Figures(
        habit=habit,
        bottles=design.vessel.count,
        water=need(design.charge.water),
        pressure=habit.pressure(need(design.charge.pressure)),
        pumping=pumping_of(design, proved),
        test=None if proved.allowed.retired else _test(design, proved),
        hose=launcher.hose.length.value if launcher.hose and launcher.hose.length else None,
        cord=launcher.cord.length.value if launcher.cord and launcher.cord.length else None,
        children_per_adult=design.workshop.children_per_adult,
        rocket_work=sum(task.work for task in own if task.code != "proof"),
        first_test=next(task.work for task in tasks if task.code == "proof"),
        longest_wait=max((task.wait for task in own), default=0.0),
        parts=parts_list(spec, *tools_and_supplies(steps, design.workshop), prices)[0],
        plan=rule_plan(design),
        away=away,
    )


def _test(design: Design, proved: ProofReport) -> WaterTest:
    plan = proved.plan
    volume = need(design.vessel.volume) * design.vessel.count + plan.water_added_m3
    return WaterTest(unit_habit(design).pressure(plan.proof_gauge_Pa), sum(step.hold_s for step in plan.steps), volume,
                     chance(plan.break_chance))  # fmt: skip


def pumping_of(design: Design, proved: ProofReport) -> Pumping:
    """Take strokes and time from the pumping report, and work out how far the pump's own ± moves them."""
    report, pump = proved.pumping, design.launcher.pump or Pump()
    bore, stroke = taken(pump.bore, "pump.bore"), taken(pump.stroke, "pump.stroke")
    clearance, cadence = taken(pump.clearance, "pump.clearance"), taken(pump.cadence, "pump.cadence")
    ambient = need(design.weather.pressure)
    gauge, air = need(design.charge.pressure), report.gas_volume_m3 + report.hose_volume_m3

    def count(across: float, long: float, left: float) -> float:
        return strokes(ambient + gauge, air, 0.25 * math.pi * across**2 * long, left, ambient)

    values = bore, stroke, clearance
    off = [_moved(count, values, number) for number in range(3)] if not report.compressor else []
    spread = math.hypot(*off)
    share = math.hypot(spread / report.strokes, cadence.spread / cadence.value) if report.strokes else 0.0
    unit = unit_habit(design).unit("mm")
    size = f"{_with_spread(bore, unit)} across inside, {_with_spread(stroke, unit)} a stroke"
    return Pumping(report.compressor, report.strokes, spread, report.time_s, share * report.time_s, air, size,
                   report.described)  # fmt: skip


def _moved(count: Callable[..., float], values: tuple[Quantity, ...], number: int) -> float:
    """Return how far one value's ± moves the strokes: half the way from its low end to its high end."""
    ends = []
    for sign in (-1.0, 1.0):
        moved = [max(q.value + (sign * q.spread if k == number else 0.0), 0.0) for k, q in enumerate(values)]
        ends.append(count(*moved))
    return 0.5 * abs(ends[1] - ends[0]) if all(map(math.isfinite, ends)) else math.inf


def _with_spread(quantity: Quantity, unit: str) -> str:
    return show(quantity.value, unit, 3, quantity.spread)
