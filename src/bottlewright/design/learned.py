"""What flights taught of a rocket: the keys of the table `learned`, and the values that a book of flights hands in."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any, Literal, NamedTuple

from pydantic import Field

from bottlewright.design.fields import Day, Name, Section
from bottlewright.quantities import Quantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "FIRING", "GAUGE", "TOLD_APART", "Change", "Learned", "LearnedKeys", "Taken", "Teacher", "counted_words",
    "learned_from",
]  # fmt: skip

GAUGE = "charge.pressure"
"""What the gauge said. Every pressure of design and verdict is one on the gauge, so nothing learned rewrites it."""

FIRING = "firing "
"""How the name of what was held on a thrust stand begins; a launch is called by its day."""

TOLD_APART: Mapping[str, str] = {
    "model.drag_factor": "drag",
    "nozzle.velocity_coefficient": "speed of the jet",
    "recovery.drag_coefficient": "drag of the canopy",
    "recovery.delay": "time from the trip to taut lines",
    "measured.balance_point": "balance point",
}
"""Values that flights can tell apart, in words: what was learned of them stands in the completed design."""


class LearnedKeys(Section):
    """Whether predictions draw from what flights taught."""

    from_: Annotated[Literal["logbook"] | None, Field(alias="from")] = None  # where it was learned; none: not at all
    confirmed_by: Name | None = None  # who saw old and new lines and takes the new ones, where these are nearer
    confirmed_on: Day | None = None  # such as "2027-03-30"


def _none() -> "NDArray[np.float64]":
    import numpy  # a design that asks for nothing is read without it

    return numpy.empty((0, 0))


@dataclass(frozen=True, eq=False)
class Learned:
    """What is known of the values of a rocket together.

    Parameters
    ----------
    file
        Where it stands, from the folder of the design.
    launches
        Names of those that it rests on.
    paths, shares
        Of the values, and which part of their ± the scores stand for.
    scores
        By how many of its ± each value lies off the design's: draws of equal weight, (draws, values).
    flown
        The design as it flew, by path, as far as it matters: a change takes away from what is known.
    digest
        Short name of all this.
    unread
        Why nothing is known although the design asks for it; empty where it is.
    newer
        Launches that were measured since, and are not in it.
    made
        When it was worked out, such as ``"2027-03-20T15:00:00"``; empty where nobody wrote that down.
    """

    file: str = ""
    launches: tuple[str, ...] = ()
    paths: tuple[str, ...] = ()
    shares: tuple[float, ...] = ()
    scores: "NDArray[np.float64]" = field(default_factory=_none)
    flown: Mapping[str, float | str] | None = None
    digest: str = ""
    unread: str = ""
    newer: tuple[str, ...] = ()
    made: str = ""

    @property
    def rests_on(self) -> str:
        """What it rests on, and how many flights since are not in it, in words."""
        since, words = len(self.newer), f"learned from {counted_words(self.launches)}"
        return f"{words}; {since} newer {'one is' if since == 1 else 'ones are'} not in it" if since else words

    @property
    def sentence(self) -> str:
        """What predictions rest on, as paper and words say it."""
        return f"Predictions are {self.rests_on}."

    @cached_property
    def middles(self) -> list[tuple[float, float]]:
        """Mean and variance of the scores of each value."""
        found = zip(self.scores.mean(axis=0).tolist(), self.scores.var(axis=0).tolist(), strict=True)
        return list(found)


class Change(NamedTuple):
    """Something that is not as it flew: its key, by what part it changed (1 for another word), and what it touches."""

    key: str
    by: float
    touches: str


@dataclass(frozen=True, eq=False)
class Taken:
    """What a design takes on.

    Parameters
    ----------
    learned
        As the book of flights has it.
    worth
        Of each of its values: which share of the score still counts.
    changes
        What was changed since.
    before
        Values of the design that learned ones stand in place of, by path.
    """

    learned: Learned
    worth: tuple[float, ...]
    changes: tuple[Change, ...]
    before: Mapping[str, Quantity] = field(default_factory=dict)

    def middle(self, column: int) -> tuple[float, float]:
        """Return mean and ± of a value's score as it counts for this design."""
        share, (mean, variance) = self.worth[column], self.learned.middles[column]
        return share * mean, math.sqrt(share**2 * variance + 1.0 - share**2)


def counted_words(launches: Sequence[str]) -> str:
    """Return how many launches there are by their names, firings on a stand apart: "4 flights and 1 firing"."""
    firings = sum(one.startswith(FIRING) for one in launches)
    counts = ((len(launches) - firings, "flight"), (firings, "firing"))
    return " and ".join(f"{count} {what}{'' if count == 1 else 's'}" for count, what in counts if count)


Teacher = Callable[[Mapping[str, Any]], Learned | None]
"""Takes the raw tables of a design; None where it asks for nothing."""


def learned_from(tables: Mapping[str, Any], teacher: Teacher | None) -> Learned | None:
    """Return what a design with these raw tables takes on; None where it asks for nothing."""
    keys = tables.get("learned")
    if not isinstance(keys, Mapping) or keys.get("from") != "logbook":
        return None
    if teacher is None:
        return Learned(unread="nobody looked into the logbook beside the design")
    return teacher(tables)
