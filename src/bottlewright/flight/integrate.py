"""One flight from release to ground: phases in turn, each ended by an event found on the dense output.

A flight takes off, goes through its turns, and is summed up. Between turns its state lies in the scratch record.
"""

import math

import numpy as np

from bottlewright.flight.abreast import ALL, still_together, wait_for, wait_for_all
from bottlewright.flight.balance import travel
from bottlewright.flight.charge import gas_now, jet_settling_rate, open_share
from bottlewright.flight.latch import LATCH_NONE, latch_feels
from bottlewright.flight.mechanism import ASLEEP, DUE, LET_GO, felt_enough, wake, watch_values
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
    begin,
    landing,
    leave_guide,
    next_phase,
    release,
    set_down,
    stays,
    stuck_on_seal,
    weigh_out,
)
from bottlewright.flight.runge_kutta import ENDURANCE, LAST, SPARE, dense, error_of, next_step, take_step
from bottlewright.flight.state import (
    CANOPY,
    CHARGE_A,
    CHARGE_B,
    COAST,
    EVENTS,
    GAS,
    IMPULSE,
    OPENING,
    SIZE,
    SLIDE,
    SPRAY,
    STATE,
    VELOCITY,
    WATER,
    Endings,
    Record,
)
from bottlewright.flight.summary import speed_of, update_extremes, update_extremes_within
from bottlewright.flight.vehicle import scale_charge
from bottlewright.physics import FloatArray, entry_jit, inline_jit, jit
from bottlewright.physics.opening import BY_TIME, BY_TRAVEL, LEAST_SHARE
from bottlewright.physics.supply import HOSE

__all__ = ["MAX_STEPS", "ROW", "SUB_ROWS", "TURNS", "advance", "event_values", "fly_turn", "integrate_flight",
           "sum_up", "take_off"]  # fmt: skip

MAX_STEPS = 400_000
SUB_ROWS = 3
ROW = STATE + 3
"""A recorded row: time, phase, whether guided, state."""

_FIRST_STEP = np.array([5e-4, 3e-6, 1e-5, 1e-5, 1e-4, 1e-3, 1e-3, 1e-3])
"""First step tried in each phase, s; the error control has the last word."""

_FLYING = -1
"""Ending of a flight that has none yet."""

_TURN = np.array([0, 1, 2, 3, 3, 4, 5, 4])
TURNS = 6
"""Whose turn it is, by phase, and how many turns there are. One flight goes through its phases as they come either way;
flights abreast on a graphics card wait for each other at each turn, and so are worked out together."""


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
def _record(rows: FloatArray, count: int, t: float, phase: int, guided: bool, y: FloatArray, n: int) -> int:
    if count < rows.shape[0]:
        rows[count, 0], rows[count, 1], rows[count, 2] = t, phase, 1.0 if guided else 0.0
        for i in range(n):
            rows[count, 3 + i] = y[i]
        for i in range(n, STATE):
            rows[count, 3 + i] = math.nan
    return count + 1


@inline_jit
def advance(
    phase: int, guided: bool, t: float, t_stop: float, h: float, y: FloatArray, vehicle: Record, note: Record,
    work: Record, rows: FloatArray, count: int, crew: int,
) -> tuple[int, float, float, int]:  # fmt: skip
    """Integrate within one phase until an event or a time.

    Flights of the `crew` do so together.

    Returns
    -------
    event : int
        Which event ended it, -1 for the time, -2 for too many steps, -3 for a state that is no number.
    t, h, count
        Time, next step, recorded rows.
    """
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
    jets = phase in (OPENING, WATER) and vehicle.steady_jet == 0
    settling = jet_settling_rate(phase, t, y, vehicle) if jets else 0.0
    error, met, left = 0.0, False, 0
    while t < t_stop and not met and left == 0:
        if jets:
            h = min(h, ENDURANCE / max(settling, 1e-9))
        h = min(h, t_stop - t)
        if note.steps >= MAX_STEPS:
            left = -2
        elif h < 1e-14 * max(t, 1e-3):
            left = -1 if t_stop - t <= h else -3
        else:
            take_step(phase, guided, t, h, y, n, vehicle, k, trial)
            error = error_of(phase, h, y, trial, n, k, vehicle.scale, vehicle.tolerance, point)
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
                    if jets:
                        settling = jet_settling_rate(phase, t, y, vehicle)
                    h, former = next_step(h, error, former), error
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
            count = _record(rows, count, t + h * end * j / SUB_ROWS, phase, guided, point, n)
    return count


