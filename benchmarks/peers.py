"""Our flight engine beside compiled integrators that pay no Python: CVODE, numbalsoda's LSODA and DOP853, Boost.odeint.

    python benchmarks/peers.py                              print the tables
    python benchmarks/peers.py --write docs/performance.md  write them into the page as well
    python benchmarks/peers.py --flights 20 --repeats 1     a short look, to see that it works

Every engine flies the same drawn flights on the same compiled equations, with the same events, and is judged at the
same achieved error. A peer that is not here is left out and named:

    pip install scikit-sundae numbalsoda     CVODE, DOP853 (numbalsoda needs a Fortran compiler, scikit-sundae none)
    apt-get install libboost-dev g++         Boost.odeint
    --lsoda FOLDER                           LSODA: the folder src of numbalsoda's source package, compiled here

Processor time, engines by turns in one run. Takes about five minutes on two cores.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import live
import numpy as np
import peer_flight
from integrator_comparison import BY_THE_CLOCK
from numpy.typing import NDArray
from peer_engines import MissingPeerError, Peer, build, cvode, dop853, from_cpp
from peer_flight import fly_ours, our_room, prepare_all

from bottlewright.design import Design, complete, read_design
from bottlewright.flight import integrate, runge_kutta
from bottlewright.flight.advance import ROW
from bottlewright.flight.batch import blank, sample_batch
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.motion import rates
from bottlewright.flight.state import CANOPY, COAST, GAS, OPENING, PHASES, SIZE, SPRAY, STATE, WATER, Record
from bottlewright.flight.vehicle import prepare
from bottlewright.physics import FloatArray, jit

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"
TITLE = "## Compiled peers"
OURS = "ours"
SEED = 3
REFERENCE = 1e-12
WANTED = (1e-4, 1e-5, 1e-6, 1e-7)
_TOLERANCES = [10.0 ** (-k / 2) for k in range(3, 21)]
_MOST_FAILED = 0.02
"""Share of flights that an engine may lose at a tolerance that still counts."""


class Run(NamedTuple):
    """What one engine did at one tolerance, a flight: errors of the apogee, evaluations by phase, ms."""

    tolerance: float
    middle: float
    high: float
    asked: NDArray[np.float64]
    ms: float


# --- the engines ------------------------------------------------------------------------------------------------


def peers(folder: Path, lsoda_source: Path | None) -> tuple[list[Peer], list[str]]:
    """Return the peers that can fly here, and a sentence for each that cannot."""
    there, missing = [], []
    wet = (OPENING, WATER)
    ways: list[Callable[[], Peer]] = [
        lambda: cvode(lambda phase: phase in wet, "CVODE, BDF in water and Adams in air"),
        lambda: cvode(lambda _: True, "CVODE, BDF"),
        dop853,
    ]
    try:
        library = build(folder, lsoda_source)
        ways += [
            lambda: from_cpp(
                library, "LSODA (numbalsoda)", "lsoda_advance",
                "numbalsoda's LSODA does not fly: --lsoda does not say where its source lies.", remembers=True,
            ),
            lambda: from_cpp(
                library, "Dormand–Prince (Boost.odeint)", "odeint_advance",
                "Boost.odeint does not fly: the headers of Boost are not installed.", remembers=False,
            ),
        ]  # fmt: skip
    except MissingPeerError as why:
        missing.append(str(why))
    for way in ways:
        try:
            there.append(way())
        except MissingPeerError as why:
            missing.append(str(why))
    return there, list(dict.fromkeys(missing))


@jit
def _counted(phase: int, guided: bool, t: float, y: FloatArray, vehicle: Record, dy: FloatArray) -> None:
    # Counts where the flight keeps its gusts: Curlew's has none.
    vehicle.gusts[phase, 1 if guided else 0] += 1.0
    rates(phase, guided, t, y, vehicle, dy)


def _count_ours(flights: int) -> None:
    """Print how often our engine asks for rates at each tolerance, by phase and guided or not.

    In a process of its own, because the engine is compiled with a function that counts in place of its own.
    """
    compiled: Any = integrate_flight
    integrate.rates_apart = runge_kutta.rates = _counted  # type: ignore[attr-defined]
    peer_flight.integrate_flight = jit(compiled.py_func)  # type: ignore[attr-defined]
    batch, room = plans(flights), our_room()
    vehicles = room[0]
    assert not batch["turbulence"].any()
    counts = []
    for tolerance in _TOLERANCES:
        vehicles["gusts"] = 0.0
        fly_ours(batch, blank(flights), tolerance, *room)
        counts.append((vehicles["gusts"][0, : len(PHASES), :2] / flights).tolist())
    print(json.dumps(counts))


def plans(flights: int) -> Any:
    """Return drawn flights of Curlew whose canopy comes out a time after the top, without a mechanism."""
    design: Design = complete(read_design(ROCKET, BY_THE_CLOCK))
    return sample_batch(design, 0, flights, seed=SEED)


# --- what a run of them costs -----------------------------------------------------------------------------------


def measure(flights: int, repeats: int, there: Sequence[Peer]) -> dict[str, list[Run]]:
    """Fly all engines at all tolerances by turns; return their runs, the tightest tolerance first."""
    batch, room = plans(flights), our_room()
    right = blank(flights)
    fly_ours(batch, right, REFERENCE, *room)
    asked = subprocess.run(
        [sys.executable, __file__, "--count", "--flights", str(flights)], capture_output=True, text=True, check=True
    )
    counts = {OURS: [np.array(each) for each in json.loads(asked.stdout)]}
    errors: dict[str, list[NDArray[np.float64]]] = {}
    best: dict[tuple[str, float], float] = {}
    ready = _best(lambda: prepare_all(batch, room[0]), 20)
    for turn in range(repeats + 1):  # the first turn compiles, and is not timed
        for tolerance in _TOLERANCES:
            for name, fly in _engines(batch, room, there):
                notes = blank(flights)
                start = time.process_time()
                count = fly(notes, tolerance)
                taken = time.process_time() - start - ready
                if turn == 0:
                    errors.setdefault(name, []).append(np.abs(notes["apogee_m"] / right["apogee_m"] - 1.0))
                    if count is not None:
                        counts.setdefault(name, []).append(count / flights)
                else:
                    best[name, tolerance] = min(taken, best.get((name, tolerance), taken))
        print(f"turn {turn} of {repeats} flown", file=sys.stderr, flush=True)
    return {
        name: _runs(errors[name], counts[name], [best[name, each] for each in _TOLERANCES], flights)
        for name in errors
    }  # fmt: skip


def _engines(batch: Any, room: Any, there: Sequence[Peer]) -> Iterator[tuple[str, Callable[[Any, float], Any]]]:
    """Yield each engine as a function of summaries and tolerance that returns its evaluations, if it counts them."""

    def by_ours(notes: Any, tolerance: float) -> None:
        fly_ours(batch, notes, tolerance, *room)

    yield OURS, by_ours
    for peer in there:

        def by_peer(notes: Any, tolerance: float, peer: Peer = peer) -> NDArray[np.float64]:
            peer.flights["asked"] = 0
            peer.fly_all(batch, peer.flights, notes, peer.engine, tolerance)
            return np.array(peer.flights["asked"][0], np.float64)

        yield peer.name, by_peer


def _runs(errors: Any, counts: Any, taken: Any, flights: int) -> list[Run]:
    """Return the runs of an engine, tightest first; an error counts at looser tolerances as well."""
    runs: list[Run] = []
    middle, high = 0.0, 0.0
    for tolerance, error, asked, seconds in reversed(list(zip(_TOLERANCES, errors, counts, taken, strict=True))):
        error = np.nan_to_num(error, nan=1.0)
        middle, high = max(middle, float(np.median(error))), max(high, float(np.quantile(error, 0.95)))
        if np.mean(error >= 1.0) <= _MOST_FAILED:
            runs.append(Run(tolerance, middle, high, asked, 1e3 * seconds / flights))
    return runs


def at(runs: Sequence[Run], wanted: float, high: bool = False) -> Run | None:
    """Return an engine at an achieved error of the apogee, in the median or 95 of 100, straight on logarithmic paper.

    None where the tightest tolerance is not right enough, or the loosest already better: then that one counts.
    """
    errors = np.log([run.high if high else run.middle for run in runs])
    if np.log(wanted) < errors[0]:
        return None

    def between(values: Any) -> Any:
        return np.exp(np.interp(np.log(wanted), errors, np.log(np.maximum(values, 1e-300))))

    asked = np.array([run.asked for run in runs])
    return Run(
        float(between([run.tolerance for run in runs])), wanted, wanted,
        np.array([[between(asked[:, i, j]) for j in range(2)] for i in range(len(PHASES))]),
        float(between([run.ms for run in runs])),
    )  # fmt: skip


def _best(work: Callable[[], Any], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


# --- the right-hand side alone ----------------------------------------------------------------------------------


@peer_flight.entry
def _fly_one(batch: Any, vehicles: Any, works: Any, notes: Any, rows: FloatArray) -> int:
    prepare(batch[0], False, vehicles[0])
    return integrate_flight(vehicles[0], notes[0], works[0], rows)


@peer_flight.entry
def _ask(rows: FloatArray, vehicles: Any, dy: FloatArray, repeats: int) -> float:
    total = 0.0
    for _ in range(repeats):
        for i in range(len(rows)):
            rates(int(rows[i, 1]), rows[i, 2] != 0.0, rows[i, 0], rows[i, 3:], vehicles[0], dy)
            total += dy[3]
    return total


def bare_costs(overrides: Sequence[str] = BY_THE_CLOCK, repeats: int = 9) -> NDArray[np.float64]:
    """Return what one evaluation costs by phase and guided or not, µs, along the states of a flight; NaN for none."""
    batch = sample_batch(complete(read_design(ROCKET, overrides)), 0, 1, seed=SEED)
    (vehicles, works, _), rows, dy = our_room(), np.zeros((20_000, ROW)), np.zeros(STATE)
    rows = np.nan_to_num(rows[: _fly_one(batch, vehicles, works, blank(1), rows)])
    costs = np.full((len(PHASES), 2), np.nan)
    for phase in range(len(PHASES)):
        for guided in range(2):
            some = np.ascontiguousarray(rows[(rows[:, 1] == phase) & (rows[:, 2] == guided)])
            if len(some):
                times = max(1, 40_000 // len(some))
                taken = _best(lambda some=some, times=times: _ask(some, vehicles, dy, times), repeats)  # type: ignore[misc]
                costs[phase, guided] = 1e6 * taken / times / len(some)
    return costs


# --- the page ---------------------------------------------------------------------------------------------------


def section(flights: int, repeats: int, lsoda_source: Path | None) -> str:
    """Measure everything and return the section of the page."""
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        there, missing = peers(Path(folder), lsoda_source)
        before = bare_costs()
        runs = measure(flights, repeats, there)
    bare, with_mechanism = np.fmin(before, bare_costs()), bare_costs(())
    ours = {wanted: at(runs[OURS], wanted) for wanted in WANTED}
    absent = "".join(f"\n{why}" for why in missing)
    return f"""{TITLE}

