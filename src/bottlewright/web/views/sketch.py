"""Sketch: what are we building?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.as_built import Built, built_of
from bottlewright.project.fields import GROUPS, fields_of, in_words
from bottlewright.project.handles import room
from bottlewright.project.letting_out import ComesOut, comes_out, mechanism_fields
from bottlewright.project.payload import along_of, payload_fields
from bottlewright.project.weights import Weights, weights_of
from bottlewright.project.words import MIDDLE_MARGIN
from bottlewright.web.views.frame import findings_of
from bottlewright.web.views.page import Fact, Page, Width, groups_of, hand_moves

if TYPE_CHECKING:
    from bottlewright.project.drawing import Sketched
    from bottlewright.project.fields import Field
    from bottlewright.project.project import Project
    from bottlewright.web.desk import Desk

__all__ = ["Drawing", "SketchPage", "inputs", "sketch"]

WHOLE = (("measured.dry_mass", "weighs, ready to fly, without water"),
         ("measured.balance_point", "balances, from the nose tip"))  # fmt: skip
SWING = (("measured.swing.period", "one swing, there and back"), ("measured.swing.strings", "each string, long"),
         ("measured.swing.apart", "the strings, apart"))  # fmt: skip


class Drawing(NamedTuple):
    """The rocket drawn for a page or a telephone, its grips, and the side of what a finger has to hit, points."""

    name: str
    sketched: "Sketched"
    side: float


@dataclass(frozen=True, kw_only=True)
class SketchPage(Page):
    """The page of the rocket.

    Parameters
    ----------
    drawings, caption
        For each width that a window may have, and what stands under them.
    falls_free
        Whether nothing slows its fall: a parachute is offered.
    weights, built
        What weighs what; what was measured of the whole, beside what the parts add up to.
    weighed, swung
        Its values: weight and balance, and the swing, of which nothing is there before somebody swung it.
    along
        What flies along: what, its number, and more about it.
    comes_out
        The ways that a canopy may be let out, to choose from; None where there is none.
    """

    drawings: Sequence[Drawing]
    caption: str
    falls_free: bool
    weights: Weights | None = None
    built: Built | None = None
    weighed: "Sequence[Field]" = ()
    swung: "Sequence[Field]" = ()
    along: Sequence[tuple[str, str, str]] = ()
    comes_out: ComesOut | None = None


def sketch(desk: "Desk", width: Width) -> SketchPage:
    """Return the page of the rocket to scale, its values and what each rests on."""
    facts = [Fact(desk.number("sketch"), "long"),
             Fact(desk.margin, f"{MIDDLE_MARGIN}: how steady; 1 is asked, by Tune of nine flights in ten"),
             Fact(desk.number("fly"), "up, by one flight")]  # fmt: skip
    page = SketchPage(
        stage="sketch", question="What are we building?", answer=desk.project.name,
        lead="Drag a square on the drawing, or write a value with its unit. What nobody measured is filled in, and "
        "says so.",
        drawings=drawings_of(desk, width), caption=desk.sketched.pictures["rocket"].caption, facts=facts,
        falls_free=desk.project.design.recovery.kind == "none",
        findings=findings_of(desk.cured, "sketch", "fly"), folded=width == "narrow", light=hand_moves(desk, width),
    )  # fmt: skip
    return page if page.light else replace(
        page, weights=weights_of(desk.project),
        built=built_of(desk.project, desk.flight.summary["static_margin_min_calibres"] if desk.flight else None),
        sections=_canopy(desk),
        weighed=fields_of(desk.project, WHOLE), swung=fields_of(desk.project, SWING), groups=inputs(desk.project),
        along=along_of(desk.flight) if desk.flight else (),
        comes_out=comes_out(desk.project) if desk.flight else None,
    )  # fmt: skip


def _canopy(desk: "Desk") -> list[tuple[str, list[str]]]:
    """Return what is said of the canopy: does its pack fit, and what gives first."""
    rows = desk.flight.canopy_rows(timer=False) if desk.flight else []
    return [("The canopy", [in_words(" ".join(row)) for row in rows])] if rows else []


def drawings_of(desk: "Desk", width: Width) -> list[Drawing]:
    """Return the drawing for the width that a window has, or for both."""
    return [Drawing(name, desk.sketched.sketched(narrow), room(narrow))
            for name, narrow in (("wide", False), ("narrow", True)) if width in (name, "both")]  # fmt: skip


def inputs(project: "Project") -> "list[tuple[str, list[Field]]]":
    """Return the rocket's values by part, in the order that it is built; each thing that weighs has its own."""
    masses = tuple(
        (f"mass.{n}.{name}", f"{part.name}: {name}")
        for n, part in enumerate(project.design.mass) for name in ("mass", "position")
    )  # fmt: skip
    slowed = project.design.recovery.kind != "none"
    after = [(title, keys) for title, keys in GROUPS[4:] if slowed or title != "Way down"]
    after.insert(2 if slowed else 1, ("Letting it out", mechanism_fields(project)))
    return groups_of(project, (*GROUPS[:4], ("Parts", masses), *payload_fields(project), *after))
