"""Prove: how hard may it be pumped?"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project.fields import fields_of, said_at
from bottlewright.web.views.frame import Finding, findings_of
from bottlewright.web.views.page import Page, Width, figure_of, groups_of

if TYPE_CHECKING:
    from bottlewright.project.proof import NextTest
    from bottlewright.web.desk import Desk

__all__ = ["ProvePage", "Said", "Tested", "prove"]

LIFE = (("vessel.id", "what is written on it"), ("vessel.age", "opened for"),
        ("vessel.cycles", "times under pressure, tests too"),
        ("vessel.kind", "was sold with"), ("vessel.storage", "kept"), ("charge.day", "day of the launch"))  # fmt: skip

PEOPLE = (("launcher.crew.operator", "cord puller stands off"),
          ("launcher.crew.pumper", "pumper stands off"), ("launcher.crew.spectators", "spectators stand off"),
          ("workshop.children_per_adult", "young people per adult"))  # fmt: skip

THREE_STATES = (
    ("launcher.crew.eye_protection", "Everyone near wears eye protection"),
    ("launcher.crew.remote_vent", "The pressure can be let off from a distance"),
    ("launcher.gauge.fitted", "A gauge is fitted"),
    ("launcher.crew.shelter", "Whoever pumps and pulls stands under a roof"),
)
"""Equipment that is there, is missing, or nobody has said."""

OF_A_COMPRESSOR = (
    ("launcher.pump.regulator", "The compressor has a regulator"),
    ("launcher.pump.relief_valve", "The compressor has a relief valve"),
)


class Said(NamedTuple):
    """One piece of equipment: yes, no, or nothing said; and what the answer changes."""

    key: str
    label: str
    state: str
    changes: str = ""


class Tested(NamedTuple):
    """A test of the bottle that stands in the file: which, what was done, what it counts for."""

    number: int
    words: str
    worth: str


@dataclass(frozen=True, kw_only=True)
class ProvePage(Page):
    """The page of the pressure vessel; `findings` are those to look at.

    Parameters
    ----------
    urgent, notes
        Findings that stop or have to be met before anyone pumps, and those worth knowing or not checked.
    chain
        What limits the pressure, the one that holds the number marked.
    lone, its_file
        Passed tests that only the design has, so that they count for nothing; the bottle's own file, empty without one.
    unknown, waiting, begins
        The bottle that nobody knows and why, empty else; passed tests that count for nothing meanwhile;
        whether its file can be begun here.
    tests, next_test
        What was tested, and what to test next; None for a bottle that gets no test any more.
    bottles
        How many are joined.
    equipment, stakes
        What was said of the equipment, and how many stakes hold the launcher down.
    cautions
        What is printed with everything that names a pressure.
    today
        The day that stands in the form of a new test.
    """

    urgent: Sequence[Finding]
    notes: Sequence[Finding]
    chain: Sequence[Any]
    tests: Sequence[Tested]
    next_test: "NextTest | None"
    bottles: int
    equipment: Sequence[Said]
    stakes: str
    cautions: Sequence[str]
    today: str
    lone: Sequence[str] = ()
    its_file: str = ""
    unknown: str = ""
    waiting: Sequence[str] = ()
    begins: bool = False


def prove(desk: "Desk", width: Width) -> ProvePage:
    """Return the page of how hard the bottle may be pumped, and why."""
    proved = desk.cured
    cell = desk.frame.verdict[1]
    found, stakes = findings_of(proved, "prove"), said_at(desk.project, "launcher.stakes.count")
    *parts, (_, cautions) = proved.parts()
    history = desk.project.design.written.history
    return ProvePage(
        today=proved.today, stage="prove", question="How hard may it be pumped?", answer=cell.bold,
        lead=f"Because {cell.because}.",
        figures=[figure_of(proved.scale, width)],
        urgent=[one for one in findings_of(proved) if one.level in ("stop", "hold")],
        findings=[one for one in found if one.level == "look"],
        notes=[one for one in found if one.level in ("note", "unchecked")],
        chain=proved.chain, tests=[Tested(n, *told) for n, told in enumerate(proved.tests())],
        next_test=proved.next_test(), bottles=desk.project.value("vessel.count"),
        equipment=list(equipment_of(desk.project)),
        groups=[*groups_of(desk.project, [("The bottle's life", LIFE)]),
                ("People", fields_of(desk.project, PEOPLE, unsaid=True))],
        lone=[one.design for one in history.only_in_the_design] if history else (),
        its_file=history.file if history and not history.unknown else "",
        unknown=f"bottle {history.id}: {history.unknown}" if history and history.unknown else "",
        waiting=history.waiting if history else (), begins=history is not None and history.begins,
        stakes="" if stakes is None else str(stakes), cautions=cautions, sections=parts,
    )  # fmt: skip


def equipment_of(project: Any) -> Iterator[Said]:
    """Yield what was said of the equipment; regulator and relief valve of a compressor only."""
    fed = said_at(project, "launcher.pump.kind") == "compressor"
    said = {one.key: one.words for one in project.proved.told}
    for key, label in (*THREE_STATES, *(OF_A_COMPRESSOR if fed else ())):
        value = said_at(project, key)
        yield Said(key, label, "unsaid" if value is None else "yes" if value else "no", said.get(key, ""))
