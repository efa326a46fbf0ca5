"""Equations of motion: from a state to its rate of change, in every phase of the flight.

Newton and Euler for all the matter in the rocket at this instant, about the point C* of the rocket that coincides with
the centre of mass now. With the water streaming aft along the axis at ṁ/(dm/dz) relative to the rocket:

    M a_C*   = forces + thrust − ∫ 2 ω × v_rel dm            (Coriolis force 2 ṁ h ω × e1)
    I ω̇      = moments − ω × I ω + ṁ [(h − z_c)² − z_c²] ω⊥   (jet damping)

The place that is integrated is the dry centre of mass, fixed in the rocket; C* moves against it as water leaves.
Water is frozen in shape across the axis (no slosh) and does not take part in the roll. docs/physics/flight.md.
"""

import math
from typing import TypeAlias

from bottlewright.flight.state import (
    AIR_PATH,
    ATTITUDE,
    CANOPY,
    CHARGE_A,
    CHARGE_B,
    CHARGE_C,
    GAS,
    IMPULSE,
    RATES,
    SPRAY,
    TUBE,
    VELOCITY,
    WATER,
    Record,
)
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.airframe import air_loads, drag_area
from bottlewright.physics.gas import (
    GAMMA,
    expansion_slope,
    gas_pressure,
    gas_volume_stretched,
    nozzle_flow,
    saturation_pressure,
)
from bottlewright.physics.gusts import gust_at
from bottlewright.physics.parachute import inflation
from bottlewright.physics.spray import spray_flow
from bottlewright.physics.vessel_shape import water_state
from bottlewright.physics.water_jet import (
    effective_length,
    jet_free,
    jet_held,
    steady_jet_free,
    steady_jet_held,
)
from bottlewright.physics.wind import wind_at

__all__ = ["balance", "gas_now", "gas_over_water", "push", "rates", "wind_on"]

Pushed: TypeAlias = tuple[float, float, float, float, float, float, float]
"""Axial specific force, thrust, mass, centre, transverse moment, outflow and the height that it comes from."""


@jit
def wind_on(craft: Record, height: float, path: float) -> tuple[float, float, float]:
    """Wind (east, north, up), m/s, at a height above the ground and a length of air already passed."""
    speed = wind_at(height, craft.wind_speed, craft.wind_height, craft.wind_law, craft.wind_exponent, craft.wind_z0)
    along, across, up = 0.0, 0.0, 0.0
    if craft.turbulence != 0:
        u, v, w = gust_at(path, craft.gusts, craft.gust_spacing)
        along, across, up = u * craft.gust_u, v * craft.gust_u, w * craft.gust_w
    toward_e, toward_n = craft.wind_e, craft.wind_n
    return (
        (speed + along) * toward_e - across * toward_n,
        (speed + along) * toward_n + across * toward_e,
        up,
    )


@jit
def balance(
    craft: Record, water_mass: float, water_centre: float, water_moment: float, gas_mass: float
) -> tuple[float, float, float]:
    """Total mass, centre of mass (m from the nose tip) and transverse moment about it.

    Parameters
    ----------
    craft
        Prepared vehicle.
    water_mass, water_centre, water_moment
        kg; height of its centre above the exit plane, m; its transverse moment about the exit plane, kg m².
    gas_mass
        kg, taken at the centre of the vessel.
    """
    mass = craft.dry_mass + water_mass + gas_mass
    water_x = craft.length - water_centre
    centre = (
        craft.dry_mass * craft.dry_centre + water_mass * water_x + gas_mass * craft.vessel_centre
    ) / mass
    own = water_moment - water_mass * water_centre * water_centre
    moment = (
        craft.dry_transverse
        + craft.dry_mass * (craft.dry_centre - centre) ** 2
        + own
        + water_mass * (water_x - centre) ** 2
        + gas_mass * (craft.vessel_centre - centre) ** 2
    )
    return mass, centre, moment


@jit
def _travel(y: FloatArray, craft: Record) -> float:
    """Way along the launch direction since the start, m."""
    return float(y[0] * craft.aim_e + y[1] * craft.aim_n + y[2] * craft.aim_u)


