"""The proof test's sheet: one A4 page to print, take along and fill in."""

import math
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

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

__all__ = ["PlanWords", "pack_page", "plan_words", "proof_sheet"]

BLANK = "______"
_BEFORE = (
    "Wall looked at against the light: no white streak, scratch, dent or cut. Base, shoulder and neck too.",
    "Filled under water, turned and tapped until no bubble is left; hose full of water as well.",
    "Bottle in a bucket or behind a board, valve and gauge at the far end of the hose, a way to let the pressure off "
    "from there.",
    f"Everyone knows who says stop. In charge {BLANK * 2} Pumps {BLANK * 2}",
)
_GIRTHS = ("top of the straight part", "middle", "foot of the straight part")
_THEN = ("Then: let the pressure off from the far end, wait a minute, go near only when the gauge reads nothing. Cut a "
         "failed bottle up.")
"""What sheet and pack both say."""


class PlanWords(NamedTuple):
    """The plan of the next proof test in the builder's units, as the sheet and the page have it.

    Parameters
    ----------
    proof, hold
        What the gauge shows at the end, and for how long.
    launch, floor, ceiling
        The launch that a pass covers for a month; how hard the test is at the least and at the most.
    people, spectators
        How far away whoever helps and whoever looks on stand.
    water_joules, air_joules
        What it stores filled with water, and what it would store filled with air.
    break_chance
        How likely the bottle breaks in it.
    steps
        Gauge, hold and what to do.
    """

    proof: str
    hold: str
    launch: str
    floor: str
    ceiling: str
    people: str
    spectators: str
    water_joules: str
    air_joules: str
    break_chance: str
    steps: list[tuple[str, str, str]]


def plan_words(report: ProofReport, act: ActOn) -> PlanWords:
    """Return the plan of the next test in words; test and launch pressure are those of the verdict."""
    plan, habit = report.plan, report.habit
    return PlanWords(
        proof=act.proof, hold=act.hold, launch=at_most(habit, plan.launch_gauge_Pa),
        floor=at_least(habit, plan.floor_gauge_Pa), ceiling=at_most(habit, plan.ceiling_gauge_Pa),
        people=test_distance(plan, habit), spectators=habit.stand_back(plan.distances.spectators.asks_m),
        water_joules=f"{plan.on_water.wall_J + plan.on_water.water_J:.0f} J",
        air_joules=f"{plan.on_air.isentropic_J:.0f} J",
        break_chance=chance(plan.break_chance),
        steps=[(act.proof if step is plan.steps[-1] else on_the_gauge(habit, step.pressure_Pa),
                f"{step.hold_s:.0f} s", step.look_for) for step in plan.steps],
    )  # fmt: skip


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
        **plan_words(report, act)._asdict(),
        people_source=plan.distances.operator.source,
        spectators_source=plan.distances.spectators.source,
        **_to_fill_in(report),
    )


def _to_fill_in(report: ProofReport) -> dict[str, Any]:
    """Return what sheet and pack ask to be done, measured and written down."""
    plan, habit = report.plan, report.habit
    return {
        "before": _BEFORE, "girths": _GIRTHS, "then": _THEN, "ends_it": plan.ends_it,
        "units": {"pressure": "psi" if habit.psi else "bar", "length": "in" if habit.inches else "mm"},
        "girth_grows": habit.length(math.pi * plan.diameter_growth_m, 2),
        "girth_stays": habit.length(math.pi * plan.permanent_growth_limit_m, 2),
        "water_added": show(plan.water_added_m3, "mL", 2),
    }


def pack_page(report: ProofReport, act: ActOn) -> dict[str, Any] | None:
    """Return the sheet as data for the printed pack; None for a vessel that nobody tests again."""
    return None if act.retired else {**plan_words(report, act)._asdict(), **_to_fill_in(report),
                                     "cautions": list(CAUTIONS)}
