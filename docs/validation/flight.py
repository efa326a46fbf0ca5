"""Write flight.md and ../figures/fill_and_range.svg and .png: flights compared with what is known of them.

    python docs/validation/flight.py

The rows come from tests/published/known_flights.py and flown_practice.py, which the tests hold; no number here is
typed by hand.
"""

import sys
from pathlib import Path

HERE = Path(__file__).parent
TESTS = HERE.parents[1] / "tests"
sys.path[:0] = [str(TESTS / "published"), str(TESTS / "flight")]

from comparison import Row, table  # noqa: E402
from flown_practice import NASA_M, PSI, Fill, fills, range_by_pressure, ranges, third_full  # noqa: E402
from known_flights import CASES  # noqa: E402
from second_implementation import CASES as TWICE  # noqa: E402
from second_implementation import compared  # noqa: E402

from bottlewright.report.style import (  # noqa: E402
    DASHES,
    LIGHT,
    MM,
    SERIES,
    Picture,
    paper_style,
    save_picture,
    write_file,
)

INTRO = """# Flight against what is known

Written by `docs/validation/flight.py` from comparisons that the tests hold. "Hit": ours lies within the ± of the
reference. A miss stays a miss and says why. Equations: [flight](../physics/flight.md).

"""


NAMED = {
    "apogee_m": ("apogee", "m"),
    "water_out_time_s": ("water out", "s"),
    "max_speed_m_s": ("greatest speed", "m/s"),
    "flight_time_s": ("time of flight", "s"),
    "landing_east_m": ("east at landing", "m"),
}


def twice() -> list[Row]:
    """Return the worst and some named deviations from the second implementation."""
    rows = []
    for name in TWICE:
        pairs = compared(name)
        for key in NAMED:
            ours, other = pairs[key]
            words, unit = NAMED[key]
            what = f"{name.capitalize()}: {words}" if key == "apogee_m" else f"— {words}"
            rows.append(Row(what, "second implementation", unit, other, ours, 1e-7 * abs(other)))
        worst = max(pairs, key=lambda key: abs(pairs[key][0] / pairs[key][1] - 1.0))
        ours, other = pairs[worst]
        what = f"— worst of {len(pairs)} numbers, as a part of it (`{worst}`)"
        rows.append(Row(what, "second implementation", "", 0.0, ours / other - 1.0, 1e-7))
    return rows


def picture(found: list[Fill]) -> Picture:
    """Draw height against fill, and range against pressure."""
    from matplotlib.figure import Figure

    with paper_style():
        figure = Figure(figsize=(165 * MM, 78 * MM), layout="constrained")
        left, right = figure.subplots(1, 2)
        for fill, colour, dash in zip(found, SERIES, DASHES, strict=False):
            name = f"{fill.rocket}, {fill.pressure}"
            left.plot(100 * fill.share, fill.apogee_m, color=LIGHT[colour], ls=dash, label=name)
            top = fill.apogee_m.argmax()
            left.plot(100 * fill.share[top], fill.apogee_m[top], "o", ms=4, color=LIGHT[colour])
        left.legend(loc="lower left", frameon=False, fontsize=7, handlelength=4)
        left.axvline(100 / 3, ymin=0.3, color=LIGHT["soft"], lw=0.7, ls=(0, (2, 2)))
        left.set_ylim(0, 1.12 * max(fill.apogee_m.max() for fill in found))
        left.annotate("a third", (100 / 3, left.get_ylim()[1]), xytext=(3, -8), textcoords="offset points", fontsize=7,
                      color=LIGHT["soft"])  # fmt: skip
        left.set_xlabel("water, % of the vessel")
        left.set_title("Apogee, m")
        psi = tuple(float(p) for p in range(15, 86, 5))
        for tilt, colour, dash, place, side in (
            (30, "teal", DASHES[0], (4, -10), "left"), (45, "blue", DASHES[1], (-5, 5), "right"),
        ):  # fmt: skip
            reach, at = ranges(tilt, psi), psi.index(50.0)
            right.plot(psi, reach, color=LIGHT[colour], ls=dash)
            right.annotate(f"ours, {tilt}° from upright", (psi[at], reach[at]), xytext=place, fontsize=7, ha=side,
                           textcoords="offset points", color=LIGHT[colour])  # fmt: skip
        right.plot(PSI, NASA_M, "s", ms=5, color=LIGHT["orange"])
        right.annotate("NASA's table", (PSI[1], NASA_M[1]), xytext=(8, -8), textcoords="offset points", fontsize=7,
                       ha="left", color=LIGHT["orange"])  # fmt: skip
        right.set_ylim(0, None)
        right.set_xlabel("pressure, psi gauge")
        right.set_title("Range of Dabchick a third full, m")
    span = f"{100 * min(one.best for one in found):.0f} to {100 * max(one.best for one in found):.0f} %"
    return Picture(
        "fill_and_range",
        f"Left: the greatest height comes at {span} of water. Right: a published table of ranges, whose rocket and "
        "angle are not known, beside ours at two angles.",
        "Apogee against fill for two rockets at two pressures; range against pressure beside a published table",
        figure,
    )


def section(title: str, words: str, rows: list[Row]) -> str:
    """Return one part of the page."""
    return f"## {title}\n{words}\n\n{table(rows)}\n"


def main() -> None:
    """Write the page and its figure."""
    drawn = picture(fills())
    save_picture(drawn, HERE.parent / "figures")
    exact = [row for case in CASES for row in case()]
    second, practice, reach = twice(), third_full(), range_by_pressure()
    every = [*exact, *second, *practice, *reach]
    hits = sum(row.hit for row in every)
    write_file(
        HERE / "flight.md",
        INTRO
        + f"**{len(every)} comparisons: {hits} hits, {len(every) - hits} misses.**\n\n"
        + section("Exact limits and closed forms", "Flown by the engine's own rates, integrator (tolerance 1e-10) and "
                  "events, with mass, drag area, air and gravity set in the prepared vehicle.", exact)
        + section("The same flight written twice", "Other axes, another point of the rocket, a rotation matrix, one "
                  "linear system for all accelerations, SciPy's DOP853 at 1e-11; the engine at 1e-12.", second)
        + section("A third of water", "Ordinary rockets straight up in still air.", practice)
        + section("Range by pressure", "Size only: the table states neither the rocket nor its angle, and it "
                  "looks smoothed. Its four points lie on a straight line through nothing to within their "
                  "rounding, which flights do not: of some 16 000 rockets that we tried, with mass, water, angle, "
                  "drag and velocity coefficient free, the best misses one of them by 3.7 %. Dabchick is one "
                  "rocket, not the table's: with the loss of a short tube in its neck it came within 19 % "
                  "everywhere, with that of a smooth neck it flies up to half as far again. "
                  "The allowed 10 % is what published models miss measured flights by "
                  "(Barrio-Perotti et al. 2010; Yang and Houston 2016).", reach)
        + f"![{drawn.alt}](../figures/fill_and_range.svg)\n\n{drawn.caption}\n",
    )  # fmt: skip


if __name__ == "__main__":
    main()
