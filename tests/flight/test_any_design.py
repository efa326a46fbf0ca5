"""Generated designs fly to finite numbers, with every gram and newton-second accounted for, or are refused."""

import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from recorded import Recorded, charge, record, steps, summed

from bottlewright.design.completion import complete
from bottlewright.design.errors import DesignError
from bottlewright.design.reading import parse_design
from bottlewright.flight.advance import SUB_ROWS
from bottlewright.flight.fly import ENDINGS, fly, fly_parameters
from bottlewright.flight.motion import wind_on
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.results import ledger
from bottlewright.flight.state import (
    ATTITUDE,
    CHARGE_A,
    CHARGE_B,
    COAST,
    GAS,
    OPENING,
    RATES,
    SLIDE,
    SPRAY,
    VELOCITY,
    WATER,
    Endings,
)
from bottlewright.flight.summary import MARGIN_SPEED
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.airframe import air_loads
from bottlewright.physics.gas import GAMMA, nozzle_flow

sys.path.insert(0, str(Path(__file__).parents[1]))
from strategies import designs, share

ALWAYS = ("lift_off_mass_kg", "max_speed_m_s", "max_acceleration_m_s2", "thrust_peak_N", "flight_time_s", "apogee_m")
LANDED = (
    "landing_east_m", "landing_north_m", "landing_speed_m_s", "landing_energy_J", "landing_mass_kg", "apogee_time_s",
    "impulse_total_N_s",
)  # fmt: skip
QUICK = settings(max_examples=share(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])


@given(designs())
@QUICK
def test_every_design_flies_to_finite_numbers_or_is_refused_with_a_reason(text):
    design = complete(parse_design(text))
    flight = fly_parameters(parameters_of(design)[0], series=True)
    if flight.ending == ENDINGS[Endings.refused]:
        with pytest.raises(DesignError, match="make no rocket"):
            fly(design)
        return
    ends = (Endings.landed, Endings.never_left, Endings.stuck, Endings.cut_off)
    assert flight.ending in {ENDINGS[one] for one in ends}
    wanted = ALWAYS + (LANDED if flight.complete else ())
    unfinished = [key for key in wanted if not math.isfinite(flight.summary[key])]
    assert not unfinished
    for name in ("time_s", "height_m", "speed_m_s", "acceleration_m_s2", "mass_kg", "gas_kg", "pressure_Pa"):
        assert np.isfinite(flight.series[name]).all(), name
    assert (flight.series["water_kg"] >= 0.0).all()
    assert (flight.series["gas_kg"] > 0.0).all()


@given(designs())
@QUICK
def test_every_key_figure_agrees_with_the_course_of_its_flight(text):
    flight = fly_parameters(parameters_of(complete(parse_design(text)))[0], series=True)
    if not flight.complete:
        return
    summary, series, masses = flight.summary, flight.series, ledger(flight)
    ends = {
        "flight_time_s": "time_s", "landing_speed_m_s": "speed_m_s", "landing_east_m": "east_m",
        "landing_north_m": "north_m", "landing_mass_kg": "mass_kg", "water_left_kg": "water_kg",
    }  # fmt: skip
    for key, column in ends.items():
        assert summary[key] == pytest.approx(series[column][-1], rel=1e-12, abs=1e-12), key
    assert summary["landing_speed_down_m_s"] == pytest.approx(-series["velocity_up_m_s"][-1], rel=1e-12)
    assert masses["gas_left_kg"] == series["gas_kg"][-1]
    gone = masses["water_out_kg"] + masses["gas_out_kg"] - masses["gas_fed_kg"]
    assert masses["lift_off_kg"] - gone == pytest.approx(masses["landing_kg"], rel=1e-12)
    assert summary["lift_off_mass_kg"] == pytest.approx(series["mass_kg"][0], rel=1e-12)
    assert summary["apogee_m"] >= series["height_m"].max() * (1.0 - 1e-12)
    tops = {"max_speed_m_s": "speed_m_s", "max_acceleration_m_s2": "acceleration_m_s2", "thrust_peak_N": "thrust_N"}
    for key, column in tops.items():
        assert summary[key] >= series[column][::SUB_ROWS].max() * (1.0 - 1e-9), key
    assert summary["max_speed_m_s"] == pytest.approx(series["speed_m_s"].max(), rel=5e-3)
    parts = [summary[f"impulse_{part}_N_s"] for part in ("slide", "water", "tail")]
    given_ = series["impulse_N_s"][np.isfinite(series["impulse_N_s"])]
    vehicle, kick = flight.vehicle, 0.0
    if math.isfinite(summary["gas_out_time_s"]):
        assert sum(parts) == pytest.approx(summary["impulse_total_N_s"], rel=1e-12, abs=1e-12)
        # What the spray has not given back of the water's momentum as it ends, it gives back at once.
        kick = float(vehicle["returned"]) * math.exp(
            (vehicle["spray_from"] - summary["gas_out_time_s"]) / vehicle["return_time"]
        )
    assert summary["impulse_total_N_s"] == pytest.approx(given_[-1], rel=1e-12, abs=1.001 * kick)
    _margin_agrees(summary, {name: column[::SUB_ROWS] for name, column in series.items()})


def _margin_agrees(summary, series):
    """At the ends of the steps, where the summary looks; it also looks where the guide lets go."""
    counts = (series["on_guide"] == 0.0) & (series["velocity_up_m_s"] > 1e-9) & (series["air_speed_m_s"] > MARGIN_SPEED)
    margins = series["static_margin_calibres"][counts & np.isfinite(series["static_margin_calibres"])]
    if len(margins):
        assert summary["static_margin_min_calibres"] <= margins.min() + 1e-9
        assert summary["static_margin_max_calibres"] >= margins.max() - 1e-9


