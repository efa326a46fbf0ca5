"""What the charge does: the gas in every phase, the push of water, spray, gas and launch tube, mass and balance."""

import math
from typing import TypeAlias

from bottlewright.flight.state import CHARGE_A, CHARGE_B, CHARGE_C, GAS, SPRAY, TUBE, WATER, Record
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.gas import (
    GAMMA,
    expansion_slope,
    gas_pressure,
    gas_volume_stretched,
    nozzle_flow,
    saturation_pressure,
)
from bottlewright.physics.spray import spray_flow
from bottlewright.physics.vessel_shape import water_state
from bottlewright.physics.water_jet import (
    effective_length,
    jet_free,
    jet_held,
    settling_rate,
    steady_jet_free,
    steady_jet_held,
)

__all__ = ["balance", "gas_now", "gas_over_water", "jet_settling_rate", "push", "travel"]

Pushed: TypeAlias = tuple[float, float, float, float, float, float, float]
"""Axial specific force, thrust, mass, centre, transverse moment, outflow and the height that it comes from."""


@jit
def balance(
    vehicle: Record, water_mass: float, water_centre: float, water_moment: float, gas_mass: float
) -> tuple[float, float, float]:
    """Total mass, centre of mass (m from the nose tip) and transverse moment about it.

    Parameters
    ----------
    vehicle
        Prepared vehicle.
    water_mass, water_centre, water_moment
        kg; height of its centre above the exit plane, m; its transverse moment about the exit plane, kg m².
    gas_mass
        kg, taken at the centre of the vessel.
    """
    mass = vehicle.dry_mass + water_mass + gas_mass
    water_x = vehicle.length - water_centre
    centre = (
        vehicle.dry_mass * vehicle.dry_centre + water_mass * water_x + gas_mass * vehicle.vessel_centre
    ) / mass
    own = water_moment - water_mass * water_centre * water_centre
    moment = (
        vehicle.dry_transverse
        + vehicle.dry_mass * (vehicle.dry_centre - centre) ** 2
        + own
        + water_mass * (water_x - centre) ** 2
        + gas_mass * (vehicle.vessel_centre - centre) ** 2
    )
    return mass, centre, moment


@jit
def travel(y: FloatArray, vehicle: Record) -> float:
    """Way along the launch direction since the start, m."""
    return float(y[0] * vehicle.aim_e + y[1] * vehicle.aim_n + y[2] * vehicle.aim_u)


@jit
def gas_over_water(y: FloatArray, vehicle: Record, room: float) -> tuple[float, float, float, float, float]:
    """Pressure, temperature, volume of the gas above the water, and its fall in temperature a volume of room, K/m³.

    `room` is the unstretched volume for gas and water, m³: the vessel's, less the part of a launch tube still inside.
    """
    water, temperature = max(y[CHARGE_A], 0.0), y[CHARGE_C]
    dry, vapour = vehicle.dry_air, vehicle.vapour
    saturation = saturation_pressure(vapour, temperature)
    volume, by_water, by_heat = gas_volume_stretched(
        vehicle.rest_volume, vehicle.compliance, vehicle.rest_volume - room + water, dry, vapour, temperature,
        saturation, vehicle.ambient,
    )
    pressure = gas_pressure(dry, vapour, temperature, volume, saturation)
    capacity, slope = expansion_slope(
        dry, vapour, temperature, volume, saturation, vehicle.gas_model, vehicle.gas_exponent
    )
    capacity += slope * by_heat
    heat = vehicle.heat_transfer * vehicle.wall_area * (vehicle.soak_temperature - temperature)
    return pressure, temperature, volume, -slope * by_water / capacity, heat / capacity


@jit
def _gas_in_spray(y: FloatArray, vehicle: Record) -> tuple[float, float, float, float]:
    """Pressure, temperature, gas mass and water volume: the gas expands on one isentrope, however much has left."""
    water, gas = max(y[CHARGE_A], 0.0) / vehicle.water_density, max(y[CHARGE_B], 1e-12)
    packed = gas / (vehicle.held_volume - water) / vehicle.spray_density
    gain = packed ** (vehicle.spray_gamma - 1.0)
    return vehicle.spray_pressure * packed * gain, vehicle.spray_temperature * gain, gas, water


