"""Prove a design: vessel, test plan, energy, rules and distances, launcher, pumping, as findings and numbers."""

from dataclasses import asdict, dataclass
from typing import Any

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import in_own_units
from bottlewright.findings import Finding, by_urgency
from bottlewright.proof import build_findings as of_build
from bottlewright.proof import launcher_findings as of_launcher
from bottlewright.proof import vessel_findings as of_vessel
from bottlewright.proof.allowed import Allowed, allowed_pressure, first_plan
from bottlewright.proof.damage import damage_findings
from bottlewright.proof.distances import Distances, checked_rules, governing_distance
from bottlewright.proof.energy import StoredEnergy
from bottlewright.proof.equipment import equipment_findings
from bottlewright.proof.history_findings import history_findings
from bottlewright.proof.launcher import LauncherReport, launcher_report
from bottlewright.proof.pumping_report import PumpingReport, pumping_report
from bottlewright.proof.rating import RatedPressure, rated_pressure
from bottlewright.proof.rules import RuleCheck, conflicts, governing
from bottlewright.proof.testplan import ProofPlan, proof_plan, vessel_energy
from bottlewright.proof.told import Told, told, told_findings
from bottlewright.proof.vessel import VesselStress, need, vessel_stress
from bottlewright.proof.wear_findings import wear_findings

__all__ = ["CAUTIONS", "ProofReport", "prove"]

CAUTIONS = (
    "Local rules and the person in charge of the site come first.",
    "Pressure tests: filled with water to the brim, eye protection on, nobody near.",
    "Nobody goes near a bottle under pressure, for any reason; the pressure comes off first, from a distance.",
    "Launch from a clear field with nothing overhead.",
)
"""What is printed with everything that names a pressure."""


@dataclass(frozen=True, slots=True)
class ProofReport:
    """All that Prove found about one design."""

    name: str
    rated: RatedPressure
    allowed: Allowed
    stress: VesselStress
    launch_energy: StoredEnergy
    plan: ProofPlan
    rules: tuple[RuleCheck, ...]
    distances: Distances
    launcher: LauncherReport
    pumping: PumpingReport
    puller: str  # adult or child
    told: tuple[Told, ...]  # answers that nobody measured, and what each changes
    habit: UnitHabit
    findings: tuple[Finding, ...]

    def as_json(self) -> dict[str, Any]:
        """Return everything as one document; SI, the unit in each key, pressures gauge."""
        document: dict[str, Any] = {
            key: asdict(getattr(self, key))
            for key in ("rated", "allowed", "stress", "launch_energy", "plan", "distances", "launcher", "pumping")
        }
        if self.rated.failed:  # nobody tests it again, whoever reads the document
            document["plan"] = None
        rules = [_rule_json(check, self.habit) for check in self.rules]
        findings = [finding.as_json() for finding in self.findings]
        differ = [
            {"subject": one.subject, "role": one.role, "advice": one.advice, "rules": [rule.id for rule in one.rules]}
            for one in conflicts(governing(self.rules))
        ]
        return {"name": self.name, "cautions": list(CAUTIONS), "findings": findings, **document, "rules": rules,
                "rules_differ": differ}


def _rule_json(check: RuleCheck, habit: UnitHabit) -> dict[str, Any]:
    rule = check.rule
    return {
        "id": rule.id, "subject": rule.subject, "role": rule.role, "bound": rule.bound,
        "limit": in_own_units(habit, rule.text),
        "limit_SI": rule.value, "plan_SI": check.plan, "meets": check.meets, "advice": rule.advice,
        "group": rule.group, "governs": check.governs,
        "by_analogy": rule.analogy, "says": in_own_units(habit, rule.says), "source": rule.source,
    }


def prove(design: Design) -> ProofReport:
    """Prove a completed design (see `bottlewright.design.completion.complete`) at its planned pressure."""
    planned, habit = design.charge.pressure, unit_habit(design)
    gauge = need(planned)
    rated, stress = rated_pressure(design), vessel_stress(design, gauge)
    allowed = allowed_pressure(design, rated)
    plan = proof_plan(design, allowed=allowed)
    launcher, pumping = launcher_report(design), pumping_report(design)
    launch = vessel_energy(design, "at launch", gauge, pumping.gas_volume_m3)
    distances, rules = governing_distance(design), checked_rules(design, launcher.part_factor)
    answers = told(design, allowed, plan)
    findings = by_urgency([
        *equipment_findings(design),
        *of_vessel.distance_findings(distances, habit),
        *of_vessel.pressure_findings(allowed, rated, 2.0 * (planned.spread if planned else 0.0),
                                     first_plan(design, allowed), habit),
        *of_vessel.test_findings(design, rated, plan, habit),
        *damage_findings(design),
        *wear_findings(design, rated.failed, habit),
        *history_findings(design, rated.failed, habit),
        *of_build.build_findings(design),
        *of_launcher.part_findings(design, launcher, allowed.most_Pa, habit),
        *of_launcher.release_findings(launcher.release, allowed.most_Pa, habit),
        *of_launcher.stand_findings(design, launcher, habit),
        *of_launcher.pumping_findings(pumping, gauge, allowed.most_Pa, habit),
        *of_vessel.rule_findings(rules, habit),
        *of_build.gust_findings(design, habit),
        *of_vessel.energy_findings(launch, stress, None if rated.failed else plan, habit),
        *told_findings(answers),
    ])
    return ProofReport(
        design.name, rated, allowed, stress, launch, plan, rules, distances, launcher, pumping,
        design.launcher.crew.puller if design.launcher.crew else "adult", answers, habit,
        tuple(findings),
    )
