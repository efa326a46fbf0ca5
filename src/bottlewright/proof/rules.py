"""Published launch rules as data: which apply to a plan, whether it meets them, which is the strictest.

Every rule keeps its own source and number. Where sources differ, all are shown and the strictest governs. The tool
never adds a number of its own to this table; local rules and the person in charge of the site come before all of it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from bottlewright.data_file import Row, data_file, each
from bottlewright.quantities import Dimension, parse_quantity

__all__ = [
    "Conflict", "Plan", "Rule", "RuleCheck", "Subject", "applies", "check_rules", "conflicts", "governing", "governs",
    "rule_table", "strictest",
]

Subject = str
"""What a rule limits: pressure, distance, tilt, wind, metal, gauge … or practice, which only the day can show."""

_DIMENSIONS = {
    "pressure": Dimension.PRESSURE, "distance": Dimension.LENGTH, "field width": Dimension.LENGTH,
    "field length": Dimension.LENGTH, "tilt": Dimension.ANGLE, "wind": Dimension.SPEED,
    "part factor": Dimension.NUMBER, "cycles": Dimension.NUMBER, "eye protection": Dimension.LENGTH,
    "dry mass": Dimension.MASS, "nose radius": Dimension.LENGTH, "mouth clearance": Dimension.LENGTH,
}
"""Dimension of a rule's value by its subject; the other subjects have no number."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the table; SI values, pressures gauge."""

    id: str
    subject: Subject
    says: str
    source: str
    read: str
    text: str = ""
    value: float | None = None
    if_absolute: float | None = None  # the stricter reading of a source that does not say gauge or absolute
    bound: str = ""
    role: str = ""
    advice: bool = False
    analogy: bool = False
    over_volume: float | None = None
    over_pressure: float | None = None
    pressure_from: float | None = None
    pressure_to: float | None = None
    eye_protection: bool | None = None
    group: str = ""  # of a contest or another field of work: binds where `site.rules` names it
    compressor: bool = False  # speaks of compressors only


@dataclass(frozen=True, slots=True)
class Plan:
    """What the rules are held against; None where the design does not say. SI, pressure gauge, tilt from vertical.

    `said` answers the rules without a number, by their subject: True where the plan meets them.
    """

    pressure: float
    volume: float
    eye_protection: bool | None = None
    operator: float | None = None
    pumper: float | None = None
    spectators: float | None = None
    tilt: float | None = None
    wind: float | None = None
    cycles: int | None = None
    part_factor: float | None = None
    dry_mass: float | None = None
    nose_radius: float | None = None
    mouth_clearance: float | None = None
    field_width: float | None = None
    field_length: float | None = None
    compressor: bool = False
    said: Mapping[str, bool | None] = field(default_factory=dict)
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RuleCheck:
    """A rule in whose scope the plan is, what the plan has, and whether it meets the rule (None: see for yourself).

    A rule of a contest that nobody named does not govern: it is shown and decides nothing.
    """

    rule: Rule
    plan: float | None
    meets: bool | None
    governs: bool = True


@cache
def rule_table() -> tuple[Rule, ...]:
    """Read the shipped table."""
    return tuple(each(data_file("proof", "rules")["rule"], _rule))


def _rule(row: Row) -> Rule:
    fields = dict(row)
    if "value" in row:
        fields["text"] = str(row["value"])
        fields["value"] = float(row.read("value", parse_quantity, _DIMENSIONS[row["subject"]]))
    for key, dimension in (
        ("over_volume", Dimension.VOLUME), ("over_pressure", Dimension.PRESSURE), ("if_absolute", Dimension.PRESSURE),
        ("pressure_from", Dimension.PRESSURE), ("pressure_to", Dimension.PRESSURE),
    ):
        if key in row:
            fields[key] = float(row.read(key, parse_quantity, dimension))
    return Rule(**fields)


def governs(rule: Rule, named: Iterable[str]) -> bool:
    """Say whether a rule binds: all do but those of a contest or another field of work, which the file has to name."""
    return not rule.group or rule.group in named


def applies(rule: Rule, plan: Plan) -> bool:
    """Say whether a rule binds and speaks of a vessel of this volume, at this pressure, with or without goggles."""
    return governs(rule, plan.rules) and _in_scope(rule, plan)


