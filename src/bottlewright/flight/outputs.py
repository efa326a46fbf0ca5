"""What an onlooker would read off each recorded state: thrust, pressure, water, margins, incidence."""

import math

from bottlewright.flight.charge import gas_now, loaded
from bottlewright.flight.mechanism import LOOSE_NOSE, SPRUNG_NOSE
from bottlewright.flight.motion import rates_apart, wind_on
from bottlewright.flight.state import (
    AIR_PATH,
    ATTITUDE,
    CANOPY,
    COAST,
    IMPULSE,
    RATES,
    STATE,
    VELOCITY,
    Record,
)
from bottlewright.physics import FloatArray, entry_jit, jit
from bottlewright.physics.parachute import inflation

__all__ = ["COLUMNS", "fill_outputs"]

COLUMNS = (
    "time_s", "phase", "on_guide", "east_m", "north_m", "height_m", "velocity_east_m_s", "velocity_north_m_s",
    "velocity_up_m_s", "speed_m_s", "acceleration_m_s2", "air_speed_m_s", "incidence_deg", "tilt_deg",
    "pitch_rate_rad_s", "roll_rate_rad_s", "thrust_N", "pressure_Pa", "water_kg", "gas_kg", "gas_temperature_K",
    "mass_kg", "centre_of_mass_m", "static_margin_calibres", "impulse_N_s", "canopy_area_m2", "joint_pull_N",
)  # fmt: skip
"""Columns of a flight's series, the unit in each name.

Place is that of the dry centre of mass above its start; incidence is against the air, speed and acceleration over the
ground. The pull at the joint of a nose that has to come off is known once nothing pushes any more.
"""


@entry_jit
def fill_outputs(rows: FloatArray, count: int, vehicle: Record, work: Record, out: FloatArray) -> None:
    """Fill a table with one line per recorded row.

    Parameters
    ----------
    rows, count
        Recorded rows (m, ROW) and how many are filled.
    vehicle
        The vehicle after its flight.
    work
        Scratch, a record of `bottlewright.flight.vehicle.WORK`.
    out
        Array (≥ count, number of `COLUMNS`).
    """
    y, dy = work.y, work.k[0]
    for i in range(count):
        t, phase, guided = rows[i, 0], int(rows[i, 1]), rows[i, 2] != 0.0
        for j in range(STATE):
            y[j] = rows[i, 3 + j]
        rates_apart(phase, guided, t, y, vehicle, dy)
        line = out[i]
        line[0], line[1], line[2] = t, phase, rows[i, 2]
        pressure, temperature, gas, water = gas_now(phase, y, vehicle)
        water *= vehicle.water_density
        mass, centre = loaded(phase, y, vehicle)
        line[16] = dy[IMPULSE] if phase < COAST else 0.0
        line[17], line[18], line[19], line[20] = pressure, water, gas, temperature
        line[21], line[22] = mass, centre
        line[23] = math.nan
        line[24] = y[IMPULSE]
        line[26] = math.nan
        if vehicle.held != 0:
            continue
        for j in range(3):
            line[3 + j], line[6 + j] = y[j], y[VELOCITY + j]
        line[9] = math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)
        line[10] = math.sqrt(dy[VELOCITY] ** 2 + dy[VELOCITY + 1] ** 2 + dy[VELOCITY + 2] ** 2)
        line[11] = dy[AIR_PATH]
        if phase == CANOPY:
            line[12] = line[13] = line[14] = line[15] = math.nan
            line[25] = vehicle.canopy_area * inflation(t - vehicle.canopy_out_time, vehicle.filling_time)
            continue
        line[23] = (vehicle.pressure_centre - centre) / vehicle.calibre
        _attitude(vehicle, y, line)
        if phase == COAST and not guided and (vehicle.mechanism == LOOSE_NOSE or vehicle.mechanism == SPRUNG_NOSE):
            line[26] = vehicle.pull  # as the rates of this state felt it


@jit
def _attitude(vehicle: Record, y: FloatArray, line: FloatArray) -> None:
    a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    norm = a * a + b * b + c * c + d * d
    e, n, u = (a * a + b * b - c * c - d * d) / norm, 2 * (b * c + a * d) / norm, 2 * (b * d - a * c) / norm
    wind_e, wind_n, wind_u = wind_on(vehicle, y[2] + vehicle.ground_gap, y[AIR_PATH])
    ve, vn, vu = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    along = ve * e + vn * n + vu * u
    across = math.sqrt(max(ve * ve + vn * vn + vu * vu - along * along, 0.0))
    line[12] = math.degrees(math.atan2(across, along))
    line[13] = math.degrees(math.acos(min(max(u, -1.0), 1.0)))
    line[14] = math.hypot(y[RATES + 1], y[RATES + 2])
    line[15] = y[RATES]
