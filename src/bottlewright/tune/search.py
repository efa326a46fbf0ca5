"""Search the best load: a kept optimiser on flights with common random numbers, limits always on."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Evaluate", "Trials", "Weigh", "best_point", "grid_points", "merit"]

Floats = NDArray[np.float64]


class Trials(NamedTuple):
    """What a set of trials came to.

    Parameters
    ----------
    worth
        One number a trial, the larger the better.
    slacks
        Shape (trials, limits): how far inside each limit, as a share of it; negative is over it.
    """

    worth: Floats
    slacks: Floats


Evaluate = Callable[[Floats], Trials]
"""Fly a set of trials, shape (trials, variables), SI."""
Weigh = Callable[[Floats, Floats, float], Floats]
"""Return the merits of trials beside a point and its merit: of one that does not beat it, that merit will do."""


def merit(trials: Trials) -> Floats:
    """Return one number to maximise: any trial inside all limits beats any outside; those by how far they are over.

    The rule is Deb's for constraints (Comput. Methods Appl. Mech. Eng. 186 (2000) 311): no weight to choose between
    metres and calibres. Worths are squeezed into 0 to 1, order kept, so that the two kinds never mix.
    """
    over = np.sum(np.clip(-np.nan_to_num(trials.slacks, nan=-10.0), 0.0, 10.0), axis=1)
    worth = 0.5 + np.arctan(np.nan_to_num(trials.worth, nan=-1e9, neginf=-1e9) / _SCALE) / np.pi
    return np.asarray(np.where(over > 0.0, -over, worth), float)


BOX = 0.06  # half side of the last search, as a share of each span
_SCALE = 50.0  # m, s or bar: only the order counts


def grid_points(bounds: Sequence[tuple[float, float]], steps: Sequence[int]) -> Floats:
    """Return every combination of evenly spaced values, the last variable changing fastest."""
    axes = [np.linspace(low, high, count) for (low, high), count in zip(bounds, steps, strict=True)]
    return np.stack([axis.ravel() for axis in np.meshgrid(*axes, indexing="ij")], axis=1)


def best_point(
    evaluate: Evaluate,
    bounds: Sequence[tuple[float, float]],
    start: Floats,
    seed: int = 1,
    first: tuple[Floats, Trials] | None = None,
    weigh: Weigh | None = None,
) -> Floats:
    """Return the best point inside the bounds.

    Up to two variables start from the best of a grid, more from scipy's differential evolution, whose whole generation
    flies in one call; a Nelder–Mead search (scipy) then walks to the top, and differential evolution in a small box
    about it closes in.

    Parameters
    ----------
    evaluate
        Flies trials; the same random numbers each time.
    bounds
        Lowest and highest value of each variable.
    start
        The present point, one of those tried.
    first
        Points that are flown already.
    weigh
        Flies trials no further than it takes to know that they are no better than another.
    """
    low, high = np.transpose(bounds)
    span = np.where(high > low, high - low, 1.0)

    known: dict[bytes, float] = {}

    def score(unit: Floats) -> Any:
        points = low + np.clip(unit, 0.0, 1.0) * span
        if unit.ndim == 2:
            return -merit(evaluate(points))
        if points.tobytes() not in known:  # a walk along a bound asks for the same point again
            known[points.tobytes()] = -float(merit(evaluate(points[None]))[0])
        return known[points.tobytes()]

    if first is None:
        first = _first_look(score, low, span, start, seed, evaluate)
    points, trials = first
    top = points[int(np.argmax(merit(trials)))]
    walked, best = _walk(score, (top - low) / span)

    def beside(rows: Floats) -> Any:
        if weigh is None:
            return score(rows)
        return -weigh(low + np.clip(rows, 0.0, 1.0) * span, low + walked * span, -best)

    return np.asarray(low + np.clip(_close_in(score, beside, walked, best), 0.0, 1.0) * span, float)


def _first_look(
    score: Callable[[Floats], Any], low: Floats, span: Floats, start: Floats, seed: int, evaluate: Evaluate
) -> tuple[Floats, Trials]:
    count = len(low)
    if count <= 2:
        points = grid_points([(a, a + s) for a, s in zip(low, span, strict=True)], [25] if count == 1 else [11, 11])
    else:
        from scipy.optimize import Bounds, differential_evolution

        found = differential_evolution(
            _in_columns(score), Bounds(np.zeros(count), np.ones(count)), popsize=6, maxiter=14, tol=1e-3, init="sobol",
            polish=False, rng=seed, vectorized=True, updating="deferred",
        )
        points = (low + found.x * span)[None, :]
    points = np.vstack([points, np.clip(start, low, low + span)])
    return points, evaluate(points)


def _in_columns(score: Callable[[Floats], Any]) -> Callable[[Floats], Any]:
    """Return a score for points that stand in columns, as the evolution hands them over."""
    return lambda columns: score(np.asarray(columns.T, float))


def _walk(score: Callable[[Floats], Any], start: Floats) -> tuple[Floats, float]:
    """Walk from a point of the unit cube to the top; return it with its score, the lower the better."""
    from scipy.optimize import minimize

    corners = np.tile(start, (len(start) + 1, 1))
    for axis in range(len(start)):
        corners[axis + 1, axis] += 0.08 if start[axis] < 0.5 else -0.08
    found: Any = minimize(
        score, start, method="Nelder-Mead", bounds=[(0.0, 1.0)] * len(start),
        options={"initial_simplex": corners, "xatol": 1e-3, "fatol": 1e-7, "maxfev": 30 + 10 * len(start)},
    )
    return np.clip(found.x, 0.0, 1.0), float(found.fun)


def _close_in(
    score: Callable[[Floats], Any], beside: Callable[[Floats], Any], top: Floats, best: float
) -> Floats:
    """Close in on the top within a small box about a point with its score.

    The simplex may fold up in a corner between a bound and a limit; the box finds the best place along the limit. Where
    nothing of the first generation beats the point, as `beside` tells, no other is flown.
    """
    from scipy.optimize import Bounds, differential_evolution

    box = Bounds(np.maximum(top - BOX, 0.0), np.minimum(top + BOX, 1.0))

    def closer(weighed: Callable[[Floats], Any], generations: int) -> Any:
        return differential_evolution(
            _in_columns(weighed), box, popsize=8, maxiter=generations, tol=0.0, init="sobol",
            polish=False, rng=1, x0=top, vectorized=True, updating="deferred",
        )

    if not closer(beside, 1).fun < best:
        return top
    found = closer(score, 6)
    return np.asarray(found.x if found.fun < best else top, float)
