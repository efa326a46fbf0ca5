"""Cambridge International A Level Physics 9702/23, Oct/Nov 2018, question 3: a jet of constant speed.

Nozzle radius 7.5 mm, 1000 kg/m³, 13 m/s for 0.20 s, container 0.40 kg with 0.70 kg of water, g 9.81 m/s².
"""

import math

import pytest

from bottlewright.physics.water_jet import jet_held, steady_jet_free, steady_jet_held

AREA = math.pi * 0.0075**2
EXCESS = 0.5 * 1000.0 * 13.0**2


def test_water_out_after_a_fifth_of_a_second():
    _, speed = steady_jet_held(EXCESS, 1000.0, AREA, 0.0, 0.0, 0.0)
    assert 1000.0 * AREA * speed * 0.20 == pytest.approx(0.4595, abs=5e-5)


def test_thrust():
    thrust, speed = steady_jet_held(EXCESS, 1000.0, AREA, 0.0, 0.0, 0.0)
    assert speed == pytest.approx(13.0, rel=1e-14)
    assert thrust == pytest.approx(29.86, abs=5e-3)


def test_acceleration_after_a_fifth_of_a_second():
    left = 0.40 + 0.70 - 1000.0 * AREA * 13.0 * 0.20
    force, _ = steady_jet_free(EXCESS, 1000.0, AREA, 0.0, 0.0, left, 0.0)
    assert force - 9.81 == pytest.approx(36.8, abs=0.05)


def test_a_steady_unsteady_jet_gives_the_same_thrust():
    thrust, gain = jet_held(EXCESS, 1000.0, AREA, 0.0, 0.1, 1e6, 0.1, 13.0, 0.0)
    assert gain == pytest.approx(0.0, abs=1e-9)
    assert thrust == pytest.approx(29.86, abs=5e-3)
