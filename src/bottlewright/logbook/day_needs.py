"""What a planned day takes before it begins: water, strokes of the pump, hours, and bottles that come to a limit."""

import math
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.logbook.day_plan import rocket_of
from bottlewright.make.need.asked import table
from bottlewright.make.need.figures import Pumping, pumping_of
from bottlewright.make.need.hours import in_hours, once_a_day, one_launch
from bottlewright.names import several
from bottlewright.proof.evidence import own_evidence
from bottlewright.proof.expiry import last_day
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.vessel import INSPECT_CYCLES, MOST_CYCLES, need
from bottlewright.quantities import neat
from bottlewright.verdict import Verdict

__all__ = ["DayNeeds", "Need", "NeedLine", "day_needs", "need_of"]


class Need(NamedTuple):
    """What one rocket's launches take.

    Parameters
    ----------
    vessel
        What is written on its bottle.
    water_m3
        Of one launch.
    launch_s, launch_spread_s
        How long one launch takes.
    cycles
        Times that its bottle was under pressure; None where nobody knows.
    test_left, test_until
        How many more times its water test lasts, and until which day; None where no day is known.
    """

    rocket: str
    vessel: str
    launches: int
    water_m3: float
    pumping: Pumping
    launch_s: float
    launch_spread_s: float
    cycles: int | None
    test_left: int
    test_until: date | None


class NeedLine(NamedTuple):
    """One line: what, how much in words, how it comes about, and the number (SI; None where nobody knows it)."""

    code: str
    what: str
    shown: str
    how: str
    amount: float | None


class DayNeeds(NamedTuple):
    """The day's lines, and what each bottle comes to on it."""

    lines: tuple[NeedLine, ...]
    bottles: tuple[str, ...]


def need_of(design: Design, proved: ProofReport, verdict: Verdict, launches: int) -> Need:
    """Return what so many launches of a completed design take."""
    pumping, rocket = pumping_of(design, proved), rocket_of(design, verdict, "")
    tests = [one.test for one in own_evidence(design) if one.counts and one.result.earns]
    until = max((day for test in tests if (day := last_day(test))), default=None)
    return Need(rocket.name, rocket.vessel, launches, need(design.charge.water), pumping, *one_launch(pumping),
                rocket.cycles, rocket.test_left, until if design.vessel.id else None)  # fmt: skip


def day_needs(needs: Sequence[Need], day: date) -> DayNeeds:
    """Return the sums of a day's turns."""
    count = sum(one.launches for one in needs)
    return DayNeeds((*_water(needs, count), *_strokes(needs), *_times(needs, count)), tuple(_bottles(needs, day)))


def _water(needs: Sequence[Need], count: int) -> list[NeedLine]:
    net, spilt = math.fsum(one.launches * one.water_m3 for one in needs), table()["spilt"]
    litres = math.ceil(1e3 * net * (1.0 + spilt) - 1e-9)
    how = (f"{neat(net, 'L')} for {several(count, 'launch', 'launches')}, and {spilt:.0%} more for spills and launches "
           "that are called off (our judgement).")  # fmt: skip
    return [NeedLine("water", "Water", f"{litres} L", how, net * (1.0 + spilt))]


def _strokes(needs: Sequence[Need]) -> list[NeedLine]:
    lines, total, open_ = [], 0, False
    for one in needs:
        pump = one.pumping
        what = f"Pump strokes, each launch of {one.rocket}"
        if pump.compressor or not math.isfinite(pump.strokes):
            shown = "none" if pump.compressor else "out of reach"
            how = "A compressor fills it." if pump.compressor else "This pump never gets there."
            lines.append(NeedLine("strokes", what, shown, how, None))
            open_ = open_ or not pump.compressor
            continue
        each = math.ceil(pump.strokes)
        total += one.launches * each
        spread = f" ± {math.ceil(pump.spread)}" if pump.spread and math.isfinite(pump.spread) else ""
        whose = "the design's pump" if pump.described else "a track pump, since the design names none"
        how = f"{neat(pump.air, 'L')} of air, hose counted; {pump.pump}: {whose}."
        lines.append(NeedLine("strokes", what, f"{each}{spread}", how, each))
    known = None if open_ else total
    shown = "not known" if known is None else str(total)
    return [*lines, NeedLine("all-strokes", "Pump strokes together", shown, "Share them out.", known)]


def _times(needs: Sequence[Need], count: int) -> list[NeedLine]:
    each = math.fsum(one.launches * one.launch_s for one in needs) / max(count, 1)
    spread = math.fsum(one.launches * one.launch_spread_s for one in needs) / max(count, 1)
    fixed, off = once_a_day()
    whole = fixed + count * each
    lacks = [one.rocket for one in needs if one.pumping.compressor or not math.isfinite(one.pumping.time)]
    without = f" Without the pumping of {', '.join(lacks)}." if lacks else ""
    return [
        NeedLine("each", "Minutes a launch", f"{each / 60:.0f} ± {spread / 60:.0f} min",
                 f"Fill, seat, clear, pump, wait, fly, find; one launcher (our judgement; strokes counted).{without}",
                 each),
        NeedLine("hours", "Hours in all", f"{in_hours(whole)} ± {in_hours(math.hypot(off, count * spread))}",
                 f"{several(count, 'launch', 'launches')}, and {neat(fixed, 'min')} to set up, brief and pack up. All "
                 "launches are taken to be slow or quick together.", whole),
    ]  # fmt: skip


def _bottles(needs: Sequence[Need], day: date) -> list[str]:
    """Say of each bottle which launch brings it to a limit, and whether its test lasts."""
    found, seen = [], dict[str, list[Need]]()
    for one in needs:
        seen.setdefault(one.vessel or one.rocket, []).append(one)
    for name, several_ in seen.items():
        first, planned = several_[0], sum(one.launches for one in several_)
        who = f"Bottle {name}" if first.vessel else f"The unmarked bottle of {name}"
        if first.cycles is None:
            found.append(f"{who}: nobody knows how often it was under pressure.")
            continue
        for limit, then in ((INSPECT_CYCLES, "an adult looks over all of it before it is pumped again"),
                            (MOST_CYCLES, "it is finished")):  # fmt: skip
            left = limit - first.cycles
            if left <= 0 and limit == MOST_CYCLES:
                found.append(f"{who} was under pressure {first.cycles} times; {limit} are its life. It does not fly.")
            elif 0 < left <= planned:
                found.append(f"{who} comes to its {limit}th time under pressure at launch {left} of {planned}: {then}.")
        if first.test_until is not None and first.test_until < day:
            found.append(f"{who}: its water test ended on {first.test_until}; it is tested again before.")
        elif first.test_left < planned:
            lasts = f"{first.test_left} of {several(planned, 'launch', 'launches')}"
            found.append(f"{who}: its water test lasts for {lasts}; then it is tested again.")
    return found
