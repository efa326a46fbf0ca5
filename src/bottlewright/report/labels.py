"""Words on a drawing: each beside its place where it covers no other, with a halo of the sheet round it."""

from collections.abc import Sequence
from html import escape

from bottlewright.figures.colours import LIGHT
from bottlewright.figures.letters import Box, width
from bottlewright.figures.places import Taken

__all__ = ["Labels", "shape_path", "svg_words"]


class Labels(Taken):
    """The words of one drawing and the places they have taken.

    Parameters
    ----------
    width, height, size
        Of the drawing and of its letters, pixels.
    """

    def __init__(self, width: float, height: float, size: float) -> None:
        super().__init__()
        self.width, self.height, self.size = width, height, size
        self.waiting: list[tuple[str, Sequence[tuple[float, float]], str, bool, float]] = []
        self.written: list[tuple[str, float, float, str, bool]] = []
        self.leaders: list[tuple[float, float, float, float]] = []

    def fixed(self, text: str, x: float, y: float, colour: str = LIGHT["ink"], bold: bool = False) -> None:
        """Write words with their foot at a place."""
        self.take(Box(x, y - self.size, x + self._wide(text), y + 0.25 * self.size))
        self.written.append((text, x, y, colour, bold))

    def write(
        self, text: str, spots: Sequence[tuple[float, float]], colour: str, bold: bool = False, clear: float = 5.0
    ) -> None:
        """Write words beside the first of some places that leaves room; `clear` pixels stay free round it."""
        self.waiting.append((text, spots, colour, bold, clear))

    def settle(self) -> None:
        """Find a place for all words that wait, in their order; a line leads to what has to stand further off."""
        for text, spots, colour, bold, clear in self.waiting:
            places = [(place, spot) for far in (0.0, 1.3, 2.6, 3.9) for spot in spots
                      for place in self._round(self._wide(text, bold), *spot, clear + far * self.size)]
            best, spot = min(places, key=lambda one: self._cost(one[0]))  # the first of those that cost least
            self.take(best)
            self.written.append((text, best.left, best.bottom - 0.25 * self.size, colour, bold))
            self._lead(best, *spot, clear)
        self.waiting.clear()

    def _lead(self, place: Box, x: float, y: float, clear: float) -> None:
        near_x, near_y = min(max(x, place.left), place.right), min(max(y, place.top + 2.0), place.bottom - 2.0)
        if abs(near_x - x) + abs(near_y - y) > clear + 0.8 * self.size:
            self.leaders.append((x, y, near_x, near_y))

    def _wide(self, text: str, bold: bool = False) -> float:
        return width(text, self.size, bold) + 0.3 * self.size

    def _round(self, wide: float, x: float, y: float, clear: float) -> list[Box]:
        """Return the boxes right, left, above and below a place and between those, pushed into the sheet."""
        high = 1.25 * self.size
        corners = [(x + clear, y - 0.5 * high), (x - clear - wide, y - 0.5 * high), (x - 0.5 * wide, y - clear - high),
                   (x - 0.5 * wide, y + clear), (x + clear, y + clear), (x - clear - wide, y + clear),
                   (x + clear, y - clear - high), (x - clear - wide, y - clear - high)]
        inside = [(min(max(left, 3.0), max(self.width - wide - 3.0, 3.0)),
                   min(max(top, 3.0), self.height - high - 3.0)) for left, top in corners]
        return [Box(left, top, left + wide, top + high) for left, top in inside]

    def _cost(self, place: Box) -> float:
        return sum(place.meets(other) for other in self.taken)


def svg_words(labels: Labels) -> str:
    """Return all words as SVG, with the lines that lead to their places."""
    labels.settle()
    lines = "".join(f"M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}" for x, y, to_x, to_y in labels.leaders)
    leaders = f'<path d="{lines}" stroke="{LIGHT["ink"]}" stroke-width="0.8"/>' if lines else ""
    return leaders + "".join(
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{labels.size:g}" font-family="DejaVu Sans, sans-serif" '
        f'fill="{colour}" stroke="{LIGHT["sheet"]}" stroke-width="3" paint-order="stroke" stroke-linejoin="round"'
        f' font-weight="{"bold" if bold else "normal"}">{escape(text)}</text>'
        for text, x, y, colour, bold in labels.written
    )


def shape_path(rings: Sequence[Sequence[tuple[float, float]]], **look: str) -> str:
    """Return closed outlines as one SVG path; `stroke_width` becomes ``stroke-width``."""
    d = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + "z" for ring in rings)
    attributes = " ".join(f'{key.replace("_", "-")}="{value}"' for key, value in look.items())
    return f'<path d="{d}" fill-rule="evenodd" {attributes}/>'
