"""Logbook: what happened, and what is still to be entered?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError
from bottlewright.project.book_shown import book_shown

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["LogbookPage", "logbook_page"]


@dataclass(frozen=True)
class LogbookPage:
    """The page of the logbook.

    Parameters
    ----------
    answer, lead
        Heading, and what to do next.
    bottles
        With what ended them; see `bottlewright.logbook.words.BottleLine`.
    launches
        The latest first; see `bottlewright.logbook.words.LaunchLine`.
    unmeasured
        Launches that nothing was measured of.
    open
        What somebody has to put right.
    trouble
        What can't be read.
    days
        What happened on each day that was kept, the latest first; see `bottlewright.logbook.day_told.DayTold`.
    """

    answer: str
    lead: str
    bottles: Sequence[Any] = ()
    launches: Sequence[Any] = ()
    unmeasured: Sequence[str] = ()
    open: Sequence[tuple[str, Sequence[str]]] = ()
    trouble: str = ""
    days: Sequence[Any] = ()


def logbook_page(office: "Office") -> LogbookPage:
    """Return the page as the files stand now."""
    try:
        shown = book_shown(office.folder)
    except BottlewrightError as error:
        return LogbookPage("The logbook can't be read", "Put the file right that is named here.", trouble=str(error))
    unmeasured = [one.name for one in shown.launches if one.left and not one.measured]
    return LogbookPage(_answer(shown), _lead(shown, unmeasured), shown.bottles, shown.launches[::-1], unmeasured,
                       shown.open, days=shown.days[::-1])  # fmt: skip


def _answer(shown: Any) -> str:
    if not shown.launches:
        return "No launch yet"
    count = len({one.name[:10] for one in shown.launches})
    return f"{_many(len(shown.launches), 'launch', 'launches')} on {_many(count, 'day', 'days')}"


def _lead(shown: Any, unmeasured: Sequence[str]) -> str:
    if not shown.launches:
        return "A launch comes in here by itself on a day that is kept, or you begin one by hand on the page Measure."
    if shown.open:
        return "Something in the files has to be put right first: it stands below."
    if unmeasured:
        return (f"Nothing was measured of {_many(len(unmeasured), 'launch', 'launches')}. One height read from the "
                "ground teaches more than any table.")  # fmt: skip
    return "Something was measured of each launch."


def _many(count: int, one: str, several: str) -> str:
    return f"{count} {one if count == 1 else several}"
