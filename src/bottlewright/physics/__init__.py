"""Physics of the water rocket as pure compiled functions on SI floats, one subject a file.

Nothing here keeps state, does input or output, or imports another package of ours. Pressures are absolute unless
a name says gauge. Each function's docstring names its source; each has a limit in which the answer is known
exactly, and that limit is tested.
"""

from collections.abc import Callable
from types import FunctionType
from typing import Any, TypeAlias, TypeVar, cast

import numba
import numpy as np
from numba.core.registry import CPUDispatcher
from numba.core.types import unliteral
from numpy.typing import NDArray

from bottlewright.physics.code_cache import CODE_CACHE, CODE_DIGEST, CodeCache, before_compiling
from bottlewright.physics.linking import EntryCompiler, InnerCompiler

__all__ = ["CODE_CACHE", "CODE_DIGEST", "JIT", "FloatArray", "before_compiling", "entry_jit", "in_python", "inline_jit",
           "jit"]  # fmt: skip

FloatArray: TypeAlias = NDArray[np.float64]

F = TypeVar("F", bound=Callable[..., Any])


JIT = not vars(numba.config)["DISABLE_JIT"]
"""Whether anything is compiled at all."""

_OPTIONS: dict[str, Any] = {"nopython": True, "error_model": "numpy", "no_rewrites": True}
"""Division by zero gives inf, as numpy does. No freedom is taken with the arithmetic: fused products would be worth a
twentieth of the time, but where they are fused depends on the compiler's mood, and a cluster's bits would differ.
numba's rewriting of array expressions and of branches known beforehand is left out: there are none here."""


class _Plain(CPUDispatcher):
    """A compiled function that takes a number written in the code for any other, and is not compiled for it anew."""

    def get_call_template(self, args: Any, kws: Any) -> Any:
        """Return how numba is to type a call."""
        plain: Callable[[Any], Any] = unliteral
        return super().get_call_template([plain(each) for each in args], kws)


class _Compiled(_Plain):
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
            door = vars(self)["door"] = entry_jit(copy)
        return door(*args)


def jit(function: F) -> F:
    """Compile a pure function on scalars and arrays, for other compiled code and, now and then, for Python."""
    return _inner(function, _OPTIONS)


def inline_jit(function: F) -> F:
    """Compile as `jit` does, to be written out wherever it is called: what a flight goes through at every step.

    A call costs more than it seems: a dozen arguments and results go through memory, and nothing that was worked out on
    one side of it is known on the other. The compiler would write out small functions only.
    """
    return _inner(function, _OPTIONS | {"forceinline": True})


def in_python(function: F) -> F:
    """Return a compiled function as plain Python, with those of its module that it calls: for a few calls at a start.

    Compiling takes most of a second, which nobody waits for before a verdict is printed.
    """
    inner = cast(FunctionType, getattr(function, "py_func", function))
    plain = {name: getattr(one, "py_func", one) for name, one in inner.__globals__.items()}
    return cast(F, FunctionType(inner.__code__, plain, inner.__name__, inner.__defaults__))


def _inner(function: F, options: dict[str, Any]) -> F:
    if not JIT:
        return function
    targets = options | {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
    return cast(F, _Compiled(py_func=function, targetoptions=targets, pipeline_class=InnerCompiler))


def entry_jit(function: F) -> F:
    """Compile a function that Python calls as well as compiled code; it lets go of the interpreter lock meanwhile."""
    if not JIT:
        return function
    targets = _OPTIONS | {"nogil": True, "no_cfunc_wrapper": True}
    compiled: Any = _Plain(py_func=function, targetoptions=targets, pipeline_class=EntryCompiler)
    compiled._cache = CodeCache(function)
    return cast(F, compiled)
