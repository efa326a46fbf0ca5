"""How hard a vessel may be pumped, on which basis, and what one thing more would raise it most.

    rated = nothing after a failed test, else the least of
            the pressure at which the chance of a burst in one launch reaches the target,
            the strictest published rule, or passed proof pressure over the proof factor where that is more,
            the strictest published maximum.

So a bottle without a test of its own never gets more than the strictest published rule, advice included; its own
passed proof test can lift it above the advice, never above a published maximum.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_least, at_most, in_own_units
from bottlewright.proof.burst_posterior import BurstBelief, TestResult, posterior
from bottlewright.proof.bursts import Bottle, Factor, burst_table, law, strength
from bottlewright.proof.rules import Plan, Rule, applies, rule_table, strictest
from bottlewright.proof.vessel import describe_bottle, need, own_tests
from bottlewright.quantities import Dimension

__all__ = [
    "SMALLEST_CHANCE", "NextEvidence", "RatedPressure", "Rating", "fresh_rating", "pressure_maximum", "proof_factor",
    "rate", "rated_pressure", "reported_chance",
]

SMALLEST_CHANCE = 1e-4
"""No chance of a burst below this is reported, in words, JSON or figure: a handful of published tests, one bottle each,
can't show it. Our judgement."""


def reported_chance(chance: float) -> float:
    """Return a chance of a burst as it is reported: `SMALLEST_CHANCE` stands for anything below it as well."""
    return max(chance, SMALLEST_CHANCE)


@dataclass(frozen=True, slots=True)
class NextEvidence:
    """The one thing more that would raise the rating most, and to what (Pa gauge); chance as reported."""

    what: str
    rated_gauge_Pa: float
    break_chance: float | None = None  # of the vessel in that test


@dataclass(frozen=True, slots=True)
class Rating:
    """The numbers of a rating, Pa gauge."""

    rated: float
    burst_limit: float  # at the target chance of burst
    burst_low: float
    burst_high: float
    proof_limit: float | None  # best passed proof test over the factor
    rule_limit: float  # strictest published rule, advice included
    rule_maximum: float
    failed: bool
    belief: BurstBelief


@dataclass(frozen=True, slots=True)
class RatedPressure:
    """How hard the vessel of a design may be pumped, with its interval and what it rests on.

    Pressures gauge. A vessel that failed a test is rated to nothing. `burst_chance_at_plan` is as reported: where it is
    `smallest_chance_told`, the true one may be anything below.
    """

    gauge_Pa: float
    low_Pa: float
    high_Pa: float
    interval: float
    target_burst_chance: float
    target_source: str
    basis: str
    held_back_by: str
    burst_limit_Pa: float
    burst_limit_low_Pa: float
    burst_limit_high_Pa: float
    proof_limit_Pa: float | None
    rule_limit_Pa: float
    rule_limit_source: str
    rule_maximum_Pa: float
    rule_maximum_source: str
    burst_median_Pa: float
    planned_Pa: float
    burst_chance_at_plan: float
    smallest_chance_told: float
    failed: bool
    own_evidence: bool
    factors: tuple[Factor, ...]
    next_evidence: NextEvidence | None


def proof_factor() -> float:
    """Return the proof test's factor over the launch pressure."""
    return law("factor", table="proof")


def _pressure_rules(plan: Plan) -> tuple[Rule, Rule]:
    """Return the strictest pressure rule of any sort, and the strictest that forbids more."""
    rules = [rule for rule in rule_table() if applies(rule, plan)]
    any_sort, maximum = strictest(rules, "pressure"), strictest(rules, "pressure", advice=False)
    assert any_sort is not None
    assert maximum is not None
    return any_sort, maximum


def pressure_maximum(design: Design) -> float:
    """Return the strictest published maximum for a completed design, Pa gauge."""
    plan = Plan(need(design.charge.pressure), need(design.vessel.volume) * design.vessel.count)
    return _pressure_rules(plan)[1].value or 0.0


def rate(bottle: Bottle, tests: Sequence[TestResult] = (), target: float | None = None, planned: float = 0.0) -> Rating:
    """Rate a bottle from what is known of it and its own tests; one that failed a test is rated to nothing.

    The interval of the burst limit is its range over nine in ten of the medians that the kind may have, widened to the
    limit itself: that is taken with the median unknown, and may lie below them all.
    """
    belief = posterior(strength(bottle), tests)
    target = law("target") if target is None else target
    burst = belief.quantile(target)
    low, high = belief.quantile_interval(target)
    strict, maximum = (float(rule.value or 0.0) for rule in _pressure_rules(Plan(planned, bottle.volume)))
    passed = [test.proven() / proof_factor() for test in tests if test.passed]
    failed = any(not test.passed for test in tests)
    proof = max(passed) if passed and not failed else None
    earned = max(strict, proof or 0.0)
    rated = 0.0 if failed else min(burst, earned, maximum)
    return Rating(rated, burst, min(low, burst), max(high, burst), proof, strict, maximum, failed, belief)