@given(designs())
@settings(parent=QUICK, max_examples=share(30))
def test_every_design_accounts_for_its_mass_and_momentum(text):
    parameters = parameters_of(complete(parse_design(text)))[0]
    parameters["steady_jet"] = 0  # the ledger of the jet's momentum counts its growth
    parameters["tolerance"] = 1e-9
    flight = record(parameters)
    if flight.note["ending"] in (Endings.never_left, Endings.stuck):
        return
    _mass_is_kept(flight)
    _momentum_is_kept(flight)


def _mass_is_kept(flight: Recorded) -> None:
    vehicle, y = flight.vehicle, flight.state
    rho, gone = vehicle["water_density"], 0.0
    water, spray, air = (steps(flight, phase) for phase in (WATER, SPRAY, GAS))
    for wet in (steps(flight, OPENING), water):
        if len(wet):
            gone += summed(flight, wet, rho * vehicle["jet_area"] * y[wet][..., CHARGE_B])
    if (flight.phase != SLIDE).any():
        gone += rho * vehicle["socket_water"] - vehicle["fed_gas"]
    if len(spray):
        _, _, gas, held = charge(flight, spray[0, 1] - 1)
        gone += gas + rho * held - y[spray[-1, -1], CHARGE_A] - y[spray[-1, -1], CHARGE_B]
    if len(air) and not vehicle["isothermal"]:
        flow = np.empty(air.shape)
        for at in np.ndindex(air.shape):
            _, temperature, _, _ = charge(flight, air[at])
            flow[at], _ = nozzle_flow(
                y[air[at], CHARGE_A], vehicle["ambient"], temperature, vehicle["gas_constant"], GAMMA,
                vehicle["gas_area"]
            )
        gone += summed(flight, air, flow)
    if not (len(water) or len(spray) or len(air)):
        assert (flight.phase <= OPENING).all()
        return
    if len(water) and len(air):
        pressure, _, before, _ = charge(flight, water[-1, -1])
        if pressure < vehicle["ambient"]:
            # The water's own way has left less than the air outside, which flows in at once.
            gone -= charge(flight, air[0, 1])[2] - before
    last = [rows[-1, -1] for rows in (water, spray, air) if len(rows)][-1]
    if len(air) and vehicle["isothermal"]:
        last = air[0, 1] - 1
    _, _, gas, left = charge(flight, last)
    start = flight.note["lift_off_mass_kg"]
    allowed = flight.note["steps"] * vehicle["tolerance"] * start + 1e-9 * vehicle["rest_volume"] * rho
    assert abs(vehicle["dry_mass"] + gas + rho * left + gone - start) < allowed


def _momentum_is_kept(flight: Recorded) -> None:
    """Across the axis, where the jet gives nothing: weight, lift of the air and loads of the air, in free coasting."""
    rows = steps(flight, COAST)
    if not len(rows):
        return
    vehicle, y, t = flight.vehicle, flight.state, flight.time
    rows = rows[rows[:, 0] != rows[:, 1]]
    if not len(rows) or flight.guided[rows].any():
        return
    mass = vehicle["end_mass"]
    axis, spin = _axes(y[:, ATTITUDE:RATES]), y[:, RATES : RATES + 3]
    ahead = vehicle["end_centre"] - vehicle["dry_centre"]
    turn = np.cross(np.einsum("nij,nj->ni", axis, spin), axis[:, :, 0])
    momentum = mass * (y[:, VELOCITY : VELOCITY + 3] - ahead * turn)
    force = np.array([_force(flight, i) for i in range(len(t))])
    gain = momentum[rows[-1, -1]] - momentum[rows[0, 0]]
    whole = np.array([summed(flight, rows, force[rows][..., i]) for i in range(3)])
    size = summed(flight, rows, np.linalg.norm(force[rows], axis=-1))
    assert np.abs(gain - whole).max() < flight.note["steps"] * vehicle["tolerance"] * (size + 10.0 * mass)


def _axes(q: np.ndarray) -> np.ndarray:
    """Columns e1, e2, e3 of each attitude."""
    a, b, c, d = (q / np.linalg.norm(q, axis=1, keepdims=True)).T
    return np.stack([
        np.stack([a * a + b * b - c * c - d * d, 2 * (b * c - a * d), 2 * (b * d + a * c)], axis=1),
        np.stack([2 * (b * c + a * d), a * a - b * b + c * c - d * d, 2 * (c * d - a * b)], axis=1),
        np.stack([2 * (b * d - a * c), 2 * (c * d + a * b), a * a - b * b - c * c + d * d], axis=1),
    ], axis=1)  # fmt: skip


def _force(flight: Recorded, row: int) -> np.ndarray:
    """Everything from outside on a coasting rocket, east, north, up."""
    if flight.phase[row] != COAST:
        return np.zeros(3)
    vehicle, y = flight.vehicle, flight.state[row]
    axes = _axes(y[None, ATTITUDE:RATES])[0]
    wind = np.array(wind_on(vehicle, y[2] + vehicle["ground_gap"], y[6]))
    p, q, r = y[RATES : RATES + 3]
    v1, v2, v3 = axes.T @ (y[VELOCITY : VELOCITY + 3] - wind)
    density, viscosity = density_viscosity(vehicle["air"], y[2])
    ahead = vehicle["dry_centre"]
    loads = air_loads(
        vehicle["airframe"], density, viscosity, v1, v2 + ahead * r, v3 - ahead * q, p, q, r, 0.0
    )[:3]  # fmt: skip
    up = density * vehicle["lift_of_air"] - vehicle["end_mass"] * vehicle["gravity"]
    return axes @ loads + np.array([0.0, 0.0, up])
