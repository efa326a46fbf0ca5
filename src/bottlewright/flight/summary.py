"""What is kept of every flight, and the watch over its greatest and least on the way."""

import math

import numpy as np

from bottlewright.flight.runge_kutta import LAST, dense
from bottlewright.flight.state import AIR_PATH, CANOPY, GAS, IMPULSE, TUMBLING, TWO_PARTS, VELOCITY, Record
from bottlewright.physics import FloatArray, inline_jit, jit
from bottlewright.physics.air import density_viscosity

__all__ = ["MARGIN_SPEED", "SUMMARY", "speed_of", "update_extremes", "update_extremes_within"]

MARGIN_SPEED = 5.0
"""Air speed from which the static margin counts, m/s: below it the fins push a tenth of what they do at 16 m/s."""

_FIELDS = [
    "apogee_m", "apogee_time_s", "water_out_time_s", "water_out_speed_m_s", "gas_out_time_s", "air_out_speed_m_s",
    "max_speed_m_s", "max_acceleration_m_s2", "slide_end_time_s", "slide_end_speed_m_s", "guide_exit_speed_m_s",
    "guide_exit_time_s", "guide_exit_incidence_rad", "static_margin_min_calibres", "static_margin_min_time_s",
    "static_margin_max_calibres", "flight_time_s", "landing_east_m", "landing_north_m", "landing_speed_m_s",
    "landing_energy_J", "landing_strike_angle_rad", "landing_speed_down_m_s", "landing_pressure_gauge_Pa",
    "apogee_speed_m_s", "apogee_east_m", "apogee_north_m", "canopy_out_time_s", "canopy_out_height_m",
    "release_speed_m_s", "sinking_speed_m_s", "opening_load_N", "water_left_kg", "landing_mass_kg",
    "impulse_slide_N_s", "impulse_water_N_s", "impulse_tail_N_s", "impulse_total_N_s", "water_time_s", "tail_time_s",
    "thrust_peak_N", "water_out_pressure_Pa", "lift_off_mass_kg", "trip_time_s", "trip_air_speed_m_s", "let_go_time_s",
    "let_go_height_m", "parting_speed_m_s", "canopy_out_air_speed_m_s", "canopy_out_climb_m_s",
]  # fmt: skip
SUMMARY = np.dtype([(name, np.float64) for name in _FIELDS] + [("ending", np.int64), ("steps", np.int64)], align=True)
"""What is kept of every flight; NaN where the event never came.

apogee
    The highest of all tops; a canopy that is released at the apogee goes by the first.
max_acceleration
    The greatest of the whole flight, the opening canopy included.
slide_end
    The moment and the speed at which the rocket leaves its seal.
landing_strike_angle
    Between the nose's direction and the way the rocket moves over the ground, 0 for nose first.
sinking_speed, opening_load
    Of the steady descent under the full canopy at the height of release; the greatest pull of the canopy in the
    computed motion, without the overshoot of the cloth (Knacke's C_x, 1.7 to 1.8, flat; original not checked).
impulse_slide, impulse_water, impulse_tail
    What the seal, the water and the spray and gas after it gave; the total is their sum, so far as it went.
trip, let_go
    Of a mechanism: the moment that trips it, or at which its nose first slips, and the airspeed along the axis then;
    the moment and height at which it is open, or its nose is clear of the seat; the speed at which the nose parts.
canopy_out_air_speed, canopy_out_climb
    Of the air past the canopy, and of the rocket upwards, as the lines draw taut.
water_left
    At the flight's end, however it ended.
"""


@jit
def speed_of(y: FloatArray) -> float:
    """Speed over the ground, m/s."""
    return math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)


@inline_jit
def update_extremes(
    phase: int, guided: bool, t: float, y: FloatArray, dy: FloatArray, vehicle: Record, note: Record
) -> None:
    """Keep the greatest and least of what matters at an accepted point; the last rates worked out have to be its."""
    if phase <= GAS:
        note.thrust_peak_N = max(note.thrust_peak_N, dy[IMPULSE])
    if vehicle.held != 0:
        return
    v = VELOCITY
    note.max_speed_m_s = max(note.max_speed_m_s, speed_of(y))
    gain = math.sqrt(dy[v] ** 2 + dy[v + 1] ** 2 + dy[v + 2] ** 2)
    note.max_acceleration_m_s2 = max(note.max_acceleration_m_s2, gain)
    if phase == CANOPY and vehicle.recovery == TWO_PARTS:
        return
    if phase == CANOPY:
        pull = math.sqrt(dy[v] ** 2 + dy[v + 1] ** 2 + (dy[v + 2] + _fall(y, vehicle)) ** 2)
        note.opening_load_N = max(note.opening_load_N, pull * vehicle.hanging_mass)
        return
    if phase != TUMBLING and not guided and y[v + 2] > 0.0 and dy[AIR_PATH] > MARGIN_SPEED:
        margin = (vehicle.pressure_centre - vehicle.centre) / vehicle.calibre
        if not margin >= note.static_margin_min_calibres:
            note.static_margin_min_calibres, note.static_margin_min_time_s = margin, t
        if not margin <= note.static_margin_max_calibres:
            note.static_margin_max_calibres = margin