@jit
def _gas_alone(y: FloatArray, vehicle: Record) -> tuple[float, float, float]:
    """Pressure, temperature and mass of gas that leaves alone, on its isentrope or at constant temperature."""
    pressure = vehicle.ambient * (1.0 + y[CHARGE_A] ** 2)
    temperature = vehicle.gas_temperature
    if vehicle.isothermal == 0:
        temperature *= (pressure / vehicle.gas_pressure) ** ((GAMMA - 1.0) / GAMMA)
    mass = pressure * vehicle.held_volume / (vehicle.gas_constant * temperature)
    return pressure, temperature, mass


@jit
def _room(phase: int, y: FloatArray, vehicle: Record) -> float:
    """Unstretched volume for gas and water, m³."""
    if phase == TUBE:
        return float(vehicle.rest_volume - vehicle.tube_inside + vehicle.tube_area * travel(y, vehicle))
    return float(vehicle.rest_volume)


@jit
def gas_now(phase: int, y: FloatArray, vehicle: Record) -> tuple[float, float, float, float]:
    """Absolute pressure (Pa), temperature (K), mass of gas (kg) and volume of water (m³) in the vessel."""
    if phase in (TUBE, WATER):
        pressure, temperature, _, _, _ = gas_over_water(y, vehicle, _room(phase, y, vehicle))
        return pressure, temperature, vehicle.gas_mass, max(y[CHARGE_A], 0.0)
    if phase == SPRAY:
        return _gas_in_spray(y, vehicle)
    if phase == GAS:
        pressure, temperature, mass = _gas_alone(y, vehicle)
        return pressure, temperature, mass, 0.0
    return vehicle.ambient, vehicle.end_temperature, vehicle.end_gas, vehicle.water_left


@jit
def _push_water(y: FloatArray, vehicle: Record, other: float, held: float, dy: FloatArray) -> Pushed:
    water, speed = max(y[CHARGE_A], 0.0), y[CHARGE_B]
    rho, area = vehicle.water_density, vehicle.jet_area
    height, surface, inertial, centre, moment = water_state(
        water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_count, vehicle.vessel_table
    )
    pressure, _, _, fall, warming = gas_over_water(y, vehicle, vehicle.rest_volume)
    mass, x_centre, transverse = balance(vehicle, rho * water, centre, rho * moment, vehicle.gas_mass)
    excess = pressure - vehicle.ambient
    length = effective_length(area, vehicle.bore_area, inertial, vehicle.land, vehicle.correction)
    free = math.isnan(held)
    if vehicle.steady_jet != 0:
        if free:
            force, speed = steady_jet_free(excess, rho, area, vehicle.loss, height, mass, other)
            thrust = mass * force - other
        else:
            thrust, speed = steady_jet_held(excess, rho, area, vehicle.loss, height, held)
            force = held
        gain = 0.0
    elif free:
        force, gain = jet_free(excess, rho, area, vehicle.loss, height, surface, length, speed, mass, other)
        thrust = mass * force - other
    else:
        thrust, gain = jet_held(excess, rho, area, vehicle.loss, height, surface, length, speed, held)
        force = held
    dy[CHARGE_A] = -area * speed
    dy[CHARGE_B] = gain
    dy[CHARGE_C] = warming - fall * area * speed
    return force, thrust, mass, x_centre, transverse, rho * area * speed, height


@jit
def jet_settling_rate(y: FloatArray, vehicle: Record) -> float:
    """Rate at which the water jet settles, 1/s, which an explicit step has to be short against."""
    water, rho = max(y[CHARGE_A], 0.0), vehicle.water_density
    height, surface, inertial, _, _ = water_state(
        water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_count, vehicle.vessel_table
    )
    length = effective_length(vehicle.jet_area, vehicle.bore_area, inertial, vehicle.land, vehicle.correction)
    mass = vehicle.dry_mass + vehicle.gas_mass + rho * water if vehicle.held == 0 else math.inf
    return float(settling_rate(rho, vehicle.jet_area, vehicle.loss, height, surface, length, y[CHARGE_B], mass))


