"""The drawing of a project's rocket, to scale."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from bottlewright.project.picture import Shown

if TYPE_CHECKING:
    from bottlewright.project.project import Project

__all__ = ["Drawn", "drawn"]


@dataclass(frozen=True, eq=False)
class Drawn:
    """The rocket from the side.

    Parameters
    ----------
    project
        What is drawn.
    """

    project: "Project"

    @cached_property
    def _layout(self) -> "object":
        from bottlewright.flight.layout import layout_of

        return layout_of(self.project.design)

    @property
    def length(self) -> float:
        """From the tip of the nose to the last of it, m."""
        return float(self._layout.total_length)  # type: ignore[attr-defined]

    @cached_property
    def pictures(self) -> dict[str, Shown]:
        """The drawing, by its name."""
        from bottlewright.flight.chapters import rocket_picture

        return {"rocket": Shown(rocket_picture(self.project.design, self._layout))}  # type: ignore[arg-type]


def drawn(project: "Project") -> Drawn:
    """Return the drawing of a project."""
    return Drawn(project)
