"""How fast and how right the flight engine is, against other engines, in one run on one machine.

    python benchmarks/flight.py                             print the tables
    python benchmarks/flight.py --write docs/performance.md write them into the page as well

Single flights are timed in processor time, so that a busy machine doesn't favour the short ones; everything else by the
clock. Compare within one run only. Takes about two minutes on an idle machine of two cores.
"""

import argparse
import os
import platform
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from importlib.metadata import version
from pathlib import Path
from typing import Any, NamedTuple

import live
import numpy as np
import study
from integrator_comparison import BY_THE_CLOCK, Flown, Method, by_ours, by_plain_python, by_scipy

from bottlewright.design import complete, read_design
from bottlewright.design.document import Design
from bottlewright.flight.batch import fly_batch, fly_many, sample_batch
from bottlewright.flight.parameters import PARAMETERS, parameters_of
from bottlewright.flight.summary import SUMMARY
from figures import section

EXAMPLES = Path(__file__).parent.parent / "examples"
ROCKET = EXAMPLES / "curlew" / "rocket.toml"
REFERENCE = 1e-12


class Target(NamedTuple):
    """What was asked for, what came out, and whether that meets it."""

    what: str
    asked: str
    measured: str
    met: bool


class Part(NamedTuple):
    """One section of the page."""

    title: str
    text: str
    targets: Sequence[Target] = ()


def _rows(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "|" + " ---: |" * len(head)]
    return "\n".join(lines + ["| " + " | ".join(row) + " |" for row in rows])


def _plan(design: Design, tolerance: float) -> Any:
    batch = parameters_of(design)
    batch["tolerance"] = tolerance
    return batch[0]


# --- one flight against other engines ---------------------------------------------------------------------------


_FLIGHTS = 41


class Cost(NamedTuple):
    """What flights took at one tolerance, as medians: error of the apogee and milliseconds."""

    tolerance: float
    error: float
    ms: float


def _costs(batch: Any, right: Sequence[float], fly: Callable[[Any, float], Flown]) -> list[Cost]:
    """Fly every plan at half powers of ten, the tightest first; an error counts at looser tolerances as well."""
    costs, kept = [], 0.0
    for tolerance in (10.0 ** (-k / 2) for k in range(18, 3, -1)):
        flown = []
        for parameters in batch:
            parameters["tolerance"] = tolerance
            flown.append(fly(parameters, tolerance))
        errors = [abs(one.apogee / apogee - 1.0) for one, apogee in zip(flown, right, strict=True)]
        kept = max(kept, float(np.median(np.nan_to_num(errors, nan=1.0))))
        costs.append(Cost(tolerance, kept, statistics.median(one.best_ms for one in flown)))
    return costs


def _at(costs: Sequence[Cost], wanted: float) -> Cost | None:
    """Tolerance and time of an error, straight on logarithmic paper between those tried, the loosest beyond.

    None when the tightest is not right enough.
    """
    if wanted < costs[0].error:
        return None
    tolerance, error, ms = np.log(np.array(costs)).T
    place = np.log(wanted)
    return Cost(
        float(np.exp(np.interp(place, error, tolerance))), wanted, float(np.exp(np.interp(place, error, ms)))
    )


