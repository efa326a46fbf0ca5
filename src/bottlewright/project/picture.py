"""A picture that shows itself in a notebook."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bottlewright.report.style import Picture

__all__ = ["Shown"]


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture with its caption and what it shows in words; a notebook draws it by itself."""

    drawn: "Picture"

    @property
    def name(self) -> str:
        """File name without ending."""
        return self.drawn.name

    @property
    def caption(self) -> str:
        """What stands under it."""
        return self.drawn.caption

    @property
    def alt(self) -> str:
        """What it shows, for a reader who can't see it."""
        return self.drawn.alt

    @property
    def svg(self) -> str:
        """The picture as SVG text."""
        from bottlewright.report.style import svg_text

        return svg_text(self.drawn.figure)

    def _repr_svg_(self) -> str:
        return self.svg

    def __repr__(self) -> str:
        return f"<picture {self.name}: {self.alt}>"
