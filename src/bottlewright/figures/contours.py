"""A surface over two scales: shaded ground, lines of equal height with their values, and ground beyond a limit."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import DASHES
from bottlewright.figures.panel import SMALL, Panel
from bottlewright.figures.places import Places, evenly
from bottlewright.figures.sheet import Words, joined
from bottlewright.figures.simpler import simpler

__all__ = ["beyond_limit", "contour_lines", "ground", "heights_of", "name_levels", "surface"]

Floats = NDArray[np.float64]


def surface(x: Floats, y: Floats, z: Floats) -> Any:
    """Return a surface for `ground` and `contour_lines`, its values in rows by y."""
    from contourpy import FillType, LineType, contour_generator

    return contour_generator(x, y, z, fill_type=FillType.OuterOffset, line_type=LineType.Separate)


def ground(over: Any, low: float, high: float) -> Iterator[Floats]:
    """Yield the outlines, outer and inner, of the ground on which a surface lies between two values."""
    for points, offsets in zip(*over.filled(low, high), strict=True):
        for start, end in pairwise(offsets):
            yield np.asarray(points[start:end], float)


def contour_lines(over: Any, level: float) -> list[Floats]:
    """Return the lines along which a surface has a value."""
    return [np.asarray(one, float) for one in over.lines(level)]


def heights_of(
    panel: Panel, over: Any, levels: Sequence[float], colour: str, deepest: float = 0.4
) -> list[tuple[float, Floats]]:
    """Draw the ground darker the higher it lies, and a line at each level; return the lines in points.

    Parameters
    ----------
    over
        A `surface`.
    deepest
        How much ink the highest ground takes, 0 to 1.
    """
    each = 1.0 - (1.0 - deepest) ** (1.0 / max(len(levels), 1))
    drawn = list[tuple[float, Floats]]()
    for level in levels:
        rings = [simpler(panel.at(*ring.T)) for ring in ground(over, level, np.inf)]
        panel.sheet.shape(joined(rings), "", colour, opacity=each, part=f"over {level:g}")
    for level in levels:
        rows = [simpler(panel.at(*line.T)) for line in contour_lines(over, level)]
        panel.sheet.shape(joined(rows, closed=False), colour, thick=0.9, part=f"at {level:g}")
        drawn += [(level, row) for row in rows]
    return drawn


def name_levels(panel: Panel, places: Places, drawn: Sequence[tuple[float, Floats]], unit: str) -> None:
    """Write the value of each level once on its longest line, where it covers no other words; else leave it out."""
    for level in dict.fromkeys(level for level, _ in drawn):
        row = evenly(max((row for at, row in drawn if at == level), key=len), 24)
        text = f"{level:g} {unit}"
        spots = row[2:-2]
        choices = [Words(text, x, y + 0.36 * SMALL, SMALL, "teal", "middle", halo=True) for x, y in spots.tolist()]
        free = [one for one in choices if places.free(one.box)]
        if free:
            places.put(panel.sheet, free)


def beyond_limit(panel: Panel, slack: Any, colour: str, number: int, part: str) -> None:
    """Hatch the ground on which a surface of slack is under nothing, and draw its edge."""
    rings = [simpler(panel.at(*ring.T)) for ring in ground(slack, -np.inf, 0.0)]
    panel.sheet.shape(joined(rings), "", colour, hatch=number % 4, part=f"beyond {part}")
    rows = [simpler(panel.at(*line.T)) for line in contour_lines(slack, 0.0)]
    panel.sheet.shape(joined(rows, closed=False), colour, thick=1.8, dash=DASHES[(number + 1) % len(DASHES)],
                      part=f"edge of {part}")  # fmt: skip
