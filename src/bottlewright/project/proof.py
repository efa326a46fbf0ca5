"""What vessel and launcher can take, what that rests on, and where everyone stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from bottlewright.project.picture import Shown
from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.proof.chain import Link
    from bottlewright.proof.prove import ProofReport
    from bottlewright.proof.sheet import PlanWords
    from bottlewright.verdict import Verdict

__all__ = ["NextTest", "ProofResult", "prove"]


class NextTest(NamedTuple):
    """The next water-filled test, in words.

    Parameters
    ----------
    plan
        How hard, how long, in which steps, where everyone stands.
    allows
        What a pass would allow, or what it would not.
    ends_it
        What ends the test at once.
    raises
        Which one thing more would raise the rating most.
    """

    plan: "PlanWords"
    allows: str
    ends_it: Sequence[str]
    raises: Sequence[str]


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

    @property
    def today(self) -> str:
        """The day on which bottle and tests are judged where the file names none, such as "2027-03-06"."""
        from bottlewright.proof import judged_day

        return judged_day.today().isoformat()

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        more = [finding for result in self.beside for finding in result.findings]
        return judge_alone(
            self.design, self.project.folder, proof=self.report, flight=self.project.flown, more=more)  # fmt: skip

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

    @cached_property
    def chain(self) -> "tuple[Link, ...]":
        """What limits the pressure, each with its value, basis and source; one of them holds the number."""
        from bottlewright.proof.chain import evidence_chain

        return evidence_chain(self.design, self.report)

    @cached_property
    def scale(self) -> Shown:
        """The pressures that matter on one scale."""
        from bottlewright.proof.scale_picture import scale_picture

        return Shown(scale_picture(self.design, self.report))

    def tests(self) -> "tuple[tuple[str, str], ...]":
        """Return of each test of this bottle in the file what was done, and what it counts for."""
        from bottlewright.proof.chain import told_tests

        return told_tests(self.design, self.report)

    def next_test(self) -> NextTest | None:
        """Return the next test; None for a bottle that nobody pumps again, which gets none."""
        from bottlewright.proof.sheet import plan_words
        from bottlewright.proof.summary_text import raises_most

        if self.report.allowed.retired:
            return None
        plan, words = self.report.plan, plan_words(self.report, self.act)
        if self.act.after_test:
            allows = f"{self.act.after_test[:1].upper()}{self.act.after_test[1:]}."
        elif plan.capped:
            allows = (f"It is the hardest test that is planned, because {plan.ceiling_because}. A pass would not cover "
                      f"{words.launch} on the gauge.")  # fmt: skip
        else:
            allows = f"A pass covers {words.launch} on the gauge for a month. Every other link of the chain stays."
        return NextTest(words, allows, plan.ends_it, raises_most(self.report) if self.report.rated.own_evidence else ())

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
