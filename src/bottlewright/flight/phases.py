"""From phase to phase: the starting state, and what changes hands when water, gas, guide or height run out."""

import math

from bottlewright.flight.balance import balance
from bottlewright.flight.charge import (
    contained_momentum,
    gas_now,
    gas_over_water,
    jet_start,
    open_share,
    spray_thrust,
)
from bottlewright.flight.motion import wind_on
from bottlewright.flight.slide import gas_in_slide
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
    OPENING,
    RATES,
    SLIDE,
    SPRAY,
    STATE,
    TUMBLE,
    TUMBLING,
    TWO_PARTS,
    VELOCITY,
    WATER,
    Record,
)
from bottlewright.flight.summary import speed_of
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.descents import parting_rate, shifted_balance
from bottlewright.physics.nose_joint import reduced_mass
from bottlewright.physics.opening import AT_ONCE
from bottlewright.physics.parachute import filling_time
from bottlewright.physics.vessel_shape import water_state

__all__ = [
    "APOGEE", "CHARGE_END", "GROUND", "GUIDE_END", "JET_STOPS", "LAST_DROP", "NO_PRESSURE", "OPENED", "begin",
    "landing", "leave_guide", "next_phase", "release", "set_down", "shift_ballast", "stays", "stuck_on_seal",
    "weigh_out",
]  # fmt: skip

GUIDE_END, CHARGE_END, JET_STOPS, APOGEE, GROUND, OPENED = 0, 1, 2, 3, 4, 5

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
    note.steps, vehicle.jet_lead = 0, 0.0
    note.max_speed_m_s = 0.0
    note.max_acceleration_m_s2 = 0.0
    note.thrust_peak_N = 0.0
    note.impulse_slide_N_s = 0.0
    if vehicle.stroke > 0.0:
        y[CHARGE_A], y[CHARGE_B], y[CHARGE_C] = 0.0, 0.0, vehicle.start_temperature
        return SLIDE
    vehicle.held_volume = vehicle.stretched_volume
    y[CHARGE_C] = vehicle.start_temperature
    return _enter_water(0.0, vehicle.start_pressure, vehicle.water_volume, y, vehicle, note)


@jit
def stuck_on_seal(vehicle: Record) -> bool:
    """Say whether the seal pushes less than the rocket weighs along its guide, so that nothing moves."""
    push = (vehicle.start_pressure - vehicle.ambient) * vehicle.seal_area
    mass = vehicle.dry_mass + vehicle.gas_mass + vehicle.water_volume * vehicle.water_density
    weight = (mass * vehicle.gravity - vehicle.lift_of_air * vehicle.foot_density) * vehicle.aim_u
    return bool(vehicle.stroke > 0.0 and push <= weight)


@jit
def stays(phase: int, y: FloatArray, vehicle: Record) -> bool:
    """Say whether a rocket at rest on its launcher can never lift off any more.

    The pressure only falls from now on, and the rocket is never lighter than dry. A settled push is at most twice the
    excess pressure on the bore, the head of the water counted in; half as much again is left for what is not settled.
    """
    if phase >= COAST:
        return True
    pressure, _, _, water = gas_now(phase, y, vehicle)
    head = vehicle.water_density * vehicle.gravity * vehicle.length if water > 0.0 else 0.0
    push = 3.0 * (max(pressure - vehicle.ambient, 0.0) + head) * vehicle.bore_area
    weight = (vehicle.dry_mass * vehicle.gravity - vehicle.lift_of_air * vehicle.foot_density) * vehicle.aim_u
    return bool(push < weight)


@jit
def _enter_water(t: float, pressure: float, water: float, y: FloatArray, vehicle: Record, note: Record) -> int:
    """Open the nozzle to the water; to air alone where there is none. y[CHARGE_C] is the gas's temperature."""
    drop = LAST_DROP * vehicle.rest_volume
    if water <= drop or (t == 0.0 and water <= vehicle.breakthrough_volume + drop):
        note.impulse_water_N_s, note.water_time_s = 0.0, 0.0
        return _enter_gas(pressure, y[CHARGE_C], vehicle.gas_mass, y, vehicle)
    y[CHARGE_A], y[CHARGE_B] = water, 0.0
    if water <= vehicle.breakthrough_volume + drop:
        # The socket has kept so much that the gas breaks through what is left at once.
        return _after_water(WATER, y, vehicle, note, t, True)
    vehicle.opened_at = t
    if vehicle.opening == AT_ONCE or open_share(t, y, vehicle) >= 1.0:
        return WATER
    y[CHARGE_B] = jet_start(y, vehicle, speed_of(y))
    # The jet of the first instant is taken as there; what set it going pushed the rocket.
    vehicle.opening_kick = contained_momentum(y, vehicle)
    _kick(OPENING, y, vehicle, vehicle.opening_kick)
    return OPENING


