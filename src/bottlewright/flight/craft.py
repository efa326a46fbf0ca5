"""The prepared craft: everything that the equations of motion read, worked out once a flight from its plan."""

import math

import numpy as np

from bottlewright.flight.state import (
    AIR_PATH,
    ATTITUDE,
    CHARGE_A,
    CHARGE_B,
    CHARGE_C,
    GAS,
    IMPULSE,
    PLACE,
    RATES,
    SPRAY,
    STATE,
    VELOCITY,
    Record,
)
from bottlewright.physics import entry_jit, jit
from bottlewright.physics.air import AIR_COLUMN, air_column
from bottlewright.physics.airframe import AIRFRAME_SIZE, axial_drag_areas, linear_centre_of_pressure, prepare_airframe
from bottlewright.physics.drag import nose_coefficient
from bottlewright.physics.fins import equal_trapezoid
from bottlewright.physics.gas import charging_temperature, start_masses
from bottlewright.physics.gravity import normal_gravity
from bottlewright.physics.gusts import WIND_HEIGHT, fill_gusts, gust_intensities, gust_lengths
from bottlewright.physics.mass import fin_ring, shell_of_frusta, solid_of_frusta
from bottlewright.physics.outer_shape import MAX_STATIONS, outer_profile, radius_at
from bottlewright.physics.parachute import cross_area, hemisphere_area, open_area, polygon_area, round_area
from bottlewright.physics.slender_body import widest
from bottlewright.physics.vessel_shape import BASE_NODES, MAX_NODES, bottle_profile, fill_vessel_tables
from bottlewright.physics.water import density_of_water
from bottlewright.physics.water_jet import end_correction
from bottlewright.physics.wind import wind_at

__all__ = ["CRAFT", "WORK", "mass_properties", "prepare", "scale_charge", "shape_vessel"]

_NUMBERS = [
    "length", "rest_volume", "compliance", "stretched_volume", "jet_area", "bore_area", "loss", "land", "correction",
    "water_density", "water_volume", "breakthrough_volume", "start_pressure", "start_temperature", "soak_temperature",
    "dry_air", "vapour", "gas_mass", "ambient", "gas_exponent", "heat_transfer", "wall_area", "gas_area", "spray_area",
    "spray_gamma", "slip", "dry_mass", "dry_centre", "dry_axial", "dry_transverse", "vessel_centre", "estimated_mass",
    "base_length", "pressure_centre", "normal_slope", "calibre", "gravity", "lift_of_air", "ground_gap",
    "foot_density", "foot_viscosity", "foot_wind_e", "foot_wind_n", "foot_wind_u", "aim_e", "aim_n",
    "aim_u", "q0", "q1", "q2", "q3", "guide_length", "tube_area", "tube_length", "tube_inside", "wind_speed",
    "wind_height", "wind_exponent", "wind_z0", "wind_e", "wind_n", "gust_u", "gust_w", "gust_spacing", "canopy_area",
    "hanging_area", "canopy_diameter", "filling", "release_delay", "held_force", "tolerance", "time_limit",
    # Written during the flight:
    "held_volume", "spray_pressure", "spray_temperature", "spray_density", "gas_pressure", "gas_temperature",
    "gas_constant", "water_left", "end_gas", "end_temperature", "end_mass", "end_centre", "end_transverse",
    "hanging_mass", "release_time", "filling_time", "jolt_end", "jolt_e", "jolt_n", "jolt_u",
]  # fmt: skip
_COUNTS = [
    "vessel_count", "outer_count", "gas_model", "steady_jet", "isothermal", "held", "wind_law", "turbulence",
    "recovery", "release",
]  # fmt: skip

GUST_POINTS = 256
_GUST_HEIGHT = 30.0
"""Height that a flight's gust lengths and strengths are taken at, m: between launcher and apogee (our judgement)."""
_HANGING_REYNOLDS = 3e5
"""V/ν of a rocket that hangs under its canopy, 1/m: about 4.5 m/s."""
_STAND = 1e-3
"""Way that a rocket without a guide counts as standing on its launcher, m."""

