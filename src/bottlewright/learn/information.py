"""How much a measurement that nobody has made yet would tell: linear and normal, from draws of what is known now.

With draws of what is asked for, T, and of what would be shown, Y, and the errors' covariance R,

    Var(T | y) = Var(T) − Cov(T, Y) (Var(Y) + R)⁻¹ Cov(Y, T)

whatever y turns out to be (Lindley 1956, On a measure of the information provided by an experiment; for the normal
case Rasmussen and Williams, Gaussian processes for machine learning, 2006, A.6; original not checked). The gain is half
the log of the ratio of the variances before and after, in nats.
"""

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["errors_like", "gain", "variance_after"]

Floats = NDArray[np.float64]


def variance_after(asked: Floats, shown: Floats, errors: Floats) -> Floats:
    """Return the variance that is left of each of what is asked for, (t,).

    Parameters
    ----------
    asked, shown
        Draws of equal weight, (m, t) and (m, k); row by row they belong together.
    errors
        Covariance of what the readings have on top, (k, k): errors of reading, another wind, another filling.
    """
    t, y = asked - asked.mean(axis=0), shown - shown.mean(axis=0)
    count = len(t)
    before = (t * t).sum(axis=0) / count
    both = t.T @ y / count
    told = (both * np.linalg.solve(y.T @ y / count + errors, both.T).T).sum(axis=1)
    return np.asarray(np.maximum(before - told, 0.0))


def gain(before: float, after: float) -> float:
    """Return the information gained, nats; infinite where no doubt is left."""
    return math.inf if after <= 0.0 else 0.5 * math.log(before / after)


def errors_like(spread: Floats, tails: float) -> Floats:
    """Return the variance of a normal error that tells as much as one of Student's law with this scale.

    The Fisher information of its place is (ν + 1)/((ν + 3) s²) (Lange, Little and Taylor 1989, Robust statistical
    modeling using the t distribution; original not checked).
    """
    return np.asarray(spread**2 * (tails + 3.0) / (tails + 1.0))
