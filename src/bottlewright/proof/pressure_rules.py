"""The published rules that cap a launch pressure, and the factor of a proof test over it: the plan is no input."""

from functools import lru_cache
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.proof.bursts import law
from bottlewright.proof.rules import Plan, Rule, applies, rule_table, strictest
from bottlewright.proof.vessel import need

__all__ = ["PressureRules", "pressure_rules", "proof_factor", "rules_for"]


class PressureRules(NamedTuple):
    """The strictest rule of any sort, advice included, and the strictest that forbids more."""

    strict: Rule
    maximum: Rule

    @property
    def strict_Pa(self) -> float:
        """Pa gauge."""
        return self.strict.value or 0.0

    @property
    def maximum_Pa(self) -> float:
        """Pa gauge."""
        return self.maximum.value or 0.0


@lru_cache(256)
def rules_for(volume: float, named: tuple[str, ...] = ()) -> PressureRules:
    """Return the pressure rules for a vessel of this volume, m³; those of `named` groups bind as well."""
    rules = [rule for rule in rule_table() if applies(rule, Plan(0.0, volume, rules=named))]
    strict, maximum = strictest(rules, "pressure"), strictest(rules, "pressure", advice=False)
    assert strict is not None
    assert maximum is not None
    return PressureRules(strict, maximum)


def pressure_rules(design: Design) -> PressureRules:
    """Return the pressure rules for the vessel of a completed design."""
    return rules_for(need(design.vessel.volume) * design.vessel.count, tuple(design.site.rules))


def proof_factor() -> float:
    """Return the proof test's factor over the launch pressure."""
    return law("factor", table="proof")
