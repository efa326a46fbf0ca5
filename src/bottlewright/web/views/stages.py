"""The pages of the stages: each answers one question with a heading, a figure, findings with cures, and its numbers."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project.fields import GROUPS, fields_of
from bottlewright.web.views.frame import WORKING, Finding, findings_of

if TYPE_CHECKING:
    from bottlewright.project.fields import Field
    from bottlewright.web.desk import Desk

__all__ = ["VIEWS", "Fact", "Figure", "Page", "Running", "waiting"]


class Fact(NamedTuple):
    """A number, and what it is."""

    number: str
    what: str


class Figure(NamedTuple):
    """A picture drawn for a wide page and for a telephone, and what stands under it."""

    name: str
    caption: str
    wide: str
    narrow: str


class Running(NamedTuple):
    """Work under way: what is done now, and how far it is in per cent; or why there is none."""

    kind: str
    words: str
    share: int
    on: bool


@dataclass(frozen=True)
class Page:
    """One page's own content.

    Parameters
    ----------
    stage, question, answer, lead
        Which stage, what it asks, the answer as the heading, and one or two sentences.
    figures, facts, findings
        Of its result.
    groups
        Inputs by part of the rocket.
    sections
        Headings with paragraphs.
    rows
        Names with values, by heading.
    running
        What of it takes long.
    load
        Keys and values that Tune recommends.
    equipment
        What was said of it.
    files
        Of the pack.
    """

    stage: str
    question: str
    answer: str
    lead: str = ""
    figures: Sequence[Figure] = ()
    facts: Sequence[Fact] = ()
    findings: Sequence[Finding] = ()
    groups: "Sequence[tuple[str, Sequence[Field]]]" = ()
    sections: Sequence[tuple[str, Sequence[str]]] = ()
    rows: Sequence[tuple[str, Sequence[tuple[str, str]]]] = ()
    running: Running | None = None
    load: Sequence[tuple[str, str]] = ()
    equipment: "Sequence[Said]" = ()
    files: Sequence[str] = ()


def _figures(result: Any, *names: str) -> list[Figure]:
    pictures = result.pictures
    shown = [pictures[name] for name in names or pictures if name in pictures]
    return [Figure(one.name, one.caption, one.inline(), one.inline(narrow=True)) for one in shown]


def _running(desk: "Desk", kind: str) -> Running:
    digest = desk.job.project.digest
    now = desk.work.running.get(kind)
    if now and now.digest == digest:
        return Running(kind, now.words, round(100 * now.share), on=True)
    return Running(kind, desk.work.failed.get((kind, digest), ""), 0, on=False)


def waiting(stage: str, desk: "Desk") -> Page:
    """Return what a page can say while the physics is being compiled."""
    groups = [(title, fields_of(desk.job.project, keys)) for title, keys in GROUPS] if stage == "sketch" else []
    return Page(stage, "One moment", WORKING, "The page follows by itself.", groups=[one for one in groups if one[1]])


def sketch(desk: "Desk") -> Page:
    """What are we building?"""
    project = desk.job.project
    groups = [(title, fields_of(project, keys)) for title, keys in GROUPS]
    masses = [
        (f"mass.{n}.{name}", f"{part.name}: {name}")
        for n, part in enumerate(project.design.mass) for name in ("mass", "position")
    ]  # fmt: skip
    if masses:
        groups.insert(4, ("Parts", fields_of(project, masses)))
    facts = [Fact(desk.number("sketch"), "long"), Fact(desk.margin, "least static margin: how steady, 1 is asked"),
             Fact(desk.number("fly"), "up, by one flight")]  # fmt: skip
    return Page(
        "sketch", "What are we building?", project.name,
        "Change a value: write it with its unit. What nobody measured is filled in, and says so.",
        _figures(desk.sketched, "rocket"), facts, findings_of(desk.cured, "sketch", "fly"),
        [one for one in groups if one[1]],
    )  # fmt: skip


def prove(desk: "Desk") -> Page:
    """How hard may it be pumped?"""
    proved = desk.cured
    cell = desk.frame.verdict[1]
    return Page(
        "prove", "How hard may it be pumped?", cell.bold, cell.because, (), (),
        findings_of(proved, "prove"),
        [("The bottle's life", fields_of(desk.job.project, LIFE))],
        [(heading or "Remember", sentences) for heading, sentences in proved.parts()],
        equipment=equipment_of(desk.job.project),
    )  # fmt: skip


LIFE = (("vessel.age", "opened for"), ("vessel.cycles", "times under pressure"))

THREE_STATES = (
    ("launcher.crew.eye_protection", "Everyone near wears eye protection"),
    ("launcher.crew.remote_vent", "The pressure can be let off from a distance"),
    ("launcher.gauge.fitted", "A gauge is fitted"),
    ("launcher.crew.shelter", "Whoever pumps and pulls stands under a roof"),
)
"""Equipment that is there, is missing, or nobody has said."""


class Said(NamedTuple):
    """One piece of equipment: yes, no, or nothing said."""

    key: str
    label: str
    state: str


def equipment_of(project: Any) -> list[Said]:
    """Return what was said of the equipment."""
    from bottlewright.errors import BottlewrightError

    said = []
    for key, label in THREE_STATES:
        try:
            value = project.value(key)
        except BottlewrightError:
            value = None
        said.append(Said(key, label, "unsaid" if value is None else "yes" if value else "no"))
    return said


def tune(desk: "Desk") -> Page:
    """What do we load?"""
    found = desk.work.result("tune", desk.job.project.digest)
    running = _running(desk, "tune")
    loads = fields_of(desk.job.project, (("charge.water", "water"), ("charge.pressure", "pressure on the gauge"),
                                         ("tune.aim", "aim"), ("tune.reach", "share of flights")))  # fmt: skip
    if found is None:
        answer = "The best load is being worked out" if running.on else "Nobody has looked for a better load yet"
        return Page("tune", "What do we load?", answer, "It tries many loads, each in many flights, within what is "
                    "allowed.", groups=[("The load now", loads)], running=running)  # fmt: skip
    first, *rest = found.paragraphs()
    return Page(
        "tune", "What do we load?", first.partition(". ")[0] + ".", first.partition(". ")[2], _figures(found), (),
        findings_of(found, "tune"), [("The load now", loads)], [("", [text]) for text in rest], running=running,
        load=tuple(found.recommended().items()) if _may_be_loaded(found) else (),
    )  # fmt: skip


def _may_be_loaded(found: Any) -> bool:
    """Say whether a load may be offered: under a stop, or before the bottle's own water test, none is."""
    verdict = found.verdict
    return verdict.level != "stop" and verdict.allowed.gauge_Pa is not None


