"""Fit a rocket to its launches: the flight engine as the model, the design's ± as what was believed before.

Named values are asked for one by one (`unknowns.NAMED`), and those of a launch that move a reading by more than its ±.
Every other ± of the design enters by its slope: y = f(z) + G v, with v standard normal. The directions of G in which
readings move become `Data.common`; from the answer, v follows again, so that a next prediction draws from what is known
of all values together. The fit therefore does not put down to drag what a millilitre or a wall thickness can do. A last
share stands for what the physics leaves out: one part the same at all launches, so that ten flights don't claim a
certainty that the model has not, one part another at each.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.flight.batch import TOLERANCE, fire_batch, fly_batch
from bottlewright.learn.carried import Drawn, Split, as_values, drawn_whole
from bottlewright.learn.inference import Data, Posterior, infer
from bottlewright.learn.launches import FIGURES, Launch, Reading, seen
from bottlewright.learn.unknowns import Unknown, unknowns_of, varied

__all__ = ["MODEL_MISSES", "TAILS", "Fit", "fit", "kinds_of", "predictions"]

Floats = NDArray[np.float64]

MODEL_MISSES = {
    "height": (0.02, 0.01), "time up": (0.01, 0.01), "time": (0.02, 0.02), "away": (0.05, 0.1), "speed": (0.02, 0.02),
    "canopy": (0.01, 0.02), "water out": (0.05, 0.05), "sinking": (0.03, 0.03), "impulse": (0.02, 0.01),
}  # fmt: skip
"""By how much of itself a figure is off in a model whose every value is right: at all launches alike, and at each for
itself. Our judgement; a bearing is off by nothing of this kind."""
TAILS = 4.0
"""Degrees of freedom of what people and instruments measure: one in some dozens is far off. Our judgement."""

_SHOWS, _RULES = 0.05, 1.0
"""Of its ±: a named value that moves no reading by more can't be learned from them; one of a launch that moves one by
more is asked for by itself."""
_LEAST = 0.02
"""Variance, in parts of the readings' own, under which a common direction is left out."""
_GUSTS = 48
"""Flights of each launch in other gusts of the same mean wind."""


@dataclass(frozen=True)
class Fit:
    """What launches say of a rocket.

    Parameters
    ----------
    launches
        That it rests on.
    asked
        What was asked for, in the order of the posterior.
    posterior
        The answer, in scores.
    scores
        Of all values that stay with the rocket, draws of equal weight, (m, number of `rocket`): as a next prediction
        takes them, with what the model misses, at all launches alike and at the next by itself, as the likeliest
        change of values that does the same.
    rocket
        These values.
    blind
        Named values that these readings say nothing of.
    data
        What was fitted.
    before
        Readings as they were to be expected before: their middle and ±, (k,) each.
    moves
        By how many of its own ± each reading moves with one ± of each that was asked for, (k, asked).
    drawn
        Draws of equal weight of all values of rocket and launches, and of what the model misses alike.
    """

    launches: Sequence[Launch]
    asked: Sequence[Unknown]
    posterior: Posterior
    scores: Floats
    rocket: Sequence[Unknown]
    blind: Sequence[Unknown]
    data: Data
    before: tuple[Floats, Floats]
    moves: Floats
    drawn: Drawn

    @cached_property
    def readings(self) -> list[Reading]:
        """All readings, in the order of the data."""
        return [reading for one in self.launches for reading in one.readings]