@jit
def gas_over_water(y: FloatArray, craft: Record, room: float) -> tuple[float, float, float, float, float]:
    """Pressure, temperature, volume of the gas above the water, and its fall in temperature a volume of room, K/m³.

    `room` is the unstretched volume for gas and water, m³: the vessel's, less the part of a launch tube still inside.
    """
    water, temperature = max(y[CHARGE_A], 0.0), y[CHARGE_C]
    dry, vapour = craft.dry_air, craft.vapour
    saturation = saturation_pressure(vapour, temperature)
    volume, by_water, by_heat = gas_volume_stretched(
        craft.rest_volume, craft.compliance, craft.rest_volume - room + water, dry, vapour, temperature, saturation,
        craft.ambient,
    )
    pressure = gas_pressure(dry, vapour, temperature, volume, saturation)
    capacity, slope = expansion_slope(
        dry, vapour, temperature, volume, saturation, craft.gas_model, craft.gas_exponent
    )
    capacity += slope * by_heat
    heat = craft.heat_transfer * craft.wall_area * (craft.soak_temperature - temperature)
    return pressure, temperature, volume, -slope * by_water / capacity, heat / capacity


@jit
def _gas_in_spray(y: FloatArray, craft: Record) -> tuple[float, float, float, float]:
    """Pressure, temperature, gas mass and water volume: the gas expands on one isentrope, however much has left."""
    water, gas = max(y[CHARGE_A], 0.0) / craft.water_density, max(y[CHARGE_B], 1e-12)
    packed = gas / (craft.held_volume - water) / craft.spray_density
    gain = packed ** (craft.spray_gamma - 1.0)
    return craft.spray_pressure * packed * gain, craft.spray_temperature * gain, gas, water


@jit
def _gas_alone(y: FloatArray, craft: Record) -> tuple[float, float, float]:
    """Pressure, temperature and mass of gas that leaves alone, on its isentrope or at constant temperature."""
    pressure = craft.ambient * (1.0 + y[CHARGE_A] ** 2)
    temperature = craft.gas_temperature
    if craft.isothermal == 0:
        temperature *= (pressure / craft.gas_pressure) ** ((GAMMA - 1.0) / GAMMA)
    mass = pressure * (craft.held_volume - craft.water_left) / (craft.gas_constant * temperature)
    return pressure, temperature, mass


@jit
def _room(phase: int, y: FloatArray, craft: Record) -> float:
    """Unstretched volume for gas and water, m³."""
    if phase == TUBE:
        return float(craft.rest_volume - craft.tube_inside + craft.tube_area * _travel(y, craft))
    return float(craft.rest_volume)


@jit
def gas_now(phase: int, y: FloatArray, craft: Record) -> tuple[float, float, float, float]:
    """Absolute pressure (Pa), temperature (K), mass of gas (kg) and volume of water (m³) in the vessel."""
    if phase in (TUBE, WATER):
        pressure, temperature, _, _, _ = gas_over_water(y, craft, _room(phase, y, craft))
        return pressure, temperature, craft.gas_mass, max(y[CHARGE_A], 0.0)
    if phase == SPRAY:
        return _gas_in_spray(y, craft)
    if phase == GAS:
        pressure, temperature, mass = _gas_alone(y, craft)
        return pressure, temperature, mass, craft.water_left
    return craft.ambient, craft.end_temperature, craft.end_gas, craft.water_left


@jit
def _push_water(y: FloatArray, craft: Record, other: float, held: float, dy: FloatArray) -> Pushed:
    water, speed = max(y[CHARGE_A], 0.0), y[CHARGE_B]
    rho, area = craft.water_density, craft.jet_area
    height, surface, inertial, centre, moment = water_state(
        water, craft.vessel_z, craft.vessel_r, craft.vessel_count, craft.vessel_table
    )
    pressure, _, _, fall, warming = gas_over_water(y, craft, craft.rest_volume)
    mass, x_centre, transverse = balance(craft, rho * water, centre, rho * moment, craft.gas_mass)
    excess = pressure - craft.ambient
    length = effective_length(area, craft.bore_area, inertial, craft.land, craft.correction)
    free = math.isnan(held)
    if craft.steady_jet != 0:
        if free:
            force, speed = steady_jet_free(excess, rho, area, craft.loss, height, mass, other)
            thrust = mass * force - other
        else:
            thrust, speed = steady_jet_held(excess, rho, area, craft.loss, height, held)
            force = held
        gain = 0.0
    elif free:
        force, gain = jet_free(excess, rho, area, craft.loss, height, surface, length, speed, mass, other)
        thrust = mass * force - other
    else:
        thrust, gain = jet_held(excess, rho, area, craft.loss, height, surface, length, speed, held)
        force = held
    dy[CHARGE_A] = -area * speed
    dy[CHARGE_B] = gain
    dy[CHARGE_C] = warming - fall * area * speed
    return force, thrust, mass, x_centre, transverse, rho * area * speed, height


