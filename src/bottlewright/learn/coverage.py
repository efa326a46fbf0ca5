"""How often measurements fell inside the bands that were foretold before each launch: the program's own honesty.

A prediction keeps its middle and the ends beyond which one flight in ten lies on either side. Between them a normal
density is taken, on each side with its own width, and a measurement's ± widens it: somebody who reads a stopwatch to
0.3 s can't hit a band of 0.1 s each time.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from scipy.special import bdtr

from bottlewright.logbook.compared import FOR_A_BAND, compared, otherwise
from bottlewright.logbook.records import FlightFile

__all__ = ["Coverage", "coverage"]

_HALF, _MOST = 0.6745, 1.6449
"""Standard deviations from the middle within which a half and nine tenths of a normal density lie."""
_FEW = 5
"""Fewer flights than this are too few to judge the bands by: with five, one in a hundred thousand honest bands of nine
in ten misses all, and three hits or fewer come one time in twelve."""
_SELDOM = 0.05
"""Chance of so few hits of an honest band, under which the band is called too narrow."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """One quantity: how many of its measurements lay inside the bands of a half and of nine in ten.

    Parameters
    ----------
    called
        In words.
    count, half, most
        Flights that were foretold and measured, and how many of them lay inside each band.
    """

    called: str
    count: int
    half: int
    most: int

    @property
    def narrow(self) -> bool:
        """Whether so few hits would be rare if the bands were honest."""
        seldom = min(float(bdtr(self.most, self.count, 0.9)), float(bdtr(self.half, self.count, 0.5)))
        return self.count >= _FEW and seldom < _SELDOM

    @property
    def sentence(self) -> str:
        """All of it in words, with a judgement where it allows one."""
        words = (f"{self.called[:1].upper()}{self.called[1:]}: {self.half} of {self.count} inside the band of a half, "
                 f"{self.most} of {self.count} inside the band of nine in ten")  # fmt: skip
        if self.count < _FEW:
            return f"{words}; too few to judge the bands by."
        if self.narrow:
            return f"{words}. The bands were too narrow: take the next ones as wider than they look."
        return f"{words}; nothing speaks against the bands."


def coverage(flights: Iterable[FlightFile]) -> tuple[list[Coverage], int]:
    """Return how honest the predictions were, per quantity, and how many launches flew otherwise than foretold.

    A launch with another load or wind than it was foretold with tells nothing of the prediction, and is left out.
    """
    found: dict[str, list[float]] = {}
    apart = 0
    for flight in flights:
        rows = [one for one in compared(flight) if one.measured is not None]
        if rows and otherwise(flight):
            apart += 1
            continue
        for one in rows:
            gap = (one.measured or 0.0) - one.middle
            side = (one.high - one.middle if gap > 0.0 else one.middle - one.low) / FOR_A_BAND
            wide = math.hypot(side, one.spread)
            found.setdefault(one.called, []).append(abs(gap) / wide if wide > 0.0 else math.inf)
    return [Coverage(called, len(off), sum(one <= _HALF for one in off), sum(one <= _MOST for one in off))
            for called, off in found.items()], apart  # fmt: skip
