"""How long the figures of a study take to draw, beside one plain chart by matplotlib in the same run.

    python benchmarks/figures.py        print the section; benchmarks/flight.py puts it into docs/performance.md

Every figure is drawn wide and narrow and written as SVG for the page, which is what a report needs of it. Processor
time, best of several repeats. Takes about half a minute.
"""

import io
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from bottlewright.design import complete, read_design
from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.field.chapters import field_pictures
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.flight.chapters import firing_picture, fly_chapter, rocket_picture
from bottlewright.flight.fly import fly
from bottlewright.flight.layout import layout_of
from bottlewright.proof.pictures import pressure_picture
from bottlewright.proof.prove import prove
from bottlewright.report.style import Picture, inline_svg
from bottlewright.tune.advice import advise
from bottlewright.tune.chapters import tune_pictures
from bottlewright.tune.pressure_limit import ceiling_of

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"
REPEATS = 15


def plain_chart() -> None:
    """Draw two lines over one another with titles and grid by matplotlib, as plainly as it can be, twice."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    x = np.linspace(0.0, 10.0, 1200)
    for width in (6.5, 3.6):
        figure = Figure(figsize=(width, 3.9), layout="constrained")
        for axes, title in zip(figure.subplots(2, 1, sharex=True), ("height, m", "speed, m/s"), strict=True):
            axes.plot(x, np.sin(x))
            axes.set_title(title)
            axes.grid(visible=True)
        canvas: Any = FigureCanvasSVG(figure)
        canvas.print_svg(io.StringIO())


def best(draw: Callable[[], object]) -> float:
    """Return the least processor time of several repeats, s."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        draw()
        times.append(time.process_time() - start)
    return min(times)


def drawn(make: Callable[[], Sequence[Picture]]) -> list[str]:
    """Draw figures and write them for the page."""
    return [inline_svg(one, narrow) for one in make() for narrow in (False, True)]


def figures(design: Design) -> tuple[list[tuple[str, int, float, float]], float]:
    """Return name, number of figures, seconds each and size each of every group, and the plain chart's seconds."""
    flight, layout, habit = fly(design, series=True), layout_of(design), unit_habit(design)
    found = scatter(design, field_site(design.site, ROCKET.parent))
    advice, rated = advise(design, ceiling_of(design)), prove(design).rated
    groups: dict[str, Callable[[], Sequence[Picture]]] = {
        "rocket, to scale": lambda: [rocket_picture(design, layout)],
        "thrust, pressure, water": lambda: [firing_picture(flight, habit)],
        "height, firing, margin, path, with the chapter's tables": lambda: fly_chapter(design, flight).section.pictures,
        "chance of a burst": lambda: [pressure_picture(design, rated)],
        "map of water and pressure, front, sources": lambda: tune_pictures(design, advice),
        "map of the field, rose": lambda: field_pictures(design, found),
    }
    rows = []
    for name, make in groups.items():
        texts = drawn(make)
        count = len(texts) // 2
        rows.append((name, count, best(partial(drawn, make)) / count, sum(map(len, texts)) / len(texts)))
    return rows, best(plain_chart)


def section(design: Design) -> str:
    """Return the table of the page."""
    rows, plain = figures(design)
    table = ["| figures | ms each, wide and narrow | times as quick as the plain chart | kB each |",
             "| ---: | ---: | ---: | ---: |"]
    table += [f"| {name} ({count}) | {1e3 * each:.1f} | {plain / each:.0f} | {size / 1e3:.0f} |"
              for name, count, each, size in rows]
    return (
        "Each figure is laid out and written as SVG twice, wide and for a telephone. Beside it: one plain chart of "
        f"two lines\nby matplotlib, also drawn twice: {1e3 * plain:.0f} ms of processor. "
        "`python benchmarks/figures.py` measures this section alone.\n\n" + "\n".join(table)
    )  # fmt: skip


if __name__ == "__main__":
    print(section(complete(read_design(ROCKET))))
