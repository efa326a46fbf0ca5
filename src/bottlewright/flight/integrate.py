"""One flight from release to ground: phases in turn, each ended by an event.

A flight takes off, goes through its turns, and is summed up. Between turns its state lies in the scratch record.
"""

import math

import numpy as np

from bottlewright.flight.abreast import ALL, still_together, wait_for_all
from bottlewright.flight.advance import advance, record
from bottlewright.flight.mechanism import ASLEEP, DUE, LET_GO, felt_enough, wake, watch_values
from bottlewright.flight.motion import rates_apart
from bottlewright.flight.phases import (
    APOGEE,
    GROUND,
    GUIDE_END,
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
from bottlewright.flight.runge_kutta import SPARE
from bottlewright.flight.state import (
    CANOPY,
    COAST,
    EVENTS,
    GAS,
    IMPULSE,
    OPENING,
    SIZE,
    SLIDE,
    VELOCITY,
    WATER,
    Endings,
    Record,
)
from bottlewright.flight.summary import speed_of
from bottlewright.physics import FloatArray, entry_jit, jit
from bottlewright.physics.opening import BY_TIME, LEAST_SHARE
from bottlewright.physics.supply import HOSE

__all__ = ["PUSHED", "TURNS", "fly_turn", "integrate_flight", "sum_up", "take_off"]

_FIRST_STEP = np.array([5e-4, 3e-6, 1e-5, 1e-5, 1e-4, 1e-3, 1e-3, 1e-3])
"""First step tried in each phase, s; the error control has the last word."""

_FLYING = -1
"""Ending of a flight that has none yet."""

_TURN = np.array([0, 1, 2, 3, 3, 4, 5, 4])
TURNS = 6
"""Whose turn it is, by phase, and how many turns there are. One flight goes through its phases as they come either way;
flights abreast on a graphics card wait for each other at each turn, and so are worked out together."""
PUSHED = 4
"""Turns until the push is over."""


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
    work.count = record(rows, 0, 0.0, phase, vehicle.held == 0, y, SIZE[phase])
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
        event, t, h, count = advance(phase, guided, t, t_stop, h, vehicle, note, work, rows, count, crew)
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
        Scratch: a record of `bottlewright.flight.vehicle.WORK`. It says how many turns are behind, and how many are
        left out at the end; with vehicle and note it is all that these need later.
    rows
        Array (m, ROW) that the recorded states go to; m = 0 to record none.

    Returns
    -------
    int
        Number of rows that were wanted; more than m when the array was too short.
    """
    last = TURNS - work.turns_left_out
    if work.turns_behind == 0:
        take_off(vehicle, note, work, rows)
    for turn in range(work.turns_behind, last):
        fly_turn(turn, vehicle, note, work, rows)
    if last == TURNS:
        sum_up(vehicle, note, work)
    return int(work.count)
