"""The same flight by other engines: SciPy's integrators on our compiled equations, and our own code left uncompiled.

The SciPy flight goes phase by phase like `bottlewright.flight.integrate.integrate_flight`: same compiled rates behind
one thin compiled wrapper, same event values, same hand-over between phases, same absolute scales in the tolerance.
"""

import json
import math
import os
import statistics
import subprocess
import sys
import time
from typing import Any, Literal, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from bottlewright.design import complete, read_design
from bottlewright.flight.advance import ROW, event_values
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.motion import rates
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.phases import (
    APOGEE,
    CHARGE_END,
    GROUND,
    GUIDE_END,
    JET_STOPS,
    OPENED,
    begin,
    next_phase,
    release,
)
from bottlewright.flight.state import CANOPY, COAST, EVENTS, GAS, OPENING, SIZE, SLIDE, STATE, VELOCITY
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare, scale_charge
from bottlewright.physics import jit

Floats = NDArray[np.float64]

BY_THE_CLOCK = ('recovery.release="at the top"', 'recovery.delay="0.3 s ± 0.3 s"')
"""A mechanism's events are not written out for the other engines: all let the canopy out a time after the top."""
Method: TypeAlias = Literal["LSODA", "DOP853"]


class Flown(NamedTuple):
    """One flight: apogee m, flight time s, processor time in ms (best and median of the repeats)."""

    apogee: float
    flight_time: float
    best_ms: float
    median_ms: float


# An array of one record is handed over, since numba takes twenty times as long to recognise a record by itself.
@jit
def scipy_rates(t: float, y: Floats, vehicles: Any, phase: int, guided: bool) -> Floats:
    dy = np.empty(y.size)
    rates(phase, guided, t, y, vehicles[0], dy)
    return dy


@jit
def scipy_event(which: int, y: Floats, vehicles: Any, phase: int, guided: bool) -> float:
    values = np.empty(EVENTS)
    event_values(phase, guided, y, vehicles[0], values)
    return float(values[which])


@jit
def scipy_scale(vehicles: Any, phase: int) -> None:
    scale_charge(phase, vehicles[0])


def blank_note() -> Any:
    """Return one cleared record of a flight's summary."""
    note = np.zeros(1, SUMMARY)
    for name in SUMMARY.names or ():
        note[name] = math.nan if SUMMARY[name] == np.float64 else 0
    return note[0]


@jit
def our_flight(batch: Any, vehicles: Any, notes: Any, works: Any, rows: Floats) -> None:
    prepare(batch[0], False, vehicles[0])
    integrate_flight(vehicles[0], notes[0], works[0], rows)


def by_ours(parameters: Any, repeats: int) -> tuple[Flown, Any]:
    """Fly a plan by our engine; also return its summary."""
    batch, vehicles, works, rows = np.array([parameters]), np.zeros(1, VEHICLE), np.zeros(1, WORK), np.empty((0, ROW))
    taken = []
    for _ in range(repeats):
        notes = np.array([blank_note()])
        start = time.process_time()
        our_flight(batch, vehicles, notes, works, rows)
        taken.append(1e3 * (time.process_time() - start))
    note = notes[0]
    return _flown(note["apogee_m"], note["flight_time_s"], taken), note


def by_scipy(method: Method, parameters: Any, tolerance: float, repeats: int) -> Flown:
    """Fly a plan by one of SciPy's methods at a nominal tolerance."""
    taken = []
    for _ in range(repeats):
        start = time.process_time()
        apogee, landed = _scipy_flight(method, parameters, tolerance)
        taken.append(1e3 * (time.process_time() - start))
    return _flown(apogee, landed, taken)


def _flown(apogee: float, flight_time: float, taken: list[float]) -> Flown:
    return Flown(float(apogee), float(flight_time), min(taken), statistics.median(taken))


