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

    def fire(self, batch: NDArray[Any]) -> NDArray[Any]:
        """Fire a batch of parameters on a thrust stand; see `bottlewright.flight.batch.fire_batch`."""
        return self._flown(len(batch), lambda hold, first, last: hold.bring(batch[first:last]), held=True)

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
        laid = [hold.lay(drawn, table) for hold in self._room()[: self.count]]
        return self._flown(count, lambda hold, first, last: hold.draw(laid[hold.number], seed, first, last))

    def _room(self) -> "list[_Hold]":
        """Return room for chunks on every card, set aside once; the first of each card come first."""
        for number in range(len(self._holds), _HELD * self.count):
            self._holds.append(_Hold(number % self.count))
        return self._holds

    def _flown(
        self, count: int, ready: "Callable[[_Hold, int, int], None]", *, held: bool = False
    ) -> NDArray[Any]:
        notes, done = np.empty(count, SUMMARY), np.zeros(count, bool)
        if count == 0:
            return notes
        free: queue.SimpleQueue[_Hold] = queue.SimpleQueue()
        for hold in self._room():
            free.put(hold)
        size = min(self._holds[0].size, -(-count // self.count))

        def fly(first: int, last: int) -> None:
            hold = free.get()
            try:
                with hold.card:
                    ready(hold, first, last)
                    hold.fly(notes[first:last], held)
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
    """Room on a card, and beside it, for one chunk of flights: as many as the card flies at once.

    All of it is set aside beforehand: a card that is asked for memory, or given some back, first ends all that it has
    begun.
    """

    def __init__(self, number: int) -> None:
        from bottlewright.flight.gpu_kernel import THREADS

        cuda: Any = import_module("numba.cuda")
        self.number, self.card = number, cuda.gpus[number]
        self.size = size = THREADS * self.card.MULTIPROCESSOR_COUNT
        with self.card:
            self._stream = cuda.stream()
            self._plans, self._notes = cuda.device_array(size, PARAMETERS), cuda.device_array(size, SUMMARY)
            self._rows, self._blank = cuda.to_device(np.empty((0, ROW))), cuda.to_device(blank(1))
            self._order, self._taken = cuda.device_array(size, np.int64), cuda.device_array(2, np.int64)
            self._none, self._back = cuda.to_device(np.zeros(2, np.int64)), cuda.pinned_array(size, SUMMARY)
        self._brought: Any = None
        self._count = 0

    def bring(self, plans: NDArray[Any]) -> None:
        """Carry plans to the card."""
        if self._brought is None:  # memory that the card reads by itself takes a tenth of a second to set aside
            self._brought = import_module("numba.cuda").pinned_array(self.size, PARAMETERS)
        self._count = len(plans)
        self._brought[: self._count] = plans
        self._plans[: self._count].copy_to_device(self._brought[: self._count], stream=self._stream)

    def lay(self, drawn: Any, values: NDArray[np.float64]) -> list[Any]:
        """Lay ready what flights of a design are drawn from; `drawn` is what `drawn_from` says of it."""
        with self.card:
            return [import_module("numba.cuda").to_device(np.ascontiguousarray(each))
                    for each in (drawn.design, drawn.moves, drawn.follows, drawn.places, values)]  # fmt: skip

    def draw(self, laid: list[Any], seed: int, first: int, last: int) -> None:
        """Draw flights on the card from what was laid ready there."""
        from bottlewright.flight.gpu_kernel import DRAWN, draw_plans

        self._count = last - first
        plans = self._plans[: self._count]
        words = plans.view(np.float64).reshape(self._count, WORDS)
        draw_plans[-(-self._count // DRAWN), DRAWN, self._stream](words, plans, laid[0], seed, first, *laid[1:])

    def drawn(self) -> NDArray[Any]:
        """Return the plans as they lie on the card."""
        plans: NDArray[Any] = self._plans[: self._count].copy_to_host(stream=self._stream)
        self._stream.synchronize()
        return plans

    def fly(self, notes: NDArray[Any], held: bool) -> None:
        """Fly what is there, or fire it held on a stand, and write the summaries."""
        from bottlewright.flight.gpu_kernel import DRAWN, THREADS, fly_plans, line_up

        plans, there, back = (each[: self._count] for each in (self._plans, self._notes, self._back))
        self._taken.copy_to_device(self._none, stream=self._stream)
        line_up[-(-self._count // DRAWN), DRAWN, self._stream](plans, self._taken, self._order)
        fly_plans[-(-self._count // THREADS), THREADS, self._stream](
            plans, self._order, self._blank, there, self._rows, held)  # fmt: skip
        there.copy_to_host(back, stream=self._stream)
        self._stream.synchronize()
        notes.view(np.uint8)[:] = back.view(np.uint8)  # field by field it takes ten times as long


@contextmanager
def on_cards(progress: Callable[[int], None] | None = None) -> Iterator[Cards]:
    """Give what flies on all graphics cards of this machine.

    Raises
    ------
    CardError
        If the extra is not installed, no card answers, its double numbers are too slow to be worth it, or it can't go
        on with what it is given, for want of memory say.
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
    engine = f"{len(names)} × {names[0]}" if len(names) > 1 else names[0]
    try:
        yield Cards(engine, len(names), progress)
    except import_module("numba.cuda.cudadrv.error").CudaDriverError as error:
        raise CardError(f"the graphics card could not go on ({error}; {engine}): {instead}") from error


def _name(card: Any) -> str:
    name = card.name
    return name.decode() if isinstance(name, bytes) else str(name)
