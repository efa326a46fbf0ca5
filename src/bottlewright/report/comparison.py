"""Figures of the comparison with the world outside: a measured record under a computed one, and many checks at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import DASHES, SERIES
from bottlewright.figures.key import draw_key, key_height, line_entry
from bottlewright.figures.letters import Box
from bottlewright.figures.panel import HEAD, LETTER, Axis, Panel, left_room, reach
from bottlewright.figures.sheet import MM, Sheet, path
from bottlewright.report.style import FULL_WIDTH

__all__ = ["Check", "deviation_chart", "overlay_chart"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Check:
    """One value of ours beside one from outside, and how far apart they may be."""

    name: str
    ours: float
    theirs: float
    tolerance: float

    @property
    def deviation(self) -> float:
        """Ours less theirs, in parts of the tolerance."""
        return (self.ours - self.theirs) / self.tolerance

    @property
    def holds(self) -> bool:
        """Whether ours lies within the tolerance."""
        return abs(self.deviation) <= 1.0


def deviation_chart(checks: Sequence[Check]) -> Sheet:
    """Draw each check as a dot: how far ours lies from theirs, in parts of the tolerance; misses are crosses.

    A miss that would leave the picture stands at its edge, its size in words.
    """
    edge, count = 2.2, len(checks)
    sheet = Sheet(FULL_WIDTH, 18.0 + 5.2 * count)
    y = Axis(-0.5, count - 0.5, named=[(count - 1.0 - row, check.name) for row, check in enumerate(checks)])
    x = Axis(-edge - 0.2, edge + 0.2, "ours less theirs, in tolerances; shaded: within")
    left = 8.0 + left_room(y, 100.0)
    panel = Panel(sheet, Box(left, 8.0, sheet.width - 10.0, sheet.height - 3.4 * LETTER - 6.0), x, y)
    panel.block((-1.0, 1.0), (y.low, y.high), "wash")
    panel.scales(y_grid=False)
    panel.upright(0.0, "ink", 0.8)
    for row, check in enumerate(checks):
        at, place = float(np.clip(check.deviation, -edge, edge)), count - 1.0 - row
        colour, shape = ("teal", "o") if check.holds else ("orange", "x")
        sheet.shape(path(panel.at([0.0, at], [place, place])), colour)
        panel.mark(at, place, shape, 5.5, colour, part=check.name)
        if not check.holds:
            side = -1.0 if at > 0 else 1.0
            sheet.write(panel.words(f"miss: {check.deviation:+.1f}", at, place, 7.0 * side, -3.0, size=7.0,
                                    colour="orange", anchor="end" if side < 0 else "start"))  # fmt: skip
    return sheet


def overlay_chart(
    measured: tuple[Floats, Floats], computed: Mapping[str, tuple[Floats, Floats]], title: str, x_label: str
) -> Sheet:
    """Draw a measured record in grey and computed ones over it, each with a pattern of its own.

    Parameters
    ----------
    measured
        Abscissa and ordinate of the record.
    computed
        The same by name of the model.
    title, x_label
        What is drawn, with its unit; what it is drawn against, with its unit.
    """
    lines = [measured, *computed.values()]
    sheet = Sheet(FULL_WIDTH, 82.0)
    entries = [line_entry("measured", "soft", 2.6),
               *(line_entry(name, SERIES[number], dash=DASHES[number]) for number, name in enumerate(computed))]
    low, high = reach(*(y for _, y in lines))
    pad = 0.05 * (high - low)
    x, y = Axis(*reach(*(x for x, _ in lines)), x_label), Axis(low - pad, high + pad)
    left, wide = 8.0 + left_room(y, 160.0), FULL_WIDTH * MM - 20.0
    foot = key_height(entries, wide) + 3.4 * LETTER + 10.0
    panel = Panel(sheet, Box(left, 8.0 + 1.6 * HEAD, sheet.width - 12.0, sheet.height - foot), x, y)
    panel.scales()
    panel.title(title)
    panel.line(*measured, "soft", 0, 2.6, part="measured")
    for number, (name, (at, value)) in enumerate(computed.items()):
        panel.line(at, value, SERIES[number], number, part=name)
    draw_key(sheet, entries, left, panel.box.bottom + 3.4 * LETTER + 2.0, wide)
    return sheet
