"""What a graphics card runs: one thread a flight, of the very functions that fly on the processor.

Importing this needs numba-cuda; `bottlewright.flight.gpu` does it when somebody asks for a card. Where code of the card
calls a function of the processor, numba compiles that for the card too: there is no second copy of any equation. Only
the cube root has to be pointed at the card's own, and flights abreast wait for each other (`abreast`).
"""

from importlib import import_module
from typing import Any

import numpy as np
from numba.np.numpy_support import from_dtype

from bottlewright.flight import abreast
from bottlewright.flight.drawing import WORDS, draw_plan
from bottlewright.flight.integrate import TURNS, fly_turn, sum_up, take_off
from bottlewright.flight.motion import rates as _rates
from bottlewright.flight.state import Endings
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics import CODE_CACHE

__all__ = ["DRAWN", "THREADS", "draw_plans", "fly_plans", "line_up"]

cuda: Any = import_module("numba.cuda")

THREADS = 512
"""Flights a block of the card: all that one of its processors has room for at a time, so that all of them are at the
same turn, and what they work out is fetched once."""
DRAWN = 128
"""Flights a block while they are drawn and lined up."""
_REGISTERS = 128
"""Of a flight, at most: with more, too few fly at once to hide how long memory takes; with fewer, more goes there."""

_REFUSED = Endings.refused
_CRAFT, _SCRATCH, _NOTE = from_dtype(VEHICLE), from_dtype(WORK), from_dtype(SUMMARY)


def _still_together(crew: int, flies: bool) -> int:
    going = cuda.ballot_sync(np.int32(crew), flies) & abreast.ALL
    return going if flies else 0


def _wait_for(crew: int) -> None:
    cuda.syncwarp(np.int32(crew))


def _wait_for_all() -> None:
    cuda.syncthreads()


_Written: Any = import_module("numba.cuda.dispatcher").CUDADispatcher


class _Apart(_Written):  # type: ignore[misc]
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
_asked = {"forceinline": False, "device": True, "debug": False, "opt": True}
vars(rates)[_own] = _Apart(rates.py_func, rates.targetoptions | _asked)
for _name, _ours in (("still_together", _still_together), ("wait_for", _wait_for), ("wait_for_all", _wait_for_all)):
    _theirs: Any = getattr(abreast, _name)
    vars(_theirs)[_own] = _Written(_ours, _theirs.targetoptions | _asked)
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
        (m,) words that get a given value instead, and (m, n) of these, flight 0 first.
    """
    i = cuda.grid(1)
    if i < plans.size:
        for j in range(WORDS):
            words[i, j] = design[j]
        plans[i].seed, plans[i].index = seed, first + i
        draw_plan(words[i], plans[i], seed, first + i, moves, follows)
        for j in range(places.size):
            words[i, places[j]] = values[j, first + i]


@cuda.jit(cache=True)  # type: ignore[untyped-decorator]
def line_up(plans: Any, taken: Any, order: Any) -> None:
    """Write an order, n numbers, in which flights whose water ends in spray come after those that spray nothing.

    Where both go in step, each waits while the other is worked out. `taken` is two numbers, zero.
    """
    i = cuda.grid(1)
    if i < plans.size:
        if plans[i].breakthrough > 0.0:
            order[plans.size - 1 - cuda.atomic.add(taken, 1, 1)] = i
        else:
            order[cuda.atomic.add(taken, 0, 1)] = i


@cuda.jit(cache=True, max_registers=_REGISTERS)  # type: ignore[untyped-decorator]
def fly_plans(plans: Any, order: Any, blank: Any, notes: Any, rows: Any, held: bool) -> None:
    """Fly n plans in an order.

    Parameters
    ----------
    plans, notes
        n records of `PARAMETERS`, and of `SUMMARY`, which are written.
    order
        n numbers of plans.
    blank
        One record of `SUMMARY` of a flight that has not flown.
    rows
        None.
    held
        Whether they are fired on a thrust stand.
    """
    i = cuda.grid(1)
    mine = order[min(i, plans.size - 1)]  # all of a block wait for each other, so all fly, the last one several times
    craft, scratch, note = cuda.local.array(1, _CRAFT), cuda.local.array(1, _SCRATCH), cuda.local.array(1, _NOTE)
    note[0] = blank[0]
    if prepare(plans[mine], held, craft[0]):
        take_off(craft[0], note[0], scratch[0], rows)
    else:
        note[0].ending = _REFUSED
    for turn in range(TURNS):
        fly_turn(turn, craft[0], note[0], scratch[0], rows)
    if note[0].ending != _REFUSED:
        sum_up(craft[0], note[0], scratch[0])
    if i < plans.size:
        notes[mine] = note[0]
