"""A rocket with another drag, gauge error and wind than its design says: four flights foretell the fifth.

The truth is drawn as the fit takes it (see `calibration`): every ± of the design, other gusts and air for each launch,
what the model misses, readings with heavy tails. BOTTLEWRIGHT_FIFTH rockets of them; docs/learn.md has what came of
many. Few of them are flown here, with fewer draws.
"""

import os
from types import SimpleNamespace

import numpy as np
import pytest
from calibration import launches_like
from conftest_flights import CURLEW
from scipy.stats import binom

import bottlewright as bw
from bottlewright.learn import inference
from bottlewright.learn.fit import fit
from bottlewright.learn.learned_file import learned_of
from bottlewright.project.using_learned import _with

MANY = int(os.environ.get("BOTTLEWRIGHT_FIFTH", "0"))
FLIGHTS = 400 if MANY else 200
OF = {"height": "apogee_m", "time": "flight_time_s"}
FEWER = {"_DRAWS": 200, "_MORE": 200, "_STARTS": 2}


def bands(project):
    """Return the ends between which nine in ten of the next flights lie, by kind."""
    columns = project.fly_many(FLIGHTS).columns()
    return {what: np.nanquantile(columns[key], (0.05, 0.95)) for what, key in OF.items()}


@pytest.fixture(scope="module")
def foretold():
    """By kind, for each rocket: the band's width against that of the design alone, and whether the fifth lies in it."""
    project = bw.read(CURLEW / "rocket.toml")
    before = {what: np.ptp(ends) for what, ends in bands(project).items()}
    found = {what: [] for what in OF}
    with pytest.MonkeyPatch.context() as patch:
        for name, value in ({} if MANY else FEWER).items():
            patch.setattr(inference, name, value)
        for seed in range(MANY or 8):
            launches, _, fifth = launches_like(project.design, 4, {"height": 1.5, "time": 0.2},
                                               np.random.default_rng(1000 + seed))  # fmt: skip
            after = _with(project, SimpleNamespace(learned=learned_of(fit(launches, seed=seed))))
            for what, (low, high) in bands(after).items():
                found[what].append(((high - low) / before[what], bool(low < fifth[what] < high)))
    if MANY:
        for what, each in found.items():
            print(what, "width", np.mean([one[0] for one in each]), "inside", sum(one[1] for one in each), len(each))
    return found


def test_the_bands_of_the_fifth_flight_are_about_half_as_wide(foretold):
    assert np.mean([width for width, _ in foretold["height"]]) < 0.55
    assert np.mean([width for width, _ in foretold["time"]]) < 0.5


def test_the_fifth_flight_lies_in_its_band_about_nine_times_in_ten(foretold):
    """So few hits would come less than one time in a hundred of bands that hold nine in ten."""
    for each in foretold.values():
        assert binom.cdf(sum(inside for _, inside in each), len(each), 0.9) > 0.01
