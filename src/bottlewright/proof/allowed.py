"""The highest reading of the gauge that is allowed: one number, made here and nowhere else.

The plan is no input of it: a load above it is stopped, and the number stands, so that pumping less is the cure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.proof.burst_posterior import TestResult
from bottlewright.proof.bursts import Bottle
from bottlewright.proof.condition import ended
from bottlewright.proof.evidence import own_tests
from bottlewright.proof.gauge_error import BY_EYE, reading_at_most, true_at_most
from bottlewright.proof.launcher import launcher_report
from bottlewright.proof.next_test import next_test, passed_test
from bottlewright.proof.pressure_rules import pressure_rules
from bottlewright.proof.rating import RatedPressure, fresh, rate, rated_pressure
from bottlewright.proof.vessel import describe_bottle

__all__ = ["AfterTest", "Allowed", "aimed_at", "allowed_pressure", "first_plan", "fresh_after_test"]


@dataclass(frozen=True, slots=True)
class AfterTest:
    """What a water-filled test would allow a vessel that has none: the test's gauge pressure, and the allowed, Pa.

    `in_the_end_gauge_Pa` is what further tests would allow, each planned after the one before has held: a bottle whose
    age is only told is tested in steps.
    """

    test_gauge_Pa: float
    allowed_gauge_Pa: float
    in_the_end_gauge_Pa: float


@dataclass(frozen=True, slots=True)
class Allowed:
    """The highest reading of the gauge, Pa; None before the vessel's own water test.

    `because` reads on after "because"; `held_by` names what sets the number: "vessel", "rating", "gauge", "published
    maximum", "launcher part", "local limit" or "no test". Only a vessel that is finished is `retired`: a place or a
    gauge that leaves 0 says nothing of the bottle.
    """

    gauge_Pa: float | None
    because: str
    held_by: str
    after_test: AfterTest | None
    gauge_too_coarse: bool = False

    @property
    def retired(self) -> bool:
        """Whether nobody pumps this vessel again."""
        return self.held_by == "vessel"

    @property
    def most_Pa(self) -> float:
        """The number that a plan is held against: what is allowed, or what tests one after the other would allow."""
        if self.gauge_Pa is not None:
            return self.gauge_Pa
        return self.after_test.in_the_end_gauge_Pa if self.after_test else 0.0


class _Limit(NamedTuple):
    """One limit of the reading, Pa, its name, and why, reading on after "because"."""

    reading: float
    name: str
    because: str


def allowed_pressure(design: Design, rated: RatedPressure | None = None) -> Allowed:
    """Return the highest reading of the gauge that is allowed for a completed design.

    Parameters
    ----------
    rated
        Where it has been worked out already.
    """
    rated, habit, end = rated or rated_pressure(design), unit_habit(design), ended(design)
    if end is not None:
        return Allowed(0.0, end.because, "vessel", None)
    if not rated.own_evidence:
        because = f"it has passed no water-filled test of its own that counts{_only_in_the_design(design)}"
        after = _after_test(design, describe_bottle(design), own_tests(design))
        coarse = after.allowed_gauge_Pa <= 0.0 and all(limit.reading > 0.0 for limit in _other_limits(design))
        return Allowed(None, because, "no test", after, coarse)
    least = min([_rating_limit(design, rated, habit), *_other_limits(design)])
    return Allowed(least.reading, least.because, least.name, None, reading_at_most(design, rated.gauge_Pa) <= 0.0)


def _only_in_the_design(design: Design) -> str:
    history = design.written.history
    if history is None or not history.only_in_the_design:
        return ""
    return f"; a test that stands only in the design counts for nothing until {history.file} has it"


def aimed_at(design: Design, allowed: float) -> float:
    """Return the pressure to plan, Pa gauge, so that no pump overshoots what is allowed.

    By twice the ± of charge.pressure, or the usual one where the file then gives none; rounded down as it is said.
    """
    planned = design.charge.pressure
    slack = 2.0 * planned.spread if planned else 0.0
    return math.floor(max(min(allowed - slack, allowed / (1.0 + BY_EYE)), 0.0) / 1e3 + 1e-6) * 1e3


def first_plan(design: Design, allowed: Allowed) -> float | None:
    """Return the most to plan before its own test, Pa gauge: what the first one would allow, less an overshoot.

    None for a vessel that does not wait for its first test.
    """
    after = allowed.after_test
    return None if after is None else aimed_at(design, after.allowed_gauge_Pa)


def fresh_after_test(design: Design) -> AfterTest:
    """Return what a fresh bottle of the same kind would be allowed after its own test, and at which pressure."""
    return _after_test(design, replace(fresh(describe_bottle(design)), wall_ratio=None), ())


def _after_test(design: Design, bottle: Bottle, tests: Sequence[TestResult]) -> AfterTest:
    """Return the test for the strictest published rule, advice included, and what it would allow."""
    rules = pressure_rules(design)
    reading = min(rules.strict_Pa, *(limit.reading for limit in _other_limits(design)))
    first, done, allows = 0.0, list(tests), [0.0]
    for _ in range(_STEPS):
        test = next_test(design, bottle, done, reading or rules.strict_Pa)
        first = first or test
        done.append(passed_test(bottle, test))
        allows.append(min(reading, reading_at_most(design, rate(bottle, done, None, rules).rated)))
        if allows[-1] >= reading or allows[-1] <= allows[-2]:
            break
    return AfterTest(first, allows[1], max(allows))


_STEPS = 3
"""Tests one after the other that are looked ahead at: each costs the bottle one of its fifteen times under pressure."""


def _rating_limit(design: Design, rated: RatedPressure, habit: UnitHabit) -> _Limit:
    reading = reading_at_most(design, rated.gauge_Pa)
    if reading <= 0.0:
        out = habit.pressure(true_at_most(design, 0.0), 2)
        return _Limit(0.0, "gauge", f"the gauge may read {out} low, and the bottle is rated to no more than "
                                    f"{at_most(habit, rated.gauge_Pa)}: it takes a finer gauge to pump it")
    off = f", less {habit.pressure(rated.gauge_Pa - reading, 2)} for the gauge" if reading < rated.gauge_Pa else ""
    return _Limit(reading, "rating", f"{rated.basis}{off}")


def _other_limits(design: Design) -> list[_Limit]:
    rules, habit = pressure_rules(design), unit_habit(design)
    limits = [_Limit(rules.maximum_Pa, "published maximum", "the strictest published maximum allows no more "
                     f"({rules.maximum.source}: {at_most(habit, rules.maximum_Pa)})")]
    weak = launcher_report(design).weakest
    if weak is not None and weak.rating_Pa is not None:
        limits.append(_Limit(weak.rating_Pa, "launcher part",
                             f"the {weak.name} bears no more than {at_most(habit, weak.rating_Pa)} ({weak.basis})"))
    local = design.site.pressure_limit
    if local is not None:
        limits.append(_Limit(local.value, "local limit", "site.pressure_limit of the design file allows no more"))
    return limits
