"""Progress and stop of work that takes over half a second."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

from bottlewright.errors import StoppedError

if TYPE_CHECKING:
    from bottlewright.field.landings import FlyBatch
    from bottlewright.flight.gpu import Cards

__all__ = ["PROCESSOR", "Progress", "Stop", "Watch", "before_compiling", "flying_on", "flying_on_cards", "watching"]

Progress = Callable[[str, float], None]
"""Takes what is being done, in words, and how far it is, 0 to 1."""

Stop = Callable[[], bool]
"""Says whether to stop; asked several times a second, so `threading.Event().is_set` will do."""

PROCESSOR = "processor"
"""The engine of this machine that flies where nobody asks for another."""

COMPILING = "first run of this version on this machine: compiling the physics, up to a minute, once"


_LOOK = 0.1
"""Seconds between two looks whether to stop."""

Done = TypeVar("Done")


def _never() -> bool:
    return False


def _silent(_words: str, _share: float) -> None:
    pass


class Watch:
    """Tells of one piece of work, and stops it when asked.

    A stop goes through the packages as `KeyboardInterrupt`, as Ctrl-C in a notebook does, so that whoever holds
    something worth keeping can keep it.

    Parameters
    ----------
    progress, stop
        As given by the caller.
    fly_many
        Flies many plans; this machine's cores when None.
    """

    def __init__(self, progress: Progress | None, stop: Stop | None, fly_many: "FlyBatch | None" = None) -> None:
        self._progress = progress or _silent
        self._stop = stop or _never
        self._fly_many = fly_many
        self.stopped = self._left = False
        self._one_batch = threading.Lock()

    @property
    def engine(self) -> str:
        """What flies, in words."""
        return str(getattr(self._fly_many, "engine", "cluster" if self._fly_many else PROCESSOR))

    def check(self, _count: int = 0) -> None:
        """Stop here when asked, once: what is put in order afterwards is not stopped again."""
        if self._left or (not self.stopped and self._stop()):
            self.stopped = True
            raise KeyboardInterrupt

    def say(self, words: str, share: float = 0.0) -> None:
        """Tell what is being done and how far it is; stop here when asked."""
        self.check()
        self._progress(words, share)

    def run(self, work: Callable[[], Done]) -> Done:
        """Do work that asks too seldom whether to stop, and keeps nothing when it does.

        It goes on a thread of its own. A stop leaves it there at once; it ends at the next thing that it says.
        """
        if self._stop is _never:
            return work()
        done: list[Done] = []
        failed: list[BaseException] = []

        def beside() -> None:
            try:
                done.append(work())
            except BaseException as error:
                failed.append(error)

        thread = threading.Thread(target=beside, daemon=True)
        thread.start()
        while thread.is_alive():
            thread.join(_LOOK)
            if thread.is_alive() and self._stop():
                self.stopped = self._left = True
                raise KeyboardInterrupt
        if failed:
            raise failed[0]
        return done[0]

    def fly(self, batch: Any) -> Any:
        """Fly many plans; a stop keeps those that are done. An engine that was given gets one batch at a time."""
        self.check()
        if self._fly_many is not None:
            with self._one_batch:
                return self._fly_many(batch)
        from bottlewright.flight.batch import fly_batch

        return fly_batch(batch, progress=self.check)


@contextmanager
def watching(progress: Progress | None, stop: Stop | None, fly_many: "FlyBatch | None" = None) -> Iterator[Watch]:
    """Give a watch; where a stop left nothing worth keeping, `StoppedError` says so.

    Raises
    ------
    StoppedError
        When `stop` ended the work inside.
    """
    watch = Watch(progress, stop, fly_many)
    if progress is not None:
        from bottlewright.physics import before_compiling

        before_compiling(lambda: progress(COMPILING, 0.0))
    try:
        yield watch
    except KeyboardInterrupt:
        if not watch.stopped:
            raise
        raise StoppedError("stopped as asked: nothing was done that is worth keeping") from None


def before_compiling(tell: Callable[[str], None]) -> None:
    """See to it that a sentence is told, should this version's physics have to be compiled on this machine."""
    from bottlewright.physics import before_compiling as before

    before(lambda: tell(f"{COMPILING[:1].upper()}{COMPILING[1:]}."))


@contextmanager
def flying_on(cluster: str, notice: Callable[[str], None] = lambda _: None) -> "Iterator[FlyBatch]":
    """Give a function that flies many plans on a Dask cluster, to be handed on as `fly_many`.

    Parameters
    ----------
    cluster
        Address of its scheduler, such as ``"tcp://192.168.1.20:8786"``.
    notice
        Takes one sentence when the cluster is lost; this machine flies the rest.

    Raises
    ------
    BottlewrightError
        If no scheduler with a worker answers.
    """
    from bottlewright.flight.cluster import on_cluster

    with on_cluster(cluster, notice) as fly:
        yield fly


@contextmanager
def flying_on_cards(stop: Stop | None = None) -> "Iterator[Cards]":
    """Give what flies many plans on this machine's graphics cards, to be handed on as `fly_many`.

    It also draws and flies millions of flights of one design by itself, `bottlewright.flight.gpu.Cards.fly_many`.

    Parameters
    ----------
    stop
        Asked several times a second whether to stop.

    Raises
    ------
    BottlewrightError
        If there is no card, or none that is worth it.
    """
    from bottlewright.flight.gpu import on_cards

    watch = Watch(None, stop)
    with on_cards(watch.check) as cards:
        yield cards
