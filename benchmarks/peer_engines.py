"""The compiled peers of peers.py: SUNDIALS' CVODE, numbalsoda's DOP853 and LSODA, and Boost.odeint.

Each takes one stretch of `peer_flight`'s flight at a time. One that is not here raises `MissingPeerError` and says why.
"""

import ctypes
import importlib.util
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numba import carray  # type: ignore[attr-defined]
from peer_flight import (
    CALLED,
    FAILED,
    FLIGHT,
    OWN,
    TIME,
    Engine,
    flight_by,
    in_c,
    plain_events,
    plain_rates,
    scaled_callbacks,
    write_events,
    write_rates,
)

from bottlewright.flight.integrate import _FIRST_STEP
from bottlewright.flight.state import COAST, EVENTS, PHASES, SIZE, STATE, Record
from bottlewright.physics import jit


class MissingPeerError(Exception):
    """A peer that cannot fly here, and why, in a plain sentence."""


class Peer(NamedTuple):
    """A peer that can fly here: its compiled batch flight, its flight record, its addresses, and what it keeps."""

    name: str
    fly_all: Any
    flights: Any
    engine: Engine
    kept: Any


def _flights() -> tuple[Any, list[int]]:
    """Return one record of a flight, and the addresses that every peer needs."""
    flights = np.zeros(1, FLIGHT)
    fields: Any = FLIGHT.fields
    start = flights.ctypes.data
    return flights, [start, *(start + fields[name][1] for name in ("y", "time", "absolute"))]


def _at(library: ctypes.CDLL, name: str, answer: Any, *takes: Any) -> Any:
    function = getattr(library, name)
    function.restype, function.argtypes = answer, takes
    return function


_ADDRESS, _INT, _REAL = ctypes.c_int64, ctypes.c_int, ctypes.c_double


def _cvode_libraries() -> tuple[ctypes.CDLL, ...]:
    """Return SUNDIALS' libraries as the package scikit-sundae brings them: core, CVODE, vectors, matrix, solver."""
    found = importlib.util.find_spec("sksundae")
    if found is None or found.origin is None:
        raise MissingPeerError("CVODE does not fly: the package scikit-sundae is not installed.")
    folder = Path(found.origin).parent.parent / "scikit_sundae.libs"
    names = ("core", "cvode", "nvecserial", "sunmatrixdense", "sunlinsoldense")
    paths = [next(iter(folder.glob(f"libsundials_{name}-*.so*")), None) for name in names]
    if None in paths:
        raise MissingPeerError("CVODE does not fly: this scikit-sundae has no libraries of SUNDIALS beside it.")
    return tuple(ctypes.CDLL(str(path), ctypes.RTLD_GLOBAL) for path in paths)


def _sundials_callbacks(core: ctypes.CDLL) -> tuple[Any, Any]:
    """Return them for SUNDIALS' vectors."""
    in_array = _at(core, "N_VGetArrayPointer", ctypes.POINTER(ctypes.c_double), ctypes.c_void_p)

    @in_c("int32" + CALLED)
    def their_rates(t: float, y: Any, dy: Any, flight: Any) -> int:
        write_rates(t, carray(in_array(y), STATE), carray(in_array(dy), STATE), carray(flight, 1, FLIGHT)[0])
        return 0

    @in_c("int32" + CALLED)
    def their_events(t: float, y: Any, out: Any, flight: Any) -> int:  # noqa: ARG001
        write_events(carray(in_array(y), STATE), carray(out, EVENTS, np.float64), carray(flight, 1, FLIGHT)[0])
        return 0

    return their_rates, their_events


ADAMS, BDF = 1, 2
"""CVODE's two families of formulas."""


