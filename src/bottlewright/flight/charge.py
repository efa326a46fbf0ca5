"""What the charge does: the gas in every phase, and the push of water, spray and gas."""

import math

from bottlewright.flight.balance import balance, travel
from bottlewright.flight.slide import gas_in_slide, push_slide
from bottlewright.flight.state import (
    CHARGE_A,
    CHARGE_B,
    CHARGE_C,
    GAS,
    OPENING,
    SLIDE,
    SPRAY,
    TUMBLING,
    WATER,
    Pushed,
    Record,
)
from bottlewright.physics import FloatArray, inline_jit, jit
from bottlewright.physics.gas import (
    GAMMA,
    expansion_slope,
    gas_pressure,
    gas_volume_stretched,
    nozzle_flow,
    saturation_pressure,
)
from bottlewright.physics.opening import BY_TIME, LEAST_SHARE, first_jet, gap_share, throttle
from bottlewright.physics.spray import spray_flow
from bottlewright.physics.vessel_shape import frustum_at, water_state, water_state_in
from bottlewright.physics.water_jet import (
    effective_length,
    jet_free,
    jet_free_ahead,
    jet_held,
    jet_held_ahead,
    steady_jet_free,
    steady_jet_held,
)

__all__ = [
    "contained_momentum", "gas_now", "gas_over_water", "jet_start", "loaded", "open_share",
    "push", "spray_thrust", "until_next_edge",
]  # fmt: skip


