"""The homogeneous mixture: energy, greatest flux, and its two pure limits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from bottlewright.physics.gas import nozzle_flow
from bottlewright.physics.spray import spray_flow
from bottlewright.physics.water import R_DRY

RHO, AMBIENT, AREA = 999.0, 1e5, 1e-4
qualities = st.floats(1e-4, 0.9)
pressures = st.floats(1.05e5, 1.2e6)


def flux(exit_pressure, p, quality, gas_volume, gamma):
    there = gas_volume * (p / exit_pressure) ** (1 / gamma)
    square = 2 * (
        (1 - quality) * (p - exit_pressure) / RHO
        + quality * gamma / (gamma - 1) * (p * gas_volume - exit_pressure * there)
    )
    speed = math.sqrt(max(square, 0.0))
    return speed / ((1 - quality) / RHO + quality * there), speed


@given(pressures, qualities, st.sampled_from([1.2, 1.4]))
def test_the_opening_passes_the_greatest_flux_there_is(p, quality, gamma):
    gas_volume = R_DRY * 280.0 / p
    flow, thrust, choked = spray_flow(p, AMBIENT, quality, RHO, gas_volume, gamma, AREA)
    best = minimize_scalar(lambda e: -flux(e, p, quality, gas_volume, gamma)[0], bounds=(AMBIENT, p), method="bounded",
                           options={"xatol": 1e-3})  # fmt: skip
    at = best.x if choked else AMBIENT
    greatest, speed = flux(at, p, quality, gas_volume, gamma)
    assert flow == pytest.approx(AREA * greatest, rel=1e-8)
    assert thrust == pytest.approx(flow * speed + AREA * (at - AMBIENT), rel=1e-6)
    assert flow >= AREA * flux(AMBIENT, p, quality, gas_volume, gamma)[0] * (1 - 1e-12)


@given(st.floats(2.5e5, 1.2e6))
def test_almost_pure_gas_is_choked_gas(p):
    flow, thrust, choked = spray_flow(p, AMBIENT, 1 - 1e-9, RHO, R_DRY * 280.0 / p, 1.4, AREA)
    assert choked
    assert (flow, thrust) == pytest.approx(
        nozzle_flow(math.sqrt(p / AMBIENT - 1), AMBIENT, 280.0, R_DRY, 1.4, AREA), rel=1e-7
    )


@given(pressures)
def test_almost_pure_water_is_a_water_jet(p):
    flow, thrust, choked = spray_flow(p, AMBIENT, 1e-12, RHO, R_DRY * 280.0 / p, 1.4, AREA)
    assert not choked
    assert flow == pytest.approx(AREA * math.sqrt(2 * RHO * (p - AMBIENT)), rel=1e-6)
    assert thrust == pytest.approx(2 * AREA * (p - AMBIENT), rel=1e-6)


def test_nothing_leaves_without_pressure():
    assert spray_flow(AMBIENT, AMBIENT, 0.01, RHO, 0.8, 1.4, AREA) == (0.0, 0.0, False)
