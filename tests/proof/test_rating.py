"""A rating follows the evidence: it rises with strength and passed tests, falls with age, wear and failed ones."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.proof.burst_posterior import TestResult, posterior
from bottlewright.proof.bursts import Bottle, strength
from bottlewright.proof.rating import rate
from bottlewright.proof.rules import rule_table

BAR = 1e5
PRESSURES = [rule for rule in rule_table() if rule.subject == "pressure" and not rule.group]  # no contest's
STRICTEST = min(rule.value or 0.0 for rule in PRESSURES)
STRICTEST_MAXIMUM = min(rule.value or 0.0 for rule in PRESSURES if not rule.advice)

kinds = st.sampled_from(["carbonated", "hot-drink", "still", "unknown"])
pressures = st.floats(0.2 * BAR, 20 * BAR)
shares = st.floats(0.2, 1.0)
holds = st.floats(0, 3600)
tests = st.lists(st.builds(TestResult, pressures, holds, st.booleans(), shares, st.booleans()), max_size=3)
passed_tests = st.lists(st.builds(TestResult, pressures, holds, st.just(True), shares, st.booleans()), max_size=3)
proof_tests = st.builds(TestResult, pressures, st.floats(10, 3600), st.just(True), shares)
"""A vessel that failed a test is retired whatever its age, so those three questions are asked of the others."""
bottles = st.builds(
    Bottle,
    kind=kinds,
    volume=st.floats(0.3e-3, 3e-3),
    wall_ratio=st.none() | st.floats(0.001, 0.02),
    age=st.none() | st.floats(0, 3e8),
    cycles=st.integers(0, 40),
    storage=st.sampled_from([None, "cool", "sun", "hot car"]),
    surface=st.lists(st.sampled_from(["glued", "hot-glued", "sanded", "cut", "heated"]), max_size=2).map(tuple),
    temperature=st.floats(273, 330),
    count=st.integers(1, 3),
    joint_shear_per_pressure=st.none() | st.floats(0.1, 5.0),
)

def not_more(lesser: float, greater: float) -> bool:
    return lesser <= greater * (1 + 1e-9)


@given(bottles, tests, pressures, holds)
@settings(max_examples=60)
def test_a_passed_test_never_lowers_what_a_bottle_is_believed_to_bear(
    bottle: Bottle, before: list[TestResult], p: float, hold: float
) -> None:
    after = rate(bottle, [*before, TestResult(p, hold, True)])
    assert not_more(rate(bottle, before).burst_limit, after.burst_limit)


@given(bottles, proof_tests, passed_tests, pressures, holds)
@settings(max_examples=60)
def test_one_more_passed_test_never_lowers_the_rating_of_a_tested_bottle(
    bottle: Bottle, first: TestResult, others: list[TestResult], p: float, hold: float
) -> None:
    """The first test sets the rating, by what it has shown; a weak one shows little."""
    before = [first, *others]
    assert not_more(rate(bottle, before).rated, rate(bottle, [*before, TestResult(p, hold, True)]).rated)


@given(bottles, tests, pressures, st.floats(0, 3600))
@settings(max_examples=60)
def test_a_failed_proof_test_never_raises_the_rating(
    bottle: Bottle, before: list[TestResult], p: float, hold: float
) -> None:
    assert not_more(rate(bottle, [*before, TestResult(p, hold, False)]).rated, rate(bottle, before).rated)


@given(bottles)
@settings(max_examples=60)
def test_a_bottle_without_evidence_never_gets_more_than_the_strictest_rule(bottle: Bottle) -> None:
    assert not_more(rate(bottle).rated, STRICTEST)


@given(bottles, tests)
@settings(max_examples=60)
def test_no_evidence_lifts_a_rating_over_the_strictest_published_maximum(bottle: Bottle, own: list[TestResult]) -> None:
    assert not_more(rate(bottle, own).rated, STRICTEST_MAXIMUM)


@given(bottles, passed_tests, st.floats(0, 2e8), st.floats(0, 2e8))
@settings(max_examples=60)
def test_an_older_bottle_is_never_rated_higher(bottle: Bottle, own: list[TestResult], age: float, more: float) -> None:
    younger, older = (replace(bottle, age=a) for a in (age, age + more))
    assert not_more(rate(older, own).rated, rate(younger, own).rated)


@given(bottles, passed_tests, st.floats(0.001, 0.02), st.floats(1.0, 3.0))
@settings(max_examples=60)
def test_a_thicker_wall_is_never_rated_lower(bottle: Bottle, own: list[TestResult], ratio: float, times: float) -> None:
    thin, thick = (replace(bottle, wall_ratio=r) for r in (ratio, ratio * times))
    assert not_more(rate(thin, own).rated, rate(thick, own).rated)


@given(bottles, passed_tests, st.integers(0, 30))
@settings(max_examples=40)
def test_more_launches_never_raise_the_rating(bottle: Bottle, own: list[TestResult], more: int) -> None:
    assert not_more(rate(replace(bottle, cycles=bottle.cycles + more), own).rated, rate(bottle, own).rated)


@given(bottles, tests, pressures, st.floats(1.0, 5.0))
@settings(max_examples=40)
def test_the_chance_of_a_burst_rises_with_pressure(
    bottle: Bottle, own: list[TestResult], p: float, times: float
) -> None:
    belief = posterior(strength(bottle), own)
    assert not_more(belief.chance_below(p), belief.chance_below(p * times) + 1e-15)


@given(bottles, tests)
@settings(max_examples=40)
def test_chances_add_up_to_one_whatever_the_tests_contradict(bottle: Bottle, own: list[TestResult]) -> None:
    assert posterior(strength(bottle), own).chances.sum() == pytest.approx(1.0)


def test_a_quantile_is_where_its_chance_is_reached() -> None:
    belief = posterior(strength(Bottle("carbonated", 1.5e-3)))
    for chance in (1e-4, 0.01, 0.5, 0.99):
        assert belief.chance_below(belief.quantile(chance)) == pytest.approx(chance, rel=2e-3)


def test_without_tests_the_belief_is_the_mixture_of_lognormals_it_was_built_from() -> None:
    """Exact limit: lognormals whose two variances add."""
    from math import hypot, log

    from scipy.stats import norm

    prior = strength(Bottle("carbonated", 1.5e-3, age=0.0))
    belief = posterior(prior)
    for pressure in (6 * BAR, 8 * BAR, 10 * BAR, 14 * BAR):
        exact = sum(part.weight * norm.cdf(log(pressure / part.median) / hypot(part.between, part.common))
                    for part in prior.parts)
        assert belief.chance_below(pressure) == pytest.approx(exact, rel=0.02)


def test_two_bottles_in_a_row_are_as_strong_as_the_weaker() -> None:
    one, two = (posterior(strength(Bottle("carbonated", 1.5e-3, count=n))) for n in (1, 2))
    # Given the kind's median the two are independent, so the chances nearly add far out in the tail of a node.
    assert one.chance_below(7e5) < two.chance_below(7e5) < 2 * one.chance_below(7e5)


def test_a_proof_test_at_eight_and_a_quarter_bar_earns_five_and_a_half() -> None:
    """8.25 bar over 1.5: the ordinary first pressure as a matter of evidence."""
    fresh = Bottle("carbonated", 1.5e-3, age=0.0)
    tested = rate(fresh, [TestResult(8.25 * BAR, 60.0, True)])
    assert tested.rated == pytest.approx(5.5 * BAR)
    assert rate(fresh).rated == pytest.approx(STRICTEST)


def test_a_short_hold_earns_a_little_less() -> None:
    fresh = Bottle("carbonated", 1.5e-3, age=0.0)
    long, short = (rate(fresh, [TestResult(7.5 * BAR, hold, True)]).rated for hold in (60.0, 15.0))
    assert 0.9 * long < short < long


@pytest.mark.parametrize("test", [TestResult(7.5 * BAR, 5.0, True), TestResult(7.5 * BAR, 60.0, True, on_water=False)])
def test_a_hold_under_ten_seconds_and_a_test_on_air_show_strength_and_earn_nothing(test: TestResult) -> None:
    bottle = Bottle("carbonated", 1.5e-3, age=1e8)
    without, with_it = rate(bottle), rate(bottle, [test])
    assert with_it.proof_limit is None
    assert with_it.burst_limit > 1.2 * without.burst_limit
    assert not_more(with_it.rated, STRICTEST)


def test_what_is_left_of_an_old_test_is_what_counts() -> None:
    fresh = Bottle("carbonated", 1.5e-3, age=0.0)
    new, old = (rate(fresh, [TestResult(7.5 * BAR, 60.0, True, kept)]) for kept in (1.0, 0.6))
    assert old.proof_limit == pytest.approx(0.6 * (new.proof_limit or 0.0))
    assert old.burst_limit < new.burst_limit
