"""How soon a stop is obeyed: a stop asked for from another thread at ten moments of each long work.

    python benchmarks/stop.py

The moments are spread over the time that the work takes, measured once before.
"""

import contextlib
import statistics
import threading
import time
from collections.abc import Callable
from pathlib import Path

import bottlewright as bw
from bottlewright.project.watch import Stop

CURLEW = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"


def wait_after_stop(work: Callable[[Stop], object], seconds: float) -> float | None:
    """Return how long (s) the work went on after the stop; None where it was over before."""
    stop = threading.Event()
    asked: list[float] = []

    def ask() -> None:
        asked.append(time.perf_counter())
        stop.set()

    timer = threading.Timer(seconds, ask)
    timer.start()
    with contextlib.suppress(bw.StoppedError):
        work(stop.is_set)
    over = time.perf_counter()
    timer.cancel()
    return over - asked[0] if asked else None


MOMENTS, TRIES, EARLIER = 10, 5, 0.7


def waits_of(work: Callable[[Stop], object]) -> tuple[float, list[float]]:
    """Return how long (s) a work takes, and its waits; a moment that came after its end is tried again, earlier."""
    work(lambda: False)  # loads what it needs
    start = time.perf_counter()
    work(lambda: False)
    length = time.perf_counter() - start
    tried = (
        next((wait for moment in moments if (wait := wait_after_stop(work, moment)) is not None), None)
        for moments in [[(part + 0.5) / MOMENTS * length * EARLIER**again for again in range(TRIES)]
                        for part in range(MOMENTS)]
    )  # fmt: skip
    return length, [wait for wait in tried if wait is not None]


def main() -> None:
    """Print the middle and the longest wait of each work."""
    rocket = bw.read(CURLEW)
    rocket.fly()
    high = rocket.changed({"charge.pressure": "6 bar"}).prove()
    works: dict[str, Callable[[Stop], object]] = {
        "scatter": lambda stop: rocket.scatter(stop=stop),
        "tune": lambda stop: rocket.tune(stop=stop),
        "make": lambda stop: rocket.make().files(stop=stop),
        "cures": lambda stop: high.cured(stop=stop),
        "study": lambda stop: rocket.study(stop=stop),
    }
    for name, work in works.items():
        length, waits = waits_of(work)
        print(f"{name:<8} takes {length:.2f} s; stopped {len(waits)} times: "
              f"middle {statistics.median(waits):.2f} s, longest {max(waits):.2f} s", flush=True)


if __name__ == "__main__":
    main()
