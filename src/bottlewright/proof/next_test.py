"""The next water-filled test of a vessel: how hard, so that it covers a reading for a month, and how hard at most.

Plan, remedies and the allowed pressure take all of it from here.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bottlewright.design.document import Design
from bottlewright.proof.burst_posterior import BurstBelief, TestResult, posterior, posterior_if_told_wrong
from bottlewright.proof.bursts import Bottle, burst_table, law, strength
from bottlewright.proof.gauge_error import true_at_most
from bottlewright.proof.losses import kept
from bottlewright.proof.pressure_rules import pressure_rules, proof_factor
from bottlewright.quantities import Dimension

__all__ = ["TestCeiling", "believed_for_test", "next_test", "passed_test", "test_ceiling"]

_FINE = 5e3
"""Pa: a test is planned in steps as fine as a gauge is read, so that who tests at the pressure that is said has
tested at it. Our judgement."""


@dataclass(frozen=True, slots=True)
class TestCeiling:
    """The hardest water-filled test that is planned, Pa gauge, and why no harder."""

    __test__ = False  # not a class of tests

    gauge_Pa: float
    because: str
    source: str


def believed_for_test(bottle: Bottle, tests: Sequence[TestResult]) -> BurstBelief:
    """Return what is believed of a vessel's strength where the question is how hard it may be tested.

    Its age is somebody's word, so it may be wrong; then the bottle is as old as can be. What may be launched needs no
    such doubt: that never rests on the word, but on what the test has shown.
    """
    told = strength(bottle)
    if bottle.age is None:
        return posterior(told, tests)
    old = strength(replace(bottle, age=None, youngest=None))
    return posterior_if_told_wrong(told, old, law("age_word_wrong"), tests)


def test_ceiling(design: Design, belief: BurstBelief) -> TestCeiling:
    """Return the hardest test to plan for the vessel of a completed design, by what is believed of its strength."""
    table = burst_table()["proof"]
    by_rule = proof_factor() * pressure_rules(design).maximum_Pa
    by_chance = belief.quantile(law("break_most", table="proof"))
    if by_chance < by_rule:
        one_in = round(1.0 / law("break_most", table="proof"))
        because = f"a harder test ends more than 1 in {one_in} such bottles"
        return TestCeiling(_down(by_chance), because, table["break_source"])
    because = f"{proof_factor():g} times the strictest published maximum"
    return TestCeiling(_down(by_rule), because, table["ceiling_source"])


def _down(pressure: float) -> float:
    return math.floor(pressure / _FINE + 1e-9) * _FINE


def passed_test(bottle: Bottle, gauge: float) -> TestResult:
    """Return a test of this pressure (Pa gauge), passed a month before the launch, as evidence for it."""
    lead = law("lead", Dimension.TIME, "proof")
    age = max((bottle.age if bottle.youngest is None else bottle.youngest) or 0.0, lead) - lead
    done = [bottle.storage, *bottle.surface]
    after = tuple(name for name in done if name and name not in bottle.dated)
    left = kept(age, age + lead, 0, bottle.temperature, bottle.rest, after)
    return TestResult(gauge, law("hold", Dimension.TIME, "proof"), True, left)


def next_test(design: Design, bottle: Bottle, tests: Sequence[TestResult], reading: float) -> float:
    """Return the test pressure, Pa gauge, that would cover a reading of the gauge for a month; at most the ceiling.

    Parameters
    ----------
    bottle, tests
        The vessel to be tested, and its tests that count.
    """
    wanted = proof_factor() * true_at_most(design, reading) / passed_test(bottle, 1.0).kept
    wanted = math.ceil(wanted / _FINE - 1e-9) * _FINE
    return min(wanted, test_ceiling(design, believed_for_test(bottle, tests)).gauge_Pa)
