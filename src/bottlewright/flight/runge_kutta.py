"""One step of an embedded Runge–Kutta pair of order 5(4), its error and its dense output.

Two pairs. In the air, where accuracy sets the step: Dormand and Prince, J. Comp. Appl. Math. 6, 19 (1980). While water
leaves, the jet follows the pressure within a millisecond and stability sets the step: a pair of our own with one stage
more, whose step may be 2.6 times as long (8.48 times the jet's time against 3.31). Its coefficients and how they were
found: docs/physics/flight.md. Error and step control as in Hairer, Nørsett and Wanner, Solving Ordinary
Differential Equations I, §II.4–II.6.
"""

import math

import numpy as np

from bottlewright.flight.motion import rates
from bottlewright.flight.state import WATER, Record
from bottlewright.physics import FloatArray, inline_jit, jit

__all__ = ["ENDURANCE", "LAST", "SPARE", "STAGES", "dense", "error_of", "next_step", "pair_for", "take_step"]

PRECISE, ENDURING = 0, 1
"""The pairs: Dormand and Prince's, and the one for the jet."""

ENDURANCE = 7.2
"""Longest step of that pair as a multiple of the time that the jet takes to settle: it is stable up to 8.48."""

LAST = 7
"""Row that holds the rates at the end of a step, which begin the next."""

SPARE = 8
"""Row for rates that belong to no step."""

STAGES = np.array([6, 7])
"""Rates worked out in a step before its end is known, by pair."""

_WEIGHTS = np.zeros((2, 8, 8))
_WEIGHTS[PRECISE, 1, :1] = [1 / 5]
_WEIGHTS[PRECISE, 2, :2] = [3 / 40, 9 / 40]
_WEIGHTS[PRECISE, 3, :3] = [44 / 45, -56 / 15, 32 / 9]
_WEIGHTS[PRECISE, 4, :4] = [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729]
_WEIGHTS[PRECISE, 5, :5] = [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656]
_WEIGHTS[PRECISE, LAST, :6] = [35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84]
_WEIGHTS[ENDURING, 1, :1] = [0.1970696981812066]
_WEIGHTS[ENDURING, 2, :2] = [0.09526430435959182, 0.13770874361041763]
_WEIGHTS[ENDURING, 3, :3] = [-0.15606787311547957, -0.1529119754242564, 0.9134037836285731]
_WEIGHTS[ENDURING, 4, :4] = [0.3931150099318574, -0.5088415399913021, 0.40653203963939466, 0.3651566806679004]
_WEIGHTS[ENDURING, 5, :5] = [
    -0.17203726748846937, 0.49409601488687954, 0.15635869017891652, 0.034091456569348776, 0.4017598824587527,
]  # fmt: skip
_WEIGHTS[ENDURING, 6, :6] = [
    0.8424733611491936, -0.15271118861061453, -0.47369967171754046, 0.26331729045675334, -0.01533093677275008,
    0.5183825697059409,
]  # fmt: skip
_WEIGHTS[ENDURING, LAST, :7] = [
    0.06936153744151448, 0.0, 0.35553523406312826, 0.20484314221539426, 0.18213595268753816, 0.1604336767983318,
    0.027690456794093092,
]  # fmt: skip

_MOMENTS = _WEIGHTS.sum(axis=2)

# Weights of the stages in the estimated error, and in the last term of the dense output.
_ERROR = np.zeros((2, 8))
_ERROR[PRECISE] = [71 / 57600, 0.0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, 0.0, -1 / 40]
_ERROR[ENDURING] = [
    0.0039948388269626075, 0.0, -0.01237848603233102, 0.05297600006925119, -0.041177263577357244, -0.01804082253941062,
    0.014625733252885135, 0.0,
]  # fmt: skip
_BEND = np.zeros((2, 8))
_BEND[PRECISE] = [
    -12715105075 / 11282082432, 0.0, 87487479700 / 32700410799, -10690763975 / 1880347072,
    701980252875 / 199316789632, -1453857185 / 822651844, 0.0, 69997945 / 29380423,
]  # fmt: skip
_BEND[ENDURING] = [
    -1.4651623546998835, 0.0, 2.8654317774274776, -0.7157846339608613, -0.7946173379114227, -1.96865596797839,
    -0.4212114828769076, 2.5,
]  # fmt: skip


@jit
def pair_for(phase: int) -> int:
    """Return the pair that a phase is integrated by."""
    return ENDURING if phase == WATER else PRECISE


