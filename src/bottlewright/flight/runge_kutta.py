"""One step of an embedded Runge–Kutta pair of order 5(4), its error and its dense output.

Three pairs. In the air, where accuracy sets the step: Dormand and Prince, J. Comp. Appl. Math. 6, 19 (1980). While
water leaves, the jet follows the pressure within a millisecond, far quicker than anything else changes: the additive
pair ARK5(4)8L[2]SA₂ of Kennedy and Carpenter, Appl. Numer. Math. 136, 183 (2019), whose stages are implicit in the
jet's speed, which each finds in closed form (`bottlewright.physics.water_jet`), and explicit in all else. Under a
canopy, where the fall settles quicker than it changes: a pair of our own with one stage more than Dormand and Prince's,
whose step may be 2.6 times as long. What was found by us is in docs/physics/flight.md. Error and step control as in
Hairer, Nørsett and Wanner, Solving Ordinary Differential Equations I, §II.4–II.6.
"""

import math

import numpy as np

from bottlewright.flight.motion import rates
from bottlewright.flight.state import CANOPY, CHARGE_B, COAST, OPENING, VELOCITY, WATER, Record
from bottlewright.physics import FloatArray, inline_jit, jit

__all__ = ["LAST", "SPARE", "STAGES", "dense", "error_of", "next_step", "pair_for", "take_step"]

PRECISE, ENDURING, SETTLING = 0, 1, 2
"""The pairs: Dormand and Prince's, the one for a canopy, and the one for the jet."""

LAST = 8
"""Row that holds the rates at the end of a step, which begin the next."""

SPARE = 9
"""Row for rates that belong to no step."""

STAGES = np.array([6, 7, 8])
"""Rates worked out in a step before its end is known, by pair."""

_WEIGHTS = np.zeros((3, 9, 9))
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

_WEIGHTS[SETTLING, 1, :1] = [4 / 9]
_WEIGHTS[SETTLING, 2, :2] = [1 / 9, 1183333538310 / 1827251437969]
_WEIGHTS[SETTLING, 3, :3] = [895379019517 / 9750411845327, 477606656805 / 13473228687314, -112564739183 / 9373365219272]
_WEIGHTS[SETTLING, 4, :4] = [
    -4458043123994 / 13015289567637, -2500665203865 / 9342069639922, 983347055801 / 8893519644487,
    2185051477207 / 2551468980502,
]  # fmt: skip
_WEIGHTS[SETTLING, 5, :5] = [
    -167316361917 / 17121522574472, 1605541814917 / 7619724128744, 991021770328 / 13052792161721,
    2342280609577 / 11279663441611, 3012424348531 / 12792462456678,
]  # fmt: skip
_WEIGHTS[SETTLING, 6, :6] = [
    6680998715867 / 14310383562358, 5029118570809 / 3897454228471, 2415062538259 / 6382199904604,
    -3924368632305 / 6964820224454, -4331110370267 / 15021686902756, -3944303808049 / 11994238218192,
]  # fmt: skip
_WEIGHTS[SETTLING, 7, :7] = [
    2193717860234 / 3570523412979, 2193717860234 / 3570523412979, 5952760925747 / 18750164281544,
    -4412967128996 / 6196664114337, 4151782504231 / 36106512998704, 572599549169 / 6265429158920,
    -457874356192 / 11306498036315,
]  # fmt: skip
_ENDS = [
    0.0, 0.0, 3517720773327 / 20256071687669, 4569610470461 / 17934693873752, 2819471173109 / 11655438449929,
    3296210113763 / 10722700128969, -1142099968913 / 5710983926999, 2 / 9,
]  # fmt: skip
_WEIGHTS[SETTLING, LAST, :8] = _ENDS

_AHEAD = 2 / 9
"""Part of the step by which an implicit stage counts its own rate."""
_IMPLICIT = np.zeros((9, 8))
"""Weights of the stages before, of the jet's speed alone, where they are not those of all else."""
_IMPLICIT[1, :1] = _AHEAD
_IMPLICIT[2, :2] = 2366667076620 / 8822750406821
_IMPLICIT[3, :3] = [-257962897183 / 4451812247028, -257962897183 / 4451812247028, 128530224461 / 14379561246022]
_IMPLICIT[4, :4] = [
    -486229321650 / 11227943450093, -486229321650 / 11227943450093, -225633144460 / 6633558740617,
    1741320951451 / 6824444397158,
]  # fmt: skip
_IMPLICIT[5, :5] = [
    621307788657 / 4714163060173, 621307788657 / 4714163060173, -125196015625 / 3866852212004,
    940440206406 / 7593089888465, 961109811699 / 6734810228204,
]  # fmt: skip
_IMPLICIT[6, :6] = [
    2036305566805 / 6583108094622, 2036305566805 / 6583108094622, -3039402635899 / 4450598839912,
    -1829510709469 / 31102090912115, -286320471013 / 6931253422520, 8651533662697 / 9642993110008,
]  # fmt: skip
_IMPLICIT[7, :7] = _ENDS[:7]