Written by `python benchmarks/peers.py --write docs/performance.md`, at a load of {load:.1f}; how to bring the peers
here stands at the top of that file. {flights} flights of Curlew with every ± drawn, release to ground. The canopy comes
out a time after the top, not by its mechanism, whose events are not written out for the peers. Equations, events, the
hand-over between phases and the meaning of a tolerance are the same; all is compiled, and nothing of Python runs within
a flight. scikit-sundae calls a Python function for each evaluation, so the library of SUNDIALS in it is called past it,
with its own search for events. numbalsoda's DOP853 looks for events itself, to 1e-8 s; its LSODA and Boost.odeint do
not, and get the search of our engine on their own dense output. An integrator that remembers its steps goes on over the
top without beginning anew. CVODE flies twice, once with the better of its two families of formulas in each phase.

Errors are of the apogee against our engine at {REFERENCE:.0e}, in the middle of the flights; the last column asks 95 of
100 flights to be that right. Processor time a flight, the best of {repeats} by turns, preparing the rocket left out.
"Outside" is the part of it that is not spent in the right-hand side, which is timed by itself along a flight, before
and after all else, the lesser of both. Ours writes the summary of the flight as well, theirs only apogee and
landing.{absent}

{_against(runs, bare)}

Where the evaluations go at 1e-6:

