"""Many flights: one record of parameters each, side by side on threads, only the summaries kept.

Flight i of a seed is the same flight whatever the order, the number of threads or the machine, because its draws
come from a generator that is counted, not stepped (`bottlewright.physics.sampling`).
"""

import contextlib
import math
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor, wait
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bottlewright.design.document import Design
from bottlewright.design.learned import GAUGE, TOLD_APART
from bottlewright.design.once import once_per_design
from bottlewright.design.paths import bounds_of, stood_on, value_at
from bottlewright.flight.advance import ROW
from bottlewright.flight.ahead import compile_ahead
from bottlewright.flight.drawing import MOVE, fill_draws, keep_all_in_bounds, vary_column
from bottlewright.flight.integrate import PUSHED, TURNS, integrate_flight
from bottlewright.flight.parameters import PARAMETERS, parameters_of, slot_of
from bottlewright.flight.state import Endings
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics import FloatArray, entry_jit
from bottlewright.quantities import Basis, Quantity
from bottlewright.system import cores

__all__ = ["TOLERANCE", "draws_of", "fire_batch", "fly_batch", "fly_many", "sample_batch", "settle", "vary_value"]

_FIELDS: Any = PARAMETERS.fields
_FEWEST = 4
"""Flights that a thread fetches at once, at least."""
_LAST_FLIGHTS = 2.0
"""Seconds that a stop waits for the flights under way; they take milliseconds once all is compiled."""
_POLL = 0.02
"""Seconds between two looks whether to stop."""
_SAMPLES = 4096
"""Plans drawn at a time, 2.9 kB each."""

TOLERANCE = 1e-4
"""Of flights that make a spread: apogees right to 1e-4 and landings to a centimetre, which no spread shows
(docs/performance.md)."""

# What the tool took over from another value moves with it.
_FOLLOWS = (
    ("nozzle.bore", "vessel.neck_bore"), ("nose.diameter", "vessel.diameter"),
    ("charge.temperature", "weather.temperature"), ("launcher.seal_diameter", "nozzle.bore"),
    ("launcher.stroke", "launcher.tube_length"),
)  # fmt: skip


_IN_PROPORTION = {"recovery.mechanism.hold"}
"""Values whose ± is a factor both ways: a grip varies many times over and never turns into a push."""


@entry_jit
def _fly_range(
    batch: NDArray[Any], holds: FloatArray, first: int, last: int, notes: NDArray[Any], done: NDArray[np.bool_],
    left: NDArray[np.bool_],
) -> None:  # fmt: skip
    """Fly a portion of a batch, and mark each flight that is done; leave the rest as soon as `left` says so.

    With holds each flight has as many summaries, one after the other: up to the end of the push they are one flight.
    """
    vehicle, work = np.zeros(2, VEHICLE), np.zeros(2, WORK)
    rows, ways = np.empty((0, ROW)), max(holds.size, 1)
    for i in range(first, last):
        if left[0]:
            return
        if not prepare(batch[i], False, vehicle[0]):
            for k in range(i * ways, (i + 1) * ways):
                notes[k].ending = Endings.refused
        else:
            work[0].turns_left_out = 0 if holds.size == 0 else TURNS - PUSHED
            integrate_flight(vehicle[0], notes[i * ways], work[0], rows)
            for k in range(holds.size - 1, -1, -1):  # the first comes last, for the others begin with its summary
                note = notes[i * ways + k]
                vehicle[1], work[1], notes[i * ways + k] = vehicle[0], work[0], notes[i * ways]
                vehicle[1].hold, work[1].turns_behind, work[1].turns_left_out = max(holds[k], 0.0), PUSHED, 0
                integrate_flight(vehicle[1], note, work[1], rows)
        done[i] = True


