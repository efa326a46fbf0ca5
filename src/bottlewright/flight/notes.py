"""What is kept of every flight, and the watch over its greatest and least on the way."""

import math

import numpy as np

from bottlewright.flight.charge import balance, gas_now
from bottlewright.flight.runge_kutta import LAST, dense
from bottlewright.flight.state import AIR_PATH, CANOPY, GAS, IMPULSE, SPRAY, VELOCITY, Record
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.vessel_shape import water_state

__all__ = ["SUMMARY", "greatest_speed_within", "speed_of", "watch"]

_FIELDS = [
    "apogee_m", "apogee_time_s", "water_out_time_s", "water_out_speed_m_s", "gas_out_time_s", "burnout_speed_m_s",
    "max_speed_m_s", "max_acceleration_m_s2", "guide_exit_speed_m_s", "guide_exit_time_s", "tube_exit_time_s",
    "guide_exit_incidence_rad", "static_margin_min_calibres", "static_margin_min_time_s",
    "static_margin_max_calibres", "flight_time_s", "landing_east_m", "landing_north_m", "landing_speed_m_s",
    "landing_energy_J", "landing_incidence_rad", "apogee_speed_m_s", "apogee_east_m", "apogee_north_m",
    "release_time_s", "release_height_m", "release_speed_m_s", "opening_load_N", "water_left_kg", "landing_mass_kg",
    "impulse_water_N_s", "impulse_tail_N_s", "impulse_total_N_s", "water_time_s", "tail_time_s", "thrust_peak_N",
    "water_out_pressure_Pa", "lift_off_mass_kg",
]  # fmt: skip
SUMMARY = np.dtype([(name, np.float64) for name in _FIELDS] + [("ending", np.int64), ("steps", np.int64)], align=True)
"""What is kept of every flight; NaN where the event never came."""


@jit
def speed_of(y: FloatArray) -> float:
    """Speed over the ground, m/s."""
    return math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)


@jit
def watch(phase: int, guided: bool, t: float, y: FloatArray, dy: FloatArray, craft: Record, note: Record) -> None:
    """Keep the greatest and least of what matters at an accepted point."""
    if phase <= GAS:
        note.thrust_peak_N = max(note.thrust_peak_N, dy[IMPULSE])
    if craft.held != 0:
        return
    v = VELOCITY
    speed = speed_of(y)
    if phase == CANOPY:
        density, _ = density_viscosity(craft.air, y[2])
        pull = 0.0
        for i in range(2):
            pull += dy[v + i] ** 2
        pull += (dy[v + 2] + craft.gravity - craft.lift_of_air * density / craft.hanging_mass) ** 2
        note.opening_load_N = max(note.opening_load_N, math.sqrt(pull) * craft.hanging_mass)
        return
    note.max_speed_m_s = max(note.max_speed_m_s, speed)
    note.max_acceleration_m_s2 = max(
        note.max_acceleration_m_s2, math.sqrt(dy[v] ** 2 + dy[v + 1] ** 2 + dy[v + 2] ** 2)
    )
    if not guided and y[v + 2] > 0.0 and math.isnan(note.apogee_time_s) and dy[AIR_PATH] > craft.margin_speed:
        centre = _centre_of_mass(phase, y, craft)
        margin = (craft.pressure_centre - centre) / craft.calibre
        if not margin >= note.static_margin_min_calibres:
            note.static_margin_min_calibres, note.static_margin_min_time_s = margin, t
        if not margin <= note.static_margin_max_calibres:
            note.static_margin_max_calibres = margin


@jit
def greatest_speed_within(
    phase: int, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, point: FloatArray, note: Record
) -> None:
    """Look for the greatest speed within a step where the speed stops growing."""
    v = VELOCITY
    before = y[v] * k[0, v] + y[v + 1] * k[0, v + 1] + y[v + 2] * k[0, v + 2]
    behind = trial[v] * k[LAST, v] + trial[v + 1] * k[LAST, v + 1] + trial[v + 2] * k[LAST, v + 2]
    if before > 0.0 and behind < 0.0:
        dense(phase, before / (before - behind), h, y, trial, n, k, point)
        speed = speed_of(point)
        note.max_speed_m_s = max(note.max_speed_m_s, speed)


@jit
def _centre_of_mass(phase: int, y: FloatArray, craft: Record) -> float:
    _, _, gas, water = gas_now(phase, y, craft)
    if phase == SPRAY:
        height = craft.length - craft.vessel_centre
    else:
        _, _, _, height, _ = water_state(water, craft.vessel_z, craft.vessel_r, craft.vessel_count, craft.vessel_table)
    _, centre, _ = balance(craft, craft.water_density * water, height, 0.0, gas)
    return centre
