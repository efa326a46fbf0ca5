"""Which uncertainty makes most of the spread, so which thing to measure next: Sobol indices of the flights.

First index: share of the variance that goes when a value is known exactly. Total index: the same with all its
interplay with other values (Sobol, Math. Comput. Simul. 55 (2001) 271). Estimated by scipy after Saltelli and others
(Comput. Phys. Commun. 181 (2010) 259).
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Source", "Sources", "leading_values", "sobol"]

Floats = NDArray[np.float64]
RESAMPLES = 200  # of the bootstrap


class Source(NamedTuple):
    """An uncertain value and its share of the variance.

    Parameters
    ----------
    path
        Key of the design.
    first, total
        Sobol indices; the interval is a bootstrap of 95 % about `total`.
    low, high
        The interval.
    """

    path: str
    first: float
    total: float
    low: float
    high: float


class Sources(NamedTuple):
    """The leading uncertainties in order, and the share that a fit leaves to all the others."""

    sources: tuple[Source, ...]
    others: float


def leading_values(draws: Mapping[str, Floats], figure: Floats, most: int = 8) -> tuple[list[str], float]:
    """Pick the values that move a figure most, by a fit of lines and parabolas to flights that are there already.

    A value at the top of its hill moves the figure by its square alone, so lines would miss it.

    Parameters
    ----------
    draws
        By path, what each flight drew.
    figure
        What each flight came to.
    most
        How many to pick.

    Returns
    -------
    tuple
        Paths, the strongest first, none under a thousandth of the variance, and the share that the fit gives to those
        left out.
    """
    kept = np.isfinite(figure)
    paths = [path for path, column in draws.items() if np.ptp(column[kept]) > 0.0]
    if not paths or np.ptp(figure[kept]) == 0.0:
        return [], 0.0
    columns = np.stack([draws[path][kept] for path in paths], axis=1)
    columns = (columns - columns.mean(axis=0)) / columns.std(axis=0)
    bends = (columns**2 - 1.0) / np.sqrt(2.0)
    fit = np.linalg.lstsq(np.hstack([columns, bends]), figure[kept] - figure[kept].mean(), rcond=None)[0]
    shares = (fit[: len(paths)] ** 2 + fit[len(paths) :] ** 2) / np.var(figure[kept])
    order = np.argsort(-shares)
    leading = [k for k in order[:most] if shares[k] >= 1e-3]
    return [paths[k] for k in leading], float(np.delete(shares, leading).sum())


def _indices(f_A: Floats, f_B: Floats, f_AB: Floats) -> tuple[Floats, Floats]:
    """Return first and total indices, shape (1, values), by the estimators of Saltelli and others, 2010, table 2.

    Parameters
    ----------
    f_A, f_B, f_AB
        Of the two base samples, shape (1, n), and of the first with one column from the second, (values, 1, n).
    """
    variance = np.var(np.concatenate([f_A, f_B], axis=-1), axis=-1)
    first = np.mean(f_B * (f_AB - f_A), axis=-1) / variance
    total = 0.5 * np.mean((f_A - f_AB) ** 2, axis=-1) / variance
    return first.T, total.T


def sobol(
    figure: Callable[[Floats], Floats], middles: Sequence[float], spreads: Sequence[float], paths: Sequence[str],
    others: float = 0.0, seed: int = 1, count: int = 256,
) -> Sources:
    """Return the Sobol indices of normal values.

    Parameters
    ----------
    figure
        Of an array (flights, values): what each flight comes to.
    middles, spreads, paths
        Of the values.
    others
        Share left to values that are held still here.
    count
        Size of each of the two base samples, a power of 2; count · (values + 2) flights are made.
    """
    from scipy.stats import norm, sobol_indices

    if len(paths) == 1:  # it makes all there is, and scipy wants two at least
        return Sources((Source(paths[0], 1.0, 1.0, 1.0, 1.0),), others)

    def columns(rows: Any) -> Any:
        values = figure(np.ascontiguousarray(rows.reshape(len(paths), -1).T))
        return np.where(np.isfinite(values), values, np.nanmean(values)).reshape(1, *rows.shape[1:])

    rng = np.random.default_rng(seed)
    flown: list[tuple[Floats, ...]] = []

    def keeping(f_A: Floats, f_B: Floats, f_AB: Floats) -> tuple[Floats, Floats]:
        flown[:] = [(f_A, f_B, f_AB)]
        return _indices(f_A, f_B, f_AB)

    dists: Any = [norm(loc=middle, scale=spread) for middle, spread in zip(middles, spreads, strict=True)]
    found: Any = sobol_indices(func=columns, n=count, dists=dists, method=keeping, rng=rng)
    again = rng.integers(0, count, (RESAMPLES, count))
    totals = [_indices(*(part[..., rows] for part in flown[0]))[1].ravel() for rows in again]
    lows, highs = np.quantile(totals, (0.025, 0.975), axis=0)
    sources = [
        Source(path, float(first), float(total), float(low), float(high))
        for path, first, total, low, high in zip(
            paths, np.ravel(found.first_order), np.ravel(found.total_order), lows, highs,
            strict=True,
        )
    ]
    return Sources(tuple(sorted(sources, key=lambda source: -source.total)), others)
