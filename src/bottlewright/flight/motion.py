"""Equations of motion: from a state to its rate of change, in every phase of the flight.

Newton and Euler for all the matter in the rocket at this instant, about the point C* of the rocket that coincides with
the centre of mass now. With the water streaming aft along the axis at ṁ/(dm/dz) relative to the rocket:

    M a_C*   = forces + thrust − ∫ 2 ω × v_rel dm            (Coriolis force 2 ṁ h ω × e1)
    I ω̇      = moments − ω × I ω + ṁ [(h − z_c)² − z_c²] ω⊥   (jet damping)

The place that is integrated is the dry centre of mass, fixed in the rocket; C* moves against it as water leaves.
Water is frozen in shape across the axis (no slosh) and does not take part in the roll. docs/physics/flight.md.
"""

import math

from bottlewright.flight.balance import travel
from bottlewright.flight.charge import push
from bottlewright.flight.mechanism import feel
from bottlewright.flight.state import (
    AIR_PATH,
    ATTITUDE,
    CANOPY,
    CHARGE_A,
    COAST,
    GAS,
    IMPULSE,
    OPENING,
    RATES,
    STATE,
    VELOCITY,
    Record,
)
from bottlewright.flight.vehicle import lay_gusts
from bottlewright.physics import FloatArray, inline_jit, jit
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.airframe import air_loads, drag_area
from bottlewright.physics.gusts import gust_at
from bottlewright.physics.parachute import inflation
from bottlewright.physics.wind import wind_at

__all__ = ["rates", "rates_apart", "wind_on"]


@inline_jit
def wind_on(vehicle: Record, height: float, path: float) -> tuple[float, float, float]:
    """Wind (east, north, up), m/s, at a height above the ground and a length of air already passed."""
    speed = wind_at(
        height, vehicle.wind_speed, vehicle.wind_height, vehicle.wind_law, vehicle.wind_exponent, vehicle.wind_z0,
        vehicle.wind_shear,
    )  # fmt: skip
    along, across, up = 0.0, 0.0, 0.0
    if vehicle.turbulence != 0:
        if abs(path) > vehicle.gust_reach:
            lay_gusts(vehicle, abs(path))
        u, v, w = gust_at(path, vehicle.gusts, vehicle.gust_spacing)
        along, across, up = u * vehicle.gust_u, v * vehicle.gust_u, w * vehicle.gust_w
    toward_e, toward_n = vehicle.wind_e, vehicle.wind_n
    return (
        (speed + along) * toward_e - across * toward_n,
        (speed + along) * toward_n + across * toward_e,
        up,
    )


@inline_jit
def rates(phase: int, guided: bool, t: float, y: FloatArray, vehicle: Record, dy: FloatArray) -> None:
    """Write the rate of change of the state in use."""
    if vehicle.held != 0:
        for i in range(IMPULSE):
            dy[i] = 0.0
        _, dy[IMPULSE], _, _, _, _, _ = push(phase, t, y, vehicle, 0.0, vehicle.held_force, 0.0, dy)
        return
    if phase == CANOPY:
        _canopy_rates(t, y, vehicle, dy)
        return
    if guided:
        _guided_rates(phase, t, y, vehicle, dy)
    else:
        _rigid_rates(phase, t, y, vehicle, dy)


@jit
def rates_apart(phase: int, guided: bool, t: float, y: FloatArray, vehicle: Record, dy: FloatArray) -> None:
    """Do the same, for whoever needs it now and then: it is called, not written out."""
    rates(phase, guided, t, y, vehicle, dy)


@inline_jit
def _canopy_rates(t: float, y: FloatArray, vehicle: Record, dy: FloatArray) -> None:
    """Rocket and canopy as one point with a drag area that grows while the canopy fills."""
    wind_e, wind_n, wind_u = wind_on(vehicle, y[2] + vehicle.ground_gap, y[AIR_PATH])
    density, _ = density_viscosity(vehicle.air, y[2])
    e, n, u = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    speed = math.sqrt(e * e + n * n + u * u)
    area = vehicle.canopy_area * inflation(t - vehicle.canopy_out_time, vehicle.filling_time) + vehicle.hanging_area
    pull = 0.5 * density * area * speed / vehicle.hanging_mass
    for i in range(3):
        dy[i] = y[VELOCITY + i]
    dy[VELOCITY] = -pull * e
    dy[VELOCITY + 1] = -pull * n
    dy[VELOCITY + 2] = -pull * u - vehicle.gravity + vehicle.lift_of_air * density / vehicle.hanging_mass
    dy[AIR_PATH] = speed


@inline_jit
def _guided_rates(phase: int, t: float, y: FloatArray, vehicle: Record, dy: FloatArray) -> None:
    """On the seal or the guide: motion along the aim only. The launcher takes whatever acts across it."""
    ae, an, au = vehicle.aim_e, vehicle.aim_n, vehicle.aim_u
    along = y[VELOCITY] * ae + y[VELOCITY + 1] * an + y[VELOCITY + 2] * au
    # The guide is short: air and wind are those at its foot all the way.
    density, viscosity = vehicle.foot_density, vehicle.foot_viscosity
    wind_e, wind_n, wind_u = vehicle.foot_wind_e, vehicle.foot_wind_n, vehicle.foot_wind_u
    ahead = along - wind_e * ae - wind_n * an - wind_u * au
    jet = vehicle.jet_area if OPENING <= phase <= GAS else 0.0
    drag = 0.5 * density * ahead * abs(ahead) * drag_area(vehicle.airframe, abs(ahead) * density / viscosity, jet)
    weight = vehicle.gravity * au
    other = vehicle.lift_of_air * density * au - drag
    force, thrust, _, _, _, _, _ = push(phase, t, y, vehicle, other, math.nan, along, dy)
    gain = force - weight
    vehicle.axial = force
    if gain < 0.0 and travel(y, vehicle) <= 1e-9 and along <= 1e-9:
        # It rests on its stop: the launcher carries what the thrust does not.
        _, thrust, _, _, _, _, _ = push(phase, t, y, vehicle, 0.0, weight, along, dy)
        gain, vehicle.axial = 0.0, weight
    for i in range(ATTITUDE, RATES + 3):
        dy[i] = 0.0
    if phase == COAST:
        for i in range(CHARGE_A, STATE):
            dy[i] = 0.0
    dy[0], dy[1], dy[2] = y[VELOCITY], y[VELOCITY + 1], y[VELOCITY + 2]
    dy[VELOCITY], dy[VELOCITY + 1], dy[VELOCITY + 2] = gain * ae, gain * an, gain * au
    we, wn, wu = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    dy[AIR_PATH] = math.sqrt(we * we + wn * wn + wu * wu)
    dy[IMPULSE] = thrust


