"""Make the mechanism ready: its numbers in the vehicle, once a flight."""

import math

from bottlewright.flight.latch import LATCH_NONE, LATCH_WAITS
from bottlewright.flight.mechanism import BAROMETER, GYRO, LOW_AIRSPEED, NO_MECHANISM, STANDARD_GRAVITY, TIMER
from bottlewright.flight.state import Record
from bottlewright.physics import jit
from bottlewright.physics.airframe import axial_drag_areas
from bottlewright.physics.drag import wetted_area
from bottlewright.physics.parachute import round_area

__all__ = ["MOST_OF_IT", "nose_drag_area", "set_mechanism"]

BY_MECHANISM = 3
"""Code of `recovery.release` that a mechanism answers to."""
_REYNOLDS = 1e6
"""V/ν that the nose's friction is taken at, 1/m: 15 m/s; it moves by a sixth for a factor of two (our judgement)."""
_LEAST_LAG = 0.02
"""Shortest lag of a barometer, s: a shorter one shows the height no better and asks for tiny steps (our judgement)."""
MOST_OF_IT = 0.9
"""Of the rocket's mass that a nose may be, at most: a draw beyond it makes no rocket."""


@jit
def nose_drag_area(parameters: Record, vehicle: Record) -> float:
    """Drag area of the nose piece, m²: its front and its share of the skin, as the build-up of the whole has them."""
    if not math.isnan(parameters.release_nose_drag):
        return float(parameters.release_nose_drag * vehicle.seat_area)
    end = 0
    while end < vehicle.outer_count and vehicle.outer_x[end] < parameters.nose_length + 1e-9:
        end += 1
    friction, front, _, _, _, _ = axial_drag_areas(vehicle.airframe, _REYNOLDS, 0.0, 0)
    whole = wetted_area(vehicle.outer_x, vehicle.outer_r, vehicle.outer_count)
    share = wetted_area(vehicle.outer_x, vehicle.outer_r, end) / whole if whole > 0.0 else 0.0
    return float(front + share * friction)


@jit
def set_mechanism(parameters: Record, vehicle: Record) -> None:
    """Set the mechanism's numbers; none where the canopy is let out otherwise or not at all."""
    vehicle.due, vehicle.watch, vehicle.mechanism, vehicle.latch = math.inf, 0, NO_MECHANISM, LATCH_NONE
    if parameters.recovery == 0 or parameters.release != BY_MECHANISM:
        return
    vehicle.mechanism, vehicle.trip = parameters.mechanism, parameters.trip
    vehicle.cavity = parameters.cavity
    if parameters.starts == 1 and parameters.trip == TIMER:
        _set_latch(parameters, vehicle)
    vehicle.hold, vehicle.shoulder = max(parameters.release_hold, 0.0), max(parameters.release_shoulder, 0.0)
    vehicle.seat_area = round_area(parameters.release_seat)
    vehicle.nose_mass = min(parameters.release_nose_mass, MOST_OF_IT * vehicle.dry_mass)
    vehicle.nose_centre = parameters.release_nose_centre
    vehicle.nose_drag_area = nose_drag_area(parameters, vehicle)
    vehicle.push, vehicle.push_end = parameters.release_push, parameters.release_push_end
    vehicle.push_stroke = parameters.release_push_stroke
    vehicle.cavity_volume, vehicle.suction = parameters.release_cavity_volume, parameters.release_suction
    vehicle.vent_area = parameters.vents * round_area(parameters.release_vent_bore)
    vehicle.start_delay, vehicle.act = parameters.release_start, max(parameters.release_act, 0.0)
    vehicle.lag, vehicle.locked = max(parameters.release_lag, _LEAST_LAG), parameters.release_locked
    vehicle.port = parameters.release_port
    vehicle.trip_level = _level(parameters, vehicle)


@jit
def _set_latch(parameters: Record, vehicle: Record) -> None:
    vehicle.latch, vehicle.latch_since, vehicle.latch_free = LATCH_WAITS, math.inf, math.inf
    vehicle.latch_speed = vehicle.latch_at = vehicle.axial = 0.0
    vehicle.latch_level = STANDARD_GRAVITY * max(parameters.release_latch_level, 1.0)
    vehicle.latch_time, vehicle.latch_travel = parameters.release_latch_time, parameters.release_latch_travel


@jit
def _level(parameters: Record, vehicle: Record) -> float:
    """Value at which the trip acts: time, drop, angle, dynamic pressure or g, whichever it feels."""
    trip = parameters.trip
    if trip == TIMER:
        return float(max(parameters.release_time, 0.0))
    if trip == BAROMETER:
        return float(parameters.release_drop)
    if trip == GYRO:
        return float(parameters.release_angle)
    if trip == LOW_AIRSPEED:
        return float(0.5 * vehicle.air[1] * parameters.release_airspeed**2)
    return float(parameters.release_felt)
