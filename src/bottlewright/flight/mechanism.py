"""The mechanism that lets the canopy out: what it feels in coast, and what happens when it has felt enough.

The charge's three numbers are free in coast: way and speed of a nose that slides off its seat, and the height that a
barometer shows. A mechanism sleeps until the push is over and the guide is left; a condition that is true by then
counts at once. docs/physics/recovery.md §7.
"""

import math

from bottlewright.flight.latch import LATCH_ARMED, LATCH_FREE, LATCH_WAITS
from bottlewright.flight.state import ATTITUDE, CHARGE_A, CHARGE_B, CHARGE_C, Record
from bottlewright.physics import FloatArray, inline_jit, jit
from bottlewright.physics.air import density_viscosity, pressure_at
from bottlewright.physics.nose_joint import joint_pull, push_left, reduced_mass, vented_cavity
from bottlewright.physics.release_switches import port_error

__all__ = [
    "ASLEEP", "CLEAR", "DUE", "HELD", "LET_GO", "LOOSE_NOSE", "NO_MECHANISM", "OPENER", "SPRUNG_NOSE",
    "STANDARD_GRAVITY", "feel", "felt_enough", "wake", "watch_values",
]  # fmt: skip

LET_GO, CLEAR, DUE = 6, 7, 8
"""Events, beside those of `bottlewright.flight.phases`; what is due comes at its time and needs no search."""

NO_MECHANISM, LOOSE_NOSE, SPRUNG_NOSE, OPENER = 0, 1, 2, 3
"""What opens; an opener is a door, a flap or the joint of two halves."""

NO_TRIP, TIMER, BAROMETER, GYRO, LOW_AIRSPEED, FREE_FALL, TILT_BALL = 0, 1, 2, 3, 4, 5, 6

LEAKY, SEALED, VENTED = 0, 1, 2

ASLEEP, TRIPPING, OPENING_LATCH, HELD, SLIDING, OPEN, NEVER = 0, 1, 2, 3, 4, 5, 6
"""How far it has come: its trip is watched; the latch is on its way; the seat's friction alone holds the nose."""

STANDARD_GRAVITY = 9.80665
"""Of what is given in g, m/s²."""
_ARMED = 2.0
"""Dynamic pressure that arms a low-airspeed switch, over the one that trips it (our judgement)."""
_HOLE = 0.6
"""Discharge coefficient of a vent hole with sharp edges."""


@jit
def _cavity(y: FloatArray, density: float, along: float, climb: float, vehicle: Record) -> float:
    """Excess pressure under the nose over the free air, Pa."""
    sucked = vehicle.suction * along
    if vehicle.cavity == LEAKY:
        return float(sucked)
    there = pressure_at(vehicle.air, vehicle.ambient, y[2])
    sealed = vehicle.ambient - there
    if vehicle.cavity == SEALED:
        return float(sealed)
    held = vented_cavity(
        vehicle.cavity_volume, vehicle.vent_area, _HOLE, density, vehicle.gravity, there, climb
    )
    return float(sucked + min(max(held, -abs(sealed)), abs(sealed)))


@inline_jit
def feel(
    y: FloatArray, density: float, v1: float, speed: float, climb: float, force: float, across: float, centre: float,
    turning: float, vehicle: Record, dy: FloatArray,
) -> None:  # fmt: skip
    """Write what the mechanism feels to the vehicle, and the rates of its slide and of its barometer.

    Parameters
    ----------
    density, v1, speed, climb
        Of the air; airspeed along the axis and in all; rate of climb. kg/m³, m/s.
    force, across
        Specific force along and across the axis, m/s².
    centre, turning
        Centre of mass from the nose tip, m; rate of turn across the axis, rad/s.
    """
    along = 0.5 * density * v1 * abs(v1)
    vehicle.air_along = along
    vehicle.felt = math.sqrt(force * force + across * across)
    vehicle.reading = y[2] - port_error(vehicle.port, speed, vehicle.gravity)
    # The nose's drag is that of air from ahead: behind the rocket it lies in its wake.
    ahead = max(along, 0.0)
    vehicle.pull = joint_pull(
        vehicle.nose_mass, turning, centre - vehicle.nose_centre, force, vehicle.nose_drag_area * ahead,
        vehicle.seat_area * _cavity(y, density, ahead, climb, vehicle),
        push_left(vehicle.push, vehicle.push_end, vehicle.push_stroke, y[CHARGE_A]),
    )  # fmt: skip
    dy[CHARGE_A] = dy[CHARGE_B] = dy[CHARGE_C] = 0.0
    if vehicle.watch == SLIDING:
        dy[CHARGE_A] = y[CHARGE_B]
        dy[CHARGE_B] = (vehicle.pull - vehicle.hold) / reduced_mass(
            vehicle.nose_mass, vehicle.end_mass - vehicle.nose_mass
        )
    elif vehicle.trip == BAROMETER:
        dy[CHARGE_C] = (vehicle.reading - y[CHARGE_C]) / vehicle.lag


@jit
def _turned(y: FloatArray, vehicle: Record) -> float:
    """Cosine of the angle between the nose and where it was aimed."""
    a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    norm = a * a + b * b + c * c + d * d
    e = (a * a + b * b - c * c - d * d) * vehicle.aim_e
    return float((e + 2 * (b * c + a * d) * vehicle.aim_n + 2 * (b * d - a * c) * vehicle.aim_u) / norm)


