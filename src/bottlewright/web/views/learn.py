"""Learn: what did the flights teach, and what would it change?"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bottlewright.errors import BottlewrightError
from bottlewright.project.book_shown import flown_of
from bottlewright.project.using_learned import kept, uses
from bottlewright.web.views.frame import StageLink
from bottlewright.web.views.page import Page, Running, Width, running

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.project.using_learned import Kept, Taught
    from bottlewright.web.desk import Desk

__all__ = ["LearnPage", "learn", "learn_link"]

QUESTION = "What did the flights teach?"


@dataclass(frozen=True, kw_only=True)
class LearnPage(Page):
    """The page of what was learned.

    Parameters
    ----------
    taught
        What was worked out for the launches that stand in the logbook now; None until it is.
    kept
        What the design draws from, as it was kept; None where it asks for nothing, or where that is what stands below.
    uses
        Whether the design draws from what its flights taught.
    newer
        Whether that is other than what was worked out now.
    trouble
        What of the logbook can't be read.
    confirmed
        Who took the new lines, and when; empty where nobody did.
    """

    taught: "Taught | None" = None
    kept: "Kept | None" = None
    uses: bool = False
    newer: bool = False
    trouble: str = ""
    confirmed: str = ""


def learn_link(project: "Project") -> StageLink:
    """Return what was learned as it stands in the strip of stages."""
    try:
        flown, measured = flown_of(project.folder, project.name)
    except BottlewrightError:
        return StageLink("learn", "—", "look", "logbook unread")
    number = f"{flown} {'flight' if flown == 1 else 'flights'}" if flown else "—"
    if uses(project):
        known = project.design.written.learned
        if known and known.unread:
            return StageLink("learn", number, "look", "not there")
        since = len(known.newer) if known else 0
        return StageLink("learn", number, *(("look", f"{since} newer not in it") if since else ("none", "is used")))
    return StageLink("learn", number, "open", "not used" if measured else "none measured" if flown else "no flight yet")


def learn(desk: "Desk", _: Width) -> LearnPage:
    """Return the page."""
    project, known = desk.project, desk.project.design.written.learned
    keys = project.design.learned
    page = LearnPage(
        stage="learn", question=QUESTION, answer="Nothing yet", uses=uses(project), kept=kept(project),
        confirmed=f"{keys.confirmed_by}, {keys.confirmed_on}" if keys.confirmed_by and keys.confirmed_on else "",
    )  # fmt: skip
    try:
        flown, measured = flown_of(project.folder, project.name)
    except BottlewrightError as error:
        return replace(page, answer="The logbook can't be read", trouble=str(error))
    if not measured:
        return replace(page, lead=_nothing(project, flown))
    taught: Taught | None = desk.work.result("learn", project)
    now: Running = running(desk, "learn", f"Work it out from {_flights(measured)}" if taught is None
                           else "Work it out once more")  # fmt: skip
    if taught is None:
        drawn = known is not None and not known.unread and not known.newer
        return replace(
            page, answer=f"{_flights(measured).capitalize()} {'taught it' if drawn else 'can teach'} something",
            running=now,
            lead=f"{_rests_on(project)}The program looks for the drag and the jet with which the flights come out as "
                 "they were measured. That takes some seconds a flight and changes nothing.",
        )  # fmt: skip
    newer = known is None or known.digest != taught.found.learned.digest
    return replace(page, answer=_answer(taught), lead=_lead(taught), running=now if now.on else None, taught=taught,
                   newer=newer, kept=page.kept if newer else None)  # fmt: skip


def _nothing(project: "Project", flown: int) -> str:
    if flown:
        return (f"{_flights(flown).capitalize()} of {project.name} in the logbook, and nothing was measured of "
                f"{'it' if flown == 1 else 'any'}. A height read from the ground is enough to begin with.")  # fmt: skip
    return (f"No launch of {project.name} stands in the logbook. Launch it, measure its height, and come back: "
            "nobody's rocket has the drag of a table.")  # fmt: skip


def _rests_on(project: "Project") -> str:
    """Return what the design draws from now, where flights since are not in it."""
    known = project.design.written.learned
    return f"What the design draws from was {known.rests_on}: learn anew. " if known and known.newer else ""


def _flights(count: int) -> str:
    return "one flight" if count == 1 else f"{count} flights"


def _answer(taught: "Taught") -> str:
    height = taught.outcomes[0]
    return f"Height: {height.after}, not {height.before}"


def _lead(taught: "Taught") -> str:
    count = len(taught.found.learned.launches)
    rough = "" if taught.found.fit.posterior.trusted else " Take it as rough: few of the flights that were tried fit."
    return (f"Eight flights in ten end between these heights: first with what {_flights(count)} taught, then without."
            f"{rough}")  # fmt: skip
