"""The benchmark against other people's integrators hands them our equations, and says who is not there."""

import ctypes
import importlib.util
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest

from bottlewright.design import complete, read_design
from bottlewright.flight.advance import ROW
from bottlewright.flight.batch import blank
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.state import CANOPY, COAST, GAS, OPENING, SIZE, SLIDE, STATE, WATER
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "benchmarks"))

import peers  # noqa: E402
from integrator_comparison import BY_THE_CLOCK  # noqa: E402
from peer_flight import FLIGHT, plain_rates  # noqa: E402

MOMENTS = {0.01: SLIDE, 0.0175: OPENING, 0.1: WATER, 0.2: WATER, 0.3: GAS, 2.0: COAST, 5.0: CANOPY}
"""Time of a flight of Curlew, s, and the phase that it is in then."""


def cut_off(moment):
    """Fly Curlew up to a moment: vehicle, phase, guided or not, time, state and the rates that our engine has there."""
    batch = parameters_of(complete(read_design(ROOT / "examples" / "curlew" / "rocket.toml", BY_THE_CLOCK)), 1)
    batch["time_limit"] = moment
    vehicles, works, rows = np.zeros(1, VEHICLE), np.zeros(1, WORK), np.zeros((5000, ROW))
    assert prepare(batch[0], False, vehicles[0])
    last = rows[integrate_flight(vehicles[0], blank(1)[0], works[0], rows) - 1]
    return vehicles[0], int(last[1]), bool(last[2]), last[0], works[0]["y"].copy(), works[0]["k"][0].copy()


@pytest.mark.parametrize("moment", MOMENTS)
def test_what_a_peer_calls_gives_the_rates_that_our_engine_works_with(moment):
    vehicle, phase, guided, t, y, by_engine = cut_off(moment)
    assert phase == MOMENTS[moment]
    flights, given = np.zeros(1, FLIGHT), np.full(STATE, np.nan)
    flights["vehicle"], flights["phase"], flights["guided"], flights["size"] = vehicle, phase, guided, SIZE[phase]
    call = plain_rates().ctypes
    call(t, *(ctypes.c_void_p(each.ctypes.data) for each in (y, given, flights)))
    in_use = SIZE[phase]
    assert np.abs(by_engine[:in_use]).max() > 1.0
    assert given[:in_use] == pytest.approx(by_engine[:in_use], rel=1e-12, abs=1e-12)
    assert np.isnan(given[in_use:]).all(), "a peer's array ends there"
    assert flights["asked"].sum() == flights["asked"][0, phase, int(guided)] == 1


def test_each_peer_that_is_not_there_is_named_in_a_plain_sentence(monkeypatch, tmp_path):
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    monkeypatch.setattr(shutil, "which", lambda _: None)
    there, missing = peers.peers(tmp_path, None)
    assert there == []
    for name in ("CVODE", "DOP853", "LSODA", "Boost.odeint"):
        assert len([why for why in missing if name in why and why.endswith(".")]) == 1


def test_a_cost_is_read_at_the_error_that_was_achieved_and_not_at_the_tolerance():
    once = np.ones((8, 2))
    runs = [peers.Run(1e-9, 1e-8, 1e-7, 100 * once, 4.0), peers.Run(1e-7, 1e-6, 1e-5, 10 * once, 1.0)]
    between = peers.at(runs, 1e-7)
    assert between.ms == pytest.approx(2.0)
    assert between.asked[0, 0] == pytest.approx(10.0**1.5)
    assert peers.at(runs, 1e-6, high=True).ms == pytest.approx(2.0)
    assert peers.at(runs, 1e-9) is None
