"""The proof test's sheet: one A4 page to print, take along and fill in."""

from functools import cache
from typing import TYPE_CHECKING

from bottlewright.design.document import Design
from bottlewright.findings import stops
from bottlewright.proof.prove import CAUTIONS, ProofReport
from bottlewright.proof.summary_text import INSTEAD
from bottlewright.proof.vessel import need
from bottlewright.proof.vessel_findings import bar, chance
from bottlewright.quantities import show
from bottlewright.report.style import LIGHT

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


def proof_sheet(design: Design, report: ProofReport) -> str:
    """Return the sheet as one self-contained HTML page that prints on one side of A4.

    For a vessel that failed a test it is no plan, only what to do instead.
    """
    plan, vessel = report.plan, design.vessel
    bottle = f"{show(need(vessel.volume), 'L')}, {vessel.kind}, {show(need(vessel.diameter), 'mm')} across"
    if vessel.count > 1:
        bottle = f"{vessel.count} bottles of {bottle}"
    return _template().render(
        name=design.name,
        colours=LIGHT,
        bottle=bottle,
        failed=report.rated.failed,
        instead=INSTEAD,
        stops=[f"{finding.found}; limit {finding.limit}" for finding in stops(report.findings)],
        cautions=CAUTIONS,
        plan=plan,
        launch=bar(plan.launch_gauge_Pa),
        proof=bar(plan.proof_gauge_Pa),
        floor=bar(plan.floor_gauge_Pa),
        proof_psi=show(plan.proof_gauge_Pa, "psi"),
        water_joules=f"{plan.on_water.wall_J + plan.on_water.water_J:.0f} J",
        air_joules=f"{plan.on_air.isentropic_J:.0f} J",
        break_chance=chance(plan.break_chance),
        people=show(max(plan.distances.operator.asks_m, plan.distances.pumper.asks_m), "m"),
        people_source=plan.distances.operator.source,
        spectators=show(plan.distances.spectators.asks_m, "m"),
        spectators_source=plan.distances.spectators.source,
        steps=[(bar(step.pressure_Pa), f"{step.hold_s:.0f} s", step.look_for) for step in plan.steps],
        girth_grows=show(3.141592653589793 * plan.diameter_growth_m, "mm", 2),
        girth_stays=show(3.141592653589793 * plan.permanent_growth_limit_m, "mm", 2),
        water_added=show(plan.water_added_m3, "mL", 2),
    )
