"""From measurements to what they say of unknown values: the likeliest, draws about them, and how far to trust them.

Each unknown is a standard normal number z before anything is measured; whoever builds the model says what a z stands
for. What else moves the predictions and is not asked for (other ± of the design, gusts, what the physics leaves out)
enters as `Data.common`: columns of standard normal numbers u with a linear effect, so that they cost no flight.

With x = (z, u), the predictions f(z) + C u and the residuals r = (y − f − C u)/σ,

    log p(x | y) = −½ x·x + Σ log t_ν(r),

t_ν the Student density: with few degrees of freedom one odd measurement can't rule. Its maximum is found by
Gauss–Newton steps with Levenberg's damping from several starts, each residual weighed by (ν + 1)/(ν + r²); the prior
is a residual like any other. Draws about the maximum are then weighed by importance (Owen, Monte Carlo theory, methods
and examples, 2013, §9: deterministic mixture weights), so that the answer is not held to a normal shape.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

__all__ = ["ENOUGH", "Data", "Posterior", "alike", "infer"]

Floats = NDArray[np.float64]
Model = Callable[[Floats], Floats]
"""From unknowns (m, n) to predictions (m, k); NaN where there is none."""

ENOUGH = 0.2
"""Least effective share of the draws; under it more are drawn and the proposal is widened."""

_STARTS, _STEPS, _CLOSE = 4, 30, 1e-3
"""Starts, steps of each, and the step, in standard deviations of the prior, under which one has arrived."""
_LEVEL = 1e-3
"""A step that leads down by less is one about the top, where the flights' own errors decide what leads up."""
_NUDGE = 0.02
"""Of a standard deviation: the flights' own errors (1e-5) don't show in a difference over it."""
_APART, _RIVAL = 1.0, 6.0
"""Two maxima are two where they lie further apart than this, in standard deviations, and as likely within e⁶."""
_DRAWS, _MORE, _ROUNDS = 800, 1200, 3
"""Draws about the maximum, then about where these turned out to weigh most; so often at the most."""
_TAIL, _WIDER = 6.0, 1.5
"""Degrees of freedom and scale (of the covariance) of what is drawn from: wider than what is looked for, since the
weights of a range that no draw reached are missed by everything, their own effective share included."""


@dataclass(frozen=True)
class Data:
    """What was measured.

    Parameters
    ----------
    value, sigma
        Of shape (k,), in the units of the model's predictions.
    tails
        Degrees of freedom of each error, (k,); infinite for a normal one.
    common
        Effects of one standard deviation of what is not asked for, (k, q).
    """

    value: Floats
    sigma: Floats
    tails: Floats
    common: Floats


@dataclass(frozen=True)
class Posterior:
    """What is believed of the unknowns after the measurements.

    Parameters
    ----------
    draws, weights
        Of the unknowns and of what is common, (m, n + q), and their weights, (m,), which sum to 1.
    predictions
        Of each draw, (m, k).
    best
        Most likely values, (n + q,).
    covariance
        Of a normal density about the best, (n + q, n + q).
    share
        Effective share of the draws, 0 to 1.
    modes
        How many different answers fit about as well.
    trusted
        Whether the effective share reached `ENOUGH`.
    notes
        What was done about it, in words.
    """

    draws: Floats
    weights: Floats
    predictions: Floats
    best: Floats
    covariance: Floats
    share: float
    modes: int
    trusted: bool
    notes: tuple[str, ...] = field(default=())

    @property
    def mean(self) -> Floats:
        """Of the unknowns and of what is common, (n + q,)."""
        mean: Floats = self.weights @ self.draws
        return mean

    @property
    def spread(self) -> Floats:
        """Their standard deviations, (n + q,)."""
        return np.sqrt(np.maximum(self.weights @ (self.draws - self.mean) ** 2, 0.0))

    def equal(self, count: int, seed: int) -> Floats:
        """Return `count` draws of equal weight, (count, n + q), by systematic resampling, shuffled."""
        drawn: Floats = self.draws[alike(self.weights, count, seed)]
        return drawn

    def quantile(self, which: int, share: float) -> float:
        """Return the value that one unknown stays under with a probability."""
        order = np.argsort(self.draws[:, which])
        at = np.searchsorted(np.cumsum(self.weights[order]), share).clip(max=len(order) - 1)
        return float(self.draws[order[at], which])


def alike(weights: Floats, count: int, seed: int) -> NDArray[np.intp]:
    """Return which draws to take so that `count` of them weigh alike, by systematic resampling, shuffled."""
    generator = np.random.default_rng(seed)
    places = (generator.random() + np.arange(count)) / count
    return generator.permutation(np.searchsorted(np.cumsum(weights), places).clip(max=len(weights) - 1))


