"""A line with fewer points that looks the same."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["simpler"]

Floats = NDArray[np.float64]


def simpler(points: Floats, tolerance: float = 0.04) -> Floats:
    """Return the points without those that lie nearer than a tolerance to the line through the others.

    After Douglas and Peucker (Cartographica 10 (1973) 112; original not checked). Lines with breaks keep every point.
    """
    x, y = np.asarray(points, float).T
    if len(x) < 4 or not np.isfinite(x + y).all():
        return points
    kept = np.array([0, len(x) - 1])
    while True:  # all stretches between kept points at once
        counts = np.diff(kept)
        stretch = np.repeat(np.arange(len(counts)), counts)
        way_x, way_y = np.diff(x[kept]), np.diff(y[kept])
        long = way_x**2 + way_y**2
        dx, dy = x[:-1] - x[kept[stretch]], y[:-1] - y[kept[stretch]]
        share = (dx * way_x[stretch] + dy * way_y[stretch]) / np.where(long > 0.0, long, 1.0)[stretch]
        share = np.clip(share, 0.0, 1.0)
        away = (dx - share * way_x[stretch]) ** 2 + (dy - share * way_y[stretch]) ** 2
        most = np.maximum.reduceat(away, kept[:-1])
        found = np.flatnonzero((away == most[stretch]) & (most > tolerance**2)[stretch])
        if not found.size:
            return np.column_stack([x[kept], y[kept]])
        first = np.unique(stretch[found], return_index=True)[1]
        kept = np.sort(np.concatenate([kept, found[first]]))
