import numpy as np
import pytest
from scipy.stats import binom, binomtest

from bottlewright.field.chance import chance, standing


@pytest.mark.parametrize("hits", [0, 1, 7, 200, 399, 400])
def test_the_interval_is_the_exact_one(hits):
    seen = chance(hits, 400)
    exact = binomtest(hits, 400).proportion_ci(0.95, method="exact")
    assert (seen.low, seen.high) == pytest.approx((exact.low, exact.high), abs=1e-12)


def test_no_landing_in_n_flights_still_leaves_about_four_in_n():
    """The rule of three says 3/n one-sided at 95 %; two-sided it is −ln(0.025)/n = 3.69/n."""
    assert chance(0, 4000).high == pytest.approx(3.689 / 4000, rel=1e-3)


@pytest.mark.parametrize("true", [0.001, 0.02, 0.3])
def test_intervals_hold_the_true_chance_at_least_as_often_as_they_say(true):
    counts = np.random.default_rng(20).binomial(1000, true, size=4000)
    held = [seen.low <= true <= seen.high for seen in (chance(int(hits), 1000) for hits in counts)]
    assert np.mean(held) >= 0.95 - 0.004  # seeded; standard error of the share is 0.0034
    exact = sum(binom.pmf(k, 1000, true) for k in range(1001) if chance(k, 1000).low <= true <= chance(k, 1000).high)
    assert exact >= 0.95


def test_few_flights_without_a_hit_settle_nothing():
    assert standing(chance(0, 100), 0.01) == (False, False)
    assert standing(chance(0, 1000), 0.01) == (True, False)
    assert standing(chance(30, 1000), 0.01) == (False, True)


def test_the_words_never_say_zero():
    assert "under" in str(chance(0, 4000))
    assert "0.092 %" in str(chance(0, 4000))
    assert str(chance(4000, 4000)).startswith("100\u202f%")


def test_a_count_that_can_not_be_is_refused():
    with pytest.raises(ValueError, match="no count"):
        chance(5, 4)
