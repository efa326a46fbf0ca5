"""Pumping against a compressor text and hand-worked cases."""

import math

import pytest

from bottlewright.proof import pump

ATM = 101_325.0


def test_strokes_without_dead_volume() -> None:
    """1.4 L of air to 5 bar with 0.3 L strokes: 23 strokes (worked by hand, 1.4·5/(1.01325·0.3) = 23.03)."""
    assert pump.strokes(5e5 + ATM, 1.4e-3, 0.3e-3, 0.0, ATM) == pytest.approx(23.03, abs=0.005)


def test_volumetric_efficiency_of_a_compressor() -> None:
    """Bhatt and Mehta, ch. 8: clearance 5 %, 100 to 650 kPa, n 1.25: 82.65 %."""
    assert pump.volumetric_efficiency(650e3, 100e3, 0.05, 1.25) == pytest.approx(0.8265, abs=5e-5)


def test_handle_force_at_six_bar() -> None:
    """6 bar on a barrel of 30 mm: 424 N (p times area)."""
    assert pump.handle_force(6e5, 0.030) == pytest.approx(424.1, abs=0.05)


def test_strokes_agree_with_pumping_stroke_by_stroke() -> None:
    swept, clearance, volume = 0.3e-3, 0.02e-3, 1.2e-3
    p = ATM
    for _ in range(17):
        p = (p * volume + ATM * (swept + clearance)) / (volume + clearance)
    assert pump.strokes(p, volume, swept, clearance, ATM) == pytest.approx(17.0, rel=1e-12)


def test_no_number_of_strokes_passes_the_reachable_pressure() -> None:
    top = pump.reachable_pressure(0.3e-3, 0.06e-3, ATM)
    assert top == pytest.approx(6 * ATM)
    assert pump.volumetric_efficiency(top, ATM, 0.06 / 0.3) == pytest.approx(0.0, abs=1e-12)
    assert pump.strokes(top, 1e-3, 0.3e-3, 0.06e-3, ATM) == math.inf
    assert math.isfinite(pump.strokes(0.999 * top, 1e-3, 0.3e-3, 0.06e-3, ATM))


def test_work_of_pumping_against_numerical_integration() -> None:
    from scipy.integrate import quad

    p, volume = 6 * ATM, 1.4e-3
    slow = quad(lambda x: volume * math.log(x / ATM), ATM, p)[0]
    fast = quad(lambda x: volume * 3.5 * ((x / ATM) ** (1 / 3.5) - 1), ATM, p)[0]
    assert pump.isothermal_work(p, volume, ATM) == pytest.approx(slow, rel=1e-9)
    assert pump.adiabatic_work(p, volume, ATM) == pytest.approx(fast, rel=1e-9)
    assert pump.adiabatic_work(p, volume, ATM) > pump.isothermal_work(p, volume, ATM)


def test_dry_filling_without_loss_ends_at_the_isentropic_temperature() -> None:
    """T·(p/pa)^(2/7), any thermodynamics text; here found stroke by stroke from the energy balance."""
    cv, gas = 2.5, 1.0  # in units of the gas constant
    mass, heat = 1.0, cv * 293.15  # vessel at ambient: p = ATM for mass 1
    for _ in range(20000):
        p = heat / cv / 293.15 * ATM
        enters = 1e-4
        heat += enters * (cv + gas) * 293.15 * (p / ATM) ** (2 / 7)
        mass += enters
    p, temperature = heat / cv / 293.15 * ATM, heat / cv / mass
    assert pump.squeezed_temperature(p, ATM, 293.15) == pytest.approx(temperature, rel=1e-4)


def test_air_bubbled_through_water_warms_as_a_vessel_filled_from_a_supply() -> None:
    """Limits of the textbook case: no rise at the start, γ·T for an evacuated vessel or endless filling."""
    assert pump.bubbled_temperature(ATM, ATM, 290.0) == pytest.approx(290.0)
    assert pump.bubbled_temperature(1e6 * ATM, ATM, 290.0) == pytest.approx(1.4 * 290.0, rel=1e-5)
    assert pump.bubbled_temperature(5 * ATM, ATM, 290.0) < pump.squeezed_temperature(5 * ATM, ATM, 290.0)


def test_slow_pumping_leaves_no_warmth_and_instant_pumping_all_of_it() -> None:
    assert pump.warmth_left(0.0, 10.0) == 1.0
    assert pump.warmth_left(1e-6, 10.0) == pytest.approx(1.0)
    assert pump.warmth_left(1e7, 10.0) == pytest.approx(0.0, abs=1e-5)


def test_back_flow_stops_at_the_top_of_a_raised_loop_and_behind_a_shut_end() -> None:
    assert pump.backflow_volume(-0.01, 4e-4, 5e5, True) == 0.0
    assert pump.backflow_volume(0.2, 4e-4, 5e5, True) == 4e-4
    assert pump.backflow_volume(0.2, 4e-4, 5e5, False) == pytest.approx(4e-4 * 1957.7 / 501957.7, rel=1e-4)