@jit
def _axis(y: FloatArray) -> tuple[float, float, float]:
    """Direction of the nose, (east, north, up)."""
    a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    norm = a * a + b * b + c * c + d * d
    return (a * a + b * b - c * c - d * d) / norm, 2 * (b * c + a * d) / norm, 2 * (b * d - a * c) / norm


@jit
def _kick(phase: int, y: FloatArray, vehicle: Record, impulse: float) -> None:
    """Give the rocket an impulse along its axis at once, N s."""
    y[IMPULSE] += impulse
    if vehicle.held != 0:
        return
    _, _, gas, water = gas_now(phase, y, vehicle)
    gain = impulse / (vehicle.dry_mass + gas + water * vehicle.water_density)
    e, n, u = _axis(y)
    y[VELOCITY] += gain * e
    y[VELOCITY + 1] += gain * n
    y[VELOCITY + 2] += gain * u


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
def _after_slide(t: float, y: FloatArray, vehicle: Record, note: Record) -> int:
    """Leave the seal: the bottle keeps its pressure and temperature, a socket its water, a hollow tube its gas."""
    pressure, _, gas, volume = gas_in_slide(y, vehicle)
    note.slide_end_time_s, note.slide_end_speed_m_s = t, speed_of(y)
    note.impulse_slide_N_s = y[IMPULSE]
    kept = volume / (volume + vehicle.tube_gas)
    vehicle.dry_air = (vehicle.start_dry_air + y[CHARGE_A]) * kept
    vehicle.vapour = vehicle.start_vapour * kept
    vehicle.gas_mass, vehicle.fed_gas = gas, gas - vehicle.start_gas
    if vehicle.socket != 0:
        vehicle.socket_water = min(vehicle.seal_area * vehicle.stroke, vehicle.water_volume)
    vehicle.held_volume = volume
    return _enter_water(t, pressure, vehicle.water_volume - vehicle.socket_water, y, vehicle, note)


@jit
def _after_water(phase: int, y: FloatArray, vehicle: Record, note: Record, t: float, exhausted: bool) -> int:
    """Leave the water phase: into spray, into air alone, or, once the jet has stopped, coasting with water left."""
    pressure, temperature, mass, water = gas_now(phase, y, vehicle)
    note.water_out_time_s = t
    note.water_out_pressure_Pa = pressure
    note.water_out_speed_m_s = speed_of(y)
    note.impulse_water_N_s = y[IMPULSE] - note.impulse_slide_N_s
    note.water_time_s = t
    starved = vehicle.breakthrough_volume > 0.0 and pressure <= vehicle.ambient * (1.0 + NO_PRESSURE)
    if not exhausted or starved:
        if exhausted:  # and not stopped: the water that still moves comes to rest in the vessel
            _kick(phase, y, vehicle, -contained_momentum(y, vehicle))
        return _enter_coast(phase, y, vehicle)
    _, _, volume, _, _ = gas_over_water(y, vehicle)
    vehicle.held_volume = volume + water
    if vehicle.breakthrough_volume > 0.0:
        vehicle.spray_pressure, vehicle.spray_temperature = pressure, temperature
        vehicle.spray_density = mass / volume
        vehicle.returned, vehicle.spray_from = contained_momentum(y, vehicle), t
        slow = water / (2.0 * vehicle.jet_area * y[CHARGE_B]) if vehicle.returned > 0.0 else 1.0
        y[CHARGE_A], y[CHARGE_B] = water * vehicle.water_density, mass
        # In the time that the rest would take, but never so fast that the spray would pull the rocket back.
        vehicle.return_time = max(slow, vehicle.returned / max(spray_thrust(y, vehicle), 1e-9))
        return SPRAY
    return _enter_gas(pressure, temperature, mass, y, vehicle)


@jit
def _after_spray(phase: int, t: float, y: FloatArray, vehicle: Record, dry: bool) -> int:
    _kick(phase, y, vehicle, -vehicle.returned * math.exp((vehicle.spray_from - t) / vehicle.return_time))
    pressure, temperature, mass, _ = gas_now(phase, y, vehicle)
    if dry:
        return _enter_gas(pressure, temperature, mass, y, vehicle)
    return _enter_coast(phase, y, vehicle)


