"""The outlines of the landings rest on how dense they lie."""

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from bottlewright.field.outlines import _at, _density


def test_the_density_at_each_landing_is_the_one_that_scipy_reads_off_the_same_grid():
    landings = np.random.default_rng(5).normal((30.0, -8.0), (12.0, 4.0), (2000, 2))
    east, north, density = _density(landings)
    assert np.array_equal(
        _at(landings, east, north, density), RegularGridInterpolator((north, east), density)(landings[:, ::-1])
    )


def test_on_the_outermost_lines_of_the_grid_the_density_is_the_grids_own():
    east, north, density = np.arange(3.0), np.arange(4.0), np.arange(12.0).reshape(4, 3)
    corners = np.array([(0.0, 0.0), (2.0, 3.0)])
    assert _at(corners, east, north, density).tolist() == [0.0, 11.0]
