"""What stands round every page: the rocket's name, the one verdict, the stages with their number and state."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project.fields import in_words
from bottlewright.project.words import here

if TYPE_CHECKING:
    from bottlewright.project.effects import Effect
    from bottlewright.project.project import Project
    from bottlewright.project.proof import ProofResult

__all__ = [
    "STAGES", "Cell", "Finding", "Frame", "StageLink", "findings_of", "frame_of", "kept_together",
    "unwritten_frame", "verdict_cells", "waiting_frame",
]  # fmt: skip

STAGES = ("sketch", "prove", "tune", "fly", "field", "make")
"""The stages that have a page, in the order of the work."""

WORKING = "being worked out"
NO_FILE = "the first rocket of the first page; no file yet"


class Cell(NamedTuple):
    """One of the three answers of the verdict: a bold line, and what it rests on."""

    bold: str
    because: str
    level: str = ""


class StageLink(NamedTuple):
    """A stage of the strip: its number, the shape of its state, and the state in words."""

    name: str
    number: str
    shape: str
    state: str


class Finding(NamedTuple):
    """A finding with its cure, as a page shows it.

    Parameters
    ----------
    changes, effect
        What the cure's button writes, key and value; empty where it is nothing that a file can say. What that changes,
        before and after.
    """

    code: str
    level: str
    shape: str
    says: str
    stage: str
    hazard: str
    found: str
    limit: str
    source: str
    remedy: str
    cure: str = ""
    changes: tuple[tuple[str, str], ...] = ()
    effect: "Effect | None" = None


@dataclass(frozen=True)
class Frame:
    """Everything round a page's own content."""

    name: str
    file: str
    digest: str
    revision: int
    verdict: Sequence[Cell]
    stages: Sequence[StageLink]
    can_undo: bool
    can_redo: bool
    trouble: str
    outside: bool
    saved: bool
    compiling: bool
    unchecked: Sequence[str]
    undoes: str = ""
    redoes: str = ""
    gone: bool = False


_LEVELS = {
    "stop": ("stop", "Stop: do not go on"), "hold": ("hold", "Not before pumping"),
    "look": ("look", "Look at this before you go on"), "unchecked": ("open", "Not checked"),
    "note": ("note", "Worth knowing"), "none": ("none", "no finding so far"), "open": ("open", "not checked"),
}  # fmt: skip


def verdict_cells(proved: "ProofResult") -> list[Cell]:
    """Return the verdict's three answers in its own words: what is worst, how hard, how far."""
    act, verdict = proved.act, proved.verdict
    level = "stop" if verdict.level == "stop" else "hold" if _holds(proved) else verdict.level
    first, _, rest = act.says.partition(". ")
    if act.retired:
        pressure = "Nobody pumps this bottle again"
    elif verdict.allowed.gauge_Pa is None:
        pressure = "No pressure is allowed yet"
    else:
        pressure = f"{act.allowed[:1].upper()}{act.allowed[1:]} on the gauge"
    apart, rests = _apart(act)
    return [
        Cell(first, rest, level),
        Cell(pressure, "; ".join(filter(None, (act.because, act.after_test)))),
        Cell(here(apart), here(rests)),
    ]


def _apart(act: Any) -> tuple[str, str]:
    """Say how far off everyone stands at a launch, by the plan where that keeps to it, and what is asked beside it."""
    def bare(text: str) -> str:  # what is not worked out is said below
        if not act.distances_because:
            return text
        return text.replace(" (landings not worked out)", "").replace("; landings not worked out", "")

    crew = (f"whoever pumps or pulls the cord {act.pumper}" if act.pumper == act.operator
            else f"whoever pumps {act.pumper}, whoever pulls the cord {act.operator}")  # fmt: skip
    stand = bare(", ".join(f"{one.where} {one.says}" for one in act.stand))
    asked = bare(f"{crew}, spectators {act.spectators}")
    open_ = [one for one in act.planned.removeprefix("Your plan: ").split("; ")
             if any(words in one for words in ("too near", "not a word", "does not say"))]  # fmt: skip
    plan = "; ".join(open_) if not open_ or open_[0].startswith("Your") else f"Your plan: {'; '.join(open_)}"
    least = "" if stand == asked else f"Asked at the least: {asked}"
    return f"At a launch {stand}", ". ".join(filter(None, (least, plan, act.distances_because)))


