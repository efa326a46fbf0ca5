"""± of what is worked out from measured values: the law of propagation of uncertainty, JCGM 100:2008, 5.2.2."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["covariance_of_means", "propagated"]

_Array = NDArray[np.float64]


def propagated(
    function: Callable[..., Sequence[float]], values: Sequence[float], covariance: Sequence[Sequence[float]] | _Array
) -> tuple[_Array, _Array]:
    """Return what a function gives at the values, and the covariance of that, first order.

    Parameters
    ----------
    function
        Takes the values one by one, returns one or more results.
    covariance
        Of the values.
    """
    spreads = np.sqrt(np.diag(np.asarray(covariance, float)))
    middle = np.asarray(function(*values), float)
    slopes = np.zeros((len(middle), len(spreads)))
    for number, spread in enumerate(spreads):
        step = 1e-3 * spread
        if step > 0.0:
            ahead, behind = ([*values[:number], values[number] + by, *values[number + 1 :]] for by in (step, -step))
            slopes[:, number] = (np.asarray(function(*ahead)) - np.asarray(function(*behind))) / (2.0 * step)
    return middle, slopes @ np.asarray(covariance, float) @ slopes.T


def covariance_of_means(series: Sequence[Sequence[float]]) -> tuple[_Array, _Array]:
    """Return the means of quantities that were read together, row by row, and the covariance of the means (5.2.3)."""
    table = np.asarray(series, float)
    return table.mean(axis=1), np.atleast_2d(np.cov(table)) / table.shape[1]
