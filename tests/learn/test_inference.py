"""What measurements say of unknowns, against closed forms, a grid and a sampler that shares nothing with ours."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.learn.inference import ENOUGH, Data, infer

NORMAL = math.inf


def linear(slopes, value, sigma, common=None, tails=NORMAL):
    slopes = np.asarray(slopes, float)
    k = len(slopes)
    data = Data(np.asarray(value, float), np.asarray(sigma, float), np.full(k, tails),
                np.zeros((k, 0)) if common is None else np.asarray(common, float))  # fmt: skip
    return lambda z: z @ slopes.T, data


def closed_form(slopes, data):
    """The normal posterior of a linear problem; what is common to all is noise with a covariance."""
    noise = np.diag(data.sigma**2) + data.common @ data.common.T
    precision = np.eye(slopes.shape[1]) + slopes.T @ np.linalg.solve(noise, slopes)
    covariance = np.linalg.inv(precision)
    return covariance @ slopes.T @ np.linalg.solve(noise, data.value), covariance


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 4), st.integers(1, 5), st.integers(0, 3))
def test_a_linear_problem_has_the_answer_of_its_closed_form(seed, n, k, q):
    generator = np.random.default_rng(seed)
    slopes, common = generator.normal(size=(k, n)), 0.5 * generator.normal(size=(k, q))
    model, data = linear(slopes, generator.normal(size=k), generator.uniform(0.2, 1.0, k), common)
    found = infer(model, n, data, seed=seed)
    mean, covariance = closed_form(slopes, data)
    assert found.trusted
    assert found.modes == 1
    np.testing.assert_allclose(found.best[:n], mean, atol=1e-6)
    np.testing.assert_allclose(found.covariance[:n, :n], covariance, rtol=1e-6, atol=1e-9)
    spread = np.sqrt(np.diag(covariance))
    assert np.abs((found.mean[:n] - mean) / spread).max() < 0.25  # of 300 draws or more that count
    np.testing.assert_allclose(found.spread[:n], spread, rtol=0.2)


def test_a_reading_of_one_per_cent_leaves_what_the_closed_form_says():
    """±1 % on a value known to ±5 %: ½ ln 26 nats are gained (derived: ½ ln(1 + σ²_prior/σ²_noise))."""
    model, data = linear([[0.05]], [0.02], [0.01])
    found = infer(model, 1, data)
    assert -0.5 * math.log(float(found.covariance[0, 0])) == pytest.approx(0.5 * math.log(26.0), rel=1e-6)
    assert 0.5 * math.log(26.0) == pytest.approx(1.629, abs=5e-4)


def toy(z):
    """Three unknowns bent against each other, three things to measure."""
    a, b, c = z.T
    return np.stack([np.exp(0.3 * a) * (1.0 + 0.2 * b), a + 0.5 * b**2 - 0.3 * c, np.tanh(c) + 0.2 * a * b], axis=1)


TOY = Data(np.array([1.25, 0.6, 0.35]), np.array([0.08, 0.3, 0.2]), np.array([4.0, NORMAL, 4.0]), np.zeros((3, 0)))


def log_toy(z):
    """Write the density of the toy down a second time, by scipy's densities."""
    from scipy import stats

    r = (TOY.value - toy(z)) / TOY.sigma
    return (stats.norm.logpdf(z).sum(axis=1) + stats.t.logpdf(r[:, 0], 4) + stats.norm.logpdf(r[:, 1])
            + stats.t.logpdf(r[:, 2], 4))  # fmt: skip


def on_a_grid(points=81, far=4.0):
    axis = np.linspace(-far, far, points)
    grid = np.stack([one.ravel() for one in np.meshgrid(axis, axis, axis, indexing="ij")], axis=1)
    weights = np.exp(log_toy(grid))
    weights /= weights.sum()
    mean = weights @ grid
    return mean, np.sqrt(weights @ (grid - mean) ** 2)