@jit
def _next_moment(phase: int, t: float, release_at: float, vehicle: Record) -> float:
    """Time that a phase may run to when nothing happens before: something is due then, s."""
    t_stop = vehicle.time_limit
    if phase == COAST and min(release_at, vehicle.due) < t_stop:
        t_stop = max(min(release_at, vehicle.due), t + 1e-9)
    if phase == OPENING and vehicle.opening == BY_TIME:
        t_stop = min(t_stop, vehicle.opened_at + vehicle.opening_time * (1.0 - LEAST_SHARE))
    if phase == CANOPY and t < vehicle.canopy_out_time + vehicle.filling_time:
        t_stop = min(t_stop, vehicle.canopy_out_time + vehicle.filling_time)
    return float(t_stop)


@jit
def _attend(t: float, y: FloatArray, vehicle: Record, note: Record, work: Record) -> float:
    """Wake the mechanism, and let what it waits for count at once where that is so already.

    A search for changes of sign would miss it.
    """
    release_at = math.inf
    rates_apart(COAST, False, t, y, vehicle, work.k[SPARE])
    if vehicle.watch == ASLEEP:
        release_at = wake(t, y, vehicle, note)
    for i in range(EVENTS):
        work.scratch[i] = 1.0
    watch_values(t, y, vehicle, work.scratch)
    if work.scratch[LET_GO] <= 0.0:
        release_at = min(release_at, felt_enough(LET_GO, t, y, vehicle, note))
    return release_at


@jit
def _note_top(t: float, y: FloatArray, note: Record) -> None:
    """Note the highest of all tops."""
    if not y[2] <= note.apogee_m:
        note.apogee_m, note.apogee_time_s = y[2], t
        note.apogee_east_m, note.apogee_north_m = y[0], y[1]
        note.apogee_speed_m_s = speed_of(y)


@jit
def _note_push(t: float, y: FloatArray, note: Record) -> None:
    """Note the end of the push: the air is out."""
    note.gas_out_time_s = t
    note.air_out_speed_m_s = speed_of(y)
    note.impulse_total_N_s = y[IMPULSE]
    note.impulse_tail_N_s = y[IMPULSE] - note.impulse_slide_N_s - note.impulse_water_N_s
    note.tail_time_s = t - note.water_time_s


@jit
def take_off(vehicle: Record, note: Record, work: Record, rows: FloatArray) -> None:
    """Set a prepared vehicle on its launcher, and let go; for the arguments see `integrate_flight`."""
    y = work.y
    phase = begin(y, vehicle, note)
    work.phase, work.guided = phase, vehicle.held == 0
    work.t, work.h = 0.0, _FIRST_STEP[phase]
    work.release_at = vehicle.release_delay if vehicle.release == 1 and vehicle.recovery != 0 else math.inf
    note.lift_off_mass_kg = vehicle.dry_mass + vehicle.start_gas + vehicle.water_volume * vehicle.water_density
    work.count = _record(rows, 0, 0.0, phase, vehicle.held == 0, y, SIZE[phase])
    note.ending = _FLYING
    if phase == SLIDE and stuck_on_seal(vehicle):
        note.ending, note.flight_time_s, note.apogee_m = Endings.stuck, 0.0, 0.0


@jit
def fly_turn(turn: int, vehicle: Record, note: Record, work: Record, rows: FloatArray) -> None:
    """Fly on through the phases of one turn; for the other arguments see `integrate_flight`."""
    y, phase, guided, t, h, count = work.y, work.phase, work.guided, work.t, work.h, work.count
    release_at = work.release_at
    wait_for_all()
    crew = ALL
    while True:
        crew = still_together(crew, note.ending == _FLYING and _TURN[phase] <= turn)
        if crew == 0:
            break
        if vehicle.mechanism != 0 and phase == COAST and not guided:
            release_at = min(release_at, _attend(t, y, vehicle, note, work))
        t_stop = _next_moment(phase, t, release_at, vehicle)
        event, t, h, count = advance(phase, guided, t, t_stop, h, y, vehicle, note, work, rows, count, crew)
        if event < 0:
            phase, guided, h, release_at = _time_came(event, phase, guided, t, h, release_at, y, vehicle, note)
        elif event == GROUND:
            phase, h, release_at = _touched(phase, guided, t, h, release_at, y, vehicle, note)
        else:
            phase, guided, h, release_at = _met(event, phase, guided, t, h, release_at, y, vehicle, note)
    work.phase, work.guided, work.t, work.h, work.release_at, work.count = phase, guided, t, h, release_at, count


