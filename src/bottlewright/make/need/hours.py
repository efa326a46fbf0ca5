"""Minutes of a launch, launches in a day, hours for tests and building."""

import math
from collections.abc import Iterator
from functools import cache
from typing import Any

from bottlewright.make.need.asked import UNKNOWN, Asked, Count, RestsOn, sentence, table
from bottlewright.make.need.figures import Figures, Pumping
from bottlewright.quantities import Dimension, Quantity, neat, parse_quantity

__all__ = ["hours", "in_hours", "once_a_day", "one_launch"]


@cache
def _times(name: str) -> tuple[tuple[dict[str, Any], Quantity | None], ...]:
    return tuple((row, parse_quantity(row["time"], Dimension.TIME) if "time" in row else None) for row in table()[name])


def _minutes(seconds: float) -> float:
    """Return tenths of a minute as seconds: what is printed adds up."""
    return 6.0 * round(seconds / 6.0)


def _tenths(seconds: float) -> str:
    return f"{seconds / 60:.1f}".removesuffix(".0")


def _minute_row(code: str, what: str, time: float, spread: float, how: str, rests_on: RestsOn) -> Count:
    time = _minutes(time)
    shown = _tenths(time) + (f" ± {_tenths(spread)} min" if spread >= 3.0 else " min")
    return Count("Time", code, what, time, "s", shown, how, rests_on, spread)


def one_launch(pumping: Pumping) -> tuple[float, float]:
    """Return how long one launch takes, and its ±, s; pumping that nobody can count is left out."""
    parts = _parts(pumping)
    return sum(row.amount or 0.0 for row in parts), math.hypot(*(row.spread for row in parts))


def once_a_day() -> tuple[float, float]:
    """Return how long it takes to set up, to brief everybody and to pack up, and its ±, s."""
    times = [time for _, time in _times("day") if time]
    return sum(_minutes(time.value) for time in times), math.hypot(*(time.spread for time in times))


def _parts(pumping: Pumping) -> list[Count]:
    """Return the minutes of one launch, a row each."""
    parts = []
    for row, time in _times("launch"):
        if time is not None:
            how = f"{sentence(row['because'])}."
            parts.append(_minute_row(row["code"], row["what"], time.value, time.spread, how, RestsOn.JUDGEMENT))
        else:
            parts.append(_pump_row(pumping, row))
    return parts


def hours(asked: Asked, of: Figures, tests: float) -> Iterator[Count]:
    """Add up the minutes of a launch, and count how many fit into the hours there."""
    parts = _parts(of.pumping)
    each = sum(row.amount or 0.0 for row in parts)
    spread = math.hypot(*(row.spread for row in parts))
    yield from parts
    yield _minute_row("each", "Minutes a launch", each, spread, "The lines above, one after the other.",
                      RestsOn.JUDGEMENT)  # fmt: skip
    once = [_minute_row(row["code"], row["what"], time.value, time.spread, f"{sentence(row['because'])}.",
                        RestsOn.JUDGEMENT) for row, time in _times("day") if time]  # fmt: skip
    yield from once
    fixed, off = sum(row.amount or 0.0 for row in once), math.hypot(*(row.spread for row in once))
    left = asked.hours - fixed
    most, fewest = _fit(left + off, each - spread), _fit(left - off, each + spread)
    yield Count("Time", "fit", f"Launches in {neat(asked.hours, 'h')}", _fit(left, each), "",
                f"{_fit(left, each)} ({fewest} to {most})",
                "Into what set-up, briefing and packing leave, one launcher.", RestsOn.JUDGEMENT,
                (most - fewest) / 2)  # fmt: skip
    whole = fixed + asked.children * each
    yield Count("Time", "hours", "Hours for one launch each", whole, "s",
                f"{in_hours(whole)} ± {in_hours(math.hypot(off, asked.children * spread))}",
                "Every launch as long as the others, and the three lines of the day.", RestsOn.JUDGEMENT,
                math.hypot(off, asked.children * spread))  # fmt: skip
    yield _test_hours(of, tests)
    yield Count("Time", "build", "Hours of work on each rocket", of.rocket_work, "s", in_hours(of.rocket_work),
                f"The steps of Make, two at a time; then up to {neat(of.longest_wait, 'h')} until glue and tape hold.",
                RestsOn.JUDGEMENT)  # fmt: skip


def _fit(time: float, each: float) -> int:
    return max(math.floor(time / max(each, 1.0) + 1e-9), 0)


def in_hours(seconds: float) -> str:
    """Write a time in hours."""
    return f"{seconds / 3600:.1f} h"


def _pump_row(pump: Pumping, row: dict[str, Any]) -> Count:
    if pump.compressor or not math.isfinite(pump.time):
        return Count("Time", row["code"], row["what"], 0.0, "s", UNKNOWN,
                     "No strokes to count: watch your own, and add it.", RestsOn.NOBODY)  # fmt: skip
    spread = pump.time_spread if math.isfinite(pump.time_spread) else 0.0
    return _minute_row(row["code"], row["what"], pump.time, spread,
                       "The strokes above, one every two seconds unless the design says another pace.",
                       RestsOn.DESIGN if pump.described else RestsOn.PRACTICE)  # fmt: skip


def _test_hours(of: Figures, tests: float) -> Count:
    (row, time), = _times("test")
    assert time is not None
    if of.test is None or not tests:
        return Count("Time", "test-hours", "Hours for the water tests", 0.0, "s", "none", "There is no test to come.",
                     RestsOn.DESIGN)  # fmt: skip
    more = time.value + of.test.holds
    whole, spread = of.first_test + (tests - 1) * more, (tests - 1) * time.spread
    how = (f"On a day before. The first takes {neat(of.first_test, 'min')} by the steps of Make, each further one "
           f"{neat(more, 'min')}: {row['because']}; {neat(of.test.holds, 'min')} of it are the holds.")  # fmt: skip
    return Count("Time", "test-hours", "Hours for the water tests", whole, "s",
                 f"{in_hours(whole)} ± {in_hours(spread)}", how, RestsOn.JUDGEMENT, spread)  # fmt: skip

