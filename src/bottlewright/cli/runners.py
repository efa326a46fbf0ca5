"""Who flies many flights for a command: this machine's cores or a cluster, with a bar on standard error."""

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bottlewright.cli.endings import InputError
from bottlewright.cli.stopping import at_stop
from bottlewright.design.field_tables import FEWEST_FLIGHTS, MOST_FLIGHTS

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["Cluster", "Flights", "Seed", "flying"]

Cluster = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", show_default=False,
                 help="Fly on a Dask cluster, such as tcp://192.168.1.20:8786, instead of this machine."),
]
Flights = Annotated[
    int | None,
    typer.Option("--flights", min=FEWEST_FLIGHTS, max=MOST_FLIGHTS, show_default=False,
                 help="How many flights to sample."),
]
Seed = Annotated[
    int | None, typer.Option("--seed", min=0, show_default=False, help="The same seed gives the same flights.")
]


Fly = Callable[[Any], Any]
Tell = Callable[[str, float], None]


@contextmanager
def flying(cluster: str | None, keep: bool = False) -> Iterator[tuple[Fly, Tell]]:
    """Give a function that flies a batch, and one that tells what is being done and how far it is (0 to 1).

    With `keep` a stop raises `KeyboardInterrupt` from one of the two, so that the flights which are done can be kept;
    a second stop, or one without `keep`, ends the program at once.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
    stop = _Stop()
    with (
        at_stop(stop.asked) if keep else nullcontext(),
        Progress(*columns, console=Console(stderr=True), transient=True) as bars,
        _flyer(cluster, bars.console) as fly,
    ):
        tasks: dict[str, Any] = {}

        def tell(words: str, share: float) -> None:
            stop.here()
            if words not in tasks:
                for task in tasks.values():
                    bars.update(task, visible=False)
                tasks[words] = bars.add_task(words, total=1.0)
            bars.update(tasks[words], completed=share)

        yield stop.during(fly), tell


class _Stop:
    """A stop that comes between flights waits for the next ones, where nothing is lost by an exception."""

    def __init__(self) -> None:
        self.waits = self.flies = False

    def asked(self) -> bool:
        if self.waits:
            return False
        self.waits = True
        if self.flies:
            self.here()
        return True

    def here(self) -> None:
        if self.waits:
            self.waits = self.flies = False
            raise KeyboardInterrupt

    def during(self, fly: Fly) -> Fly:
        def watched(batch: Any) -> Any:
            self.here()
            self.flies = True
            try:
                return fly(batch)
            finally:
                self.flies = False

        return watched


@contextmanager
def _flyer(cluster: str | None, console: "Console") -> Iterator[Fly]:
    if cluster is None:
        from bottlewright.flight.batch import fly_batch

        yield fly_batch
        return
    from bottlewright.flight.cluster import ClusterError, on_cluster

    def lost(words: str) -> None:
        console.print(words, markup=False, highlight=False, soft_wrap=True)

    logging.disable()  # what the cluster's library would print is said in words
    try:
        with on_cluster(cluster, lost) as fly:
            yield fly
    except ClusterError as error:
        raise InputError(str(error)) from None
    finally:
        logging.disable(logging.NOTSET)
