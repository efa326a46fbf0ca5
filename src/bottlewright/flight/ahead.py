"""Compile what a flight needs in two processes at once, where nothing of it is kept yet.

Making the rocket ready and flying it share little code, so that each can be compiled without the other. This process
compiles the flight; another, which has to start first, makes the rocket ready meanwhile and keeps that on disk. Where
the other process can't be had, or fails, this one compiles both.
"""

import contextlib
import gc
import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import numpy as np
from numba import typeof

import bottlewright
from bottlewright.flight.advance import ROW
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.outputs import COLUMNS, fill_outputs
from bottlewright.flight.parameters import PARAMETERS
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics import CODE_CACHE, JIT
from bottlewright.system import cores

__all__ = ["compile_ahead", "compile_flight", "compile_readying"]

_lock = threading.Lock()
_done = not JIT


def compile_ahead() -> None:
    """Have everything compiled that one flight needs; at once from the second call on."""
    global _done
    if _done:
        return
    with _lock:
        if not _done and not all(map(_is_kept, (prepare, integrate_flight, fill_outputs))):
            _compile_both()
        _done = True


def compile_flight() -> None:
    """Compile the flight, and keep it."""
    _compile(integrate_flight, _record(VEHICLE), _record(SUMMARY), _record(WORK), np.empty((0, ROW)))


def compile_readying() -> None:
    """Compile what makes the rocket ready and reads its flight off, and keep it; for the other process."""
    _compile(prepare, _record(PARAMETERS), False, _record(VEHICLE))
    _compile(fill_outputs, np.empty((0, ROW)), 0, _record(VEHICLE), _record(WORK), np.empty((0, len(COLUMNS))))


def _compile_both() -> None:
    other = _other_process() if _two_at_once() else None
    try:
        compile_flight()
        if other is not None:
            other.wait()
    finally:
        if other is not None and other.poll() is None:
            other.kill()


def _two_at_once() -> bool:
    """Tell whether there is a second core, and a folder in which both processes look."""
    return cores() > 1 and CODE_CACHE.name.startswith("compiled-") and bool(sys.executable)


def _other_process() -> "subprocess.Popen[bytes] | None":
    code = "from bottlewright.flight.ahead import compile_readying; compile_readying()"
    here = str(Path(bottlewright.__file__).parent.parent)
    path = os.pathsep.join(filter(None, [here, os.environ.get("PYTHONPATH")]))
    with contextlib.suppress(OSError):
        return subprocess.Popen(
            [sys.executable, "-c", code], env=os.environ | {"PYTHONPATH": path}, stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
    return None


def _record(dtype: Any) -> Any:
    return np.zeros(1, dtype)[0]


def _compile(function: Any, *arguments: Any) -> None:
    collecting = gc.isenabled()
    gc.disable()  # it would look through all that the compiler builds, again and again, for nothing
    try:
        function.compile(tuple(map(typeof, arguments)))
    finally:
        if collecting:
            gc.enable()


def _is_kept(function: Any) -> bool:
    return bool(function._cache.is_kept)
