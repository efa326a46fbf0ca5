"""What every stage's page has: a question, its answer as the heading, figures, findings with cures, values."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, get_args

from bottlewright.project.fields import fields_of
from bottlewright.web.views.frame import WORKING, Finding
from bottlewright.web.work import name_of

if TYPE_CHECKING:
    from bottlewright.project.fields import Field
    from bottlewright.web.desk import Desk

__all__ = [
    "BOTH", "WIDTHS", "Fact", "Figure", "Page", "Running", "Width", "figure_of", "figures_of", "groups_of",
    "hand_moves", "running", "waiting",
]  # fmt: skip


Width = Literal["both", "wide", "narrow"]
"""What a window has room for; both while nobody has asked it."""

BOTH: Width = "both"
WIDTHS = get_args(Width)


class Fact(NamedTuple):
    """A number, and what it is."""

    number: str
    what: str


class Figure(NamedTuple):
    """A picture drawn for a wide page, for a telephone, or for both, and what stands under it."""

    name: str
    caption: str
    wide: str
    narrow: str


class Running(NamedTuple):
    """Long work of a page.

    Parameters
    ----------
    kind, asks
        Which work, and what its button says.
    words, share
        What is done now and how far it is in per cent; or why there is no result.
    on
        Whether it is under way.
    """

    kind: str
    asks: str
    words: str
    share: int
    on: bool


@dataclass(frozen=True, kw_only=True)
class Page:
    """One page's own content; a stage with more to show has a class and a template of its own.

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
    folded
        Whether each group of inputs opens by itself: there are many, and the window is narrow.
    light
        While the hand moves: values and tables follow when it rests, and say so until then.
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
    folded: bool = False
    light: bool = False


def figures_of(result: Any, width: Width, *names: str) -> list[Figure]:
    """Return a result's pictures, all or those named, drawn for the width that the window has."""
    pictures = result.pictures
    return [figure_of(pictures[name], width) for name in names or pictures if name in pictures]


def figure_of(picture: Any, width: Width) -> Figure:
    """Return one picture, drawn for the width that the window has."""
    return Figure(picture.name, picture.caption, picture.inline() if width != "narrow" else "",
                  picture.inline(narrow=True) if width != "wide" else "")  # fmt: skip


def hand_moves(desk: "Desk", width: Width) -> bool:
    """Say whether a window that has the page already is to be told the most urgent first; a new one gets all."""
    return desk.job.pending and width != BOTH


def groups_of(project: Any, groups: Any) -> "list[tuple[str, list[Field]]]":
    """Return groups of inputs, without those that this design has nothing of."""
    said = {one.key: one.words for one in project.proved.told}
    shown = [(title, [field._replace(changes=said.get(field.key, "")) for field in fields_of(project, keys)])
             for title, keys in groups]  # fmt: skip
    return [one for one in shown if one[1]]


def running(desk: "Desk", kind: str, asks: str) -> Running:
    """Return how long work of a kind stands for the present revision."""
    name = name_of(kind, desk.project)
    now = desk.work.running.get(kind)
    if now and now.digest == name:
        return Running(kind, asks, now.words, round(100 * now.share), on=True)
    return Running(kind, asks, desk.work.failed.get((kind, name), ""), 0, on=False)


def waiting(stage: str, desk: "Desk") -> Page:
    """Return what a page can say while the physics is being compiled."""
    from bottlewright.web.views.sketch import inputs

    return Page(stage=stage, question="One moment", answer=WORKING.capitalize(), lead="The page follows by itself.",
                groups=inputs(desk.project) if stage == "sketch" else ())  # fmt: skip
