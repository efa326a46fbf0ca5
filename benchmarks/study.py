"""How long a whole study and one flight take as commands, everything compiled, from the command to the result.

    python benchmarks/study.py                             print the figures
    python benchmarks/study.py --beside ../older/src       with those of another copy of the program before them
    python benchmarks/study.py --write docs/performance.md put them into the page as well

The clock means something on an idle machine only; processor time of one run means something anywhere.
"""

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

import live

HERE = Path(__file__).parent.parent
SOURCE = HERE / "src"
TITLE = "## A whole study"
REPEATS = 3
_BE = "from bottlewright.cli import start; start()"


def commands(folder: str) -> dict[str, list[str]]:
    """Return what is measured, by name: the words of each command."""
    rockets = {name: str(HERE / "examples" / name / "rocket.toml") for name in ("curlew", "dabchick")}
    studies = {f"`study` of {name.capitalize()}": ["study", file, "--out", str(Path(folder, name))]
               for name, file in rockets.items()}  # fmt: skip
    return studies | {"`fly` of Curlew, `--json`": ["fly", rockets["curlew"], "--json"]}


def taken(source: Path, words: Sequence[str], compiled: str) -> tuple[float, float]:
    """Return seconds by the clock and of processor of one command in a process of its own.

    Python keeps what it compiles of the modules in a folder, as it does of a program that is installed.
    """
    around = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    around |= {"PYTHONPATH": str(source), "PYTHONPYCACHEPREFIX": compiled}
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run([sys.executable, "-c", _BE, *words], check=False, capture_output=True, text=True, env=around)
    if done.returncode not in (0, 1):  # 1 is what a finding that says stop leaves with
        raise SystemExit(done.stderr)
    clock, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return clock, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def section(sources: Sequence[Path]) -> str:
    """Measure in turn, so that other work on the machine meets all copies alike; return it as a part of the page."""
    load, rows = os.getloadavg()[0], []
    with tempfile.TemporaryDirectory() as folder:
        for name, words in commands(folder).items():
            for source in sources:
                taken(source, words, folder)  # compiles what is not compiled yet
            runs = [[taken(source, words, folder) for source in sources] for _ in range(REPEATS)]
            cells = [f"{min(clocks):.1f}, {statistics.median(spent):.1f}"
                     for clocks, spent in (zip(*each, strict=True) for each in zip(*runs, strict=True))]  # fmt: skip
            rows.append([name, *cells])
    head = ["", *(["before: clock, processor, s"] if len(sources) > 1 else []), "clock, processor, s"]
    return f"""{TITLE}

Written by `python benchmarks/study.py --write docs/performance.md`, on {len(os.sched_getaffinity(0))} cores at a load
of {load:.1f} before the run. A command in a process of its own, everything compiled: the best of {REPEATS} by the
clock, the middle one of processor.

{live.table(head, rows)}
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--beside", metavar="SRC", type=Path, help="folder that holds another copy of the package")
    parser.add_argument("--write", metavar="FILE", type=Path, help="put the figures into this page as well")
    asked = parser.parse_args()
    part = section([*([asked.beside] if asked.beside else []), SOURCE])
    print(part)
    if asked.write:
        asked.write.write_text(live.put(asked.write.read_text(encoding="utf-8"), part, TITLE), encoding="utf-8")


if __name__ == "__main__":
    main()
