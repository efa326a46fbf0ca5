"""How one flight's values are drawn: each moved by its ± within what a design may say, then made to agree.

Compiled functions on one number or one record of parameters at a time, so that the processor and a graphics card draw
by the same lines.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.flight.parameters import PARAMETERS
from bottlewright.flight.state import Record
from bottlewright.physics import FloatArray, entry_jit, jit
from bottlewright.physics.sampling import normal

__all__ = ["MOVE", "WORDS", "draw_plan", "fill_draws", "keep_all_in_bounds", "keep_in_bounds", "varied", "vary_column"]

WORDS = PARAMETERS.itemsize // 8
"""Numbers of a record of parameters, each of eight bytes."""

MOVE = np.dtype([
    ("word", np.int64), ("stream", np.int64), ("step", np.float64), ("ratio", np.float64), ("low", np.float64),
    ("high", np.float64),
])  # fmt: skip
"""One value that is drawn: its place among the words of a record, the stream of its draws, how `varied` moves it."""


@jit
def varied(value: float, draw: float, step: float, ratio: float, low: float, high: float) -> float:
    """Return a value moved by a standard normal draw, within bounds: by steps, or in proportion where a ratio is given.

    Parameters
    ----------
    step
        What one ± adds.
    ratio
        Factor that one ± is, for a value that varies many times over; 0 for one that moves by steps.
    """
    moved = value * ratio**draw if ratio > 0.0 else value + step * draw
    return min(max(moved, low), high)


@jit
def keep_in_bounds(plan: Record) -> None:
    """Cut draws that contradict each other: water over the brim, a bore over the neck, a seal or tube over the bore."""
    plan.water = min(plan.water, 0.98 * plan.vessel_volume)
    plan.bore = min(plan.bore, plan.neck_bore)
    if plan.socket == 0:
        plan.seal_diameter = min(plan.seal_diameter, plan.bore)
    plan.tube_bore = min(plan.tube_bore, plan.seal_diameter)


@jit
def draw_plan(
    words: FloatArray, plan: Record, seed: int, index: int, moves: NDArray[Any], follows: NDArray[np.int64]
) -> None:
    """Draw one flight's values in place.

    Parameters
    ----------
    words, plan
        The same memory: `WORDS` numbers, and a record of `PARAMETERS`, as the design has it.
    seed, index
        Of the counter-based generator, and of the flight.
    moves
        Records of `MOVE`.
    follows
        Pairs of words: the first takes what was drawn for the second.
    """
    for i in range(moves.size):
        move = moves[i]
        draw = normal(seed, index, move.stream)
        words[move.word] = varied(words[move.word], draw, move.step, move.ratio, move.low, move.high)
    for i in range(follows.shape[0]):
        words[follows[i, 0]] = words[follows[i, 1]]
    keep_in_bounds(plan)


@entry_jit
def fill_draws(seed: int, first: int, stream: int, out: FloatArray) -> None:
    """Fill an array with the standard normal draws of flights that follow each other."""
    for i in range(out.size):
        out[i] = normal(seed, first + i, stream)


@entry_jit
def vary_column(
    column: FloatArray, draws: FloatArray, step: float, ratio: float, low: float, high: float
) -> None:
    """Move one value of many flights in place, `varied` each by its own draw."""
    for i in range(column.size):
        column[i] = varied(column[i], draws[i], step, ratio, low, high)


@entry_jit
def keep_all_in_bounds(batch: NDArray[Any]) -> None:
    """Make the values of each record of a batch agree, `keep_in_bounds`."""
    for i in range(batch.size):
        keep_in_bounds(batch[i])
