"""A chance counted from flights, with the interval that counting leaves open."""

from typing import NamedTuple

from scipy.special import betaincinv

from bottlewright.design.unit_text import percent

__all__ = ["Chance", "Standing", "chance", "standing"]


class Chance(NamedTuple):
    """Share of flights in which a thing happened, and the interval in which the true chance lies."""

    value: float
    low: float
    high: float
    hits: int
    flights: int

    def __str__(self) -> str:
        if self.hits == 0:
            return f"under {percent(self.most)} (0 of {self.flights} flights)"
        return f"{percent(self.value)} ({self.hits} of {self.flights} flights; {self.span})"

    @property
    def span(self) -> str:
        """The interval in words."""
        return f"between {percent(self.low)} and {percent(self.most)}"

    @property
    def most(self) -> float:
        """The upper end as it is told: none under one in a million, which no model of ours can vouch for."""
        return max(self.high, 1e-6)


def chance(hits: int, flights: int, confidence: float = 0.95) -> Chance:
    """Estimate a chance from a count, with the exact interval.

    The interval is Clopper and Pearson's: its coverage is never below `confidence`, also at 0 hits, which is where a
    launch site is usually judged (Clopper and Pearson, Biometrika 26 (1934) 404).

    Parameters
    ----------
    hits, flights
        Flights in which it happened, and flights in all.
    confidence
        Share of such intervals that hold the true chance, at least.
    """
    if not 0 <= hits <= flights or flights < 1:
        raise ValueError(f"{hits} of {flights} flights is no count")
    tail = (1.0 - confidence) / 2.0
    low = float(betaincinv(hits, flights - hits + 1, tail)) if hits > 0 else 0.0
    high = float(betaincinv(hits + 1, flights - hits, 1.0 - tail)) if hits < flights else 1.0
    return Chance(hits / flights, low, high, hits, flights)


class Standing(NamedTuple):
    """How a chance stands against the accepted one: `within`, `over`, or neither when the flights don't settle it."""

    within: bool
    over: bool


def standing(seen: Chance, allowed: float) -> Standing:
    """Compare the whole interval with the accepted chance, so that few flights can't pass for a good result."""
    return Standing(within=seen.high <= allowed, over=seen.low > allowed)
