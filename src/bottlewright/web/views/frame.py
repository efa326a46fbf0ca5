"""What stands round every page: the rocket's name, the one verdict, the stages with their number and state."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from bottlewright.project.proof import ProofResult

__all__ = [
    "STAGES", "Cell", "Finding", "Frame", "StageLink", "findings_of", "frame_of", "verdict_cells", "waiting_frame",
]  # fmt: skip

STAGES = ("sketch", "prove", "tune", "fly", "field", "make")
"""The stages that have a page, in the order of the work."""

WORKING = "being worked out"


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
    changes
        What the cure's button writes, key and value; empty where it is nothing that a file can say.
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
    compiling: bool
    unchecked: Sequence[str]


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
    if verdict.allowed.gauge_Pa is None:
        pressure = "No pressure is allowed yet"
    else:
        pressure = f"{act.allowed[:1].upper()}{act.allowed[1:]} on the gauge" if act.allowed else act.retired
    crew = (f"Whoever pumps or pulls the cord {act.pumper}" if act.pumper == act.operator
            else f"Whoever pumps {act.pumper}, whoever pulls the cord {act.operator}")  # fmt: skip
    apart = f"{crew}, spectators {act.spectators}"
    return [
        Cell(first, rest, level),
        Cell(pressure, " ".join(filter(None, (act.because, act.after_test)))),
        Cell(apart, act.distances_because),
    ]


def _holds(proved: "ProofResult") -> bool:
    return any(str(one.level) == "hold" for one in proved.findings)


def findings_of(result: Any, *stages: str) -> list[Finding]:
    """Return the open findings of a result for some stages, each with the cure that was tried."""
    by_code = {cure.code: cure for cure in result.cures}
    shown = []
    for one in result.findings:
        if stages and one.stage.lower() not in stages and one.level != "stop":
            continue
        shape, says = _LEVELS[str(one.level)]
        cure = by_code.get(one.code)
        shown.append(Finding(
            one.code, str(one.level), shape, says, str(one.stage), one.hazard, one.found, one.limit, one.source,
            one.remedy, cure.words if cure else "", tuple(cure.changes) if cure else (),
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


def waiting_frame(job: Any) -> Frame:
    """Return the frame while the physics is being compiled: nothing is judged yet."""
    cells = [Cell("Nothing is judged yet", "The physics is being compiled, once on this machine", "open"),
             Cell("No pressure is allowed yet", WORKING), Cell("Nobody near a bottle under pressure", "For any reason")]
    links = [StageLink(name, "—", "open", WORKING) for name in STAGES]
    return Frame(job.project.name, job.file.name, job.project.digest, job.revision, cells, links, job.can_undo,
                 job.can_redo, job.trouble, job.outside is not None, compiling=True, unchecked=())  # fmt: skip


def frame_of(job: Any, proved: "ProofResult", numbers: dict[str, str]) -> Frame:
    """Return the frame of a job's present revision."""
    verdict = proved.verdict
    return Frame(
        job.project.name, job.file.name, job.project.digest, job.revision, verdict_cells(proved),
        stage_links(proved, numbers), job.can_undo, job.can_redo, job.trouble, job.outside is not None,
        compiling=False, unchecked=verdict.unchecked,
    )  # fmt: skip
