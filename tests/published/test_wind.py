"""Wind by height against EN 1991-1-4 and a closed form."""

import math

import pytest
from scipy.integrate import quad

from bottlewright.physics.wind import LOG, POWER, wind_at


@pytest.mark.parametrize(
    ("height", "factor"),
    # EN 1991-1-4 eq. 4.4, terrain category II: z₀ 0.05 m, k_r 0.19, z_min 2 m.
    [(2.0, 0.70089), (10.0, 1.00668), (50.0, 1.31247)],
)
def test_roughness_factor_of_category_two(height, factor):
    # The basic wind times 1.00668 at 10 m gives the others by our log law.
    assert wind_at(height, 1.00668, 10.0, LOG, math.nan, 0.05) == pytest.approx(factor, abs=1e-5)


def test_drift_under_a_canopy_in_a_power_law_wind():
    # Closed form of ∫u dz/v: u10 5 m/s, exponent 1/7, 4 m/s down from 100 m: 151.976 m. The cubic in the lowest 0.1 m
    # takes 25 mm off it.
    drift, _ = quad(lambda z: wind_at(z, 5.0, 10.0, POWER, 1 / 7, math.nan) / 4.0, 0.0, 100.0, points=[0.1], limit=200)
    assert drift == pytest.approx(151.976, abs=0.03)
