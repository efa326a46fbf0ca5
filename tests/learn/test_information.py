"""What a measurement would tell, against closed forms and against fits of simulated measurements."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.learn.inference import Data, infer
from bottlewright.learn.information import errors_like, gain, variance_after

MANY = 4000


def normal_draws(covariance, seed=0):
    """Draw so that mean and covariance come out exactly."""
    size = len(covariance)
    raw = np.random.default_rng(seed).normal(size=(MANY, size))
    raw -= raw.mean(axis=0)
    whitened = raw @ np.linalg.inv(np.linalg.cholesky(raw.T @ raw / MANY)).T
    return whitened @ np.linalg.cholesky(covariance).T


def test_a_reading_of_one_per_cent_on_a_value_known_to_five_gains_half_the_log_of_26():
    """½ ln(1 + σ²_prior/σ²_noise) = ½ ln 26 = 1.629 nats, derived."""
    value = normal_draws(np.array([[0.05**2]]))
    left = variance_after(value, value, np.array([[0.01**2]]))
    assert gain(0.05**2, float(left[0])) == pytest.approx(0.5 * math.log(26.0), rel=1e-9)
    assert 0.5 * math.log(26.0) == pytest.approx(1.629, abs=5e-4)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 3), st.integers(1, 3))
def test_of_normal_values_it_leaves_what_bayes_leaves(seed, size, readings):
    generator = np.random.default_rng(seed)
    root, slopes = generator.normal(size=(size, size)), generator.normal(size=(readings, size))
    covariance, errors = root @ root.T + 0.1 * np.eye(size), np.diag(generator.uniform(0.1, 1.0, readings))
    draws = normal_draws(covariance, seed)
    after = np.linalg.inv(np.linalg.inv(covariance) + slopes.T @ np.linalg.solve(errors, slopes))
    np.testing.assert_allclose(variance_after(draws, draws @ slopes.T, errors), np.diag(after), rtol=1e-6)


def test_a_reading_of_something_else_tells_nothing():
    draws = normal_draws(np.eye(2))
    assert variance_after(draws[:, :1], draws[:, 1:], np.eye(1))[0] == pytest.approx(1.0)


def test_two_like_readings_tell_as_much_as_one_with_half_the_variance():
    draws = normal_draws(np.eye(1))
    twice = variance_after(draws, np.repeat(draws, 2, axis=1), 0.2 * np.eye(2))
    assert twice[0] == pytest.approx(variance_after(draws, draws, np.array([[0.1]]))[0])


def test_heavy_tails_tell_less_than_a_normal_error_of_that_scale():
    assert errors_like(np.array([2.0]), 4.0)[0] == pytest.approx(4.0 * 7.0 / 5.0)
    assert errors_like(np.array([2.0]), 1e9)[0] == pytest.approx(4.0)


# --- against fits of simulated measurements ---------------------------------------------------------------------------

SIGMA = {"height": 0.08, "other": 0.3}


def shown(z):
    """A height that two unknowns make together, bent, and a reading of something that one of them moves more."""
    a, b = z.T
    return np.stack([np.exp(0.15 * (a - b)), b + 0.1 * a], axis=1)


def fitted(kinds, values, seed=0):
    columns = [list(SIGMA).index(one) for one in kinds]
    data = Data(np.array(values), np.array([SIGMA[one] for one in kinds]), np.full(len(kinds), math.inf),
                np.zeros((len(kinds), 0)))  # fmt: skip
    return infer(lambda z: shown(z)[:, columns], 2, data, seed=seed)


@pytest.mark.parametrize("kind", SIGMA)
def test_it_foretells_what_fits_of_simulated_measurements_come_to(kind):
    now = fitted(["height"], [1.1])
    known = now.equal(1500, 3)
    column = list(SIGMA).index(kind)
    asked = np.column_stack([shown(known)[:, 0], known[:, 1]])
    foretold = np.sqrt(variance_after(asked, shown(known)[:, [column]], np.array([[SIGMA[kind] ** 2]])))
    generator, found = np.random.default_rng(8), []
    for number in range(30):
        value = float(shown(known[number : number + 1])[0, column] + SIGMA[kind] * generator.normal())
        after = fitted(["height", kind], [1.1, value], seed=number)
        targets = np.column_stack([shown(after.draws[:, :2])[:, 0], after.draws[:, 1]])
        middle = after.weights @ targets
        found.append(after.weights @ (targets - middle) ** 2)
    np.testing.assert_allclose(foretold, np.sqrt(np.mean(found, axis=0)), rtol=0.08)
