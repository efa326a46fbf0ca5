"""Gusts against MIL-F-8785C (low altitude) and the closed forms of Dryden's spectra."""

import math

import numpy as np
import pytest
from scipy.signal import periodogram

from bottlewright.physics.gusts import fill_gusts, gust_intensities, gust_lengths

FOOT = 0.3048


@pytest.mark.parametrize(
    ("feet", "length", "ratio"),
    # MIL-F-8785C §3.7.3.4: L_u in ft and σ_u/σ_w.
    [(20.0, 143.589, 1.92914), (100.0, 505.169, 1.71585)],
)
def test_scale_length_and_intensity_at_low_altitude(feet, length, ratio):
    along, up = gust_lengths(feet * FOOT)
    across, vertical = gust_intensities(feet * FOOT, 10.0)
    assert along / FOOT == pytest.approx(length, abs=5e-4)
    assert up / FOOT == pytest.approx(feet)
    assert vertical == pytest.approx(1.0)  # a tenth of the wind at 20 ft
    assert across / vertical == pytest.approx(ratio, abs=1e-5)


def test_turbulence_is_equal_every_way_at_a_thousand_feet():
    assert gust_lengths(1000 * FOOT) == pytest.approx((1000 * FOOT, 1000 * FOOT))
    assert gust_intensities(1000 * FOOT, 10.0) == pytest.approx((1.0, 1.0))


SPACING, LENGTH, POINTS, FLIGHTS = 1.0, 10.0, 1024, 400


@pytest.fixture(scope="module")
def fields():
    out = np.empty((FLIGHTS, POINTS, 3))
    for flight in range(FLIGHTS):
        fill_gusts(2024, flight, SPACING, LENGTH, LENGTH, 0.5 * LENGTH, 0, POINTS, np.zeros(5), out[flight])
    return out


def test_covariance_of_the_samples_is_drydens(fields):
    # R_u = exp(−r/L), R_v = R_w = (1 − r/(2L)) exp(−r/L), the transforms of the spectra. Four hundred fields of about a
    # hundred independent lengths each: standard error below 0.01.
    for lag in (0, 1, 3, 10, 20, 30):
        r = lag * SPACING
        products = (fields[:, : POINTS - lag] * fields[:, lag:]).mean(axis=1)
        expected = [
            math.exp(-r / LENGTH),
            (1 - r / (2 * LENGTH)) * math.exp(-r / LENGTH),
            (1 - r / LENGTH) * math.exp(-2 * r / LENGTH),
        ]
        error = products.std(axis=0) / math.sqrt(FLIGHTS)
        assert np.all(error < 0.01)
        assert np.all(np.abs(products.mean(axis=0) - expected) < 4 * error)


@pytest.mark.parametrize("row", [0, 1, 2, 10, POINTS - 1])
def test_the_field_is_as_strong_at_its_start_as_later(fields, row):
    # Variance of 400 normal numbers: standard error 0.071; four of them.
    assert fields[:, row].var(axis=0) == pytest.approx([1.0, 1.0, 1.0], abs=0.28)


def test_the_three_components_are_unrelated(fields):
    flat = fields.reshape(-1, 3)
    assert np.abs(np.corrcoef(flat.T) - np.eye(3)).max() < 0.02


def _folded(spectrum, omega):
    """Two-sided spectrum of the samples: the continuous one and its images about the sampling rate."""
    images = np.arange(-200, 201)[:, None] * 2 * math.pi / SPACING
    return sum(spectrum(omega + image) for image in images)


@pytest.mark.parametrize(
    ("column", "length", "order"), [(0, LENGTH, 1), (1, LENGTH, 2), (2, 0.5 * LENGTH, 2)]
)
def test_spectrum_of_the_samples_is_drydens(fields, column, length, order):
    def spectrum(omega):
        x = (length * omega) ** 2
        return length / math.pi / (1 + x) if order == 1 else length / (2 * math.pi) * (1 + 3 * x) / (1 + x) ** 2

    frequency, power = periodogram(fields[:, :, column], fs=1 / SPACING, window="hann", detrend=False, axis=1)
    omega = 2 * math.pi * frequency
    expected = 2 * 2 * math.pi * _folded(spectrum, omega)
    # Bands of 32 lines from 32 on, where the window's leakage is small: standard error about 0.012.
    ratio = (power.mean(axis=0) / expected)[32:512].reshape(-1, 32).mean(axis=1)
    assert ratio == pytest.approx(np.ones(15), abs=0.05)
