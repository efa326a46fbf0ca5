"""How far away people stand: the strictest published distance for each of them, and what the plan has."""

from dataclasses import dataclass, replace

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import in_own_units
from bottlewright.proof.rule_plan import reach, rule_plan
from bottlewright.proof.rules import Plan, Rule, RuleCheck, applies, check_rules, rule_table, strictest

__all__ = ["Asked", "Distances", "checked_rules", "governing_distance"]


@dataclass(frozen=True, slots=True)
class Asked:
    """The distance that the strictest rule asks of one role, and what the plan has (None: not said), m."""

    role: str
    asks_m: float
    planned_m: float | None
    source: str
    limited_by: str  # "cord", "hose" or "": what keeps this person nearer than the plan says
    with_eye_protection_m: float  # what would be asked if everyone near wore it
    eye_protection_said: bool

    @property
    def meets(self) -> bool | None:
        """Whether the plan's distance is enough."""
        return None if self.planned_m is None else self.planned_m >= self.asks_m - 1e-9

    @property
    def hangs_on_goggles(self) -> bool:
        """Whether the distance would do with eye protection, of which nothing is said."""
        enough = self.planned_m is not None and self.planned_m >= self.with_eye_protection_m - 1e-9
        return self.meets is False and enough and not self.eye_protection_said


@dataclass(frozen=True, slots=True)
class Distances:
    """What the rules ask of each role."""

    operator: Asked
    pumper: Asked
    spectators: Asked


def governing_distance(design: Design, gauge: float | None = None) -> Distances:
    """Return the strictest published distance for operator, pumper and spectators of a completed design.

    Parameters
    ----------
    gauge
        Pressure to ask for, Pa; the planned one when left out (a proof test has its own).
    """
    plan = rule_plan(design, gauge)
    return Distances(*(_asked(design, plan, role) for role in ("operator", "pumper", "spectators")))


def _strictest(plan: Plan, role: str) -> Rule:
    far = [rule for rule in rule_table() if rule.subject == "distance" and applies(rule, plan)]
    rule = strictest(far, "distance", role)
    assert rule is not None, "the table has a distance for every role"
    return rule


def _asked(design: Design, plan: Plan, role: str) -> Asked:
    rule, worn = _strictest(plan, role), _strictest(replace(plan, eye_protection=True), role)
    planned, cut = reach(design, role) if role != "spectators" else (plan.spectators, "")
    source = in_own_units(unit_habit(design), f"{rule.source}: {rule.says}")
    return Asked(role, rule.value or 0.0, planned, source, cut, worn.value or 0.0, plan.eye_protection is not None)


def checked_rules(design: Design, part_factor: float | None) -> tuple[RuleCheck, ...]:
    """Hold a completed design against every rule in whose scope it is."""
    return check_rules(rule_plan(design, part_factor=part_factor))
