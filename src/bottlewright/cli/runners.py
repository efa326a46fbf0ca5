"""Who flies many flights for a command, a bar on standard error, and a stop that keeps what is done."""

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bottlewright.cli.printing import say
from bottlewright.errors import InputError
from bottlewright.project.interruption import at_stop

if TYPE_CHECKING:
    from bottlewright.project.watch import Progress, Stop

__all__ = ["Cluster", "Engine", "EngineName", "Flights", "Seed", "bars", "flyer", "stop_once"]

Cluster = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", show_default=False,
                 help="Fly on a Dask cluster, such as tcp://192.168.1.20:8786, instead of this machine."),
]


class EngineName(StrEnum):
    """What flies many flights."""

    CPU = "cpu"
    GPU = "gpu"


Engine = Annotated[
    EngineName,
    typer.Option("--engine", help="What flies: the processor, or this machine's graphics cards (extra gpu)."),
]
Flights = Annotated[
    int | None, typer.Option("--flights", show_default=False, help="How many flights to sample.")
]
Seed = Annotated[
    int | None, typer.Option("--seed", min=0, show_default=False, help="The same seed gives the same flights.")
]


@contextmanager
def bars() -> "Iterator[Progress]":
    """Give a function that shows what is being done, and how far it is, as a bar on standard error."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        tasks: dict[str, Any] = {}
        telling = threading.Lock()

        def tell(words: str, share: float) -> None:
            with telling:  # works that go on side by side
                if words not in tasks:
                    for task in tasks.values():
                        shown.update(task, visible=False)
                    tasks[words] = shown.add_task(words, total=1.0)
                shown.update(tasks[words], completed=share)

        yield tell


@contextmanager
def stop_once() -> "Iterator[Stop]":
    """Let the first Ctrl-C end the work inside with what is done; a second one ends the program at once."""
    asked = threading.Event()

    def ask() -> bool:
        if asked.is_set():
            return False
        asked.set()
        return True

    with at_stop(ask):
        yield asked.is_set


@contextmanager
def flyer(cluster: str | None, engine: EngineName) -> "Iterator[Any]":
    """Give what flies many plans on a cluster or on graphics cards; None for this machine's processor."""
    if cluster is not None and engine is EngineName.GPU:
        raise InputError("--cluster flies on the processors of other machines and --engine gpu on the graphics cards "
                         "of this one: leave one of them out")  # fmt: skip
    if engine is EngineName.GPU:
        from bottlewright.project.watch import flying_on_cards

        with flying_on_cards() as cards:
            yield cards
        return
    if cluster is None:
        yield None
        return
    from bottlewright.project.watch import flying_on

    logging.disable()  # what the cluster's library would print is said in words
    try:
        with flying_on(cluster, say) as fly:
            yield fly
    finally:
        logging.disable(logging.NOTSET)