{_by_phase(runs)}

The right-hand side by itself, along the states of one flight:

{_bare_table(bare, with_mechanism)}

{_targets(runs, ours, bare)}
"""


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "| --- |" + " ---: |" * (len(head) - 1)]
    return "\n".join(lines + ["| " + " | ".join(row) + " |" for row in rows])


def _outside(run: Run, bare: NDArray[np.float64]) -> float:
    """Return the share of a flight's time that is not spent in the right-hand side."""
    return float(1.0 - 1e-3 * np.nansum(run.asked * bare) / run.ms)


def _against(runs: dict[str, list[Run]], bare: NDArray[np.float64]) -> str:
    rows = []
    for wanted in WANTED:
        ours, ours_high = at(runs[OURS], wanted), at(runs[OURS], wanted, high=True)
        for name, some in runs.items():
            run, high = at(some, wanted), at(some, wanted, high=True)
            if run is None or ours is None:
                rows.append([name, f"{wanted:.0e}", *["not reached"] + [""] * 6])
                continue
            total = float(run.asked.sum())
            beyond = f"{high.ms / ours_high.ms:.2f}×" if high is not None and ours_high is not None else "not reached"
            rows.append([
                name, f"{wanted:.0e}", f"{run.tolerance:.0e}", f"{total:.0f}", f"{run.ms:.3f}",
                f"{1e3 * run.ms / total:.3f}", f"{100.0 * _outside(run, bare):.0f} %", f"{run.ms / ours.ms:.2f}×",
                beyond,
            ])  # fmt: skip
    head = ["engine", "apogee right to", "tolerance needed", "evaluations", "ms", "µs an evaluation, all told",
            "outside", "time over ours", "over ours, 95 of 100"]  # fmt: skip
    return _table(head, rows)


