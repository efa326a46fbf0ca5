"""What vessel and launcher can take, what that rests on, and where everyone stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.proof.prove import ProofReport
    from bottlewright.verdict import Verdict

__all__ = ["ProofResult", "prove"]


@dataclass(frozen=True, eq=False, repr=False)
class ProofResult(Result):
    """What Prove found.

    Parameters
    ----------
    report
        In full.
    beside
        What other stages found for the same design: the verdict counts it too.
    """

    command: ClassVar[str] = "prove"
    stages: ClassVar[tuple[str, ...]] = ("prove",)
    report: "ProofReport"
    beside: Sequence[Result] = ()

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        more = [finding for result in self.beside for finding in result.findings]
        return judge_alone(self.design, self.project.folder, proof=self.report, more=more)

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        return self.report.as_json()

    def parts(self) -> "list[tuple[str, list[str]]]":
        """Return headings, each with its sentences: what to know, the rules that apply, and where they differ."""
        from bottlewright.proof.prove import CAUTIONS
        from bottlewright.proof.summary_text import advice, conflict_lines, rule_lines

        return [
            *((heading, list(sentences)) for heading, sentences in advice(self.report)),
            ("Published rules that apply", list(rule_lines(self.report))),
            ("Where the rules differ, the strictest governs", list(conflict_lines(self.report))),
            ("", list(CAUTIONS)),
        ]

    def words(self) -> str:
        """See `Result.words`."""
        return "\n\n".join("\n".join([heading, *sentences]).strip() for heading, sentences in self.parts()) + "\n"

    def columns(self) -> Mapping[str, Any]:
        """Return the published rules: what each asks, what the plan has, whether it is met, its source."""
        from bottlewright.proof.summary_text import rule_rows

        rows = list(rule_rows(self.report))
        return dict(zip(("rule", "plan", "met", "source"), map(list, zip(*rows, strict=True)), strict=True))

    def sheet(self) -> str:
        """Return the page to print and fill in at the next proof test, as HTML."""
        from bottlewright.proof.sheet import proof_sheet
        from bottlewright.verdict import act_on

        return proof_sheet(self.design, self.report, act_on(self.verdict))

    def _own_files(self) -> "Mapping[str, str | bytes]":
        return {"proof-test.html": self.sheet(), "proof.json": self.json()}


def prove(project: "Project", beside: Sequence[Result] = ()) -> ProofResult:
    """Say how hard the bottle may be pumped, what else is weaker, and where everyone stands."""
    return ProofResult(project, report=project.proved, beside=tuple(beside))
