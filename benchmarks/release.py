"""What a mechanism that lets the canopy out costs many flights, beside flights that open at the top.

    python benchmarks/release.py                                   within this version
    python benchmarks/release.py --before TREE                     beside another checkout of the project, by turns
    python benchmarks/release.py --before TREE --write docs/performance.md

Processor time of batches of Curlew with every ± drawn, on one thread, the best of several turns. Takes a minute, and
as long again where something has to be compiled: the folder of compiled code keeps that of each tree apart.
"""

import argparse
import json
import os
import subprocess
import sys
from pathlib import Path

import live

ROOT = Path(__file__).parent.parent
TITLE = "## What letting out costs"
TURNS, FLIGHTS = 5, 400

_WORKER = """
import json, sys, time
from bottlewright.design import complete, read_design
from bottlewright.flight.batch import TOLERANCE, fly_batch, sample_batch

rocket, flights, sets = sys.argv[1], int(sys.argv[2]), sys.argv[3:]
batch = sample_batch(complete(read_design(rocket, sets)), 0, flights, seed=1)
batch["tolerance"] = TOLERANCE
fly_batch(batch[:8], threads=1)
start = time.process_time()
flown = fly_batch(batch, threads=1)
spent = time.process_time() - start
print(json.dumps([1e3 * spent / flights, float(flown["steps"].mean())]))
"""


def one(tree: Path, *sets: str) -> tuple[float, float]:
    """Return processor time of one flight of a batch, ms, and its steps, of a tree of the project."""
    environment = os.environ | {"PYTHONPATH": str(tree / "src")}
    command = [sys.executable, "-c", _WORKER, str(tree / "examples" / "curlew" / "rocket.toml"), str(FLIGHTS), *sets]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    milliseconds, steps = json.loads(done.stdout)
    return milliseconds, steps


def measured(before: Path | None) -> list[tuple[str, float, float]]:
    """Return what was flown, ms a flight and steps a flight, by turns and the best of them."""
    kinds: list[tuple[str, Path, tuple[str, ...]]] = [
        ("this version, by its mechanism", ROOT, ()),
        ("this version, at the top", ROOT, ('recovery.release="at the top"',)),
    ]
    if before is not None:
        kinds.insert(0, ("before, at the top: no mechanism was flown", before, ()))
    found: dict[str, list[tuple[float, float]]] = {says: [] for says, _, _ in kinds}
    for _, tree, sets in kinds:
        one(tree, *sets)  # compiles
    for _ in range(TURNS):
        for says, tree, sets in kinds:
            found[says].append(one(tree, *sets))
    return [(says, *min(each)) for says, each in found.items()]


def section(rows: list[tuple[str, float, float]]) -> str:
    """Return the section of the page."""
    first = rows[0][1]
    lines = "\n".join(f"| {says} | {ms:.3f} | {ms / first:.2f} | {steps:.0f} |" for says, ms, steps in rows)
    return f"""{TITLE}

Written by `python benchmarks/release.py --before TREE --write docs/performance.md`, at a load of
{os.getloadavg()[0]:.1f}. Processor time of {FLIGHTS} flights of Curlew with every ± drawn, on one thread and by
turns; the best of {TURNS}. No more than 1.25 times as long was asked.

| flights | ms each | over the first row | steps |
| --- | ---: | ---: | ---: |
{lines}
"""


def main() -> None:
    """Measure, print, and write where asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--before", metavar="TREE", type=Path, help="another checkout of the project to stand beside")
    parser.add_argument("--write", metavar="FILE", type=Path, help="write the section into this page as well")
    asked = parser.parse_args()
    text = section(measured(asked.before))
    print(text)
    if asked.write:
        page = live.put(asked.write.read_text(encoding="utf-8"), text, TITLE)
        asked.write.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main()
