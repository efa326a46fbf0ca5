"""The prepared vehicle: all that the equations of motion read, worked out once per flight from its parameters."""

import math

import numpy as np

from bottlewright.flight.descent_loading import set_descent, set_recovery
from bottlewright.flight.loading import load, set_nozzle
from bottlewright.flight.mechanism_loading import set_mechanism
from bottlewright.flight.state import (
    AIR_PATH,
    ATTITUDE,
    CHARGE_A,
    CHARGE_B,
    CHARGE_C,
    COAST,
    EVENTS,
    GAS,
    IMPULSE,
    PLACE,
    RATES,
    SLIDE,
    SPRAY,
    STATE,
    VELOCITY,
    Record,
)
from bottlewright.physics import entry_jit, jit
from bottlewright.physics.air import AIR_COLUMN, air_column
from bottlewright.physics.airframe import AIRFRAME_SIZE, linear_centre_of_pressure, prepare_airframe
from bottlewright.physics.drag import nose_coefficient
from bottlewright.physics.fins import equal_trapezoid
from bottlewright.physics.gravity import normal_gravity
from bottlewright.physics.gusts import WIND_HEIGHT, fill_gusts, gust_intensities, gust_lengths
from bottlewright.physics.mass import fin_ring, moment_by_swing, shell_of_frusta, solid_of_frusta
from bottlewright.physics.outer_shape import MAX_STATIONS, outer_profile, radius_at
from bottlewright.physics.slender_body import widest
from bottlewright.physics.vessel_shape import BASE_NODES, MAX_NODES, bottle_profile, fill_vessel_tables
from bottlewright.physics.wind import wind_at

__all__ = ["VEHICLE", "WORK", "lay_gusts", "mass_properties", "prepare", "room_for_air", "scale_charge", "shape_vessel"]

_NUMBERS = [
    "length", "rest_volume", "compliance", "stretched_volume", "jet_area", "bore_area", "loss", "land", "correction",
    "water_density", "water_volume", "breakthrough_volume", "start_pressure", "start_temperature", "soak_temperature",
    "dry_air", "vapour", "gas_mass", "ambient", "gas_exponent", "heat_transfer", "wall_area", "gas_area", "spray_area",
    "spray_gamma", "slip", "dry_mass", "dry_centre", "dry_axial", "dry_transverse", "vessel_centre", "estimated_mass",
    "base_length", "pressure_centre", "normal_slope", "calibre", "gravity", "lift_of_air", "ground_gap",
    "foot_density", "foot_viscosity", "foot_wind_e", "foot_wind_n", "foot_wind_u", "aim_e", "aim_n",
    "aim_u", "q0", "q1", "q2", "q3", "guide_length", "wind_speed",
    "wind_height", "wind_exponent", "wind_z0", "wind_e", "wind_n", "gust_u", "gust_w", "gust_spacing", "gust_reach",
    "canopy_area", "hanging_area", "canopy_diameter", "filling", "release_delay", "held_force", "tolerance",
    "time_limit", "rim", "seal_diameter", "seal_area", "stroke", "tube_gas", "hose_gas", "supply_area",
    "flow_coefficient", "opening_time", "wind_shear",
    "hold", "shoulder", "seat_area", "nose_mass", "nose_centre", "nose_drag_area", "push", "push_end", "push_stroke",
    "cavity_volume", "vent_area", "suction", "trip_level", "start_delay", "lag", "locked", "port", "act",
    "latch_level", "latch_time", "latch_travel",
    "ballast", "ballast_start", "shift", "cord_length", "cord_stiffness", "front_area", "rear_area", "front_margin",
    "rear_margin",
    # Written during the flight:
    "held_volume", "spray_pressure", "spray_temperature", "spray_density", "gas_pressure", "gas_temperature",
    "gas_constant", "water_left", "end_gas", "end_temperature", "end_mass", "end_centre", "end_transverse",
    "hanging_mass", "canopy_out_time", "filling_time", "opened_at", "returned", "return_time", "spray_from",
    "shifted_centre", "shifted_transverse", "air_along", "felt", "reading", "pull", "top_reading", "due", "armed_at",
    "start_gas", "start_dry_air", "start_vapour", "fed_gas", "opening_kick", "socket_water",
    "axial", "centre", "jet_lead", "latch_since", "latch_speed", "latch_at",
    "latch_free",
]  # fmt: skip
_COUNTS = [
    "vessel_count", "outer_count", "gas_model", "steady_jet", "isothermal", "held", "wind_law", "turbulence",
    "recovery", "release", "socket", "supply", "opening", "mechanism", "trip", "cavity", "latch", "watch", "frustum",
    "gust_seed", "gust_index", "gust_rows",
]  # fmt: skip