_MOMENTS = _WEIGHTS.sum(axis=2)

# Weights of the stages in the estimated error, and in the last term of the dense output.
_ERROR = np.zeros((3, 9))
_ERROR[PRECISE] = [71 / 57600, 0.0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, 0.0, 0.0, -1 / 40]
_ERROR[ENDURING] = [
    0.0039948388269626075, 0.0, -0.01237848603233102, 0.05297600006925119, -0.041177263577357244, -0.01804082253941062,
    0.014625733252885135, 0.0, 0.0,
]  # fmt: skip
_ERROR[SETTLING, 2:8] = np.array(_ENDS[2:]) - [
    520639020421 / 8300446712847, 4550235134915 / 17827758688493, 1482366381361 / 6201654941325,
    5551607622171 / 13911031047899, -5266607656330 / 36788968843917, 1074053359553 / 5740751784926,
]  # fmt: skip
_BEND = np.zeros((3, 9))
_BEND[PRECISE] = [
    -12715105075 / 11282082432, 0.0, 87487479700 / 32700410799, -10690763975 / 1880347072,
    701980252875 / 199316789632, -1453857185 / 822651844, 0.0, 0.0, 69997945 / 29380423,
]  # fmt: skip
_BEND[ENDURING] = [
    -1.4651623546998835, 0.0, 2.8654317774274776, -0.7157846339608613, -0.7946173379114227, -1.96865596797839,
    -0.4212114828769076, 0.0, 2.5,
]  # fmt: skip
_BEND[SETTLING] = [
    -2.5, 0.0, 0.0, 2.935420181586713, 1.0744420528896146, -3.1426927498387216, 2.0393515876362813,
    -2.9065210722738866, 2.5,
]  # fmt: skip


@jit
def pair_for(phase: int, y: FloatArray) -> int:
    """Return the pair for a step in a phase that begins at a state."""
    if phase in (OPENING, WATER):
        return SETTLING
    settles = phase == CANOPY or (phase == COAST and y[VELOCITY + 2] > 0.0)
    return ENDURING if settles else PRECISE


@jit
def _weigh(weights: FloatArray, k: FloatArray, i: int) -> float:
    """Weighted sum of all stages of one entry. Written out: the compiler makes it four entries at a time."""
    return float(
        weights[0] * k[0, i] + weights[1] * k[1, i] + weights[2] * k[2, i] + weights[3] * k[3, i]
        + weights[4] * k[4, i] + weights[5] * k[5, i] + weights[6] * k[6, i] + weights[7] * k[7, i]
        + weights[8] * k[8, i]
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
    elif stages == 7:
        for i in range(n):
            trial[i] = y[i] + h * (
                w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i] + w[3] * k[3, i] + w[4] * k[4, i] + w[5] * k[5, i]
                + w[6] * k[6, i]
            )  # fmt: skip
    else:
        for i in range(n):
            trial[i] = y[i] + h * (
                w[0] * k[0, i] + w[1] * k[1, i] + w[2] * k[2, i] + w[3] * k[3, i] + w[4] * k[4, i] + w[5] * k[5, i]
                + w[6] * k[6, i] + w[7] * k[7, i]
            )  # fmt: skip


@inline_jit
def _look_ahead(y: FloatArray, h: float, k: FloatArray, stage: int, trial: FloatArray, vehicle: Record) -> None:
    """Write of the jet's speed what its own weights lead to; the rates find what lies `jet_lead` ahead of it."""
    total = 0.0
    for i in range(stage):
        total += _IMPLICIT[stage, i] * k[i, CHARGE_B]
    trial[CHARGE_B] = y[CHARGE_B] + h * total
    vehicle.jet_lead = _AHEAD * h


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
        Array (10, STATE): stages; k[0] holds the rates at (t, y) on entry and k[LAST] those at the end of the step.
    trial
        State at t + h, written in place.
    """
    pair = pair_for(phase, y)
    for stage in range(1, LAST + 1):
        if stage == LAST or stage < STAGES[pair]:
            _lean(y, h, _WEIGHTS[pair, stage], k, n, min(stage, STAGES[pair]), trial)
            vehicle.jet_lead = 0.0
            if pair == SETTLING and stage != LAST:
                _look_ahead(y, h, k, stage, trial, vehicle)
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
    weights = _ERROR[pair_for(phase, y)]
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
    weights = _BEND[pair_for(phase, y)]
    rest = 1.0 - theta
    for i in range(n):
        rise = trial[i] - y[i]
        bend = h * k[0, i] - rise
        last = h * _weigh(weights, k, i)
        out[i] = y[i] + theta * (rise + rest * (bend + theta * (rise - h * k[LAST, i] - bend + rest * last)))
