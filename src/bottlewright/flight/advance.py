"""Within one phase of a flight: step by step to the first event, which is found on the dense output."""

import math

from bottlewright.flight.abreast import still_together, wait_for
from bottlewright.flight.balance import travel
from bottlewright.flight.charge import gas_now, open_share, until_next_edge
from bottlewright.flight.latch import LATCH_NONE, latch_feels
from bottlewright.flight.mechanism import ASLEEP, LET_GO, watch_values
from bottlewright.flight.motion import rates_apart
from bottlewright.flight.phases import (
    APOGEE,
    CHARGE_END,
    GROUND,
    GUIDE_END,
    JET_STOPS,
    LAST_DROP,
    NO_PRESSURE,
    OPENED,
)
from bottlewright.flight.runge_kutta import LAST, SPARE, dense, error_of, next_step, take_step
from bottlewright.flight.state import (
    CHARGE_A,
    CHARGE_B,
    COAST,
    EVENTS,
    GAS,
    OPENING,
    SIZE,
    SLIDE,
    SPRAY,
    STATE,
    VELOCITY,
    WATER,
    Record,
)
from bottlewright.flight.summary import update_extremes, update_extremes_within
from bottlewright.flight.vehicle import scale_charge
from bottlewright.physics import FloatArray, inline_jit, jit
from bottlewright.physics.opening import BY_TRAVEL

__all__ = ["MAX_STEPS", "ROW", "SUB_ROWS", "advance", "event_values", "record"]

MAX_STEPS = 400_000
SUB_ROWS = 3
EDGE_PASSED = 0.02
"""Part of a step within which an edge of the wall is not worth a step that ends there; our judgement."""
LOOSEST = 1e-5
"""Tolerance of the first decimetres at the most: a few steps, which everything after hangs on; at 1e-4 a launch tube's
apogee was 0.8 % off at worst."""
ROW = STATE + 3
"""A recorded row: time, phase, whether guided, state."""


@inline_jit
def event_values(phase: int, guided: bool, y: FloatArray, vehicle: Record, out: FloatArray) -> None:
    """Write event values, each positive before and not positive after; 1 where the event can't come."""
    for i in range(EVENTS):
        out[i] = 1.0
    if guided:
        out[GUIDE_END] = vehicle.guide_length - travel(y, vehicle)
    if phase == SLIDE:
        out[CHARGE_END] = vehicle.stroke - travel(y, vehicle)
    elif phase in (OPENING, WATER):
        if phase == OPENING and vehicle.opening == BY_TRAVEL:
            out[OPENED] = 1.0 - open_share(0.0, y, vehicle)
        out[CHARGE_END] = (y[CHARGE_A] - vehicle.breakthrough_volume) / vehicle.rest_volume - LAST_DROP
        if vehicle.steady_jet == 0:
            out[JET_STOPS] = y[CHARGE_B] + 1e-9
        else:
            pressure, _, _, _ = gas_now(phase, y, vehicle)
            out[JET_STOPS] = pressure / vehicle.ambient - 1.0
    elif phase == SPRAY:
        pressure, _, _, _ = gas_now(phase, y, vehicle)
        out[CHARGE_END] = y[CHARGE_A] / vehicle.water_density - 1e-9 * vehicle.rest_volume
        out[JET_STOPS] = pressure / vehicle.ambient - 1.0 - NO_PRESSURE
    elif phase == GAS:
        out[CHARGE_END] = y[CHARGE_A]
    if vehicle.held == 0:
        out[APOGEE] = y[VELOCITY + 2]
        out[GROUND] = y[2]


@inline_jit
def _all_values(phase: int, guided: bool, t: float, y: FloatArray, vehicle: Record, out: FloatArray) -> None:
    """Write all event values, those of a mechanism as well: the last rates worked out have to be of this state."""
    event_values(phase, guided, y, vehicle, out)
    if phase == COAST and vehicle.mechanism != 0 and not guided:
        watch_values(t, y, vehicle, out)


@jit
def _root(
    which: int, phase: int, guided: bool, t: float, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray,
    vehicle: Record, point: FloatArray, before: FloatArray, after: FloatArray, values: FloatArray,
) -> float:  # fmt: skip
    """Part of the step at which an event value crosses zero, from above, by Illinois regula falsi."""
    low, high = 0.0, 1.0
    f_low, f_high = before[which], after[which]
    side = 0
    for _ in range(80):
        if high - low < 1e-15:
            break
        theta = low - f_low * (high - low) / (f_high - f_low)
        if not low < theta < high:
            theta = 0.5 * (low + high)
        dense(phase, theta, h, y, trial, n, k, point)
        if which >= LET_GO:  # only what a mechanism waits for hangs on the rates
            rates_apart(phase, guided, t + theta * h, point, vehicle, k[SPARE])
        _all_values(phase, guided, t + theta * h, point, vehicle, values)
        f = values[which]
        if f > 0.0:
            low, f_low = theta, f
            if side == 1:
                f_high *= 0.5
            side = 1
        else:
            high, f_high = theta, f
            if side == -1:
                f_low *= 0.5
            side = -1
            if f == 0.0:
                break
    return high


@jit
def record(rows: FloatArray, count: int, t: float, phase: int, guided: bool, y: FloatArray, n: int) -> int:
    """Record a state where there is room for it; return how many were to be recorded so far."""
    if count < rows.shape[0]:
        rows[count, 0], rows[count, 1], rows[count, 2] = t, phase, 1.0 if guided else 0.0
        for i in range(n):
            rows[count, 3 + i] = y[i]
        for i in range(n, STATE):
            rows[count, 3 + i] = math.nan
    return count + 1


