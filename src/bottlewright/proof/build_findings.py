"""How the rocket is built, as findings: metal, joints, glue under pressure; and gusts over the wind rule."""

import re
from collections.abc import Iterator, Sequence

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import in_own_units
from bottlewright.findings import Finding, Level, Stage
from bottlewright.proof.evidence import own_evidence
from bottlewright.proof.rule_plan import metal_parts, unsaid_masses
from bottlewright.proof.rules import rule_table, strictest

__all__ = ["build_findings", "gust_findings", "splice_glue_findings"]


def build_findings(design: Design) -> Iterator[Finding]:
    """Stop for metal on the rocket, for bottles that nothing joins, and for a joint that nobody has tested."""
    metal = metal_parts(design)
    if metal:
        yield _stop(
            "metal-parts", "metal pieces cut when a bottle bursts, and strike hard when the rocket lands",
            " and ".join(metal), _NO_METAL,
            _METAL_SOURCES, "make the part of foam, card, wood, clay or soft plastic",
        )
    unsaid = unsaid_masses(design)
    if unsaid:
        yield Finding(
            Level.UNCHECKED, Stage.PROVE, "mass-material-unsaid",
            "metal cuts when a bottle bursts",
            _unsaid(unsaid), _NO_METAL, _METAL_SOURCES,
            "look at each of them for metal, and put something else in its place (material of each mass)",
        )
    yield from _joint(design)
    yield from splice_glue_findings(design)


_NO_METAL = "no metal in nose, body and fins; no metal and nothing sharp on the rocket"
_METAL_SOURCES = "Water Rocket Safety Code; University of Nebraska, water rocket guide"


def _unsaid(parts: Sequence[str]) -> str:
    """Say of which parts nobody has said what they are made of, each by its name as a name."""
    named = [f"“{one}”" for one in parts]
    if len(named) == 1:
        return f"nobody says what the part {named[0]} is made of"
    return f"nobody says what these parts are made of: {', '.join(named)}"


def _stop(code: str, hazard: str, found: str, limit: str, source: str, remedy: str) -> Finding:
    return Finding(Level.STOP, Stage.PROVE, code, hazard, found, limit, source, remedy)


def _joint(design: Design) -> Iterator[Finding]:
    vessel = design.vessel
    if vessel.count < 2:
        return
    if vessel.joint == "none":
        yield _stop(
            "no-joint", "bottles that nothing joins come apart under pressure",
            f"{vessel.count} bottles in the vessel, and vessel.joint is none", "a joint that has been tested",
            "our judgement", "join them, write vessel.joint, and proof test the whole vessel filled with water",
        )
    elif not any(one.counts and one.result.earns for one in own_evidence(design)):
        yield _stop(
            "joint-not-rated", "the joint between the bottles may be the weakest part, and nobody knows its strength",
            f"{vessel.count} bottles joined by a {vessel.joint}, with no passed test filled with water that counts",
            "a joint's strength is shown by a proof test of the whole vessel", "our judgement",
            "proof test the finished vessel filled with water before any launch",
        )


_GLUES = {
    "hot-glue": (
        r"hot[\s_-]*(?:melt|glue)|glue[\s_-]*gun",
        "hot glue softens the wall of the bottle, and the joint or the wall then fails under pressure",
        "120 to 195 °C", "70 °C, where PET begins to soften",
        "makers' sheets, 120 to 195 °C; glass transition of PET about 70 °C, maker's table",
    ),
    "superglue": (
        r"super[\s_-]*glue|cyano|instant[\s_-]*(?:glue|adhesive)|\bca\b",
        "superglue is brittle and attacks the stretched wall, and the joint then opens under pressure",
        "a brittle glue on a wall that stretches", "no superglue on the pressure bottle",
        "Science Olympiad, rules for bottle rockets (Utah, division B)",
    ),
}
"""Glues that must not hold a joint under pressure: how they are written, hazard, what is found, limit, source."""


def splice_glue_findings(design: Design) -> Iterator[Finding]:
    """Stop for a joint under pressure that is held by hot glue or superglue."""
    named = design.vessel.joint_adhesive
    if named is None or design.vessel.count < 2:
        return
    for code, (written, hazard, found, limit, source) in _GLUES.items():
        if re.search(written, named, re.IGNORECASE):
            yield _stop(
                f"{code}-on-the-vessel", hazard, f"vessel.joint_adhesive: {named!r}, {found}", limit, source,
                "use a glue that cures cold and stays tough, such as two-part polyurethane, on new bottles",
            )


def gust_findings(design: Design, habit: UnitHabit) -> Iterator[Finding]:
    """Look at gusts over the strictest published wind; the mean wind over it is a stop of the rule itself."""
    gust, wind, rule = design.weather.gust, design.weather.wind_speed, strictest(rule_table(), "wind")
    if gust is None or wind is None or rule is None or rule.value is None:
        return
    if gust.value > rule.value * (1.0 + 1e-9) and not wind.value > rule.value * (1.0 + 1e-9):
        yield Finding(
            Level.LOOK, Stage.PROVE, "gusts-over-rule", "a gust turns the rocket as it leaves, and carries it off",
            f"gusts of {habit.speed(gust.value)}", in_own_units(habit, rule.says), rule.source,
            "wait until the gusts stay below it, too",
        )
