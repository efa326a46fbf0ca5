"""From phase to phase: the starting state, and what changes hands when water, gas, guide or height run out."""

import math

from bottlewright.flight.charge import balance, gas_now, gas_over_water
from bottlewright.flight.motion import wind_on
from bottlewright.flight.state import (
    AIR_PATH,
    ATTITUDE,
    CANOPY,
    CHARGE_A,
    CHARGE_B,
    CHARGE_C,
    COAST,
    GAS,
    IMPULSE,
    SPRAY,
    STATE,
    TUBE,
    VELOCITY,
    WATER,
    Record,
)
from bottlewright.flight.summary import JOLT_TIME, speed_of
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.parachute import filling_time
from bottlewright.physics.vessel_shape import water_state

__all__ = [
    "APOGEE", "CHARGE_END", "EVENTS", "GROUND", "GUIDE_END", "JET_STOPS", "LAST_DROP", "NO_PRESSURE", "begin",
    "landing", "leave_guide", "next_phase", "release", "set_down", "weigh_out",
]  # fmt: skip

GUIDE_END, CHARGE_END, JET_STOPS, APOGEE, GROUND = 0, 1, 2, 3, 4
EVENTS = 5

LAST_DROP = 1e-9
"""Share of the vessel that counts as empty: in a bare neck the last water would leave infinitely fast."""

NO_PRESSURE = 1e-6
"""Relative excess pressure at which spray counts as spent."""


@jit
def begin(y: FloatArray, vehicle: Record, note: Record) -> int:
    """Set the starting state and return the first phase."""
    for i in range(STATE):
        y[i] = 0.0
    y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3] = vehicle.q0, vehicle.q1, vehicle.q2, vehicle.q3
    vehicle.foot_density, vehicle.foot_viscosity = density_viscosity(vehicle.air, 0.0)
    vehicle.foot_wind_e, vehicle.foot_wind_n, vehicle.foot_wind_u = wind_on(vehicle, vehicle.ground_gap, 0.0)
    note.steps = 0
    note.max_speed_m_s = 0.0
    note.max_acceleration_m_s2 = 0.0
    note.sustained_acceleration_m_s2 = 0.0
    note.thrust_peak_N = 0.0
    note.impulse_tube_N_s = 0.0
    vehicle.jolt_end = 0.0
    y[CHARGE_A], y[CHARGE_B], y[CHARGE_C] = vehicle.water_volume, 0.0, vehicle.start_temperature
    pressed = vehicle.start_pressure > vehicle.ambient * (1.0 + 1e-9)
    if pressed and vehicle.tube_area > 0.0:
        return TUBE
    if vehicle.water_volume > vehicle.breakthrough_volume + LAST_DROP * vehicle.rest_volume:
        return _enter_water(0.0, y, vehicle)
    vehicle.held_volume = vehicle.stretched_volume
    return _without_water(vehicle.start_pressure, vehicle.start_temperature, y, vehicle, note)


@jit
def _enter_water(t: float, y: FloatArray, vehicle: Record) -> int:
    vehicle.jolt_end = t + JOLT_TIME
    vehicle.jolt_e, vehicle.jolt_n, vehicle.jolt_u = y[VELOCITY], y[VELOCITY + 1], y[VELOCITY + 2]
    return WATER


@jit
def _without_water(pressure: float, temperature: float, y: FloatArray, vehicle: Record, note: Record) -> int:
    """Leave by gas alone from the first."""
    note.impulse_water_N_s, note.water_time_s = 0.0, 0.0
    return _enter_gas(pressure, temperature, vehicle.gas_mass, y, vehicle)


@jit
def _enter_gas(pressure: float, temperature: float, mass: float, y: FloatArray, vehicle: Record) -> int:
    vehicle.gas_pressure, vehicle.gas_temperature = pressure, temperature
    vehicle.gas_constant = pressure * vehicle.held_volume / (mass * temperature)
    # Never quite zero, so that even a bottle without pressure meets the event that ends this phase.
    y[CHARGE_A] = math.sqrt(max(pressure / vehicle.ambient - 1.0, 1e-12))
    return GAS


@jit
def _enter_coast(phase: int, y: FloatArray, vehicle: Record) -> int:
    """Freeze what is left in the vessel; the cold gas counts as warmed to the outer air's density at once."""
    _, _, _, water = gas_now(phase, y, vehicle)
    vehicle.end_gas = vehicle.air[1] * (vehicle.rest_volume - water)
    vehicle.end_temperature = vehicle.soak_temperature
    vehicle.water_left = water
    _, _, _, centre, moment = water_state(
        water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_count, vehicle.vessel_table
    )
    rho = vehicle.water_density
    vehicle.end_mass, vehicle.end_centre, vehicle.end_transverse = balance(
        vehicle, rho * water, centre, rho * moment, vehicle.end_gas
    )
    return COAST


@jit
def _after_water(phase: int, y: FloatArray, vehicle: Record, note: Record, t: float, exhausted: bool) -> int:
    """Leave the water phase: into spray, into air alone, or, once the jet has stopped, coasting with water left."""
    pressure, temperature, mass, water = gas_now(phase, y, vehicle)
    note.water_out_time_s = t
    note.water_out_pressure_Pa = pressure
    note.water_out_speed_m_s = speed_of(y)
    note.impulse_water_N_s = y[IMPULSE] - note.impulse_tube_N_s
    note.water_time_s = t
    starved = vehicle.breakthrough_volume > 0.0 and pressure <= vehicle.ambient * (1.0 + NO_PRESSURE)
    if not exhausted or starved:
        return _enter_coast(phase, y, vehicle)
    _, _, volume, _, _ = gas_over_water(y, vehicle, vehicle.rest_volume)
    vehicle.held_volume = volume + water
    if vehicle.breakthrough_volume > 0.0:
        vehicle.spray_pressure, vehicle.spray_temperature = pressure, temperature
        vehicle.spray_density = mass / volume
        y[CHARGE_A], y[CHARGE_B] = water * vehicle.water_density, mass
        return SPRAY
    return _enter_gas(pressure, temperature, mass, y, vehicle)


