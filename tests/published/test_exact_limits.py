"""Exact limits of a water jet, worked out from textbook relations.

Quasi-steady jet, no loss, surface speed neglected, p·Vⁿ constant, no gravity, no drag: 2.0 L vessel, 0.6 kg of water of
998.2 kg/m³, 0.15 kg dry, 400 kPa gauge, 101.325 kPa outside.
"""

import math

import numpy as np
import pytest
from firings import LOSSLESS, fired, limit_a, limit_a_free

from bottlewright.flight.state import WATER

BORES = ("5 mm", "9 mm", "21.74 mm")
IMPULSE = {1.4: 14.32636, 1.2: 14.68843, 1.0: 15.0559}
GAIN = {1.4: 36.79629, 1.2: 37.98327, 1.0: 39.1897}


@pytest.mark.parametrize("exponent", IMPULSE)
@pytest.mark.parametrize("bore", BORES)
def test_impulse_of_the_jet_is_the_same_for_every_bore(exponent, bore):
    firing = limit_a(exponent, bore)
    assert firing.summary["impulse_water_N_s"] == pytest.approx(IMPULSE[exponent], rel=2e-6)


@pytest.mark.parametrize("exponent", GAIN)
@pytest.mark.parametrize("bore", [0.005, 0.009, 0.02174])
def test_gain_of_speed_is_the_same_for_every_bore(exponent, bore):
    assert limit_a_free(exponent, bore).gain == pytest.approx(GAIN[exponent], rel=3e-7)


def test_an_exponent_of_nearly_one_is_isothermal():
    nearly, exactly = (limit_a(n).summary["impulse_water_N_s"] for n in (1.0001, 1.0))
    assert nearly == pytest.approx(exactly, rel=3e-5)
    assert nearly < exactly


def test_pressure_jet_speed_and_duration():
    firing = limit_a(1.4)
    area = math.pi * 0.009**2 / 4
    thrust = firing.series["thrust_N"][firing.series["phase"] == WATER]
    speed = np.sqrt(thrust[[0, -1]] / (998.2 * area))
    assert firing.summary["water_out_pressure_Pa"] == pytest.approx(303.939e3, abs=0.5)
    assert speed == pytest.approx([28.3098, 20.1484], abs=5e-5)
    assert firing.summary["water_time_s"] * area == pytest.approx(0.254157e-4, rel=2e-6)


def test_work_of_the_gas_is_the_energy_of_rocket_and_jet():
    free = limit_a_free(1.4, 0.009)
    assert free.work == pytest.approx(172.6814, abs=5e-5)
    assert free.rocket + free.jet == pytest.approx(free.work, rel=1e-10)


def test_an_unsteady_jet_of_a_wide_vessel_nears_the_same_impulse():
    """A cylinder half a metre wide, level: the surface hardly moves, and the water's own momentum ends at nothing."""
    for bore, allowed in (("4 mm", 1e-4), ("12 mm", 1e-3)):
        firing = fired(
            vessel={"profile": [["0 mm", "250 mm"], [f"{2e-3 / (math.pi * 0.25**2)} m", "250 mm"]]},
            nozzle={"bore": bore, "length": "0 mm", **LOSSLESS},
            charge={"water": f"{0.6e6 / 998.2} mL", "pressure": "400 kPa", "temperature": "20.035 degC"},
            model={"gas": 1.4},
        )
        assert firing.summary["impulse_water_N_s"] == pytest.approx(14.32636, rel=allowed)


@pytest.mark.parametrize("bore", ["10 mm", "30 mm"])
def test_a_straight_pipe_starts_with_pressure_times_area(bore):
    radius = f"{float(bore[:-3]) / 2} mm"
    firing = fired(
        vessel={"profile": [["0 mm", radius], ["400 mm", radius]]},
        nozzle={"bore": bore, "length": "0 mm", **LOSSLESS},
        charge={"water": f"{0.6 * 0.4 * math.pi * float(bore[:-3]) ** 2 / 4 * 1e-6} m3", "pressure": "3 bar"},
        model={"gas": "dry"},
    )
    area = math.pi * (float(bore[:-3]) * 1e-3) ** 2 / 4
    assert firing.series["thrust_N"][0] == pytest.approx(3e5 * area, rel=1e-9)
