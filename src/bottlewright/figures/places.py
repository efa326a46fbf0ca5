"""Places for words where they cover nothing: the first that costs least."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.letters import ASCENT, DESCENT, Box, width
from bottlewright.figures.sheet import Sheet, Words

__all__ = ["Places", "Taken", "evenly", "rows_needed"]

Floats = NDArray[np.float64]


class Taken:
    """Places that are taken already."""

    def __init__(self) -> None:
        self.taken: list[Box] = []

    def take(self, place: Box) -> None:
        """Keep words off a place."""
        self.taken.append(place)


class Places(Taken):
    """The places that are taken on a part of a sheet.

    Parameters
    ----------
    room
        Where words may stand.
    lines
        Points of lines that words should not cross.
    """

    def __init__(self, room: Box, lines: Iterable[Any] = ()) -> None:
        super().__init__()
        self.room = room
        rows = [np.asarray(one, float) for one in lines]
        self.points = np.concatenate([np.empty((0, 2)), *map(evenly, rows)])

    def cost(self, place: Box) -> float:
        """Return how bad a place is: what it covers weighs most, then what lies outside, then lines crossed."""
        room = self.room
        covered = sum(place.meets(other) for other in self.taken)
        area = (place.right - place.left) * (place.bottom - place.top)
        outside = area - place.meets(room)
        x, y = self.points.T
        crossed = int(np.count_nonzero((x > place.left) & (x < place.right) & (y > place.top) & (y < place.bottom)))
        return 20.0 * covered + 40.0 * outside + 6.0 * min(crossed, 20)

    def free(self, place: Box) -> bool:
        """Return whether a place covers nothing that is taken, nearly."""
        area = (place.right - place.left) * (place.bottom - place.top)
        return sum(place.meets(other) for other in self.taken) < 0.02 * area

    def put(self, sheet: Sheet, choices: Sequence[Words]) -> Words:
        """Write the choice that costs least, and take its place."""
        best = min(choices, key=lambda one: self.cost(one.box))
        self.take(best.box)
        sheet.write(best)
        return best

    def beside(self, sheet: Sheet, text: str, x: float, y: float, gap: float = 6.0, **look: Any) -> Words:
        """Write words beside a place: on that side where they cover least, further off if need be."""
        size = float(look.get("size", 8.0))
        wide, up, down = width(text, size, bool(look.get("bold"))), ASCENT * size, DESCENT * size
        choices = []
        for far in (gap, gap + 1.4 * size, gap + 2.8 * size, gap + 4.2 * size):
            for dx, dy in ((1, -1), (1, 1), (-1, -1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1)):
                left = x + far if dx > 0 else x - far - wide if dx < 0 else x - 0.5 * wide
                off = 0.5 * far if dx else far
                foot = y - off - down if dy < 0 else y + off + up if dy > 0 else y + 0.5 * (up - down)
                left = min(max(left, self.room.left), max(self.room.right - wide, self.room.left))
                choices.append(Words(text, left, foot, **look))
        return self.put(sheet, choices)


def evenly(points: Floats, count: int = 0) -> Floats:
    """Return places along a line, even steps apart: so many, or 2 points apart, so that no words slip between."""
    if len(points) < 2:
        return points.reshape(-1, 2)
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(np.nan_to_num(steps))])
    at = np.linspace(0.0, along[-1], count or min(int(along[-1] / 2.0) + 2, 4000))
    return np.column_stack([np.interp(at, along, points[:, k]) for k in (0, 1)])


def rows_needed(words: Sequence[tuple[float, float]], gap: float = 6.0) -> list[int]:
    """Return the row of each stretch (start, end), given from left to right, so that none touches another."""
    ends, rows = list[float](), list[int]()
    for start, end in words:
        row = next((k for k, taken in enumerate(ends) if taken + gap <= start), len(ends))
        ends[row : row + 1] = [end]
        rows.append(row)
    return rows