@jit
def _push_tube(y: FloatArray, vehicle: Record, other: float, held: float, along: float, dy: FloatArray) -> Pushed:
    """On the launch tube no water leaves: the gas pushes the tube out, force (p − p_a)·A_t."""
    pressure, _, _, fall, warming = gas_over_water(y, vehicle, _room(TUBE, y, vehicle))
    water, rho = y[CHARGE_A], vehicle.water_density
    _, _, _, centre, moment = water_state(
        water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_count, vehicle.vessel_table
    )
    mass, x_centre, transverse = balance(vehicle, rho * water, centre, rho * moment, vehicle.gas_mass)
    thrust = (pressure - vehicle.ambient) * vehicle.tube_area
    force = (thrust + other) / mass if math.isnan(held) else held
    dy[CHARGE_A] = 0.0
    dy[CHARGE_B] = 0.0
    dy[CHARGE_C] = warming - fall * vehicle.tube_area * along
    return force, thrust, mass, x_centre, transverse, 0.0, 0.0


@jit
def _push_spray(y: FloatArray, vehicle: Record, other: float, held: float, dy: FloatArray) -> Pushed:
    pressure, _, gas, water = _gas_in_spray(y, vehicle)
    drops = water * vehicle.water_density
    share = vehicle.slip * gas / (vehicle.slip * gas + drops)
    flow, thrust, _ = spray_flow(
        pressure, vehicle.ambient, share, vehicle.water_density, (vehicle.held_volume - water) / gas,
        vehicle.spray_gamma, vehicle.spray_area,
    )  # fmt: skip
    # The spray fills the vessel: its water sits at the vessel's centre, not at the neck.
    middle = vehicle.length - vehicle.vessel_centre
    mass, x_centre, transverse = balance(vehicle, drops, middle, drops * middle * middle, gas)
    force = (thrust + other) / mass if math.isnan(held) else held
    dy[CHARGE_A] = -(1.0 - share) * flow
    dy[CHARGE_B] = -share * flow
    return force, thrust, mass, x_centre, transverse, flow, middle


@jit
def _push_gas(y: FloatArray, vehicle: Record, other: float, held: float, dy: FloatArray) -> Pushed:
    pressure, temperature, gas = _gas_alone(y, vehicle)
    flow, thrust = nozzle_flow(
        y[CHARGE_A], vehicle.ambient, temperature, vehicle.gas_constant, GAMMA, vehicle.gas_area
    )
    mass, x_centre, transverse = balance(vehicle, 0.0, 0.0, 0.0, gas)
    force = (thrust + other) / mass if math.isnan(held) else held
    # p falls as γ p ṁ/m on the isentrope and as p ṁ/m at constant temperature; ds/dt = ṗ / (2 s p_a), with ṁ/s finite.
    power = GAMMA if vehicle.isothermal == 0 else 1.0
    root = y[CHARGE_A]
    if abs(root) < 1e-9:
        root = 1e-9
        flow, _ = nozzle_flow(root, vehicle.ambient, temperature, vehicle.gas_constant, GAMMA, vehicle.gas_area)
    dy[CHARGE_A] = -power * pressure * flow / (gas * 2.0 * vehicle.ambient * root)
    return force, thrust, mass, x_centre, transverse, flow, vehicle.length - vehicle.vessel_centre


@jit
def _push_none(vehicle: Record, other: float, held: float) -> Pushed:
    """Coasting: mass and balance stay as `vehicle.end_…` has them."""
    force = other / vehicle.end_mass if math.isnan(held) else held
    return force, 0.0, vehicle.end_mass, vehicle.end_centre, vehicle.end_transverse, 0.0, 0.0


@jit
def push(
    phase: int, y: FloatArray, vehicle: Record, other: float, held: float, along: float, dy: FloatArray
) -> Pushed:
    """What the charge does, as `Pushed`.

    Parameters
    ----------
    phase, y, vehicle
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
        return _push_water(y, vehicle, other, held, dy)
    if phase == GAS:
        return _push_gas(y, vehicle, other, held, dy)
    if phase == SPRAY:
        return _push_spray(y, vehicle, other, held, dy)
    if phase == TUBE:
        return _push_tube(y, vehicle, other, held, along, dy)
    return _push_none(vehicle, other, held)
