"""What comes next for a bottle by its own file: looked over, tested again, retired; and how its diameter goes on.

The numbers are the verdict's (`proof.expiry`, `proof.vessel`); whether a bottle may be pumped, and how hard, is said by
the verdict of the design that it flies in.
"""

from collections.abc import Iterator
from datetime import date, timedelta

from bottlewright.logbook.growth import Growth, growth_of
from bottlewright.logbook.records import VesselFile, VesselTest
from bottlewright.logbook.vessels import counted, cycles_by, retired_because
from bottlewright.proof.expiry import TEST_CYCLES, test_days
from bottlewright.proof.vessel import INSPECT_CYCLES, MOST_CYCLES

__all__ = ["ahead_of"]


def ahead_of(vessel: VesselFile, today: date) -> tuple[str, ...]:
    """Return what comes next for a bottle, in sentences; nothing for one that nobody pumps again."""
    if retired_because(vessel):
        return ()
    count = counted(vessel)
    if count is None:
        return ("Nobody knows how often it was under pressure before its file began, so it counts as spent: take a "
                "bottle that was counted from the first time.",)  # fmt: skip
    if spoiled := _spoiled(vessel):
        return (f"Retire it: {spoiled}.",)
    return (*_retire(count), *_look(vessel, count), *_test(vessel, count, today), *_growth(growth_of(vessel), count))


def _spoiled(vessel: VesselFile) -> str:
    """Return what the verdict stops at for good; empty where there is nothing."""
    if any(one.how == "hot car" for one in vessel.heat):
        return "it was left in a hot car, which takes strength that no eye can see"
    work = sorted({one.what for one in vessel.work if one.what != "glued"})
    return f"its wall was {' and '.join(work)}" if work else ""


def _retire(count: int) -> Iterator[str]:
    left = MOST_CYCLES - count
    yield (f"Retire it: it was under pressure {count} times, and {MOST_CYCLES} are the most." if left <= 0 else
           f"Retire it after {_times(left)} under pressure, at {MOST_CYCLES} in all.")  # fmt: skip


def _look(vessel: VesselFile, count: int) -> Iterator[str]:
    looked = max((cycles_by(vessel, one.at) - 1 for one in vessel.inspection if one.fit), default=0)
    if looked >= INSPECT_CYCLES or count >= MOST_CYCLES:
        return
    left = INSPECT_CYCLES - count
    yield (f"An adult looks over the whole bottle before it is pumped again: it was under pressure {count} times."
           if left <= 0 else f"An adult looks over the whole bottle after {_times(left)} under pressure.")  # fmt: skip


def _test(vessel: VesselFile, count: int, today: date) -> Iterator[str]:
    if count >= MOST_CYCLES:
        return
    passed = [one for one in vessel.test if one.passed and one.medium == "water"]
    last = max(passed, key=lambda one: one.at, default=None)
    if last is None:
        yield "Test it filled with water before it is pumped: it has held no such test."
        return
    ended = _ended(vessel, last)
    until = date.fromisoformat(last.at[:10]) + timedelta(int(test_days()))
    left = TEST_CYCLES - (count - cycles_by(vessel, last.at))
    if not ended and left <= 0:
        ended = f"it was under pressure {TEST_CYCLES - left} times since, and a test lasts {TEST_CYCLES}"
    if not ended and today > until:
        ended = f"a test lasts {test_days():.0f} days, until {until}"
    if ended:
        yield f"Test it again, filled with water, before it is pumped: {ended}."
    else:
        yield (f"Test it again after {_times(left)} under pressure, or after {until}, whichever comes first; at once "
               "after a hard landing, a new nozzle or any work on the wall.")  # fmt: skip


def _ended(vessel: VesselFile, test: VesselTest) -> str:
    """Return what ended a test, whatever its age: what happened on its day or later counts as after it."""
    happened = [(one.at[:10], words) for words, entries in (
        ("it came down hard", vessel.hard_landing), ("its wall was in the sun or warm", vessel.heat),
        ("its wall was worked on", vessel.work)) for one in entries if one.at[:10] >= test.at[:10]]  # fmt: skip
    day, words = max(happened, default=("", ""))
    return f"{words} on {day}" if words else ""


def _growth(growth: Growth | None, count: int) -> Iterator[str]:
    if growth is not None and growth.each > 2.0 * growth.u_each and count < MOST_CYCLES:
        more, u_more = (1e3 * (MOST_CYCLES - count) * one for one in (growth.each, growth.u_each))
        yield (f"As it grows now it would be {more:.1f} mm ± {u_more:.1f} mm wider by then. A wall that goes on "
               "growing gives way: what may stay after a test stands on its sheet.")  # fmt: skip


def _times(count: int) -> str:
    return "1 more time" if count == 1 else f"{count} more times"
