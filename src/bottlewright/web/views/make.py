"""Make: what do we cut, and when is it ready?"""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.as_built import CARD, built_of
from bottlewright.project.damage import damages, parts_that_break
from bottlewright.project.ground_tests import ground_tries
from bottlewright.project.make import sheets_to_come
from bottlewright.project.schedule import workshop_answers
from bottlewright.web.views.frame import findings_of
from bottlewright.web.views.page import Figure, Page, Width, figure_of, running

if TYPE_CHECKING:
    from bottlewright.project.as_built import Measured
    from bottlewright.project.damage import Damaged
    from bottlewright.project.ground_tests import GroundTries
    from bottlewright.project.make import MakeResult
    from bottlewright.project.parts import PartRow
    from bottlewright.project.schedule import Schedule, ScheduleRow
    from bottlewright.web.desk import Desk

__all__ = ["LARGE", "SMALL", "MakePage", "SheetPage", "make", "sheet_page"]

QUESTION = "What do we cut, and when is it ready?"
SMALL, LARGE = 44, 110
"""Dots an inch of a page in the list of sheets, and of one that is looked at."""


class Entry(NamedTuple):
    """One answer of a form: its name, what is asked, a hint, what stands there, and what kind of input it is."""

    name: str
    label: str
    hint: str
    value: str = ""
    kind: str = "text"


class Thumb(NamedTuple):
    """A sheet of the pack in the list: name, title, what it is for, how many pages, the picture of its first."""

    name: str
    title: str
    what: str
    pages: str
    picture: str


_SHOP = (
    Entry("people", "Who build", "hands at work at the same time", kind="numeric"),
    Entry("rockets", "Rockets", "built at the same time", kind="numeric"),
    Entry("adults", "Adults", "who are there; some steps wait for one", kind="numeric"),
    Entry("start", "First day", "such as 2027-03-06; empty: today"),
    Entry("begins", "Hour", "such as 14:00; empty: the next full hour"),
    Entry("hours", "Open", "such as 10:00-12:30, 13:00-16:00, or Sat 10:00-13:00, Wed 16:30-18:30"),
)
_GROUPS = {"rocket": "Rocket", "launcher": "Launcher", "supplies": "Used up in building", "tools": "Tools"}


@dataclass(frozen=True, kw_only=True)
class MakePage(Page):
    """The page of the workshop.

    Parameters
    ----------
    sheets, whole
        The sheets of the printed pack once it is made, and its file.
    to_come
        What the pack will have, before it is made.
    files
        The single files: name, and what each is.
    parts, to_buy, unpriced
        The parts by group; what is missing and what it costs, in a line; what of it has no price.
    schedule, chart, shop
        The work in the calendar, its picture, and what somebody says of the workshop.
    card, built
        What a card files, and what was measured so far.
    tries
        What was counted of the release on the ground; None where none is described.
    damages, breakable
        What was damaged, and what may be.
    today
        As a form begins with it.
    """

    sheets: Sequence[Thumb] = ()
    whole: str = ""
    to_come: Sequence[tuple[str, str]] = ()
    files: Sequence[tuple[str, str]] = ()
    parts: "Sequence[tuple[str, Sequence[PartRow]]]" = ()
    to_buy: str = ""
    unpriced: Sequence[str] = ()
    schedule: "Schedule"
    chart: Figure | None = None
    shop: Sequence[Entry] = ()
    card: Sequence[Entry] = ()
    built: "Sequence[Measured]" = ()
    measured_by: str = ""
    tries: "GroundTries | None" = None
    damages: "Sequence[Damaged]" = ()
    breakable: Sequence[tuple[str, str, str]] = ()
    today: str = ""

    @property
    def days(self) -> "Mapping[str, Sequence[ScheduleRow]]":
        """The list of the schedule by day."""
        found: dict[str, list[ScheduleRow]] = {}
        for row in self.schedule.rows:
            found.setdefault(row.when.rpartition(" ")[0], []).append(row)
        return found


def make(desk: "Desk", width: Width) -> MakePage:
    """Return the page of the workshop."""
    project, found = desk.project, desk.pack
    work = running(desk, "make", "Make the pack")
    parts, schedule, said = project.parts(), project.schedule(), project.design.measured
    answers = workshop_answers(project)
    buy = f"To buy: {_counted(len(parts.missing), 'line')}" + (f", {parts.total}" if parts.listed.price else "")
    return MakePage(
        stage="make", question=QUESTION, answer=schedule.words,
        lead="This is the building alone: the verdict, wind and field decide about the launch.",
        running=None if found and not work.on else work, findings=findings_of(found, "make") if found else (),
        sheets=_thumbs(found) if found else (), whole=f"pack-{found.paper}.pdf" if found else "",
        to_come=() if found else sheets_to_come(), files=_files(found.made().files) if found else (),
        parts=[(title, [row for row in parts.rows if row.group == group]) for group, title in _GROUPS.items()],
        to_buy=buy, unpriced=parts.unpriced if parts.listed.price else (),
        schedule=schedule, chart=figure_of(schedule.picture, width) if schedule.picture else None,
        shop=[one._replace(value=answers[one.name]) for one in _SHOP],
        card=[Entry(key, *words) for key, words in CARD.items() if key != "fins.span" or project.design.fins],
        built=built_of(project).rows,
        measured_by=", ".join(filter(None, (said.by, said.day))),
        tries=ground_tries(project),
        damages=damages(project), breakable=parts_that_break(project), today=dt.date.today().isoformat(),
    )  # fmt: skip


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _thumbs(found: "MakeResult") -> list[Thumb]:
    return [Thumb(one.name, one.title, one.what, f"{one.pages} pages" if one.pages > 1 else "",
                  page_address(found, one.first, SMALL)) for one in found.sheets]  # fmt: skip


def page_address(found: "MakeResult", number: int, dots: int) -> str:
    """Return where the picture of a page of the pack is fetched; another pack has others."""
    return f"/page/{dots}/{number}.png?{found.name}"


@dataclass(frozen=True)
class SheetPage:
    """One sheet of the pack, looked at.

    Parameters
    ----------
    title, what
        What it is called, and what it is for.
    pages
        Addresses of the pictures of its pages.
    name
        To download it alone.
    """

    title: str
    what: str
    pages: Sequence[str]
    name: str


def sheet_page(found: "MakeResult", name: str) -> SheetPage | None:
    """Return one sheet to look at; None where the pack has none of that name."""
    one = next((sheet for sheet in found.sheets if sheet.name == name), None)
    if one is None:
        return None
    numbers = range(one.first, one.first + one.pages)
    return SheetPage(one.title, one.what, [page_address(found, number, LARGE) for number in numbers], name)


_WHAT = (
    ("pack-", "the whole pack to print"), ("patterns-", "patterns at true scale to print"),
    ("parts.csv", "list of parts"), ("build.ics", "the days of the build, for a calendar"),
    ("svg/", "pattern as a drawing"), ("dxf/", "pattern for a cutter"), ("print/", "part for a 3D printer"),
)  # fmt: skip


def _files(names: Iterable[str]) -> list[tuple[str, str]]:
    """Return the files of a pack, the printed ones first, with what each is."""
    def rank(name: str) -> int:
        return next((number for number, (head, _) in enumerate(_WHAT) if name.startswith(head)), len(_WHAT))

    return [(name, [*_WHAT, ("", "")][rank(name)][1]) for name in sorted(names, key=lambda name: (rank(name), name))]
