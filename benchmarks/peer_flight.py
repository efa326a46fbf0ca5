"""A whole flight by somebody else's compiled integrator, with nothing of Python between two calls.

The flight goes phase by phase as in `bottlewright.flight.integrate.integrate_flight`, without a mechanism: the same
compiled rates, the same event values, the same hand-over between phases, and the same scales in the tolerance. A peer
gets both functions as addresses of compiled code and takes one stretch at a time, to its first event or its time.
"""

import math
from collections.abc import Callable
from functools import cache, partial
from typing import Any, TypeVar, cast

import numpy as np
from numba import carray, cfunc, njit  # type: ignore[attr-defined]
from numpy.typing import NDArray

from bottlewright.flight.advance import ROW, event_values
from bottlewright.flight.integrate import _next_moment, integrate_flight
from bottlewright.flight.motion import rates
from bottlewright.flight.phases import (
    APOGEE,
    CHARGE_END,
    GROUND,
    GUIDE_END,
    JET_STOPS,
    OPENED,
    begin,
    landing,
    next_phase,
    release,
)
from bottlewright.flight.state import COAST, EVENTS, GAS, OPENING, PHASES, SIZE, SLIDE, STATE, WATER, Record
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare, scale_charge
from bottlewright.physics import FloatArray, jit
from bottlewright.physics.linking import EntryCompiler

Engine = NDArray[np.int64]
"""Addresses: as many of the flight as `OWN` says, then what a peer needs."""

FLIGHT = np.dtype(
    [
        ("phase", np.int64), ("guided", np.int64), ("watched", np.int64), ("size", np.int64),
        ("asked", np.int64, (len(PHASES), 2)),
        ("time", np.float64, (1,)), ("y", np.float64, (STATE,)), ("dy", np.float64, (STATE,)),
        ("values", np.float64, (EVENTS,)), ("absolute", np.float64, (STATE,)),
        ("span", np.float64, (2,)), ("z", np.float64, (STATE,)), ("pointer", np.int64, (1,)),
        ("cells", np.int32, (EVENTS,)), ("flags", np.uint8, (8,)), ("message", np.uint8, (256,)),
        ("vehicle", VEHICLE),
    ],
    align=True,
)  # fmt: skip
"""What a compiled callback has to know of the flight under way, what it counts, and room for what a peer answers."""

TIME, FAILED = -1, -3
"""How a stretch ends where no event ends it."""

OWN = 4
"""Addresses of the flight, its state, its time and its absolute tolerances."""
_STRETCHES = 60
"""A flight of more stretches than this has gone wrong."""

F = TypeVar("F", bound=Callable[..., Any])


def entry(function: F) -> F:
    """Compile a function that Python calls, with all that it calls; it is not kept on disk."""
    return cast(F, njit(error_model="numpy", pipeline_class=EntryCompiler)(function))


# --- what the peers call ----------------------------------------------------------------------------------------


@jit
def write_rates(t: float, y: FloatArray, dy: FloatArray, flight: Record) -> None:
    """Write the rates of the numbers in use: our own function, which may touch a few more."""
    flight.asked[flight.phase, flight.guided] += 1
    rates(flight.phase, flight.guided != 0, t, y, flight.vehicle, flight.dy)
    for i in range(flight.size):
        dy[i] = flight.dy[i]


@jit
def write_events(y: FloatArray, out: FloatArray, flight: Record) -> None:
    """Write the event values, 1 for those that cannot come now."""
    event_values(flight.phase, flight.guided != 0, y, flight.vehicle, flight.values)
    for i in range(EVENTS):
        out[i] = flight.values[i] if flight.watched >> i & 1 else 1.0


CALLED = "(float64, voidptr, voidptr, voidptr)"
in_c = partial(cfunc, error_model="numpy", pipeline_class=EntryCompiler)


@cache
def plain_rates() -> Any:
    """Return the rates as a compiled function of time, state, answer and flight."""

    @in_c("void" + CALLED)
    def called(t: float, y: Any, dy: Any, flight: Any) -> None:
        write_rates(t, carray(y, STATE, np.float64), carray(dy, STATE, np.float64), carray(flight, 1, FLIGHT)[0])

    return called


@cache
def plain_events() -> Any:
    """Return the event values as such a function."""

    @in_c("void" + CALLED)
    def called(t: float, y: Any, out: Any, flight: Any) -> None:  # noqa: ARG001
        write_events(carray(y, STATE, np.float64), carray(out, EVENTS, np.float64), carray(flight, 1, FLIGHT)[0])

    return called


@jit
def _from_parts(z: FloatArray, flight: Record) -> None:
    for i in range(flight.size):
        flight.y[i] = z[i] * flight.vehicle.scale[i]


