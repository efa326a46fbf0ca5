"""Where many flights are at each moment, against flights flown one by one with everything kept of them."""

from pathlib import Path

import numpy as np
import pytest

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.flight.batch import sample_batch
from bottlewright.flight.fly import fly_parameters
from bottlewright.flight.height_band import height_band, heights_of, moments_of

CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW)


@pytest.fixture(scope="module")
def many(curlew):
    return curlew.fly_many(40, seed=5)


def test_the_heights_are_those_of_the_same_flights_flown_singly(curlew):
    batch, times = sample_batch(curlew.design, 0, 6, seed=5), np.array([0.05, 0.4, 1.5, 3.0, 9.0, 15.0])
    heights = heights_of(batch, times)
    for record, found in zip(batch, heights, strict=True):
        series = fly_parameters(record, series=True).series
        by_itself = np.interp(times, series["time_s"], series["height_m"], right=0.0)
        assert found == pytest.approx(by_itself, abs=1e-9)


def test_each_flight_is_at_its_highest_point_when_its_key_figures_say_so(curlew, many):
    batch = sample_batch(curlew.design, 0, 40, seed=5)
    when = many.summaries["apogee_time_s"]
    order = np.argsort(when)
    heights = heights_of(batch, when[order])[order, np.arange(40)]
    assert heights == pytest.approx(many.summaries["apogee_m"][order], rel=2e-4)


def test_one_flight_in_ten_is_under_the_band_and_one_over_it_at_any_moment(curlew, many):
    band = many.band
    heights = heights_of(sample_batch(curlew.design, 0, 40, seed=5), band.time)
    flown = slice(1, 150)  # at the release all are at the same place, and at the end most are down
    under, over = (heights < band.low).sum(axis=0)[flown], (heights > band.high).sum(axis=0)[flown]
    assert set(under) <= {3, 4}
    assert set(over) <= {3, 4}
    counted = np.sort(heights, axis=0)
    assert band.middle == pytest.approx(0.5 * (counted[19] + counted[20]), abs=1e-12)


def test_a_flight_that_is_down_counts_as_on_the_ground(many):
    band = many.band
    assert band.time[-1] == pytest.approx(np.nanmax(many.summaries["flight_time_s"]))
    assert band.low[-1] == band.middle[-1] == 0.0


def test_a_rocket_that_never_leaves_stays_on_the_ground(curlew):
    weak = curlew.changed({"charge.pressure": "0.3 bar"})
    band = weak.fly_many(8).band
    assert (band.high == 0.0).all()


def test_what_is_not_known_of_one_flight_is_left_out_and_not_taken_for_the_ground():
    heights = np.array([[0.0, 5.0], [0.0, np.nan], [0.0, 7.0]])
    band = height_band(np.array([0.0, 1.0]), heights)
    assert band.middle[1] == pytest.approx(6.0)


def test_moments_lie_closer_while_the_rocket_is_pushed():
    times = moments_of(np.array([12.0, np.nan, 16.0]))
    assert times[-1] == 16.0
    assert np.diff(times[times < 1.0]).max() < np.diff(times[times > 1.0]).min()


def test_a_band_of_one_design_is_never_shown_with_a_flight_of_another(curlew, many):
    other = curlew.changed({"charge.water": "300 mL"}).fly()
    with pytest.raises(InputError, match="another design"):
        other.course(many)
