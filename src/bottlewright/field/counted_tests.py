"""Judged odds of a release, and what counted tries on the ground make of them (Bayes).

A try fails or not, at a chance that nobody knows. Beforehand we hold the judged odds J for as sure as twenty tries
would make them, a beta distribution with J·20 failures and (1 − J)·20 successes; the weight is our judgement. After n
tries with k failures the chance that the next one fails is (20 J + k)/(20 + n) (Laplace's rule for this prior).
Worse than judged counts at once. Better counts from twenty tries on and when a person has confirmed it, for lines
shrink by it. What no try on the ground shows, an arming forgotten or a flat cell, stays as judged.
"""

from bottlewright.design.document import Design
from bottlewright.design.mechanism import GroundTests
from bottlewright.quantities import Basis, Quantity

__all__ = ["FEWEST_TRIES", "WEIGHT", "after_tries", "confirmed", "counted_odds"]

WEIGHT = 20.0
FEWEST_TRIES = 20


def after_tries(judged: float, tries: int, failures: int) -> float:
    """Return the chance that the next try fails."""
    return (judged * WEIGHT + failures) / (WEIGHT + tries)


def confirmed(tests: GroundTests) -> bool:
    """Say whether tests are enough, and a person stands for them, to make odds better than judged."""
    return tests.tries >= FEWEST_TRIES and bool(tests.confirmed_by and tests.confirmed_on)


def counted_odds(design: Design, odds: dict[str, Quantity], forgotten: Quantity) -> dict[str, Quantity]:
    """Return the odds that counted tests of the mechanism replace, by name; none where nothing was counted.

    Parameters
    ----------
    odds
        Judged, or stated by the builder, who then has the last word.
    forgotten
        The part of not opening that no test on the ground shows.
    """
    mechanism = design.recovery.mechanism
    if mechanism is None or mechanism.tests.tries == 0:
        return {}
    tests, found = mechanism.tests, {}
    for name, failures, unseen in (
        ("not_opening", tests.stuck, forgotten.value), ("early_opening", tests.early, 0.0)
    ):  # fmt: skip
        if name not in odds or getattr(design.failures, name) is not None:
            continue
        judged = odds[name].value
        # Apart from what no test shows: J = unseen + (1 − unseen) · seen.
        seen = max(judged - unseen, 0.0) / (1.0 - unseen)
        new = unseen + (1.0 - unseen) * after_tries(seen, tests.tries, failures)
        if new > judged or confirmed(tests):
            source = f"{failures} of {tests.tries} tries on the ground, upon {judged * 100:.2g} % judged before them"
            who = f", confirmed by {tests.confirmed_by} on {tests.confirmed_on}" if confirmed(tests) else ""
            found[name] = Quantity(new, 0.0, Basis.MEASURED, source + who)
    return found