def engines(design: Design) -> Part:
    """Compare engines at the same achieved error of the apogee."""
    batch = sample_batch(design, 0, _FLIGHTS, seed=3)
    batch["tolerance"] = REFERENCE
    right = [by_ours(parameters, 1)[0].apogee for parameters in batch]
    methods: tuple[Method, ...] = ("LSODA", "DOP853")
    costs = {"ours": _costs(batch, right, lambda parameters, _: by_ours(parameters, 5)[0])}
    for method in methods:
        by_scipy(method, batch[0], 1e-3, 1)
        costs[method] = _costs(batch, right, partial(by_scipy, method, repeats=1))
    rows, ratios = [], {}
    for wanted in (1e-4, 1e-5, 1e-6, 1e-7):
        found = {name: _at(runs, wanted) for name, runs in costs.items()}
        ours = found["ours"]
        for name, cost in found.items():
            if cost is None or ours is None:
                rows.append([f"{wanted:.0e}", name, "not reached", "", ""])
                continue
            ratio = cost.ms / ours.ms
            if name == "LSODA":
                ratios[wanted] = ratio
            rows.append([f"{wanted:.0e}", name, f"{cost.tolerance:.0e}", f"{cost.ms:.2f}", f"{ratio:.0f}×"])
    head = ["apogee right to", "engine", "tolerance needed", "ms", "time over ours"]
    reference, _ = by_ours(_plan(design, REFERENCE), 1)
    outside = by_scipy("LSODA", _plan(design, 1e-11), 1e-11, 1)
    single = by_ours(_plan(design, 1e-7), 15)[0]
    plain = by_plain_python(str(ROCKET), 1e-7)
    text = f"""{_FLIGHTS} flights of Curlew with every ± drawn, release to ground: the same equations, phases and
events. SciPy's `solve_ivp` calls our compiled equations through one compiled wrapper and pays for its own Python
between the calls, as anybody who uses it does. The comparison is at the same achieved error, not at the same setting:
errors and times are medians over the flights, since one flight can be luckier than its neighbours, at half powers of
ten and straight on logarithmic paper between.

{_rows(head, rows)}

SciPy's LSODA at a tolerance of 1e-11, an integrator that shares nothing with ours, lands
{abs(outside.apogee / reference.apogee - 1.0):.0e} from our reference in apogee and
{abs(outside.flight_time / reference.flight_time - 1.0):.0e} in flight time.

The whole flight at the default tolerance of 1e-7: {single.best_ms:.2f} ms best, {single.median_ms:.2f} ms median,
preparing the rocket included. The same code left uncompiled (plain Python, the whole flight, nothing scaled up):
{plain.best_ms:.0f} ms, **{plain.best_ms / single.best_ms:.0f}× as long**, apogee the same to
{abs(plain.apogee / single.apogee - 1.0):.0e}."""
    asked, worst = ratios.get(1e-5, 0.0), min(ratios.values(), default=0.0)
    return Part(
        "One flight, against other engines",
        text,
        [
            Target("faster than LSODA, apogee right to 1e-5", "≥ 30×", f"{asked:.0f}×", asked >= 30.0),
            Target("the same at the least favourable accuracy of the table", "≥ 30×", f"{worst:.0f}×", worst >= 30.0),
            Target("one flight at the default tolerance", "< 2 ms", f"{single.best_ms:.2f} ms", single.best_ms < 2.0),
        ],
    )


def precision(design: Design) -> Part:
    """Tabulate what each tolerance costs and what it gets right."""
    _, right = by_ours(_plan(design, REFERENCE), 1)
    rows = []
    for power in range(3, 12):
        flown, note = by_ours(_plan(design, 10.0**-power), 7)
        off = [abs(note[name] / right[name] - 1.0) for name in ("apogee_m", "flight_time_s", "water_out_time_s")]
        moved = float(np.hypot(*(note[f"landing_{way}_m"] - right[f"landing_{way}_m"] for way in ("east", "north"))))
        rows.append([f"1e-{power}", str(int(note["steps"])), f"{flown.best_ms:.2f}", *(f"{e:.1e}" for e in off),
                     f"{1e3 * moved:.1g}"])  # fmt: skip
    head = ["tolerance", "steps", "ms", "apogee", "flight time", "water out", "landing, mm"]
    text = f"""Relative errors of one flight of Curlew against the same engine at 1e-12 (which LSODA confirms above).

{_rows(head, rows)}"""
    return Part("What a tolerance costs", text)


# --- many flights -----------------------------------------------------------------------------------------------


def spread(design: Design, other: Design) -> Part:
    """Tabulate the errors over a whole spread, for the tolerance of batches."""
    rows = []
    for one in (design, other):
        batch = sample_batch(one, 0, 200, seed=3)
        batch["tolerance"] = 1e-11
        right = fly_batch(batch)
        for tolerance in (1e-3, 1e-4, 1e-5, 1e-6, 1e-7):
            batch["tolerance"] = tolerance
            flights = fly_batch(batch)
            error = np.abs(flights["apogee_m"] / right["apogee_m"] - 1.0)
            moved = np.hypot(*(flights[f"landing_{way}_m"] - right[f"landing_{way}_m"] for way in ("east", "north")))
            rows.append([
                one.name, f"{tolerance:.0e}", f"{flights['steps'].mean():.0f}", f"{np.median(error):.1e}",
                f"{np.quantile(error, 0.99):.1e}", f"{error.max():.1e}", f"{1e3 * np.median(moved):.2g}",
                f"{1e3 * np.quantile(moved, 0.99):.2g}", f"{1e3 * moved.max():.2g}",
            ])  # fmt: skip
    head = ["rocket", "tolerance", "mean steps", "apogee, median", "99 %", "worst", "landing, mm", "99 %", "worst"]
    text = f"""200 flights with every ± drawn, against the same flights at 1e-11. One flight can be luckier than its
neighbours; a batch has to be judged by all of them. A flight that all but stops, nose up, falls to one side or the
other by chance: its landing can't be had at any tolerance.

{_rows(head, rows)}

Spreads fly at 1e-5 (`sample_batch`) unless the design sets its own tolerance."""
    return Part("What a tolerance costs over a spread", text)


