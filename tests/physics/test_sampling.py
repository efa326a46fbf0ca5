"""Random numbers by address: the order, the thread and the batch do not matter."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from bottlewright.physics.sampling import fill_uniforms, normal, normal_quantile, uniform

whole = st.integers(-(2**63), 2**63 - 1)


@given(whole, whole, whole)
def test_the_same_address_always_gives_the_same_number(seed, index, stream):
    first = uniform(seed, index, stream)
    uniform(seed, index + 1 if index < 2**62 else index - 1, stream)
    assert 0.0 < first < 1.0
    assert uniform(seed, index, stream) == first
    assert normal(seed, index, stream) == normal_quantile(first)


def test_order_and_threads_do_not_matter():
    forward = [normal(7, i, 3) for i in range(200)]
    with ThreadPoolExecutor(4) as pool:
        backward = list(pool.map(lambda i: normal(7, i, 3), reversed(range(200))))
    assert backward[::-1] == forward


@pytest.mark.parametrize("size", [1, 3, 4, 5, 11])
def test_a_longer_sequence_begins_with_the_shorter_one(size):
    short, long = np.empty(size), np.empty(40)
    fill_uniforms(1, 2, 3, short)
    fill_uniforms(1, 2, 3, long)
    assert short.tolist() == long[:size].tolist()
    assert short[0] == uniform(1, 2, 3)


@pytest.mark.parametrize("moved", [(2, 2, 3), (1, 3, 3), (1, 2, 4)])
def test_seed_index_and_stream_each_make_another_sequence(moved):
    one, other = np.empty(10_000), np.empty(10_000)
    fill_uniforms(1, 2, 3, one)
    fill_uniforms(*moved, other)
    # Standard error of the correlation 0.01; four of them.
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.04


def test_numbers_along_flights_are_uniform_and_normal():
    flights = range(20_000)
    assert stats.kstest([uniform(11, i, 5) for i in flights], "uniform").pvalue > 1e-3
    assert stats.kstest([normal(11, i, 6) for i in flights], "norm").pvalue > 1e-3


def test_numbers_along_a_sequence_are_uniform_and_do_not_remember():
    out = np.empty(40_000)
    fill_uniforms(3, 0, 0, out)
    assert stats.kstest(out, "uniform").pvalue > 1e-3
    assert [abs(np.corrcoef(out[:-lag], out[lag:])[0, 1]) < 0.02 for lag in (1, 2, 3, 4, 5)] == [True] * 5
