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
        from bottlewright.report.style import picture_svg

        return picture_svg(self.drawn)

    def inline(self, narrow: bool = False) -> str:
        """Return the picture for a page that has the colours' classes; drawn for a telephone where `narrow` says so."""
        sheet = self.drawn.narrow if narrow else self.drawn.figure
        return sheet.svg(self.alt, "", f"{self.name}{'-narrow' * narrow}", alone=False, share=None)

    def png(self, dots: int = 160) -> bytes:
        """Return the picture as PNG with so many dots an inch, for a program that takes no SVG."""
        from bottlewright.report.png import png

        return png(self.svg, dots)

    def _repr_svg_(self) -> str:
        return self.svg

    def __repr__(self) -> str:
        return f"<picture {self.name}: {self.alt}>"