def _scipy_flight(method: Method, parameters: Any, tolerance: float) -> tuple[float, float]:
    vehicles, note = np.zeros(1, VEHICLE), blank_note()
    vehicle = vehicles[0]
    prepare(parameters, False, vehicle)
    full = np.zeros(STATE)
    phase, guided, t, apogee = begin(full, vehicle, note), True, 0.0, math.nan
    release_at = math.inf
    while True:
        stop = float(vehicle["time_limit"])
        if phase == COAST:
            stop = min(stop, release_at)
        if phase == CANOPY and t < (filled := float(vehicle["canopy_out_time"] + vehicle["filling_time"])):
            stop = min(stop, filled)
        size = SIZE[phase]
        scipy_scale(vehicles, phase)
        kinds = _kinds(phase, guided, math.isnan(apogee))
        watchers: Any = [_watcher(kind) for kind in kinds]
        result = solve_ivp(
            scipy_rates, (t, stop), full[:size].copy(), method=method, args=(vehicles, phase, guided),
            rtol=tolerance, atol=tolerance * vehicle["scale"][:size], events=watchers,
        )  # fmt: skip
        if not result.success:
            return math.nan, math.nan
        t, full[:size] = float(result.t[-1]), result.y[:, -1]
        if result.status == 0:
            if phase != COAST:
                continue
            phase = release(t, full, vehicle, note)
            continue
        kind = next(k for k, times in zip(kinds, result.t_events or [], strict=True) if len(times))
        if kind == GUIDE_END:
            guided = False
        elif kind == APOGEE:
            apogee, release_at = float(full[2]), t + float(vehicle["release_delay"])
            full[VELOCITY + 2] = min(full[VELOCITY + 2], -1e-12)
        elif kind == GROUND:
            return apogee, t
        else:
            phase = next_phase(phase, kind, t, full, vehicle, note)


def _kinds(phase: int, guided: bool, rising: bool) -> list[int]:
    """Return the events that can come in a phase of a flight that lifts off at once."""
    kinds = [GUIDE_END] if guided else []
    if phase <= GAS:
        kinds.append(CHARGE_END)
    if SLIDE < phase < GAS:
        kinds.append(JET_STOPS)
    if phase == OPENING:
        kinds.append(OPENED)
    if phase >= COAST:
        kinds += [APOGEE, GROUND] if rising else [GROUND]
    return kinds


def _watcher(kind: int) -> Any:
    def watched(t: float, y: Floats, vehicles: Any, phase: int, guided: bool) -> float:  # noqa: ARG001
        return scipy_event(kind, y, vehicles, phase, guided)

    watcher: Any = watched
    watcher.terminal, watcher.direction = True, -1.0
    return watcher


def by_plain_python(rocket: str, tolerance: float) -> Flown:
    """Fly the whole flight in a fresh process that leaves our code uncompiled."""
    done = subprocess.run(
        [sys.executable, __file__, rocket, str(tolerance)], env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return Flown(*json.loads(done.stdout))


def _plain(rocket: str, tolerance: float) -> Flown:
    # Uncompiled code reads fields as attributes, which numpy offers on its record arrays only.
    parameters: Any = parameters_of(complete(read_design(rocket, BY_THE_CLOCK))).view(np.recarray)[0]
    parameters.tolerance = tolerance
    vehicle, work = (np.zeros(1, kind).view(np.recarray)[0] for kind in (VEHICLE, WORK))
    taken = []
    for _ in range(3):
        notes = np.array([blank_note()], SUMMARY).view(np.recarray)
        note: Any = notes[0]
        start = time.process_time()
        prepare(parameters, False, vehicle)
        integrate_flight(vehicle, note, work, np.empty((0, ROW)))
        taken.append(1e3 * (time.process_time() - start))
    return _flown(note.apogee_m, note.flight_time_s, taken)


if __name__ == "__main__":
    print(json.dumps(_plain(sys.argv[1], float(sys.argv[2]))))