def fit(launches: Sequence[Launch], *, seed: int = 0) -> Fit:
    """Fit a rocket to its launches.

    Parameters
    ----------
    launches
        Of one rocket; each with at least one reading.
    seed
        Of draws.

    Raises
    ------
    ValueError
        When nothing was measured, or no flight that the design makes can be measured.
    """
    if not launches or not all(one.readings for one in launches):
        raise ValueError("a launch without a measurement says nothing")
    every = unknowns_of([one.design for one in launches])
    middle, slopes, bends = _slopes(launches, every)
    sigma, drift = _own(launches, middle)
    reach = np.abs(slopes / sigma[:, None]).max(axis=0)
    asked = [n for n, one in enumerate(every)
             if (one.named and reach[n] > _SHOWS) or (one.launch is not None and reach[n] > _RULES)]  # fmt: skip
    rest = [n for n in range(len(every)) if n not in asked]
    data, ways = _data(launches, middle, sigma, slopes[:, rest])
    chosen, shift = [every[n] for n in asked], drift + bends[:, rest].sum(axis=1)
    posterior = infer(lambda z: predictions(launches, chosen, z) + shift, len(asked), data, seed=seed)
    same = _same_kind(launches) * _alike(launches, middle)[:, None]
    drawn = drawn_whole(posterior, Split(asked, rest, ways), lambda z: predictions(launches, every, z) + drift,
                        lambda shown: _likely(data.value, sigma, shown), same, seed)  # fmt: skip
    before = np.sqrt((slopes**2).sum(axis=1) + _alike(launches, middle) ** 2 + sigma**2)
    blind = [one for n, one in enumerate(every) if one.named and n not in asked]
    own = [n for n, one in enumerate(every) if one.launch is None]
    last = len(same) - 1 - np.argmax(same[::-1] > 0.0, axis=0)
    missed = drawn.missed + _each(launches) * np.random.default_rng(seed + 3).normal(size=drawn.missed.shape)
    scores = drawn.scores[:, own] + missed @ as_values(slopes[np.ix_(last, own)], same.max(axis=0))
    expected = middle + drift + bends.sum(axis=1)
    moves = slopes[:, asked] / sigma[:, None]
    posterior = replace(posterior, notes=(*posterior.notes, *drawn.notes))
    return Fit(launches, chosen, posterior, scores, [every[n] for n in own], blind, data, (expected, before), moves,
               drawn)  # fmt: skip


def predictions(launches: Sequence[Launch], unknowns: Sequence[Unknown], scores: Floats) -> Floats:
    """Return what all readings of all launches would have shown, (m, k), where unknowns are as scores (m, n) say.

    Rows that differ only in what belongs to another launch are flown once.
    """
    batches, rows = [], []
    for number, one in enumerate(launches):
        mine = [n for n, unknown in enumerate(unknowns) if unknown.launch in (None, number)]
        _, first, row = np.unique(scores[:, mine], axis=0, return_index=True, return_inverse=True)
        batches.append(varied(one.design, number, unknowns, scores[first]))
        rows.append(row.ravel())
    return np.concatenate([part[row] for part, row in zip(_shown(launches, batches), rows, strict=True)], axis=1)


def _shown(launches: Sequence[Launch], batches: Sequence[Any]) -> list[Floats]:
    parts = zip(launches, batches, _flown(launches, batches), strict=True)
    return [seen(part, one.readings, batch) for one, batch, part in parts]


def _flown(launches: Sequence[Launch], batches: Sequence[Any]) -> Iterator[Any]:
    """Yield the key figures of each launch's batch: of those that flew all at once, of those on a stand one by one."""
    for batch in batches:
        batch["tolerance"] = TOLERANCE
    free = [batch for one, batch in zip(launches, batches, strict=True) if not one.held]
    flights = fly_batch(np.concatenate(free)) if free else np.empty(0)
    at = 0
    for one, batch in zip(launches, batches, strict=True):
        if one.held:
            yield fire_batch(batch)
        else:
            yield flights[at : at + len(batch)]
            at += len(batch)


def _slopes(launches: Sequence[Launch], every: Sequence[Unknown]) -> tuple[Floats, Floats, Floats]:
    """Return what the readings show in the middle (k,), what one ± of each unknown changes, and by how much its ± moves
    their mean, (k, n) each.

    A tilt either way takes height away: the mean over a ± is not the middle. A launch is flown for its own values and
    the rocket's only; where a ± makes no flight it counts as nothing.
    """
    shown, slopes, at = [], np.zeros((sum(len(one.readings) for one in launches), len(every))), 0
    bends, batches, own = np.zeros_like(slopes), [], []
    for number, launch in enumerate(launches):
        mine = [n for n, one in enumerate(every) if one.launch in (None, number)]
        steps = np.zeros((2 * len(mine) + 1, len(every)))
        steps[1 + np.arange(len(mine)), mine] = 1.0
        steps[1 + len(mine) + np.arange(len(mine)), mine] = -1.0
        batches.append(varied(launch.design, number, every, steps))
        own.append(mine)
    for launch, mine, batch, part in zip(launches, own, batches, _flown(launches, batches), strict=True):
        lines = seen(part, launch.readings, batch)
        up, down = np.split(lines[1:], 2)
        here = slice(at, at + lines.shape[1])
        slopes[here, mine] = np.nan_to_num(0.5 * (up - down)).T
        bends[here, mine] = np.nan_to_num(0.5 * (up + down) - lines[0]).T
        shown.append(lines[0])
        at += lines.shape[1]
    middle = np.concatenate(shown)
    if not np.isfinite(middle).all():
        raise ValueError("the rocket of the design makes no flight that could be measured so")
    return middle, slopes, bends


