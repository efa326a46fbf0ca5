"""A vessel's own proof tests as evidence: how old each is, what is left of what it showed, and what contradicts it.

A test without a date or a count of pressurisations is taken at the start of the bottle's life. One that contradicts the
file, or that such a bottle could hardly have passed, counts for nothing until it is explained or repeated. One that was
passed with air raises nothing, so that nobody gains by the test that hurts people. A failed one always counts.
"""

import math
from dataclasses import dataclass, replace
from datetime import date

from bottlewright.design.document import Design
from bottlewright.design.once import once_per_design
from bottlewright.design.rocket import ProofTest
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import percent
from bottlewright.names import several
from bottlewright.proof.burst_posterior import TestResult, posterior
from bottlewright.proof.bursts import Bottle, highest_published, law, strength
from bottlewright.proof.expiry import expired
from bottlewright.proof.judged_day import counted_to, days_past, judged_on
from bottlewright.proof.losses import kept
from bottlewright.proof.vessel import describe_bottle, done_since, growth_after
from bottlewright.quantities import Quantity, neat

__all__ = ["ON_AIR", "Doubt", "OwnTest", "own_evidence", "own_tests", "says_its_bottle"]

_DAY = 86400.0
ON_AIR = ("no launch may rest on it, and no next test goes higher for it. A test with air is the one that hurts "
          "people: next time fill it with water to the brim")
"""What a test that was passed with air is worth."""
OTHER_GIRTH = 0.02
"""Part of its width by which a bottle differs from itself at the most: a test stretches it by some thousandths."""
OTHER_VOLUME = 0.05
"""Part of its volume by which a bottle differs from itself at the most: a label is that far off (our judgement)."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What contradicts a test: short name, what was found, what it is held against, and who says so."""

    code: str
    found: str
    limit: str
    source: str


@dataclass(frozen=True, slots=True)
class OwnTest:
    """A proof test of the file, what it is as evidence at the launch, what contradicts it, and why it has expired."""

    test: ProofTest
    result: TestResult
    doubts: tuple[Doubt, ...]
    expired: str = ""

    @property
    def counts(self) -> bool:
        """Whether it bears on the strength: a failed test always, a passed one on water that nothing contradicts."""
        return not self.result.passed or (self.result.on_water and not self.doubts)


def own_evidence(design: Design) -> tuple[OwnTest, ...]:
    """Return each proof test of a completed design as evidence."""
    known, judged = _by_day(design), judged_on(design)
    if judged not in known:
        bottle = describe_bottle(design)
        known[judged] = tuple(_own_test(design, bottle, judged, test) for test in design.vessel.proof)
    return known[judged]


@once_per_design
def _by_day(_: Design) -> dict[date | None, tuple[OwnTest, ...]]:
    """Return what was worked out for a design, by the day on which it was judged."""
    return {}


def own_tests(design: Design) -> list[TestResult]:
    """Return what the tests that count are as evidence; one that has stretched the wall for good is a failed one."""
    return [one.result for one in own_evidence(design) if one.counts]


def _own_test(design: Design, bottle: Bottle, judged: date | None, test: ProofTest) -> OwnTest:
    grown = growth_after(design, test)
    ago = (judged - date.fromisoformat(test.date)).days * _DAY if test.date and judged else None
    then, now = _ages(bottle.age if ago is None else bottle.youngest, ago)
    since = max(bottle.cycles - (test.cycles or 0), 0)
    left = kept(then, now, since, bottle.temperature, bottle.rest, done_since(design.vessel, test.date))
    passed = test.passed and not (grown is not None and grown.sure)
    doubt = 2.0 * test.pressure.spread
    over = expired(design, test) if passed else ""
    result = TestResult(test.pressure.value, test.hold.value, passed, left, test.medium == "water", doubt, bool(over))
    doubts = [*_dates(design, test, ago, judged), *_counts(design, test), *_another(design, test)]
    if result.passed:
        # Of unknown age it is given the benefit of having been fresh: what is told is a contradiction, not a guess. It
        # is held against what the file says without its ±, so that a wider ± never makes a pass believed.
        used, told = test.cycles or 0, design.vessel.age
        said = _ages(told.value + _DAY * days_past(design) if told else None, ago)[0]
        then_it_was = replace(bottle, age=said, cycles=used, storage=None, surface=(),
                              temperature=0.0, rest=0.0)
        doubts += _strengths(design, then_it_was, replace(result, doubt=0.0))
    return OwnTest(test, result, tuple(doubts), over)