@jit
def release(t: float, y: FloatArray, vehicle: Record, note: Record) -> int:
    """The canopy comes out: from now on one point, filling from the speed it has. Or the ballast shifts."""
    note.canopy_out_time_s, note.canopy_out_height_m = t, y[2]
    note.release_speed_m_s = speed_of(y)
    note.opening_load_N = 0.0
    wind_e, wind_n, wind_u = wind_on(vehicle, y[2] + vehicle.ground_gap, y[AIR_PATH])
    past = math.sqrt((y[VELOCITY] - wind_e) ** 2 + (y[VELOCITY + 1] - wind_n) ** 2 + (y[VELOCITY + 2] - wind_u) ** 2)
    note.canopy_out_air_speed_m_s, note.canopy_out_climb_m_s = past, y[VELOCITY + 2]
    density, _ = density_viscosity(vehicle.air, y[2])
    vehicle.hanging_mass = vehicle.dry_mass + vehicle.end_gas + vehicle.water_left * vehicle.water_density
    # A canopy let go at rest fills as the rocket gathers speed: count its sinking speed as the least.
    note.sinking_speed_m_s = math.sqrt(
        2.0 * vehicle.hanging_mass * vehicle.gravity / (density * (vehicle.canopy_area + vehicle.hanging_area))
    )
    vehicle.canopy_out_time = t
    fast = max(past, note.sinking_speed_m_s)
    vehicle.filling_time = filling_time(vehicle.filling, vehicle.canopy_diameter, fast)
    if vehicle.recovery == TUMBLE:
        shift_ballast(y, vehicle)
        return TUMBLING
    if vehicle.recovery == TWO_PARTS:
        rear = vehicle.hanging_mass - vehicle.nose_mass
        apart = parting_rate(
            density, fast, vehicle.nose_mass, vehicle.front_area, rear, vehicle.rear_area, vehicle.cord_length
        )
        sprung = 0.0 if math.isnan(note.parting_speed_m_s) else note.parting_speed_m_s
        whole = apart * apart + sprung * sprung
        note.opening_load_N = math.sqrt(vehicle.cord_stiffness * reduced_mass(vehicle.nose_mass, rear) * whole)
    return CANOPY


@jit
def shift_ballast(y: FloatArray, vehicle: Record) -> None:
    """Let the ballast slide aft in no time: the centre of mass flies on, the body moves forward about it.

    Momentum and turning momentum are kept: the place that is integrated, fixed in the body, moves along the axis, and
    the turning slows or quickens as the transverse moment changes.
    """
    vehicle.shifted_centre, vehicle.shifted_transverse = shifted_balance(
        vehicle.end_mass, vehicle.end_centre, vehicle.end_transverse, vehicle.ballast, vehicle.ballast_start,
        vehicle.shift,
    )  # fmt: skip
    before, after = vehicle.end_centre - vehicle.dry_centre, vehicle.shifted_centre - vehicle.dry_centre
    slower = vehicle.end_transverse / vehicle.shifted_transverse
    e, n, u = _axis(y)
    a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    norm = a * a + b * b + c * c + d * d
    # ω × e1 in the ground's axes: r e2 − q e3, before and after.
    q, r = y[RATES + 1], y[RATES + 2]
    e2 = (2 * (b * c - a * d) / norm, (a * a - b * b + c * c - d * d) / norm, 2 * (c * d + a * b) / norm)
    e3 = (2 * (b * d + a * c) / norm, 2 * (c * d - a * b) / norm, (a * a - b * b - c * c + d * d) / norm)
    gain = after * slower - before
    y[0] += (after - before) * e
    y[1] += (after - before) * n
    y[2] += (after - before) * u
    y[VELOCITY] += gain * (r * e2[0] - q * e3[0])
    y[VELOCITY + 1] += gain * (r * e2[1] - q * e3[1])
    y[VELOCITY + 2] += gain * (r * e2[2] - q * e3[2])
    y[RATES + 1] *= slower
    y[RATES + 2] *= slower


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
        e, n, u = _axis(y)
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
    if phase == SLIDE:
        return _after_slide(t, y, vehicle, note)
    if phase == OPENING and event not in (CHARGE_END, JET_STOPS):
        return WATER
    if phase in (OPENING, WATER):
        return _after_water(phase, y, vehicle, note, t, event == CHARGE_END)
    if phase == SPRAY:
        return _after_spray(phase, t, y, vehicle, event == CHARGE_END)
    return _enter_coast(phase, y, vehicle)
