"""The frozen gust field: reproducible, smooth, endless, and independent of how fine the grid is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.flight.vehicle import VEHICLE, lay_gusts
from bottlewright.physics.gusts import fill_gusts, gust_at, gust_intensities, gust_lengths


def laid(seed, index, spacing, along, up, rows, parts=1):
    """Return a field, laid down in so many parts as long."""
    field, state = np.empty((rows, 3)), np.zeros(5)
    for first in range(0, rows, rows // parts):
        fill_gusts(seed, index, spacing, along, along, up, first, first + rows // parts, state, field)
    return field


FIELD = laid(5, 0, 2.0, 40.0, 10.0, 64)
END = 63 * 2.0


def test_a_field_is_the_same_whichever_flights_were_drawn_before():
    other, again = laid(5, 1, 2.0, 40.0, 10.0, 64), laid(5, 0, 2.0, 40.0, 10.0, 64)
    assert np.array_equal(again, FIELD)
    assert not np.array_equal(other, FIELD)


@pytest.mark.parametrize("parts", [2, 8, 16])
def test_a_field_is_the_same_to_the_last_bit_however_it_is_laid_down(parts):
    assert laid(5, 0, 2.0, 40.0, 10.0, 64, parts).tobytes() == FIELD.tobytes()


@pytest.mark.parametrize("way", [[0.0, 1.0, 30.0, 31.0, 200.0, 767.0, 5000.0], [1e9], [0.0, 764.0, 766.0]])
def test_a_flight_lays_down_all_that_it_reads_and_nothing_else_than_at_once(way):
    one = np.zeros(1, VEHICLE)[0]
    one["gust_seed"], one["gust_index"], one["gust_spacing"], one["gust_reach"] = 5, 3, 3.0, -1.0
    one["gusts"] = np.nan
    along, up = gust_lengths(30.0)
    whole = laid(5, 3, 3.0, along, up, len(one["gusts"]))
    for path in way:
        if path > one["gust_reach"]:
            lay_gusts(one, path)
        assert gust_at(path, one["gusts"], 3.0) == gust_at(path, whole, 3.0)
    assert one["gusts"][: one["gust_rows"]].tobytes() == whole[: one["gust_rows"]].tobytes()


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
    field = laid(9, 0, fraction, 1.0, 1.0, 20_000)
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
