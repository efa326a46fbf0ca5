"""Flights a second and memory against the size of a batch, up to a million: the memory has to stay flat.

    python benchmarks/batch_size.py                              print the table
    python benchmarks/batch_size.py --write docs/performance.md  write it into the page as well
    python benchmarks/batch_size.py --most 10000                 only as far as that

Each batch in a process of its own, on all cores, every ± of Curlew drawn, its mechanism flown, drawing and preparing
included. A million flights take several minutes.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import live

from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_many
from bottlewright.flight.summary import SUMMARY
from bottlewright.system import cores

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"
TITLE = "## Size of a batch"
SIZES = [10**power for power in range(2, 7)]
_MIB = 2.0**20
_FLAT = 16.0
"""MiB beside the summaries that a million flights may take more than ten thousand and still count as flat."""


class Batch(NamedTuple):
    """One batch: flights, seconds by the clock and of processor, the most memory over what there was before in MiB."""

    flights: int
    clock: float
    processor: float
    peak: float

    @property
    def summaries(self) -> float:
        """What its summaries take, MiB."""
        return self.flights * SUMMARY.itemsize / _MIB


def _now(name: str) -> float:
    """Return a line of what Linux keeps of this process's memory, MiB."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(name)) / 1024.0


def fly(flights: int) -> Batch:
    """Fly one batch in this process."""
    design = complete(read_design(ROCKET, ()))
    fly_many(design, 200)  # compiled, and every thread has been at work
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # forget the peak so far
    before, start = _now("VmRSS"), time.perf_counter()
    used = resource.getrusage(resource.RUSAGE_SELF)
    kept = fly_many(design, flights, seed=1)
    clock, now = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF)
    assert len(kept) == flights
    return Batch(flights, clock, now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime, _now("VmHWM") - before)


def measure(most: int) -> list[Batch]:
    """Fly a batch of each size in a process of its own."""
    batches = []
    for size in SIZES:
        if size <= most:
            one = [sys.executable, __file__, "--one", str(size)]
            done = subprocess.run(one, capture_output=True, text=True, check=True)
            batches.append(Batch(*json.loads(done.stdout)))
            print(batches[-1], file=sys.stderr, flush=True)
    return batches


def section(batches: Sequence[Batch], load: float) -> str:
    """Return the section of the page."""
    rows = [
        f"| {one.flights} | {one.flights / one.clock:.0f} | {one.flights / one.processor:.0f} | {one.peak:.0f} "
        f"| {one.summaries:.1f} | {one.peak - one.summaries:.0f} |"
        for one in batches
    ]
    middle, last = next((one for one in batches if one.flights == 10_000), batches[0]), batches[-1]
    more = (last.peak - last.summaries) - (middle.peak - middle.summaries)
    each = (last.peak - middle.peak) * _MIB / max(last.flights - middle.flights, 1)
    met = "met" if more <= _FLAT else "**missed**"
    return f"""{TITLE}

Written by `python benchmarks/batch_size.py --write docs/performance.md`, {cores()} cores, at a load of {load:.1f}
before it. `fly_many` of Curlew as it stands, mechanism and all, every ± drawn, at a tolerance of 1e-5. Memory is the
most that the process took over what it had before; its summaries, {SUMMARY.itemsize} bytes a flight, are what the
caller asked to keep.

| flights | a second, by the clock | a second of one processor | memory, MiB | summaries, MiB | all else, MiB |
| ---: | ---: | ---: | ---: | ---: | ---: |
{chr(10).join(rows)}

From {middle.flights} to {last.flights} flights memory grows by {each:.0f} bytes a flight, and by {more:.0f} MiB
beside the summaries.
Flat, no more than {_FLAT:.0f} MiB beside the summaries, was asked: {met}.
"""


def main() -> None:
    """Measure, print, and write where asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", metavar="FILE", type=Path, help="write the section into this page as well")
    parser.add_argument("--most", type=int, default=SIZES[-1], help="the greatest batch (1000000)")
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(fly(asked.one)))
        return
    load = os.getloadavg()[0]
    text = section(measure(asked.most), load)
    print(text)
    if asked.write:
        asked.write.write_text(live.put(asked.write.read_text(encoding="utf-8"), text, TITLE), encoding="utf-8")


if __name__ == "__main__":
    main()
