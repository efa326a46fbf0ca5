"""From phase to phase: the starting state, and what changes hands when water, gas, guide or height run out."""

import math

from bottlewright.flight.charge import balance, gas_now, gas_over_water
from bottlewright.flight.motion import wind_on
from bottlewright.flight.notes import JOLT_TIME, speed_of
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
def begin(y: FloatArray, craft: Record, note: Record) -> int:
    """Set the starting state and return the first phase."""
    for i in range(STATE):
        y[i] = 0.0
    y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3] = craft.q0, craft.q1, craft.q2, craft.q3
    craft.foot_density, craft.foot_viscosity = density_viscosity(craft.air, 0.0)
    craft.foot_wind_e, craft.foot_wind_n, craft.foot_wind_u = wind_on(craft, craft.ground_gap, 0.0)
    note.steps = 0
    note.max_speed_m_s = 0.0
    note.max_acceleration_m_s2 = 0.0
    note.sustained_acceleration_m_s2 = 0.0
    note.thrust_peak_N = 0.0
    note.impulse_tube_N_s = 0.0
    craft.jolt_end = 0.0
    y[CHARGE_A], y[CHARGE_B], y[CHARGE_C] = craft.water_volume, 0.0, craft.start_temperature
    pressed = craft.start_pressure > craft.ambient * (1.0 + 1e-9)
    if pressed and craft.tube_area > 0.0:
        return TUBE
    if craft.water_volume > craft.breakthrough_volume + LAST_DROP * craft.rest_volume:
        return _enter_water(0.0, y, craft)
    craft.held_volume = craft.stretched_volume
    return _without_water(craft.start_pressure, craft.start_temperature, y, craft, note)


@jit
def _enter_water(t: float, y: FloatArray, craft: Record) -> int:
    craft.jolt_end = t + JOLT_TIME
    craft.jolt_e, craft.jolt_n, craft.jolt_u = y[VELOCITY], y[VELOCITY + 1], y[VELOCITY + 2]
    return WATER


@jit
def _without_water(pressure: float, temperature: float, y: FloatArray, craft: Record, note: Record) -> int:
    """Leave by gas alone from the first."""
    note.impulse_water_N_s, note.water_time_s = 0.0, 0.0
    return _enter_gas(pressure, temperature, craft.gas_mass, y, craft)


@jit
def _enter_gas(pressure: float, temperature: float, mass: float, y: FloatArray, craft: Record) -> int:
    craft.gas_pressure, craft.gas_temperature = pressure, temperature
    craft.gas_constant = pressure * craft.held_volume / (mass * temperature)
    # Never quite zero, so that even a bottle without pressure meets the event that ends this phase.
    y[CHARGE_A] = math.sqrt(max(pressure / craft.ambient - 1.0, 1e-12))
    return GAS


@jit
def _enter_coast(phase: int, y: FloatArray, craft: Record) -> int:
    """Freeze what is left in the vessel; the cold gas counts as warmed to the outer air's density at once."""
    _, _, _, water = gas_now(phase, y, craft)
    craft.end_gas = craft.air[1] * (craft.rest_volume - water)
    craft.end_temperature = craft.soak_temperature
    craft.water_left = water
    _, _, _, centre, moment = water_state(water, craft.vessel_z, craft.vessel_r, craft.vessel_count, craft.vessel_table)
    rho = craft.water_density
    craft.end_mass, craft.end_centre, craft.end_transverse = balance(
        craft, rho * water, centre, rho * moment, craft.end_gas
    )
    return COAST


@jit
def _after_water(phase: int, y: FloatArray, craft: Record, note: Record, t: float, exhausted: bool) -> int:
    """Leave the water phase: into spray, into air alone, or, once the jet has stopped, coasting with water left."""
    pressure, temperature, mass, water = gas_now(phase, y, craft)
    note.water_out_time_s = t
    note.water_out_pressure_Pa = pressure
    note.water_out_speed_m_s = speed_of(y)
    note.impulse_water_N_s = y[IMPULSE] - note.impulse_tube_N_s
    note.water_time_s = t
    starved = craft.breakthrough_volume > 0.0 and pressure <= craft.ambient * (1.0 + NO_PRESSURE)
    if not exhausted or starved:
        return _enter_coast(phase, y, craft)
    _, _, volume, _, _ = gas_over_water(y, craft, craft.rest_volume)
    craft.held_volume = volume + water
    if craft.breakthrough_volume > 0.0:
        craft.spray_pressure, craft.spray_temperature = pressure, temperature
        craft.spray_density = mass / volume
        y[CHARGE_A], y[CHARGE_B] = water * craft.water_density, mass
        return SPRAY
    return _enter_gas(pressure, temperature, mass, y, craft)


