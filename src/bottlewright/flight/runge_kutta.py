"""One step of the embedded Runge–Kutta pair of order 5(4), its error and its dense output.

Dormand and Prince, J. Comp. Appl. Math. 6, 19 (1980); dense output and step control as in Hairer, Nørsett and Wanner,
Solving Ordinary Differential Equations I, §II.4–II.6.
"""

import math

from bottlewright.flight.motion import rates
from bottlewright.flight.state import Record
from bottlewright.physics import FloatArray, jit

__all__ = ["STAGES", "dense", "error_of", "next_step", "take_step"]

STAGES = 7

_A21 = 1 / 5
_A31, _A32 = 3 / 40, 9 / 40
_A41, _A42, _A43 = 44 / 45, -56 / 15, 32 / 9
_A51, _A52, _A53, _A54 = 19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729
_A61, _A62, _A63, _A64, _A65 = 9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656
_B1, _B3, _B4, _B5, _B6 = 35 / 384, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84
_E1, _E3, _E4, _E5, _E6, _E7 = 71 / 57600, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40
_D1, _D3 = -12715105075 / 11282082432, 87487479700 / 32700410799
_D4, _D5 = -10690763975 / 1880347072, 701980252875 / 199316789632
_D6, _D7 = -1453857185 / 822651844, 69997945 / 29380423


@jit
def take_step(
    phase: int, guided: bool, t: float, h: float, y: FloatArray, n: int, craft: Record, k: FloatArray, trial: FloatArray
) -> None:
    """Fill stages k[1] to k[6] from k[0] and write the new state to `trial`.

    Parameters
    ----------
    phase, guided, t, h
        Phase of flight, whether the guide holds, time and step, s.
    y, n
        State and the number of its entries in use.
    craft
        Prepared vehicle, site and weather.
    k
        Array (7, STATE): stages; k[0] holds the rates at (t, y) on entry and k[6] those at the end of the step.
    trial
        State at t + h, written in place.
    """
    for i in range(n):
        trial[i] = y[i] + h * _A21 * k[0, i]
    rates(phase, guided, t + h / 5, trial, craft, k[1])
    for i in range(n):
        trial[i] = y[i] + h * (_A31 * k[0, i] + _A32 * k[1, i])
    rates(phase, guided, t + h * 0.3, trial, craft, k[2])
    for i in range(n):
        trial[i] = y[i] + h * (_A41 * k[0, i] + _A42 * k[1, i] + _A43 * k[2, i])
    rates(phase, guided, t + h * 0.8, trial, craft, k[3])
    for i in range(n):
        trial[i] = y[i] + h * (_A51 * k[0, i] + _A52 * k[1, i] + _A53 * k[2, i] + _A54 * k[3, i])
    rates(phase, guided, t + h * (8 / 9), trial, craft, k[4])
    for i in range(n):
        trial[i] = y[i] + h * (
            _A61 * k[0, i] + _A62 * k[1, i] + _A63 * k[2, i] + _A64 * k[3, i] + _A65 * k[4, i]
        )
    rates(phase, guided, t + h, trial, craft, k[5])
    for i in range(n):
        trial[i] = y[i] + h * (_B1 * k[0, i] + _B3 * k[2, i] + _B4 * k[3, i] + _B5 * k[4, i] + _B6 * k[5, i])
    rates(phase, guided, t + h, trial, craft, k[6])


@jit
def error_of(
    h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, scale: FloatArray, tolerance: float
) -> float:
    """Largest estimated error of a step over all entries, as a multiple of what is allowed (infinite if not a number).

    An entry may err by tolerance × (its scale + its size).
    """
    worst = 0.0
    for i in range(n):
        e = h * (
            _E1 * k[0, i] + _E3 * k[2, i] + _E4 * k[3, i] + _E5 * k[4, i] + _E6 * k[5, i] + _E7 * k[6, i]
        )
        part = abs(e) / (tolerance * (scale[i] + max(abs(y[i]), abs(trial[i]))))
        if not part <= worst:
            worst = part
        if math.isnan(part):
            return math.inf
    return worst


@jit
def next_step(h: float, error: float, former: float) -> float:
    """Step that a proportional–integral controller asks for after a step with an error, and the one before (Hairer)."""
    if error == math.inf:
        return 0.1 * h
    part = 0.9 * max(error, 1e-10) ** -0.17 * max(former, 1e-4) ** 0.04
    return float(h * min(max(part, 0.2), 8.0))


@jit
def dense(theta: float, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, out: FloatArray) -> None:
    """Write the state at a part theta (0 to 1) of the step; fourth order."""
    rest = 1.0 - theta
    for i in range(n):
        rise = trial[i] - y[i]
        bend = h * k[0, i] - rise
        last = h * (
            _D1 * k[0, i] + _D3 * k[2, i] + _D4 * k[3, i] + _D5 * k[4, i] + _D6 * k[5, i] + _D7 * k[6, i]
        )
        out[i] = y[i] + theta * (rise + rest * (bend + theta * (rise - h * k[6, i] - bend + rest * last)))