def throughput(design: Design) -> Part:
    """Measure flights a second against batch size, threads and tolerance."""
    fly_many(design, 2)
    rows, best = [], 0.0
    for count in (1, 64, 1000, 10000):
        row = [str(count)]
        for tolerance in (None, 3e-5):
            for threads in (1, 2):
                rate = _rate(design, count, threads, tolerance)
                row.append(f"{rate:.0f}")
                if threads == 2 and count == 10000 and tolerance is not None:
                    best = rate
        rows.append(row)
    batch = sample_batch(design, 0, 200, seed=3)
    batch["tolerance"] = 3e-5
    flights = fly_batch(batch)
    batch["tolerance"] = 1e-11
    error = float(np.median(np.abs(flights["apogee_m"] / fly_batch(batch)["apogee_m"] - 1.0)))
    head = ["flights", "1e-5, 1 thread", "1e-5, 2 threads", "3e-5, 1 thread", "3e-5, 2 threads"]
    text = f"""Full flights of Curlew a second, release to ground, every ± drawn, drawing and preparing included. The
apogee's error at 3e-5 is {error:.0e} in the median.

{_rows(head, rows)}"""
    drawn = best >= 5000.0 and error <= 1e-5
    same, off = _as_designed(design)
    return Part(
        "Many flights",
        text,
        [
            Target(
                "10 000 full flights of Curlew as designed, two threads, apogee right to 1e-5",
                "≥ 5000 a second", f"{same:.0f} a second, error {off:.0e}", same >= 5000.0 and off <= 1e-5,
            ),
            Target(
                "the same with every ± drawn, half of the apogees right to 1e-5",
                "≥ 5000 a second", f"{best:.0f} a second, median error {error:.0e}", drawn,
            ),
        ],
    )  # fmt: skip


def _as_designed(design: Design) -> tuple[float, float]:
    """Flights a second of the design itself at a tolerance of 3e-5, and the error of its apogee."""
    batch = parameters_of(design, 10000)
    batch["tolerance"] = REFERENCE
    right = float(fly_batch(batch[:1])["apogee_m"][0])
    batch["tolerance"] = 3e-5
    taken = []
    for _ in range(4):
        start = time.perf_counter()
        flights = fly_batch(batch, threads=2)
        taken.append(time.perf_counter() - start)
    return len(batch) / min(taken), abs(float(flights["apogee_m"][0]) / right - 1.0)