CRAFT = np.dtype(
    [(name, np.float64) for name in _NUMBERS]
    + [(name, np.int64) for name in _COUNTS]
    + [
        ("vessel_z", np.float64, (MAX_NODES,)),
        ("vessel_r", np.float64, (MAX_NODES,)),
        ("vessel_table", np.float64, (5, MAX_NODES)),
        ("outer_x", np.float64, (MAX_STATIONS,)),
        ("outer_r", np.float64, (MAX_STATIONS,)),
        ("air", np.float64, (AIR_COLUMN,)),
        ("airframe", np.float64, (AIRFRAME_SIZE,)),
        ("gusts", np.float64, (GUST_POINTS, 3)),
        ("scale", np.float64, (STATE,)),
    ],
    align=True,
)

WORK = np.dtype(
    [
        ("k", np.float64, (8, STATE)),
        ("y", np.float64, (STATE,)),
        ("trial", np.float64, (STATE,)),
        ("point", np.float64, (STATE,)),
        ("values", np.float64, (5,)),
        ("after", np.float64, (5,)),
        ("scratch", np.float64, (5,)),
    ],
    align=True,
)
"""Scratch of one flight at a time."""


@jit
def shape_vessel(plan: Record, craft: Record) -> None:
    """Fill the craft's inner profile and its tables from the plan; the capacity is what the profile holds."""
    z, r = craft.vessel_z, craft.vessel_r
    if plan.profile_count > 1:
        n = plan.profile_count
        for i in range(n):
            z[i], r[i] = plan.profile_z[i], plan.profile_r[i]
        craft.base_length = plan.base_length
    else:
        radius = 0.5 * plan.vessel_diameter - plan.vessel_wall
        n = bottle_profile(
            plan.vessel_volume, radius, 0.5 * plan.neck_bore, plan.neck_length, plan.shoulder_length, plan.base_length,
            z, r,
        )  # fmt: skip
        # Shorter than the plan's where the capacity leaves no room for it.
        craft.base_length = z[n - 1] - z[n - 1 - BASE_NODES] if n > BASE_NODES else 0.0
    craft.vessel_count = n
    fill_vessel_tables(z, r, n, craft.vessel_table)
    craft.rest_volume = craft.vessel_table[0, n - 1]


@jit
def _add(
    total: tuple[float, float, float, float], mass: float, centre: float, axial: float, transverse: float
) -> tuple[float, float, float, float]:
    """Add a part to (mass, first moment, axial, transverse about the nose tip); own moments in kg m²."""
    m, first, a, t = total
    return m + mass, first + mass * centre, a + axial, t + transverse + mass * centre * centre