def scaled_callbacks() -> tuple[Any, Any]:
    """Return them for states in parts of their scales.

    One absolute tolerance for all numbers is all that numbalsoda's DOP853 takes: so it means the same as ours.
    """

    @in_c("void" + CALLED)
    def scaled_rates(t: float, z: Any, dz: Any, flight: Any) -> None:
        known = carray(flight, 1, FLIGHT)[0]
        _from_parts(carray(z, STATE, np.float64), known)
        slope = carray(dz, STATE, np.float64)
        write_rates(t, known.y, slope, known)
        for i in range(known.size):
            slope[i] /= known.vehicle.scale[i]

    @in_c("void" + CALLED)
    def scaled_events(t: float, z: Any, out: Any, flight: Any) -> None:  # noqa: ARG001
        known = carray(flight, 1, FLIGHT)[0]
        _from_parts(carray(z, STATE, np.float64), known)
        write_events(known.y, carray(out, EVENTS, np.float64), known)

    return scaled_rates, scaled_events


# --- the flight -------------------------------------------------------------------------------------------------


@jit
def _watched(phase: int, guided: bool, rising: bool) -> int:
    """Return which events can come in a phase of a flight that lifts off at once, a bit for each."""
    bits = 1 << GUIDE_END if guided else 0
    if phase <= GAS:
        bits |= 1 << CHARGE_END
    if SLIDE < phase < GAS:
        bits |= 1 << JET_STOPS
    if phase == OPENING:
        bits |= 1 << OPENED
    if phase >= COAST:
        bits |= (1 << GROUND) | (1 << APOGEE if rising else 0)
    return bits


def flight_by(advance: Any) -> Any:
    """Return a compiled function that flies a batch by `advance`, and says how many flights it brought down.

    `advance(flight, engine, t, stop, tolerance, fresh)` takes the state in the flight's record from t to its first
    event or to `stop`, and returns which event (or `TIME`, `FAILED`) and when. Not fresh: the last event, the top,
    changed nothing, and an integrator that remembers may go on.
    """

    @jit
    def fly(flight: Record, note: Record, engine: Engine, tolerance: float) -> bool:
        vehicle, y = flight.vehicle, flight.y
        phase, guided, rising, fresh = begin(y, vehicle, note), True, True, True
        t, release_at = 0.0, math.inf
        for _ in range(_STRETCHES):
            stop = _next_moment(phase, t, release_at, vehicle)
            flight.phase, flight.guided, flight.size = phase, 1 if guided else 0, SIZE[phase]
            flight.watched = _watched(phase, guided, rising)
            scale_charge(phase, vehicle)
            for i in range(STATE):
                flight.absolute[i] = tolerance * vehicle.scale[i]
            event, t = advance(flight, engine, t, stop, tolerance, fresh)
            fresh = event != APOGEE
            if event == FAILED or (event == TIME and t >= vehicle.time_limit):
                return False
            if event == TIME and phase == OPENING:
                phase = WATER
            elif event == TIME and phase == COAST:
                phase, guided = release(t, y, vehicle, note), False
            elif event == GUIDE_END:
                guided = False
            elif event == APOGEE:
                note.apogee_m, rising, release_at = y[2], False, t + vehicle.release_delay
            elif event == GROUND:
                landing(phase, y, vehicle, note)
                note.flight_time_s = t
                return True
            elif event != TIME:
                phase = next_phase(phase, event, t, y, vehicle, note)
        return False

    @entry
    def fly_all(batch: Any, flights: Any, notes: Any, engine: Engine, tolerance: float) -> int:
        landed = 0
        for i in range(len(batch)):
            prepare(batch[i], False, flights[0].vehicle)
            if fly(flights[0], notes[i], engine, tolerance):
                landed += 1
        return landed

    return fly_all


@entry
def fly_ours(batch: Any, notes: Any, tolerance: float, vehicles: Any, works: Any, rows: FloatArray) -> int:
    """Fly a batch by our own engine; return the steps taken."""
    steps = 0
    for i in range(len(batch)):
        prepare(batch[i], False, vehicles[0])
        vehicles[0].tolerance = tolerance
        integrate_flight(vehicles[0], notes[i], works[0], rows)
        steps += notes[i].steps
    return steps


@entry
def prepare_all(batch: Any, vehicles: Any) -> None:
    """Only make the rockets of a batch ready."""
    for i in range(len(batch)):
        prepare(batch[i], False, vehicles[0])


def our_room() -> tuple[Any, Any, Any]:
    """Return vehicle, scratch and rows for `fly_ours`."""
    return np.zeros(1, VEHICLE), np.zeros(1, WORK), np.empty((0, ROW))