def _ages(age: float | None, ago: float | None) -> tuple[float, float]:
    """Return the bottle's age at a test and at the launch, s; each as bad as it can be where it is not known."""
    if ago is None:  # at the start of its life, which may be as long as can be
        return 0.0, math.inf if age is None else age
    ago = max(ago, 0.0)
    return (0.0, ago) if age is None else (max(age - ago, 0.0), max(age, ago))


def says_its_bottle(test: ProofTest) -> bool:
    """Say whether a test tells of which bottle it was made on: its kind, its volume or its width."""
    return any((test.bottle, test.volume, test.diameter_before, test.diameter_after))


def _another(design: Design, test: ProofTest) -> list[Doubt]:
    """Doubt a test of another bottle: of another kind, volume, number or width than the one that flies."""
    vessel, habit, code = design.vessel, unit_habit(design), "test-of-another-bottle"
    then, found = test.diameter_before or test.diameter_after, []
    if test.bottle and vessel.bottle and test.bottle != vessel.bottle:
        found.append(Doubt(code, f"the tested bottle was {test.bottle}, this one is {vessel.bottle}", "the same bottle",
                           "our judgement"))
    if _apart(test.volume, vessel.volume, OTHER_VOLUME):
        found.append(Doubt(code, f"the tested bottle held {_litres(test.volume)}, this one holds "
                                 f"{_litres(vessel.volume)}", _within(OTHER_VOLUME), "our judgement"))
    if test.count is not None and test.count != vessel.count:
        found.append(Doubt(code, f"{test.count} bottles were tested, joined, and {vessel.count} fly",
                           "the bottles as they fly", "our judgement"))
    if then and vessel.diameter and _apart(then, vessel.diameter, OTHER_GIRTH):
        found.append(Doubt(code, f"the tested bottle was {habit.length(then.value)} wide, this one is "
                                 f"{habit.length(vessel.diameter.value)}", _within(OTHER_GIRTH), "our judgement"))
    return found[:1]


def _apart(then: Quantity | None, now: Quantity | None, share: float) -> bool:
    return then is not None and now is not None and abs(then.value - now.value) > share * now.value + 2.0 * (
        then.spread + now.spread)  # fmt: skip


def _within(share: float) -> str:
    return f"within {percent(share)} of it, and what they are uncertain by"


def _litres(volume: Quantity | None) -> str:
    return neat(volume.value, "mL", 4) if volume else ""


def _dates(design: Design, test: ProofTest, ago: float | None, judged: date | None) -> list[Doubt]:
    age = design.vessel.age
    if ago is None:
        return []
    if ago < 0.0:
        given = "charge.day" if design.charge.day and not days_past(design) else "today"
        return [Doubt("test-in-future", f"a test passed on {test.date}", f"before {judged} ({given})",
                      "the dates of the design file")]
    if age is not None and ago > age.value + 2.0 * age.spread + _DAY * (1 + days_past(design)):
        opened = f"opened {several(round(age.value / _DAY + days_past(design)), 'day')} before {judged} (vessel.age)"
        opened += counted_to(design)
        return [Doubt("test-before-opened", f"a test on {test.date}", opened, "the dates of the design file")]
    return []


def _counts(design: Design, test: ProofTest) -> list[Doubt]:
    cycles = design.vessel.cycles
    if cycles is None or (test.cycles or 0) <= cycles:
        return []
    return [Doubt("test-cycles", f"{several(test.cycles or 0, 'time under pressure')} at the test",
                  f"{cycles} so far (vessel.cycles)", "the counts of the design file")]


def _strengths(design: Design, bottle: Bottle, result: TestResult) -> list[Doubt]:
    """Hold a pass against what such a bottle could be expected to hold on that day."""
    highest = highest_published(bottle.kind, bottle.volume)
    chance = 1.0 - posterior(strength(bottle)).chance_below(result.proven_then())
    if result.pressure <= highest and chance >= law("credible"):
        return []
    habit, doubts = unit_habit(design), []
    passed = f"a test passed at {habit.pressure(result.pressure)}"
    if result.pressure > highest:
        doubts.append(Doubt("above-any-bottle", passed, f"{habit.pressure(highest)}, the most that a published bottle "
                            f"of its kind ({bottle.kind}) held, brought to this size", "published burst tests"))
    if chance < law("credible"):
        doubts.append(Doubt("unlikely-pass", passed, "fewer than 1 in 100 such bottles, of that age and use, "
                            "would have passed it", "published burst tests; 1 in 100 is our judgement"))
    return doubts