@inline_jit
def _rigid_rates(phase: int, t: float, y: FloatArray, vehicle: Record, dy: FloatArray) -> None:
    a, b, c, d = y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    norm = 1.0 / (a * a + b * b + c * c + d * d)
    # Columns of the rotation: the body axes in east, north, up.
    e1e, e1n, e1u = (a * a + b * b - c * c - d * d) * norm, 2 * (b * c + a * d) * norm, 2 * (b * d - a * c) * norm
    e2e, e2n, e2u = 2 * (b * c - a * d) * norm, (a * a - b * b + c * c - d * d) * norm, 2 * (c * d + a * b) * norm
    e3e, e3n, e3u = 2 * (b * d + a * c) * norm, 2 * (c * d - a * b) * norm, (a * a - b * b - c * c + d * d) * norm
    p, q, r = y[RATES], y[RATES + 1], y[RATES + 2]

    wind_e, wind_n, wind_u = wind_on(vehicle, y[2] + vehicle.ground_gap, y[AIR_PATH])
    density, viscosity = density_viscosity(vehicle.air, y[2])
    we, wn, wu = y[VELOCITY] - wind_e, y[VELOCITY + 1] - wind_n, y[VELOCITY + 2] - wind_u
    v1 = we * e1e + wn * e1n + wu * e1u
    v2 = we * e2e + wn * e2n + wu * e2u
    v3 = we * e3e + wn * e3n + wu * e3u
    # The nose tip lies dry_centre ahead of the place that is integrated; ω × e1 = (0, r, −q).
    ahead = vehicle.dry_centre
    jet = vehicle.jet_area if OPENING <= phase <= GAS else 0.0
    f1, f2, f3, m1, m2, m3 = air_loads(
        vehicle.airframe, density, viscosity, v1, v2 + ahead * r, v3 - ahead * q, p, q, r, jet
    )
    weight = vehicle.gravity
    buoyancy = vehicle.lift_of_air * density
    force, thrust, mass, centre, transverse, flow, height = push(
        phase, t, y, vehicle, f1 + buoyancy * e1u, math.nan, 0.0, dy
    )
    dy[0], dy[1], dy[2] = y[VELOCITY], y[VELOCITY + 1], y[VELOCITY + 2]
    dy[AIR_PATH] = math.sqrt(v1 * v1 + v2 * v2 + v3 * v3)
    dy[IMPULSE] = thrust
    vehicle.axial, vehicle.centre = force, centre
    dy[ATTITUDE] = 0.5 * (-b * p - c * q - d * r)
    dy[ATTITUDE + 1] = 0.5 * (a * p + c * r - d * q)
    dy[ATTITUDE + 2] = 0.5 * (a * q + d * p - b * r)
    dy[ATTITUDE + 3] = 0.5 * (a * r + b * q - c * p)

    # Moments about C*, the nose tip lying `centre` ahead of it: e1 × F = (0, −F3, F2).
    m2 -= centre * f3
    m3 += centre * f2
    spin = vehicle.dry_axial
    arm = vehicle.length - centre
    damping = flow * ((height - arm) ** 2 - arm * arm)
    dp = m1 / spin
    dq = (m2 + (transverse - spin) * p * r + damping * q) / transverse
    dr = (m3 - (transverse - spin) * p * q + damping * r) / transverse
    # Acceleration of C* across the axis: air loads, buoyancy, Coriolis force of the stream 2 ṁ h (ω × e1).
    coriolis = 2.0 * flow * height
    a1 = force
    a2 = (f2 + buoyancy * e2u + coriolis * r) / mass
    a3 = (f3 + buoyancy * e3u - coriolis * q) / mass
    if phase == COAST and vehicle.mechanism != 0:
        feel(
            y, density, v1, dy[AIR_PATH], y[VELOCITY + 2], a1, math.sqrt(a2 * a2 + a3 * a3), centre,
            math.sqrt(q * q + r * r), vehicle, dy,
        )  # fmt: skip
    # From C* to the dry centre of mass, `gap` ahead of it along e1: a_O = a_C + ω̇ × g + ω × (ω × g).
    gap = centre - vehicle.dry_centre
    a1 -= gap * (q * q + r * r)
    a2 += gap * (dr + p * q)
    a3 += gap * (-dq + p * r)
    dy[VELOCITY] = a1 * e1e + a2 * e2e + a3 * e3e
    dy[VELOCITY + 1] = a1 * e1n + a2 * e2n + a3 * e3n
    dy[VELOCITY + 2] = a1 * e1u + a2 * e2u + a3 * e3u - weight
    dy[RATES], dy[RATES + 1], dy[RATES + 2] = dp, dq, dr
