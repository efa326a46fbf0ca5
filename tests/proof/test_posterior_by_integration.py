"""The burst pressure after five histories, integrated a second time from the formulas of docs/prove.md.

Nothing of the program is used on this side: data, laws and numbers are typed in again, the spread and the median of a
kind are integrated as densities (the program takes five values of the spread and a normal law of the median), and the
integrals are Simpson's rule of scipy.
"""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import simpson
from scipy.stats import norm

from bottlewright.proof.burst_posterior import TestResult, posterior
from bottlewright.proof.bursts import Bottle, strength
from bottlewright.proof.losses import kept

Floats = NDArray[np.float64]
BAR = 1e5
DAY, YEAR = 86400.0, 365.25 * 86400.0

# Published tests, bar and litres: air-command log 2006 and 2007, a bottling plant 2012, Berggren 2002 and earlier.
BURSTS = {
    "carbonated": [(13.1, 1.25), (12.8, 1.25), (12.1, 1.5), (11.5, 2.0), (11.4, 2.0), (13.7, 1.5), (10.3 / 0.9, 2.0),
                   (9.65, 3.0), (8.62, 2.0), (11.7, 1.0)],
    "hot-drink": [(11.8, 1.5)],
    "still": [(7.85, 1.5)],
}
HELD = {"carbonated": [(11.7, 0.5)], "hot-drink": [], "still": []}
SPREAD = {"carbonated": 0.14, "hot-drink": 0.16, "still": 0.16}


def at_one_and_a_half_litres(pressure: float, litres: float) -> float:
    return math.log(pressure * BAR / (litres / 1.5) ** -0.26)


def predictive(kind: str, u: Floats, scale: float, doubt: float) -> list[tuple[float, Floats]]:
    """Return weight and density of u = ln B for each spread t of a kind, the median integrated out."""
    burst = [at_one_and_a_half_litres(*each) for each in BURSTS[kind]]
    held = [at_one_and_a_half_litres(*each) for each in HELD[kind]]
    medians = np.linspace(min(burst) - 1.2, max(burst) + 1.2, 601)
    logs_t = np.linspace(-4.0, 4.0, 33)
    over_medians = simpson(np.eye(len(medians)), x=medians)  # what Simpson's rule gives the weight of each
    squares = (u[:, None] - medians[None, :] - math.log(scale)) ** 2
    densities, weights = [], []
    for z in logs_t:
        t = SPREAD[kind] * math.exp(0.25 * z)
        like = np.exp(sum(norm.logpdf(x, medians, t) for x in burst) + sum(norm.logsf(x, medians, t) for x in held))
        evidence = simpson(like, x=medians)
        wide = math.hypot(t, doubt)
        given_median = np.exp(squares * (-0.5 / wide**2)) / (wide * math.sqrt(2.0 * math.pi))
        densities.append(given_median @ (like / evidence * over_medians))
        weights.append(norm.pdf(z) * evidence)
    total = simpson(np.array(weights), x=logs_t)
    simpsons = np.array([simpson(np.eye(33)[k], x=logs_t) for k in range(33)])
    return [(float(w * s / total), d) for w, s, d in zip(weights, simpsons, densities, strict=True)]


def after(kinds: list[str], scale: float, doubt: float, shown: list[float]) -> tuple[Floats, Floats]:
    """Return pressures and the chance of a burst below them, after tests that showed these strengths, bar."""
    u = np.linspace(math.log(0.5 * BAR), math.log(40 * BAR), 4001)
    chance = np.zeros_like(u)
    for kind in kinds:
        for weight, density in predictive(kind, u, scale, doubt):
            left = density
            for pressure in shown:
                left = left * norm.cdf((u - math.log(pressure * BAR)) / 0.05)
            steps = np.concatenate([[0.0], np.cumsum(0.5 * (left[1:] + left[:-1]) * np.diff(u))])
            chance += weight / len(kinds) * steps / simpson(left, x=u)
    return np.exp(u), chance


