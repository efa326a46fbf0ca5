"""How soon a stop is obeyed: a stop asked for from another thread at ten moments of each long work.

    python benchmarks/stop.py
"""

import contextlib
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
        waits = [wait for part in range(10) if (wait := wait_after_stop(work, 0.1 + 0.4 * part)) is not None]
        print(f"{name:<8} middle {sorted(waits)[len(waits) // 2]:.2f} s, longest {max(waits):.2f} s, of {len(waits)}")


if __name__ == "__main__":
    main()