@jit
def _after_spray(phase: int, y: FloatArray, vehicle: Record, dry: bool) -> int:
    pressure, temperature, mass, _ = gas_now(phase, y, vehicle)
    if dry:
        return _enter_gas(pressure, temperature, mass, y, vehicle)
    return _enter_coast(phase, y, vehicle)


@jit
def release(t: float, y: FloatArray, vehicle: Record, note: Record) -> int:
    """The canopy comes out: from now on one point, filling from the speed it has."""
    note.canopy_out_time_s, note.canopy_out_height_m = t, y[2]
    note.release_speed_m_s = speed_of(y)
    note.opening_load_N = 0.0
    wind_e, wind_n, wind_u = wind_on(vehicle, y[2] + vehicle.ground_gap, y[AIR_PATH])
    past = math.sqrt((y[VELOCITY] - wind_e) ** 2 + (y[VELOCITY + 1] - wind_n) ** 2 + (y[VELOCITY + 2] - wind_u) ** 2)
    density, _ = density_viscosity(vehicle.air, y[2])
    vehicle.hanging_mass = vehicle.dry_mass + vehicle.end_gas + vehicle.water_left * vehicle.water_density
    # A canopy let go at rest fills as the rocket gathers speed: count its sinking speed as the least.
    note.sinking_speed_m_s = math.sqrt(
        2.0 * vehicle.hanging_mass * vehicle.gravity / (density * (vehicle.canopy_area + vehicle.hanging_area))
    )
    vehicle.canopy_out_time = t
    vehicle.filling_time = filling_time(vehicle.filling, vehicle.canopy_diameter, max(past, note.sinking_speed_m_s))
    return CANOPY


@jit
def leave_guide(t: float, y: FloatArray, vehicle: Record, note: Record) -> None:
    """Note the speed off the guide and where the air comes from there."""
    note.guide_exit_time_s = t
    speed = speed_of(y)
    note.guide_exit_speed_m_s = speed
    # The air comes from ahead at the rocket's speed and from the side at the wind's.
    wind_e, wind_n, wind_u = wind_on(vehicle, y[2] + vehicle.ground_gap, y[AIR_PATH])
    e, n, u = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    along = e * vehicle.aim_e + n * vehicle.aim_n + u * vehicle.aim_u
    across = math.sqrt(max(e * e + n * n + u * u - along * along, 0.0))
    note.guide_exit_incidence_rad = math.atan2(across, along)


@jit
def set_down(y: FloatArray) -> None:
    """Put the rocket back on its launcher at rest."""
    for i in range(3):
        y[i] = y[VELOCITY + i] = 0.0


@jit
def landing(phase: int, y: FloatArray, vehicle: Record, note: Record) -> None:
    """Note where and how hard the rocket comes down."""
    note.landing_east_m, note.landing_north_m = y[0], y[1]
    speed = speed_of(y)
    note.landing_speed_m_s, note.landing_speed_down_m_s = speed, -y[VELOCITY + 2]
    pressure, _, gas, water = gas_now(phase, y, vehicle)
    mass = vehicle.dry_mass + gas + water * vehicle.water_density
    note.landing_pressure_gauge_Pa = pressure - vehicle.ambient
    note.landing_mass_kg = mass
    note.landing_energy_J = 0.5 * mass * speed * speed
    if phase != CANOPY:
        a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
        norm = a * a + b * b + c * c + d * d
        e, n, u = (a * a + b * b - c * c - d * d) / norm, 2 * (b * c + a * d) / norm, 2 * (b * d - a * c) / norm
        toward = (y[VELOCITY] * e + y[VELOCITY + 1] * n + y[VELOCITY + 2] * u) / max(speed, 1e-12)
        note.landing_strike_angle_rad = math.acos(min(max(toward, -1.0), 1.0))


@jit
def weigh_out(phase: int, y: FloatArray, vehicle: Record, note: Record) -> None:
    """Note what is left in the vessel where the flight ends, and the impulse so far."""
    if phase < COAST:
        _, _, vehicle.end_gas, vehicle.water_left = gas_now(phase, y, vehicle)
        note.impulse_total_N_s = y[IMPULSE]
    note.water_left_kg = vehicle.water_left * vehicle.water_density


@jit
def next_phase(phase: int, event: int, t: float, y: FloatArray, vehicle: Record, note: Record) -> int:
    """Hand over at the end of a phase of the charge and return the next phase."""
    if phase == TUBE:
        note.tube_exit_time_s = t
        note.impulse_tube_N_s = y[IMPULSE]
        if vehicle.water_volume > vehicle.breakthrough_volume + LAST_DROP * vehicle.rest_volume:
            return _enter_water(t, y, vehicle)
        pressure, temperature, vehicle.held_volume, _, _ = gas_over_water(y, vehicle, vehicle.rest_volume)
        return _without_water(pressure, temperature, y, vehicle, note)
    if phase == WATER:
        return _after_water(phase, y, vehicle, note, t, event == CHARGE_END)
    if phase == SPRAY:
        return _after_spray(phase, y, vehicle, event == CHARGE_END)
    return _enter_coast(phase, y, vehicle)