GUST_POINTS = 256
_GUST_PART = 8
"""Rows that are laid down at a time; a multiple of 4."""
_GUST_HEIGHT = 30.0
"""Height that a flight's gust lengths and strengths are taken at, m: between launcher and apogee (our judgement)."""
_STAND = 1e-3
"""Way that a rocket without a guide counts as standing on its launcher, m."""

VEHICLE = np.dtype(
    [(name, np.float64) for name in _NUMBERS]
    + [(name, np.int64) for name in _COUNTS]
    + [
        ("vessel_z", np.float64, (MAX_NODES,)),
        ("vessel_r", np.float64, (MAX_NODES,)),
        ("vessel_table", np.float64, (5, MAX_NODES)),
        ("outer_x", np.float64, (MAX_STATIONS,)),
        ("outer_r", np.float64, (MAX_STATIONS,)),
        ("outer_back", np.float64, (2, MAX_STATIONS)),
        ("air", np.float64, (AIR_COLUMN,)),
        ("airframe", np.float64, (AIRFRAME_SIZE,)),
        ("gusts", np.float64, (GUST_POINTS, 3)),
        ("gust_state", np.float64, (5,)),
        ("scale", np.float64, (STATE,)),
    ],
    align=True,
)

WORK = np.dtype(
    [
        ("k", np.float64, (10, STATE)),
        ("y", np.float64, (STATE,)),
        ("trial", np.float64, (STATE,)),
        ("point", np.float64, (STATE,)),
        ("values", np.float64, (EVENTS,)),
        ("after", np.float64, (EVENTS,)),
        ("scratch", np.float64, (EVENTS,)),
        # How far it has come, between the turns of its phases: `bottlewright.flight.integrate`.
        ("t", np.float64), ("h", np.float64), ("release_at", np.float64),
        ("phase", np.int64), ("count", np.int64), ("guided", np.bool_),
        ("turns_behind", np.int64), ("turns_left_out", np.int64),
    ],
    align=True,
)  # fmt: skip
"""Scratch of one flight at a time."""


@jit
def shape_vessel(parameters: Record, vehicle: Record) -> None:
    """Fill the vehicle's inner profile and its tables from the parameters; the capacity is what the profile holds."""
    z, r = vehicle.vessel_z, vehicle.vessel_r
    if parameters.profile_count > 1:
        n = parameters.profile_count
        for i in range(n):
            z[i], r[i] = parameters.profile_z[i], parameters.profile_r[i]
        vehicle.base_length = parameters.base_length
    else:
        radius = 0.5 * parameters.vessel_diameter - parameters.vessel_wall
        n = bottle_profile(
            parameters.vessel_volume, radius, 0.5 * parameters.neck_bore, parameters.neck_length,
            parameters.shoulder_length, parameters.base_length, z, r,
        )  # fmt: skip
        # Shorter than asked for where the capacity leaves no room for it.
        vehicle.base_length = z[n - 1] - z[n - 1 - BASE_NODES] if n > BASE_NODES else 0.0
    vehicle.vessel_count, vehicle.frustum = n, 0
    fill_vessel_tables(z, r, n, vehicle.vessel_table)
    vehicle.rest_volume = vehicle.vessel_table[0, n - 1]


@jit
def _add(
    total: tuple[float, float, float, float], mass: float, centre: float, axial: float, transverse: float
) -> tuple[float, float, float, float]:
    """Add a part to (mass, first moment, axial, transverse about the nose tip); own moments in kg m²."""
    m, first, a, t = total
    return m + mass, first + mass * centre, a + axial, t + transverse + mass * centre * centre