@jit
def advance(
    phase: int, guided: bool, t: float, t_stop: float, h: float, vehicle: Record, note: Record, work: Record,
    rows: FloatArray, count: int, crew: int,
) -> tuple[int, float, float, int]:  # fmt: skip
    """Integrate the state in `work` within one phase until an event or a time.

    Flights of the `crew` do so together.

    Returns
    -------
    event : int
        Which event ended it, -1 for the time, -2 for too many steps, -3 for a state that is no number.
    t, h, count
        Time, next step, recorded rows.
    """
    y = work.y  # from the record, so that the compiler sees that it is none of the others
    k, trial, point, values, after = work.k, work.trial, work.point, work.values, work.after
    n = STATE if phase == COAST and vehicle.mechanism != 0 else SIZE[phase]
    former = 1e-4
    latched = vehicle.latch != LATCH_NONE and vehicle.watch == ASLEEP
    scale_charge(phase, vehicle)
    rates_apart(phase, guided, t, y, vehicle, k[0])
    axial = vehicle.axial
    _all_values(phase, guided, t, y, vehicle, values)
    for i in range(EVENTS):
        after[i] = values[i]
    update_extremes(phase, guided, t, y, k[0], vehicle, note)
    tolerance = min(vehicle.tolerance, LOOSEST if phase == SLIDE else 1.0)
    error, met, left = 0.0, False, 0
    while t < t_stop and not met and left == 0:
        wanted = h
        if phase == WATER:
            h = min(h, until_next_edge(y, k[0], EDGE_PASSED * h, vehicle))
        h = min(h, t_stop - t)
        if note.steps >= MAX_STEPS:
            left = -2
        elif h < 1e-14 * max(t, 1e-3):
            left = -1 if t_stop - t <= h else -3
        else:
            take_step(phase, guided, t, h, y, n, vehicle, k, trial)
            error = error_of(phase, h, y, trial, n, k, vehicle.scale, tolerance, point)
            note.steps += 1
            if error > 1.0:
                h = min(next_step(h, error, 1.0), 0.9 * h)
            else:
                _all_values(phase, guided, t + h, trial, vehicle, after)  # a step ends with the rates at its end
                for i in range(EVENTS):
                    met = met or (values[i] > 0.0 and after[i] <= 0.0)
                if not met:
                    count = _record_step(phase, guided, t, h, 1.0, y, trial, n, k, point, rows, count)
                    update_extremes_within(phase, 1.0, h, y, trial, n, k, point, vehicle, note)
                    if latched:
                        latch_feels(t, h, axial, vehicle.axial, vehicle)
                    axial = vehicle.axial
                    t += h
                    _go_on_from(trial, y, n, k, after, values)
                    update_extremes(phase, guided, t, y, k[0], vehicle, note)
                    h, former = max(next_step(h, error, former), wanted if h < wanted else 0.0), error
    wait_for(crew)  # all that meet an event look for it together
    crew = still_together(crew, met)
    if left == -1:
        return -1, t_stop, 1e-5, count
    if not met:
        return left if left != 0 else -1, t, h, count
    first, part = _first_event(phase, guided, t, h, y, n, vehicle, work, crew)
    count = _record_step(phase, guided, t, h, part, y, trial, n, k, point, rows, count)
    update_extremes_within(phase, part, h, y, trial, n, k, point, vehicle, note)
    dense(phase, part, h, y, trial, n, k, point)
    for i in range(n):
        y[i] = point[i]
    t += h * part
    rates_apart(phase, guided, t, y, vehicle, k[0])
    if latched:
        latch_feels(t - h * part, h * part, axial, vehicle.axial, vehicle)
    update_extremes(phase, guided, t, y, k[0], vehicle, note)
    return first, t, min(next_step(h, error, former), h), count


@jit
def _go_on_from(trial: FloatArray, y: FloatArray, n: int, k: FloatArray, after: FloatArray, values: FloatArray) -> None:
    """Make the end of an accepted step the start of the next."""
    for i in range(n):
        y[i] = trial[i]
        k[0, i] = k[LAST, i]
    for i in range(EVENTS):
        values[i] = after[i]


@jit
def _first_event(
    phase: int, guided: bool, t: float, h: float, y: FloatArray, n: int, vehicle: Record, work: Record, crew: int
) -> tuple[int, float]:
    """Return which event comes first in a step in which one comes, and at which part of it."""
    values, after = work.values, work.after
    first, part = -1, 2.0
    for i in range(EVENTS):
        wait_for(crew)
        if values[i] > 0.0 and after[i] <= 0.0:
            theta = _root(
                i, phase, guided, t, h, y, work.trial, n, work.k, vehicle, work.point, values, after, work.scratch
            )
            if theta < part:
                first, part = i, theta
    return first, part


@jit
def _record_step(
    phase: int, guided: bool, t: float, h: float, end: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray,
    point: FloatArray, rows: FloatArray, count: int,
) -> int:  # fmt: skip
    """Record states inside a step, which an event may have ended at its part `end`; return the rows so far."""
    if rows.shape[0] > 0:
        for j in range(1, SUB_ROWS + 1):
            dense(phase, end * j / SUB_ROWS, h, y, trial, n, k, point)
            count = record(rows, count, t + h * end * j / SUB_ROWS, phase, guided, point, n)
    return count