def _in_scope(rule: Rule, plan: Plan) -> bool:
    """Say whether a rule speaks of this plan.

    A vessel is in the scope of "over 1.2 L or over 2.41 bar" when it passes either. The low band of pressure holds up
    to and with its end, the high band above it. Eye protection of which nothing is said counts as none.
    """
    if rule.over_volume is not None and rule.over_pressure is not None:
        in_scope = plan.volume > rule.over_volume or plan.pressure > rule.over_pressure
    else:
        in_scope = True
    return (
        in_scope
        and (rule.pressure_from is None or plan.pressure > rule.pressure_from)
        and (rule.pressure_to is None or plan.pressure <= rule.pressure_to)
        and (rule.eye_protection is None or rule.eye_protection == bool(plan.eye_protection))
        and (plan.compressor or not rule.compressor)
    )


_NUMBERS = frozenset({
    "pressure", "tilt", "wind", "cycles", "part factor", "dry mass", "nose radius", "mouth clearance", "field width",
    "field length",
})  # fmt: skip
"""Subjects of one number; the plan calls it by the same words."""


def _planned(rule: Rule, plan: Plan) -> float | None:
    if rule.subject == "distance":
        places = {"operator": plan.operator, "pumper": plan.pumper, "spectators": plan.spectators}
        nearest = [place for place in places.values() if place is not None]
        return min(nearest, default=None) if rule.role == "everyone" else places.get(rule.role)
    return getattr(plan, rule.subject.replace(" ", "_")) if rule.subject in _NUMBERS else None


def check_rule(rule: Rule, plan: Plan) -> RuleCheck:
    """Hold a plan against one rule."""
    planned, binds = _planned(rule, plan), governs(rule, plan.rules)
    if rule.subject == "eye protection":
        near = rule.value is None or min(plan.operator or 0.0, plan.pumper or 0.0) < rule.value
        return RuleCheck(rule, None, plan.eye_protection if near else True, binds)
    if rule.value is None:
        return RuleCheck(rule, planned, plan.said.get(rule.subject), binds)
    if planned is None:
        return RuleCheck(rule, planned, None, binds)
    # 1e-9 forgives the rounding of unit conversion, so that 6.21 bar written in kPa still meets 6.21 bar.
    over = (planned - rule.value) * (1.0 if rule.bound == "most" else -1.0)
    if rule.if_absolute is not None and rule.if_absolute * (1.0 + 1e-9) < planned and over <= 1e-9 * rule.value:
        return RuleCheck(rule, planned, None, binds)  # met on one reading only
    return RuleCheck(rule, planned, over <= 1e-9 * rule.value, binds)


def check_rules(plan: Plan) -> tuple[RuleCheck, ...]:
    """Return every rule in whose scope the plan is, governing or not, in the order of the table."""
    return tuple(check_rule(rule, plan) for rule in rule_table() if _in_scope(rule, plan))


def governing(checks: Iterable[RuleCheck]) -> tuple[Rule, ...]:
    """Return the rules among the checked ones that bind."""
    return tuple(check.rule for check in checks if check.governs)


def strictest(rules: Iterable[Rule], subject: Subject, role: str = "", advice: bool | None = None) -> Rule | None:
    """Return the rule that governs a subject: the least of the maxima, the greatest of the minima.

    Parameters
    ----------
    role
        For distances: operator, pumper or spectators; rules for everyone count for each.
    advice
        True for recommended values only, False for hard limits only, None for both.
    """
    found = [
        rule for rule in rules
        if rule.subject == subject and rule.value is not None
        and (advice is None or rule.advice == advice)
        and (not role or rule.role in (role, "everyone"))
    ]
    if not found:
        return None
    return min(found, key=lambda rule: (rule.value or 0.0) if rule.bound == "most" else -(rule.value or 0.0))


@dataclass(frozen=True, slots=True)
class Conflict:
    """Sources that give different numbers for the same thing: each rule, the governing one first."""

    subject: Subject
    role: str
    advice: bool
    rules: tuple[Rule, ...]


def conflicts(rules: Iterable[Rule]) -> list[Conflict]:
    """Return where the rules differ, advice apart from limits; distances by role."""
    groups: dict[tuple[Subject, str, bool], list[Rule]] = {}
    for rule in rules:
        if rule.value is not None and rule.bound:
            roles = ("operator", "pumper", "spectators") if rule.role == "everyone" else (rule.role,)
            for role in roles:
                groups.setdefault((rule.subject, role, rule.advice), []).append(rule)
    found = []
    for (subject, role, advice), group in groups.items():
        if len({rule.value for rule in group}) > 1:
            least_first = group[0].bound == "most"
            ordered = sorted(group, key=lambda rule: (rule.value or 0.0) * (1.0 if least_first else -1.0))
            found.append(Conflict(subject, role, advice, tuple(ordered)))
    return found
