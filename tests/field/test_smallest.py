"""The smallest field: a square that holds the landings whichever way they lie, and what published rules ask besides."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.field.smallest import smallest_field


def landings(seed, count=600, spread=30.0):
    return np.random.default_rng(seed).normal((20.0, 5.0), spread, (count, 2))


@given(st.integers(0, 10_000), st.floats(0.01, 0.2))
def test_no_more_land_beyond_it_than_is_accepted_by_the_upper_end_and_a_smaller_one_would_let_too_many(seed, allowed):
    rows = landings(seed)
    least = smallest_field(rows, allowed)
    away = np.hypot(*rows.T)
    beyond = int(np.count_nonzero(away > least.by_landings / 2))
    assert least.beyond.high <= allowed
    assert beyond <= least.beyond.hits
    assert np.count_nonzero(away > least.by_landings / 2 - 1.0) >= least.beyond.hits, "it is rounded up"


@given(st.integers(0, 10_000), st.floats(0.0, 6.3))
def test_it_is_the_same_whichever_way_the_wind_turns(seed, turn):
    rows = landings(seed)
    sin, cos = np.sin(turn), np.cos(turn)
    turned = rows @ np.array([[cos, sin], [-sin, cos]])
    assert smallest_field(turned, 0.02).by_landings == pytest.approx(smallest_field(rows, 0.02).by_landings, abs=2.0)


def test_so_few_flights_say_nothing():
    assert smallest_field(landings(1, count=50), 0.02).side is None


def test_a_rule_that_asks_for_more_counts_and_is_named():
    near = landings(1, spread=0.5) - (20.0, 5.0)
    bare = smallest_field(near, 0.02)
    assert bare.rule is not None
    assert bare.side == bare.rule.value > bare.by_landings
    far = smallest_field(landings(1, spread=200.0), 0.02)
    assert (far.rule, far.side) == (None, far.by_landings)