@jit
def _push_tube(y: FloatArray, craft: Record, other: float, held: float, along: float, dy: FloatArray) -> Pushed:
    """On the launch tube no water leaves: the gas pushes the tube out, force (p − p_a)·A_t."""
    pressure, _, _, fall, warming = gas_over_water(y, craft, _room(TUBE, y, craft))
    water, rho = y[CHARGE_A], craft.water_density
    _, _, _, centre, moment = water_state(
        water, craft.vessel_z, craft.vessel_r, craft.vessel_count, craft.vessel_table
    )
    mass, x_centre, transverse = balance(craft, rho * water, centre, rho * moment, craft.gas_mass)
    thrust = (pressure - craft.ambient) * craft.tube_area
    force = (thrust + other) / mass if math.isnan(held) else held
    dy[CHARGE_A] = 0.0
    dy[CHARGE_B] = 0.0
    dy[CHARGE_C] = warming - fall * craft.tube_area * along
    return force, thrust, mass, x_centre, transverse, 0.0, 0.0


@jit
def _push_spray(y: FloatArray, craft: Record, other: float, held: float, dy: FloatArray) -> Pushed:
    pressure, _, gas, water = _gas_in_spray(y, craft)
    drops = water * craft.water_density
    share = craft.slip * gas / (craft.slip * gas + drops)
    flow, thrust, _ = spray_flow(
        pressure, craft.ambient, share, craft.water_density, (craft.held_volume - water) / gas, craft.spray_gamma,
        craft.spray_area,
    )  # fmt: skip
    # The spray fills the vessel: its water sits at the vessel's centre, not at the neck.
    middle = craft.length - craft.vessel_centre
    mass, x_centre, transverse = balance(craft, drops, middle, drops * middle * middle, gas)
    force = (thrust + other) / mass if math.isnan(held) else held
    dy[CHARGE_A] = -(1.0 - share) * flow
    dy[CHARGE_B] = -share * flow
    return force, thrust, mass, x_centre, transverse, flow, middle


@jit
def _push_gas(y: FloatArray, craft: Record, other: float, held: float, dy: FloatArray) -> Pushed:
    pressure, temperature, gas = _gas_alone(y, craft)
    water = craft.water_left
    flow, thrust = nozzle_flow(
        y[CHARGE_A], craft.ambient, temperature, craft.gas_constant, GAMMA, craft.gas_area
    )
    _, _, _, centre, moment = water_state(
        water, craft.vessel_z, craft.vessel_r, craft.vessel_count, craft.vessel_table
    )
    rho = craft.water_density
    mass, x_centre, transverse = balance(craft, rho * water, centre, rho * moment, gas)
    force = (thrust + other) / mass if math.isnan(held) else held
    # p falls as γ p ṁ/m on the isentrope and as p ṁ/m at constant temperature; ds/dt = ṗ / (2 s p_a), with ṁ/s finite.
    power = GAMMA if craft.isothermal == 0 else 1.0
    root = y[CHARGE_A]
    if abs(root) < 1e-9:
        root = 1e-9
        flow, _ = nozzle_flow(root, craft.ambient, temperature, craft.gas_constant, GAMMA, craft.gas_area)
    dy[CHARGE_A] = -power * pressure * flow / (gas * 2.0 * craft.ambient * root)
    return force, thrust, mass, x_centre, transverse, flow, craft.length - craft.vessel_centre


@jit
def _push_none(craft: Record, other: float, held: float) -> Pushed:
    """Coasting: mass and balance stay as `craft.end_…` has them."""
    force = other / craft.end_mass if math.isnan(held) else held
    return force, 0.0, craft.end_mass, craft.end_centre, craft.end_transverse, 0.0, 0.0