def _portions(count: int, workers: int) -> Iterator[tuple[int, int]]:
    """Yield portions from the first flight to the last: large ones first, since whoever fetches one waits for its turn
    with the interpreter, and small ones last, so that no thread ends long after the others.
    """
    first = 0
    while first < count:
        last = min(count, first + max(_FEWEST, (count - first) // (2 * workers)))
        yield first, last
        first = last


def blank(count: int) -> NDArray[Any]:
    """Return summaries of flights that have not flown."""
    one = np.zeros(1, SUMMARY)
    for name in SUMMARY.names or ():
        if SUMMARY[name] == np.float64:
            one[name] = np.nan
    return np.full(count, one[0])


_AS_DRAWN = np.empty(0)
"""Each flight with the hold of its nose that its record says."""


def fly_batch(
    batch: NDArray[Any], *, threads: int | None = None, progress: Callable[[int], None] | None = None,
    holds: FloatArray = _AS_DRAWN,
) -> NDArray[Any]:  # fmt: skip
    """Fly a batch: every record of an array of parameters.

    Parameters
    ----------
    batch
        Records of `bottlewright.flight.parameters.PARAMETERS`.
    threads
        How many at once; all cores when left out.
    progress
        Called with the number of flights done since the last call, also when that is 0, many times a second; it may
        raise `KeyboardInterrupt` to stop.
    holds
        Holds of the nose on its seat, N, each of which every record flies with instead of its own. That costs less than
        a batch for each: until the nose may come off, it is one flight.

    Returns
    -------
    numpy.ndarray
        Records of `bottlewright.flight.summary.SUMMARY`, in the order of the batch; with holds those of each record one
        after the other. On a stop the flights under way are finished, and `KeyboardInterrupt` goes on with the
        summaries so far as its argument.
    """
    compile_ahead()
    ways = max(len(holds), 1)
    notes, done, left = blank(len(batch) * ways), np.zeros(len(batch), bool), np.zeros(1, bool)
    workers = threads or cores()
    portions = list(_portions(len(batch), workers))
    waiting = iter(portions)

    def fly() -> None:
        for first, last in waiting:
            _fly_range(batch, holds, first, last, notes, done, left)

    pool = ThreadPoolExecutor(workers)
    flying = {pool.submit(fly) for _ in portions[:workers]}
    told = 0
    try:
        while flying:
            ended, flying = wait(flying, _POLL)
            for future in ended:
                future.result()
            if progress:
                now = int(np.count_nonzero(done))
                progress(now - told)
                told = now
        return notes
    except KeyboardInterrupt as stop:
        left[0] = True
        wait(flying, _LAST_FLIGHTS)
        raise KeyboardInterrupt(notes[np.repeat(done, ways)]) from stop
    finally:
        left[0] = True
        pool.shutdown(wait=False, cancel_futures=True)


def fire_batch(batch: NDArray[Any]) -> NDArray[Any]:
    """Fire every record of an array of parameters on a thrust stand; else as `fly_batch`. One after the other: there
    are few, and each is short.
    """
    notes, vehicle, work = blank(len(batch)), np.zeros(1, VEHICLE), np.zeros(1, WORK)
    rows = np.empty((0, ROW))
    for i in range(len(batch)):
        if prepare(batch[i], True, vehicle[0]):
            integrate_flight(vehicle[0], notes[i], work[0], rows)
        else:
            notes[i].ending = Endings.refused
    return notes


def sample_batch(
    design: Design,
    first: int,
    count: int,
    *,
    seed: int,
    values: Mapping[str, ArrayLike] | None = None,
    vary: bool = True,
) -> NDArray[Any]:
    """Draw parameters first … first + count − 1 of a design, at `TOLERANCE` unless the builder chose one.

    Parameters
    ----------
    design
        Completed.
    first, count
        Which of them.
    seed
        Of the counter-based generator.
    values
        Path → one value, or `count` values, in SI, that replace the design's own.
    vary
        Draw every value with a ± from its normal distribution.
    """
    batch = _undrawn(design, count)
    batch["index"] = np.arange(first, first + count)
    batch["seed"] = seed
    if vary:
        for path, move in _moves(design):
            _vary(batch, path, move, _draws(batch, design, path))
        settle(batch, design)
    for path, value in (values or {}).items():
        slot, position = slot_of(path)
        if position is None:
            batch[slot] = np.asarray(value) * _scale(design, slot)
        else:
            batch[slot][:, position] = value
    return batch


def _undrawn(design: Design, count: int) -> NDArray[Any]:
    """Return parameters of a design without any draw."""
    batch: NDArray[Any] = parameters_of(design, count)
    tolerance = design.model.tolerance
    if tolerance is None or tolerance.basis is not Basis.MEASURED:
        batch["tolerance"] = TOLERANCE
    return batch


def _drawn_paths(design: Design) -> Iterator[str]:
    """Yield each value that is drawn: it has a ±, and a flight hangs on it."""
    for path, quantity in stood_on(design):
        if quantity.spread > 0.0:
            with contextlib.suppress(KeyError):
                slot_of(path)
                yield path


@once_per_design
def _moves(design: Design) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Return each value that is drawn, and how."""
    return [(path, _moved(design, path)) for path in _drawn_paths(design)]


def _scale(design: Design, slot: str) -> int:
    """Return how often a value of the design counts in the parameters: bottles in a row hold and weigh together."""
    return design.vessel.count if slot in ("vessel_volume", "vessel_mass") else 1


class Drawn(NamedTuple):
    """What the flights of a design are drawn from elsewhere than here, as `drawing.draw_plan` takes it.

    Parameters
    ----------
    design
        (WORDS,) numbers of a record without any draw.
    moves, follows
        Records of `drawing.MOVE`; pairs of words, (m, 2).
    places, values
        Words that get given values instead, and these, each one number or one a flight.
    """

    design: FloatArray
    moves: NDArray[Any]
    follows: NDArray[np.int64]
    places: NDArray[np.int64]
    values: list[FloatArray]


def drawn_from(design: Design, values: Mapping[str, ArrayLike], vary: bool) -> Drawn | None:
    """Return what `sample_batch` draws from; None where flights taught something: those draws hang together."""
    if vary and design.written.taken is not None:
        return None
    moves, follows = [], []
    if vary:
        moves = [(_word(path), _stream(path), *move) for path, move in _moves(design)]
        follows = [(_word(path), _word(leader)) for path, leader in _followers(design)]
    given = [np.asarray(value, float) * (_scale(design, slot_of(path)[0]) if slot_of(path)[1] is None else 1)
             for path, value in values.items()]  # fmt: skip
    return Drawn(
        _undrawn(design, 1).view(np.float64), np.array(moves, MOVE), np.array(follows, np.int64).reshape(-1, 2),
        np.array([_word(path) for path in values], np.int64), given,
    )  # fmt: skip


def _word(path: str) -> int:
    """Return the place of a value among the numbers of a record of parameters."""
    slot, position = slot_of(path)
    return int(_FIELDS[slot][1]) // 8 + (position or 0)


def vary_value(batch: NDArray[Any], design: Design, path: str, draws: FloatArray) -> None:
    """Move one value of each record by so many of its ± as `draws` says, (flights,), within what a design may say.

    Parameters
    ----------
    batch
        Records as `parameters_of` makes them; changed in place.
    """
    _vary(batch, path, _moved(design, path), draws)


def _vary(batch: NDArray[Any], path: str, move: tuple[float, float, float, float], draws: FloatArray) -> None:
    slot, position = slot_of(path)
    column = batch[slot] if position is None else batch[slot][:, position]
    step, ratio, low, high = move
    if ratio > 0.0:
        column *= ratio**draws  # numpy's own power: compiled code's differs in the last bit on some processors
        np.clip(column, low, high, out=column)
    else:
        vary_column(column, draws, step, ratio, low, high)


def _moved(design: Design, path: str) -> tuple[float, float, float, float]:
    """Return how `drawing.varied` moves a value: what one ± adds, or its factor, and the least and greatest of it."""
    quantity: Quantity = value_at(design, path)
    scale = _scale(design, slot_of(path)[0])
    low, high = (-math.inf, math.inf) if "profile" in path or "outline" in path else bounds_of(path, design)
    in_proportion = path in _IN_PROPORTION and quantity.value > 0.0
    ratio = 1.0 + quantity.spread / quantity.value if in_proportion else 0.0
    return scale * quantity.spread, ratio, scale * low, scale * high


def settle(batch: NDArray[Any], design: Design) -> None:
    """Make what was varied agree: what follows another value moves with it, and nothing contradicts itself."""
    for path, leader in _followers(design):
        batch[slot_of(path)[0]] = batch[slot_of(leader)[0]]
    keep_all_in_bounds(batch)


def draws_of(batch: NDArray[Any], path: str) -> FloatArray:
    """Return the standard normal draws of flights that follow each other, for the value at a path; 0 without any."""
    draws = np.empty(len(batch))
    if len(batch):
        fill_draws(int(batch["seed"][0]), int(batch["index"][0]), _stream(path), draws)
    return draws


def _draws(batch: NDArray[Any], design: Design, path: str) -> FloatArray:
    """Return the draws of flights for a value: of those that flights taught something of, what is known together."""
    taken = design.written.taken
    if taken is None or path not in taken.learned.paths or not len(batch):
        return draws_of(batch, path)
    from scipy.special import ndtr

    column = taken.learned.paths.index(path)
    scores, worth, share = taken.learned.scores, taken.worth[column], taken.learned.shares[column]
    rows = (ndtr(draws_of(batch, _TOGETHER)) * len(scores)).astype(np.int64).clip(max=len(scores) - 1)
    drawn = worth * scores[rows, column] + math.sqrt(1.0 - worth**2) * draws_of(batch, f"{path}, changed since")
    middle, spread = taken.middle(column)
    if path in TOLD_APART and worth > 0.0:  # the design's value and ± are the learned ones already
        drawn = (drawn - middle) / spread
    elif path == GAUGE:  # its middle is in the parameters already
        drawn = drawn - middle
    return np.asarray(share * drawn + math.sqrt(1.0 - share**2) * draws_of(batch, path))


_TOGETHER = "learned"
"""Stream that chooses which of the learned draws a flight has."""


@cache
def _stream(path: str) -> int:
    """Return a number of its own for each path that is the same on every machine."""
    value = 2166136261
    for byte in path.encode():
        value = (value ^ byte) * 16777619 % 2**32  # FNV-1a, public domain
    return value


def _followers(design: Design) -> Iterator[tuple[str, str]]:
    """Yield each value that was taken over from another one, with that other one."""
    for path, leader in _FOLLOWS:
        mine, its = value_at(design, path), value_at(design, leader)
        if isinstance(mine, Quantity) and mine.basis is Basis.ASSUMED and mine.value == its.value:
            yield path, leader


def fly_many(
    design: Design,
    count: int,
    *,
    seed: int = 0,
    values: Mapping[str, ArrayLike] | None = None,
    vary: bool = True,
    threads: int | None = None,
    progress: Callable[[int], None] | None = None,
) -> NDArray[Any]:
    """Fly a completed design `count` times with its spreads drawn.

    Plans are drawn and let go of a few thousand at a time, so that a flight costs only its summary, 416 bytes; see
    `sample_batch` and `fly_batch` for the parameters, the order and what Ctrl-C does.
    """
    notes = blank(count)
    for first in range(0, count, _SAMPLES):
        size = min(_SAMPLES, count - first)
        part = {path: value if np.ndim(value) == 0 else np.asarray(value)[first : first + size]
                for path, value in (values or {}).items()}  # fmt: skip
        try:
            batch = sample_batch(design, first, size, seed=seed, values=part, vary=vary)
            notes[first : first + size] = fly_batch(batch, threads=threads, progress=progress)
        except KeyboardInterrupt as stop:
            raise KeyboardInterrupt(np.concatenate([notes[:first], *stop.args])) from stop
    return notes
