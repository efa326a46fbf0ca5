"""One variable at a time: what a design foretells when only its water, or only its pressure, is another, and what each
team measured of it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.paths import value_at
from bottlewright.design.taught import flown_as
from bottlewright.flight.batch import fly_many
from bottlewright.flight.findings import limit
from bottlewright.learn.from_the_book import launch_of
from bottlewright.logbook.book import Book
from bottlewright.logbook.export import surest
from bottlewright.logbook.launches import launch_name
from bottlewright.logbook.records import FlightFile

__all__ = ["FLIGHTS", "Foretold", "OneVariable", "Point", "foretold_at", "points_of"]

FLIGHTS = 100
"""Flights at each value: the end of a band is known to some 7 % of its width then."""
_SAME = 0.02
"""Share by which what is to stay the same may differ: our judgement, as close as a class reads a gauge or a jug."""
_HELD = {"water": "pressure", "pressure": "water"}


class Foretold(NamedTuple):
    """What is foretold at one value: eight flights in ten between low and high, m; why nobody flies it, or empty.

    The verdict judges the middle flight; so it has how many flights were drawn, how many of them have less static
    margin than is asked, and the least of them all, calibres.
    """

    value: float
    low: float
    middle: float
    high: float
    barred: str = ""
    flights: int = 0
    swinging: int = 0
    margin: float = math.nan


class Point(NamedTuple):
    """One launch: whose, the value of the variable and the height with its ±, SI; why it does not count, or empty."""

    launch: str
    team: str
    value: float
    height: float
    spread: float
    apart: str


@dataclass(frozen=True)
class OneVariable:
    """A variable against height.

    Parameters
    ----------
    what
        "water" or "pressure".
    foretold
        In the order of the values.
    points
        Of the launches so far.
    """

    what: str
    foretold: Sequence[Foretold]
    points: Sequence[Point]

    @property
    def flown(self) -> list[Foretold]:
        """The values that are offered to be flown."""
        return [one for one in self.foretold if not one.barred]

    @property
    def best(self) -> Foretold:
        """Where the middle is highest, of the values that are offered."""
        return max(self.flown, key=lambda one: one.middle)

    @property
    def counted(self) -> list[Point]:
        """Launches at which only the variable was another."""
        return [one for one in self.points if not one.apart]

    def at(self, value: float) -> Foretold | None:
        """Return what is foretold between two values, by a straight line; None beyond the ends."""
        values = [one.value for one in self.foretold]
        if not values[0] <= value <= values[-1]:
            return None
        low, middle, high = (float(np.interp(value, values, [getattr(one, name) for one in self.foretold]))
                             for name in ("low", "middle", "high"))  # fmt: skip
        return Foretold(value, low, middle, high)

    def inside(self, point: Point) -> bool | None:
        """Say whether a point lies in the band, its ± taken in; None where nothing is foretold."""
        here = self.at(point.value)
        return None if here is None else here.low - point.spread <= point.height <= here.high + point.spread


def foretold_at(designs: Mapping[float, Design], barred: Mapping[float, str]) -> list[Foretold]:
    """Fly each design, and return what is foretold of it; one that makes no flight is left out.

    Parameters
    ----------
    designs
        Completed, by the value of the variable.
    barred
        Why nobody flies a value, of those that are shown and not offered.
    """
    found, asked = [], limit("margin_least").value
    for value, design in sorted(designs.items()):
        flights = fly_many(design, FLIGHTS)
        low, middle, high = (float(one) for one in np.nanquantile(flights["apogee_m"], (0.1, 0.5, 0.9)))
        margins = flights["static_margin_min_calibres"]
        if np.isfinite(middle):
            found.append(Foretold(value, low, middle, high, barred.get(value, ""), len(margins),
                                  int((~(margins >= asked)).sum()), float(np.fmin.reduce(margins))))  # fmt: skip
    return found


def points_of(book: Book, design: Design, what: str) -> list[Point]:
    """Return the launches of a rocket whose height was measured, the earliest first.

    Parameters
    ----------
    design
        Completed: what all launches are to have but for the variable.
    what
        The variable.
    """
    flights = [FlightFile.model_validate(one) for one in book.flights.values() if one.get("rocket") == design.name]
    wanted = flown_as(design, ())
    found = []
    for flight in sorted(flights, key=lambda one: (one.day, one.number, one.entry)):
        height = surest(flight, "height")
        if height is None:
            continue
        try:
            flown = launch_of(flight).design
        except DesignError:
            continue  # `learn` says why it can't be read
        value, held, other = (value_at(one, f"charge.{key}") for one, key in (
            (flown, what), (design, _HELD[what]), (flown, _HELD[what])))  # fmt: skip
        apart = [] if abs(other.value - held.value) <= _SAME * held.value else [f"{_HELD[what]}, {other.text}"]
        was = flown_as(flown, ())
        apart += [key for key in sorted(was.keys() | wanted.keys()) if was.get(key) != wanted.get(key)]
        found.append(Point(launch_name(flight), flight.team or "", value.value, height[0].value,
                           height[0].spread or 0.05 * height[0].value,
                           f"another {' and '.join(apart[:2])}" if apart else ""))  # fmt: skip
    return found
