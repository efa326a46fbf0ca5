"""Many flights: one record of parameters each, side by side on threads, only the summaries kept.

Flight i of a seed is the same flight whatever the order, the number of threads or the machine, because its draws
come from a generator that is counted, not stepped (`bottlewright.physics.sampling`).
"""

import math
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bottlewright.design.document import Design
from bottlewright.design.learned import GAUGE, TOLD_APART
from bottlewright.design.paths import bounds_of, stood_on, value_at
from bottlewright.flight.ahead import compile_ahead
from bottlewright.flight.integrate import ROW, integrate_flight
from bottlewright.flight.parameters import parameters_of, slot_of
from bottlewright.flight.state import Endings
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics import FloatArray, entry_jit
from bottlewright.physics.sampling import normal
from bottlewright.quantities import Basis, Quantity
from bottlewright.system import cores

__all__ = ["TOLERANCE", "draws_of", "fire_batch", "fly_batch", "fly_many", "sample_batch", "settle", "vary_value"]

_CHUNK = 64
_LAST_FLIGHTS = 2.0
"""Seconds that a stop waits for the flights under way; they take milliseconds once all is compiled."""
_POLL = 0.1
"""Seconds between two looks whether to stop."""
_SAMPLES = 4096
"""Plans drawn at a time, 2.9 kB each."""

TOLERANCE = 1e-5
"""Of flights that make a spread: half the time of the single flight's, for errors that no spread shows
(benchmarks/flight.py)."""

# What the tool took over from another value moves with it.
_FOLLOWS = (
    ("nozzle.bore", "vessel.neck_bore"), ("nose.diameter", "vessel.diameter"),
    ("charge.temperature", "weather.temperature"), ("launcher.seal_diameter", "nozzle.bore"),
    ("launcher.stroke", "launcher.tube_length"),
)  # fmt: skip


_IN_PROPORTION = {"recovery.mechanism.hold"}
"""Values whose ± is a factor both ways: a grip varies many times over and never turns into a push."""


@entry_jit
def fill_draws(seed: int, first: int, stream: int, out: FloatArray) -> None:
    for i in range(out.size):
        out[i] = normal(seed, first + i, stream)


@entry_jit
def _fly_range(batch: NDArray[Any], first: int, last: int, notes: NDArray[Any]) -> None:
    vehicle, work = np.zeros(1, VEHICLE), np.zeros(1, WORK)
    rows = np.empty((0, ROW))
    for i in range(first, last):
        if prepare(batch[i], False, vehicle[0]):
            integrate_flight(vehicle[0], notes[i], work[0], rows)
        else:
            notes[i].ending = Endings.refused


def _blank(count: int) -> NDArray[Any]:
    notes = np.zeros(count, SUMMARY)
    for name in SUMMARY.names or ():
        if SUMMARY[name] == np.float64:
            notes[name] = np.nan
    return notes