def rated_pressure(design: Design, target: float | None = None) -> RatedPressure:
    """Rate the vessel of a completed design.

    Parameters
    ----------
    target
        Chance of a burst in one launch that the rating allows; the table's when left out.
    """
    bottle, tests, habit = describe_bottle(design), own_tests(design), unit_habit(design)
    planned = need(design.charge.pressure)
    rating = rate(bottle, tests, target, planned)
    allowed = law("target") if target is None else target
    cap = 0.0 if rating.failed else min(max(rating.rule_limit, rating.proof_limit or 0.0), rating.rule_maximum)
    strict, maximum = _pressure_rules(Plan(planned, bottle.volume))
    held = _held_back_by(rating)
    own = rating.proof_limit is not None
    return RatedPressure(
        gauge_Pa=rating.rated,
        low_Pa=min(rating.burst_low, rating.rated),
        high_Pa=max(rating.rated, min(rating.burst_high, cap)),
        interval=0.90,
        target_burst_chance=allowed,
        target_source=burst_table()["law"]["target_source"] if target is None else "given on the call",
        basis=_basis(rating, held, strict, maximum, bottle, tests, habit),
        held_back_by=held,
        burst_limit_Pa=rating.burst_limit,
        burst_limit_low_Pa=rating.burst_low,
        burst_limit_high_Pa=rating.burst_high,
        proof_limit_Pa=rating.proof_limit,
        rule_limit_Pa=rating.rule_limit,
        rule_limit_source=in_own_units(habit, f"{strict.source}: {strict.says}"),
        rule_maximum_Pa=rating.rule_maximum,
        rule_maximum_source=in_own_units(habit, f"{maximum.source}: {maximum.says}"),
        burst_median_Pa=rating.belief.quantile(0.5),
        planned_Pa=planned,
        burst_chance_at_plan=reported_chance(rating.belief.chance_below(planned)),
        smallest_chance_told=SMALLEST_CHANCE,
        failed=rating.failed,
        own_evidence=own,
        factors=tuple(replace(each, source=in_own_units(habit, each.source)) for each in strength(bottle).factors),
        next_evidence=_next_evidence(bottle, tests, allowed, planned, rating.rated, habit),
    )


def _held_back_by(rating: Rating) -> str:
    """Name what sets the rating: failed test, burst chance, proof test, published rule or published maximum."""
    if rating.failed:
        return "failed test"
    if rating.rated == rating.burst_limit:
        return "burst chance"
    if rating.rated == rating.rule_maximum:
        return "published maximum"
    return "proof test" if rating.proof_limit is not None and rating.rated == rating.proof_limit else "published rule"


def _basis(
    rating: Rating, held: str, strict: Rule, maximum: Rule, bottle: Bottle, tests: Sequence[TestResult],
    habit: UnitHabit,
) -> str:
    """Say in words what a rating rests on; reads on after "because"."""
    passed = [test for test in tests if test.passed]
    if held == "failed test":
        return "it has failed a test"
    if passed:
        best = max(passed, key=TestResult.proven)
        short = "less a little for the short hold " if best.proven() < best.pressure else ""
        own = (f"it passed a proof test at {habit.pressure(best.pressure)}, held for {best.hold:.0f} s, and "
               f"{short}that "
               f"pressure divided by {proof_factor():g} is {at_most(habit, rating.proof_limit or 0.0)}")
    else:
        own = "it has no proof test of its own"
    because = {
        "burst chance": f"such a bottle ({bottle.kind}), of this age and use, bursts too often above it",
        "proof test": own,
        "published rule": in_own_units(habit, f"the strictest published rule allows no more ({strict.source}: "
                                              f"{strict.says})"),
        "published maximum": in_own_units(
            habit, f"the strictest published maximum allows no more ({maximum.source}: {maximum.says})"
        ),
    }
    return because[held] if held == "proof test" else f"{own}, and {because[held]}"


def _candidates(
    bottle: Bottle, tests: Sequence[TestResult], planned: float, rated: float, belief: BurstBelief,
    habit: UnitHabit,
) -> Iterator[tuple[str, Bottle, list[TestResult], float | None]]:
    """Yield what the builder could show besides: in words, the bottle and tests then, the chance to break it."""
    hold = law("hold", Dimension.TIME, "proof")
    maximum = _pressure_rules(Plan(planned, bottle.volume))[1].value or 0.0
    goal = planned if planned > rated else maximum
    proof = min(proof_factor() * min(goal, maximum), belief.quantile(0.05))
    failed = any(not test.passed for test in tests)
    if not failed:
        yield (f"a water-filled proof test passed at {at_least(habit, proof)} for {hold:.0f} s", bottle,
               [*tests, TestResult(proof, hold, True)], belief.chance_below(proof))
    if failed or bottle.age is None or bottle.age > 30 * 86400.0 or bottle.cycles or bottle.storage or bottle.surface:
        yield "a fresh bottle of the same kind, stored cool, nothing done to its wall", _fresh(bottle), [], None
    if failed:
        return
    if bottle.kind == "unknown":
        yield ("finding out that the bottle was made for a carbonated drink",
               replace(bottle, kind="carbonated"), list(tests), None)
    if bottle.age is None:
        yield "knowing the bottle's age, if it is under a month", replace(bottle, age=2.6e6), list(tests), None


def _fresh(bottle: Bottle) -> Bottle:
    return replace(bottle, age=0.0, cycles=0, storage=None, surface=())


def fresh_rating(design: Design) -> float:
    """Return what a fresh bottle of the same kind, without a test of its own, would be rated to, Pa gauge."""
    return rate(_fresh(describe_bottle(design)), (), None, need(design.charge.pressure)).rated


def _next_evidence(
    bottle: Bottle, tests: Sequence[TestResult], target: float, planned: float, rated: float,
    habit: UnitHabit,
) -> NextEvidence | None:
    belief = posterior(strength(bottle), tests)
    best = None
    for what, then, with_tests, broken in _candidates(bottle, tests, planned, rated, belief, habit):
        gained = rate(then, with_tests, target, planned).rated
        if gained > 1.01 * (best.rated_gauge_Pa if best else rated):
            best = NextEvidence(what, gained, None if broken is None else reported_chance(broken))
    return best