def fly(desk: "Desk") -> Page:
    """How does it fly?"""
    flight = desk.flight
    assert flight is not None, "asked for once the physics is there"
    lines = [line for line in flight.words().splitlines() if line.strip()]
    title, rows = lines[0], [_split(line) for line in lines[1:]]
    return Page(
        "fly", "How does it fly?", f"{desk.number('fly')} up", title, _figures(flight), (),
        findings_of(desk.cured, "fly"),
        rows=[("One flight, in the weather of the file", [row for row in rows if row[0]])],
    )  # fmt: skip


def _split(line: str) -> tuple[str, str]:
    name, *values = re.split(r"\s{2,}", line.strip())
    return name, ", ".join(values)


def field_page(desk: "Desk") -> Page:
    """Where does it come down?"""
    found = desk.work.result("scatter", desk.job.project.digest)
    running = _running(desk, "scatter")
    if found is None:
        answer = "The landings are being worked out" if running.on else "Nobody has worked out the landings yet"
        return Page("field", "Where does it come down?", answer, "Thousands of flights, each with its own wind and "
                    "faults. Without them only the published distances count.", running=running)  # fmt: skip
    cell = desk.frame.verdict[2]
    return Page("field", "Where does it come down?", cell.bold, cell.because, _figures(found), (),
                findings_of(found, "field"), sections=[("In words", [found.words()])], running=running)  # fmt: skip


def make(desk: "Desk") -> Page:
    """What do we cut, and when is it ready?"""
    found = desk.work.result("make", desk.job.project.digest)
    running = _running(desk, "make")
    if found is None:
        answer = "The pack is being made" if running.on else "The pack has not been made yet"
        return Page("make", "What do we cut, and when is it ready?", answer, "Patterns at true scale, parts, steps "
                    "with their glue times, and the sheets for the day.", running=running)  # fmt: skip
    return Page("make", "What do we cut, and when is it ready?", found.words().strip(), "", (), (),
                findings_of(found, "make"), running=running, files=sorted(found.made().files))  # fmt: skip


VIEWS = {"sketch": sketch, "prove": prove, "tune": tune, "fly": fly, "field": field_page, "make": make}
"""A page's content by the name of its stage."""
