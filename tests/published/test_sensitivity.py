"""Sobol indices against the Ishigami function (Ishigami and Homma, 1990), whose indices are known in closed form.

f = sin x1 + a sin² x2 + b x3⁴ sin x1, x uniform from −π to π, a = 7, b = 0.1: first 0.3139, 0.4424, 0; total 0.5576,
0.4424, 0.2437 (closed forms: OpenTURNS, The Ishigami function, read; the first ones also in SALib's page on it, after
Saltelli and others, Global Sensitivity Analysis: The Primer, 2008, original not checked; reproduced below).
"""

import math

import numpy as np
import pytest
from scipy.stats import norm

from bottlewright.tune.sensitivity import leading_values, sobol

A, B = 7.0, 0.1


def ishigami(x):
    return np.sin(x[:, 0]) + A * np.sin(x[:, 1]) ** 2 + B * x[:, 2] ** 4 * np.sin(x[:, 0])


def of_normals(z):
    """The function of standard normal values, each turned into a uniform one from −π to π."""
    return ishigami(math.pi * (2.0 * norm.cdf(z) - 1.0))


def by_name(count):
    found = sobol(of_normals, [0.0] * 3, [1.0] * 3, ["x1", "x2", "x3"], count=count)
    return {source.path: source for source in found.sources}


def exact():
    variance = A**2 / 8 + B * math.pi**4 / 5 + B**2 * math.pi**8 / 18 + 0.5
    first = [0.5 * (1 + B * math.pi**4 / 5) ** 2 / variance, A**2 / 8 / variance, 0.0]
    third = 8 * B**2 * math.pi**8 / 225 / variance
    return first, [first[0] + third, first[1], third]


def test_the_closed_form_gives_the_published_numbers():
    first, total = exact()
    assert first == pytest.approx([0.3139, 0.4424, 0.0], abs=5e-5)
    assert total == pytest.approx([0.5576, 0.4424, 0.2437], abs=5e-5)


def test_indices_of_the_ishigami_function():
    found = by_name(4096)
    first, total = exact()
    assert [found[name].first for name in ("x1", "x2", "x3")] == pytest.approx(first, abs=0.02)
    assert [found[name].total for name in ("x1", "x2", "x3")] == pytest.approx(total, abs=0.02)
    for name, value in zip(("x1", "x2", "x3"), total, strict=True):
        assert found[name].low - 0.01 < value < found[name].high + 0.01


def test_indices_agree_with_an_independent_library():
    salib_sample = pytest.importorskip("SALib.sample.sobol")
    salib_analyze = pytest.importorskip("SALib.analyze.sobol")
    problem = {"num_vars": 3, "names": ["x1", "x2", "x3"], "bounds": [[-math.pi, math.pi]] * 3}
    points = salib_sample.sample(problem, 2048, calc_second_order=False, seed=1)
    theirs = salib_analyze.analyze(problem, ishigami(points), calc_second_order=False, seed=1)
    ours = by_name(2048)
    for index, name in enumerate(problem["names"]):
        assert ours[name].first == pytest.approx(theirs["S1"][index], abs=0.03)
        assert ours[name].total == pytest.approx(theirs["ST"][index], abs=0.03)


def test_a_sum_of_normals_shares_its_variance_by_the_squares():
    """y = 3 a + 2 b + 1 c of unit normals: 9/14, 4/14, 1/14, first and total alike."""
    found = sobol(lambda z: z @ np.array([3.0, 2.0, 1.0]), [0.0] * 3, [1.0] * 3, ["a", "b", "c"], count=1024).sources
    assert [source.path for source in found] == ["a", "b", "c"]
    assert [source.first for source in found] == pytest.approx([9 / 14, 4 / 14, 1 / 14], abs=0.02)
    assert [source.total for source in found] == pytest.approx([9 / 14, 4 / 14, 1 / 14], abs=0.02)


def test_the_leading_values_of_a_sample_are_picked_in_order_and_the_rest_is_counted():
    draws = {name: np.random.default_rng(k).normal(size=4000) for k, name in enumerate("abcd")}
    figure = 3.0 * draws["b"] + 2.0 * draws["d"] + 1.0 * draws["a"]
    paths, others = leading_values(draws, figure, most=2)
    assert paths == ["b", "d"]
    assert others == pytest.approx(1 / 14, abs=0.01)


def test_the_same_seed_gives_the_same_indices_and_intervals():
    assert by_name(128) == by_name(128)