@jit
def watch_values(t: float, y: FloatArray, vehicle: Record, out: FloatArray) -> None:
    """Write the mechanism's event values, positive before; `feel` has to have been called for this state."""
    if vehicle.watch == HELD:
        out[LET_GO] = vehicle.hold - vehicle.pull
    elif vehicle.watch == SLIDING:
        out[LET_GO] = y[CHARGE_B] + 1e-9  # it stops
        out[CLEAR] = vehicle.shoulder - y[CHARGE_A]
    elif vehicle.watch == TRIPPING:
        if vehicle.trip == BAROMETER:
            vehicle.top_reading = max(vehicle.top_reading, y[CHARGE_C])
            out[CLEAR] = vehicle.reading - y[CHARGE_C]  # its reading begins to fall
            if t >= vehicle.armed_at:
                out[LET_GO] = y[CHARGE_C] - (vehicle.top_reading - vehicle.trip_level)
        elif vehicle.trip == GYRO:
            out[LET_GO] = _turned(y, vehicle) - math.cos(vehicle.trip_level)
        elif vehicle.trip == LOW_AIRSPEED:
            out[LET_GO] = vehicle.air_along / vehicle.trip_level - 1.0
        elif vehicle.trip == FREE_FALL:
            out[LET_GO] = vehicle.felt / STANDARD_GRAVITY - vehicle.trip_level
        elif vehicle.trip == TILT_BALL:
            out[LET_GO] = -1.0  # nothing pushes any more, so the ball has left its seat
        elif vehicle.latch == LATCH_ARMED:
            out[LET_GO] = vehicle.axial


@jit
def wake(t: float, y: FloatArray, vehicle: Record, note: Record) -> float:
    """Begin to watch in free coast, `feel` having been called; return the time of taut lines if a timer is past it.

    The barometer begins where a steady climb has its lagging reading.
    """
    y[CHARGE_A] = y[CHARGE_B] = 0.0
    y[CHARGE_C] = vehicle.reading - vehicle.lag * max(y[5], 0.0)
    vehicle.top_reading = y[CHARGE_C]
    vehicle.watch = TRIPPING
    if vehicle.trip == NO_TRIP:
        vehicle.watch = HELD
    elif vehicle.trip == TIMER:
        started = vehicle.latch_free if vehicle.latch == LATCH_FREE else 0.0
        due = vehicle.trip_level + vehicle.start_delay + started
        if vehicle.latch == LATCH_WAITS:
            vehicle.watch = NEVER
        elif vehicle.latch == LATCH_ARMED:
            return math.inf  # what frees it may be so already, and is looked for with the others
        elif due <= t:
            return _tripped(due, y, vehicle, note)
        else:
            vehicle.due = due
    elif vehicle.trip == BAROMETER:
        vehicle.armed_at = note.gas_out_time_s + vehicle.locked
        if vehicle.armed_at > t:
            vehicle.due = vehicle.armed_at
    elif vehicle.trip == LOW_AIRSPEED:
        fastest = max(vehicle.air_along, 0.5 * vehicle.air[1] * note.max_speed_m_s**2)
        if fastest < _ARMED * vehicle.trip_level:
            vehicle.watch = NEVER
    return math.inf


@jit
def _tripped(t: float, y: FloatArray, vehicle: Record, note: Record) -> float:
    """Trip at a time; return when the lines are taut where an opener is on its way, infinity otherwise."""
    _note_trip(t, y, vehicle, note)
    if vehicle.mechanism == SPRUNG_NOSE:
        vehicle.watch, vehicle.due = OPENING_LATCH, t + vehicle.act
        return math.inf
    vehicle.watch = OPEN
    note.let_go_time_s, note.let_go_height_m = t + vehicle.act, y[2]
    return float(t + vehicle.act + vehicle.release_delay)


@jit
def _note_trip(t: float, y: FloatArray, vehicle: Record, note: Record) -> None:
    if math.isnan(note.trip_time_s):
        density, _ = density_viscosity(vehicle.air, y[2])
        note.trip_time_s = t
        note.trip_air_speed_m_s = math.sqrt(2.0 * abs(vehicle.air_along) / density)


@jit
def felt_enough(event: int, t: float, y: FloatArray, vehicle: Record, note: Record) -> float:
    """Go on after an event of the mechanism; return when the lines are taut, infinity where that is not known yet.

    Due: a timer ends, a lock opens, a latch is free.
    """
    watch = vehicle.watch
    if event == DUE:
        vehicle.due = math.inf
        if watch == OPENING_LATCH:
            vehicle.watch = HELD
        elif vehicle.trip == TIMER:
            return _tripped(t, y, vehicle, note)
    elif watch == TRIPPING:
        if event == LET_GO and vehicle.latch == LATCH_ARMED:
            vehicle.latch, vehicle.latch_free = LATCH_FREE, t
            vehicle.due = t + vehicle.start_delay + vehicle.trip_level
        elif event == LET_GO:
            return _tripped(t, y, vehicle, note)
        else:
            vehicle.top_reading = max(vehicle.top_reading, y[CHARGE_C])
    elif watch == HELD:
        _note_trip(t, y, vehicle, note)
        vehicle.watch, y[CHARGE_B] = SLIDING, 0.0
    elif watch == SLIDING and event == LET_GO:
        vehicle.watch, y[CHARGE_B] = HELD, 0.0
    elif watch == SLIDING:
        vehicle.watch = OPEN
        note.let_go_time_s, note.let_go_height_m, note.parting_speed_m_s = t, y[2], y[CHARGE_B]
        return float(t + vehicle.release_delay)
    return math.inf
