"""Outlines that hold 50, 90 and 95 % of the landings: of a Gaussian in closed form, and as the points lie."""

import math
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

__all__ = ["LEVELS", "Ellipse", "circle_radius", "dense_outlines", "gaussian_ellipse"]

LEVELS = (0.5, 0.9, 0.95)
Floats = NDArray[np.float64]


class Ellipse(NamedTuple):
    """An ellipse on the ground: middle (m east, north), half axes (m) and bearing of the long one (rad)."""

    east: float
    north: float
    long: float
    short: float
    bearing: float
    level: float


def gaussian_ellipse(points: Floats, level: float) -> Ellipse:
    """Return the ellipse that holds a share of a Gaussian scatter with the mean and covariance of the points.

    In the plane the squared distance in standard deviations is exponential, so the ellipse of share p lies at
    sqrt(−2 ln(1 − p)) standard deviations (Rayleigh; any text on bivariate normals).

    Parameters
    ----------
    points
        Rows of metres east and north, at least three.
    level
        Share inside, 0 to 1.
    """
    middle = points.mean(axis=0)
    variances, axes = np.linalg.eigh(np.cov(points, rowvar=False))
    short, long = np.sqrt(np.maximum(variances, 0.0)) * math.sqrt(-2.0 * math.log1p(-level))
    bearing = math.atan2(axes[0, 1], axes[1, 1]) % math.pi
    return Ellipse(float(middle[0]), float(middle[1]), float(long), float(short), bearing, level)


def circle_radius(long: float, short: float, level: float) -> float:
    """Return the radius (m) about the mean that holds a share of a Gaussian with two standard deviations (m).

    At the angle φ of the scaled plane the scatter is a Rayleigh of variance (long cos φ)² + (short sin φ)², and φ is
    uniform, so the share inside r is the mean over φ of 1 − exp(−r²/2/variance). The mean over even steps of a smooth
    periodic function closes faster than any power of the step.
    """
    from scipy.optimize import brentq

    phi = (np.arange(720) + 0.5) * (math.pi / 720)
    variance = np.maximum((long * np.cos(phi)) ** 2 + (short * np.sin(phi)) ** 2, 1e-300)
    top = long * math.sqrt(-2.0 * math.log1p(-level))
    return float(brentq(lambda r: float(np.mean(-np.expm1(-r * r / 2.0 / variance))) - level, 0.0, top, xtol=1e-12))


def dense_outlines(points: Floats, levels: tuple[float, ...] = LEVELS) -> list[tuple[float, BaseGeometry]]:
    """Outline where the points lie densest, so that each outline holds its share of them.

    Landings come in heaps, under the canopy and without it, so no single ellipse fits. The points are counted into a
    grid and smoothed by a Gaussian of Scott's width (Scott, Multivariate Density Estimation, 1992: spread · n^(−1/6)),
    and each outline is the line of equal density that has its share of the points above it. It may be in pieces.

    Parameters
    ----------
    points
        Rows of metres east and north.
    levels
        Shares to hold.

    Returns
    -------
    list
        Share and ground, metres, the largest share first.
    """
    from contourpy import contour_generator

    east, north, density = _density(points)
    heights = _at(points, east, north, density)
    lines = contour_generator(east, north, density, name="serial", fill_type="OuterOffset")
    outlines = []
    for level in sorted(levels, reverse=True):
        floor = float(np.quantile(heights, 1.0 - level))
        filled: Any = lines.filled(floor, np.inf)
        outlines.append((level, _ground(*filled)))
    return outlines


def _density(points: Floats) -> tuple[Floats, Floats, Floats]:
    """Return grid lines east and north and the smoothed counts on them, rows northward."""
    from scipy.ndimage import gaussian_filter

    middle_spread = np.subtract(*np.quantile(points, (0.75, 0.25), axis=0)) / 1.349
    spread = np.minimum(points.std(axis=0), np.where(middle_spread > 0.0, middle_spread, np.inf))
    width = np.maximum(spread * len(points) ** (-1.0 / 6.0), 0.25)
    step = np.maximum(width / 4.0, np.ptp(points, axis=0) / 500.0)
    low, high = points.min(axis=0) - 5.0 * width, points.max(axis=0) + 5.0 * width
    edges = [np.arange(a, b + s, s) for a, b, s in zip(low, high, step, strict=True)]
    counts, _, _ = np.histogram2d(points[:, 0], points[:, 1], bins=edges)
    centres = [(edge[1:] + edge[:-1]) / 2.0 for edge in edges]
    return centres[0], centres[1], gaussian_filter(counts, width / step, mode="constant").T


def _at(points: Floats, east: Floats, north: Floats, density: Floats) -> Floats:
    """Return the density at each point, straight between the lines of the grid.

    `scipy.interpolate` gives the same to the last bit, and takes most of a second to import.
    """
    row, up = _between(points[:, 1], north)
    column, right = _between(points[:, 0], east)
    return np.asarray(
        density[row, column] * (1 - up) * (1 - right) + density[row, column + 1] * (1 - up) * right
        + density[row + 1, column] * up * (1 - right) + density[row + 1, column + 1] * up * right
    )  # fmt: skip


def _between(values: Floats, lines: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return the line below each value, and how far it lies to the next one, 0 to 1."""
    below = np.clip(np.searchsorted(lines, values, side="right") - 1, 0, len(lines) - 2)
    return below, (values - lines[below]) / (lines[below + 1] - lines[below])


def _ground(rings: list[Floats], offsets: list[NDArray[np.uint32]]) -> BaseGeometry:
    pieces = []
    for ring, cuts in zip(rings, offsets, strict=True):
        loops = [ring[a:b] for a, b in pairwise(cuts)]
        pieces.append(shapely.Polygon(loops[0], loops[1:]).buffer(0.0))
    return shapely.unary_union(pieces)
