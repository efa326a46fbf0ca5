"""Random numbers that depend on their address alone: the same for any order, thread, batch size and machine.

Philox 4×64-10 (Salmon, Moraes, Dror and Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11, 2011): a counter
goes through ten keyed rounds and comes out as four random 64-bit words. Key: the seed. Counter: block within the
sequence, stream, index. Whoever asks for flight 4711's third gust gets the same number whether or not flight 4710 was
flown.

Normal numbers come from uniform ones by the inverse of the normal distribution, one for one, so a low-discrepancy
point can be put through the same function.
"""

import math
from typing import TypeAlias

import numpy as np

from bottlewright.physics import FloatArray, jit

__all__ = [
    "fill_uniform_rows", "fill_uniforms", "normal", "normal_quantile", "philox", "uniform", "uniform_block",
]  # fmt: skip

Word: TypeAlias = int | np.uint64

_M0, _M1 = np.uint64(0xD2E7470EE14C6C93), np.uint64(0xCA5A826395121157)
_W0, _W1 = np.uint64(0x9E3779B97F4A7C15), np.uint64(0xBB67AE8584CAA73B)
_LOW, _HALF, _DROP = np.uint64(0xFFFFFFFF), np.uint64(32), np.uint64(12)


@jit
def _high(a: np.uint64, b: np.uint64) -> np.uint64:
    """Upper 64 bits of the product of two 64-bit words."""
    a0, a1, b0, b1 = a & _LOW, a >> _HALF, b & _LOW, b >> _HALF
    middle = a1 * b0 + ((a0 * b0) >> _HALF)
    other = a0 * b1 + (middle & _LOW)
    return a1 * b1 + (middle >> _HALF) + (other >> _HALF)


@jit
def philox(
    c0: Word, c1: Word, c2: Word, c3: Word, k0: Word, k1: Word
) -> tuple[np.uint64, np.uint64, np.uint64, np.uint64]:
    """Four random 64-bit words of a counter of four words under a key of two."""
    c0, c1, c2, c3 = np.uint64(c0), np.uint64(c1), np.uint64(c2), np.uint64(c3)
    k0, k1 = np.uint64(k0), np.uint64(k1)
    for _ in range(10):
        h0, h1 = _high(_M0, c0), _high(_M1, c2)
        c0, c1, c2, c3 = h1 ^ c1 ^ k0, _M1 * c2, h0 ^ c3 ^ k1, _M0 * c0
        k0, k1 = k0 + _W0, k1 + _W1
    return c0, c1, c2, c3


@jit
def _unit(word: np.uint64) -> float:
    # The upper 52 bits and a half: exact in a double, never 0 and never 1.
    return (np.float64(word >> _DROP) + 0.5) * 2.0**-52


@jit
def uniform_block(seed: int, index: int, stream: int, block: int) -> tuple[float, float, float, float]:
    """Four uniform numbers, the block's place in the sequence that `fill_uniforms` writes."""
    a, b, c, d = philox(block, stream, index, 0, seed, 0)
    return _unit(a), _unit(b), _unit(c), _unit(d)


@jit
def uniform(seed: int, index: int, stream: int) -> float:
    """Uniform number between 0 and 1, both left out.

    Parameters
    ----------
    seed, index, stream
        Whole numbers: the user's seed, the number of the flight, the number of the quantity that is drawn.
    """
    return uniform_block(seed, index, stream, 0)[0]


@jit
def normal(seed: int, index: int, stream: int) -> float:
    """Standard normal number, addressed as in `uniform`."""
    return normal_quantile(uniform(seed, index, stream))


@jit
def fill_uniforms(seed: int, index: int, stream: int, out: FloatArray) -> None:
    """Fill a one-dimensional array with a sequence of uniform numbers; the first is `uniform`'s."""
    for start in range(0, out.size, 4):
        four = uniform_block(seed, index, stream, start // 4)
        for j in range(min(4, out.size - start)):
            out[start + j] = four[j]


@jit
def fill_uniform_rows(seed: int, first: int, stream: int, out: FloatArray) -> None:
    """Fill a row of an array for each of the flights that follow each other, as `fill_uniforms` does."""
    for row in range(out.shape[0]):
        fill_uniforms(seed, first + row, stream, out[row])


_A = (3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
      4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3)  # fmt: skip
_B = (1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3, 2.1213794301586595867e4,
      3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3)  # fmt: skip
_C = (1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
      1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2,
      7.74545014278341407640e-4)  # fmt: skip
_D = (1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1, 1.48103976427480074590e-1,
      1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9)  # fmt: skip
_E = (6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
      2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5,
      2.01033439929228813265e-7)  # fmt: skip
_F = (1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2, 7.86869131145613259100e-4,
      1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15)  # fmt: skip


@jit
def _ratio(
    top: tuple[float, float, float, float, float, float, float, float],
    bottom: tuple[float, float, float, float, float, float, float, float], x: float,
) -> float:  # fmt: skip
    a, b = 0.0, 0.0
    for j in range(7, -1, -1):
        a, b = a * x + top[j], b * x + bottom[j]
    return a / b


@jit
def normal_quantile(p: float) -> float:
    """Value that a standard normal number stays under with probability p, 0 < p < 1.

    Wichura's PPND16, algorithm AS 241 (Appl. Statist. 37, 477, 1988), about 16 figures; the coefficients of
    Python's statistics module (read), checked against an independent library. Beyond |p − ½| > 0.425 it takes a
    logarithm, the one step where the last bit may depend on the machine.
    """
    q = p - 0.5
    if abs(q) <= 0.425:
        return q * _ratio(_A, _B, 0.180625 - q * q)
    r = math.sqrt(-math.log(p if q < 0.0 else 1.0 - p))
    x = _ratio(_C, _D, r - 1.6) if r <= 5.0 else _ratio(_E, _F, r - 5.0)
    return -x if q < 0.0 else x
