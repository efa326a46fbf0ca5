"""What this bottle's own proof tests say of its burst pressure: Bayes' rule on a grid.

Every bottle has one burst pressure B at its next launch. Before its tests, ln B is spread by two things: what the
kind's median really is (shared by all bottles of the kind: the nodes below) and how bottles of the kind differ (within
each node). A test bears on the strength of its own day, of which the share `kept` is left at the launch: one passed at
p says B > p·kept, a failed one B < p·kept; both softly, with a spread for the gauge. The evidence of a passed test
rises with B and that of a failed one falls, so a passed test can never lower any quantile of B and a failed one never
raise it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from bottlewright.proof.bursts import Part, Strength, law, slow_hold
from bottlewright.quantities import Dimension

__all__ = ["BurstBelief", "TestResult", "posterior", "posterior_if_told_wrong"]

_Array = NDArray[np.float64]

_LOG_B = np.linspace(math.log(1e3), math.log(6e6), 1000)  # Pa gauge; cells of 0.9 %
_NODES = np.linspace(-4.0, 4.0, 25)[:, np.newaxis]  # standard normal offsets of the kind's median
_STEP = _LOG_B[1] - _LOG_B[0]


@dataclass(frozen=True, slots=True)
class TestResult:
    """One pressure test as evidence: gauge pressure (Pa), hold (s), whether the vessel passed, and what is left of it.

    `kept` is the share of that day's strength that is left at the launch; by `doubt`, Pa, the pressure may have been
    lower; `expired` says that no launch rests on it any more.
    """

    __test__ = False  # not a class of tests

    pressure: float
    hold: float
    passed: bool
    kept: float = 1.0
    on_water: bool = True
    doubt: float = 0.0
    expired: bool = False

    @property
    def earns(self) -> bool:
        """Whether a launch pressure may rest on it: on air, held too short or expired it bears on strength alone."""
        return (self.passed and self.on_water and not self.expired and self.pressure > self.doubt
                and self.hold >= law("hold_least", Dimension.TIME))

    def proven_then(self) -> float:
        """Return the strength that the test proved on its day.

        A hold shorter than the reference shows a little less; one too short to count as a hold is a fast ramp, which
        flatters by the factor that the published ones are lowered by.
        """
        reference = law("hold_reference", Dimension.TIME)
        decades = max(0.0, math.log10(reference / max(self.hold, 1.0)))
        ramp = slow_hold() if self.hold < law("hold_least", Dimension.TIME) else 1.0
        return max(self.pressure - self.doubt, 0.0) * ramp * (1.0 - law("hold_decade") * decades)

    def proven(self) -> float:
        """Return what is left at the launch of the strength that the test proved."""
        return self.proven_then() * self.kept


@dataclass(frozen=True, slots=True)
class BurstBelief:
    """What is believed of the burst pressure: joint chances over the kind's median (rows) and over ln B (columns)."""

    chances: _Array

    def chance_below(self, pressure: float) -> float:
        """Return the chance that the vessel bursts at or below a gauge pressure (Pa)."""
        if pressure <= 0.0:
            return 0.0
        return float(self.chances_below(np.array([pressure]))[0])

    def chances_below(self, pressures: _Array) -> _Array:
        """Return the chances that the vessel bursts at or below gauge pressures (Pa) over nothing."""
        below = np.cumsum(self.chances.sum(axis=0))
        return np.asarray(np.interp(np.log(pressures), _LOG_B + 0.5 * _STEP, below, left=0.0))

    def quantile(self, chance: float) -> float:
        """Return the gauge pressure (Pa) below which the vessel bursts with this chance."""
        return _reached(np.cumsum(self.chances.sum(axis=0)), chance)

    def quantile_interval(self, chance: float, low: float = 0.05, high: float = 0.95) -> tuple[float, float]:
        """Return that pressure's interval from not knowing the kind's median: its values over the medians."""
        weight = self.chances.sum(axis=1)
        known = weight > 1e-12
        of_row = np.zeros(weight.size)
        below = np.cumsum(self.chances[known] / weight[known, np.newaxis], axis=1)
        of_row[known] = [_reached(row, chance) for row in below]
        order = np.argsort(of_row)
        reached = np.cumsum(weight[order]) / weight.sum()
        return (float(of_row[order][min(np.searchsorted(reached, low), reached.size - 1)]),
                float(of_row[order][min(np.searchsorted(reached, high), reached.size - 1)]))


