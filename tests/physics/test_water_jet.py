"""The jet's two equations against the control-volume balances they come from, and their exact limits."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.water_jet import (
    effective_length,
    end_correction,
    jet_free,
    jet_free_ahead,
    jet_held,
    jet_held_ahead,
    steady_jet_free,
    steady_jet_held,
)

RHO = 998.0
jets = st.fixed_dictionaries({
    "excess": st.floats(0.0, 1.2e6), "jet_area": st.floats(1e-6, 4e-4), "loss": st.floats(0.0, 3.0),
    "height": st.floats(0.001, 0.4), "widening": st.floats(1.0, 200.0), "speed": st.floats(0.0, 50.0),
    "other": st.floats(-20.0, 5.0), "dry": st.floats(0.02, 3.0), "extra": st.floats(0.0, 0.05),
})  # fmt: skip


def parts(jet):
    """A cylinder of water above the nozzle: area, length integral, mass of it all."""
    surface = jet["jet_area"] * jet["widening"]
    length = effective_length(jet["jet_area"], jet["jet_area"], jet["height"] / surface, jet["extra"], 0.0)
    return surface, length, jet["dry"] + RHO * surface * jet["height"]


@given(jets)
def test_free_jet_solves_bernoulli_and_momentum(jet):
    surface, length, mass = parts(jet)
    a, u, h, beta = jet["jet_area"], jet["speed"], jet["height"], jet["jet_area"] / surface
    force, gain = jet_free(jet["excess"], RHO, a, jet["loss"], h, surface, length, u, mass, jet["other"])
    head = jet["excess"] / RHO + force * h - u * u / 2 * (1 + jet["loss"] - beta**2)
    assert length * gain == pytest.approx(head, rel=1e-9, abs=1e-6)
    thrust = RHO * a * (u * u * (1 - beta) + h * gain)
    assert mass * force == pytest.approx(thrust + jet["other"], rel=1e-9, abs=1e-6)


@given(jets)
def test_a_held_jet_is_a_free_one_with_the_force_it_has(jet):
    surface, length, mass = parts(jet)
    args = jet["excess"], RHO, jet["jet_area"], jet["loss"], jet["height"], surface, length, jet["speed"]
    force, gain = jet_free(*args, mass, jet["other"])
    thrust, held_gain = jet_held(*args, force)
    assert held_gain == pytest.approx(gain, rel=1e-7, abs=1e-5)
    assert thrust + jet["other"] == pytest.approx(mass * force, rel=1e-7, abs=1e-5)


@given(jets)
def test_more_pressure_never_means_less_acceleration(jet):
    """The sign of the determinant: M − ρ A_j h²/Λ_e > 0."""
    surface, length, mass = parts(jet)
    rest = RHO, jet["jet_area"], jet["loss"], jet["height"], surface, length, jet["speed"], mass, jet["other"]
    less, more = (jet_free(jet["excess"] + d, *rest) for d in (0.0, 1e4))
    assert more[0] > less[0]
    assert more[1] > less[1]


def test_a_straight_pipe_starts_with_pressure_times_area():
    area, height = 3.6e-4, 0.3
    thrust, gain = jet_held(4e5, RHO, area, 0.0, height, area, height, 0.0, 0.0)
    assert thrust == pytest.approx(4e5 * area, rel=1e-14)
    assert gain == pytest.approx(4e5 / (RHO * height), rel=1e-14)


def test_a_free_straight_pipe_throws_its_whole_slug():
    """Pressure p·A pushes rocket and slug apart: the rocket alone has the acceleration p A / M_dry."""
    area, height, dry = 3.6e-4, 0.3, 0.2
    force, _ = jet_free(4e5, RHO, area, 0.0, height, area, height, 0.0, dry + RHO * area * height, 0.0)
    assert force == pytest.approx(4e5 * area / dry, rel=1e-12)


@given(jets)
def test_an_unsteady_jet_at_rest_in_time_is_the_steady_one(jet):
    """Where u̇ = 0 and the surface is still, both give one thrust."""
    thrust, speed = steady_jet_held(jet["excess"], RHO, jet["jet_area"], jet["loss"], jet["height"], 9.81)
    unsteady, gain = jet_held(
        jet["excess"], RHO, jet["jet_area"], jet["loss"], jet["height"], math.inf, 1.0, speed, 9.81
    )
    assert gain == pytest.approx(0.0, abs=1e-9 * (1 + jet["excess"]))
    assert unsteady == pytest.approx(thrust, rel=1e-9, abs=1e-9)


@given(jets)
def test_a_free_steady_jet_is_a_held_one_with_the_force_it_has(jet):
    _, _, mass = parts(jet)
    if 0.5 * (1 + jet["loss"]) <= RHO * jet["jet_area"] * jet["height"] / mass:
        return
    args = jet["excess"], RHO, jet["jet_area"], jet["loss"], jet["height"]
    force, speed = steady_jet_free(*args, mass, 0.0)
    thrust, held = steady_jet_held(*args, force)
    assert held == pytest.approx(speed, rel=1e-7)
    assert thrust == pytest.approx(mass * force, rel=1e-7)


def test_no_pressure_and_no_force_leave_the_water_at_rest():
    assert steady_jet_held(0.0, RHO, 1e-4, 0.0, 0.2, 0.0) == (0.0, 0.0)
    assert jet_held(0.0, RHO, 1e-4, 0.0, 0.2, 1e-3, 0.1, 0.0, 0.0) == (0.0, 0.0)


def test_end_correction_is_0_8_radii_in_a_wide_wall_and_nothing_in_a_bare_neck():
    assert end_correction(0.009, 10.0) == pytest.approx(0.8 * 0.0045, rel=2e-3)
    assert end_correction(0.0217, 0.0217) == pytest.approx(0.0, abs=1e-12)
    steps = [end_correction(bore, 0.0217) / bore for bore in np.linspace(0.003, 0.0217, 20)]
    assert (np.diff(steps) < 0).all()


@given(jets, st.floats(1e-6, 0.1), st.floats(0.0, 0.1))
def test_the_speed_ahead_is_the_speed_with_the_gain_that_it_would_have_itself(jet, lead, more):
    """What an implicit stage solves, of a free rocket and of one that is held with the same force.

    There is none where the time is so long that the jet would stand still in it, or outgrow itself by its own push.
    """
    surface, length, mass = parts(jet)
    args = jet["excess"], RHO, jet["jet_area"], jet["loss"], jet["height"], surface, length
    ahead = jet_free_ahead(*args, jet["speed"], mass, jet["other"], more, lead)
    still, one = (jet_free(*args, u, mass, jet["other"] + more * u**2)[1] for u in (0.0, 1.0))
    if not math.isfinite(ahead):
        assert 4.0 * lead * (still - one) * (jet["speed"] + lead * still) < -1.0 + 1e-6
        return
    force, gain = jet_free(*args, ahead, mass, jet["other"] + more * ahead**2)
    size = abs(ahead) + jet["speed"] + lead * abs(still)
    assert ahead == pytest.approx(jet["speed"] + lead * gain, abs=1e-9 * (1.0 + size))
    assert jet_held_ahead(*args, jet["speed"], force, lead) == pytest.approx(ahead, abs=1e-7 * (1.0 + size))
