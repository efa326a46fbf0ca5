"""The numbers that people act on by the proof of a design alone, for a command that has no verdict to ask."""

from collections.abc import Sequence

from bottlewright.design import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.findings import Finding, Level
from bottlewright.make.inputs import Proved
from bottlewright.quantities import show
from bottlewright.report.act_on import ActOn

__all__ = ["act_alone"]


def act_alone(design: Design, proved: Proved, findings: Sequence[Finding]) -> ActOn:
    """Return what the proof says; where the rocket comes down, nobody has asked."""
    habit, rated, plan = unit_habit(design), proved.rated, proved.plan
    stops = sum(one.level is Level.STOP for one in findings)
    looks = sum(one.level is Level.LOOK for one in findings)
    charge, pressure = design.charge, "none"
    if charge.pressure is not None:
        pressure = habit.pressure(charge.pressure.value)
    allowed = at_most(habit, rated.gauge_Pa)
    over = charge.pressure is None or charge.pressure.value > rated.gauge_Pa

    def rule(role: str) -> str:
        asked = getattr(proved.distances, role)
        return habit.stand_back(max(asked.asks_m, asked.planned_m or 0.0))

    return ActOn(
        level="stop" if stops else "look" if looks else "none",
        says=f"Stop: {_things(stops)} to be put right first" if stops
        else f"Look at {looks} {'thing' if looks == 1 else 'things'} before you go on" if looks
        else "No finding says stop or look so far",
        water="none" if charge.water is None else show(charge.water.value, "mL", 3),
        pressure=pressure,
        pump_to=f"{pressure} (not before every STOP on the cover is settled)" if stops else pressure,
        leak="what the fresh bottle will be rated to" if rated.failed else allowed if over else pressure,
        allowed="none: this bottle has failed a test" if rated.failed else f"not over {allowed}",
        because=str(rated.basis),
        after_test="",
        retired=str(rated.basis) if rated.failed else "",
        proof="" if rated.failed else habit.pressure(plan.proof_gauge_Pa),
        hold="" if rated.failed else f"for {plan.hold_s:.0f} s",
        pumper=rule("pumper"),
        operator=rule("operator"),
        spectators=rule("spectators"),
        distances_because="By the published rules; nobody has worked out where the rocket comes down",
        sides=(),
        wind="",
        wind_because="nobody has worked out a limit",
        winds=(),
        unchecked=("where the rocket comes down", "the bottle, the launcher, the field and the sky of the day"),
    )  # fmt: skip


def _things(number: int) -> str:
    return "1 thing has" if number == 1 else f"{number} things have"