@jit
def push(
    phase: int, y: FloatArray, craft: Record, other: float, held: float, along: float, dy: FloatArray
) -> Pushed:
    """What the charge does, as `Pushed`.

    Parameters
    ----------
    phase, y, craft
        Phase, state, prepared vehicle.
    other
        Axial force besides thrust, N, forward.
    held
        Axial specific force of a rocket that is held, m/s²; NaN when it is free.
    along
        Speed along the launch tube, m/s.
    dy
        Rates of the charge are written here.
    """
    if phase == WATER:
        return _push_water(y, craft, other, held, dy)
    if phase == GAS:
        return _push_gas(y, craft, other, held, dy)
    if phase == SPRAY:
        return _push_spray(y, craft, other, held, dy)
    if phase == TUBE:
        return _push_tube(y, craft, other, held, along, dy)
    return _push_none(craft, other, held)


@jit
def rates(phase: int, guided: bool, t: float, y: FloatArray, craft: Record, dy: FloatArray) -> None:
    """Write the rate of change of the state in use."""
    if craft.held != 0:
        for i in range(IMPULSE):
            dy[i] = 0.0
        _, dy[IMPULSE], _, _, _, _, _ = push(phase, y, craft, 0.0, craft.held_force, 0.0, dy)
        return
    if phase == CANOPY:
        _canopy_rates(t, y, craft, dy)
        return
    if guided:
        _guided_rates(phase, y, craft, dy)
    else:
        _rigid_rates(phase, y, craft, dy)


@jit
def _canopy_rates(t: float, y: FloatArray, craft: Record, dy: FloatArray) -> None:
    """Rocket and canopy as one point with a drag area that grows while the canopy fills."""
    wind_e, wind_n, wind_u = wind_on(craft, y[2] + craft.ground_gap, y[AIR_PATH])
    density, _ = density_viscosity(craft.air, y[2])
    e, n, u = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    speed = math.sqrt(e * e + n * n + u * u)
    area = craft.canopy_area * inflation(t - craft.release_time, craft.filling_time) + craft.hanging_area
    pull = 0.5 * density * area * speed / craft.hanging_mass
    for i in range(3):
        dy[i] = y[VELOCITY + i]
    dy[VELOCITY] = -pull * e
    dy[VELOCITY + 1] = -pull * n
    dy[VELOCITY + 2] = -pull * u - craft.gravity + craft.lift_of_air * density / craft.hanging_mass
    dy[AIR_PATH] = speed


@jit
def _guided_rates(phase: int, y: FloatArray, craft: Record, dy: FloatArray) -> None:
    """On the guide or the tube: motion along the aim only. The launcher takes whatever acts across it."""
    ae, an, au = craft.aim_e, craft.aim_n, craft.aim_u
    along = y[VELOCITY] * ae + y[VELOCITY + 1] * an + y[VELOCITY + 2] * au
    # The guide is short: air and wind are those at its foot all the way.
    density, viscosity = craft.foot_density, craft.foot_viscosity
    wind_e, wind_n, wind_u = craft.foot_wind_e, craft.foot_wind_n, craft.foot_wind_u
    ahead = along - wind_e * ae - wind_n * an - wind_u * au
    jet = craft.jet_area if phase in (WATER, SPRAY, GAS) else 0.0
    drag = 0.5 * density * ahead * abs(ahead) * drag_area(craft.airframe, abs(ahead) * density / viscosity, jet)
    weight = craft.gravity * au
    other = craft.lift_of_air * density * au - drag
    force, thrust, _, _, _, _, _ = push(phase, y, craft, other, math.nan, along, dy)
    gain = force - weight
    if gain < 0.0 and _travel(y, craft) <= 1e-9 and along <= 1e-9:
        # It rests on its stop: the launcher carries what the thrust does not.
        _, thrust, _, _, _, _, _ = push(phase, y, craft, 0.0, weight, along, dy)
        gain = 0.0
    for i in range(ATTITUDE, RATES + 3):
        dy[i] = 0.0
    dy[0], dy[1], dy[2] = y[VELOCITY], y[VELOCITY + 1], y[VELOCITY + 2]
    dy[VELOCITY], dy[VELOCITY + 1], dy[VELOCITY + 2] = gain * ae, gain * an, gain * au
    we, wn, wu = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    dy[AIR_PATH] = math.sqrt(we * we + wn * wn + wu * wu)
    dy[IMPULSE] = thrust


