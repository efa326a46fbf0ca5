"""How a figure comes into a page and into a file."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from bottlewright.figures.colours import LIGHT
from bottlewright.figures.sheet import MM, Sheet

__all__ = [
    "FULL_WIDTH",
    "NARROW",
    "Event",
    "Picture",
    "inline_drawing",
    "inline_svg",
    "picture_files",
    "picture_svg",
    "save_picture",
    "write_file",
]

FULL_WIDTH = 165.0
"""Width of a figure that fills the column, mm; a narrower one stays narrower, so that all lettering has one size."""

NARROW = 92.0
"""Width of a figure on a telephone, and of one of two side by side on paper, mm."""

@dataclass(frozen=True, slots=True)
class Event:
    """A moment worth a mark on a chart, at a time in seconds."""

    time: float
    label: str


@dataclass(frozen=True)
class Picture:
    """A figure: its file name without ending, its caption, and what it shows in words for a screen reader.

    `draw` takes the width in mm; each width is drawn when it is first asked for.
    """

    name: str
    caption: str
    alt: str
    draw: Callable[[float], Sheet] = field(repr=False, compare=False)

    @cached_property
    def figure(self) -> Sheet:
        """It, as wide as the column."""
        return self.draw(FULL_WIDTH)

    @cached_property
    def narrow(self) -> Sheet:
        """The same for a telephone, and for half the width of a printed page: its lettering keeps its size."""
        return self.draw(NARROW)


def picture_svg(picture: Picture) -> str:
    """Return the picture as a file of its own, which says what it shows and follows day and night."""
    return picture.figure.svg(picture.alt, picture.caption, picture.name)


def inline_svg(picture: Picture, narrow: bool = False) -> str:
    """Return the picture for a page: its names its own, no wider than its share of the column, its colours the page's.

    The caption stands under it on the page.
    """
    sheet = picture.narrow if narrow else picture.figure
    share = min(1.0, sheet.width / ((NARROW if narrow else FULL_WIDTH) * MM))
    return sheet.svg(picture.alt, "", f"{picture.name}{'-narrow' * narrow}", alone=False, share=share)


def inline_drawing(svg: str, alt: str, share: float = 1.0) -> str:
    """Return an SVG for a page: its colours the page's variables, its width that of its place, described in words."""
    svg = svg[svg.index("<svg") :]
    names = {colour: name for name, colour in LIGHT.items()}
    svg = re.sub(r"#[0-9a-f]{6}\b", lambda hit: f"var(--{names[hit[0]]})" if hit[0] in names else hit[0], svg)
    svg = re.sub(r'(<svg[^>]*?) height="[^"]*"', r"\1", svg, count=1)
    svg = re.sub(r'(<svg[^>]*?) width="[^"]*"', rf'\1 style="--share:{share:.2f}" role="img"', svg, count=1)
    return re.sub(r"<svg[^>]*>", lambda head: f"{head[0]}<title>{_escape(alt)}</title>", svg, count=1)


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def picture_files(picture: Picture) -> dict[str, bytes]:
    """Return the picture as SVG, by file name."""
    return {f"{picture.name}.svg": picture_svg(picture).encode()}


def save_picture(picture: Picture, folder: Path) -> Path:
    """Write the picture as SVG; return its path."""
    (name, content), = picture_files(picture).items()
    write_file(folder / name, content)
    return folder / name


def write_file(path: Path, content: str | bytes) -> None:
    """Write a file, and the folders it lies in where there are none yet."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode() if isinstance(content, str) else content)
