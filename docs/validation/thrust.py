"""Write thrust.md and ../figures/static_firing.svg: the comparisons of thrust with values from outside.

    python docs/validation/thrust.py

The rows come from tests/published/known_thrust.py, which the tests hold; no number here is typed by hand.
"""

import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1] / "tests" / "published"))

from bench_fit import page  # noqa: E402
from comparison import table  # noqa: E402
from firings import bench, mean_thrust, record  # noqa: E402
from known_thrust import CASES  # noqa: E402

from bottlewright.figures.letters import Box  # noqa: E402
from bottlewright.figures.panel import HEAD, LETTER, SMALL, Axis, Panel, left_room  # noqa: E402
from bottlewright.figures.sheet import Sheet, path  # noqa: E402
from bottlewright.report.style import FULL_WIDTH, Picture, save_picture, write_file  # noqa: E402

INTRO = """# Thrust against the outside world

Written by `docs/validation/thrust.py` from the comparisons that `tests/published/test_known_thrust.py` holds. "Hit":
ours lies within the ± of the reference, which is half its last digit where the reference is exact and the stated bound
where it is measured. A miss stays a miss and says why. The firings run from design text, by the same keys a builder
writes. Equations: [launch](../physics/launch.md), [jet](../physics/water_jet.md), [gas](../physics/gas.md),
[spray](../physics/spray.md).

"""


def firing_figure() -> Picture:
    """Draw thrust of the fitted and of the ideal model, and the measured means as bars."""
    data = record()
    fitted, ideal = bench(**data["fit"]), bench()
    sheet, y = Sheet(FULL_WIDTH, 88.0), Axis(0.0, 225.0)
    box = Box(8.0 + left_room(y, 200.0), 8.0 + 1.6 * HEAD, sheet.width - 12.0, sheet.height - 3.4 * LETTER - 6.0)
    panel = Panel(sheet, box, Axis(0.0, 305.0, "time, ms"), y)
    panel.scales()
    panel.title("Thrust, N")
    for firing, colour, series in ((ideal, "soft", 1), (fitted, "teal", 0)):
        panel.line(firing.series["time_s"] * 1e3, firing.series["thrust_N"], colour, series)
    for start, end, force in data["measured"]["mean_thrust_N"]:
        sheet.shape(path(panel.at([start * 1e3, end * 1e3], [force, force])), "orange", thick=4.0, opacity=0.9)
    _words(panel, fitted, ideal, data)
    total = [firing.summary["impulse_total_N_s"] for firing in (fitted, ideal)]
    return Picture(
        "static_firing",
        "A 2 L bottle with 1 kg of water at 40 psi on a thrust stand: "
        f"measured {data['measured']['impulse_total_N_s']:.1f} N s, ours with opening and breakthrough "
        f"{total[0]:.1f}, the ideal model {total[1]:.1f}. The loss in this neck is unexplained.",
        "Thrust against time: measured means, our model with opening and breakthrough through them, the ideal above",
        sheet,
    )


def _words(panel: Panel, fitted: Any, ideal: Any, data: dict[str, Any]) -> None:
    def note(text: str, at: tuple[float, float], to: tuple[float, float], colour: str) -> None:
        panel.sheet.shape(path(panel.at([at[0], to[0]], [at[1], to[1]])), colour, thick=0.7)
        ((x, y),) = panel.at(*to)
        panel.sheet.rows(text, x, y - 1.0 - 9.4 * text.count("\n"), size=SMALL, colour=colour, halo=True)

    start, end, force = data["measured"]["mean_thrust_N"][0]
    ours = mean_thrust(fitted, start, end)
    note("ideal: no loss, no breakthrough", (78, mean_thrust(ideal, 0.077, 0.079)), (95, 125), "soft")
    note("ours: opens in 23 ms, gas breaks through\nwith a quarter of the water left", (150, 37), (165, 82), "teal")
    note("spray", (215, 12), (222, 30), "teal")
    measured = f"measured, means over 20 and 40 ms\nfirst 20 ms: {force:.0f} N, ours {ours:.0f} N"
    note(measured, (18, force), (32, 185), "orange")


def main() -> None:
    """Write the page and its figure."""
    picture = firing_figure()
    save_picture(picture, HERE.parent / "figures")
    results = {title: case() for title, case in CASES.items()}
    every = [row for rows in results.values() for row in rows]
    hits = sum(row.hit for row in every)
    parts = [INTRO, f"**{len(every)} comparisons: {hits} hits, {len(every) - hits} misses.**\n\n"]
    for title, rows in results.items():
        parts.append(f"## {title}\n{(CASES[title].__doc__ or '').strip()}\n\n{table(rows)}\n")
    parts.append(page())
    source = " ".join(record()["source"].split())
    parts.append(f"Record: {source}.\n\n![{picture.alt}](../figures/static_firing.svg)\n\n{picture.caption}\n")
    write_file(HERE / "thrust.md", "".join(parts))


if __name__ == "__main__":
    main()
