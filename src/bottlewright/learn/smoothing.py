"""Curves out of noisy rows: what one wild row can't bend.

A running median takes spikes away (Tukey, Exploratory Data Analysis, 1977), a Savitzky–Golay filter (Anal. Chem. 36,
1964, 1627) follows what is left. A parabola is fitted with Huber's weights, a slope is the median of all slopes between
two rows (Theil and Sen; scipy.stats.theilslopes).
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d
from scipy.signal import savgol_filter
from scipy.stats import theilslopes

__all__ = ["Line", "Top", "noise_of", "smoothed", "steady_line", "top_of"]

Floats = NDArray[np.float64]

_ROWS, _SECONDS = 9, 0.25
"""A running median takes nine rows, or more where they are closer than that many seconds."""
_LOUD, _CALMER = 0.15, 16
"""Rows that are off by more than this share of the whole rise swing; then the mean of that part of the record is
taken, since a median jumps from one side of a swing to the other. Our judgement."""
_HUBER = 1.5
_MOST_PAIRS = 300


class Top(NamedTuple):
    """The highest point of a curve: when and its ±, s, how high and its ±, m."""

    time: float
    u_time: float
    height: float
    u_height: float


class Line(NamedTuple):
    """A straight part: slope and its ±, m/s, when it is at zero, and the standard deviation of rows about it, m."""

    slope: float
    u_slope: float
    at_zero: float
    off: float


def smoothed(height: Floats, step: float) -> Floats:
    """Return a curve without its spikes; rows `step` seconds apart."""
    width = max(_ROWS, 2 * round(0.5 * _SECONDS / step) + 1)
    width = min(width, (len(height) - 1) // 2 * 2 - 1)
    calm = median_filter(height, width, mode="nearest")
    low, high = np.percentile(height, [2.0, 98.0])
    wide = max(len(height) // _CALMER, width)
    slow = uniform_filter1d(np.clip(height, low, high), wide, mode="nearest")
    if noise_of(height, calm) > _LOUD * np.ptp(slow):
        return np.asarray(slow)
    return np.asarray(savgol_filter(calm, min(width, 2 * (width // 4) + 3), 1, mode="nearest"))


def noise_of(values: Floats, about: Floats | None = None) -> float:
    """Return the standard deviation of most rows, by the median of how far they are off (normal for the rest)."""
    off = values - (np.median(values) if about is None else about)
    return float(1.4826 * np.median(np.abs(off - np.median(off)))) if len(off) else 0.0


def top_of(time: Floats, height: Floats, about: float, half: float) -> Top:
    """Return the highest point near a time, by parabolas over three widths; where these differ, the ± says so."""
    tops = [top for share in (0.7, 1.0, 1.4) if (top := _parabola(time, height, about, share * half))]
    if not tops:
        near = height[np.abs(time - about) <= half]
        return Top(about, half / math.sqrt(3.0), float(np.median(near)), max(noise_of(near), 1e-3))
    times, heights = np.array([one.time for one in tops]), np.array([one.height for one in tops])
    u_time = math.hypot(float(np.median([one.u_time for one in tops])), float(times.std()))
    u_height = math.hypot(float(np.median([one.u_height for one in tops])), float(heights.std()))
    lopsided = float(np.median(times)) - about  # no parabola where a canopy opens at the top
    u_time = math.hypot(u_time, lopsided / math.sqrt(3.0))
    if len(tops) < 3:
        u_time = math.hypot(u_time, half / math.sqrt(12.0))
    return Top(float(np.median(times)), u_time, float(np.median(heights)), u_height)


def _parabola(time: Floats, height: Floats, about: float, half: float) -> Top | None:
    near = np.abs(time - about) <= half
    if near.sum() < 5:
        return None
    x, y = time[near] - about, height[near]
    weights = np.ones(len(x))
    design = np.stack([np.ones(len(x)), x, x**2], axis=1)
    for _ in range(15):
        c = np.linalg.lstsq(design * weights[:, None], y * weights, rcond=None)[0]
        left = y - design @ c
        size = max(noise_of(left), 1e-6)
        weights = np.sqrt(np.minimum(1.0, _HUBER * size / np.maximum(np.abs(left), 1e-12)))
    if c[2] >= 0.0 or abs(c[1] / (2.0 * c[2])) > half:
        return None
    alike = float(np.clip(np.corrcoef(left[:-1], left[1:])[0, 1], 0.0, 0.9)) if left.std() > 0.0 else 0.0
    inflated = size * math.sqrt((1.0 + alike) / (1.0 - alike))  # neighbours that err alike are worth fewer rows
    spread = inflated**2 * np.linalg.inv(design.T @ (design * (weights**2)[:, None]))
    at = -c[1] / (2.0 * c[2])
    by_time = np.array([0.0, -1.0 / (2.0 * c[2]), c[1] / (2.0 * c[2] ** 2)])
    by_height = np.array([1.0, at, at**2])
    return Top(about + at, math.sqrt(by_time @ spread @ by_time), float(by_height @ c),
               math.sqrt(by_height @ spread @ by_height))  # fmt: skip


def steady_line(time: Floats, height: Floats) -> Line:
    """Return the straight line through rows; its ± has how far the halves differ."""
    every = max(1, len(time) // _MOST_PAIRS)
    x, y = time[::every], height[::every]
    slope, at, low, high = theilslopes(y, x, 0.68)
    half = len(x) // 2
    parts = ((x[:half], y[:half]), (x[half:], y[half:]))
    halves = [float(theilslopes(part_y, part_x)[0]) for part_x, part_y in parts if len(part_x) > 2]  # fmt: skip
    apart = abs(halves[1] - halves[0]) / math.sqrt(12.0) if len(halves) == 2 else abs(float(slope)) / 2.0
    off = float(np.std(y - at - slope * x))
    at_zero = float(-at / slope) if slope else math.nan
    return Line(float(slope), math.hypot(0.5 * float(high - low), apart), at_zero, off)