@inline_jit
def gas_over_water(y: FloatArray, vehicle: Record) -> tuple[float, float, float, float, float]:
    """Pressure, temperature, volume of the gas over the water, its fall (K/m³ of room) and its rise by heat (K/s)."""
    water, temperature = max(y[CHARGE_A], 0.0), y[CHARGE_C]
    dry, vapour = vehicle.dry_air, vehicle.vapour
    saturation = saturation_pressure(vapour, temperature)
    volume, by_water, by_heat, _ = gas_volume_stretched(
        vehicle.rest_volume, vehicle.compliance, water, dry, vapour, temperature, saturation, vehicle.ambient
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
def gas_now(phase: int, y: FloatArray, vehicle: Record) -> tuple[float, float, float, float]:
    """Absolute pressure (Pa), temperature (K), mass of gas (kg) and volume of water (m³) in the vessel."""
    if phase in (OPENING, WATER):
        pressure, temperature, _, _, _ = gas_over_water(y, vehicle)
        return pressure, temperature, vehicle.gas_mass, max(y[CHARGE_A], 0.0)
    if phase == SLIDE:
        pressure, temperature, mass, _ = gas_in_slide(y, vehicle)
        return pressure, temperature, mass, float(vehicle.water_volume)
    if phase == SPRAY:
        return _gas_in_spray(y, vehicle)
    if phase == GAS:
        pressure, temperature, mass = _gas_alone(y, vehicle)
        return pressure, temperature, mass, 0.0
    return vehicle.ambient, vehicle.end_temperature, vehicle.end_gas, vehicle.water_left


@jit
def loaded(phase: int, y: FloatArray, vehicle: Record) -> tuple[float, float]:
    """Mass of rocket, water and gas, kg, and their centre, m from the nose tip; spray fills the whole vessel."""
    _, _, gas, water = gas_now(phase, y, vehicle)
    height = vehicle.length - vehicle.vessel_centre
    if phase != SPRAY:
        _, _, _, height, _ = water_state(
            water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_count, vehicle.vessel_table
        )
    mass, centre, _ = balance(vehicle, vehicle.water_density * water, height, 0.0, gas)
    return mass, vehicle.shifted_centre if phase == TUMBLING else centre


@inline_jit
def _water(y: FloatArray, vehicle: Record) -> tuple[float, float, float, float, float, float]:
    """Height, surface and Λ_e of the water at this moment, its centre and moment about the exit, and its volume."""
    water = max(y[CHARGE_A], 0.0)
    vehicle.frustum = frustum_at(water, vehicle.vessel_count, vehicle.vessel_table, vehicle.frustum)
    height, surface, inertial, centre, moment = water_state_in(
        vehicle.frustum, water, vehicle.vessel_z, vehicle.vessel_r, vehicle.vessel_table
    )
    length = effective_length(vehicle.jet_area, vehicle.bore_area, inertial, vehicle.land, vehicle.correction)
    return height, surface, length, centre, moment, water


@inline_jit
def open_share(t: float, y: FloatArray, vehicle: Record) -> float:
    """Share of the jet's area that is free during the opening, `bottlewright.physics.opening`."""
    if vehicle.opening == BY_TIME:
        return float((t - vehicle.opened_at) / vehicle.opening_time + LEAST_SHARE)
    off = travel(y, vehicle) - vehicle.stroke
    return float(
        gap_share(off, vehicle.rim, vehicle.seal_diameter, vehicle.flow_coefficient, vehicle.jet_area)
    )


@jit
def jet_start(y: FloatArray, vehicle: Record, along: float) -> float:
    """Return the jet's speed as the opening begins, m/s; nothing where the first of it is a gap already.

    `along` is the speed off the seal, m/s.
    """
    share = open_share(vehicle.opened_at, y, vehicle)
    if share > 2.0 * LEAST_SHARE:
        return 0.0
    height, _, length, _, _, water = _water(y, vehicle)
    pressure, _, _, _, _ = gas_over_water(y, vehicle)
    drive = (pressure - vehicle.ambient) / vehicle.water_density
    if vehicle.held != 0:
        return float(first_jet(drive + vehicle.held_force * height, length, share, 1.0 / vehicle.opening_time, 1.0))
    mass = vehicle.dry_mass + vehicle.gas_mass + vehicle.water_density * water
    carried = vehicle.water_density * vehicle.jet_area * height / mass
    rate = vehicle.flow_coefficient * math.pi * vehicle.rim * along / vehicle.jet_area
    return float(first_jet(drive, length - carried * height, share, rate, 1.0 - carried))


@jit
def contained_momentum(y: FloatArray, vehicle: Record) -> float:
    """Momentum of the water that moves inside, against the rocket: ρ A_j h u, kg m/s, aft."""
    if vehicle.steady_jet != 0:
        return 0.0
    height, _, _, _, _, _ = _water(y, vehicle)
    return float(vehicle.water_density * vehicle.jet_area * height * y[CHARGE_B])


@inline_jit
def _push_water(
    phase: int, t: float, y: FloatArray, vehicle: Record, other: float, held: float, dy: FloatArray
) -> Pushed:
    speed = y[CHARGE_B]
    rho, area, loss = vehicle.water_density, vehicle.jet_area, vehicle.loss
    height, surface, length, centre, moment, water = _water(y, vehicle)
    pressure, _, _, fall, warming = gas_over_water(y, vehicle)
    mass, x_centre, transverse = balance(vehicle, rho * water, centre, rho * moment, vehicle.gas_mass)
    excess = pressure - vehicle.ambient
    more = 0.0
    if phase == OPENING:
        heads, gain = throttle(open_share(t, y, vehicle), vehicle.opening)
        loss += heads
        more = rho * area * gain
    free = math.isnan(held)
    if vehicle.steady_jet != 0:
        if free:
            force, speed = steady_jet_free(excess, rho, area, loss, height, mass, other)
            thrust = mass * force - other
        else:
            thrust, speed = steady_jet_held(excess, rho, area, loss, height, held)
            force = held
        gain = 0.0
    elif free:
        if vehicle.jet_lead > 0.0:
            speed = jet_free_ahead(
                excess, rho, area, loss, height, surface, length, speed, mass, other, more, vehicle.jet_lead
            )
        force, gain = jet_free(
            excess, rho, area, loss, height, surface, length, speed, mass, other + more * speed * speed
        )
        thrust = mass * force - other
    else:
        if vehicle.jet_lead > 0.0:
            speed = jet_held_ahead(excess, rho, area, loss, height, surface, length, speed, held, vehicle.jet_lead)
        thrust, gain = jet_held(excess, rho, area, loss, height, surface, length, speed, held)
        thrust += more * speed * speed
        force = held
    dy[CHARGE_A] = -area * speed
    dy[CHARGE_B] = gain
    dy[CHARGE_C] = warming - fall * area * speed
    return force, thrust, mass, x_centre, transverse, rho * area * speed, height


@jit
def until_next_edge(y: FloatArray, dy: FloatArray, least: float, vehicle: Record) -> float:
    """Time until the water's surface comes to the next edge of the wall, s, where its rates have a kink.

    A step that ends there is as exact as if there were none. An edge that comes sooner than `least`, s, is passed.
    """
    water, outflow = max(y[CHARGE_A], 0.0), -dy[CHARGE_A]
    if outflow <= 0.0:
        return math.inf
    for edge in range(frustum_at(water, vehicle.vessel_count, vehicle.vessel_table, vehicle.frustum), -1, -1):
        soon = (water - vehicle.vessel_table[0, edge]) / outflow
        if soon > least:
            slowing = -vehicle.jet_area * dy[CHARGE_B] * soon / outflow
            return float(soon / max(1.0 - 0.5 * slowing, 0.1))
    return math.inf


@inline_jit
def _spray(y: FloatArray, vehicle: Record) -> tuple[float, float, float, float, float]:
    """Outflow (kg/s), thrust (N), the gas's share of the outflow, gas and water in the vessel (kg)."""
    pressure, _, gas, water = _gas_in_spray(y, vehicle)
    drops = water * vehicle.water_density
    share = vehicle.slip * gas / (vehicle.slip * gas + drops)
    flow, thrust, _ = spray_flow(
        pressure, vehicle.ambient, share, vehicle.water_density, (vehicle.held_volume - water) / gas,
        vehicle.spray_gamma, vehicle.spray_area,
    )  # fmt: skip
    return flow, thrust, share, gas, drops


@jit
def spray_thrust(y: FloatArray, vehicle: Record) -> float:
    """Thrust of the spray by what leaves alone, N."""
    _, thrust, _, _, _ = _spray(y, vehicle)
    return thrust


@jit
def _push_spray(
    t: float, y: FloatArray, vehicle: Record, other: float, held: float, dy: FloatArray
) -> Pushed:
    flow, thrust, share, gas, drops = _spray(y, vehicle)
    # The water that moved in the vessel as gas broke through gives its momentum back (docs/physics/spray.md).
    thrust -= vehicle.returned / vehicle.return_time * math.exp((vehicle.spray_from - t) / vehicle.return_time)
    # The spray fills the vessel: its water sits at the vessel's centre, not at the neck.
    middle = vehicle.length - vehicle.vessel_centre
    mass, x_centre, transverse = balance(vehicle, drops, middle, drops * middle * middle, gas)
    force = (thrust + other) / mass if math.isnan(held) else held
    dy[CHARGE_A] = -(1.0 - share) * flow
    dy[CHARGE_B] = -share * flow
    return force, thrust, mass, x_centre, transverse, flow, middle


@inline_jit
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
def _push_none(phase: int, vehicle: Record, other: float, held: float) -> Pushed:
    """Coasting: mass and balance stay as `vehicle.end_…` has them, or `vehicle.shifted_…` once ballast has shifted."""
    force = other / vehicle.end_mass if math.isnan(held) else held
    if phase == TUMBLING:
        return force, 0.0, vehicle.end_mass, vehicle.shifted_centre, vehicle.shifted_transverse, 0.0, 0.0
    return force, 0.0, vehicle.end_mass, vehicle.end_centre, vehicle.end_transverse, 0.0, 0.0


@inline_jit
def push(
    phase: int, t: float, y: FloatArray, vehicle: Record, other: float, held: float, along: float, dy: FloatArray
) -> Pushed:
    """What the charge does, as `Pushed`.

    Parameters
    ----------
    phase, t, y, vehicle
        Phase, time (s), state, prepared vehicle.
    other
        Axial force besides thrust, N, forward.
    held
        Axial specific force of a rocket that is held, m/s²; NaN when it is free.
    along
        Speed along the guide, m/s.
    dy
        Rates of the charge are written here.
    """
    if phase in (WATER, OPENING):
        return _push_water(phase, t, y, vehicle, other, held, dy)
    if phase == GAS:
        return _push_gas(y, vehicle, other, held, dy)
    if phase == SPRAY:
        return _push_spray(t, y, vehicle, other, held, dy)
    if phase == SLIDE:
        return push_slide(y, vehicle, other, held, along, dy)
    return _push_none(phase, vehicle, other, held)
