"""Gusts: the Dryden model for low altitude, as a frozen field along the way through the air.

MIL-F-8785C, "Flying qualities of piloted airplanes", 1980, §3.7.3.4 (scales and strengths as quoted on a library's
page; original not checked). The gusts are laid down on a uniform grid of the length of air passed, as far as a flight
gets, exactly in the sense that the samples on the grid have the model's covariance at any spacing, from the first one
on. One set of length scales serves a flight.
"""

import math

from bottlewright.physics import FloatArray, jit
from bottlewright.physics.sampling import normal_quantile, uniform_block

__all__ = ["GUST_STREAM", "WIND_HEIGHT", "fill_gusts", "gust_at", "gust_intensities", "gust_lengths"]

GUST_STREAM = 1_000_000
"""Streams of random numbers from here on belong to gusts."""
WIND_HEIGHT = 20 * 0.3048
"""Height whose mean wind sets the intensity, m: 20 ft."""

_FOOT = 0.3048
_ROOT3 = math.sqrt(3.0)


@jit
def _slenderness(height: float) -> tuple[float, float]:
    """Height in ft, held within the model's 10 to 1000 ft, and its 0.177 + 0.000823 h."""
    feet = min(max(height / _FOOT, 10.0), 1000.0)
    return feet, 0.177 + 0.000823 * feet


@jit
def gust_lengths(height: float) -> tuple[float, float]:
    """Scale lengths L_u = L_v and L_w, m, at a height above the ground, m."""
    feet, x = _slenderness(height)
    return feet / x**1.2 * _FOOT, feet * _FOOT


@jit
def gust_intensities(height: float, wind_at_20_ft: float) -> tuple[float, float]:
    """Standard deviations σ_u = σ_v and σ_w = 0.1 W₂₀, m/s, from height (m) and the mean wind at 20 ft (m/s)."""
    _, x = _slenderness(height)
    vertical = 0.1 * wind_at_20_ft
    return vertical / x**0.4, vertical


@jit
def _lateral_step(spacing: float, length: float) -> tuple[float, float, float, float, float]:
    """Decay and noise factors of one step of the second-order form; see docs/physics/air.md."""
    d = spacing / length
    e = math.exp(-d)
    e2 = e * e
    q11 = 0.5 * (1.0 - e2)
    q12 = 0.25 - e2 * (0.5 * d + 0.25)
    q22 = 0.25 - e2 * (0.5 * d * d + 0.5 * d + 0.25)
    l11 = math.sqrt(q11)
    l21 = q12 / l11
    return e, d * e, l11, l21, math.sqrt(max(q22 - l21 * l21, 0.0))


@jit
def fill_gusts(
    seed: int, index: int, spacing: float, length_along: float, length_across: float, length_up: float, first: int,
    last: int, state: FloatArray, out: FloatArray,
) -> None:  # fmt: skip
    """Fill rows first … last − 1 of `out` with gusts of unit variance: along the mean wind, across to the left, and up.

    Along: Φ = (2L/π)/(1 + L²Ω²), an exact first-order recursion. Across and up: Φ = (L/π)(1 + 3L²Ω²)/(1 + L²Ω²)², two
    states a component. Both begin in the stationary state.

    Parameters
    ----------
    seed, index
        Whole numbers: the user's seed and the number of the flight.
    spacing
        Of the grid, m of air passed; above zero.
    length_along, length_across, length_up
        Scale lengths, m.
    first, last
        The first is a multiple of 4. Filled in parts, from 0 on, a field is the same as filled at once.
    state
        Five numbers, carried over from one part to the next.
    out
        Array of n rows and three columns, written in place.
    """
    decay = math.exp(-spacing / length_along)
    noise = math.sqrt(1.0 - decay * decay)
    across, up = _lateral_step(spacing, length_across), _lateral_step(spacing, length_up)
    u, v1, v2, w1, w2 = state[0], state[1], state[2], state[3], state[4]
    four = (0.0, 0.0, 0.0, 0.0)
    for i in range(first, last):
        a, b, c, d = uniform_block(seed, index, GUST_STREAM, i)
        if i % 4 == 0:
            four = uniform_block(seed, index, GUST_STREAM + 1, i // 4)
        a, b, c, d = normal_quantile(a), normal_quantile(b), normal_quantile(c), normal_quantile(d)
        n = normal_quantile(four[i % 4])
        if i == 0:
            # The stationary covariance [[1/2, 1/4], [1/4, 1/4]] and its Cholesky factor.
            u = n
            v1, v2 = math.sqrt(0.5) * a, math.sqrt(0.125) * (a + b)
            w1, w2 = math.sqrt(0.5) * c, math.sqrt(0.125) * (c + d)
        else:
            u = decay * u + noise * n
            v1, v2 = _advance(across, v1, v2, a, b)
            w1, w2 = _advance(up, w1, w2, c, d)
        out[i, 0] = u
        out[i, 1] = _ROOT3 * v1 + (1.0 - _ROOT3) * v2
        out[i, 2] = _ROOT3 * w1 + (1.0 - _ROOT3) * w2
    state[0], state[1], state[2], state[3], state[4] = u, v1, v2, w1, w2


@jit
def _advance(
    step: tuple[float, float, float, float, float], first: float, second: float, a: float, b: float
) -> tuple[float, float]:
    e, de, l11, l21, l22 = step
    return e * first + l11 * a, e * second + de * first + l21 * a + l22 * b


@jit
def gust_at(path: float, gusts: FloatArray, spacing: float) -> tuple[float, float, float]:
    """Gust of unit variance (along, across, up) after a length of air, by a cubic through the grid (Catmull–Rom).

    The field is read to its end and back again, as in a mirror, so it never runs out and keeps a continuous slope. The
    cubic smooths what is finer than the grid: with a spacing of a tenth of the scale length, the variance midway
    between the samples is 2 % (along) to 3.5 % (across, up) low, with a fifth 4.5 to 7 %.

    Parameters
    ----------
    path
        Length of air passed, m.
    gusts
        Array from `fill_gusts`, two rows or more.
    spacing
        Of its grid, m.
    """
    last = gusts.shape[0] - 1
    x = abs(path) / spacing
    x -= 2.0 * last * math.floor(x / (2.0 * last))
    if x > last:
        x = 2.0 * last - x
    i = min(int(x), last - 1)
    t = x - i
    before = i - 1 if i > 0 else 1
    after = i + 2 if i + 2 <= last else last - 1
    h0 = t * (-0.5 + t * (1.0 - 0.5 * t))
    h1 = 1.0 + t * t * (-2.5 + 1.5 * t)
    h2 = t * (0.5 + t * (2.0 - 1.5 * t))
    h3 = t * t * (-0.5 + 0.5 * t)
    u = h0 * gusts[before, 0] + h1 * gusts[i, 0] + h2 * gusts[i + 1, 0] + h3 * gusts[after, 0]
    v = h0 * gusts[before, 1] + h1 * gusts[i, 1] + h2 * gusts[i + 1, 1] + h3 * gusts[after, 1]
    w = h0 * gusts[before, 2] + h1 * gusts[i, 2] + h2 * gusts[i + 1, 2] + h3 * gusts[after, 2]
    return u, v, w
