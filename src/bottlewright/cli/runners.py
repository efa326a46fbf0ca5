"""Who flies many flights for a command: this machine's cores or a cluster, with a bar on standard error."""

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Annotated, Any

import typer

from bottlewright.cli.endings import InputError
from bottlewright.cli.stopping import tidy_stop

__all__ = ["Cluster", "Flights", "Seed", "flying"]

Cluster = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", show_default=False,
                 help="Fly on a Dask cluster, such as tcp://192.168.1.20:8786, instead of this machine."),
]
Flights = Annotated[
    int | None, typer.Option("--flights", min=10, max=1_000_000, show_default=False, help="How many flights to sample.")
]
Seed = Annotated[
    int | None, typer.Option("--seed", min=0, show_default=False, help="The same seed gives the same flights.")
]


@contextmanager
def flying(cluster: str | None) -> Iterator[tuple[Callable[[Any], Any], Callable[[str, float], None]]]:
    """Give a function that flies plans, and one that tells what is being done and how far it is (0 to 1)."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
    with tidy_stop(), Progress(*columns, console=Console(stderr=True), transient=True) as bars:
        tasks: dict[str, Any] = {}

        def say(words: str, share: float) -> None:
            if words not in tasks:
                for task in tasks.values():
                    bars.update(task, visible=False)
                tasks[words] = bars.add_task(words, total=1.0)
            bars.update(tasks[words], completed=share)

        if cluster is None:
            from bottlewright.flight.batch import fly_batch

            yield fly_batch, say
            return
        from bottlewright.flight.cluster import ClusterError, on_cluster

        def lost(words: str) -> None:
            bars.console.print(words, markup=False, highlight=False, soft_wrap=True)

        logging.disable()  # what the cluster's library would print is said in words
        try:
            with on_cluster(cluster, lost) as fly:
                yield fly, say
        except ClusterError as error:
            raise InputError(str(error)) from None
        finally:
            logging.disable(logging.NOTSET)