_NUMBER_AND_UNIT = re.compile(
    r"(?<=\d) (?=(?:bar|psi|mm|cm|m|s|min|g|kg|mL|L|ft|in|mph|J|N|lb|oz|m/s|ft/s|%|°\w?)(?![\w/]))"
)


def kept_together(text: str) -> str:
    """Return a text in which no line ends between a number and its unit."""
    return _NUMBER_AND_UNIT.sub("\u00a0", text)


def _holds(proved: "ProofResult") -> bool:
    return any(str(one.level) == "hold" for one in proved.findings)


def _no_arguments(remedy: str) -> str:
    """Return a remedy without what a command would be given to try it, or what a file would say: the page has both."""
    told = r" \([^()]*--set [^()]*\)| \(in the file: [^()]*\)|[;,.]? ?(?:Try it|try it)[^.]*--set [^.]*"
    return re.sub(told, "", remedy)


def findings_of(result: Any, *stages: str) -> list[Finding]:
    """Return the open findings of a result for some stages, each with the cure that was tried."""
    by_code = {cure.code: cure for cure in result.cures}
    names = {f"mass.{number}.name": one.name for number, one in enumerate(result.design.mass)}

    def said(text: str) -> str:
        return in_words(here(text), names)

    shown = []
    for one in result.findings:
        if stages and one.stage.lower() not in stages and one.level != "stop":
            continue
        shape, says = _LEVELS[str(one.level)]
        cure = by_code.get(one.code)
        shown.append(Finding(
            one.code, str(one.level), shape, says, str(one.stage), said(one.hazard), said(one.found),
            said(one.limit), one.source, said(_no_arguments(one.remedy)), cure.words if cure else "",
            tuple(cure.changes) if cure else (), result.effects.get(one.code),
        ))  # fmt: skip
    return shown


def stage_links(proved: "ProofResult", numbers: dict[str, str]) -> list[StageLink]:
    """Return the strip: a stage's number, or that it is being worked out, and its state by the verdict."""
    links = []
    for name, (state, words) in proved.states().items():
        if name in numbers or state != "none":
            links.append(StageLink(name, numbers.get(name, "—"), _LEVELS[state][0], words))
        else:  # nobody has looked yet
            links.append(StageLink(name, "—", *_LEVELS["open"]))
    return [link for link in links if link.name in STAGES]


_WAITING = (
    Cell("Nothing is judged yet", "The physics is being compiled, once on this machine", "open"),
    Cell("No pressure is allowed yet", WORKING), Cell("Nobody near a bottle under pressure", "For any reason"),
)  # fmt: skip


def unwritten_frame(project: "Project", revision: int, proved: "ProofResult | None") -> Frame:
    """Return the frame round a design that no file has yet; `proved` is None while the physics is being compiled."""
    cells = verdict_cells(proved) if proved else _WAITING
    return Frame(project.name, NO_FILE, project.digest, revision, cells, (), can_undo=False, can_redo=False, trouble="",
                 outside=False, saved=True, compiling=proved is None,
                 unchecked=[here(text) for text in proved.verdict.unchecked] if proved else ())  # fmt: skip


def waiting_frame(job: Any) -> Frame:
    """Return the frame while the physics is being compiled: nothing is judged yet."""
    links = [StageLink(name, "—", "open", WORKING) for name in STAGES]
    return Frame(job.project.name, job.file.name, job.project.digest, job.revision, _WAITING, links, job.can_undo,
                 job.can_redo, job.trouble, job.outside is not None, not job.pending, compiling=True,
                 unchecked=())  # fmt: skip


def frame_of(job: Any, proved: "ProofResult", numbers: dict[str, str]) -> Frame:
    """Return the frame of a job's present revision."""
    verdict = proved.verdict
    return Frame(
        job.project.name, job.file.name, job.project.digest, job.revision, verdict_cells(proved),
        stage_links(proved, numbers), job.can_undo, job.can_redo, job.trouble, job.outside is not None,
        not job.pending, compiling=False, unchecked=[here(text) for text in verdict.unchecked], undoes=job.undoes,
        redoes=job.redoes, gone=job.gone,
    )  # fmt: skip
