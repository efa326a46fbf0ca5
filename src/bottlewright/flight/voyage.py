"""One flight from release to ground: phases in turn, each ended by an event found on the dense output."""

import math

import numpy as np

from bottlewright.flight.motion import balance, gas_now, gas_over_water, rates, wind_on
from bottlewright.flight.runge_kutta import dense, error_of, next_step, take_step
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
    SIZE,
    SPRAY,
    STATE,
    TUBE,
    VELOCITY,
    WATER,
    Endings,
    Record,
)
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.parachute import filling_time
from bottlewright.physics.vessel_shape import water_state

__all__ = ["EVENTS", "MAX_STEPS", "ROW", "SUB_ROWS", "SUMMARY", "voyage"]

GUIDE_END, CHARGE_END, JET_STOPS, APOGEE, GROUND = 0, 1, 2, 3, 4
EVENTS = 5

MAX_STEPS = 400_000
SUB_ROWS = 3
ROW = STATE + 3
"""A recorded row: time, phase, whether guided, state."""

_FIRST_STEP = np.array([1e-5, 1e-5, 1e-5, 1e-4, 1e-3, 1e-3])
"""First step tried in each phase, s; the error control has the last word."""

_LAST_DROP = 1e-9
"""Share of the vessel that counts as empty: in a bare neck the last water would leave infinitely fast."""

_NO_PRESSURE = 1e-6
"""Relative excess pressure at which spray counts as spent."""

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
def _events(phase: int, guided: bool, y: FloatArray, craft: Record, out: FloatArray) -> None:
    """Write event values, each positive before and not positive after; 1 where the event can't come."""
    for i in range(EVENTS):
        out[i] = 1.0
    if guided:
        out[GUIDE_END] = craft.guide_length - (y[0] * craft.aim_e + y[1] * craft.aim_n + y[2] * craft.aim_u)
    if phase == TUBE:
        out[CHARGE_END] = craft.tube_length - (y[0] * craft.aim_e + y[1] * craft.aim_n + y[2] * craft.aim_u)
    elif phase == WATER:
        out[CHARGE_END] = (y[CHARGE_A] - craft.breakthrough_volume) / craft.rest_volume - _LAST_DROP
        if craft.steady_jet == 0:
            out[JET_STOPS] = y[CHARGE_B] + 1e-9
        else:
            pressure, _, _, _ = gas_now(phase, y, craft)
            out[JET_STOPS] = pressure / craft.ambient - 1.0
    elif phase == SPRAY:
        pressure, _, _, _ = gas_now(phase, y, craft)
        out[CHARGE_END] = pressure / craft.ambient - 1.0 - _NO_PRESSURE
        out[JET_STOPS] = y[CHARGE_A] / craft.water_density - 1e-9 * craft.rest_volume
    elif phase == GAS:
        out[CHARGE_END] = y[CHARGE_A]
    if craft.held == 0:
        out[APOGEE] = y[VELOCITY + 2]
        out[GROUND] = y[2]


@jit
def _root(
    which: int, phase: int, guided: bool, h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray,
    craft: Record, point: FloatArray, values: FloatArray,
) -> float:  # fmt: skip
    """Part of the step at which an event value crosses zero, from above, by Illinois regula falsi."""
    low, high = 0.0, 1.0
    _events(phase, guided, y, craft, values)
    f_low = values[which]
    _events(phase, guided, trial, craft, values)
    f_high = values[which]
    side = 0
    for _ in range(80):
        if high - low < 1e-15:
            break
        theta = low - f_low * (high - low) / (f_high - f_low)
        if not low < theta < high:
            theta = 0.5 * (low + high)
        dense(theta, h, y, trial, n, k, point)
        _events(phase, guided, point, craft, values)
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


