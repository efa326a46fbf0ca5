"""Simulated launches of a rocket whose truth is drawn from its design's ±, and where that truth ranks in the answer.

Talts, Betancourt, Simpson, Vehtari and Gelman, "Validating Bayesian inference algorithms with simulation-based
calibration", 2018: where truth and measurements come from what the fit assumes, the truth's rank among the draws is
uniform. Everything is drawn as the fit takes it: what stays with the rocket once, what belongs to a launch and the
gusts for each, what the model misses once and for each, and an error of the readings with heavy tails.

    python tests/learn/calibration.py FILE 0 400     rank sets 0 to 399, each a line of FILE
    python tests/learn/calibration.py FILE           say what its lines show
"""

import json
import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.stats import chi2

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


def launches_like(design, count, whats, generator, following=1):
    """Draw a truth and what is measured of it; return the launches, the true scores, and those that follow, by kind."""
    designs = [design] * (count + following)
    every = unknowns_of(designs)
    scores = generator.normal(size=(1, len(every)))
    alike = {name: generator.normal() for name in MODEL_MISSES}
    launches, then = [], {what: [] for what in whats}
    for number in range(count + following):
        batch = varied(design, number, every, scores)
        batch["tolerance"], batch["index"] = TOLERANCE, generator.integers(1, 10**6)
        flight = fly_batch(batch)
        readings = []
        for what, spread in whats.items():
            true = seen(flight, [Reading(what, 1.0, 1.0)])[0, 0]
            same, each = MODEL_MISSES[what]
            true *= 1.0 + same * alike[what] + each * generator.normal()
            readings.append(Reading(what, float(true + spread * generator.standard_t(TAILS)), spread))
            if number >= count:
                then[what].append(float(true))
        launches.append(Launch(str(number), design, readings))
    return launches[:count], dict(zip(every, scores[0], strict=True)), then


def ranked(design, count, whats, seed):
    """Fit one simulated set of launches and rank its truth."""
    generator = np.random.default_rng(seed)
    launches, truth, then = launches_like(design, count, whats, generator)
    found = fit(launches, seed=seed)
    drawn = found.posterior.equal(DRAWS, seed)
    narrow = drawn.mean(axis=0) + 0.6 * (drawn - drawn.mean(axis=0))
    named = [(column, one) for column, one in enumerate(found.asked) if one.launch is None]
    ranks, cut = ({one.path: int((among[:, column] < truth[one]).sum()) for column, one in named}
                  for among in (drawn, narrow))  # fmt: skip
    heights, wide = next_heights(found, design, generator)
    return Ranked(ranks, cut, int((heights < then["height"][0]).sum()), float(np.std(heights) / wide))


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


BINS = 20
"""Of a rank among `DRAWS` draws, ten ranks each."""


def bent(ranks):
    """Return chi-square of ranks over `BINS`, and its p: how often uniform ranks would lie as unevenly."""
    counts, _ = np.histogram(ranks, np.linspace(0, DRAWS + 1, BINS + 1))
    expected = len(ranks) / BINS
    size = float(((counts - expected) ** 2 / expected).sum())
    return size, float(chi2.sf(size, BINS - 1))


def shown(lines):
    """Yield what many sets show, a line for each named value, for the next height, and for the control."""
    for what in ("ranks", "cut"):
        for name in sorted({name for line in lines for name in line[what]}):
            yield what, name, [line[what][name] for line in lines if name in line[what]]
        yield what, "all named", [rank for line in lines for rank in line[what].values()]
    yield "ranks", "next height", [line["next_height"] for line in lines]


def main(file, first="", last=""):
    """Rank sets and write them down, or say what was written."""
    if first:
        from conftest_flights import CURLEW

        import bottlewright as bw

        design = bw.read(CURLEW / "rocket.toml").design
        with Path(file).open("a", encoding="utf-8") as out:
            for seed in range(int(first), int(last)):
                found = ranked(design, 1, {"height": 1.5, "time": 0.2}, seed)._asdict()
                out.write(json.dumps({"seed": seed, **found}) + "\n")
                out.flush()
        return
    lines = [json.loads(line) for line in Path(file).read_text(encoding="utf-8").splitlines()]
    print(f"{len(lines)} sets; ± left of the next height: {np.mean([line['narrower'] for line in lines]):.2f}")
    for what, name, ranks in shown(lines):
        at = (np.array(ranks) + 0.5) / (DRAWS + 1)
        size, chance = bent(ranks)
        print(f"{what:5} {name:28} {len(at):4} mean {at.mean():.3f} ± {0.2887 / np.sqrt(len(at)):.3f}  in nine of ten "
              f"{np.mean(np.abs(at - 0.5) < 0.45):.3f}  in a half {np.mean(np.abs(at - 0.5) < 0.25):.3f}  "
              f"chi-square {size:6.1f}, p {chance:.2g}")  # fmt: skip


if __name__ == "__main__":
    main(*sys.argv[1:])