def _rate(design: Design, count: int, threads: int, tolerance: float | None) -> float:
    repeats = max(4, min(20, 2000 // count))
    taken = []
    for _ in range(repeats):
        start = time.perf_counter()
        if tolerance is None:
            fly_many(design, count, threads=threads)
        else:
            batch = sample_batch(design, 0, count, seed=0)
            batch["tolerance"] = tolerance
            fly_batch(batch, threads=threads)
        taken.append(time.perf_counter() - start)
    return count / min(taken)


_MEMORY = """
import sys
from pathlib import Path
from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_many

def now(name):
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if name in line)

design = complete(read_design(sys.argv[1], ()))
brief = {"model.time_limit": 0.02}
fly_many(design, 2, values=brief)
Path("/proc/self/clear_refs").write_text("5")  # forget the peak of loading and compiling
before = now("VmRSS")
kept = fly_many(design, int(sys.argv[2]), values=brief)
assert len(kept) == int(sys.argv[2])
print(now("VmHWM") - before)
"""


def memory() -> Part:
    """Measure the greatest memory in use against the number of flights."""
    used = {}
    for count in (1000, 10_000, 100_000, 300_000):
        done = subprocess.run(
            [sys.executable, "-c", _MEMORY, str(ROCKET), str(count)], capture_output=True, text=True, check=True
        )
        used[count] = int(done.stdout) / 1024.0
    slope = (used[300_000] - used[100_000]) * 2**20 / 200_000
    rows = [[str(count), f"{megabytes:.0f}"] for count, megabytes in used.items()]
    text = f"""What a process takes at most on top of its start, as it flies a batch and keeps the summaries (measured
on Linux only; flights cut off after 20 ms, since memory doesn't depend on how long they last).

{_rows(["flights", "MiB"], rows)}

{slope:.0f} bytes per flight, the summary itself being {SUMMARY.itemsize}; plans
({PARAMETERS.itemsize / 1e3:.1f} kB each) are drawn 4096 at a time and let go."""
    flat = Target("memory per flight when only summaries are kept", "the summary, ≤ 400 bytes", f"{slope:.0f} bytes",
                  slope <= 400.0)  # fmt: skip
    return Part("Memory", text, [flat])


# --- from a standing start --------------------------------------------------------------------------------------


def start_up() -> Part:
    """Time `bottlewright fly --json` from the shell, before and after the first compilation."""
    command = [str(Path(sys.executable).parent / "bottlewright"), "fly", str(ROCKET), "--json"]
    folder = tempfile.mkdtemp()
    environment = {key: value for key, value in os.environ.items() if key != "NUMBA_CACHE_DIR"}
    environment["XDG_CACHE_HOME"] = folder
    try:
        first, first_cpu = _timed(command, environment)
        later = [_timed(command, environment) for _ in range(5)]
    finally:
        shutil.rmtree(folder)
    wall = statistics.median(one for one, _ in later)
    cpu = statistics.median(one for _, one in later)
    rows = [
        ["first, compiling", f"{first:.1f}", f"{first_cpu:.1f}"],
        ["after that, median of 5", f"{wall:.2f}", f"{cpu:.2f}"],
    ]
    text = f"""`bottlewright fly examples/curlew/rocket.toml --json` in a fresh process, from the command to the result,
with an empty folder of compiled code and then with a full one.

{_rows(["run", "seconds", "of which processor"], rows)}"""
    return Part(
        "From a standing start",
        text,
        [
            Target("first flight in a fresh folder, compiling", "< 12 s", f"{first:.1f} s", first < 12.0),
            Target("`fly --json` after that", "< 1.5 s", f"{wall:.2f} s", wall < 1.5),
        ],
    )


def _timed(command: Sequence[str], environment: dict[str, str]) -> tuple[float, float]:
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, env=environment, capture_output=True, check=True)
    taken, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return taken, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


# --- the page ---------------------------------------------------------------------------------------------------


def machine() -> str:
    """Return what this runs on, without its maker, and how busy it was before."""
    family = platform.machine().replace("_", "-")
    load = os.getloadavg()[0]
    busy = "idle before the run" if load < 0.5 else f"busy with other work (load {load:.1f} before the run)"
    packages = ", ".join(f"{name} {version(name)}" for name in ("numba", "numpy", "scipy"))
    cores = len(os.sched_getaffinity(0))
    return f"{cores} cores, {family}, {busy}; {platform.system()}, Python {platform.python_version()}, {packages}"


def page(host: str, parts: Sequence[Part]) -> str:
    """Return the whole page."""
    targets = [target for part in parts for target in part.targets]
    rows = [[t.what, t.asked, t.measured, "met" if t.met else "**missed**"] for t in targets]
    sections = "\n\n".join(f"## {part.title}\n\n{part.text}" for part in parts)
    return f"""# Performance

Written by `python benchmarks/flight.py --write docs/performance.md`; don't edit by hand. Times are the best of
several repeats in one run, of single flights in processor time, else by the clock; compare within this page only.

Machine: {host}.

{_rows(["target", "asked", "measured", ""], rows)}

{sections}
"""


def by_hand(old: str, new: str) -> str:
    """Return the sections of a page that a new one does not have: other programs or people wrote them."""
    sections = old.split("\n## ")[1:]
    return "".join(f"\n## {one.rstrip()}\n" for one in sections if f"\n## {one.partition(chr(10))[0]}\n" not in new)


def main() -> None:
    """Run everything, print it, and write it where asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", metavar="FILE", type=Path, help="write the page to this file as well")
    asked = parser.parse_args()
    host = machine()
    curlew = complete(read_design(ROCKET, ()))
    dabchick = complete(read_design(EXAMPLES / "dabchick" / "rocket.toml", ()))
    parts = []
    measurements: list[tuple[str, Callable[[], Part]]] = [
        ("engines", lambda: engines(complete(read_design(ROCKET, BY_THE_CLOCK)))),
        ("tolerances", lambda: precision(curlew)),
        ("tolerances over a spread", lambda: spread(curlew, dabchick)),
        ("flights a second", lambda: throughput(curlew)),
        ("memory", memory),
        ("standing start", start_up),
        ("figures", lambda: Part("Figures", section(curlew))),
    ]
    for title, run in measurements:
        print(f"measuring: {title} …", file=sys.stderr, flush=True)
        parts.append(run())
    text = page(host, parts)
    print(text)
    if asked.write:
        draft = asked.write.with_suffix(".draft")
        for part, title in ((live.section(), live.TITLE), (study.section([study.SOURCE]), study.TITLE)):
            text = live.put(text, part, title)
        text += by_hand(asked.write.read_text(encoding="utf-8"), text) if asked.write.exists() else ""
        draft.write_text(text, encoding="utf-8")
        os.replace(draft, asked.write)


if __name__ == "__main__":
    main()