@jit
def advance(
    phase: int, guided: bool, t: float, t_stop: float, h: float, y: FloatArray, craft: Record, note: Record,
    work: Record, rows: FloatArray, count: int,
) -> tuple[int, float, float, int]:  # fmt: skip
    """Integrate within one phase until an event or a time.

    Returns
    -------
    event : int
        Which event ended it, -1 for the time, -2 for too many steps, -3 for a state that is no number.
    t, h, count
        Time, next step, recorded rows.
    """
    k, trial, point, values, after = work.k, work.trial, work.point, work.values, work.after
    n = SIZE[phase]
    former = 1e-4
    _events(phase, guided, y, craft, values)
    for i in range(EVENTS):
        after[i] = values[i]
    rates(phase, guided, t, y, craft, k[0])
    _watch(phase, guided, t, y, k[0], craft, note)
    while t < t_stop:
        if note.steps >= MAX_STEPS:
            return -2, t, h, count
        h = min(h, t_stop - t)
        if h < 1e-14 * max(t, 1e-3):
            if t_stop - t <= h:
                return -1, t_stop, 1e-5, count
            return -3, t, h, count
        take_step(phase, guided, t, h, y, n, craft, k, trial)
        error = error_of(h, y, trial, n, k, craft.scale, craft.tolerance)
        if error > 1.0:
            h = min(next_step(h, error, 1.0), 0.9 * h)
            note.steps += 1
            continue
        _events(phase, guided, trial, craft, after)
        first, part = -1, 2.0
        for i in range(EVENTS):
            if values[i] > 0.0 and after[i] <= 0.0:
                theta = _root(i, phase, guided, h, y, trial, n, k, craft, point, work.scratch)
                if theta < part:
                    first, part = i, theta
        end = 1.0 if first < 0 else part
        if rows.shape[0] > 0:
            for j in range(1, SUB_ROWS + 1):
                dense(end * j / SUB_ROWS, h, y, trial, n, k, point)
                count = _record(rows, count, t + h * end * j / SUB_ROWS, phase, guided, point, n)
        note.steps += 1
        if first >= 0:
            dense(part, h, y, trial, n, k, point)
            for i in range(n):
                y[i] = point[i]
            t += h * part
            rates(phase, guided, t, y, craft, k[0])
            _watch(phase, guided, t, y, k[0], craft, note)
            return first, t, min(next_step(h, error, former), h), count
        _refine(h, y, trial, n, k, point, note)
        t += h
        for i in range(n):
            y[i] = trial[i]
            k[0, i] = k[6, i]
        for i in range(EVENTS):
            values[i] = after[i]
        _watch(phase, guided, t, y, k[0], craft, note)
        h = next_step(h, error, former)
        former = error
    return -1, t, h, count


@jit
def _refine(
    h: float, y: FloatArray, trial: FloatArray, n: int, k: FloatArray, point: FloatArray, note: Record
) -> None:
    """Look for the greatest speed within a step where the speed stops growing."""
    v = VELOCITY
    before = y[v] * k[0, v] + y[v + 1] * k[0, v + 1] + y[v + 2] * k[0, v + 2]
    behind = trial[v] * k[6, v] + trial[v + 1] * k[6, v + 1] + trial[v + 2] * k[6, v + 2]
    if before > 0.0 and behind < 0.0:
        dense(before / (before - behind), h, y, trial, n, k, point)
        speed = math.sqrt(point[v] ** 2 + point[v + 1] ** 2 + point[v + 2] ** 2)
        note.max_speed_m_s = max(note.max_speed_m_s, speed)


@jit
def _watch(phase: int, guided: bool, t: float, y: FloatArray, dy: FloatArray, craft: Record, note: Record) -> None:
    """Keep the greatest and least of what matters at an accepted point."""
    if phase <= GAS:
        note.thrust_peak_N = max(note.thrust_peak_N, dy[IMPULSE])
    if craft.held != 0:
        return
    v = VELOCITY
    speed = math.sqrt(y[v] ** 2 + y[v + 1] ** 2 + y[v + 2] ** 2)
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
def _centre_of_mass(phase: int, y: FloatArray, craft: Record) -> float:
    _, _, gas, water = gas_now(phase, y, craft)
    if phase == SPRAY:
        height = craft.length - craft.vessel_centre
    else:
        _, _, _, height, _ = water_state(water, craft.vessel_z, craft.vessel_r, craft.vessel_count, craft.vessel_table)
    _, centre, _ = balance(craft, craft.water_density * water, height, 0.0, gas)
    return centre


@jit
def _begin(y: FloatArray, craft: Record, note: Record) -> int:
    """Set the starting state and return the first phase."""
    for i in range(STATE):
        y[i] = 0.0
    y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3] = craft.q0, craft.q1, craft.q2, craft.q3
    note.steps = 0
    note.max_speed_m_s = 0.0
    note.max_acceleration_m_s2 = 0.0
    note.thrust_peak_N = 0.0
    note.opening_load_N = 0.0
    y[CHARGE_A], y[CHARGE_B], y[CHARGE_C] = craft.water_volume, 0.0, craft.start_temperature
    pressed = craft.start_pressure > craft.ambient * (1.0 + 1e-9)
    if pressed and craft.tube_area > 0.0:
        return TUBE
    if craft.water_volume > craft.breakthrough_volume + _LAST_DROP * craft.rest_volume:
        return WATER
    craft.held_volume = craft.stretched_volume
    return _enter_gas(craft.start_pressure, craft.start_temperature, craft.gas_mass, 0.0, y, craft)


