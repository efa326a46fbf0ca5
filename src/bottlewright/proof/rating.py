"""What a vessel has shown that it can bear, on which basis, and what one thing more would raise it most.

    rated = nothing for a vessel that is finished, else the least of
            the pressure at which the chance of a burst in one launch reaches the target,
            what is left of its best water-filled test over the proof factor, or, before it has passed one, the
            strictest published rule, advice included,
            the strictest published maximum.

So its own test can lift a bottle above the advice, never above a published maximum, and a weak test earns little. What
the gauge may read follows from this in `allowed`.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_least, at_most, in_own_units
from bottlewright.proof.burst_posterior import BurstBelief, TestResult, posterior
from bottlewright.proof.bursts import Bottle, Factor, burst_table, law, strength
from bottlewright.proof.condition import ended
from bottlewright.proof.evidence import own_tests
from bottlewright.proof.gauge_error import true_at_most
from bottlewright.proof.judged_day import judged_on
from bottlewright.proof.losses import wear_left
from bottlewright.proof.next_test import believed_for_test, next_test, passed_test
from bottlewright.proof.pressure_rules import PressureRules, pressure_rules, proof_factor, rules_for
from bottlewright.proof.rules import Rule
from bottlewright.proof.vessel import MOST_CYCLES, describe_bottle, need

__all__ = [
    "SMALLEST_CHANCE", "NextEvidence", "RatedPressure", "Rating", "fresh", "rate", "rated_pressure", "reported_chance",
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
    proof_limit: float | None  # what is left of the best passed proof test, over the factor
    rule_limit: float  # strictest published rule, advice included
    rule_maximum: float
    failed: bool
    belief: BurstBelief


@dataclass(frozen=True, slots=True)
class RatedPressure:
    """What the vessel of a design has shown that it can bear, with its interval and what it rests on.

    Pressures gauge. `failed` is true of a vessel that is finished, by a failed test or by its own state, for
    `ended_because`: it is rated to nothing. Before its own water test, `own_evidence` is false, `gauge_Pa` rests on
    published rules and bursts alone, and nothing is allowed yet.

    `burst_chance_at_plan` is that of the next launch; `burst_chance_in_life` that this bottle bursts in any of
    `launches_left`; `burst_chance_in_a_day` that any of `day_launches` launches of such bottles ends in a burst, each
    with the gauge reading as low as it may. They are as reported: where one is `smallest_chance_told`, the true one may
    be anything below. `spread_between` and `spread_common` are standard deviations of ln(burst pressure) before any
    test: from bottle to bottle, and of what all bottles of the kind have in common.
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
    ended_because: str
    own_evidence: bool
    judged_on: str | None
    launches_left: int
    burst_chance_in_life: float
    day_launches: int
    burst_chance_in_a_day: float
    spread_between: float
    spread_common: float
    factors: tuple[Factor, ...]
    next_evidence: NextEvidence | None


def rate(
    bottle: Bottle, tests: Sequence[TestResult] = (), target: float | None = None, rules: PressureRules | None = None
) -> Rating:
    """Rate a bottle from what is known of it and its own tests as they count; one that failed is rated to nothing.

    The interval of the burst limit is its range over nine in ten of the medians that the kind may have, widened to the
    limit itself: that is taken with the median unknown, and may lie below them all.
    """
    belief = posterior(strength(bottle), tests)
    target = law("target") if target is None else target
    burst = belief.quantile(target)
    low, high = belief.quantile_interval(target)
    limits = rules or rules_for(bottle.volume * bottle.count)
    strict, maximum = limits.strict_Pa, limits.maximum_Pa
    passed = [test.proven() / proof_factor() for test in tests if test.earns]
    failed = any(not test.passed for test in tests)
    proof = max(passed) if passed and not failed else None
    earned = strict if proof is None else proof
    rated = 0.0 if failed else min(burst, earned, maximum)
    return Rating(rated, burst, min(low, burst), max(high, burst), proof, strict, maximum, failed, belief)