def _own(launches: Sequence[Launch], middle: Floats) -> tuple[Floats, Floats]:
    """Return the ± of each reading by itself, and how far gusts move it on the whole from the middle, (k,) each.

    The ± is that of the measurement, of other gusts of the same wind, and of what the model misses each time.
    """
    batches = []
    for launch in launches:
        batch = varied(launch.design, 0, (), np.zeros((_GUSTS, 0)))
        batch["index"] = np.arange(1, _GUSTS + 1)
        batches.append(batch)
    shown = np.concatenate(_shown(launches, batches), axis=1)
    gusts, drift = np.nan_to_num(np.nanstd(shown, axis=0)), np.nan_to_num(np.nanmean(shown, axis=0) - middle)
    readings = [reading for one in launches for reading in one.readings]
    missed = np.array([MODEL_MISSES.get(one.what, (0.0, 0.0))[1] for one in readings]) * np.abs(middle)
    return np.asarray(np.sqrt(np.array([one.spread for one in readings]) ** 2 + gusts**2 + missed**2)), drift


def _alike(launches: Sequence[Launch], middle: Floats) -> Floats:
    """Return what the model misses at all launches alike, of each reading, (k,)."""
    readings = [reading for one in launches for reading in one.readings]
    return np.array([MODEL_MISSES.get(one.what, (0.0, 0.0))[0] for one in readings]) * np.abs(middle)


def _data(launches: Sequence[Launch], middle: Floats, sigma: Floats, rest: Floats) -> tuple[Data, Floats]:
    """Return the readings, and the directions in the values that are not asked for, (values and kinds, q)."""
    same = _same_kind(launches)
    effects = np.concatenate([rest, same * _alike(launches, middle)[:, None]], axis=1) / sigma[:, None]
    left, sizes, right = np.linalg.svd(effects, full_matrices=False)
    kept = sizes**2 > _LEAST
    common = sigma[:, None] * left[:, kept] * sizes[kept]
    lost = ((left[:, ~kept] * sizes[~kept]) ** 2).sum(axis=1)
    value = np.array([reading.value for one in launches for reading in one.readings])
    return Data(value, sigma * np.sqrt(1.0 + lost), np.full(len(value), TAILS), common), right[kept].T


def kinds_of(launches: Sequence[Launch]) -> list[str]:
    """Return the kinds of reading."""
    return [name for name in FIGURES if any(reading.what == name for one in launches for reading in one.readings)]


def _same_kind(launches: Sequence[Launch]) -> Floats:
    """Return which reading is of which kind, (k, kinds) of 0 and 1."""
    readings = [reading for one in launches for reading in one.readings]
    return np.array([[one.what == name for name in kinds_of(launches)] for one in readings], float)


def _each(launches: Sequence[Launch]) -> Floats:
    """Return what the model misses at each launch by itself, in parts of what it misses alike, by kind, (kinds,)."""
    misses = [MODEL_MISSES.get(name, (0.0, 0.0)) for name in kinds_of(launches)]
    return np.array([each / same if same else 0.0 for same, each in misses])


def _likely(value: Floats, sigma: Floats, shown: Floats) -> Floats:
    """Return the log of how likely the measurements are, (m,), but for a constant; minus infinite for no flight."""
    squares = ((value - shown) / sigma) ** 2
    found: Floats = np.nan_to_num(-0.5 * (TAILS + 1.0) * np.log1p(squares / TAILS).sum(axis=1), nan=-np.inf)
    return found
