"""The proof test's sheet: one A4 page to print, take along and fill in."""

import math
from functools import cache
from typing import TYPE_CHECKING

from bottlewright.design.document import Design
from bottlewright.design.unit_text import at_least, at_most, on_the_gauge
from bottlewright.figures.colours import LIGHT
from bottlewright.findings import stops
from bottlewright.proof.prove import CAUTIONS, ProofReport
from bottlewright.proof.summary_text import INSTEAD
from bottlewright.proof.vessel import need
from bottlewright.proof.vessel_findings import chance, test_distance
from bottlewright.quantities import show
from bottlewright.report.act_on import ActOn

if TYPE_CHECKING:
    from jinja2 import Template

__all__ = ["proof_sheet"]


@cache
def _template() -> "Template":
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("bottlewright.proof"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )
    return environment.get_template("proof_test.html")


def proof_sheet(design: Design, report: ProofReport, act: ActOn) -> str:
    """Return the sheet as one self-contained HTML page that prints on one side of A4.

    Test pressure and launch pressure are those of the verdict, distances those of the rules at the test pressure, for
    nothing flies in a test. For a vessel that nobody pumps again it is no
    plan, only what to do instead.
    """
    plan, vessel, habit = report.plan, design.vessel, report.habit
    bottle = f"{show(need(vessel.volume), 'L')}, {vessel.kind}, {habit.length(need(vessel.diameter))} across"
    if vessel.count > 1:
        bottle = f"{vessel.count} bottles of {bottle}"
    return _template().render(
        name=design.name,
        colours=LIGHT,
        bottle=bottle,
        retired=act.retired,
        instead=INSTEAD,
        stops=[f"{finding.hazard}: {finding.found}; limit {finding.limit}" for finding in stops(report.findings)],
        cautions=CAUTIONS,
        plan=plan,
        launch=at_most(habit, plan.launch_gauge_Pa),
        proof=act.proof,
        hold=act.hold,
        floor=at_least(habit, plan.floor_gauge_Pa),
        ceiling=at_most(habit, plan.ceiling_gauge_Pa),
        units={"pressure": "psi" if habit.psi else "bar", "length": "in" if habit.inches else "mm"},
        water_joules=f"{plan.on_water.wall_J + plan.on_water.water_J:.0f} J",
        air_joules=f"{plan.on_air.isentropic_J:.0f} J",
        break_chance=chance(plan.break_chance),
        people=test_distance(plan, habit),
        people_source=plan.distances.operator.source,
        spectators=habit.stand_back(plan.distances.spectators.asks_m),
        spectators_source=plan.distances.spectators.source,
        steps=[(act.proof if step is plan.steps[-1] else on_the_gauge(habit, step.pressure_Pa),
                f"{step.hold_s:.0f} s", step.look_for) for step in plan.steps],
        girth_grows=habit.length(math.pi * plan.diameter_growth_m, 2),
        girth_stays=habit.length(math.pi * plan.permanent_growth_limit_m, 2),
        water_added=show(plan.water_added_m3, "mL", 2),
    )
