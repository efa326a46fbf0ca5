"""How often the truth lies in the band that the fit names, in simulated launches: BOTTLEWRIGHT_CALIBRATION of them."""

import os

import pytest
from calibration import DRAWS, ranked
from conftest_flights import CURLEW

import bottlewright as bw

SETS = int(os.environ.get("BOTTLEWRIGHT_CALIBRATION", "8"))


@pytest.fixture(scope="module")
def sets():
    design = bw.read(CURLEW / "rocket.toml").design
    return [ranked(design, 1, {"height": 1.5, "time": 0.2}, seed) for seed in range(SETS)]


def inside(ranks):
    """Share of ranks that lie in the middle nine tenths."""
    found = [(rank + 0.5) / (DRAWS + 1) for each in ranks for rank in each.values()]
    return sum(0.05 < one < 0.95 for one in found) / len(found)


def test_the_truth_lies_in_the_band_of_nine_in_ten_about_so_often(sets):
    assert inside([one.ranks for one in sets]) >= 0.8


def test_bands_cut_to_three_fifths_would_be_noticed(sets):
    assert inside([one.cut for one in sets]) < 0.8


def test_a_measured_flight_narrows_the_next_prediction(sets):
    assert sum(one.narrower for one in sets) / len(sets) < 0.9