@jit
def _enter_gas(
    pressure: float, temperature: float, mass: float, water_left: float, y: FloatArray, craft: Record
) -> int:
    craft.gas_pressure, craft.gas_temperature = pressure, temperature
    craft.water_left = water_left
    craft.gas_constant = pressure * (craft.held_volume - water_left) / (mass * temperature)
    # Never quite zero, so that even a bottle without pressure meets the event that ends this phase.
    y[CHARGE_A] = math.sqrt(max(pressure / craft.ambient - 1.0, 1e-12))
    return GAS


@jit
def _enter_coast(phase: int, y: FloatArray, craft: Record) -> int:
    """Freeze what is left in the vessel; the cold gas soon has the outer air's temperature and pressure again."""
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
    note.water_out_speed_m_s = math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)
    note.impulse_water_N_s = y[IMPULSE]
    starved = craft.breakthrough_volume > 0.0 and pressure <= craft.ambient * (1.0 + _NO_PRESSURE)
    if not exhausted or starved:
        return _enter_coast(phase, y, craft)
    _, _, volume, _, _ = gas_over_water(y, craft, craft.rest_volume)
    craft.held_volume = volume + water
    if craft.breakthrough_volume > 0.0:
        craft.spray_pressure, craft.spray_temperature = pressure, temperature
        craft.spray_density = mass / volume
        y[CHARGE_A], y[CHARGE_B] = water * craft.water_density, mass
        return SPRAY
    return _enter_gas(pressure, temperature, mass, 0.0, y, craft)


@jit
def _after_spray(phase: int, y: FloatArray, craft: Record, dry: bool) -> int:
    pressure, temperature, mass, _ = gas_now(phase, y, craft)
    if dry:
        return _enter_gas(pressure, temperature, mass, 0.0, y, craft)
    return _enter_coast(phase, y, craft)


@jit
def _release(t: float, y: FloatArray, craft: Record, note: Record) -> int:
    """The canopy comes out: from now on one point, filling from the speed it has."""
    note.release_time_s, note.release_height_m = t, y[2]
    speed = math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)
    note.release_speed_m_s = speed
    density, _ = density_viscosity(craft.air, y[2])
    craft.hanging_mass = craft.dry_mass + craft.end_gas + craft.water_left * craft.water_density
    # A canopy let go at rest fills as the rocket gathers speed: count its sinking speed as the least.
    sinking = math.sqrt(
        2.0 * craft.hanging_mass * craft.gravity / (density * (craft.canopy_area + craft.hanging_area))
    )
    craft.release_time = t
    craft.filling_time = filling_time(craft.filling, craft.canopy_diameter, max(speed, sinking))
    return CANOPY


@jit
def _leave_guide(t: float, y: FloatArray, craft: Record, note: Record) -> None:
    note.guide_exit_time_s = t
    speed = math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)
    note.guide_exit_speed_m_s = speed
    # The air comes from ahead at the rocket's speed and from the side at the wind's.
    wind_e, wind_n, wind_u = wind_on(craft, y[2] + craft.ground_gap, y[AIR_PATH])
    e, n, u = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    along = e * craft.aim_e + n * craft.aim_n + u * craft.aim_u
    across = math.sqrt(max(e * e + n * n + u * u - along * along, 0.0))
    note.guide_exit_incidence_rad = math.atan2(across, along)


@jit
def _landing(t: float, phase: int, y: FloatArray, craft: Record, note: Record) -> None:
    note.flight_time_s = t
    note.landing_east_m, note.landing_north_m = y[0], y[1]
    speed = math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)
    note.landing_speed_m_s = speed
    mass = craft.dry_mass + craft.end_gas + craft.water_left * craft.water_density
    note.landing_mass_kg = mass
    note.landing_energy_J = 0.5 * mass * speed * speed
    if phase != CANOPY:
        a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
        norm = a * a + b * b + c * c + d * d
        e, n, u = (a * a + b * b - c * c - d * d) / norm, 2 * (b * c + a * d) / norm, 2 * (b * d - a * c) / norm
        toward = (y[VELOCITY] * e + y[VELOCITY + 1] * n + y[VELOCITY + 2] * u) / max(speed, 1e-12)
        note.landing_incidence_rad = math.acos(min(max(toward, -1.0), 1.0))


