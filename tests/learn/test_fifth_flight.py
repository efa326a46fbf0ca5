"""A rocket with another drag, gauge error and wind than its design says: four flights foretell the fifth.

The truth is drawn as the fit takes it (see `calibration`): every ± of the design, other gusts and air for each launch,
what the model misses, readings with heavy tails. Each rocket flies its fifth launch many times over, in other air, with
another hand on the gauge, so that the share inside its band is known well. BOTTLEWRIGHT_FIFTH rockets of them;
docs/learn.md has what came of many. Few of them are flown here, with fewer draws.
"""

import os
from types import SimpleNamespace

import numpy as np
import pytest
from calibration import launches_like
from conftest_flights import CURLEW

import bottlewright as bw
from bottlewright.learn import inference
from bottlewright.learn.carried import as_values
from bottlewright.learn.fit import fit
from bottlewright.learn.learned_file import learned_of
from bottlewright.project.using_learned import _with

MANY = int(os.environ.get("BOTTLEWRIGHT_FIFTH", "0"))
FLIGHTS = 400 if MANY else 200
FIFTHS = 100
OF = {"height": "apogee_m", "time": "flight_time_s"}
FEWER = {"_DRAWS": 200, "_MORE": 200, "_STARTS": 2}


def bands(project):
    """Return the ends between which nine in ten of the next flights lie, by kind."""
    columns = project.fly_many(FLIGHTS).columns()
    return {what: np.nanquantile(columns[key], (0.05, 0.95)) for what, key in OF.items()}


@pytest.fixture(scope="module")
def foretold():
    """By kind, for each rocket: the band's width against that of the design alone, and the share of fifths inside."""
    project = bw.read(CURLEW / "rocket.toml")
    before = {what: np.ptp(ends) for what, ends in bands(project).items()}
    found = {what: [] for what in OF}
    with pytest.MonkeyPatch.context() as patch:
        for name, value in ({} if MANY else FEWER).items():
            patch.setattr(inference, name, value)
        for seed in range(MANY or 20):
            launches, _, fifths = launches_like(project.design, 4, {"height": 1.5, "time": 0.2},
                                                np.random.default_rng(1000 + seed), FIFTHS)  # fmt: skip
            after = _with(project, SimpleNamespace(learned=learned_of(fit(launches, seed=seed))))
            for what, (low, high) in bands(after).items():
                inside = (low < np.array(fifths[what])) & (np.array(fifths[what]) < high)
                found[what].append(((high - low) / before[what], inside.mean(), inside[0]))
                if MANY:
                    print(seed, what, *found[what][-1], flush=True)
    return {what: np.array(each, float).T for what, each in found.items()}


def test_the_bands_of_the_fifth_flight_are_about_half_as_wide(foretold):
    assert foretold["height"][0].mean() < 0.55
    assert foretold["time"][0].mean() < 0.5


def test_the_fifth_flight_lies_in_its_band_about_nine_times_in_ten(foretold):
    """So small a share would come less than one time in two hundred of bands that hold nine in ten."""
    for _, shares, _ in foretold.values():
        assert shares.mean() > 0.9 - 2.6 * shares.std(ddof=1) / np.sqrt(len(shares))


def test_what_the_model_misses_is_done_by_values_in_full_but_not_forced_out_of_what_moves_nothing():
    moves, missed = np.array([[2.0, 1.0, 0.0], [0.3, -0.2, 0.8], [0.0, 0.0, 0.01]]), np.array([1.0, 0.34, 1.0])
    values = as_values(moves, missed)
    assert np.allclose((moves @ values.T)[:2, :2], np.diag(missed[:2]), atol=0.02)
    assert np.abs(values).max() < 1.0
