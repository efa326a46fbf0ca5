"""The drawing of a project's rocket, to scale, and what can be dragged on it."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.handles import Handle, handles_of, placed
from bottlewright.project.picture import Shown

if TYPE_CHECKING:
    from bottlewright.flight.layout import Layout
    from bottlewright.project.project import Project
    from bottlewright.report.drawing import RocketFrame, RocketView

__all__ = ["Drawn", "Sketched", "drawn"]

_WIDE, _NARROW = 229.0, 92.0
"""Width of the drawing on a page and on a telephone, mm: its letters are then some 13 and 10 px high."""


class Sketched(NamedTuple):
    """The drawing for one width: its SVG, the grips over it, width and height of both together, points."""

    svg: str
    handles: list[Handle]
    wide: float
    high: float


@dataclass(frozen=True, eq=False)
class Drawn:
    """The rocket from the side.

    Parameters
    ----------
    project
        What is drawn.
    held
        What it was when somebody took hold of a grip: it stays at that one's scale and place until they let go.
    """

    project: "Project"
    held: "Project | None" = None

    @cached_property
    def layout(self) -> "Layout":
        """Where everything is."""
        from bottlewright.flight.layout import layout_of

        return layout_of(self.project.design)

    @property
    def length(self) -> float:
        """From the tip of the nose to the last of it, m."""
        return self.layout.total_length

    @cached_property
    def pictures(self) -> dict[str, Shown]:
        """The drawing, by its name."""
        from bottlewright.flight.chapters import rocket_picture

        return {"rocket": Shown(rocket_picture(self.project.design, self.layout))}

    @cached_property
    def _view(self) -> "RocketView":
        from bottlewright.flight.chapters import rocket_view

        return rocket_view(self.project.design, self.layout)

    def _frame(self, sheet: float) -> "RocketFrame":
        from bottlewright.report.drawing import rocket_frame

        return rocket_frame(Drawn(self.held)._view if self.held else self._view, sheet)

    def sketched(self, narrow: bool) -> Sketched:
        """Return the drawing for a page or a telephone, with its grips."""
        from bottlewright.report.drawing import rocket_drawing

        sheet = _NARROW if narrow else _WIDE
        frame = self._frame(sheet)
        grips, high = placed(handles_of(self.project, self.layout, frame), frame.size, narrow)
        name = f"rocket{'-narrow' * narrow}"
        svg = rocket_drawing(self._view, sheet, frame).svg(
            self.pictures["rocket"].alt, "", name, alone=False, share=None)  # fmt: skip
        return Sketched(svg, grips, frame.size[0], high)


def drawn(project: "Project", held: "Project | None" = None) -> Drawn:
    """Return the drawing of a project."""
    return Drawn(project, held)
