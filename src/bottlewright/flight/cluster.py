"""Many flights on a Dask cluster: the same plans, the same summaries, bit for bit, whoever flies them.

A plan holds all that its flight depends on, its random numbers included, so it matters neither who flies it nor how
often: a worker that is lost gives its blocks to the others. Needs the optional extra ``cluster``.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.flight.batch import fly_batch

__all__ = ["ClusterError", "on_cluster"]

BLOCK = 256
RETRIES = 10
PATIENCE = "10s"  # for the scheduler to answer


class ClusterError(Exception):
    """The cluster can't be used; the message says why."""


def _fly_block(batch: NDArray[Any]) -> NDArray[Any]:
    return fly_batch(batch, threads=1)


@contextmanager
def on_cluster(
    address: str, progress: Callable[[int], None] | None = None
) -> Iterator[Callable[[NDArray[Any]], NDArray[Any]]]:
    """Give a function that flies plans on a cluster.

    Parameters
    ----------
    address
        Of the scheduler, such as ``"tcp://192.168.1.20:8786"``. Every worker needs this very version of the program.
    progress
        Called with the number of flights done since the last call.

    Raises
    ------
    ClusterError
        If Dask is not installed or the scheduler does not answer.
    """
    try:
        dask: Any = import_module("distributed")
    except ImportError:
        why = "a cluster needs Dask, which is not installed: pip install 'bottlewright[cluster]'"
        raise ClusterError(why) from None
    try:
        client = dask.Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise ClusterError(f"no Dask scheduler answers at {address}: {error}") from None
    try:
        yield lambda batch: _fly(dask, client, batch, progress)
    finally:
        client.close()


def _fly(
    dask: Any, client: Any, batch: NDArray[Any], progress: Callable[[int], None] | None
) -> NDArray[Any]:
    starts = range(0, len(batch), BLOCK)
    # Not pure: two equal blocks are two jobs, and a job's name must not bring back a result of an older version.
    waiting = {
        client.submit(_fly_block, batch[first : first + BLOCK], pure=False, retries=RETRIES): first for first in starts
    }
    done: dict[int, NDArray[Any]] = {}
    try:
        for future in dask.as_completed(waiting, loop=client.loop):
            done[waiting[future]] = future.result()
            if progress:
                progress(len(done[waiting[future]]))
    except BaseException:
        client.cancel(list(waiting))
        raise
    return np.concatenate([done[first] for first in starts])
