"""How long tune and scatter take on Curlew, and what a cluster of this machine adds.

    python benchmarks/tune_scatter.py

By the clock, after one flight to load the compiled code. Takes about a minute on an idle machine of two cores.
"""

import os
import time
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

from bottlewright.design import complete, read_design
from bottlewright.field.exposure import room_inside
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.cluster import on_cluster
from bottlewright.tune.advice import advise
from bottlewright.tune.pressure_limit import ceiling_of

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"


def main() -> None:
    design = complete(read_design(ROCKET))
    site = field_site(design.site, ROCKET.parent)
    fly_batch(sample_batch(design, 0, 4, seed=1))
    print(f"{len(os.sched_getaffinity(0))} cores, load {os.getloadavg()[0]:.1f} before the run")
    room = room_inside(site, design.scatter.leaving)
    flown = _timed("tune, water and pressure", lambda: advise(design, ceiling_of(design), room)).flown
    print(f"  {flown} flights")
    _timed("scatter, 4000 flights, without wind limits", lambda: scatter(design, site, winds=False))
    _timed("scatter with wind limits and proposals", lambda: scatter(design, site))
    batch = sample_batch(design, 0, 4000, seed=1)
    here = _timed("4000 flights on this machine's threads", lambda: fly_batch(batch))
    dask: Any = import_module("distributed")
    with (
        dask.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        on_cluster(cluster.scheduler_address) as fly,
    ):
        fly(batch[:512])
        there = _timed("the same on a Dask cluster of two local workers", lambda: fly(batch))
    print(f"  the same bits: {here.tobytes() == there.tobytes()}")


def _timed(what: str, do: Callable[[], Any]) -> Any:
    start, spent = time.perf_counter(), time.process_time()
    result = do()
    print(f"{what}: {time.perf_counter() - start:.1f} s by the clock, {time.process_time() - spent:.1f} s of processor")
    return result


if __name__ == "__main__":
    main()