def test_a_bent_problem_has_the_answer_of_a_grid():
    found = infer(toy, 3, TOY, seed=3)
    mean, spread = on_a_grid()
    assert found.share > ENOUGH
    assert np.abs((found.mean - mean) / spread).max() < 0.15
    np.testing.assert_allclose(found.spread, spread, rtol=0.12)


def with_an_outlier(z):
    """Two unknowns, four readings of which the last was written down wrongly, and something common to all."""
    a, b = z.T
    return np.stack([a + 0.3 * b, np.exp(0.4 * b), a - 0.2 * a * b, a + b], axis=1)


ODD = Data(np.array([0.4, 1.3, 0.2, 7.0]), np.array([0.2, 0.15, 0.3, 0.3]), np.full(4, 4.0),
           np.array([[0.2], [0.1], [0.2], [0.3]]))  # fmt: skip


def log_odd(x):
    from scipy import stats

    r = (ODD.value - with_an_outlier(x[:, :2]) - x[:, 2:] @ ODD.common.T) / ODD.sigma
    return stats.norm.logpdf(x).sum(axis=1) + stats.t.logpdf(r, 4).sum(axis=1)


@pytest.mark.parametrize(("model", "count", "data", "density"), [(toy, 3, TOY, log_toy),
                                                                 (with_an_outlier, 2, ODD, log_odd)])  # fmt: skip
def test_a_sampler_of_another_kind_comes_to_the_same(model, count, data, density):
    """emcee (Foreman-Mackey and others 2013), an ensemble of walkers: nothing in common with ours but the density."""
    emcee = pytest.importorskip("emcee")
    generator = np.random.default_rng(5)
    sampler = emcee.EnsembleSampler(24, 3, density, vectorize=True)
    sampler.random_state = np.random.RandomState(5).get_state()
    sampler.run_mcmc(generator.normal(size=(24, 3)) * 0.1, 1800)
    chain = sampler.get_chain(discard=400, flat=True)
    found = infer(model, count, data, seed=4)
    assert np.abs((found.mean - chain.mean(axis=0)) / chain.std(axis=0)).max() < 0.15
    np.testing.assert_allclose(found.spread, chain.std(axis=0), rtol=0.12)


def test_one_odd_measurement_does_not_rule():
    slopes = np.ones((5, 1))
    value = [0.1, -0.1, 0.0, 0.05, 12.0]
    model, normal = linear(slopes, value, np.full(5, 0.2))
    _, heavy = linear(slopes, value, np.full(5, 0.2), tails=4.0)
    assert infer(model, 1, normal).best[0] > 2.0
    assert abs(infer(model, 1, heavy).best[0]) < 0.15


def test_two_answers_that_fit_alike_are_said_to_be_two():
    data = Data(np.array([1.0]), np.array([0.05]), np.array([NORMAL]), np.zeros((1, 0)))
    found = infer(lambda z: z**2, 1, data, seed=1)
    assert found.modes == 2
    assert any("2 different answers" in one for one in found.notes)
    assert abs(found.mean[0]) < 0.3
    assert found.spread[0] == pytest.approx(1.0, abs=0.1)


def test_values_that_make_no_flight_are_not_believed():
    model, data = linear([[1.0]], [0.5], [0.5])
    found = infer(lambda z: np.where(z > 0.9, np.nan, model(z)), 1, data)
    assert (found.draws[found.weights > 0.0] <= 0.9).all()


def test_where_nothing_flies_that_is_said():
    _, data = linear([[1.0]], [0.5], [0.5])
    with pytest.raises(ValueError, match="no start"):
        infer(lambda z: np.full((len(z), 1), np.nan), 1, data)


def test_draws_of_equal_weight_keep_mean_and_spread():
    model, data = linear([[1.0, 0.4]], [0.7], [0.3])
    found = infer(model, 2, data, seed=2)
    drawn = found.equal(4000, 1)
    np.testing.assert_allclose(drawn.mean(axis=0), found.mean, atol=0.02)
    np.testing.assert_allclose(drawn.std(axis=0), found.spread, rtol=0.03)
    assert found.quantile(0, 0.5) == pytest.approx(np.median(drawn[:, 0]), abs=0.05)