@jit
def _add_bottle(
    parameters: Record, vehicle: Record, total: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    """Add the bottle: a shell as thick everywhere, base included, closed flat where a measured profile ends open."""
    n, z, r = vehicle.vessel_count, vehicle.vessel_z, vehicle.vessel_r
    area, height, axial, transverse = shell_of_frusta(z, r, 0, n)
    rim = r[n - 1] * r[n - 1]
    side = parameters.vessel_mass * area / (area + math.pi * rim)
    end = parameters.vessel_mass - side
    total = _add(total, side, vehicle.length - height, side * axial, side * transverse)
    return _add(total, end, vehicle.length - z[n - 1], 0.5 * end * rim, 0.25 * end * rim)


@jit
def mass_properties(parameters: Record, vehicle: Record, fin: tuple[float, float, float, float]) -> None:
    """Dry mass, centre and moments from the parts, then from the scale and the string where they were used.

    Thin shells for bottle, hollow nose and sleeve, a solid nose otherwise, plates for fins (`fin` as from
    `_trapezoid`), rods or points for the rest. A measured mass scales the parts' moments alike; a measured balance
    point replaces the estimated one, and a swing on two strings the transverse moment.
    """
    x, r = vehicle.outer_x, vehicle.outer_r
    nose_end = 0
    while nose_end < vehicle.outer_count and x[nose_end] < parameters.nose_length - 1e-9:
        nose_end += 1
    nose_end = min(nose_end + 1, vehicle.outer_count)
    total = _add_bottle(parameters, vehicle, (0.0, 0.0, 0.0, 0.0))
    if parameters.nose_mass > 0.0:
        m = parameters.nose_mass
        if parameters.nose_hollow != 0:
            _, centre, axial, transverse = shell_of_frusta(x, r, 0, nose_end)
        else:
            _, centre, axial, transverse = solid_of_frusta(x, r, 0, nose_end)
        total = _add(total, m, centre, m * axial, m * transverse)
    if parameters.fin_count > 0 and parameters.fin_mass > 0.0:
        m = parameters.fin_mass
        radius = radius_at(parameters.fin_position + 0.5 * fin[0], x, r, vehicle.outer_count)
        back, axial, transverse = fin_ring(*fin, radius)
        total = _add(total, m, parameters.fin_position + back, m * axial, m * transverse)
    if parameters.sleeve_mass > 0.0:
        m, a = parameters.sleeve_mass, 0.5 * parameters.sleeve_diameter
        total = _add(
            total, m, parameters.sleeve_position + 0.5 * parameters.sleeve_length, m * a * a,
            m * (0.5 * a * a + parameters.sleeve_length**2 / 12.0),
        )  # fmt: skip
    if parameters.nozzle_mass > 0.0:
        total = _add(total, parameters.nozzle_mass, vehicle.length - 0.5 * parameters.land, 0.0, 0.0)
    if parameters.canopy_mass > 0.0:
        total = _add(total, parameters.canopy_mass, parameters.canopy_position, 0.0, 0.0)
    for i in range(parameters.extra_count):
        m, long = parameters.extra_mass[i], parameters.extra_length[i]
        total = _add(total, m, parameters.extra_position[i], 0.0, m * long * long / 12.0)
    mass, first, axial, transverse = total
    mass = max(mass, 1e-6)
    centre = first / mass
    vehicle.estimated_mass = mass
    scale = parameters.measured_mass / mass if parameters.measured_mass > 0.0 else 1.0
    vehicle.dry_mass = mass * scale
    vehicle.dry_centre = parameters.measured_balance if parameters.measured_balance > 0.0 else centre
    # A little more than nothing, so that a design of points alone still has a moment to turn against.
    floor = vehicle.dry_mass * 1e-6
    turning = (transverse - mass * centre * centre) * scale
    if parameters.swing_period > 0.0:
        gravity = normal_gravity(parameters.latitude, parameters.site_height)
        turning = moment_by_swing(
            vehicle.dry_mass, gravity, parameters.swing_period, parameters.swing_strings, parameters.swing_apart
        )
    vehicle.dry_axial = max(axial * scale, floor)
    vehicle.dry_transverse = max(turning, floor)


@jit
def _aim(parameters: Record, vehicle: Record) -> None:
    """Launch direction and the attitude that lays e1 along it."""
    s, c = math.sin(parameters.tilt), math.cos(parameters.tilt)
    towards = parameters.leans_towards
    vehicle.aim_e, vehicle.aim_n, vehicle.aim_u = s * math.sin(towards), s * math.cos(towards), c
    # Shortest turn of e1 = east onto the aim: q = (1 + e1·aim, e1 × aim), normalised.
    norm = math.sqrt(2.0 * (1.0 + vehicle.aim_e))
    vehicle.q0, vehicle.q1 = (1.0 + vehicle.aim_e) / norm, 0.0
    vehicle.q2, vehicle.q3 = -vehicle.aim_u / norm, vehicle.aim_n / norm
    # The seal guides as well, and a rocket without any guide still stands on something.
    vehicle.guide_length = max(parameters.guide_length, vehicle.stroke + _STAND)


@jit
def _trapezoid(parameters: Record) -> tuple[float, float, float, float]:
    """Return (root, tip, span, sweep) of the fins, of an outline those of its `equal_trapezoid`, m."""
    if parameters.outline_count >= 3:
        return equal_trapezoid(parameters.outline_x, parameters.outline_y, parameters.outline_count)
    return parameters.fin_root, parameters.fin_tip, parameters.fin_span, parameters.fin_sweep


@jit
def _shape_body(parameters: Record, vehicle: Record, fin: tuple[float, float, float, float]) -> None:
    n, z, r = vehicle.vessel_count, vehicle.vessel_z, vehicle.vessel_r
    nose_end = 0.5 * parameters.nose_diameter
    vehicle.outer_count = outer_profile(
        parameters.nose_shape, parameters.nose_length, nose_end, z, r, n, vehicle.base_length,
        parameters.vessel_wall, parameters.sleeve_position,
        parameters.sleeve_length if parameters.sleeve_length > 0.0 else 0.0, 0.5 * parameters.sleeve_diameter,
        vehicle.outer_x, vehicle.outer_r,
    )  # fmt: skip
    vehicle.length = parameters.nose_length + z[n - 1] - vehicle.base_length
    vehicle.vessel_centre = vehicle.length - vehicle.vessel_table[1, n - 1] / vehicle.rest_volume
    nose = nose_coefficient(parameters.nose_shape, parameters.nose_length, nose_end)
    prepare_airframe(
        vehicle.outer_x, vehicle.outer_r, vehicle.outer_count, parameters.nose_length, nose, parameters.fin_count, *fin,
        parameters.fin_position, parameters.fin_thickness, parameters.fin_edge, parameters.fin_cant,
        parameters.roughness, parameters.tail_efficiency,
        parameters.drag_factor, parameters.fixed_drag, vehicle.outer_back, vehicle.airframe,
    )  # fmt: skip
    vehicle.normal_slope, vehicle.pressure_centre = linear_centre_of_pressure(vehicle.airframe)
    vehicle.calibre = 2.0 * widest(vehicle.outer_r, vehicle.outer_count)


@jit
def _set_air(parameters: Record, vehicle: Record) -> None:
    vehicle.gravity = normal_gravity(parameters.latitude, parameters.site_height)
    column = air_column(parameters.air_pressure, parameters.air_temperature, parameters.humidity, vehicle.gravity)
    for i in range(AIR_COLUMN):
        vehicle.air[i] = column[i]
    vehicle.lift_of_air = vehicle.gravity * vehicle.rest_volume
    # Wind is felt at the middle of the rocket as it stands on the launcher.
    vehicle.ground_gap = vehicle.length - vehicle.dry_centre
    vehicle.wind_law = parameters.wind_law
    vehicle.wind_speed, vehicle.wind_height = parameters.wind_speed, parameters.wind_height
    vehicle.wind_exponent, vehicle.wind_z0 = parameters.wind_exponent, parameters.roughness_length
    vehicle.wind_shear = parameters.wind_shear
    vehicle.wind_e, vehicle.wind_n = -math.sin(parameters.wind_from), -math.cos(parameters.wind_from)
    vehicle.turbulence = parameters.turbulence
    if parameters.turbulence != 0:
        along, up = gust_lengths(_GUST_HEIGHT)
        strong = wind_at(
            WIND_HEIGHT, vehicle.wind_speed, vehicle.wind_height, vehicle.wind_law, vehicle.wind_exponent,
            vehicle.wind_z0, vehicle.wind_shear,
        )  # fmt: skip
        vehicle.gust_u, vehicle.gust_w = gust_intensities(_GUST_HEIGHT, strong)
        # Fine enough for the shortest of the scale lengths; the field is mirrored at its end.
        vehicle.gust_spacing = min(along, up) / 10.0
        vehicle.gust_seed, vehicle.gust_index, vehicle.gust_rows, vehicle.gust_reach = (
            parameters.seed, parameters.index, 0, -1.0)  # fmt: skip


@jit
def lay_gusts(vehicle: Record, path: float) -> None:
    """Lay down gusts as far as a length of air, m, and some way on: most flights need a sixth of the whole field."""
    along, up = gust_lengths(_GUST_HEIGHT)
    parts = int(min(path / vehicle.gust_spacing, 1.0 * GUST_POINTS)) // _GUST_PART
    last = min((parts + 2) * _GUST_PART, GUST_POINTS)
    fill_gusts(
        vehicle.gust_seed, vehicle.gust_index, vehicle.gust_spacing, along, along, up, vehicle.gust_rows, last,
        vehicle.gust_state, vehicle.gusts,
    )  # fmt: skip
    vehicle.gust_rows = last
    # What is read at a place lies up to two rows further on.
    vehicle.gust_reach = math.inf if last == GUST_POINTS else (last - 3) * vehicle.gust_spacing


@jit
def _set_scales(parameters: Record, vehicle: Record) -> None:
    """Sizes below which an error in a state no longer matters: the absolute part of the tolerance.

    A rocket swings about once in half a second, so that an error of 1 rad comes and goes with one of about 10 rad/s.
    """
    scale = vehicle.scale
    for i in range(3):
        scale[PLACE + i], scale[VELOCITY + i], scale[RATES + i] = 10.0, 10.0, 10.0
    scale[AIR_PATH], scale[IMPULSE] = 10.0, 10.0
    for i in range(4):
        scale[ATTITUDE + i] = 1.0
    vehicle.tolerance, vehicle.time_limit = parameters.tolerance, parameters.time_limit


@jit
def scale_charge(phase: int, vehicle: Record) -> None:
    """Set the sizes of the charge's numbers, which mean something else in each phase."""
    scale = vehicle.scale
    if phase == SPRAY:
        scale[CHARGE_A], scale[CHARGE_B] = vehicle.water_density * vehicle.rest_volume, vehicle.gas_mass
    elif phase == SLIDE:
        scale[CHARGE_A], scale[CHARGE_B], scale[CHARGE_C] = vehicle.gas_mass, 1.0, 100.0
    elif phase == GAS:
        scale[CHARGE_A] = 0.1  # an excess of a hundredth of the ambient pressure
    elif phase == COAST:
        scale[CHARGE_A], scale[CHARGE_B], scale[CHARGE_C] = 1.0, 10.0, 100.0
    else:
        scale[CHARGE_A], scale[CHARGE_B], scale[CHARGE_C] = vehicle.rest_volume, 10.0, 100.0


@jit
def room_for_air(vehicle: Record) -> float:
    """Room that water, and what stands in the neck, leave in the vessel without pressure, m³."""
    room = vehicle.rest_volume - vehicle.water_volume
    return float(room if vehicle.socket != 0 else room - vehicle.seal_area * vehicle.stroke)


@entry_jit
def prepare(parameters: Record, held: bool, vehicle: Record) -> bool:
    """Work out a vehicle from its parameters; return False when it makes no rocket.

    Parameters
    ----------
    parameters
        Record of `bottlewright.flight.parameters.PARAMETERS`.
    held
        On the thrust stand.
    vehicle
        Record of `VEHICLE`, overwritten.
    """
    vehicle.held = 1 if held else 0
    shape_vessel(parameters, vehicle)
    if vehicle.vessel_count < 2 or not vehicle.rest_volume > 0.0:
        return False
    set_nozzle(parameters, vehicle)
    load(parameters, vehicle)
    vehicle.end_gas, vehicle.end_temperature, vehicle.water_left = 0.0, vehicle.start_temperature, 0.0
    fin = _trapezoid(parameters)
    _shape_body(parameters, vehicle, fin)
    mass_properties(parameters, vehicle, fin)
    _aim(parameters, vehicle)
    _set_air(parameters, vehicle)
    set_recovery(parameters, vehicle)
    set_mechanism(parameters, vehicle)
    set_descent(parameters, vehicle)
    _set_scales(parameters, vehicle)
    vehicle.held_force = vehicle.gravity * math.cos(parameters.stand_tilt) if held else 0.0
    fits = vehicle.dry_air > 0.0 and room_for_air(vehicle) > 0.0
    return bool(fits and vehicle.dry_mass > 0.0 and vehicle.calibre > 0.0)