def rated_pressure(design: Design, target: float | None = None, look_ahead: bool = True) -> RatedPressure:
    """Rate the vessel of a completed design.

    Parameters
    ----------
    target
        Chance of a burst in one launch that the rating allows; the table's when left out.
    look_ahead
        Also look for the evidence that would raise it most.
    """
    bottle, tests, habit = describe_bottle(design), own_tests(design), unit_habit(design)
    planned, end, judged = need(design.charge.pressure), ended(design), judged_on(design)
    rating = rate(bottle, tests, target, pressure_rules(design))
    if end is not None:
        rating = replace(rating, rated=0.0, failed=True)
    allowed = law("target") if target is None else target
    earned = rating.rule_limit if rating.proof_limit is None else rating.proof_limit
    cap = 0.0 if rating.failed else min(earned, rating.rule_maximum)
    strict, maximum = pressure_rules(design)
    held, prior = _held_back_by(rating), strength(bottle)
    left, day = max(MOST_CYCLES - bottle.cycles, 1), design.scatter.launches
    belief, true = rating.belief, true_at_most(design, planned)
    return RatedPressure(
        gauge_Pa=rating.rated,
        low_Pa=min(rating.burst_low, rating.rated),
        high_Pa=max(rating.rated, min(rating.burst_high, cap)),
        interval=0.90,
        target_burst_chance=allowed,
        target_source=burst_table()["law"]["target_source"] if target is None else "given on the call",
        basis=end.because if end else _basis(rating, held, strict, maximum, bottle, tests, habit) + _by_file(design),
        held_back_by=held,
        burst_limit_Pa=rating.burst_limit,
        burst_limit_low_Pa=rating.burst_low,
        burst_limit_high_Pa=rating.burst_high,
        proof_limit_Pa=rating.proof_limit,
        rule_limit_Pa=rating.rule_limit,
        rule_limit_source=in_own_units(habit, f"{strict.source}: {strict.says}"),
        rule_maximum_Pa=rating.rule_maximum,
        rule_maximum_source=in_own_units(habit, f"{maximum.source}: {maximum.says}"),
        burst_median_Pa=belief.quantile(0.5),
        planned_Pa=planned,
        burst_chance_at_plan=reported_chance(belief.chance_below(true)),
        smallest_chance_told=SMALLEST_CHANCE,
        failed=rating.failed,
        ended_because=end.because if end else "",
        own_evidence=rating.proof_limit is not None,
        judged_on=judged.isoformat() if judged else None,
        launches_left=left,
        burst_chance_in_life=reported_chance(belief.chance_below(true / wear_left(left - 1))),
        day_launches=day,
        burst_chance_in_a_day=reported_chance(min(day * max(belief.chance_below(true), SMALLEST_CHANCE), 1.0)),
        spread_between=_mean_spread([(part.weight, part.between) for part in prior.parts]),
        spread_common=_mean_spread([(part.weight, part.common) for part in prior.parts]),
        factors=tuple(replace(each, source=in_own_units(habit, each.source)) for each in prior.factors),
        next_evidence=_next_evidence(design, bottle, tests, allowed, rating) if look_ahead else None,
    )


def _by_file(design: Design) -> str:
    """Say of a bottle with a file of its own that its tests, age and count are those of that."""
    history = design.written.history
    return f" (bottle {history.id}, by {history.file})" if history and not history.unknown else ""


def _mean_spread(weighted: Sequence[tuple[float, float]]) -> float:
    """Return the root of the mean square of the parts' spreads."""
    return math.sqrt(sum(weight * spread**2 for weight, spread in weighted))


def _held_back_by(rating: Rating) -> str:
    """Name what sets the rating: the vessel's end, burst chance, proof test, published rule or published maximum."""
    if rating.failed:
        return "the vessel is finished"
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
    passed = [test for test in tests if test.earns]
    if passed:
        best = max(passed, key=TestResult.proven)
        faded = at_most(habit, best.proven())
        less = f", of which {faded} count today" if best.proven() < 0.995 * best.pressure else ""
        own = (f"it passed a proof test at {habit.pressure(best.pressure)}, held for {best.hold:.0f} s{less}; divided "
               f"by {proof_factor():g} that is {at_most(habit, rating.proof_limit or 0.0)}")
    else:
        own = "it has no water-filled test of its own that counts"
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


def fresh(bottle: Bottle) -> Bottle:
    """Return a fresh bottle of the same kind, nothing done to it."""
    return replace(bottle, age=0.0, youngest=None, cycles=0, storage=None, surface=())


def _candidates(
    design: Design, bottle: Bottle, tests: Sequence[TestResult], rating: Rating
) -> Iterator[tuple[str, Bottle, list[TestResult], float | None]]:
    """Yield what the builder could show besides: in words, the bottle and tests then, the chance to break it."""
    habit, planned = unit_habit(design), need(design.charge.pressure)
    fresh_one = "a fresh bottle of the same kind, stored cool, nothing done to its wall"
    if rating.failed:
        yield f"{fresh_one}, and its own water-filled test", fresh(bottle), [], None
        return
    goal = rating.rule_maximum
    if rating.proof_limit is None:
        goal = rating.rule_limit
    elif planned > rating.rated:
        goal = min(planned, goal)
    test = passed_test(bottle, next_test(design, bottle, tests, goal))
    yield (f"a water-filled proof test passed at {at_least(habit, test.pressure)} for {test.hold:.0f} s", bottle,
           [*tests, test], believed_for_test(bottle, tests).chance_below(test.pressure))
    if bottle.age is None or bottle.age > 30 * 86400.0 or bottle.cycles or bottle.storage or bottle.surface:
        yield f"{fresh_one}, and its own water-filled test", fresh(bottle), [], None
    if bottle.kind == "unknown":
        yield ("finding out that the bottle was made for a carbonated drink",
               replace(bottle, kind="carbonated"), list(tests), None)
    if bottle.age is None:
        yield "knowing the bottle's age, if it is under a month", replace(bottle, age=2.6e6), list(tests), None


def _next_evidence(
    design: Design, bottle: Bottle, tests: Sequence[TestResult], target: float, rating: Rating
) -> NextEvidence | None:
    """Return what would raise the rating most; before its own test a vessel needs that first."""
    best = None
    for what, then, with_tests, broken in _candidates(design, bottle, tests, rating):
        gained = rate(then, with_tests, target, pressure_rules(design)).rated
        told = NextEvidence(what, gained, None if broken is None else reported_chance(broken))
        if broken is not None and rating.proof_limit is None:
            return told
        if gained > 1.01 * (best.rated_gauge_Pa if best else rating.rated):
            best = told
    return best
