"""What a graphics card runs: one thread a flight, of the very functions that fly on the processor.

Importing this needs numba-cuda; `bottlewright.flight.gpu` does it when somebody asks for a card. Where code of the card
calls a function of the processor, numba compiles that for the card too: there is no second copy of any equation. Only
the cube root has to be pointed at the card's own.
"""

from importlib import import_module
from typing import Any

import numpy as np
from numba.np.numpy_support import from_dtype

from bottlewright.flight.drawing import WORDS, draw_plan
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.motion import rates as _rates
from bottlewright.flight.state import Endings
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics import CODE_CACHE

__all__ = ["THREADS", "draw_plans", "fly_plans"]

cuda: Any = import_module("numba.cuda")

THREADS = 128
"""Flights a block of the card."""
_REGISTERS = 128
"""Of a flight, at most: with more, too few fly at once to hide how long memory takes; with fewer, more goes there."""

_REFUSED = Endings.refused
_CRAFT, _SCRATCH = from_dtype(VEHICLE), from_dtype(WORK)


class _Apart(import_module("numba.cuda.dispatcher").CUDADispatcher):  # type: ignore[misc]
    """A function of the card that is called, not written out at every call: less code, and ready sooner."""

    def compile_device(self, args: Any, return_type: Any = None) -> Any:
        new = args not in self.overloads
        found = super().compile_device(args, return_type)
        if new:
            for function in found.library._module.functions:
                if function.name == found.fndesc.llvm_func_name:
                    function.attributes.add("noinline")
        return found


# numba looks here first for the card's own version of a function of the processor.
_own = "_CUDATypingContext__dispatcher"
rates: Any = _rates
_asked = rates.targetoptions | {"forceinline": False, "device": True, "debug": False, "opt": True}
vars(rates)[_own] = _Apart(rates.py_func, _asked)
_settings: Any = import_module("numba.cuda.core.config")
import_module("numba.cuda.ufuncs").ufunc_db()[np.cbrt] = {"d->d": import_module("numba.cuda.cudaimpl").ptx_cbrt}
# The folder has a name that every source file of the compiled packages goes into, so what is kept there is never stale.
_settings.CACHE_DIR = str(CODE_CACHE)


@cuda.jit(cache=True)  # type: ignore[untyped-decorator]
def draw_plans(
    words: Any, plans: Any, design: Any, seed: int, first: int, moves: Any, follows: Any, places: Any, values: Any
) -> None:
    """Draw flights first … of a design, as `bottlewright.flight.batch.sample_batch` does.

    Parameters
    ----------
    words, plans
        The same memory, (n, WORDS) numbers and n records of `PARAMETERS`, written in place.
    design
        (WORDS,) numbers: the record without any draw.
    seed, first
        Of the counter-based generator; number of the first flight.
    moves, follows
        As in `draw_plan`.
    places, values
        (m,) words that get a given value instead, and (m, n) of these.
    """
    i = cuda.grid(1)
    if i < plans.size:
        for j in range(WORDS):
            words[i, j] = design[j]
        plans[i].seed, plans[i].index = seed, first + i
        draw_plan(words[i], plans[i], seed, first + i, moves, follows)
        for j in range(places.size):
            words[i, places[j]] = values[j, i]


@cuda.jit(cache=True, max_registers=_REGISTERS)  # type: ignore[untyped-decorator]
def fly_plans(plans: Any, notes: Any, rows: Any) -> None:
    """Fly n plans; `rows` has none, and the n records of `SUMMARY` come blank."""
    i = cuda.grid(1)
    if i < plans.size:
        craft, scratch = cuda.local.array(1, _CRAFT), cuda.local.array(1, _SCRATCH)
        if prepare(plans[i], False, craft[0]):
            integrate_flight(craft[0], notes[i], scratch[0], rows)
        else:
            notes[i].ending = _REFUSED
