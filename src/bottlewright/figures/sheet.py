"""A sheet of plain shapes and words in points from its upper left corner, written as SVG."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from html import escape
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import DARK, LIGHT, class_rules
from bottlewright.figures.letters import ASCENT, DESCENT, Box, width
from bottlewright.figures.simpler import simpler

__all__ = ["MM", "Sheet", "Words", "joined", "number", "path"]

Floats = NDArray[np.float64]
MM = 72.0 / 25.4
"""Points in a millimetre."""

_ROW = 1.25
"""From one line of words to the next, in sizes of their letters."""


def number(value: float) -> str:
    """Return a length to a hundredth of a point, no longer than needed."""
    return f"{round(value, 2) + 0.0:g}"


def path(points: Any, closed: bool = False) -> str:
    """Return corners as the text of an SVG path."""
    corners = [f"{x:g} {y:g}" for x, y in (np.asarray(points, float).round(2) + 0.0).tolist()]
    return f"M{'L'.join(corners)}{'z' if closed else ''}" if corners else ""


class Words(NamedTuple):
    """A line of words: the place where it stands, and how it is set.

    Parameters
    ----------
    x, y
        Of the foot of the letters, at the side that `anchor` names: "start", "middle" or "end".
    turned
        Whether it reads upwards.
    halo
        Whether a rim of the sheet keeps lines off it.
    """

    text: str
    x: float
    y: float
    size: float = 8.0
    colour: str = "ink"
    anchor: str = "start"
    bold: bool = False
    turned: bool = False
    halo: bool = False

    @property
    def box(self) -> Box:
        """The place it covers."""
        wide = width(self.text, self.size, self.bold)
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * wide
        up, down = ASCENT * self.size, DESCENT * self.size
        if self.turned:
            return Box(self.x - up, self.y + back - wide, self.x + down, self.y + back)
        return Box(self.x - back, self.y - up, self.x - back + wide, self.y + down)


class Sheet:
    """A drawing: shapes one over the other, words over all of them.

    Parameters
    ----------
    width_mm, height_mm
        Of the sheet.
    """

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width, self.height = width_mm * MM, height_mm * MM
        self.words: list[Words] = []
        self._shapes: list[str] = []
        self._kept: dict[str, str] = {}
        self._colours: set[str] = {"sheet"}
        self._window = ""

    def clip(self, window: Box | None) -> None:
        """Show of the shapes that follow only what lies in a window, until the next call."""
        self._window = ""
        if window is not None:
            key = f"window-{len(self._kept)}"
            self._kept[key] = (f'<clipPath id="{key}"><rect x="{number(window.left)}" y="{number(window.top)}" '
                               f'width="{number(window.right - window.left)}" '
                               f'height="{number(window.bottom - window.top)}"/></clipPath>')
            self._window = key

    @contextmanager
    def group(self, part: str, moved: str = "", within: str = "") -> Iterator[None]:
        """Keep the shapes that follow together, so that a page can move them.

        Parameters
        ----------
        part
            What it is, for one who moves it.
        moved
            How they are moved, as an SVG transform.
        within
            A path: only what lies inside it is seen.
        """
        look = [f'data-part="{escape(part)}"', *([f'transform="{escape(moved)}"'] if moved else [])]
        if within:
            key = f"within-{len(self._kept)}"
            self._kept[key] = f'<clipPath id="{key}"><path d="{within}"/></clipPath>'
            look.append(f'clip-path="url(#{key})"')
        self._shapes.append(f"<g {' '.join(look)}>")
        yield
        self._shapes.append("</g>")

    def shape(
        self, d: str, stroke: str = "", fill: str = "", thick: float = 1.0, dash: Sequence[float] = (),
        opacity: float = 1.0, part: str = "", hatch: int | None = None, cap: str = "",
    ) -> None:
        """Draw a path.

        Parameters
        ----------
        stroke, fill
            Names of colours; none when empty.
        dash
            In widths of the line.
        part
            What it is, for one who reads the drawing by program.
        hatch
            Fill it with lines or dots of the fill's colour: pattern 0 to 5.
        """
        if not d:
            return
        names = [*(f"s-{one}" for one in (stroke,) if one), *(f"f-{one}" for one in (fill,) if one and hatch is None)]
        self._colours |= {one for one in (stroke, fill) if one}
        look = [f'class="{" ".join(names)}"'] if names else []
        if hatch is not None:
            look.append(f'fill="url(#{self._hatch(fill, hatch)})"')
        elif not fill:
            look.append('fill="none"')
        if stroke and thick != 1.0:
            look.append(f'stroke-width="{number(thick)}"')
        if stroke and len(dash):
            look.append(f'stroke-dasharray="{" ".join(number(one * thick) for one in dash)}"')
        if cap:
            look.append(f'stroke-linecap="{cap}"')
        if opacity < 1.0:
            look.append(f'opacity="{opacity:.3g}"')
        if part:
            look.append(f'data-part="{escape(part)}"')
        if self._window:
            look.append(f'clip-path="url(#{self._window})"')
        self._shapes.append(f'<path {" ".join(look)} d="{d}"/>')

    def line(self, points: Any, colour: str = "ink", thick: float = 1.0, dash: Sequence[float] = (), part: str = "",
             cap: str = "") -> None:
        """Draw an open line through points, leaving out those that nobody could see missing."""
        rows = np.asarray(points, float)
        there = np.isfinite(rows).all(axis=1)
        if there.all():
            d = path(simpler(rows)) if len(rows) else ""
        else:
            runs = np.split(rows, np.flatnonzero(np.diff(there)) + 1)  # by turns there and not
            d = "".join(path(run if len(run) < 4 else simpler(run)) for run in runs[int(not there[0]) :: 2])
        self.shape(d, colour, thick=thick, dash=dash, part=part, cap=cap)

    def write(self, words: Words) -> None:
        """Write words over all shapes."""
        if words.text:
            self.words.append(words)
            self._colours.add(words.colour)

    def rows(self, text: str, x: float, y: float, **look: Any) -> None:
        """Write several lines of words, one under the other from `y` on."""
        for row, line in enumerate(text.split("\n")):
            self.write(Words(line, x, y + row * _ROW * look.get("size", 8.0), **look))

    def _hatch(self, colour: str, kind: int) -> str:
        key = f"hatch-{colour}-{kind}"
        if key not in self._kept:
            what, turn = _HATCHES[kind]
            look = f'class="f-{colour}"' if what.startswith("<circle") else f'class="s-{colour}" fill="none"'
            self._kept[key] = (f'<pattern id="{key}" width="6" height="6" patternUnits="userSpaceOnUse"'
                               + (f' patternTransform="rotate({turn})"' if turn else "")
                               + f'>{what.replace("LOOK", look)}</pattern>')
        return key

    def svg(
        self, title: str = "", description: str = "", prefix: str = "", alone: bool = True, share: float | None = 1.0
    ) -> str:
        """Return the sheet as SVG: the same sheet, the same text.

        Parameters
        ----------
        title, description
            What it shows, in words.
        prefix
            Of the names inside, so that they are its own on a page with several.
        alone
            Whether it is a file of its own, which carries its colours by day and by night; else the page has them.
        share
            Of the width of its place on the page; None for a page that takes no style in an element.
        """
        wide, high = number(self.width), number(self.height)
        placed = f'style="--share:{share:.2f}"' if share else ""
        size = f'width="{wide}pt" height="{high}pt"' if alone else placed
        head = (f'<svg xmlns="http://www.w3.org/2000/svg" class="bw" {size} viewBox="0 0 {wide} {high}" role="img" '
                'font-family="DejaVu Sans, sans-serif" font-size="8">')
        said = f"<title>{escape(title, quote=False)}</title>" if title else ""
        said += f"<desc>{escape(description, quote=False)}</desc>" if description else ""
        night = f"@media screen and (prefers-color-scheme:dark){{{class_rules(DARK, self._colours)}}}"
        style = f"<style>{class_rules(LIGHT, self._colours)}{night}</style>" if alone else ""
        kept = f"<defs>{''.join(self._kept.values())}</defs>" if self._kept else ""
        ground = f'<path class="f-sheet" d="M0 0H{wide}V{high}H0z"/>'
        body = kept + ground + "".join(self._shapes)
        if prefix:
            body = body.replace('id="', f'id="{prefix}-').replace("url(#", f"url(#{prefix}-")
        return head + said + style + body + "".join(map(_written, self.words)) + "</svg>\n"


_HATCHES = (
    ('<path LOOK d="M0 3H6"/>', 135), ('<path LOOK d="M0 3H6"/>', 45), ('<circle LOOK cx="3" cy="3" r=".9"/>', 45),
    ('<path LOOK stroke-width=".8" d="M0 3H6M3 0V6"/>', 45), ('<path LOOK d="M0 3H6"/>', 0),
    ('<circle LOOK cx="3" cy="3" r="1.6" opacity=".6"/>', 0),
)  # fmt: skip
"""Patterns: lines rising, lines falling, dots, crosses, level lines, large dots."""


def _written(words: Words) -> str:
    x, y = number(words.x), number(words.y)
    look = [f'class="f-{words.colour}{" halo" if words.halo else ""}"', f'x="{x}" y="{y}"']
    if words.size != 8.0:
        look.append(f'font-size="{number(words.size)}"')
    if words.anchor != "start":
        look.append(f'text-anchor="{words.anchor}"')
    if words.bold:
        look.append('font-weight="bold"')
    if words.turned:
        look.append(f'transform="rotate(-90 {x} {y})"')
    if words.halo:
        look.append('stroke-width="2.4" stroke-linejoin="round" paint-order="stroke"')
    return f'<text {" ".join(look)}>{escape(words.text, quote=False)}</text>'


def joined(pieces: Iterable[Any], closed: bool = True) -> str:
    """Return several outlines as one path."""
    return "".join(path(piece, closed) for piece in pieces)
