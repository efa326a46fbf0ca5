"""The first visit: three answers, and what would be built."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.words import MIDDLE_MARGIN

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.web.office import Office
    from bottlewright.web.views.designs import Design

__all__ = ["FIRST_LOOK", "First", "first_drawing", "first_page", "first_project"]


class Bottle(NamedTuple):
    """A bottle to choose: its outline drawn to one scale with the others."""

    name: str
    litres: str
    held: str
    across: str
    outline: str
    width: float
    height: float
    usable: bool


class Choice(NamedTuple):
    """An answer that can be pressed."""

    value: str
    label: str


@dataclass(frozen=True)
class First:
    """Everything on the first page."""

    designs: "list[Design]"
    bottles: list[Bottle]
    bores: list[Choice]
    ways_down: list[Choice]
    answers: dict[str, str]
    verdict: list[str]
    facts: list[tuple[str, str]]
    compiling: bool
    alt: str


BORES = [Choice("9 mm", "Hose connector, 9 mm"), Choice("", "Bare neck of the bottle")]
WAYS_DOWN = [Choice("", "Parachute"), Choice("none", "Nothing slows it")]
FIRST_LOOK = "1.5 bar"
"""What a bottle of unknown age is drawn with, on paper: low, and judged like any other number."""
STILL = "1.5 L"
"""The bottle of a still drink that is shown, to say that none of them will do."""
SCALE = 420.0
"""Pixels to a metre of bottle."""


def first_page(office: "Office") -> First:
    """Return the first page for the answers so far."""
    from bottlewright.project.begin import load_words
    from bottlewright.web.views.designs import shown_designs

    project = first_project(office)
    ready, said, facts = office.warm.ready.is_set(), [], []
    if ready:
        proved, summary = project.prove(), project.fly().summary
        verdict, said = proved.verdict, proved.verdict_lines()[1:3]
        said[1] = said[1].replace("Your plan:", "A first guess:")  # nobody has planned anything yet
        facts = [
            (verdict.habit.length(_length(project)), "long"),
            (verdict.habit.distance(summary["apogee_m"]), f"up, on paper, with {load_words(project.design)}"),
            (f"{summary['static_margin_min_calibres']:.2f}", f"calibres (body widths): {MIDDLE_MARGIN}; 1 is asked"),
            (verdict.habit.speed(summary["landing_speed_m_s"], 2), "when it comes down"),
        ]
    return First(shown_designs(office), bottles(), BORES, WAYS_DOWN, office.answers, said, facts, not ready,
                 f"{project.name} from the side, to scale.")  # fmt: skip


def first_project(office: "Office") -> "Project":
    """Return the first rocket by the answers so far; no file has it yet."""
    from bottlewright.project.begin import answers_of, begin

    answers = {name: text for name, text in office.answers.items() if text}
    return begin({"pressure": FIRST_LOOK, **answers_of(answers)}, file=office.folder / "rocket.toml")


def _length(project: "Project") -> float:
    from bottlewright.project.drawing import drawn

    return drawn(project).length


def first_drawing(office: "Office") -> str:
    """Return the drawing of what would be built, as SVG."""
    from bottlewright.project.begin import first_drawing_svg

    return first_drawing_svg(first_project(office).design)


def bottles() -> list[Bottle]:
    """Return the bottles of the table, drawn to one scale; one that held a still drink can't be chosen."""
    from bottlewright.project.begin import bottle_shapes

    shown = []
    for shape in bottle_shapes():
        if not shape.usable and shape.holds != STILL:
            continue
        left = [f"{SCALE * (shape.diameter / 2 - r):.1f},{SCALE * z:.1f}" for z, r in shape.outline]
        right = [f"{SCALE * (shape.diameter / 2 + r):.1f},{SCALE * z:.1f}"
                 for z, r in reversed(shape.outline)]
        shown.append(Bottle(shape.name, shape.holds, shape.held, shape.across, " ".join([*left, *right]),
                            SCALE * shape.diameter, SCALE * shape.length, shape.usable))  # fmt: skip
    return shown
