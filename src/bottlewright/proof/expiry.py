"""When a passed test no longer carries a launch, and when a bottle is looked over or spent: one owner of each number.

What a test shows fades day by day (`losses`). Beyond that it ends: nothing rests on it any more until there is another.
"""

from datetime import date, timedelta

from bottlewright.design.document import Design
from bottlewright.design.rocket import ProofTest, Vessel
from bottlewright.proof.bursts import law
from bottlewright.proof.judged_day import counted_to, judged_on
from bottlewright.proof.vessel import INSPECT_CYCLES, MOST_CYCLES, cycles_counted, done_since
from bottlewright.quantities import Dimension

__all__ = ["AGAIN", "TEST_CYCLES", "expired", "inspection_due", "last_day", "spent", "test_days"]

TEST_CYCLES = 10
"""Times under pressure that a test lasts: our judgement, as the looks over the bottle are (`INSPECT_CYCLES`)."""

AGAIN = "again after ten launches, a hard landing, a new nozzle, or any work on the vessel"
"""When a bottle is tested again, in words."""


def expired(design: Design, test: ProofTest) -> str:
    """Return why a passed test carries no launch any more, reading on after "since then"; empty while it does.

    A hard landing and damage to its nozzle end it for every bottle. Days, count, sun and work on the wall end it where
    the bottle has a file of its own that tells of each; of another they are taken off what the test shows.
    """
    vessel = design.vessel
    if vessel.hard_landing and (test.date is None or test.date <= vessel.hard_landing):
        return f"it came down hard on {vessel.hard_landing}"
    if nozzle := _other_nozzle(design, test):
        return nozzle
    if vessel.id is None:
        return ""
    judged, days = judged_on(design), test_days()
    if test.date is None:
        return "nobody knows how much time has passed: the test bears no date"
    ago = (judged - date.fromisoformat(test.date)).days if judged else 0
    if ago > days:
        return f"{ago} days have passed{counted_to(design)}, and a test lasts {days:.0f}"
    since = cycles_counted(vessel) - (test.cycles or 0)
    if vessel.cycles is None:
        return "nobody knows how often it was under pressure"
    if since >= TEST_CYCLES:
        return f"it was under pressure {since} times, and a test lasts {TEST_CYCLES}"
    done = [one for one in done_since(vessel, test.date) if one != "cool"]  # kept cool, nothing was done to it
    return f"its wall was {' and '.join('in the sun' if one == 'sun' else one for one in done)}" if done else ""


def test_days() -> float:
    """Return how long a test lasts, days."""
    return law("lead", Dimension.TIME, "proof") / 86400.0


def last_day(test: ProofTest) -> date | None:
    """Return the last day on which a test of a bottle with its own file carries a launch; None without its date."""
    return date.fromisoformat(test.date) + timedelta(int(test_days())) if test.date else None


def _other_nozzle(design: Design, test: ProofTest) -> str:
    """Return what ends a test that was not of the nozzle which is on the bottle now; empty where nothing does.

    Only a test on the day of the damage or later can be of the new one, and only where both days are known.
    """
    for one in design.damage:
        if one.part != "nozzle" or one.withdrawn:
            continue
        if one.done != "replaced":
            return f"its nozzle was damaged ({one.what}), and nobody has replaced it"
        if one.day is None:
            return f"its nozzle was replaced ({one.what}), and nobody says when: write the day of that damage"
        if test.date is None or test.date < one.day:
            return f"its nozzle was replaced ({one.what}, {one.day}): the new one has held no water test"
    return ""


def inspection_due(vessel: Vessel) -> bool:
    """Say whether an adult has to look over the whole bottle before it is pumped again: at ten times, its file says."""
    due = vessel.id is not None and cycles_counted(vessel) >= INSPECT_CYCLES
    return due and (vessel.inspected or 0) < INSPECT_CYCLES


def spent(vessel: Vessel) -> bool:
    """Say whether a bottle has come to the end of its life by its count.

    A count by hand may have the launch in it that is still to come; the bottle's own file has none, and ends at the
    number itself.
    """
    cycles = cycles_counted(vessel)
    return cycles > MOST_CYCLES or (vessel.id is not None and cycles >= MOST_CYCLES)
