"""What the sheets of a design print of its verdict, for tests that have proved it and flown nothing."""

from bottlewright.design.document import Design
from bottlewright.proof.prove import ProofReport
from bottlewright.report.act_on import ActOn
from bottlewright.verdict import act_on, judge

__all__ = ["act_of"]


def act_of(design: Design, report: ProofReport) -> ActOn:
    """Return it, from the findings of Prove alone."""
    return act_on(judge(design, report.findings, report))
