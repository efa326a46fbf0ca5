"""Fly: how does it fly?"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project.fields import in_words
from bottlewright.web.views.frame import findings_of
from bottlewright.web.views.page import Figure, Page, Running, Width, figure_of, hand_moves, running
from bottlewright.web.work import FLIGHTS, name_of

if TYPE_CHECKING:
    from bottlewright.project.release import TriedRow, WayRow
    from bottlewright.web.desk import Desk

__all__ = ["FlyPage", "LettingOut", "Scrub", "fly"]

ASKS_RELEASE = {False: "Try other holds, changes and ways", True: "Try them once more"}
"""What the button says, before and after they were tried."""


class Scrub(NamedTuple):
    """The flight moment by moment: what the page shows first, and what its script puts in its place.

    Parameters
    ----------
    figure, drawing
        The one picture, and the rocket at the release.
    cells
        Numbers at the release, each with what it is.
    named
        The moments with a name: which one, its name and its numbers.
    last
        The last moment; the first is 0.
    parts, rows
        The parts of the drawing that move. For each moment its name, numbers and moves, with nothing for what is as in
        the moment before.
    wide, narrow
        Where each moment stands in the picture.
    """

    figure: Figure
    drawing: str
    cells: Sequence[tuple[str, str]]
    named: Sequence[tuple[int, str, Sequence[str]]]
    last: int
    parts: str
    rows: str
    wide: str
    narrow: str


@dataclass(frozen=True, kw_only=True)
class LettingOut:
    """How the canopy comes out.

    Parameters
    ----------
    counted, hold, window
        How often in time; the pull at the joint of a nose against its hold; how firmly the nose may sit. Each empty
        where there is nothing of it.
    tried, ways
        Changes, and other ways side by side, where they were flown.
    rows, sizes
        What is said of the canopy; sizes for usual descents.
    work
        How the flying of holds, changes and ways stands.
    """

    counted: str
    hold: Figure | None
    window: str
    tried: "Sequence[TriedRow]"
    ways: "Sequence[WayRow]"
    rows: Sequence[tuple[str, str]]
    sizes: Sequence[tuple[str, str, str]]
    work: Running


@dataclass(frozen=True, kw_only=True)
class FlyPage(Page):
    """The page of one flight.

    Parameters
    ----------
    scrub
        The flight moment by moment; None where the rocket never left the launcher.
    letting_out
        How the canopy comes out; None where nothing slows the fall.
    """

    scrub: Scrub | None
    letting_out: LettingOut | None


def fly(desk: "Desk", width: Width) -> FlyPage:
    """Return the page of one flight."""
    flight, many = desk.flight, desk.flights
    assert flight is not None, "asked for once the physics is there"
    lines = [line for line in flight.words().splitlines() if line.strip()]
    rows = [_split(line) for line in lines[1:]]
    course = flight.course(many)
    light = hand_moves(desk, width)
    return FlyPage(
        stage="fly", light=light, letting_out=None if light or not course else _letting_out(desk, width),
        question="How does it fly?", answer=flight.title, lead=_lead(desk, many) if course else lines[0],
        findings=findings_of(desk.cured, "fly"), scrub=scrub_of(course, width) if course else None,
        rows=[("One flight, in the weather of the file", [row for row in rows if row[0]])],
    )  # fmt: skip


def _letting_out(desk: "Desk", width: Width) -> LettingOut | None:
    """Return how the canopy comes out; what takes long is begun by hand."""
    flight, found = desk.flight, desk.work.result("release", desk.project)
    if flight is None or desk.project.design.recovery.kind == "none":
        return None
    hold = found.pictures.get("hold") if found else flight.hold
    return LettingOut(
        counted=flight.let_out(), hold=figure_of(hold, width) if hold else None,
        window=found.window_words if found else "", tried=found.tried_rows if found else (),
        ways=found.way_rows if found else (), sizes=flight.canopy_sizes(),
        rows=[(name, in_words(value)) for name, value in flight.canopy_rows()],
        work=running(desk, "release", ASKS_RELEASE[found is not None]),
    )  # fmt: skip


def _lead(desk: "Desk", many: Any) -> str:
    one = "This is one flight, in the weather of the file."
    if many is not None:
        more = f"{len(many.summaries)} more were flown with every ± drawn anew."
        return f"{one} {more} {many.words().partition('. ')[2].strip()}."
    failed = desk.work.failed.get(("flights", name_of("flights", desk.project)))
    running = "flights" in desk.work.running or desk.job.pending
    if failed and not running:
        return f"{one} How far others differ is not known: {failed}."
    return f"{one} {FLIGHTS} flights with every ± drawn anew follow by themselves."


def scrub_of(course: Any, width: Width) -> Scrub:
    """Return the flight moment by moment, its picture drawn for the width that the window has."""
    moments, picture = course.moments, course.picture
    wide, narrow = width != "narrow", width != "wide"
    rows, before = list[str](), tuple[str, ...]()
    for moment, moved in zip(moments, course.moved(), strict=True):
        now = (*moment.texts, *moved)
        changed = [new if not before or new != old else "" for new, old in zip(now, before or now, strict=True)]
        rows.append(";".join((moment.name, *changed)))
        before = now
    return Scrub(
        figure=Figure(picture.name, picture.caption, picture.inline() if wide else "",
                      picture.inline(narrow=True) if narrow else ""),
        drawing=course.drawing, cells=list(zip(moments[0].texts, course.cells, strict=True)),
        named=[(k, one.name, one.texts) for k, one in enumerate(moments) if one.name], last=len(moments) - 1,
        parts=" ".join(course.parts), rows="|".join(rows),
        wide=_places(course, narrow=False) if wide else "", narrow=_places(course, narrow=True) if narrow else "",
    )  # fmt: skip


def _places(course: Any, narrow: bool) -> str:
    return "|".join(f"{x:.1f} {y:.1f}" for x, y in course.places(narrow))


def _split(line: str) -> tuple[str, str]:
    name, *values = re.split(r"\s{2,}", line.strip())
    return name, ", ".join(values)
