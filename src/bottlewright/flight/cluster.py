"""Many flights on a Dask cluster: the same parameters, the same summaries, bit for bit, whoever flies them.

A record of parameters holds all that its flight depends on, its random numbers included, so it matters neither who
flies it nor how often: a worker that is lost gives its blocks to the others, and when the whole cluster is lost this
machine flies what is left. Needs the optional extra ``cluster``.
"""

import asyncio
import time
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.errors import BottlewrightError
from bottlewright.flight.batch import fly_batch
from bottlewright.physics import CODE_DIGEST

__all__ = ["LIMIT", "ClusterError", "on_cluster"]

BLOCK = 256
RETRIES = 10

LIMIT = 4.0
"""Seconds for the scheduler to answer, and as many for it to have a worker; twice that and a little is the longest
that a cluster which is gone goes unnoticed."""

_LOOK = 1.0
"""Seconds without a block done before the cluster is asked whether it is still there."""


class ClusterError(BottlewrightError):
    """The cluster can't be used; the message says why."""


@contextmanager
def on_cluster(
    address: str, say: Callable[[str], None] = lambda _: None, progress: Callable[[int], None] | None = None
) -> Iterator[Callable[[NDArray[Any]], NDArray[Any]]]:
    """Give a function that flies a batch on a cluster, and on this machine once the cluster is lost.

    Parameters
    ----------
    address
        Of the scheduler, such as ``"tcp://192.168.1.20:8786"``. Every worker needs this very version of the program.
    say
        Called with one sentence when the cluster is lost.
    progress
        Called with the number of flights done since the last call.

    Raises
    ------
    ClusterError
        If Dask is not installed, or no scheduler with a worker answers within twice `LIMIT`.
    """
    try:
        dask: Any = import_module("distributed")
    except ImportError:
        why = "a cluster needs Dask, which is not installed: pip install 'bottlewright[cluster]'"
        raise ClusterError(why) from None
    client = _connected(dask, address)
    lost = False

    def fly(batch: NDArray[Any]) -> NDArray[Any]:
        nonlocal lost
        blocks = [batch[first : first + BLOCK] for first in range(0, len(batch), BLOCK)]
        done: dict[int, NDArray[Any]] = {}
        if not lost:
            try:
                _fly_there(dask, client, address, blocks, done, progress)
            except ClusterError as error:
                lost = True
                say(f"{error}; nothing is lost: this machine flies the rest")
        for number in sorted(set(range(len(blocks))) - done.keys()):
            done[number] = fly_batch(blocks[number], progress=progress)
        return np.concatenate([done[number] for number in range(len(blocks))]) if blocks else fly_batch(batch)

    try:
        yield fly
    finally:
        client.close(timeout=LIMIT)


def _connected(dask: Any, address: str) -> Any:
    until = time.monotonic() + LIMIT
    workers = _workers(dask, address)
    while workers == 0:
        if time.monotonic() > until:
            start = f"start one with `dask worker {address}`"
            raise ClusterError(f"the Dask scheduler at {address} has had no worker for {LIMIT:g} s: {start}")
        time.sleep(0.2)
        workers = _workers(dask, address)
    try:
        with warnings.catch_warnings(action="ignore"):  # of other versions; what matters fails in words below
            return dask.Client(address, timeout=LIMIT, set_as_default=False)
    except Exception as error:
        raise _no_answer(address, error) from None


def _workers(dask: Any, address: str) -> int:
    """Ask the scheduler how many workers it has; `ClusterError` when it does not answer in time."""

    async def ask() -> int:
        async with dask.rpc(address, connection_args=dask.Security().get_connection_args("client")) as scheduler:
            return len(await scheduler.ncores())

    try:
        return asyncio.run(asyncio.wait_for(ask(), LIMIT))
    except Exception as error:  # anything at all can come back from what listens at an address
        raise _no_answer(address, error) from None


def _no_answer(address: str, error: Exception) -> ClusterError:
    why = str(error).partition("\n")[0]
    late = isinstance(error, TimeoutError | OSError) or not why
    return ClusterError(f"no Dask scheduler answers at {address} within {LIMIT:g} s" if late else
                        f"no Dask scheduler can be reached at {address!r}: {why}")  # fmt: skip


def _fly_there(
    dask: Any, client: Any, address: str, blocks: list[NDArray[Any]], done: dict[int, NDArray[Any]],
    progress: Callable[[int], None] | None,
) -> None:  # fmt: skip
    """Fly blocks on the cluster and put their summaries into `done`; `ClusterError` when the cluster is lost."""
    # Not pure: two equal blocks are two jobs, and a job's name must not bring back a result of an older version.
    waiting = {client.submit(_fly_block, block, CODE_DIGEST, pure=False, retries=RETRIES): number
               for number, block in enumerate(blocks)}  # fmt: skip
    seen = time.monotonic()
    try:
        while waiting:
            try:
                with client.as_current():
                    ready = dask.wait(list(waiting), timeout=_LOOK, return_when="FIRST_COMPLETED").done
            except dask.TimeoutError:
                if _workers(dask, address):
                    seen = time.monotonic()
                elif time.monotonic() - seen > LIMIT:
                    raise ClusterError(f"the cluster at {address} has had no worker for {LIMIT:g} s") from None
                continue
            for future in ready:
                summaries = future.result(timeout=LIMIT)
                done[waiting.pop(future)] = summaries
                if progress:
                    progress(len(summaries))
            seen = time.monotonic()
    except ClusterError:
        raise
    except (OSError, CancelledError):
        raise ClusterError(f"the connection to the cluster at {address} broke") from None
    except Exception as error:  # whatever a worker that can't run the program raises
        why = str(error).partition("\n")[0][:200] or type(error).__name__
        raise ClusterError(f"the workers at {address} can't fly: {why}") from None
    finally:
        for future in waiting:
            future.release()


def _fly_block(batch: NDArray[Any], version: str) -> NDArray[Any]:
    if version != CODE_DIGEST:
        raise ClusterError("a worker has another version of the program")
    return fly_batch(batch, threads=1)
