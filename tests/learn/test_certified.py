"""Regressions with certified answers: our steps find the same values and the same ± where the prior says nothing.

National Institute of Standards and Technology, Statistical Reference Datasets, "Norris" (linear) and "Misra1a" (not
linear): data, certified values and standard deviations. Norris as SciPy carries it in its own tests; Misra1a recalled,
and recomputed to all digits below.
"""

import math

import numpy as np
import pytest

from bottlewright.learn.inference import Data, infer

NORRIS = np.fromstring("""
0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3  449.1 448.6
778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0  448.9 447.5  10.8 11.6
557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3  0.6 0.3  557.6 556.8  339.3 339.1
888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3  228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
""", sep=" ").reshape(-1, 2)  # fmt: skip
MISRA = np.fromstring("""
10.07 77.6  14.73 114.9  17.94 141.1  23.93 190.8  29.61 239.9  35.18 289.0  40.02 332.8  44.82 378.4
50.76 434.8  55.05 477.3  61.01 536.8  66.40 593.1  75.47 689.1  81.78 760.0
""", sep=" ").reshape(-1, 2)


def line(b, x):
    return b[:, :1] + b[:, 1:] * x


def saturates(b, x):
    return b[:, :1] * -np.expm1(-b[:, 1:] * x)


@pytest.mark.parametrize(
    ("data", "model", "start", "reach", "certified", "spreads", "residual"),
    [
        (NORRIS, line, (0.0, 1.0), (23.0, 0.043), (-0.262323073774029, 1.00211681802045),
         (0.232818234301152, 0.429796848199937e-3), 0.884796396144373),
        (MISRA, saturates, (250.0, 5e-4), (270.0, 7e-4), (238.94212918, 5.5015643181e-4),
         (2.7070075241, 7.2668688436e-6), 0.10187876330),
    ],
    ids=["Norris", "Misra1a"],
)  # fmt: skip
def test_a_certified_regression_is_found_with_its_spread(data, model, start, reach, certified, spreads, residual):
    """`reach`: ± of the prior, a hundred times that of the answer: it moves the answer by less than is compared."""
    y, x = data.T
    start, reach = np.array(start), np.array(reach)
    count = len(y)
    given = Data(y, np.full(count, residual), np.full(count, math.inf), np.zeros((count, 0)))
    found = infer(lambda z: model(start + reach * z, x), 2, given, seed=1)
    values = start + reach * found.best
    off = np.sqrt(np.diag(found.covariance)) * reach
    assert np.abs((values - certified) / spreads).max() < 2e-3
    np.testing.assert_allclose(off, spreads, rtol=1e-3)
    left = y - model(values[None], x)[0]
    assert math.sqrt(float(left @ left) / (count - 2)) == pytest.approx(residual, rel=1e-5)
