"""Chances too small to count: an upper bound that rests on how the landings thin out, one kind of return at a time.

Counting 4000 flights can say "under 0.1 %", never "under 0.001 %". The rest has to come from the shape of the tail, and
we ask one thing of it: within one kind of return (under the canopy, canopy stuck, a fin lost …) the landings thin out
outwards at least as fast as they did before. In words of statistics: their density in the plane is log-concave, as the
normal, the uniform and the exponential are. Then, for every concave measure T of a place (how far along a bearing, how
near to a person), the chance S(t) of T ≥ t is log-concave too (Prékopa, Acta Sci. Math. 34 (1973) 335; original
not checked), so its logarithm lies under every chord that is drawn on beyond its outer end.

The chord runs between two order statistics of the sample, and how surely it is known is exact whatever the law: of n
flights, S at the k-th largest is Beta(k, n − k + 1), and S at the j-th over S at the k-th is Beta(j, k − j), apart from
it (Rényi, Acta Math. Acad. Sci. Hung. 4 (1953) 191; original not checked). Several chords and the plain
count (Clopper and Pearson) are drawn and the lowest counts, each held to its part of the doubt (Bonferroni).

A tail that is fatter than exponential breaks the assumption. The gaps between the furthest flights tell: divided by
what an exponential's would be, the outer gaps must not be wider than the inner ones (an F test at 1 in 1000). If they
are, the answer is called not settled.
"""

from collections.abc import Callable, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv, fdtrc

__all__ = ["DOUBT", "Bound", "Floats", "Measure", "Stratum", "flights_to_count", "is_fat", "tail_bound"]

Floats = NDArray[np.float64]
Measure = Callable[[Floats], Floats]
"""Concave function of a place: rows of metres to numbers, larger where it is worse."""

DOUBT = 0.05
SHARES = (0.3, 0.1, 0.03)
"""Share of the sample beyond the inner end of each chord."""
OUTER = 0.2
"""Of the flights beyond the inner end, the share beyond the outer end."""
FEWEST = 5
"""Flights beyond the outer end, at least; with fewer no chord is drawn."""
FAT = 1e-3
"""Chance that gaps as wide as these come of a tail no fatter than exponential, below which it is called fat."""


class Stratum(NamedTuple):
    """One kind of return: its odds, where flights of it came down, and what it is called."""

    odds: float
    landings: Floats
    name: str = ""


class Tail(NamedTuple):
    """A chord: ranks of its outer and inner end, and the upper bounds of S at the inner end and of their ratio."""

    outer: int
    inner: int
    beyond: float
    ratio: float


@cache
def _chords(flights: int, doubt: float) -> tuple[float, tuple[Tail, ...]]:
    """Return the doubt left for the count, and the chords that so many flights allow."""
    ranks = [(int(flights * share * OUTER), int(flights * share)) for share in SHARES]
    ranks = [(outer, inner) for outer, inner in ranks if outer >= FEWEST]
    part = doubt / (len(ranks) + 1)
    chords = tuple(
        Tail(outer, inner, float(betaincinv(inner, flights - inner + 1, 1.0 - part / 2.0)),
             float(betaincinv(outer, inner - outer, 1.0 - part / 2.0)))
        for outer, inner in ranks
    )  # fmt: skip
    return part, chords


def tail_bound(values: Floats, at: float, doubt: float = DOUBT) -> float:
    """Return the upper bound of the chance that a measure reaches `at`.

    Parameters
    ----------
    values
        The measure of each flight of one kind of return, largest first.
    at
        Value to reach.
    doubt
        Chance that the bound is too low, at most, if the assumption holds.
    """
    flights = len(values)
    if flights == 0:
        return 1.0
    part, chords = _chords(flights, doubt)
    hits = int(np.searchsorted(-values, -at, side="right"))
    bound = float(betaincinv(hits + 1, flights - hits, 1.0 - part)) if hits < flights else 1.0
    for chord in chords:
        outer, inner = float(values[chord.outer - 1]), float(values[chord.inner - 1])
        if outer > inner and at >= outer:
            bound = min(bound, chord.beyond * chord.ratio ** (1.0 + (at - outer) / (outer - inner)))
    return bound


def is_fat(values: Floats) -> bool:
    """Say whether the furthest flights lie further apart than a tail no fatter than exponential would have them.

    Parameters
    ----------
    values
        As in `tail_bound`.
    """
    _, chords = _chords(len(values), DOUBT)
    for chord in chords:
        gaps = np.arange(1, chord.inner) * -np.diff(values[: chord.inner])
        outer, inner = float(gaps[: chord.outer].mean()), float(gaps[chord.outer :].mean())
        if inner <= 0.0:
            continue
        if fdtrc(2 * chord.outer, 2 * (chord.inner - 1 - chord.outer), outer / inner) < FAT / len(chords):
            return True
    return False


class Bound:
    """Strata under one measure: the bound of the whole at any value, each stratum held to its part of the doubt."""

    def __init__(self, strata: Sequence[Stratum], measure: Measure) -> None:
        self._parts = [(one.odds, np.sort(measure(one.landings))[::-1]) for one in strata if one.odds > 0.0]

    def at(self, value: float, doubt: float = DOUBT) -> float:
        """Return the upper bound of the chance, a flight, that the measure reaches a value."""
        part = doubt / len(self._parts)
        return min(sum(odds * tail_bound(values, value, part) for odds, values in self._parts), 1.0)

    def fat(self, allowed: float) -> bool:
        """Say whether a stratum whose odds pass an accepted chance has a fat tail."""
        return any(is_fat(values) for odds, values in self._parts if odds > allowed)

    def furthest(self, allowed: float) -> float | None:
        """Return the least value that at most an accepted share of flights reaches; None where no value is known."""
        low = min(float(values[-1]) for _, values in self._parts if len(values))
        high = max(float(values[0]) for _, values in self._parts if len(values)) + 1.0
        reach = high
        while self.at(high) > allowed:
            high += 2.0 * (high - low)
            if high - reach > 1e5:
                return None
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self.at(middle) <= allowed else (middle, high)
        return high


def flights_to_count(strata: Sequence[Stratum], allowed: float) -> int:
    """Return how many flights could count an accepted chance with no assumption about the tail.

    Each stratum needs so many without a hit that the upper bound of its share of the chance stays within its part.
    """
    live = [one for one in strata if one.odds > 0.0]
    doubt, part = DOUBT / max(len(live), 1), allowed / max(len(live), 1)
    return int(sum(max(np.ceil(np.log(doubt) / np.log1p(-min(part / one.odds, 0.5))), 1.0) for one in live))