@jit
def _after_spray(phase: int, y: FloatArray, craft: Record, dry: bool) -> int:
    pressure, temperature, mass, _ = gas_now(phase, y, craft)
    if dry:
        return _enter_gas(pressure, temperature, mass, y, craft)
    return _enter_coast(phase, y, craft)


@jit
def release(t: float, y: FloatArray, craft: Record, note: Record) -> int:
    """The canopy comes out: from now on one point, filling from the speed it has."""
    note.release_time_s, note.release_height_m = t, y[2]
    note.release_speed_m_s = speed_of(y)
    note.opening_load_N = 0.0
    wind_e, wind_n, wind_u = wind_on(craft, y[2] + craft.ground_gap, y[AIR_PATH])
    past = math.sqrt((y[VELOCITY] - wind_e) ** 2 + (y[VELOCITY + 1] - wind_n) ** 2 + (y[VELOCITY + 2] - wind_u) ** 2)
    density, _ = density_viscosity(craft.air, y[2])
    craft.hanging_mass = craft.dry_mass + craft.end_gas + craft.water_left * craft.water_density
    # A canopy let go at rest fills as the rocket gathers speed: count its sinking speed as the least.
    note.sinking_speed_m_s = math.sqrt(
        2.0 * craft.hanging_mass * craft.gravity / (density * (craft.canopy_area + craft.hanging_area))
    )
    craft.release_time = t
    craft.filling_time = filling_time(craft.filling, craft.canopy_diameter, max(past, note.sinking_speed_m_s))
    return CANOPY


@jit
def leave_guide(t: float, y: FloatArray, craft: Record, note: Record) -> None:
    """Note the speed off the guide and where the air comes from there."""
    note.guide_exit_time_s = t
    speed = speed_of(y)
    note.guide_exit_speed_m_s = speed
    # The air comes from ahead at the rocket's speed and from the side at the wind's.
    wind_e, wind_n, wind_u = wind_on(craft, y[2] + craft.ground_gap, y[AIR_PATH])
    e, n, u = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    along = e * craft.aim_e + n * craft.aim_n + u * craft.aim_u
    across = math.sqrt(max(e * e + n * n + u * u - along * along, 0.0))
    note.guide_exit_incidence_rad = math.atan2(across, along)


@jit
def set_down(y: FloatArray) -> None:
    """Put the rocket back on its launcher at rest."""
    for i in range(3):
        y[i] = y[VELOCITY + i] = 0.0


@jit
def landing(phase: int, y: FloatArray, craft: Record, note: Record) -> None:
    """Note where and how hard the rocket comes down."""
    note.landing_east_m, note.landing_north_m = y[0], y[1]
    speed = speed_of(y)
    note.landing_speed_m_s, note.landing_speed_down_m_s = speed, -y[VELOCITY + 2]
    pressure, _, gas, water = gas_now(phase, y, craft)
    mass = craft.dry_mass + gas + water * craft.water_density
    note.landing_pressure_gauge_Pa = pressure - craft.ambient
    note.landing_mass_kg = mass
    note.landing_energy_J = 0.5 * mass * speed * speed
    if phase != CANOPY:
        a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
        norm = a * a + b * b + c * c + d * d
        e, n, u = (a * a + b * b - c * c - d * d) / norm, 2 * (b * c + a * d) / norm, 2 * (b * d - a * c) / norm
        toward = (y[VELOCITY] * e + y[VELOCITY + 1] * n + y[VELOCITY + 2] * u) / max(speed, 1e-12)
        note.landing_strike_angle_rad = math.acos(min(max(toward, -1.0), 1.0))


@jit
def weigh_out(phase: int, y: FloatArray, craft: Record, note: Record) -> None:
    """Note what is left in the vessel where the flight ends, and the impulse so far."""
    if phase < COAST:
        _, _, craft.end_gas, craft.water_left = gas_now(phase, y, craft)
        note.impulse_total_N_s = y[IMPULSE]
    note.water_left_kg = craft.water_left * craft.water_density


@jit
def next_phase(phase: int, event: int, t: float, y: FloatArray, craft: Record, note: Record) -> int:
    """Hand over at the end of a phase of the charge and return the next phase."""
    if phase == TUBE:
        note.tube_exit_time_s = t
        note.impulse_tube_N_s = y[IMPULSE]
        if craft.water_volume > craft.breakthrough_volume + LAST_DROP * craft.rest_volume:
            return _enter_water(t, y, craft)
        pressure, temperature, craft.held_volume, _, _ = gas_over_water(y, craft, craft.rest_volume)
        return _without_water(pressure, temperature, y, craft, note)
    if phase == WATER:
        return _after_water(phase, y, craft, note, t, event == CHARGE_END)
    if phase == SPRAY:
        return _after_spray(phase, y, craft, event == CHARGE_END)
    return _enter_coast(phase, y, craft)