@inline_jit
def update_extremes_within(
    phase: int, end: float, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, point: FloatArray,
    vehicle: Record, note: Record,
) -> None:  # fmt: skip
    """Keep the greatest of what matters inside an accepted step, which an event may have ended at its part `end`."""
    v, last = VELOCITY, k[LAST]
    if phase <= GAS and end == 1.0:
        mean = (trial[IMPULSE] - y[IMPULSE]) / h
        middle = 1.5 * mean - 0.25 * (k[0, IMPULSE] + last[IMPULSE])
        note.thrust_peak_N = max(note.thrust_peak_N, _top(k[0, IMPULSE], middle, last[IMPULSE]))
    if vehicle.held != 0:
        return
    if end < 1.0:
        # The slopes behind the event are those of another motion.
        dense(phase, 0.5 * end, h, y, trial, n, k, point)
        middle = speed_of(point) ** 2
        dense(phase, end, h, y, trial, n, k, point)
        note.max_speed_m_s = max(note.max_speed_m_s, math.sqrt(_top(speed_of(y) ** 2, middle, speed_of(point) ** 2)))
        return
    before = h * (y[v] * k[0, v] + y[v + 1] * k[0, v + 1] + y[v + 2] * k[0, v + 2])
    behind = h * (trial[v] * last[v] + trial[v + 1] * last[v + 1] + trial[v + 2] * last[v + 2])
    if before > 0.0 and behind < 0.0:
        # Where the cubic through half the squared speed and its slopes is level.
        rise = 0.5 * (speed_of(trial) ** 2 - speed_of(y) ** 2)
        slope, bend = 2.0 * (3.0 * rise - 2.0 * before - behind), 3.0 * (before + behind - 2.0 * rise)
        dense(phase, 2.0 * before / (math.sqrt(slope * slope - 4.0 * bend * before) - slope), h, y, trial, n, k, point)
        note.max_speed_m_s = max(note.max_speed_m_s, speed_of(point))
    gain = _greatest_gain(0.0, h, y, trial, k[0], last)
    note.max_acceleration_m_s2 = max(note.max_acceleration_m_s2, gain)
    if phase == CANOPY and vehicle.recovery != TWO_PARTS:
        pull = _greatest_gain(_fall(y, vehicle), h, y, trial, k[0], last)
        note.opening_load_N = max(note.opening_load_N, pull * vehicle.hanging_mass)


@jit
def _fall(y: FloatArray, vehicle: Record) -> float:
    """Acceleration of a hanging rocket without its canopy and drag, downward, m/s²."""
    density, _ = density_viscosity(vehicle.air, y[2])
    return float(vehicle.gravity - vehicle.lift_of_air * density / vehicle.hanging_mass)


@inline_jit
def _greatest_gain(
    up: float, h: float, y: FloatArray, trial: FloatArray, first: FloatArray, last: FloatArray
) -> float:
    """Greatest |acceleration + up| inside a step, 0 where it is greatest at an end.

    The acceleration in the middle is that of the cubic through the velocities and accelerations of both ends.
    """
    start, middle, close = 0.0, 0.0, 0.0
    for i in range(VELOCITY, VELOCITY + 3):
        more = up if i == VELOCITY + 2 else 0.0
        start += (first[i] + more) ** 2
        middle += (1.5 * (trial[i] - y[i]) / h - 0.25 * (first[i] + last[i]) + more) ** 2
        close += (last[i] + more) ** 2
    return math.sqrt(_top(start, middle, close))


@jit
def _top(start: float, middle: float, close: float) -> float:
    """Top of the parabola through the values at start, middle and end where it lies between them; else 0."""
    bend = 2.0 * (start - 2.0 * middle + close)
    rise = 4.0 * middle - 3.0 * start - close
    return start - 0.25 * rise * rise / bend if 0.0 < rise < -2.0 * bend else 0.0
