"""The frozen gust field: reproducible, smooth, endless, and independent of how fine the grid is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.gusts import fill_gusts, gust_at, gust_intensities, gust_lengths

FIELD = np.empty((64, 3))
fill_gusts(5, 0, 2.0, 40.0, 40.0, 10.0, FIELD)
END = 63 * 2.0


def test_a_field_is_the_same_whichever_flights_were_drawn_before():
    other, again = np.empty((64, 3)), np.empty((64, 3))
    fill_gusts(5, 1, 2.0, 40.0, 40.0, 10.0, other)
    fill_gusts(5, 0, 2.0, 40.0, 40.0, 10.0, again)
    assert np.array_equal(again, FIELD)
    assert not np.array_equal(other, FIELD)


@given(st.integers(0, 63))
def test_the_field_goes_through_its_samples(row):
    assert gust_at(2.0 * row, FIELD, 2.0) == pytest.approx(FIELD[row], abs=1e-12)


@given(st.integers(-200, 200))
def test_gusts_and_their_slopes_have_no_jumps(row):
    step, seam = 1e-6, 2.0 * row
    before, at, after = (np.array(gust_at(seam + shift, FIELD, 2.0)) for shift in (-step, 0.0, step))
    assert (after - at) / step == pytest.approx((at - before) / step, abs=1e-4)


@given(st.floats(0.0, 5 * END))
def test_the_field_is_read_to_its_end_and_back(path):
    mirrored = gust_at(2 * END - path if path < 2 * END else path - 2 * END, FIELD, 2.0)
    assert gust_at(path, FIELD, 2.0) == pytest.approx(mirrored, abs=1e-9)


@pytest.mark.parametrize("fraction", [0.05, 0.1, 0.2])
def test_reading_between_the_samples_loses_little_strength(fraction):
    field = np.empty((20_000, 3))
    fill_gusts(9, 0, fraction, 1.0, 1.0, 1.0, field)
    middle = np.array([gust_at((i + 0.5) * fraction, field, fraction) for i in range(1, 19_990)])
    loss = 1.0 - middle.var(axis=0) / field.var(axis=0)
    assert np.all(loss > 0.0)
    assert np.all(loss < 0.5 * fraction)


@given(st.floats(-10.0, 2000.0), st.floats(0.0, 20.0))
def test_scales_stay_within_the_models_heights(height, wind):
    along, up = gust_lengths(height)
    across, vertical = gust_intensities(height, wind)
    assert 3.04 < up <= along <= 304.9
    assert vertical <= across * (1 + 1e-12) <= 2.05 * vertical * (1 + 1e-12)
