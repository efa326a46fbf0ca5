"""Filters that records are smoothed with, against printed coefficients, and a turn in space."""

import numpy as np
import pytest
from scipy.signal import savgol_coeffs
from scipy.spatial.transform import Rotation

from bottlewright.learn.smoothing import smoothed, top_of


@pytest.mark.parametrize(("points", "printed", "over"), [
    (5, [-3, 12, 17, 12, -3], 35), (7, [-2, 3, 6, 7, 6, 3, -2], 21),
])
def test_savitzky_and_golays_smoothing(points, printed, over):
    """Savitzky and Golay, Anal. Chem. 36, 1964, table I, as quoted in texts on filters (read): a parabola is kept."""
    assert savgol_coeffs(points, 2) * over == pytest.approx(printed)


def test_savitzky_and_golays_slope_of_five_points():
    """Same place: (−2, −1, 0, 1, 2)/10."""
    assert savgol_coeffs(5, 2, deriv=1, use="dot") * 10 == pytest.approx([-2, -1, 0, 1, 2])


def test_a_quarter_turn_about_z():
    """Closed form: (cos 45°, 0, 0, sin 45°), the scalar first."""
    x, y, z, w = Rotation.from_euler("z", 90.0, degrees=True).as_quat()
    assert (w, x, y, z) == pytest.approx((0.70711, 0.0, 0.0, 0.70711), abs=5e-6)


def test_a_running_median_takes_two_spikes_away_and_keeps_a_slope():
    height = np.linspace(0.0, 30.0, 61)
    spiked = height.copy()
    spiked[[20, 21]] = 60.65, -16.75
    assert smoothed(spiked, 0.1)[10:50] == pytest.approx(height[10:50], abs=1.3)


def test_the_top_of_a_parabola_is_found_exactly_and_one_wild_row_does_not_move_it():
    time = np.linspace(0.0, 4.0, 81)
    height = 30.0 - 4.9 * (time - 2.13) ** 2
    assert top_of(time, height, 2.0, 0.8)[0::2] == pytest.approx((2.13, 30.0), abs=1e-6)
    height[45] = 90.0
    assert top_of(time, height, 2.0, 0.8)[0::2] == pytest.approx((2.13, 30.0), abs=0.02)
