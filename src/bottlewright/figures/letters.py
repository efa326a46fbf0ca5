"""How wide words are, by the advance widths of DejaVu Sans, so that they can be laid out without drawing them.

The page sets figures in the reader's own typeface, which is narrower than this one.
"""

import json
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import NamedTuple

__all__ = ["ASCENT", "DESCENT", "Box", "width"]

ASCENT, DESCENT = 0.76, 0.24
"""How far letters reach over and under the line they stand on, in parts of their size."""

_UNKNOWN = 1.0
"""Width of a letter that the table lacks, in parts of its size: no letter in use is wider."""


class Box(NamedTuple):
    """A rectangle; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> float:
        """Return the area that the two share."""
        if self.right <= other.left or other.right <= self.left or self.bottom <= other.top or other.bottom <= self.top:
            return 0.0
        wide = min(self.right, other.right) - max(self.left, other.left)
        return wide * (min(self.bottom, other.bottom) - max(self.top, other.top))


@cache
def _advances(bold: bool) -> dict[str, float]:
    table = json.loads((files("bottlewright.figures") / "data" / "advances.json").read_text(encoding="utf-8"))

    def each() -> Iterator[tuple[str, float]]:
        for advance, letters in table["bold" if bold else "plain"].items():
            for letter in letters:
                yield letter, int(advance) / table["per_em"]

    return dict(each())


def width(text: str, size: float, bold: bool = False) -> float:
    """Return how wide a line of words is, in the unit of its letters' size."""
    advances = _advances(bold)
    return size * sum(advances.get(letter, _UNKNOWN) for letter in text)