def _reached(below: _Array, chance: float) -> float:
    """Return the gauge pressure (Pa) at which chances added up from below reach a chance."""
    i = int(np.searchsorted(below, chance))
    if i >= below.size:
        return math.exp(float(_LOG_B[-1]))
    before = below[i - 1] if i else 0.0
    part = (chance - before) / (below[i] - before) if below[i] > before else 1.0
    return math.exp(float(_LOG_B[i] + (part - 0.5) * _STEP))


def _log_density(part: Part, nodes: _Array) -> tuple[_Array, _Array]:
    """Return log density and log survival of ln B for one part, a row for each value of its kind's median."""
    x = (_LOG_B - math.log(part.median) - nodes * part.common) / part.between
    return -0.5 * x * x - math.log(part.between * math.sqrt(2.0 * math.pi)), log_ndtr(-x)


def _weakest(prior: Strength, part: Part) -> _Array:
    """Return the log density of the weakest of the bottles and joints in series.

    With n like bottles and n − 1 like joints the survivals multiply, and the density is survival times the sum of the
    hazards.
    """
    density, survival = _log_density(part, _NODES)
    hazard = math.log(prior.count) + density - survival
    survives = prior.count * survival
    if prior.joint is not None and prior.count > 1:
        density, survival = _log_density(prior.joint, _NODES)
        hazard = np.logaddexp(hazard, math.log(prior.count - 1) + density - survival)
        survives = survives + (prior.count - 1) * survival
    return survives + hazard


@lru_cache(maxsize=16)
def _prior(prior: Strength) -> _Array:
    """Return the log chances of each part before any test, but for a constant."""
    return np.array([_weakest(prior, part) - 0.5 * _NODES**2 for part in prior.parts])


def posterior(prior: Strength, tests: Sequence[TestResult] = ()) -> BurstBelief:
    """Return what is believed of a vessel's burst pressure after its tests."""
    return _believed(prior, tuple(tests))


@lru_cache(maxsize=64)
def _believed(prior: Strength, tests: tuple[TestResult, ...]) -> BurstBelief:
    """Apply Bayes' rule to each part.

    Each part learns from the tests; how likely the parts are stays. A test of one bottle says nothing of how widely its
    kind spreads, and it must not turn a kind that nobody knows into the strongest one.
    """
    logs = _prior(prior) + _evidence(tests)
    chances = np.exp(logs - logs.max(axis=(1, 2), keepdims=True))
    weights = np.array([part.weight for part in prior.parts]) / chances.sum(axis=(1, 2))
    return BurstBelief(np.tensordot(weights, chances, axes=1))


def _evidence(tests: Sequence[TestResult]) -> _Array:
    """Return the log likelihood of a vessel's tests over ln B."""
    logs, spread = np.zeros_like(_LOG_B), law("test_spread")
    for test in tests:
        if test.proven() > 0.0:
            x = (_LOG_B - math.log(test.proven())) / spread
            logs = logs + log_ndtr(x if test.passed else -x)
    return logs


def posterior_if_told_wrong(
    told: Strength, otherwise: Strength, wrong: float, tests: Sequence[TestResult] = ()
) -> BurstBelief:
    """Return what is believed where something that was told of a vessel is wrong with a chance.

    Its own tests bear on that chance, since they say how strong this very vessel is: a pass that the weaker of the two
    would hardly have given makes the word more likely.
    """
    chances = np.exp(_evidence(tests))
    right = (1.0 - wrong) * float(posterior(told).chances.sum(axis=0) @ chances)
    false = wrong * float(posterior(otherwise).chances.sum(axis=0) @ chances)
    share = false / (right + false) if right + false > 0.0 else wrong
    return BurstBelief((1.0 - share) * posterior(told, tests).chances + share * posterior(otherwise, tests).chances)