def cvode(stiff: Callable[[int], bool], name: str) -> Peer:
    """Return CVODE of SUNDIALS: BDF with Newton's method in the phases that are `stiff`, Adams in the others.

    scikit-sundae itself calls a Python function for each evaluation, so its library is called directly.
    """
    core, solver, vectors, matrices, solvers = _cvode_libraries()
    their_rates, their_events = _sundials_callbacks(core)
    flights, own = _flights()
    memories: list[int] = []
    states: list[int] = []
    absolutes: list[int] = []
    context = ctypes.c_void_p()
    _at(core, "SUNContext_Create", _INT, _INT, ctypes.c_void_p)(0, ctypes.addressof(context))
    there = context.value
    new_vector = _at(vectors, "N_VMake_Serial", _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS)
    falling = (ctypes.c_int * EVENTS)(*[-1] * EVENTS)
    for phase, size in enumerate(SIZE):
        y, absolute = (new_vector(int(size), at, there) for at in (own[1], own[3]))
        memory = _at(solver, "CVodeCreate", _ADDRESS, _INT, _ADDRESS)(BDF if stiff(phase) else ADAMS, there)
        for call, takes, given in (
            ("CVodeInit", (_ADDRESS, _REAL, _ADDRESS), (their_rates.address, 0.0, y)),
            ("CVodeSVtolerances", (_REAL, _ADDRESS), (1e-6, absolute)),
            ("CVodeSetUserData", (_ADDRESS,), (own[0],)),
            ("CVodeSetMaxNumSteps", (ctypes.c_long,), (400_000,)),
            ("CVodeRootInit", (_INT, _ADDRESS), (EVENTS, their_events.address)),
            ("CVodeSetRootDirection", (_ADDRESS,), (ctypes.addressof(falling),)),
            ("CVodeSetNoInactiveRootWarn", (), ()),
        ):  # fmt: skip
            if _at(solver, call, _INT, _ADDRESS, *takes)(memory, *given) != 0:
                raise MissingPeerError(f"CVODE does not fly: its {call} refuses what it is given.")
        if stiff(phase):
            matrix = _at(matrices, "SUNDenseMatrix", _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS)(size, size, there)
            linear = _at(solvers, "SUNLinSol_Dense", _ADDRESS, *[_ADDRESS] * 3)(y, matrix, there)
            _at(solver, "CVodeSetLinearSolver", _INT, *[_ADDRESS] * 3)(memory, linear, matrix)
        else:
            fixed = _at(solver, "SUNNonlinSol_FixedPoint", _ADDRESS, _ADDRESS, _INT, _ADDRESS)(y, 0, there)
            _at(solver, "CVodeSetNonlinearSolver", _INT, _ADDRESS, _ADDRESS)(memory, fixed)
        for kept, each in ((memories, memory), (states, y), (absolutes, absolute)):
            kept.append(each)
    fields: Any = FLIGHT.fields
    engine = np.array([*own, own[0] + fields["cells"][1], *memories, *states, *absolutes], np.int64)
    return Peer(name, flight_by(_cvode_advance(solver)), flights, engine, (their_rates, their_events, context, falling))


def _cvode_advance(solver: ctypes.CDLL) -> Any:
    again = _at(solver, "CVodeReInit", _INT, _ADDRESS, _REAL, _ADDRESS)
    tolerances = _at(solver, "CVodeSVtolerances", _INT, _ADDRESS, _REAL, _ADDRESS)
    until = _at(solver, "CVodeSetStopTime", _INT, _ADDRESS, _REAL)
    open_ended = _at(solver, "CVodeClearStopTime", _INT, _ADDRESS)
    solve = _at(solver, "CVode", _INT, _ADDRESS, _REAL, _ADDRESS, _ADDRESS, _INT)
    which = _at(solver, "CVodeGetRootInfo", _INT, _ADDRESS, _ADDRESS)
    phases, cells = len(PHASES), OWN

    @jit
    def advance(
        flight: Record, engine: Engine, t: float, stop: float, tolerance: float, fresh: bool
    ) -> tuple[int, float]:
        at = OWN + 1 + flight.phase
        memory, y, absolute = engine[at], engine[at + phases], engine[at + 2 * phases]
        if fresh:
            again(memory, t, y)
            tolerances(memory, tolerance, absolute)
            # In coast it may look past the moment of letting out, which it learns of only at the top.
            if flight.phase == COAST:
                open_ended(memory)
            else:
                until(memory, stop)
        done = solve(memory, stop, y, engine[2], 1)
        if done == 2:
            which(memory, engine[cells])
            for i in range(EVENTS):
                if flight.cells[i] != 0:
                    return i, flight.time[0]
        return (TIME if done == 0 or done == 1 else FAILED), flight.time[0]

    return advance