@jit
def _time_came(
    event: int, phase: int, guided: bool, t: float, h: float, release_at: float, y: FloatArray, vehicle: Record,
    note: Record,
) -> tuple[int, bool, float, float]:  # fmt: skip
    """Go on where no event ended a stretch; return phase, whether guided, next step, time of release."""
    if event == -2:
        note.ending = Endings.too_many_steps
    elif event == -3:
        note.ending = Endings.not_finite
    elif t >= vehicle.time_limit:
        note.ending, note.flight_time_s = Endings.cut_off, t
    elif phase == OPENING:
        phase = WATER
    else:
        if phase == COAST and t >= vehicle.due:
            release_at = min(release_at, felt_enough(DUE, t, y, vehicle, note))
        elif phase == COAST:
            phase, guided = release(t, y, vehicle, note), False
        h = 1e-3
    return phase, guided, h, release_at


@jit
def _touched(
    phase: int, guided: bool, t: float, h: float, release_at: float, y: FloatArray, vehicle: Record, note: Record
) -> tuple[int, float, float]:
    """Go on from the ground, if it does; return phase, next step, time of release."""
    if phase == SLIDE:
        # What did not carry it off its seal has less pressure now than it had.
        note.ending, note.flight_time_s = Endings.never_left, t
    elif guided and phase <= GAS:
        # It hopped and stands on its launcher again, still pushing: it may yet grow light enough to go.
        set_down(y)
        phase = WATER if phase == OPENING else phase
        if stays(phase, y, vehicle):
            note.ending, note.flight_time_s = Endings.never_left, t
        else:
            if vehicle.release == 0:
                release_at = math.inf
            h = _FIRST_STEP[phase]
    else:
        landing(phase, y, vehicle, note)
        note.ending, note.flight_time_s = Endings.landed, t
    return phase, h, release_at


@jit
def _met(
    event: int, phase: int, guided: bool, t: float, h: float, release_at: float, y: FloatArray, vehicle: Record,
    note: Record,
) -> tuple[int, bool, float, float]:  # fmt: skip
    """Go on from an event in the air; return phase, whether guided, next step, time of release."""
    if event >= LET_GO:
        return phase, guided, 1e-3, min(release_at, felt_enough(event, t, y, vehicle, note))
    if event == GUIDE_END:
        leave_guide(t, y, vehicle, note)
        return phase, False, h, release_at
    if event == APOGEE:
        _note_top(t, y, note)
        if phase == SLIDE and vehicle.supply != HOSE and vehicle.heat_transfer == 0.0:
            # Nothing feeds or warms the gas: it can only bounce on its seal, never higher than now.
            note.ending, note.flight_time_s = Endings.never_left, t
            return phase, guided, h, release_at
        if vehicle.recovery != 0 and vehicle.release == 0 and release_at == math.inf:
            release_at = t + vehicle.release_delay
        # Just past the top, so that the event is not met again at once.
        y[VELOCITY + 2] = min(y[VELOCITY + 2], -1e-12)
        return phase, guided, h, release_at
    former, phase = phase, next_phase(phase, event, t, y, vehicle, note)
    h = h if former == OPENING and phase == WATER else _FIRST_STEP[phase]
    if phase == COAST:
        _note_push(t, y, note)
    if phase == COAST and vehicle.held != 0:
        note.ending = Endings.fired
    elif guided and vehicle.held == 0 and speed_of(y) <= 1e-6 and stays(phase, y, vehicle):
        note.ending, note.flight_time_s = Endings.never_left, t
    return phase, guided, h, release_at


@jit
def sum_up(vehicle: Record, note: Record, work: Record) -> None:
    """Note how a flight ended; for the arguments see `integrate_flight`."""
    phase, y = work.phase, work.y
    bounces = phase == SLIDE and not math.isnan(note.apogee_m)
    if note.ending == Endings.cut_off and work.guided and (bounces or speed_of(y) <= 1e-6):
        note.ending = Endings.never_left
    if note.ending == Endings.never_left and math.isnan(note.apogee_m):
        note.apogee_m = 0.0
    weigh_out(phase, y, vehicle, note)


@entry_jit
def integrate_flight(vehicle: Record, note: Record, work: Record, rows: FloatArray) -> int:
    """Fly one prepared vehicle.

    Parameters
    ----------
    vehicle
        Record of `bottlewright.flight.vehicle.VEHICLE`, prepared; what is left in the vessel is written back to it.
    note
        Record of `SUMMARY`, cleared to NaN by the caller and filled here.
    work
        Scratch: a record of `bottlewright.flight.vehicle.WORK`.
    rows
        Array (m, ROW) that the recorded states go to; m = 0 to record none.

    Returns
    -------
    int
        Number of rows that were wanted; more than m when the array was too short.
    """
    take_off(vehicle, note, work, rows)
    for turn in range(TURNS):
        fly_turn(turn, vehicle, note, work, rows)
    sum_up(vehicle, note, work)
    return int(work.count)
