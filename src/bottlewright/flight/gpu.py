"""Many flights on the graphics cards of this machine: the same source, tens of thousands of flights at a time.

Needs the extra ``gpu`` and a card that works out double numbers at a good part of its speed. The card adds and
multiplies in another order than the processor, so a flight is the same within the integrator's own error and not bit
for bit (docs/performance.md): a batch is flown by one or the other, never by both. Worth it from some ten thousand
flights on; fewer are flown sooner by the processor.
"""

import queue
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bottlewright.design.document import Design
from bottlewright.errors import BottlewrightError
from bottlewright.flight.advance import ROW
from bottlewright.flight.batch import blank, drawn_from, sample_batch
from bottlewright.flight.drawing import WORDS
from bottlewright.flight.parameters import PARAMETERS
from bottlewright.flight.summary import SUMMARY

__all__ = ["CardError", "Cards", "on_cards"]

CHUNK = 1 << 16
"""Flights that a card is given at a time."""
_HELD = 3
"""Chunks that a card has at a time: one flies, one waits for its place, one is carried to and fro or drawn."""
_WORTH = 4
"""A card whose double numbers take more than this many times as long as its single ones is refused."""
_POLL = 0.1


class CardError(BottlewrightError):
    """No graphics card can be used; the message says why."""


@dataclass(frozen=True)
class Cards:
    """Flies many flights on graphics cards.

    Parameters
    ----------
    engine
        What flies, in words.
    count
        Number of cards.
    progress
        As in `bottlewright.flight.batch.fly_batch`.
    """

    engine: str
    count: int
    progress: Callable[[int], None] | None = None
    _holds: "list[_Hold]" = field(default_factory=list, repr=False)

    def __call__(self, batch: NDArray[Any]) -> NDArray[Any]:
        """Fly a batch of parameters; what comes back, also on a stop, is as with `fly_batch`."""
        return self._flown(len(batch), lambda hold, first, last: hold.bring(batch[first:last]))

    def fly_many(
        self, design: Design, count: int, *, seed: int = 0, values: Mapping[str, ArrayLike] | None = None,
        vary: bool = True,
    ) -> NDArray[Any]:  # fmt: skip
        """Draw flights of a design on the cards, and fly them; see `bottlewright.flight.batch.fly_many`.

        Draws from what flights taught hang together, and are made by the processor.
        """
        drawn = drawn_from(design, values or {}, vary)
        if drawn is None:
            given = {path: np.broadcast_to(value, count) for path, value in (values or {}).items()}
            return self._flown(count, lambda hold, first, last: hold.bring(sample_batch(
                design, first, last - first, seed=seed, vary=vary,
                values={path: value[first:last] for path, value in given.items()})))  # fmt: skip
        table = np.array([np.broadcast_to(value, count) for value in drawn.values]).reshape(len(drawn.values), count)
        return self._flown(count, lambda hold, first, last: hold.draw(drawn, table[:, first:last], seed, first))

    def _flown(self, count: int, ready: "Callable[[_Hold, int, int], None]") -> NDArray[Any]:
        notes, done = blank(count), np.zeros(count, bool)
        if count == 0:
            return notes
        free: queue.SimpleQueue[_Hold] = queue.SimpleQueue()
        size = min(CHUNK, max(1, -(-count // (_HELD * self.count))))
        for number in range(len(self._holds), _HELD * self.count):
            self._holds.append(_Hold(number % self.count))
        for hold in self._holds:
            free.put(hold)

        def fly(first: int, last: int) -> None:
            hold = free.get()
            try:
                with hold.card:
                    ready(hold, first, last)
                    notes[first:last] = hold.fly()
            finally:
                free.put(hold)

        pool = ThreadPoolExecutor(_HELD * self.count)
        waiting = {pool.submit(fly, first, min(first + size, count)): first for first in range(0, count, size)}
        try:
            while waiting:
                for future in wait(waiting, _POLL, return_when=FIRST_COMPLETED).done:
                    self._keep(future, waiting, size, done)
                self._tell(0)
            return notes
        except KeyboardInterrupt as stop:
            pool.shutdown(wait=True, cancel_futures=True)
            for future in [future for future in waiting if future.done() and not future.cancelled()]:
                self._keep(future, waiting, size, done, quiet=True)
            raise KeyboardInterrupt(notes[done]) from stop
        finally:
            pool.shutdown(wait=False, cancel_futures=True)

    def _keep(
        self, future: "Future[None]", waiting: "dict[Future[None], int]", size: int, done: NDArray[np.bool_],
        quiet: bool = False,
    ) -> None:  # fmt: skip
        first = waiting.pop(future)
        future.result()
        done[first : first + size] = True
        if not quiet:
            self._tell(len(done[first : first + size]))

    def _tell(self, flown: int) -> None:
        if self.progress:
            self.progress(flown)


class _Hold:
    """Room on a card, and beside it, for one chunk of flights."""

    def __init__(self, number: int, size: int = CHUNK) -> None:
        cuda: Any = import_module("numba.cuda")
        self.card = cuda.gpus[number]
        with self.card:
            self._stream = cuda.stream()
            self._plans, self._notes = cuda.device_array(size, PARAMETERS), cuda.device_array(size, SUMMARY)
            self._rows = cuda.to_device(np.empty((0, ROW)), stream=self._stream)
            self._blank = cuda.to_device(blank(1), stream=self._stream)
            self._order = cuda.device_array(size, np.int64)
            self._taken = cuda.pinned_array(size, SUMMARY)
        self._brought: Any = None
        self._count, self._size = 0, size

    def bring(self, plans: NDArray[Any]) -> None:
        """Carry plans to the card."""
        if self._brought is None:  # memory that the card reads by itself takes a tenth of a second to set aside
            self._brought = import_module("numba.cuda").pinned_array(self._size, PARAMETERS)
        self._count = len(plans)
        self._brought[: self._count] = plans
        self._plans[: self._count].copy_to_device(self._brought[: self._count], stream=self._stream)

    def draw(self, drawn: Any, values: NDArray[np.float64], seed: int, first: int) -> None:
        """Draw flights on the card; `drawn` is what `drawn_from` says of the design."""
        from bottlewright.flight.gpu_kernel import DRAWN, draw_plans

        cuda: Any = import_module("numba.cuda")
        self._count = values.shape[1]
        there = [cuda.to_device(np.ascontiguousarray(each), stream=self._stream)
                 for each in (drawn.design, drawn.moves, drawn.follows, drawn.places, values)]  # fmt: skip
        plans = self._plans[: self._count]
        words = plans.view(np.float64).reshape(self._count, WORDS)
        draw_plans[-(-self._count // DRAWN), DRAWN, self._stream](
            words, plans, there[0], seed, first, *there[1:])  # fmt: skip

    def drawn(self) -> NDArray[Any]:
        """Return the plans as they lie on the card."""
        plans: NDArray[Any] = self._plans[: self._count].copy_to_host(stream=self._stream)
        self._stream.synchronize()
        return plans

    def fly(self) -> NDArray[Any]:
        """Fly what is there, and return the summaries."""
        from bottlewright.flight.gpu_kernel import DRAWN, THREADS, fly_plans, line_up

        cuda: Any = import_module("numba.cuda")
        plans, notes, taken = (each[: self._count] for each in (self._plans, self._notes, self._taken))
        taken_places = cuda.to_device(np.zeros(2, np.int64), stream=self._stream)
        line_up[-(-self._count // DRAWN), DRAWN, self._stream](plans, taken_places, self._order)
        fly_plans[-(-self._count // THREADS), THREADS, self._stream](
            plans, self._order, self._blank, notes, self._rows)  # fmt: skip
        notes.copy_to_host(taken, stream=self._stream)
        self._stream.synchronize()
        return np.array(taken)


@contextmanager
def on_cards(progress: Callable[[int], None] | None = None) -> Iterator[Cards]:
    """Give what flies on all graphics cards of this machine.

    Raises
    ------
    CardError
        If the extra is not installed, no card answers, or its double numbers are too slow to be worth it.
    """
    instead = "leave out --engine gpu, and the processor flies"
    if find_spec("numba_cuda") is None:
        raise CardError(f"flying on a graphics card needs numba-cuda, which is not installed: "
                        f"pip install 'bottlewright[gpu]'; or {instead}")  # fmt: skip
    cuda: Any = import_module("numba.cuda")
    if not cuda.is_available():
        raise CardError(f"no graphics card answers here (it has to be one that runs CUDA, with its driver): {instead}")
    slow = [card for card in cuda.gpus if card.SINGLE_TO_DOUBLE_PRECISION_PERF_RATIO > _WORTH]
    if slow:
        name, times = _name(slow[0]), slow[0].SINGLE_TO_DOUBLE_PRECISION_PERF_RATIO
        raise CardError(f"the graphics card {name} takes {times} times as long over double numbers as over single "
                        f"ones, and flights need double ones: {instead}")  # fmt: skip
    names = [_name(card) for card in cuda.gpus]
    yield Cards(f"{len(names)} × {names[0]}" if len(names) > 1 else names[0], len(names), progress)


def _name(card: Any) -> str:
    name = card.name
    return name.decode() if isinstance(name, bytes) else str(name)
