"""Simulated launches of a rocket whose truth is drawn from its design's ±, and where that truth ranks in the answer.

Talts, Betancourt, Simpson, Vehtari and Gelman, "Validating Bayesian inference algorithms with simulation-based
calibration", 2018: where truth and measurements come from what the fit assumes, the truth's rank among the draws is
uniform. Everything is drawn as the fit takes it: what stays with the rocket once, what belongs to a launch and the
gusts for each, what the model misses once and for each, and an error of the readings with heavy tails.
"""

from typing import NamedTuple

import numpy as np

from bottlewright.flight.batch import TOLERANCE, fly_batch
from bottlewright.learn.fit import MODEL_MISSES, TAILS, fit
from bottlewright.learn.launches import Launch, Reading, seen
from bottlewright.learn.unknowns import unknowns_of, varied

DRAWS = 199


class Ranked(NamedTuple):
    """Ranks of the truth among `DRAWS` draws, by what they are of, among draws cut to 60 %, and of the next height."""

    ranks: dict[str, int]
    cut: dict[str, int]
    next_height: int
    narrower: float


def launches_like(design, count, whats, generator):
    """Draw a truth and what is measured of it; return the launches, the true scores, and the next flight."""
    designs = [design] * (count + 1)
    every = unknowns_of(designs)
    scores = generator.normal(size=(1, len(every)))
    alike = {name: generator.normal() for name in MODEL_MISSES}
    launches, last = [], {}
    for number in range(count + 1):
        batch = varied(design, number, every, scores)
        batch["tolerance"], batch["index"] = TOLERANCE, generator.integers(1, 10**6)
        flight = fly_batch(batch)
        readings = []
        for what, spread in whats.items():
            true = seen(flight, [Reading(what, 1.0, 1.0)])[0, 0]
            same, each = MODEL_MISSES[what]
            true *= 1.0 + same * alike[what] + each * generator.normal()
            readings.append(Reading(what, float(true + spread * generator.standard_t(TAILS)), spread))
            if number == count:
                last[what] = float(true)
        launches.append(Launch(str(number), design, readings))
    return launches[:count], dict(zip(every, scores[0], strict=True)), last


def ranked(design, count, whats, seed):
    """Fit one simulated set of launches and rank its truth."""
    generator = np.random.default_rng(seed)
    launches, truth, last = launches_like(design, count, whats, generator)
    found = fit(launches, seed=seed)
    drawn = found.posterior.equal(DRAWS, seed)
    narrow = drawn.mean(axis=0) + 0.6 * (drawn - drawn.mean(axis=0))
    named = [(column, one) for column, one in enumerate(found.asked) if one.launch is None]
    ranks, cut = ({one.path: int((among[:, column] < truth[one]).sum()) for column, one in named}
                  for among in (drawn, narrow))  # fmt: skip
    heights, wide = next_heights(found, design, generator)
    return Ranked(ranks, cut, int((heights < last["height"]).sum()), float(np.std(heights) / wide))


def next_heights(found, design, generator):
    """Return heights of the next flight as they are foretold, and the spread of those foretold before any flight."""
    every = unknowns_of([design])
    scores = generator.normal(size=(2 * DRAWS, len(every)))
    known = found.scores[generator.integers(0, len(found.scores), DRAWS)]
    columns = {one: n for n, one in enumerate(found.rocket)}
    for n, one in enumerate(every):
        if one.launch is None:
            scores[:DRAWS, n] = known[:, columns[one]]
    batch = varied(design, 0, every, scores)
    batch["tolerance"], batch["index"] = TOLERANCE, generator.integers(1, 10**6, len(batch))
    heights = fly_batch(batch)["apogee_m"]
    before = heights[DRAWS:] * (1.0 + np.hypot(*MODEL_MISSES["height"]) * generator.normal(size=DRAWS))
    return heights[:DRAWS], np.std(before)  # what the model misses was learned with the rest, or drawn with it
