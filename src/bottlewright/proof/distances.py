"""How far away people stand: the strictest published distance for each of them, and what the plan has."""

from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import in_own_units
from bottlewright.proof.rules import Plan, Rule, RuleCheck, check_rules, strictest
from bottlewright.proof.vessel import need

__all__ = ["Asked", "Distances", "checked_rules", "governing_distance", "rule_plan"]


@dataclass(frozen=True, slots=True)
class Asked:
    """The distance that the strictest rule asks of one role, and what the plan has (None: not said), m."""

    role: str
    asks_m: float
    planned_m: float | None
    source: str
    limited_by: str  # "cord", "hose" or "": what keeps this person nearer than the plan says

    @property
    def meets(self) -> bool | None:
        """Whether the plan's distance is enough."""
        return None if self.planned_m is None else self.planned_m >= self.asks_m - 1e-9


@dataclass(frozen=True, slots=True)
class Distances:
    """What the rules ask of each role."""

    operator: Asked
    pumper: Asked
    spectators: Asked


def rule_plan(design: Design, gauge: float | None = None, part_factor: float | None = None) -> Plan:
    """Gather from a completed design what the rules are held against.

    The operator can be no farther off than the cord is long, the pumper no farther than the hose.
    """
    launcher, crew, vessel = design.launcher, design.launcher.crew, design.vessel
    return Plan(
        pressure=need(design.charge.pressure) if gauge is None else gauge,
        volume=need(vessel.volume) * vessel.count,
        eye_protection=bool(crew and crew.eye_protection),
        operator=_reach(design, "operator")[0],
        pumper=_reach(design, "pumper")[0],
        spectators=crew.spectators.value if crew and crew.spectators else None,
        tilt=launcher.tilt.value if launcher.tilt else None,
        wind=need(design.weather.wind_speed),
        cycles=vessel.cycles,
        part_factor=part_factor,
        remote_vent=crew.remote_vent if crew else None,
        surface_work=any(work in vessel.surface for work in ("hot-glued", "sanded", "cut")),
    )


def _reach(design: Design, role: str) -> tuple[float | None, str]:
    """Return where a role stands, cut to the length of the cord or hose, and which of them cut it."""
    crew = design.launcher.crew
    said = getattr(crew, role) if crew else None
    line = {"operator": ("cord", design.launcher.cord), "pumper": ("hose", design.launcher.hose)}.get(role)
    length = line[1].length.value if line and line[1] and line[1].length else None
    if said is None:
        return length, ""
    if length is not None and line is not None and length < said.value - 1e-9:
        return length, line[0]
    return said.value, ""


def governing_distance(design: Design, gauge: float | None = None) -> Distances:
    """Return the strictest published distance for operator, pumper and spectators of a completed design.

    Parameters
    ----------
    gauge
        Pressure to ask for, Pa; the planned one when left out (a proof test has its own).
    """
    plan = rule_plan(design, gauge)
    applying = [check.rule for check in check_rules(plan)]
    return Distances(*(_asked(design, applying, role) for role in ("operator", "pumper", "spectators")))


def _asked(design: Design, applying: list[Rule], role: str) -> Asked:
    rule = strictest(applying, "distance", role)
    assert rule is not None, "the table has a distance for every role"
    planned, cut = (_reach(design, role) if role != "spectators" else (rule_plan(design).spectators, ""))
    source = in_own_units(unit_habit(design), f"{rule.source}: {rule.says}")
    return Asked(role, rule.value or 0.0, planned, source, cut)


def checked_rules(design: Design, part_factor: float | None) -> tuple[RuleCheck, ...]:
    """Hold a completed design against every rule that applies."""
    return check_rules(rule_plan(design, part_factor=part_factor))

