"""Write flight.md and ../figures/fill_and_range.svg: flights compared with what is known of them.

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

from bottlewright.figures.colours import DASHES, SERIES  # noqa: E402
from bottlewright.figures.key import draw_key, key_height, line_entry  # noqa: E402
from bottlewright.figures.letters import Box  # noqa: E402
from bottlewright.figures.panel import HEAD, LETTER, Axis, Panel, left_room  # noqa: E402
from bottlewright.figures.sheet import MM, Sheet  # noqa: E402
from bottlewright.report.style import FULL_WIDTH, Picture, save_picture, write_file  # noqa: E402

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
    names = [f"{fill.rocket}, {fill.pressure}" for fill in found]
    key = [line_entry(name, colour, dash=dash) for name, colour, dash in zip(names, SERIES, DASHES, strict=False)]
    wide, below = FULL_WIDTH * MM - 20.0, 3.4 * LETTER + 6.0
    sheet = Sheet(FULL_WIDTH, 78.0 + key_height(key, wide) / MM)
    half, top, bottom = 0.5 * sheet.width, 8.0 + 1.6 * HEAD, 78.0 * MM - below
    _by_fill(sheet, (10.0, top, half - 8.0, bottom), found)
    _by_pressure(sheet, (half + 4.0, top, sheet.width - 12.0, bottom))
    draw_key(sheet, key, 10.0, bottom + below - 2.0, wide)
    span = f"{100 * min(one.best for one in found):.0f} to {100 * max(one.best for one in found):.0f} %"
    return Picture(
        "fill_and_range",
        f"Left: the greatest height comes at {span} of water. Right: a published table of ranges, whose rocket and "
        "angle are not known, beside ours at two angles.",
        "Apogee against fill for two rockets at two pressures; range against pressure beside a published table",
        sheet,
    )


def _by_fill(sheet: Sheet, room: tuple[float, float, float, float], found: list[Fill]) -> None:
    """Draw height against fill, the highest point of each line marked."""
    y = Axis(0.0, 1.12 * max(fill.apogee_m.max() for fill in found))
    share = [100.0 * value for fill in found for value in fill.share]
    x = Axis(min(share), max(share), "water, % of the vessel")
    panel = Panel(sheet, Box(room[0] + left_room(y, 150.0), *room[1:]), x, y)
    panel.scales()
    panel.title("Apogee, m")
    panel.upright(100 / 3, "soft", 0.7, (2, 2))
    sheet.write(panel.words("a third", 100 / 3, y.high, 3.0, 8.0, size=7.0, colour="soft", halo=True))
    for number, (fill, colour) in enumerate(zip(found, SERIES, strict=False)):
        panel.line(100 * fill.share, fill.apogee_m, colour, number)
        top = fill.apogee_m.argmax()
        panel.mark(100 * fill.share[top], fill.apogee_m[top], "o", 4.0, colour)


def _by_pressure(sheet: Sheet, room: tuple[float, float, float, float]) -> None:
    """Draw range against pressure at two angles, and the published table."""
    psi = tuple(float(p) for p in range(15, 86, 5))
    reach = {tilt: ranges(tilt, psi) for tilt in (30, 45)}
    y = Axis(0.0, 1.05 * max(*NASA_M, *(max(one) for one in reach.values())))
    panel = Panel(sheet, Box(room[0] + left_room(y, 150.0), *room[1:]), Axis(12.0, 88.0, "pressure, psi gauge"), y)
    panel.scales()
    panel.title("Range of Dabchick a third full, m")
    at = psi.index(50.0)
    for number, (tilt, colour, dx, dy, side) in enumerate((
        (30, "teal", 4.0, 14.0, "start"), (45, "blue", -5.0, -5.0, "end"),
    )):  # fmt: skip
        panel.line(psi, reach[tilt], colour, number)
        sheet.write(panel.words(f"ours, {tilt}° from upright", psi[at], reach[tilt][at], dx, dy, size=7.0,
                                colour=colour, anchor=side, halo=True))  # fmt: skip
    for pressure, metres in zip(PSI, NASA_M, strict=True):
        panel.mark(pressure, metres, "s", 5.0, "orange")
    sheet.write(panel.words("NASA's table", PSI[1], NASA_M[1], 8.0, 12.0, size=7.0, colour="orange", halo=True))


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