def fly_batch(
    batch: NDArray[Any], *, threads: int | None = None, progress: Callable[[int], None] | None = None
) -> NDArray[Any]:
    """Fly a batch: every record of an array of parameters.

    Parameters
    ----------
    batch
        Records of `bottlewright.flight.parameters.PARAMETERS`.
    threads
        How many at once; all cores when left out.
    progress
        Called with the number of flights done since the last call, and with 0 ten times a second; it may raise
        `KeyboardInterrupt` to stop.

    Returns
    -------
    numpy.ndarray
        Records of `bottlewright.flight.summary.SUMMARY`, in the order of the batch. On a stop the flights under way are
        finished, and `KeyboardInterrupt` goes on with the summaries so far as its argument.
    """
    compile_ahead()
    notes = _blank(len(batch))
    done = np.zeros(len(batch), bool)
    workers = threads or cores()
    # Small enough a portion that a small batch keeps every thread at work.
    size = min(_CHUNK, max(1, len(batch) // (4 * workers)))
    pool = ThreadPoolExecutor(workers)
    waiting: dict[Future[None], tuple[int, int]] = {}
    starts = iter(range(0, len(batch), size))
    try:
        while True:
            while len(waiting) < 2 * workers and (first := next(starts, None)) is not None:
                last = min(first + size, len(batch))
                waiting[pool.submit(_fly_range, batch, first, last, notes)] = (first, last)
            if not waiting:
                return notes
            for future in wait(waiting, _POLL, return_when=FIRST_COMPLETED).done:
                first, last = waiting.pop(future)
                future.result()
                done[first:last] = True
                if progress:
                    progress(last - first)
            if progress:
                progress(0)
    except KeyboardInterrupt as stop:
        for future in wait(waiting, timeout=_LAST_FLIGHTS).done:
            first, last = waiting[future]
            done[first:last] = True
        raise KeyboardInterrupt(notes[done]) from stop
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def fire_batch(batch: NDArray[Any]) -> NDArray[Any]:
    """Fire every record of an array of parameters on a thrust stand; else as `fly_batch`. One after the other: there
    are few, and each is short.
    """
    notes, vehicle, work = _blank(len(batch)), np.zeros(1, VEHICLE), np.zeros(1, WORK)
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
    batch: NDArray[Any] = parameters_of(design, count)
    batch["index"] = np.arange(first, first + count)
    batch["seed"] = seed
    tolerance = design.model.tolerance
    if tolerance is None or tolerance.basis is not Basis.MEASURED:
        batch["tolerance"] = TOLERANCE
    if vary:
        for path, quantity in stood_on(design):
            if quantity.spread <= 0.0:
                continue
            try:
                slot_of(path)
            except KeyError:
                continue
            vary_value(batch, design, path, _draws(batch, design, path))
        settle(batch, design)
    for path, value in (values or {}).items():
        slot, position = slot_of(path)
        scale = design.vessel.count if slot in ("vessel_volume", "vessel_mass") else 1
        if position is None:
            batch[slot] = np.asarray(value) * scale
        else:
            batch[slot][:, position] = value
    return batch


def vary_value(batch: NDArray[Any], design: Design, path: str, draws: FloatArray) -> None:
    """Move one value of each record by so many of its ± as `draws` says, (flights,), within what a design may say.

    Parameters
    ----------
    batch
        Records as `parameters_of` makes them; changed in place.
    """
    quantity: Quantity = value_at(design, path)
    slot, position = slot_of(path)
    scale = design.vessel.count if slot in ("vessel_volume", "vessel_mass") else 1
    column = batch[slot] if position is None else batch[slot][:, position]
    if path in _IN_PROPORTION and quantity.value > 0.0:
        column *= (1.0 + quantity.spread / quantity.value) ** draws
    else:
        column += scale * quantity.spread * draws
    if "profile" not in path and "outline" not in path:
        low, high = bounds_of(path, design)
        np.clip(column, scale * low, scale * high, out=column)


def settle(batch: NDArray[Any], design: Design) -> None:
    """Make what was varied agree: what follows another value moves with it, and nothing contradicts itself."""
    _follow(batch, design)
    _keep_in_bounds(batch)


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


def _stream(path: str) -> int:
    """Return a number of its own for each path that is the same on every machine."""
    value = 2166136261
    for byte in path.encode():
        value = (value ^ byte) * 16777619 % 2**32  # FNV-1a, public domain
    return value


def _follow(batch: NDArray[Any], design: Design) -> None:
    """Give values that were taken over from another one the draw of that other one."""
    for path, leader in _FOLLOWS:
        mine, its = value_at(design, path), value_at(design, leader)
        if isinstance(mine, Quantity) and mine.basis is Basis.ASSUMED and mine.value == its.value:
            batch[slot_of(path)[0]] = batch[slot_of(leader)[0]]


def _keep_in_bounds(batch: NDArray[Any]) -> None:
    """Cut draws that contradict each other: water over the brim, a bore over the neck."""
    np.minimum(batch["water"], 0.98 * batch["vessel_volume"], out=batch["water"])
    np.minimum(batch["bore"], batch["neck_bore"], out=batch["bore"])
    spigot = np.minimum(batch["seal_diameter"], batch["bore"])
    np.copyto(batch["seal_diameter"], spigot, where=batch["socket"] == 0)
    np.minimum(batch["tube_bore"], batch["seal_diameter"], out=batch["tube_bore"])


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

    Plans are drawn and let go of a few thousand at a time, so that a flight costs only its summary, 360 bytes; see
    `sample_batch` and `fly_batch` for the parameters, the order and what Ctrl-C does.
    """
    notes = _blank(count)
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
