"""Coefficients of openings: W. C. Unwin, "Hydraulics", Encyclopaedia Britannica, 11th ed., §§17-51, §63 (Weisbach)."""

import math

import numpy as np
import pytest
from firings import fired

from bottlewright.design.tables import nozzle

WATER = {"rounded": (0.97, 0.97), "square-edged": (0.62, 0.62), "tube": (0.82, 0.82), "re-entrant": (0.515, 0.555)}
AIR = {"rounded": (0.97, 0.99), "square-edged": (0.563, 0.788), "tube": (0.81, 0.84)}


@pytest.mark.parametrize("shape", WATER)
def test_water_through_each_shape(shape):
    row, (low, high) = nozzle(shape), WATER[shape]
    whole = row["contraction"].value * row["velocity_coefficient"].value
    assert low - 0.005 < whole < high + 0.005


@pytest.mark.parametrize("shape", AIR)
def test_air_through_each_shape(shape):
    assert AIR[shape][0] <= nozzle(shape)["gas_coefficient"].value <= AIR[shape][1]


def test_the_sharp_orifice_is_its_contraction_times_its_speed():
    row = nozzle("square-edged")
    assert (row["contraction"].value, row["velocity_coefficient"].value) == (0.64, 0.97)


def test_a_short_tube_in_theory_loses_what_its_widening_jet_loses():
    """A jet contracted to 0.64 fills the tube again: C_v = 1/√(1 + (1/0.64 − 1)²) = 0.87 in theory, 0.82 measured."""
    theory = 1 / math.sqrt(1 + (1 / 0.64 - 1) ** 2)
    assert theory == pytest.approx(0.87, abs=0.005)
    assert nozzle("tube")["velocity_coefficient"].value < theory


@pytest.mark.parametrize("shape", WATER)
def test_a_fired_nozzle_passes_its_coefficient_times_the_ideal_flow(shape):
    """At the first moment of a quasi-steady firing the flow is C · A · √(2 ρ Δp)."""
    firing = fired(
        vessel={"volume": "50 L"},
        nozzle={"bore": "4 mm", "shape": shape},
        charge={"water": "1000 mL", "pressure": "2 bar", "temperature": "20 degC"},
        model={"jet": "quasi-steady", "gas": 1.0},
    )
    time, water = firing.series["time_s"], firing.series["water_kg"]
    early = time < 0.2
    flow = -np.polyfit(time[early], water[early], 2)[1]
    row = nozzle(shape)
    whole = row["contraction"].value * row["velocity_coefficient"].value
    assert flow == pytest.approx(whole * math.pi * 0.002**2 * math.sqrt(2 * 998.207 * 2e5), rel=1e-4)
