"""Heights of several flights against time in one chart, each line with its name at its highest point."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.colours import SERIES
from bottlewright.figures.letters import Box
from bottlewright.figures.panel import LETTER, Axis, Panel, left_room, reach
from bottlewright.figures.sheet import Sheet
from bottlewright.report.style import NARROW

__all__ = ["heights_chart"]

Floats = NDArray[np.float64]
_MOST = 24
"""Letters of a name that stand at its line."""


def heights_chart(flights: Sequence[tuple[str, Floats, Floats]], feet: bool, width: float) -> Sheet:
    """Draw height against time.

    Parameters
    ----------
    flights
        Name, time in s and height in m of each.
    feet
        Whether the builder reads feet.
    """
    sheet = Sheet(width, 0.7 * width if width <= NARROW else 0.5 * width)
    top = reach(*(height for _, _, height in flights))[1]
    end = reach(*(time for _, time, _ in flights))[1]
    unit = 0.3048 if feet else 1.0
    x, y = Axis(0.0, end, "s after release"), Axis(0.0, 1.16 * top, f"height, {'ft' if feet else 'm'}", unit)
    left = 8.0 + left_room(y, 120.0)
    panel = Panel(sheet, Box(left, 10.0, sheet.width - 10.0, sheet.height - 3.4 * LETTER - 4.0), x, y)
    panel.scales()
    for number, (name, time, height) in enumerate(flights):
        panel.line(time, height, SERIES[number], number, 1.6, part=name)
    taken: list[Box] = []
    for number, (name, time, height) in sorted(enumerate(flights), key=lambda one: -np.nanmax(one[1][2])):
        peak = int(np.nanargmax(height))
        said = panel.words(name if len(name) <= _MOST else f"{name[:_MOST]} …", float(time[peak]), float(height[peak]),
                           4.0, -4.0, size=LETTER, colour=SERIES[number], bold=True, halo=True)  # fmt: skip
        while any(said.box.meets(other) for other in taken):
            said = said._replace(y=said.y + 1.3 * LETTER)
        taken.append(said.box)
        sheet.write(said)
    return sheet