@jit
def _weigh(weights: FloatArray, k: FloatArray, i: int) -> float:
    """Weighted sum of all stages of one entry. Written out: the compiler makes it four entries at a time."""
    return float(
        weights[0] * k[0, i] + weights[1] * k[1, i] + weights[2] * k[2, i] + weights[3] * k[3, i]
        + weights[4] * k[4, i] + weights[5] * k[5, i] + weights[6] * k[6, i] + weights[7] * k[7, i]
    )  # fmt: skip


@inline_jit
def _lean(y: FloatArray, h: float, w: FloatArray, k: FloatArray, n: int, stages: int, trial: FloatArray) -> None:
    """Write the state to which the first stages lead. Written out, as in `_weigh`: those to come are not read."""
    if stages == 1:
        for i in range(n):
            trial[i] = y[i] + h * (w[0] * k[0, i])
    elif stages == 2:
        for i in range(n):
            trial[i] = y[i] + h * (w[0] * k[0, i] + w[1] * k[1, i])
    elif stages == 3:
        for i in range(n):
            trial[i] = y[i] + h * (w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i])
    elif stages == 4:
        for i in range(n):
            trial[i] = y[i] + h * (w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i] + w[3] * k[3, i])
    elif stages == 5:
        for i in range(n):
            trial[i] = y[i] + h * (
                w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i] + w[3] * k[3, i] + w[4] * k[4, i]
            )
    elif stages == 6:
        for i in range(n):
            trial[i] = y[i] + h * (
                w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i] + w[3] * k[3, i] + w[4] * k[4, i] + w[5] * k[5, i]
            )
    else:
        for i in range(n):
            trial[i] = y[i] + h * (
                w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i] + w[3] * k[3, i] + w[4] * k[4, i] + w[5] * k[5, i]
                + w[6] * k[6, i]
            )  # fmt: skip


@inline_jit
def take_step(
    phase: int, guided: bool, t: float, h: float, y: FloatArray, n: int, vehicle: Record, k: FloatArray,
    trial: FloatArray
) -> None:
    """Fill the other stages from k[0] and write the new state to `trial`.

    Parameters
    ----------
    phase, guided, t, h
        Phase of flight, whether the guide holds, time and step, s.
    y, n
        State and the number of its entries in use.
    vehicle
        Prepared vehicle, site and weather.
    k
        Array (9, STATE): stages; k[0] holds the rates at (t, y) on entry and k[LAST] those at the end of the step.
    trial
        State at t + h, written in place.
    """
    pair = pair_for(phase)
    for stage in range(1, LAST + 1):
        if stage == LAST or stage < STAGES[pair]:
            _lean(y, h, _WEIGHTS[pair, stage], k, n, min(stage, STAGES[pair]), trial)
            rates(phase, guided, t + h * _MOMENTS[pair, stage], trial, vehicle, k[stage])
    for stage in range(STAGES[pair], LAST):  # no such stage: it counts for nothing in what follows
        for i in range(n):
            k[stage, i] = 0.0


@inline_jit
def error_of(
    phase: int, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, scale: FloatArray, tolerance: float,
    parts: FloatArray,
) -> float:  # fmt: skip
    """Largest estimated error of a step over all entries, as a multiple of what is allowed (infinite if not a number).

    An entry may err by tolerance × (its scale + its size). `parts` is scratch for n numbers.
    """
    weights = _ERROR[pair_for(phase)]
    for i in range(n):
        error = abs(h * _weigh(weights, k, i))
        parts[i] = error / (tolerance * (scale[i] + max(abs(y[i]), abs(trial[i]))))
    worst, sound = 0.0, 0.0
    for i in range(n):
        worst = max(worst, parts[i])
        sound += parts[i] - parts[i]  # not a number if a part is none, or infinite
    return worst if sound == 0.0 else math.inf


@inline_jit
def next_step(h: float, error: float, former: float) -> float:
    """Step that a proportional–integral controller asks for after a step with an error, and the one before (Hairer)."""
    if error == math.inf:
        return 0.1 * h
    part = 0.9 * max(error, 1e-10) ** -0.17 * max(former, 1e-4) ** 0.04
    return float(h * min(max(part, 0.2), 8.0))


@jit
def dense(
    phase: int, theta: float, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, out: FloatArray
) -> None:
    """Write the state at a part theta (0 to 1) of the step; fourth order."""
    weights = _BEND[pair_for(phase)]
    rest = 1.0 - theta
    for i in range(n):
        rise = trial[i] - y[i]
        bend = h * k[0, i] - rise
        last = h * _weigh(weights, k, i)
        out[i] = y[i] + theta * (rise + rest * (bend + theta * (rise - h * k[LAST, i] - bend + rest * last)))