@jit
def voyage(craft: Record, note: Record, work: Record, rows: FloatArray) -> int:
    """Fly one prepared craft.

    Parameters
    ----------
    craft
        Record of `bottlewright.flight.craft.CRAFT`, prepared; what is left in the vessel is written back to it.
    note
        Record of `SUMMARY`, cleared to NaN by the caller and filled here.
    work
        Scratch arrays.
    rows
        Array (m, ROW) that the recorded states go to; m = 0 to record none.

    Returns
    -------
    int
        Number of rows that were wanted; more than m when the array was too short.
    """
    y = work.y
    phase = _begin(y, craft, note)
    guided = craft.held == 0
    t, h, count = 0.0, _FIRST_STEP[phase], 0
    release_at = craft.release_delay if craft.release == 1 and craft.recovery != 0 else math.inf
    if phase == GAS:
        note.impulse_water_N_s, note.water_time_s, note.water_out_time_s = 0.0, 0.0, 0.0
    note.lift_off_mass_kg = craft.dry_mass + craft.gas_mass + craft.water_volume * craft.water_density
    count = _record(rows, count, t, phase, guided, y, SIZE[phase])
    while True:
        t_stop = craft.time_limit
        if phase == COAST and release_at < t_stop:
            t_stop = max(release_at, t + 1e-9)
        if phase == CANOPY and t < craft.release_time + craft.filling_time:
            t_stop = min(t_stop, craft.release_time + craft.filling_time)
        event, t, h, count = advance(phase, guided, t, t_stop, h, y, craft, note, work, rows, count)
        if event == -2:
            note.ending = Endings.too_many_steps
            return count
        if event == -3:
            note.ending = Endings.not_finite
            return count
        if event == -1:
            if t >= craft.time_limit:
                stuck = guided and note.max_speed_m_s <= 1e-6
                note.ending = Endings.never_left if stuck else Endings.cut_off
                note.flight_time_s = t
                return count
            if phase == COAST:
                phase = _release(t, y, craft, note)
            h = 1e-3
        elif event == GUIDE_END:
            guided = False
            _leave_guide(t, y, craft, note)
        elif event == APOGEE:
            if math.isnan(note.apogee_time_s):
                note.apogee_m, note.apogee_time_s = y[2], t
                note.apogee_east_m, note.apogee_north_m = y[0], y[1]
                note.apogee_speed_m_s = math.sqrt(y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2)
                if craft.recovery != 0 and craft.release == 0:
                    release_at = t + craft.release_delay
            # Just past the top, so that the event is not met again at once.
            y[VELOCITY + 2] = min(y[VELOCITY + 2], -1e-12)
        elif event == GROUND:
            _landing(t, phase, y, craft, note)
            note.ending = Endings.landed
            note.impulse_total_N_s = y[IMPULSE] if phase != CANOPY else note.impulse_total_N_s
            return count
        else:
            phase = _next_phase(phase, event, t, y, craft, note)
            h = _FIRST_STEP[phase]
            if phase == COAST:
                note.gas_out_time_s = t
                note.burnout_speed_m_s = math.sqrt(
                    y[VELOCITY] ** 2 + y[VELOCITY + 1] ** 2 + y[VELOCITY + 2] ** 2
                )
                note.water_left_kg = craft.water_left * craft.water_density
                note.impulse_total_N_s = y[IMPULSE]
                note.impulse_tail_N_s = y[IMPULSE] - note.impulse_water_N_s
                note.water_time_s = note.water_out_time_s
                note.tail_time_s = t - note.water_out_time_s
                if craft.held != 0:
                    note.ending = Endings.fired
                    return count
                if guided and note.max_speed_m_s <= 1e-6:
                    note.ending = Endings.never_left
                    note.apogee_m, note.flight_time_s = 0.0, t
                    return count


@jit
def _next_phase(phase: int, event: int, t: float, y: FloatArray, craft: Record, note: Record) -> int:
    if phase == TUBE:
        note.tube_exit_time_s = t
        if craft.water_volume > craft.breakthrough_volume + _LAST_DROP * craft.rest_volume:
            return WATER
        pressure, temperature, mass, _ = gas_now(phase, y, craft)
        craft.held_volume = craft.rest_volume
        note.impulse_water_N_s, note.water_time_s, note.water_out_time_s = 0.0, 0.0, 0.0
        return _enter_gas(pressure, temperature, mass, 0.0, y, craft)
    if phase == WATER:
        return _after_water(phase, y, craft, note, t, event == CHARGE_END)
    if phase == SPRAY:
        return _after_spray(phase, y, craft, event == JET_STOPS)
    return _enter_coast(phase, y, craft)
