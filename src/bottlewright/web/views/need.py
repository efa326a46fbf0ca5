"""Need: what does a day with children take?"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.web.views.first import first_project
from bottlewright.web.views.frame import WORKING, Frame, unwritten_frame
from bottlewright.web.views.page import Page

if TYPE_CHECKING:
    from bottlewright.project.need import NeedResult
    from bottlewright.web.office import Office

__all__ = ["NeedPage", "need_page"]

QUESTION = "What do we need for the day?"

_THINGS = {"bottles": "bottle", "tests": "water test", "pumps": "pump"}


class Entry(NamedTuple):
    """One answer: its name, what is asked, a hint, and what was answered."""

    name: str
    label: str
    hint: str
    value: str


class Row(NamedTuple):
    """One row: what, how many, how it was worked out, what that rests on, and whether it is a sum of those above."""

    what: str
    shown: str
    how: str
    rests_on: str
    known: bool
    together: bool


_ENTRIES: Mapping[str, tuple[str, str]] = {
    "children": ("Children", "how many come"), "team": ("To a rocket", "children who share one"),
    "hours": ("Time there", "such as 2 h or 90 min"), "field": ("Field", "such as 60 m x 40 m or 200 ft x 130 ft"),
    "budget": ("Budget", "such as 120 crowns"),
}  # fmt: skip
_TOGETHER = ("bottles", "water", "each", "fit", "hours")


@dataclass(frozen=True, kw_only=True)
class NeedPage(Page):
    """The page of a day with children.

    Parameters
    ----------
    entries
        What is asked.
    counted
        Rows by what they are about.
    misfits, not_counted
        What does not fit, and what nobody counted.
    build
        Who builds how many rockets, as Make takes it over.
    """

    entries: Sequence[Entry]
    counted: Sequence[tuple[str, Sequence[Row]]]
    misfits: Sequence[str]
    not_counted: Sequence[str]
    build: Mapping[str, str]


def need_page(office: "Office") -> tuple[Frame, NeedPage]:
    """Return the frame and the page for the design that is open, or for the first rocket of the first page."""
    if office.job is not None:
        desk = office.desk()
        return desk.frame, _page(office, desk.need(office.day))
    project, ready = first_project(office), office.warm.ready.is_set()
    proved, result = project.prove() if ready else None, project.need(**office.day)
    if proved:
        result = replace(result, judged=proved.verdict)
    return unwritten_frame(project, office.revision, proved), _page(office, result)


def _page(office: "Office", result: "NeedResult") -> NeedPage:
    judged = office.warm.ready.is_set()
    counted = result.counted if judged else result.early
    rows = [(group, [_row(row) for row in counted.rows if row.group == group])
            for group in dict.fromkeys(row.group for row in counted.rows)]  # fmt: skip
    shown = {row.code: row.shown for row in counted.rows}
    minutes = round((counted["each"].amount or 0.0) / 60.0)
    return NeedPage(
        stage="need", question=QUESTION,
        answer=_together(*(f"{shown[code]} {one}{'' if shown[code] == '1' else 's'}" for code, one in _THINGS.items()),
                         f"{shown['water']} of water", f"{minutes} minute{'' if minutes == 1 else 's'} a launch"),
        lead=f"Counted for {result.design.name} as planned, one launcher, one launch for each child. Local rules and "
             "the person in charge come first.",
        entries=[Entry(name, *words, office.day[name]) for name, words in _ENTRIES.items()],
        counted=rows, misfits=counted.misfits, not_counted=counted.not_counted, build=result.build,
    )  # fmt: skip


def _together(*numbers: str) -> str:
    """Return numbers that do not part from what follows them."""
    return ", ".join(re.sub(r"(?<=[\d±]) (?=\S)|(?<=\S) (?=±)", "\u00a0", text) for text in numbers)


def _row(row: Any) -> Row:
    known = row.shown not in ("not known", WORKING)
    return Row(row.what, _together(row.shown), row.how, str(row.rests_on), known, row.code in _TOGETHER)
