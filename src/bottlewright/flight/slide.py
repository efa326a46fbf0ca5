"""The release stroke: the seal pushes, no water leaves, and what stands behind the seal may feed the bottle.

A launch tube, a spigot in the neck and a nozzle in a socket are one motion. Rocket and water move as one body over the
stroke s, the gas works on the seal's area A_s, its room grows by A_s a metre:

    M f = (p − p_a) A_s + F
    room = V₀(1 + κ(p − p_a)) − V_w − A_s (s − x) + V_tube     a tube or spigot that fills the neck
    room = V₀(1 + κ(p − p_a)) − V_w + A_s x                    a nozzle that leaves its socket

The gas in a hollow tube shares pressure and temperature with the bottle's and stays with the launcher at the end. First
law of the moist gas with inflow of dry air at the hose's temperature, in docs/physics/launch.md.
"""

import math

from bottlewright.flight.balance import balance, travel
from bottlewright.flight.state import CHARGE_A, CHARGE_B, CHARGE_C, Pushed, Record
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.gas import (
    POLYTROPIC,
    expansion_slope,
    gas_pressure,
    gas_volume_stretched,
    saturation_pressure,
)
from bottlewright.physics.supply import HOSE, INFINITE, hose_flow
from bottlewright.physics.vessel_shape import water_state
from bottlewright.physics.water import CP_DRY, CV_DRY, R_DRY

__all__ = ["gas_in_slide", "push_slide"]


@jit
def _filled(y: FloatArray, vehicle: Record) -> float:
    """What takes up the unstretched vessel besides gas, m³; a socket and a hollow tube give room."""
    way = vehicle.stroke - travel(y, vehicle) if vehicle.socket == 0 else -travel(y, vehicle)
    return float(vehicle.water_volume + vehicle.seal_area * way - vehicle.tube_gas)


@jit
def gas_in_slide(y: FloatArray, vehicle: Record) -> tuple[float, float, float, float]:
    """Pressure (Pa), temperature (K), mass of gas in the bottle (kg) and its volume there (m³), tube not counted."""
    dry, vapour, temperature = vehicle.start_dry_air + y[CHARGE_A], vehicle.start_vapour, y[CHARGE_C]
    saturation = saturation_pressure(vapour, temperature)
    volume, _, _, _ = gas_volume_stretched(
        vehicle.rest_volume, vehicle.compliance, _filled(y, vehicle), dry, vapour, temperature, saturation,
        vehicle.ambient,
    )  # fmt: skip
    inside = volume - vehicle.tube_gas
    pressure = gas_pressure(dry, vapour, temperature, volume, saturation)
    return pressure, temperature, (dry + vapour) * inside / volume, inside


@jit
def push_slide(
    y: FloatArray, vehicle: Record, other: float, held: float, along: float, dy: FloatArray
) -> Pushed:
    """What the seal does, as `Pushed`; the charge is inflow (kg), nothing, gas temperature (K)."""
    temperature, water = y[CHARGE_C], vehicle.water_volume
    dry, vapour = vehicle.start_dry_air + y[CHARGE_A], vehicle.start_vapour
    saturation = saturation_pressure(vapour, temperature)
    volume, by_filled, by_heat, by_dry = gas_volume_stretched(
        vehicle.rest_volume, vehicle.compliance, _filled(y, vehicle), dry, vapour, temperature, saturation,
        vehicle.ambient,
    )  # fmt: skip
    pressure = gas_pressure(dry, vapour, temperature, volume, saturation)
    swept = vehicle.seal_area * along
    inflow, warm = 0.0, temperature
    if vehicle.supply == INFINITE:
        # Pressure and temperature stand still, and with them the wall: the air that comes fills what is swept.
        dy[CHARGE_A], dy[CHARGE_C] = pressure * swept / (R_DRY * temperature), 0.0
    else:
        gamma = vehicle.spray_gamma  # the exponent of a polytropic gas, else 1.4
        if vehicle.supply == HOSE:
            inflow, warm = hose_flow(
                pressure, vehicle.start_pressure, vehicle.start_temperature, 1.0 - y[CHARGE_A] / vehicle.hose_gas,
                gamma, vehicle.supply_area,
            )  # fmt: skip
        capacity, slope = expansion_slope(
            dry, vapour, temperature, volume, saturation, vehicle.gas_model, vehicle.gas_exponent
        )
        cv, cp = CV_DRY, CP_DRY
        if vehicle.gas_model == POLYTROPIC:
            cv = R_DRY / max(gamma - 1.0, 1e-12)
            cp = gamma * cv
        heat = vehicle.heat_transfer * vehicle.wall_area * (vehicle.soak_temperature - temperature)
        gain = slope * (by_filled * swept - by_dry * inflow) + heat + (cp * warm - cv * temperature) * inflow
        dy[CHARGE_A], dy[CHARGE_C] = inflow, gain / (capacity + slope * by_heat)
    dy[CHARGE_B] = 0.0
    rho = vehicle.water_density
    _, _, _, centre, moment = water_state(
        water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_count, vehicle.vessel_table
    )
    gas = (dry + vapour) * (volume - vehicle.tube_gas) / volume
    mass, x_centre, transverse = balance(vehicle, rho * water, centre, rho * moment, gas)
    thrust = (pressure - vehicle.ambient) * vehicle.seal_area
    force = (thrust + other) / mass if math.isnan(held) else held
    return force, thrust, mass, x_centre, transverse, 0.0, 0.0