def dop853() -> Peer:
    """Return Hairer's DOP853 in the Fortran that numbalsoda brings, with numbalsoda's own search for events."""
    found = importlib.util.find_spec("numbalsoda")
    if found is None or found.origin is None:
        raise MissingPeerError("numbalsoda's DOP853 does not fly: the package numbalsoda is not installed.")
    path = Path(found.origin).parent / "libsolve_ivp.so"
    if not path.exists():
        raise MissingPeerError("numbalsoda's DOP853 does not fly: this numbalsoda has no library of that name.")
    library = ctypes.CDLL(str(path))
    begin_with = _at(
        library, "dop853_solve_ivp_wrapper", None, _ADDRESS, _ADDRESS, _INT, _ADDRESS, _INT, _ADDRESS, _INT, _ADDRESS,
        _ADDRESS, _REAL, _REAL, _REAL, _REAL, *[_ADDRESS] * 4,
    )  # fmt: skip
    result = _at(library, "dop853_solve_ivp_result", None, _ADDRESS, _INT, _INT, _INT, *[_ADDRESS] * 9)
    flights, own = _flights()
    fields: Any = FLIGHT.fields
    start, spot = own[0], {name: own[0] + fields[name][1] for name in ("span", "z", "pointer", "cells", "flags",
                                                                       "message", "values", "dy")}  # fmt: skip
    callbacks = scaled_callbacks()
    engine = np.array([*own, *(each.address for each in callbacks)], np.int64)
    span, z, pointer, cells, flags, message, spare = (
        spot[name] for name in ("span", "z", "pointer", "cells", "flags", "message", "dy")
    )

    @jit
    def advance(
        flight: Record, engine: Engine, t: float, stop: float, tolerance: float, fresh: bool  # noqa: ARG001
    ) -> tuple[int, float]:
        n = flight.size
        flight.span[0], flight.span[1] = t, stop
        for i in range(n):
            flight.z[i] = flight.y[i] / flight.vehicle.scale[i]
        begin_with(engine[OWN], span, n, z, 1, span + 8, EVENTS, engine[OWN + 1], start, 0.0, 0.0, tolerance,
                   tolerance, cells, cells + 4, cells + 8, pointer)  # fmt: skip
        found = flight.cells[2]
        # The state goes where the end of the stretch has it: at an event, or at the one moment that was asked for.
        result(flight.pointer[0], n, flight.cells[0], flight.cells[1], message, flags, cells + 12, span, z, flags + 1,
               cells + 16, engine[2], spare if found == 0 else z)  # fmt: skip
        if flight.flags[0] == 0:
            return FAILED, t
        for i in range(n):
            flight.y[i] = flight.z[i] * flight.vehicle.scale[i]
        return (flight.cells[4], flight.time[0]) if found != 0 else (TIME, stop)

    return Peer("DOP853 (numbalsoda)", flight_by(advance), flights, engine, (library, callbacks))


def build(folder: Path, lsoda_source: Path | None) -> ctypes.CDLL:
    """Compile the peers of peers.cpp that can be compiled here."""
    compiler = shutil.which("g++") or shutil.which("clang++")
    if compiler is None:
        raise MissingPeerError("numbalsoda's LSODA and Boost.odeint do not fly: there is no C++ compiler here.")
    out, source = folder / "peers.so", Path(__file__).parent / "peers.cpp"
    line = [compiler, "-O3", "-DNDEBUG", "-std=c++17", "-w", "-shared", "-fPIC", str(source), "-o", str(out)]
    try_odeint = [*line[:-3], "-fsyntax-only", "-DWITH_ODEINT", str(source)]
    if subprocess.run(try_odeint, capture_output=True).returncode == 0:
        line.append("-DWITH_ODEINT")
    if lsoda_source is not None:
        line += ["-DWITH_LSODA", "-I", str(lsoda_source), str(lsoda_source / "LSODA.cpp")]
    done = subprocess.run(line, capture_output=True, text=True)
    if done.returncode != 0:
        raise MissingPeerError("numbalsoda's LSODA and Boost.odeint do not fly: peers.cpp does not compile here.")
    return ctypes.CDLL(str(out))


def from_cpp(library: ctypes.CDLL, name: str, function: str, lacking: str, *, remembers: bool) -> Peer:
    """Return a peer of peers.cpp: one that `remembers` may go on after the top, another gets our first step."""
    if not hasattr(library, function):
        raise MissingPeerError(lacking)
    stretch = _at(
        library, function, _INT, _ADDRESS, _ADDRESS, _ADDRESS, _INT, _ADDRESS, _REAL, _ADDRESS, _REAL, _ADDRESS,
        _INT if remembers else _REAL,
    )
    flights, own = _flights()
    engine = np.array([*own, plain_rates().address, plain_events().address], np.int64)

    @jit
    def advance(
        flight: Record, engine: Engine, t: float, stop: float, tolerance: float, fresh: bool
    ) -> tuple[int, float]:
        flight.time[0] = t
        first = (1.0 if fresh else 0.0) if remembers else _FIRST_STEP[flight.phase]
        met = stretch(engine[OWN], engine[OWN + 1], engine[0], flight.size, engine[2], stop, engine[1], tolerance,
                      engine[3], first)  # fmt: skip
        return met, flight.time[0]

    return Peer(name, flight_by(advance), flights, engine, library)
