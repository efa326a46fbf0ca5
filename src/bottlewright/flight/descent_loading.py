"""Make the way down ready: canopy, streamer, rotor, two parts or shifted ballast, once a flight."""

import math

from bottlewright.flight.mechanism_loading import MOST_OF_IT, nose_drag_area
from bottlewright.flight.state import TUMBLE, TWO_PARTS, Record
from bottlewright.physics import jit
from bottlewright.physics.airframe import (
    FIN_AREA,
    FIN_COUNT,
    FIN_FACTOR,
    FIN_MIDDLE,
    FIN_QUARTER,
    FIN_SLOPE,
    axial_drag_areas,
)
from bottlewright.physics.descents import nose_pressure_centre, shadow_area
from bottlewright.physics.parachute import cross_area, hemisphere_area, open_area, polygon_area, round_area

__all__ = ["set_descent", "set_recovery"]

PARACHUTE, ROTOR = 1, 3
_HANGING_REYNOLDS = 3e5
"""V/ν of a rocket that hangs under its canopy, 1/m: about 4.5 m/s."""


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
def set_recovery(parameters: Record, vehicle: Record) -> None:
    """Set what is let out, and what of the rocket hangs below it."""
    vehicle.recovery, vehicle.release = parameters.recovery, parameters.release
    vehicle.release_delay = parameters.release_delay if parameters.release_delay > 0.0 else 0.0
    if parameters.recovery == PARACHUTE:
        area = open_area(_cloth_area(parameters.canopy, parameters.canopy_diameter),
        max(parameters.canopy_spill_hole, 0.0))
        vehicle.canopy_diameter = parameters.canopy_diameter
    else:
        area = parameters.streamer_length * parameters.streamer_width
        vehicle.canopy_diameter = parameters.streamer_width
    vehicle.canopy_area = parameters.canopy_drag * area if parameters.recovery != 0 else 0.0
    vehicle.filling = parameters.filling if parameters.filling > 0.0 else 0.0
    # A rocket that hangs below its canopy is swept from one end: its axial drag at a few metres a second.
    body, nose, base, fins, edges, junctions = axial_drag_areas(vehicle.airframe, _HANGING_REYNOLDS, 0.0, 1)
    vehicle.hanging_area = body + nose + base + fins + edges + junctions
    if parameters.fixed_drag >= 0.0:
        vehicle.hanging_area = parameters.fixed_drag * 0.25 * math.pi * vehicle.calibre**2


@jit
def set_descent(parameters: Record, vehicle: Record) -> None:
    """Set the drag of a rotor, of two parts on a cord, or of a rocket that tumbles, and what ballast does."""
    if vehicle.recovery == ROTOR:
        vehicle.canopy_area = parameters.canopy_drag * round_area(parameters.canopy_diameter)
        vehicle.canopy_diameter = parameters.canopy_diameter
    elif vehicle.recovery == TWO_PARTS:
        _set_parts(parameters, vehicle)
    elif vehicle.recovery == TUMBLE:
        # What it is expected to fall at; the six degrees of freedom find how it does.
        vehicle.canopy_area = parameters.canopy_drag * (_shadow(vehicle, 0.0, vehicle.length) + _fin_shadow(vehicle))
        vehicle.hanging_area, vehicle.canopy_diameter = 0.0, vehicle.length
        vehicle.ballast, vehicle.ballast_start, vehicle.shift = 0.0, 0.0, parameters.shift
        if parameters.ballast >= 0:
            vehicle.ballast = parameters.extra_mass[parameters.ballast]
            vehicle.ballast_start = parameters.extra_position[parameters.ballast]


@jit
def _shadow(vehicle: Record, start: float, end: float) -> float:
    return float(shadow_area(vehicle.outer_x, vehicle.outer_r, vehicle.outer_count, start, end))


@jit
def _fin_shadow(vehicle: Record) -> float:
    """Shadow of all fins, m²: 2/π of their faces, the mean over an even roll."""
    return float(2.0 / math.pi * vehicle.airframe[FIN_COUNT] * vehicle.airframe[FIN_AREA])


@jit
def _set_parts(parameters: Record, vehicle: Record) -> None:
    """Set mass, margin and drag area of nose piece and rest, which fall tied together.

    A part whose balance point lies ahead of where the air takes hold of it keeps its front ahead: it has its drag from
    ahead, and only a part that does not is taken to tumble.
    """
    coef, end = vehicle.airframe, parameters.nose_length
    vehicle.nose_mass = min(parameters.release_nose_mass, MOST_OF_IT * vehicle.dry_mass)
    vehicle.nose_centre, vehicle.seat_area = parameters.release_nose_centre, round_area(parameters.release_seat)
    vehicle.cord_length, vehicle.cord_stiffness = parameters.cord_length, max(parameters.cord_stiffness, 0.0)
    rear = vehicle.dry_mass - vehicle.nose_mass
    balance = (vehicle.dry_mass * vehicle.dry_centre - vehicle.nose_mass * vehicle.nose_centre) / rear
    fins = 0.5 * coef[FIN_COUNT] * coef[FIN_AREA] * coef[FIN_SLOPE] * coef[FIN_FACTOR] if coef[FIN_COUNT] > 2.0 else 0.0
    face = 2.0 * round_area(parameters.nose_diameter)
    held = (face * end + fins * (coef[FIN_MIDDLE] - coef[FIN_QUARTER])) / max(face + fins, 1e-12)
    tip = nose_pressure_centre(vehicle.outer_x, vehicle.outer_r, vehicle.outer_count, end)
    vehicle.front_margin = (tip - vehicle.nose_centre) / vehicle.calibre
    vehicle.rear_margin = (held - balance) / vehicle.calibre
    friction, _, base, plates, edges, junctions = axial_drag_areas(coef, _HANGING_REYNOLDS, 0.0, 0)
    vehicle.front_area = nose_drag_area(parameters, vehicle)
    vehicle.rear_area = friction + base + plates + edges + junctions
    if vehicle.front_margin < 0.0:
        vehicle.front_area = parameters.canopy_drag * _shadow(vehicle, 0.0, end)
    if vehicle.rear_margin < 0.0:
        vehicle.rear_area = parameters.canopy_drag * (_shadow(vehicle, end, vehicle.length) + _fin_shadow(vehicle))
    whole = vehicle.front_area + vehicle.rear_area
    vehicle.hanging_area, vehicle.canopy_diameter = min(vehicle.hanging_area, whole), vehicle.length
    vehicle.canopy_area = whole - vehicle.hanging_area
