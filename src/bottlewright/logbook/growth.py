"""How a bottle's diameter grows from test to test: a straight line through what was measured, with its ±.

A line alone judges nothing: what may grow, and what ends a bottle, is the verdict's (`bottlewright.proof`).
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import cycles_by

__all__ = ["CALIPER_OFF", "Growth", "Width", "growth_of"]

CALIPER_OFF = 0.2e-3
"""How far a diameter without a ± of its own may easily be off, m: a soft wall between a caliper's jaws. Our
judgement."""


class Width(NamedTuple):
    """A diameter without pressure, m, its ±, and after how many times under pressure it was read."""

    cycles: int
    value: float
    spread: float


@dataclass(frozen=True)
class Growth:
    """What the diameters say.

    Parameters
    ----------
    widths
        The earliest first.
    each, u_each
        By how much it grows each time under pressure, m, by weighted least squares, and the ± of that.
    """

    widths: tuple[Width, ...]
    each: float
    u_each: float

    @property
    def says(self) -> str:
        """One sentence: grows, does not, or nobody can tell yet."""
        ten, u_ten = 1e4 * self.each, 1e4 * self.u_each
        told = f"{ten:+.2f} mm ± {u_ten:.2f} mm in ten times under pressure, by {len(self.widths)} diameters"
        if abs(self.each) <= 2.0 * self.u_each:
            return f"whether its diameter changes can't be told yet: {told}"
        return f"its diameter {'grows' if self.each > 0.0 else 'shrinks'}: {told}"


def growth_of(vessel: VesselFile) -> Growth | None:
    """Return how a bottle's diameter grew over its tests; None with fewer than two diameters at different counts."""
    widths = []
    for test in vessel.test:
        after = cycles_by(vessel, test.at)
        for read, count in ((test.diameter_before, after - 1), (test.diameter_after, after)):
            if read is not None:
                widths.append(Width(count, read.value, read.spread or CALIPER_OFF))
    if len({one.cycles for one in widths}) < 2:
        return None
    widths.sort()
    cycles, value, spread = np.array(widths, float).T
    weight = spread**-2
    apart = cycles - np.average(cycles, weights=weight)
    squares = float(weight @ apart**2)
    return Growth(tuple(widths), float(weight @ (apart * value)) / squares, 1.0 / math.sqrt(squares))
