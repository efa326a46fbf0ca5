"""The counter-based generator against numpy's, and the normal quantile against SciPy's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtri

from bottlewright.physics.sampling import normal_quantile, philox

words = st.integers(0, 2**64 - 1)


@given(words, words, words, words, words, words)
def test_philox_gives_the_words_of_numpys_philox(c0, c1, c2, c3, k0, k1):
    counter, key = np.array([c0, c1, c2, c3], np.uint64), np.array([k0, k1], np.uint64)
    after = np.random.Philox(key=key, counter=counter).random_raw(4)
    # numpy counts one up, with carry, before it draws.
    value = (c0 + (c1 << 64) + (c2 << 128) + (c3 << 192) + 1) % 2**256
    ours = philox(*(np.uint64((value >> shift) % 2**64) for shift in (0, 64, 128, 192)), *key)
    assert [int(word) for word in ours] == [int(word) for word in after]


def test_philox_of_nothing():
    # Known answer of Random123 for philox4x64-10 with counter and key zero (its kat_vectors, as quoted).
    expected = (0x16554D9ECA36314C, 0xDB20FE9D672D0FDC, 0xD7E772CEE186176B, 0x7E68B68AEC7BA23B)
    assert tuple(int(word) for word in philox(0, 0, 0, 0, 0, 0)) == expected


@pytest.mark.parametrize("side", [-1, 1])
def test_normal_quantile_agrees_with_scipy(side):
    p = np.concatenate([10.0 ** np.linspace(-15, -1.5, 500), np.linspace(0.04, 0.49, 500)])
    p = p if side < 0 else 1.0 - p
    assert [normal_quantile(x) for x in p] == pytest.approx(ndtri(p), rel=3e-15)


def test_normal_quantile_reaches_the_far_tail():
    p = 10.0 ** np.linspace(-300, -16, 300)
    assert [normal_quantile(x) for x in p] == pytest.approx(ndtri(p), rel=3e-15)
