"""What the vehicle is charged with and what it sits on: nozzle, seal, supply, water and gas of the prepared record."""

import math

from bottlewright.flight.state import Record
from bottlewright.physics import jit
from bottlewright.physics.gas import charging_temperature, start_masses
from bottlewright.physics.opening import AT_ONCE, BY_TIME, BY_TRAVEL
from bottlewright.physics.supply import NONE
from bottlewright.physics.water import R_DRY, density_of_water
from bottlewright.physics.water_jet import end_correction

__all__ = ["load", "set_nozzle"]


@jit
def set_launcher(parameters: Record, vehicle: Record) -> None:
    """Seal, stroke, opening and supply; a thrust stand holds the rocket without a stroke."""
    vehicle.seal_diameter = parameters.seal_diameter
    # A nozzle seals in its socket by its outside: both rims of the gap are as wide as the seal.
    vehicle.rim = parameters.bore if parameters.socket == 0 else parameters.seal_diameter
    vehicle.flow_coefficient = parameters.flow_coefficient
    vehicle.socket = parameters.socket
    vehicle.stroke = parameters.stroke if vehicle.held == 0 else 0.0
    vehicle.seal_area = 0.25 * math.pi * parameters.seal_diameter**2 if vehicle.stroke > 0.0 else 0.0
    hollow = 0.25 * math.pi * parameters.tube_bore**2 * parameters.tube_length
    vehicle.tube_gas = hollow if vehicle.stroke > 0.0 else 0.0
    vehicle.supply = parameters.supply if vehicle.stroke > 0.0 else NONE
    vehicle.supply_area = parameters.flow_coefficient * 0.25 * math.pi * parameters.restriction**2
    vehicle.hose_gas = max(
        vehicle.start_pressure * parameters.hose_volume / (R_DRY * vehicle.start_temperature), 1e-12
    )
    vehicle.opening_time = parameters.opening_time
    vehicle.opening = AT_ONCE
    if vehicle.held != 0 and parameters.opening_time > 0.0:
        vehicle.opening = BY_TIME
    elif vehicle.stroke > 0.0:
        vehicle.opening = BY_TRAVEL
    if parameters.steady_jet != 0:
        vehicle.opening = AT_ONCE


@jit
def load(parameters: Record, vehicle: Record) -> None:
    """Seal, water and gas at release."""
    vehicle.soak_temperature = parameters.charge_temperature
    vehicle.water_density = density_of_water(parameters.charge_temperature)
    vehicle.water_volume = parameters.water
    vehicle.breakthrough_volume = parameters.breakthrough * parameters.water
    vehicle.ambient = parameters.air_pressure
    vehicle.start_pressure = parameters.air_pressure + parameters.pressure_gauge
    vehicle.gas_model, vehicle.gas_exponent = parameters.gas, parameters.gas_exponent
    vehicle.heat_transfer = parameters.heat_transfer
    temperature = parameters.charge_temperature
    if parameters.pumped != 0:
        temperature = charging_temperature(
            temperature, temperature, vehicle.start_pressure / vehicle.ambient, parameters.charging_kept
        )
    vehicle.start_temperature = temperature
    radius = 0.5 * parameters.vessel_diameter
    vehicle.compliance = 0.0
    if parameters.stretch != 0:
        # Thin closed cylinder: ΔV/V = (p r / E t)(5/2 − 2ν), any strength-of-materials text.
        vehicle.compliance = (
            radius / (parameters.vessel_modulus * parameters.vessel_wall) * (2.5 - 2.0 * parameters.vessel_poisson)
        )
    vehicle.stretched_volume = vehicle.rest_volume * (1.0 + vehicle.compliance * parameters.pressure_gauge)
    set_launcher(parameters, vehicle)
    pressed = vehicle.stretched_volume - parameters.water + vehicle.tube_gas
    if vehicle.socket == 0:
        pressed -= vehicle.seal_area * vehicle.stroke
    volume = max(pressed, 0.0)
    vehicle.dry_air, vehicle.vapour = start_masses(
        vehicle.start_pressure, temperature, volume, parameters.gas, parameters.charge_temperature
    )
    vehicle.start_dry_air, vehicle.start_vapour = vehicle.dry_air, vehicle.vapour
    # What fills a hollow tube stays with the launcher.
    inside = 1.0 - vehicle.tube_gas / volume if volume > 0.0 else 1.0
    vehicle.gas_mass = (vehicle.dry_air + vehicle.vapour) * inside
    vehicle.start_gas, vehicle.fed_gas, vehicle.socket_water = vehicle.gas_mass, 0.0, 0.0
    vehicle.returned, vehicle.return_time, vehicle.spray_from, vehicle.opening_kick = 0.0, 1.0, 0.0, 0.0
    vehicle.wall_area = 4.0 * vehicle.rest_volume / max(2.0 * radius, 1e-6)


@jit
def set_nozzle(parameters: Record, vehicle: Record) -> None:
    """Areas, losses and models of what flows out."""
    vehicle.bore_area = 0.25 * math.pi * parameters.bore**2
    vehicle.jet_area = parameters.contraction * vehicle.bore_area
    vehicle.loss = 1.0 / parameters.velocity_coefficient**2 - 1.0
    vehicle.land = parameters.land
    vehicle.correction = end_correction(parameters.bore, parameters.neck_bore)
    vehicle.gas_area = parameters.gas_coefficient * vehicle.bore_area
    vehicle.spray_area = parameters.spray_coefficient * vehicle.bore_area
    vehicle.spray_gamma = parameters.gas_exponent if parameters.gas == 2 and parameters.gas_exponent > 1.0001 else 1.4
    vehicle.slip = parameters.slip
    vehicle.steady_jet = parameters.steady_jet
    vehicle.isothermal = parameters.isothermal_vessel