def infer(model: Model, count: int, data: Data, *, seed: int = 0) -> Posterior:
    """Return what the measurements say.

    Parameters
    ----------
    model
        Predictions of the unknowns.
    count
        How many unknowns there are, n.
    data
        What was measured.
    seed
        Of starts and draws.
    """
    problem = _Problem(model, count, data)
    generator = np.random.default_rng(seed)
    tops = _climb(problem, generator)
    best = tops[0]
    draws, notes = _drawn(problem, tops, generator).widened(problem, generator, _MORE), []
    for _ in range(_ROUNDS - 1):
        if draws.share >= ENOUGH:
            break
        draws = draws.widened(problem, generator, _MORE)
        notes = [f"the first draws were too few: {len(draws.x)} were taken, from a wider range"]
    if len(tops) > 1:
        notes.append(f"{len(tops)} different answers fit about as well")
    if draws.share < ENOUGH:
        notes.append(f"only {draws.share:.0%} of the draws count: take the answer as a rough one")
    return Posterior(
        draws.x, draws.weights, draws.predicted, best.x, best.covariance,
        draws.share, len(tops), draws.share >= ENOUGH, tuple(notes),
    )  # fmt: skip


# --- the density ------------------------------------------------------------------------------------------------------


class _Problem:
    """Predictions, residuals and their density over x = (z, u)."""

    def __init__(self, model: Model, count: int, data: Data) -> None:
        self.model, self.count, self.data = model, count, data
        self.size = count + data.common.shape[1]
        tails = data.tails
        heavy = np.isfinite(tails)
        held = np.where(heavy, tails, 1.0)
        self.constant = np.where(
            heavy, gammaln(0.5 * (held + 1.0)) - gammaln(0.5 * held) - 0.5 * np.log(np.pi * held),
            -0.5 * np.log(2.0 * np.pi))  # fmt: skip
        self.heavy, self.held = heavy, held

    def predicted(self, x: Floats) -> Floats:
        """Return predictions (m, k) of x (m, d)."""
        return self.model(x[:, : self.count]) + x[:, self.count :] @ self.data.common.T

    def log_density(self, x: Floats, predicted: Floats) -> Floats:
        """Return the log density (m,), up to that of the data; minus infinite where nothing is predicted."""
        known = np.atleast_1d(np.isfinite(predicted).all(axis=1))
        r = (self.data.value - np.where(known[:, None], predicted, 0.0)) / self.data.sigma
        squares = r * r
        each = np.where(self.heavy, -0.5 * (self.held + 1.0) * np.log1p(squares / self.held), -0.5 * squares)
        whole = (each + self.constant - np.log(self.data.sigma)).sum(axis=1)
        prior = -0.5 * (x * x).sum(axis=1) - 0.5 * self.size * np.log(2.0 * np.pi)
        return np.where(known, whole + prior, -np.inf)

    def weights(self, r: Floats) -> Floats:
        """Return by how much each residual counts, 0 to about 1."""
        return np.where(self.heavy, (self.held + 1.0) / (self.held + r * r), 1.0)


# --- the maximum ------------------------------------------------------------------------------------------------------


@dataclass
class _Climber:
    """One start on its way up."""

    x: Floats
    predicted: Floats
    slopes: Floats  # of the predictions, (k, d)
    log_density: float
    damping: float = 1e-2
    done: bool = False
    covariance: Floats = field(default_factory=lambda: np.empty((0, 0)))

    def step(self, problem: _Problem) -> Floats:
        """Return where to go next."""
        sigma = problem.data.sigma
        r = (problem.data.value - self.predicted) / sigma
        scaled = self.slopes / sigma[:, None]
        weighed = scaled * problem.weights(r)[:, None]
        curvature = weighed.T @ scaled + np.eye(problem.size)
        uphill = weighed.T @ r - self.x
        self.covariance = np.asarray(np.linalg.inv(curvature), float)
        gone = np.linalg.solve(curvature + self.damping * np.diag(np.diag(curvature)), uphill)
        return self.x + np.asarray(gone, float) * min(1.0, 3.0 / max(float(np.abs(gone).max()), 1e-12))


