"""From a fit's answer to draws of all values together, as the next prediction takes them.

The fit asks for a few values by name and follows the others by their slopes. A bottle with a thin and soft wall
stretches far more than slopes say, so each draw is flown once more with all its values, at every launch, and weighed by
how well it then fits what was measured (importance, as in `inference`).

What the model misses at all launches alike is there at the next one too, and the flights tell of it together with the
values: a prediction that draws the values alone would count as doubt what was measured. What it misses at one launch by
itself is drawn anew. The flight engine knows values only. So it gets the smallest change of them, counted in their ±,
that does what the miss does (least squares with a light ridge).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bottlewright.learn.inference import ENOUGH, Posterior, alike

__all__ = ["Drawn", "Split", "as_values", "drawn_whole"]

Floats = NDArray[np.float64]

_LIGHT = 0.2
"""Ridge, in parts of a miss. With one as heavy as the miss itself values did an eighth less than it, and the band of
the next time in the air held 87 flights in 100 in place of 90; with none, values that hardly move a reading would be
bent by many ± for it."""


@dataclass(frozen=True)
class Split:
    """How the unknowns of a fit are held: some asked for, the rest along common directions.

    Parameters
    ----------
    asked, rest
        Columns of all values.
    ways
        The directions, in the rest and in what is missed alike, (rest and kinds, q).
    """

    asked: Sequence[int]
    rest: Sequence[int]
    ways: Floats


@dataclass(frozen=True)
class Drawn:
    """Draws of equal weight.

    Parameters
    ----------
    scores
        Of all values, (m, values).
    missed
        Of what the model misses alike, by kind of reading, standard normal before any flight, (m, kinds).
    share
        How many of the draws counted once all was flown, 0 to 1.
    """

    scores: Floats
    missed: Floats
    share: float

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said about it."""
        words = (f"only {self.share:.0%} of the draws fit once all their values are flown: take the next prediction as "
                 "a rough one")  # fmt: skip
        return () if self.share >= ENOUGH else (words,)


def drawn_whole(
    posterior: Posterior, split: Split, flown: Callable[[Floats], Floats], likely: Callable[[Floats], Floats],
    missed: Floats, seed: int,
) -> Drawn:  # fmt: skip
    """Return draws of all values.

    Parameters
    ----------
    posterior
        The fit's answer.
    flown
        From scores of all values (m, values) to readings (m, k), by the engine.
    likely
        From readings to the log of how likely the measurements are, (m,).
    missed
        By how much each reading moves with one ± of what is missed alike, (k, kinds).
    """
    count = len(posterior.draws) // 2
    chosen = alike(posterior.weights, count, seed)
    drawn, by_slopes = posterior.draws[chosen], posterior.predictions[chosen]
    z, u = drawn[:, : len(split.asked)], drawn[:, len(split.asked) :]
    fresh = np.random.default_rng(seed + 1).normal(size=(count, len(split.ways)))
    v = fresh - (fresh @ split.ways) @ split.ways.T + u @ split.ways.T
    scores = np.empty((count, len(split.asked) + len(split.rest)))
    scores[:, split.asked], scores[:, split.rest] = z, v[:, : len(split.rest)]
    kinds = v[:, len(split.rest) :]
    gain = likely(flown(scores) + kinds @ missed.T) - likely(by_slopes)
    if not np.isfinite(gain).any():
        return Drawn(scores, kinds, 0.0)
    weights = np.exp(gain - gain.max())
    weights /= weights.sum()
    kept = alike(weights, count, seed + 2)
    return Drawn(scores[kept], kinds[kept], float(1.0 / (weights**2).sum() / count))


def as_values(moves: Floats, missed: Floats) -> Floats:
    """Return by how many of its ± each value moves for one ± of what is missed alike, (kinds, values).

    Parameters
    ----------
    moves
        By how much one ± of each value moves a reading of each kind, (kinds, values).
    missed
        By how much one ± of what is missed does, (kinds,).
    """
    held = np.where(missed > 0.0, missed, 1.0)  # what misses nothing asks nothing
    found: Floats = missed[:, None] * np.linalg.solve(moves @ moves.T + np.diag((_LIGHT * held) ** 2), moves)
    return found