@jit
def _rigid_rates(phase: int, y: FloatArray, craft: Record, dy: FloatArray) -> None:
    a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    norm = 1.0 / (a * a + b * b + c * c + d * d)
    # Columns of the rotation: the body axes in east, north, up.
    e1e, e1n, e1u = (a * a + b * b - c * c - d * d) * norm, 2 * (b * c + a * d) * norm, 2 * (b * d - a * c) * norm
    e2e, e2n, e2u = 2 * (b * c - a * d) * norm, (a * a - b * b + c * c - d * d) * norm, 2 * (c * d + a * b) * norm
    e3e, e3n, e3u = 2 * (b * d + a * c) * norm, 2 * (c * d - a * b) * norm, (a * a - b * b - c * c + d * d) * norm
    p, q, r = y[RATES], y[RATES + 1], y[RATES + 2]

    wind_e, wind_n, wind_u = wind_on(craft, y[2] + craft.ground_gap, y[AIR_PATH])
    density, viscosity = density_viscosity(craft.air, y[2])
    we, wn, wu = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    v1 = we * e1e + wn * e1n + wu * e1u
    v2 = we * e2e + wn * e2n + wu * e2u
    v3 = we * e3e + wn * e3n + wu * e3u
    # The nose tip lies dry_centre ahead of the place that is integrated; ω × e1 = (0, r, −q).
    ahead = craft.dry_centre
    jet = craft.jet_area if phase in (WATER, SPRAY, GAS) else 0.0
    f1, f2, f3, m1, m2, m3 = air_loads(
        craft.airframe, density, viscosity, v1, v2 + ahead * r, v3 - ahead * q, p, q, r, jet
    )
    weight = craft.gravity
    buoyancy = craft.lift_of_air * density
    force, thrust, mass, centre, transverse, flow, height = push(
        phase, y, craft, f1 + buoyancy * e1u, math.nan, 0.0, dy
    )
    dy[0], dy[1], dy[2] = y[VELOCITY], y[VELOCITY + 1], y[VELOCITY + 2]
    dy[AIR_PATH] = math.sqrt(v1 * v1 + v2 * v2 + v3 * v3)
    dy[IMPULSE] = thrust
    dy[ATTITUDE] = 0.5 * (-b * p - c * q - d * r)
    dy[ATTITUDE + 1] = 0.5 * (a * p + c * r - d * q)
    dy[ATTITUDE + 2] = 0.5 * (a * q + d * p - b * r)
    dy[ATTITUDE + 3] = 0.5 * (a * r + b * q - c * p)

    # Moments about C*, the nose tip lying `centre` ahead of it: e1 × F = (0, −F3, F2).
    m2 -= centre * f3
    m3 += centre * f2
    spin = craft.dry_axial
    arm = craft.length - centre
    damping = flow * ((height - arm) ** 2 - arm * arm)
    dp = m1 / spin
    dq = (m2 + (transverse - spin) * p * r + damping * q) / transverse
    dr = (m3 - (transverse - spin) * p * q + damping * r) / transverse
    # Acceleration of C* across the axis: air loads, buoyancy, Coriolis force of the stream 2 ṁ h (ω × e1).
    coriolis = 2.0 * flow * height
    a1 = force
    a2 = (f2 + buoyancy * e2u + coriolis * r) / mass
    a3 = (f3 + buoyancy * e3u - coriolis * q) / mass
    # From C* to the dry centre of mass, `gap` ahead of it along e1: a_O = a_C + ω̇ × g + ω × (ω × g).
    gap = centre - craft.dry_centre
    a1 -= gap * (q * q + r * r)
    a2 += gap * (dr + p * q)
    a3 += gap * (-dq + p * r)
    dy[VELOCITY] = a1 * e1e + a2 * e2e + a3 * e3e
    dy[VELOCITY + 1] = a1 * e1n + a2 * e2n + a3 * e3n
    dy[VELOCITY + 2] = a1 * e1u + a2 * e2u + a3 * e3u - weight
    dy[RATES], dy[RATES + 1], dy[RATES + 2] = dp, dq, dr