def _climb(problem: _Problem, generator: np.random.Generator) -> list[_Climber]:
    """Return the different maxima that several starts end at, the highest first."""
    starts = np.zeros((_STARTS, problem.size))
    away = generator.normal(size=(_STARTS // 2, problem.count))
    starts[1:, : problem.count] = np.concatenate([away, -away])[: _STARTS - 1]  # to both sides of the middle
    climbers = [one for one in _looked(problem, starts) if np.isfinite(one.log_density)]
    if not climbers:
        raise ValueError("no start of the fit makes a flight that can be measured")
    for _ in range(_STEPS):
        moving = [one for one in climbers if not one.done]
        if not moving:
            break
        tried = _looked(problem, np.array([one.step(problem) for one in moving]))
        for one, new in zip(moving, tried, strict=True):
            _moved(one, new)
    for one in climbers:
        one.step(problem)  # the covariance where it ended
    return _different(sorted(climbers, key=lambda one: -one.log_density))


def _looked(problem: _Problem, places: Floats) -> list[_Climber]:
    """Return predictions and slopes at some places, all flown as one batch."""
    n, d = problem.count, problem.size
    moved = np.repeat(places[:, None, :], 2 * n + 1, axis=1)
    for j in range(n):
        moved[:, 1 + 2 * j, j] += _NUDGE
        moved[:, 2 + 2 * j, j] -= _NUDGE
    seen = problem.predicted(moved.reshape(-1, d)).reshape(len(places), 2 * n + 1, -1)
    found = []
    for x, lines in zip(places, seen, strict=True):
        slopes = np.empty((lines.shape[1], d))
        slopes[:, :n] = ((lines[1::2] - lines[2::2]) / (2.0 * _NUDGE)).T
        slopes[:, n:] = problem.data.common
        known = bool(np.isfinite(lines).all())
        height = float(problem.log_density(x[None], lines[:1])[0]) if known else -np.inf
        found.append(_Climber(x, lines[0], slopes, height))
    return found


def _moved(one: _Climber, new: _Climber) -> None:
    """Take a step that leads up, else try a shorter one; stop where neither moves it."""
    one.done = float(np.abs(new.x - one.x).max()) < _CLOSE
    if new.log_density >= one.log_density:
        one.x, one.predicted, one.slopes, one.log_density = new.x, new.predicted, new.slopes, new.log_density
        one.damping = max(one.damping / 5.0, 1e-9)
    else:
        one.damping *= 8.0
        one.done |= one.damping > 1e6 or new.log_density > one.log_density - _LEVEL


def _different(climbers: list[_Climber]) -> list[_Climber]:
    kept: list[_Climber] = []
    for one in climbers:
        near = any((gap := one.x - other.x) @ np.linalg.solve(other.covariance, gap) < _APART**2 * len(one.x)
                   for other in kept)  # fmt: skip
        if not near and (not kept or one.log_density > kept[0].log_density - _RIVAL):
            kept.append(one)
    return kept


# --- draws about it ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Cloud:
    """A Student density to draw from, and how many draws came from it."""

    middle: Floats
    root: Floats
    count: int

    def draw(self, generator: np.random.Generator) -> Floats:
        normal = generator.normal(size=(self.count, len(self.middle)))
        stretch = np.sqrt(_TAIL / generator.chisquare(_TAIL, size=(self.count, 1)))
        drawn: Floats = self.middle + stretch * (normal @ self.root.T)
        return drawn

    def log_density(self, x: Floats) -> Floats:
        d = len(self.middle)
        z = np.linalg.solve(self.root, (x - self.middle).T)
        size = gammaln(0.5 * (_TAIL + d)) - gammaln(0.5 * _TAIL) - 0.5 * d * np.log(np.pi * _TAIL)
        return np.asarray(size - np.log(np.abs(np.diag(self.root))).sum()
                          - 0.5 * (_TAIL + d) * np.log1p((z * z).sum(axis=0) / _TAIL))  # fmt: skip


@dataclass(frozen=True)
class _Draws:
    """All draws so far, what they came from, and their weights."""

    clouds: list[_Cloud]
    x: Floats
    predicted: Floats
    log_density: Floats

    @property
    def weights(self) -> Floats:
        """Of each draw against the mixture of all that was drawn from."""
        parts = np.array([np.log(one.count / len(self.x)) + one.log_density(self.x) for one in self.clouds])
        log = self.log_density - np.logaddexp.reduce(parts, axis=0)
        log -= log.max()
        weights: Floats = np.exp(log) / np.exp(log).sum()
        return weights

    @property
    def share(self) -> float:
        """Effective share of the draws."""
        return float(1.0 / (self.weights**2).sum() / len(self.x))

    def widened(self, problem: _Problem, generator: np.random.Generator, count: int) -> "_Draws":
        """Return these and more, from where these turned out to weigh most."""
        weights = self.weights
        middle = weights @ self.x
        gaps = self.x - middle
        covariance = (weights * gaps.T) @ gaps + 0.05 * np.diag(np.maximum(np.var(self.x, axis=0), 1e-6))
        cloud = _Cloud(middle, _root(_WIDER * covariance), count)
        x = cloud.draw(generator)
        predicted = problem.predicted(x)
        return _Draws([*self.clouds, cloud], np.concatenate([self.x, x]), np.concatenate([self.predicted, predicted]),
                      np.concatenate([self.log_density, problem.log_density(x, predicted)]))  # fmt: skip


def _root(covariance: Floats) -> Floats:
    return np.asarray(np.linalg.cholesky(covariance), float)


def _drawn(problem: _Problem, tops: list[_Climber], generator: np.random.Generator) -> _Draws:
    clouds = [_Cloud(one.x, _root(_WIDER * one.covariance), _DRAWS // len(tops)) for one in tops]
    x = np.concatenate([one.draw(generator) for one in clouds])
    predicted = problem.predicted(x)
    return _Draws(clouds, x, predicted, problem.log_density(x, predicted))
