"""How quickly a changed value comes back: a new design, one flight, rating and rules; and the very first flight.

    python benchmarks/live.py                            print the figures
    python benchmarks/live.py --beside ../older/src      with those of another copy of the program beside them
    python benchmarks/live.py --write docs/performance.md put them into the page as well

Processor time, so that other work on the machine counts little; every design differs from all before it, so that
nothing can be remembered. Takes about two minutes, most of it compiling.
"""

import argparse
import json
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from bottlewright.design import Design, complete, parse_design, read_design
from bottlewright.design.rewriting import as_overrides, rewritten
from bottlewright.flight.fly import fly
from bottlewright.proof.prove import prove
from bottlewright.verdict import judge_alone

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"
REPEATS = 60
TITLE = "## Changing a value"
_ASKED = {
    "a new completed design, two values changed": "1",
    "the same by reading its text again": "",
    "one flight with its series": "5",
    "rating, rules and verdict of a flown design": "10",
}
"""What is measured, and how many ms are asked for."""

Figures = dict[str, tuple[float, float]]
"""Best and median, ms, or s, by what was measured."""


def figures() -> Figures:
    """Measure all that one change costs, ms."""
    base = complete(read_design(ROCKET))
    fly(base, series=True)
    values = random.Random(1)

    def changes() -> list[tuple[str, str]]:
        return [("charge.pressure", f"{values.uniform(3.0, 6.0):.4f} bar"),
                ("fins.span", f"{values.uniform(60.0, 90.0):.2f} mm")]

    def again(changed: Sequence[tuple[str, str]]) -> Design:
        return complete(parse_design(base.written.text, as_overrides(changed)))

    def flown() -> tuple[Design, Any]:
        design = rewritten(base, changes())
        return design, fly(design)

    def judged(design: Design, flight: Any) -> None:
        judge_alone(design, ROCKET.parent, proof=prove(design), flight=flight)

    measured = (
        _timed(lambda changed: rewritten(base, changed), lambda: (changes(),)),
        _timed(again, lambda: (changes(),)),
        _timed(lambda design: fly(design, series=True), lambda: (rewritten(base, changes()),)),
        _timed(judged, flown),
    )
    return dict(zip(_ASKED, measured, strict=True))


def _timed(work: Callable[..., Any], fresh: Callable[[], tuple[Any, ...]]) -> tuple[float, float]:
    taken = []
    for _ in range(REPEATS):
        given = fresh()
        start = time.process_time()
        work(*given)
        taken.append(1e3 * (time.process_time() - start))
    return min(taken), statistics.median(taken)


def first_flight(source: Path) -> tuple[float, float]:
    """Return seconds by the clock and of processor of `fly` in a fresh process with nothing compiled yet."""
    code = "from bottlewright.cli import start; start()"
    return _process(source, [code, "fly", str(ROCKET), "--json"])


_PARTS = {
    "the flight": "ahead.compile_flight()",
    "making the rocket ready, and reading its flight off": "ahead.compile_readying()",
}
"""What two processes compile at once."""


def parts() -> Figures:
    """Return seconds by the clock and of processor of each of the two processes alone, from its start."""
    own = Path(__file__).parent.parent / "src"
    return {name: _process(own, [f"from bottlewright.flight import ahead; {code}"]) for name, code in _PARTS.items()}


def _process(source: Path, arguments: Sequence[str]) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run(
            [sys.executable, "-c", *arguments], check=True, capture_output=True,
            env=os.environ | {"PYTHONPATH": str(source), "NUMBA_CACHE_DIR": folder, "BOTTLEWRIGHT_CACHE": folder},
        )  # fmt: skip
        taken, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return taken, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def section(other: Path | None = None) -> str:
    """Measure everything; return it as a part of the page, with another copy's figures beside it where there is one."""
    load = os.getloadavg()[0]
    own, others = figures(), _of(other) if other else {}
    rows = [
        [what, asked, *(_pair(each[what]) for each in (others, own) if each)] for what, asked in _ASKED.items()
    ]
    head = ["", "asked, ms", *(["before: best, median, ms"] if others else []), "best, median, ms"]
    own_source = Path(__file__).parent.parent / "src"
    first = [(name, first_flight(where)) for name, where in (("before", other), ("now", own_source)) if where]
    first += list(parts().items())
    compiled = [[name, f"{clock:.1f}", f"{spent:.1f}"] for name, (clock, spent) in first]
    return f"""{TITLE}

Written by `python benchmarks/live.py --write docs/performance.md`, at a load of {load:.1f}. Processor time of Curlew
with two values changed; every design is a new one, so that nothing is remembered of it.

{table(head, rows)}

The first `fly` with nothing compiled, and the two processes that share its work, each alone: two idle cores take about
as long as the longer of them, and a second besides. On a busy machine even the processor seconds of the same work are
up to half as many again; compare within one run.

{table(["", "s by the clock", "s of processor"], compiled)}
"""


def _of(source: Path) -> Figures:
    done = subprocess.run([sys.executable, __file__, "--json"], check=True, capture_output=True, text=True,
                          env=os.environ | {"PYTHONPATH": str(source)})  # fmt: skip
    return {what: (best, median) for what, (best, median) in json.loads(done.stdout).items()}


def _pair(figure: tuple[float, float]) -> str:
    return f"{figure[0]:.2f}, {figure[1]:.2f}"


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a table as a page has it."""
    ruled = ["---", *["---:"] * (len(head) - 1)]
    return "\n".join(f"| {' | '.join(row)} |" for row in (head, ruled, *rows))


def put(page: str, part: str, title: str = TITLE) -> str:
    """Return a page with the part of this title written anew, or at its end."""
    start = page.find(f"{title}\n")
    if start < 0:
        return f"{page.rstrip()}\n\n{part}"
    end = page.find("\n## ", start)
    return page[:start] + part + (page[end:] if end > 0 else "")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--beside", metavar="SRC", type=Path, help="folder that holds another copy of the package")
    parser.add_argument("--write", metavar="FILE", type=Path, help="put the figures into this page as well")
    parser.add_argument("--json", action="store_true", help="print what one change costs, and nothing else")
    asked = parser.parse_args()
    if asked.json:
        print(json.dumps(figures()))
        return
    part = section(asked.beside)
    print(part)
    if asked.write:
        asked.write.write_text(put(asked.write.read_text(encoding="utf-8"), part), encoding="utf-8")


if __name__ == "__main__":
    main()
