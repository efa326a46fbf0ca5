"""Physics of the water rocket as pure compiled functions on SI floats, one subject a file.

Nothing here keeps state, does input or output, or imports another room of the house. Pressures are absolute unless
a name says gauge. Each function's docstring names its source; each has a limit in which the answer is known
exactly, and that limit is tested.

The compiled code is kept on disk between runs. numba decides whether a kept function is still good from the time
stamp of the one file that holds it, and misses a change in a function it calls in another file, so the folder is
named after a digest of every source file of the compiled rooms: a change anywhere starts a new folder.
"""

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import FunctionType
from typing import Any, TypeAlias, TypeVar, cast

import numba
import numpy as np
from numba.core.registry import CPUDispatcher
from numpy.typing import NDArray
from platformdirs import user_cache_path

__all__ = ["CODE_CACHE", "FloatArray", "entry_jit", "jit"]

FloatArray: TypeAlias = NDArray[np.float64]

F = TypeVar("F", bound=Callable[..., Any])


_KEPT = 4
"""Versions whose compiled code is kept beside this one's."""


def _code_cache() -> Path:
    if "NUMBA_CACHE_DIR" in os.environ:
        return Path(os.environ["NUMBA_CACHE_DIR"])
    package = Path(__file__).parent.parent
    digest = hashlib.sha256(numba.__version__.encode())
    for room in ("physics", "flight"):
        for source in sorted((package / room).glob("*.py")):
            digest.update(source.read_bytes())
    folder = user_cache_path("bottlewright", appauthor=False) / f"compiled-{digest.hexdigest()[:16]}"
    try:
        new = not folder.exists()
        folder.mkdir(parents=True, exist_ok=True)
        if new:
            _clear_out(folder)
        if os.access(folder, os.W_OK):
            return folder
    except OSError:
        pass
    return Path(tempfile.gettempdir()) / f"bottlewright-{digest.hexdigest()[:16]}"


def _clear_out(folder: Path) -> None:
    """Drop the compiled code of versions long replaced, the oldest first."""
    others = [other for other in folder.parent.glob("compiled-*") if other != folder]
    for old in sorted(others, key=lambda other: other.stat().st_mtime, reverse=True)[_KEPT:]:
        shutil.rmtree(old, ignore_errors=True)


CODE_CACHE = _code_cache()
"""Folder that holds this version's compiled code; empty or missing before the first run."""

if "NUMBA_CACHE_DIR" not in os.environ:
    vars(numba.config)["CACHE_DIR"] = str(CODE_CACHE)  # numba makes its settings at run time


_OPTIONS: dict[str, Any] = {"cache": True, "error_model": "numpy"}
"""Division by zero gives inf, as numpy does. No freedom is taken with the arithmetic: fused products would be worth a
twentieth of the time, but where they are fused depends on the compiler's mood, and a cluster's bits would differ."""


class _Compiled(CPUDispatcher):
    """A function for compiled code to call, whose door from Python is made when Python first knocks.

    Doors take a quarter of the time to compile, and few are used. The door is a copy with a name of its own, since
    numba keeps code on disk by name.
    """

    def __call__(self, *args: Any) -> Any:
        door = vars(self).get("door")
        if door is None:
            inner = self.py_func
            copy = FunctionType(inner.__code__, inner.__globals__, inner.__name__, inner.__defaults__)
            copy.__qualname__ = f"{inner.__qualname__}.door"
            door = vars(self)["door"] = numba.njit(**_OPTIONS)(copy)
        return door(*args)


def jit(function: F) -> F:
    """Compile a pure function on scalars and arrays, for other compiled code and, now and then, for Python."""
    if vars(numba.config)["DISABLE_JIT"]:
        return function
    targets = {"nopython": True, "error_model": "numpy", "no_cpython_wrapper": True, "no_cfunc_wrapper": True}
    compiled = _Compiled(py_func=function, targetoptions=targets)
    compiled.enable_caching()
    return cast(F, compiled)


def entry_jit(function: F) -> F:
    """Compile a function that Python calls as well as compiled code; it lets go of the interpreter lock meanwhile."""
    return cast(F, numba.njit(**_OPTIONS, nogil=True)(function))