def left_at(days: float) -> float:
    return 0.41 + 0.59 * math.exp(-days / (3 * 365.25))


ALWAYS = [0.05, 0.08]  # spreads of the slow hold and of the ageing law


def _sun_and_launches() -> tuple[float, float, list[float]]:
    """100 days, eight launches, sun, 30 °C: an air test of 6 bar for 5 s, a water test of 7 bar for 20 s."""
    scale = 0.9 * left_at(100) * math.exp(-0.04) * math.exp(-0.006 * 7) * 0.88
    since = [(left_at(100) / left_at(30), 8 - 2), (left_at(100) / left_at(60), 8 - 5)]
    share = [aged * math.exp(-0.005 * n) * math.exp(-0.006 * 7) * 0.88
             * math.exp(-1.645 * math.hypot(0.08 * (1 - aged) / 0.59, 0.06)) for aged, n in since]
    shown = [6 * 0.9 * (1 - 0.03 * math.log10(12)), 7 * (1 - 0.03 * math.log10(3))]
    return scale, math.hypot(*ALWAYS, 0.06), [p * k for p, k in zip(shown, share, strict=True)]


def _old() -> tuple[float, float, list[float]]:
    """Twelve years old, tested at 9.3 bar when it was opened."""
    aged = left_at(12 * 365.25)
    return 0.9 * aged, math.hypot(*ALWAYS), [9.3 * aged * math.exp(-1.645 * 0.08 * (1 - aged) / 0.59)]


SUN = ("sun", (), 303.15)
HISTORIES = {
    "fresh and untested": (
        Bottle("carbonated", 1.5e-3, age=0.0), [], (["carbonated"], 0.9, math.hypot(*ALWAYS), []),
    ),
    "two litres, tested at 7.5 bar on the day": (
        Bottle("carbonated", 2e-3, age=20 * DAY), [TestResult(7.5 * BAR, 60.0, True)],
        (["carbonated"], 0.9 * left_at(20) * (2 / 1.5) ** -0.26, math.hypot(*ALWAYS), [7.5]),
    ),
    "twelve years old, tested at 9.3 bar when it was opened": (
        Bottle("carbonated", 1.5e-3, age=12 * YEAR),
        [TestResult(9.3 * BAR, 60.0, True, kept(0.0, 12 * YEAR, 0))], (["carbonated"], *_old()),
    ),
    "launched, kept in the sun, warm, two poor tests": (
        Bottle("carbonated", 1.5e-3, age=100 * DAY, cycles=8, storage="sun", temperature=303.15),
        [TestResult(6 * BAR, 5.0, True, kept(30 * DAY, 100 * DAY, 6, 303.15, 0.0, ("sun",)), on_water=False),
         TestResult(7 * BAR, 20.0, True, kept(60 * DAY, 100 * DAY, 3, 303.15, 0.0, ("sun",)))],
        (["carbonated"], *_sun_and_launches()),
    ),
    "of unknown kind and age, tested at 4 bar": (
        Bottle("unknown", 1e-3), [TestResult(4 * BAR, 60.0, True)],
        (["still"], 0.9 * 0.41 * (1 / 1.5) ** -0.26, math.hypot(*ALWAYS), [4.0]),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HISTORIES)
def test_a_second_integration_gives_the_same_burst_pressure(name: str) -> None:
    bottle, tests, formulas = HISTORIES[name]
    belief = posterior(strength(bottle), tests)
    pressures, chances = after(*formulas)
    for chance in (1e-3, 0.05, 0.5, 0.95):
        assert belief.quantile(chance) == pytest.approx(float(np.interp(chance, chances, pressures)), rel=1e-3)
    # One in ten thousand lies where five values of the spread stand in for all of them.
    assert belief.quantile(1e-4) == pytest.approx(float(np.interp(1e-4, chances, pressures)), rel=3e-3)