_GROUPS = {"water": (OPENING, WATER), "spray and air": (SPRAY, GAS), "coast": (COAST,), "canopy": (CANOPY,)}


def _by_phase(runs: dict[str, list[Run]]) -> str:
    rows = []
    for name, some in runs.items():
        run = at(some, 1e-6)
        if run is not None:
            cells = [f"{run.asked[list(phases)].sum():.0f}" for phases in _GROUPS.values()]
            rows.append([name, *cells, f"{run.asked.sum():.0f}"])
    return _table(["engine", *_GROUPS, "all, with what pushes off"], rows)


def _bare_table(bare: NDArray[np.float64], with_mechanism: NDArray[np.float64]) -> str:
    rows = []
    for phase, name in enumerate(PHASES):
        for guided in (1, 0):
            if not np.isnan(bare[phase, guided]):
                where = f"{name}, on the guide" if guided else name
                costs = (f"{each[phase, guided]:.3f}" for each in (bare, with_mechanism))
                rows.append([where, str(SIZE[phase]), *costs])
    return _table(["phase", "numbers", "µs", "µs, with the mechanism"], rows)


def _targets(runs: dict[str, list[Run]], ours: dict[float, Run | None], bare: NDArray[np.float64]) -> str:
    rows = []
    for wanted, run in ours.items():
        found = {name: at(some, wanted) for name, some in runs.items() if name != OURS}
        others = {name: each.ms for name, each in found.items() if each is not None}
        if run is not None and others:
            name = min(others, key=others.__getitem__)
            ratio = others[name] / run.ms
            rows.append([f"ahead of the best peer, apogee right to {wanted:.0e}", "> 1×", f"{ratio:.2f}×: {name}",
                         _met(ratio > 1.0)])  # fmt: skip
    share = max(_outside(run, bare) for run in ours.values() if run is not None)
    rows.append(["overhead outside the right-hand side, at the least favourable of them", "< 15 %",
                 f"{100.0 * share:.0f} %", _met(share < 0.15)])  # fmt: skip
    coast, run = float(bare[COAST, 0]), ours[1e-6]
    rows.append(["right-hand side in coast, before the canopy", "< 0.2 µs", f"{coast:.3f} µs", _met(coast < 0.2)])
    if run is not None:
        air = run.asked[[COAST, CANOPY]]
        mean = float(np.nansum(air * bare[[COAST, CANOPY]]) / air.sum())
        rows.append(["right-hand side over all the air, coast and canopy", "< 0.2 µs", f"{mean:.3f} µs",
                     _met(mean < 0.2)])  # fmt: skip
    return _table(["target", "asked", "measured", ""], rows)


def _met(met: bool) -> str:
    return "met" if met else "**missed**"


def main() -> None:
    """Measure, print, and write where asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", metavar="FILE", type=Path, help="write the section into this page as well")
    parser.add_argument("--flights", type=int, default=200, help="drawn flights (200)")
    parser.add_argument("--repeats", type=int, default=5, help="turns that are timed (5)")
    parser.add_argument("--lsoda", metavar="FOLDER", type=Path, help="folder with LSODA.cpp and LSODA.h of numbalsoda")
    parser.add_argument("--count", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.count:
        _count_ours(asked.flights)
        return
    text = section(asked.flights, asked.repeats, asked.lsoda)
    print(text)
    if asked.write:
        page = live.put(asked.write.read_text(encoding="utf-8"), text, TITLE)
        asked.write.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main()
