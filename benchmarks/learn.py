"""How long a fit takes, of one flight and of four, and where the time goes.

    python benchmarks/learn.py        print the table

Best of several fits, by the clock and in processor time of all threads; the number of flights is what a fit asks the
engine for. Asked: under 2 s on two cores for one flight and six unknowns. Takes about a minute.
"""

import os
import time
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np

from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_batch
from bottlewright.learn import fit as fitting
from bottlewright.learn.launches import Launch, Reading

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"
REPEATS = 3


def timed(launches: list[Launch]) -> tuple[float, float, int, int, int]:
    """Return clock and processor time of the best of several fits, flights, unknowns and draws of the last."""
    flown: list[int] = []

    def counted(batch: Any) -> Any:
        flown.append(len(batch))
        return fly_batch(batch)

    best = (np.inf, np.inf)
    for seed in range(REPEATS):
        flown.clear()
        start, used = time.perf_counter(), time.process_time()
        with mock.patch.object(fitting, "fly_batch", counted):
            found = fitting.fit(launches, seed=seed)
        best = min(best, (time.perf_counter() - start, time.process_time() - used))
    return *best, sum(flown), len(found.asked), len(found.posterior.draws)


def main() -> None:
    """Print the table."""
    design = complete(read_design(ROCKET))
    draw = np.random.default_rng(1)
    one = [Launch(str(n), design, [Reading("height", 50.0 + draw.normal(), 1.5),
                                   Reading("time", 11.5 + 0.2 * draw.normal(), 0.2)]) for n in range(4)]  # fmt: skip
    fitting.fit(one[:1])  # compiled
    print(f"load {os.getloadavg()[0]:.1f}, {len(os.sched_getaffinity(0))} cores")
    print("| flights fitted | unknowns | draws | flights flown | by the clock | processor time |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: |")
    for count in (1, 4):
        clock, used, flown, asked, draws = timed(one[:count])
        print(f"| {count} | {asked} | {draws} | {flown} | {clock:.2f} s | {used:.2f} s |")


if __name__ == "__main__":
    main()