@jit
def _add_bottle(
    plan: Record, craft: Record, total: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    """Add the bottle: a shell as thick everywhere, base included, closed flat where a measured profile ends open."""
    n, z, r = craft.vessel_count, craft.vessel_z, craft.vessel_r
    area, height, axial, transverse = shell_of_frusta(z, r, 0, n)
    rim = r[n - 1] * r[n - 1]
    side = plan.vessel_mass * area / (area + math.pi * rim)
    end = plan.vessel_mass - side
    total = _add(total, side, craft.length - height, side * axial, side * transverse)
    return _add(total, end, craft.length - z[n - 1], 0.5 * end * rim, 0.25 * end * rim)


@jit
def mass_properties(plan: Record, craft: Record, fin: tuple[float, float, float, float]) -> None:
    """Dry mass, centre and moments from the parts, then from the scale and the string where they were used.

    Thin shells for bottle, hollow nose and sleeve, a solid nose otherwise, plates for fins (`fin` as from
    `_trapezoid`), rods or points for the rest. A measured mass scales the parts' moments alike; a measured balance
    point replaces the estimated one.
    """
    x, r = craft.outer_x, craft.outer_r
    nose_end = 0
    while nose_end < craft.outer_count and x[nose_end] < plan.nose_length - 1e-9:
        nose_end += 1
    nose_end = min(nose_end + 1, craft.outer_count)
    total = _add_bottle(plan, craft, (0.0, 0.0, 0.0, 0.0))
    if plan.nose_mass > 0.0:
        m = plan.nose_mass
        if plan.nose_hollow != 0:
            _, centre, axial, transverse = shell_of_frusta(x, r, 0, nose_end)
        else:
            _, centre, axial, transverse = solid_of_frusta(x, r, 0, nose_end)
        total = _add(total, m, centre, m * axial, m * transverse)
    if plan.fin_count > 0 and plan.fin_mass > 0.0:
        m = plan.fin_mass
        radius = radius_at(plan.fin_position + 0.5 * fin[0], x, r, craft.outer_count)
        back, axial, transverse = fin_ring(*fin, radius)
        total = _add(total, m, plan.fin_position + back, m * axial, m * transverse)
    if plan.sleeve_mass > 0.0:
        m, a = plan.sleeve_mass, 0.5 * plan.sleeve_diameter
        total = _add(
            total, m, plan.sleeve_position + 0.5 * plan.sleeve_length, m * a * a,
            m * (0.5 * a * a + plan.sleeve_length**2 / 12.0),
        )  # fmt: skip
    if plan.nozzle_mass > 0.0:
        total = _add(total, plan.nozzle_mass, craft.length - 0.5 * plan.land, 0.0, 0.0)
    if plan.canopy_mass > 0.0:
        total = _add(total, plan.canopy_mass, plan.canopy_position, 0.0, 0.0)
    for i in range(plan.extra_count):
        m, long = plan.extra_mass[i], plan.extra_length[i]
        total = _add(total, m, plan.extra_position[i], 0.0, m * long * long / 12.0)
    mass, first, axial, transverse = total
    mass = max(mass, 1e-6)
    centre = first / mass
    craft.estimated_mass = mass
    scale = plan.measured_mass / mass if plan.measured_mass > 0.0 else 1.0
    craft.dry_mass = mass * scale
    craft.dry_centre = plan.measured_balance if plan.measured_balance > 0.0 else centre
    # A little more than nothing, so that a design of points alone still has a moment to turn against.
    floor = craft.dry_mass * 1e-6
    craft.dry_axial = max(axial * scale, floor)
    craft.dry_transverse = max((transverse - mass * centre * centre) * scale, floor)


@jit
def _load(plan: Record, craft: Record) -> None:
    """Water and gas at release."""
    craft.soak_temperature = plan.charge_temperature
    craft.water_density = density_of_water(plan.charge_temperature)
    craft.water_volume = plan.water
    craft.breakthrough_volume = plan.breakthrough * plan.water
    craft.ambient = plan.air_pressure
    craft.start_pressure = plan.air_pressure + plan.pressure_gauge
    craft.gas_model, craft.gas_exponent = plan.gas, plan.gas_exponent
    craft.heat_transfer = plan.heat_transfer
    temperature = plan.charge_temperature
    if plan.pumped != 0:
        temperature = charging_temperature(
            temperature, temperature, craft.start_pressure / craft.ambient, plan.charging_kept
        )
    craft.start_temperature = temperature
    radius = 0.5 * plan.vessel_diameter
    craft.compliance = 0.0
    if plan.stretch != 0:
        # Thin closed cylinder: ΔV/V = (p r / E t)(5/2 − 2ν), any strength-of-materials text.
        craft.compliance = (
            radius / (plan.vessel_modulus * plan.vessel_wall) * (2.5 - 2.0 * plan.vessel_poisson)
        )
    craft.stretched_volume = craft.rest_volume * (1.0 + craft.compliance * plan.pressure_gauge)
    # A thrust stand holds the rocket without a tube.
    on_tube = plan.tube_length > 0.0 and craft.held == 0
    craft.tube_area = 0.25 * math.pi * plan.tube_diameter**2 if on_tube else 0.0
    craft.tube_length = plan.tube_length
    craft.tube_inside = craft.tube_area * craft.tube_length
    volume = craft.stretched_volume - plan.water - craft.tube_inside
    craft.dry_air, craft.vapour = start_masses(
        craft.start_pressure, temperature, volume, plan.gas, plan.charge_temperature
    )
    craft.gas_mass = craft.dry_air + craft.vapour
    craft.wall_area = 4.0 * craft.rest_volume / max(2.0 * radius, 1e-6)


@jit
def _set_nozzle(plan: Record, craft: Record) -> None:
    craft.bore_area = 0.25 * math.pi * plan.bore**2
    craft.jet_area = plan.contraction * craft.bore_area
    craft.loss = 1.0 / plan.velocity_coefficient**2 - 1.0
    craft.land = plan.land
    craft.correction = end_correction(plan.bore, plan.neck_bore)
    craft.gas_area = plan.gas_coefficient * craft.bore_area
    craft.spray_area = plan.spray_coefficient * craft.bore_area
    craft.spray_gamma = plan.gas_exponent if plan.gas == 2 and plan.gas_exponent > 1.0001 else 1.4
    craft.slip = plan.slip
    craft.steady_jet = plan.steady_jet
    craft.isothermal = plan.isothermal_vessel


@jit
def _aim(plan: Record, craft: Record) -> None:
    """Launch direction and the attitude that lays e1 along it."""
    s, c = math.sin(plan.tilt), math.cos(plan.tilt)
    craft.aim_e, craft.aim_n, craft.aim_u = s * math.sin(plan.heading), s * math.cos(plan.heading), c
    # Shortest turn of e1 = east onto the aim: q = (1 + e1·aim, e1 × aim), normalised.
    norm = math.sqrt(2.0 * (1.0 + craft.aim_e))
    craft.q0, craft.q1 = (1.0 + craft.aim_e) / norm, 0.0
    craft.q2, craft.q3 = -craft.aim_u / norm, craft.aim_n / norm
    # The launch tube guides as well, and a rocket without any guide still stands on something.
    on_tube = craft.tube_length if craft.tube_area > 0.0 else 0.0
    craft.guide_length = max(plan.guide_length, on_tube + _STAND)


@jit
def _trapezoid(plan: Record) -> tuple[float, float, float, float]:
    """Return (root, tip, span, sweep) of the fins, of an outline those of its `equal_trapezoid`, m."""
    if plan.outline_count >= 3:
        return equal_trapezoid(plan.outline_x, plan.outline_y, plan.outline_count)
    return plan.fin_root, plan.fin_tip, plan.fin_span, plan.fin_sweep


@jit
def _shape_body(plan: Record, craft: Record, fin: tuple[float, float, float, float]) -> None:
    n, z, r = craft.vessel_count, craft.vessel_z, craft.vessel_r
    nose_end = 0.5 * plan.nose_diameter
    craft.outer_count = outer_profile(
        plan.nose_shape, plan.nose_length, nose_end, z, r, n, craft.base_length, plan.vessel_wall, plan.sleeve_position,
        plan.sleeve_length if plan.sleeve_length > 0.0 else 0.0, 0.5 * plan.sleeve_diameter, craft.outer_x,
        craft.outer_r,
    )  # fmt: skip
    craft.length = plan.nose_length + z[n - 1] - craft.base_length
    craft.vessel_centre = craft.length - craft.vessel_table[1, n - 1] / craft.rest_volume
    nose = nose_coefficient(plan.nose_shape, plan.nose_length, nose_end)
    prepare_airframe(
        craft.outer_x, craft.outer_r, craft.outer_count, plan.nose_length, nose, plan.fin_count, *fin,
        plan.fin_position, plan.fin_thickness, plan.fin_edge, plan.fin_cant, plan.roughness, plan.tail_efficiency,
        plan.drag_factor, plan.fixed_drag, craft.airframe,
    )  # fmt: skip
    craft.normal_slope, craft.pressure_centre = linear_centre_of_pressure(craft.airframe)
    craft.calibre = 2.0 * widest(craft.outer_r, craft.outer_count)


@jit
def _set_air(plan: Record, craft: Record) -> None:
    craft.gravity = normal_gravity(plan.latitude, plan.site_height)
    column = air_column(plan.air_pressure, plan.air_temperature, plan.humidity, craft.gravity)
    for i in range(AIR_COLUMN):
        craft.air[i] = column[i]
    craft.lift_of_air = craft.gravity * craft.rest_volume
    # Wind is felt at the middle of the rocket as it stands on the launcher.
    craft.ground_gap = craft.length - craft.dry_centre
    craft.wind_law = plan.wind_log
    craft.wind_speed, craft.wind_height = plan.wind_speed, plan.wind_height
    craft.wind_exponent, craft.wind_z0 = plan.wind_exponent, plan.roughness_length
    craft.wind_e, craft.wind_n = -math.sin(plan.wind_from), -math.cos(plan.wind_from)
    craft.turbulence = plan.turbulence
    if plan.turbulence != 0:
        along, up = gust_lengths(_GUST_HEIGHT)
        strong = wind_at(
            WIND_HEIGHT, craft.wind_speed, craft.wind_height, craft.wind_law, craft.wind_exponent, craft.wind_z0
        )
        craft.gust_u, craft.gust_w = gust_intensities(_GUST_HEIGHT, strong)
        # Fine enough for the shortest of the scale lengths; the field is mirrored at its end.
        craft.gust_spacing = min(along, up) / 10.0
        fill_gusts(plan.seed, plan.index, craft.gust_spacing, along, along, up, craft.gusts)


@jit
def _cloth_area(canopy: int, width: float) -> float:
    """Flat area of a canopy by its shape, without a spill hole, m²."""
    if canopy == 0:
        return polygon_area(6, width)
    if canopy == 1:
        return polygon_area(8, width)
    if canopy == 2:
        return round_area(width)
    if canopy == 3:
        return width * width
    if canopy == 4:
        # Arms a third of the length wide: the usual cross (common practice, no source).
        return cross_area(width, width / 3.0)
    return hemisphere_area(width)


@jit
def _set_recovery(plan: Record, craft: Record) -> None:
    craft.recovery, craft.release = plan.recovery, plan.release
    craft.release_delay = plan.release_delay if plan.release_delay > 0.0 else 0.0
    if plan.recovery == 1:
        area = open_area(_cloth_area(plan.canopy, plan.canopy_diameter), max(plan.canopy_spill_hole, 0.0))
        craft.canopy_diameter = plan.canopy_diameter
    else:
        area = plan.streamer_length * plan.streamer_width
        craft.canopy_diameter = plan.streamer_width
    craft.canopy_area = plan.canopy_drag * area if plan.recovery != 0 else 0.0
    craft.filling = plan.filling if plan.filling > 0.0 else 0.0
    # A rocket that hangs below its canopy is swept from one end: its axial drag at a few metres a second.
    body, nose, base, fins, edges, junctions = axial_drag_areas(craft.airframe, _HANGING_REYNOLDS, 0.0, 1)
    craft.hanging_area = body + nose + base + fins + edges + junctions
    if plan.fixed_drag >= 0.0:
        craft.hanging_area = plan.fixed_drag * 0.25 * math.pi * craft.calibre**2


@jit
def _set_scales(plan: Record, craft: Record) -> None:
    """Sizes below which an error in a state no longer matters: the absolute part of the tolerance.

    A rocket swings about once in half a second, so that an error of 1 rad comes and goes with one of about 10 rad/s.
    """
    scale = craft.scale
    for i in range(3):
        scale[PLACE + i], scale[VELOCITY + i], scale[RATES + i] = 10.0, 10.0, 10.0
    scale[AIR_PATH], scale[IMPULSE] = 10.0, 10.0
    for i in range(4):
        scale[ATTITUDE + i] = 1.0
    craft.tolerance, craft.time_limit = plan.tolerance, plan.time_limit


@jit
def scale_charge(phase: int, craft: Record) -> None:
    """Set the sizes of the charge's numbers, which mean something else in each phase."""
    scale = craft.scale
    if phase == SPRAY:
        scale[CHARGE_A], scale[CHARGE_B] = craft.water_density * craft.rest_volume, craft.gas_mass
    elif phase == GAS:
        scale[CHARGE_A] = 0.1  # an excess of a hundredth of the ambient pressure
    else:
        scale[CHARGE_A], scale[CHARGE_B], scale[CHARGE_C] = craft.rest_volume, 10.0, 100.0


@entry_jit
def prepare(plan: Record, held: bool, craft: Record) -> bool:
    """Work out a craft from a plan; return False when it makes no rocket.

    Parameters
    ----------
    plan
        Record of `bottlewright.flight.plan.PLAN`.
    held
        On the thrust stand.
    craft
        Record of `CRAFT`, overwritten.
    """
    craft.held = 1 if held else 0
    shape_vessel(plan, craft)
    if craft.vessel_count < 2 or not craft.rest_volume > 0.0:
        return False
    _set_nozzle(plan, craft)
    _load(plan, craft)
    craft.end_gas, craft.end_temperature, craft.water_left = 0.0, craft.start_temperature, 0.0
    fin = _trapezoid(plan)
    _shape_body(plan, craft, fin)
    mass_properties(plan, craft, fin)
    _aim(plan, craft)
    _set_air(plan, craft)
    _set_recovery(plan, craft)
    _set_scales(plan, craft)
    craft.held_force = craft.gravity * math.cos(plan.stand_tilt) if held else 0.0
    room = craft.rest_volume - craft.water_volume - craft.tube_inside
    return bool(craft.dry_air > 0.0 and room > 0.0 and craft.dry_mass > 0.0 and craft.calibre > 0.0)
