"""Pumping against a compressor text and hand-worked cases."""

import math

import pytest

from bottlewright.proof import pumping

ATM = 101_325.0


def test_strokes_without_dead_volume() -> None:
    """1.4 L of air to 5 bar with 0.3 L strokes: 23 strokes (worked by hand, 1.4·5/(1.01325·0.3) = 23.03)."""
    assert pumping.strokes(5e5 + ATM, 1.4e-3, 0.3e-3, 0.0, ATM) == pytest.approx(23.03, abs=0.005)


def test_volumetric_efficiency_of_a_compressor() -> None:
    """Bhatt and Mehta, ch. 8: clearance 5 %, 100 to 650 kPa, n 1.25: 82.65 %."""
    assert pumping.volumetric_efficiency(650e3, 100e3, 0.05, 1.25) == pytest.approx(0.8265, abs=5e-5)


def test_handle_force_at_six_bar() -> None:
    """6 bar on a barrel of 30 mm: 424 N (p times area)."""
    assert pumping.handle_force(6e5, 0.030) == pytest.approx(424.1, abs=0.05)


def test_strokes_agree_with_pumping_stroke_by_stroke() -> None:
    swept, clearance, volume = 0.3e-3, 0.02e-3, 1.2e-3
    p = ATM
    for _ in range(17):
        p = (p * volume + ATM * (swept + clearance)) / (volume + clearance)
    assert pumping.strokes(p, volume, swept, clearance, ATM) == pytest.approx(17.0, rel=1e-12)


def test_no_number_of_strokes_passes_the_reachable_pressure() -> None:
    top = pumping.reachable_pressure(0.3e-3, 0.06e-3, ATM)
    assert top == pytest.approx(6 * ATM)
    assert pumping.volumetric_efficiency(top, ATM, 0.06 / 0.3) == pytest.approx(0.0, abs=1e-12)
    assert pumping.strokes(top, 1e-3, 0.3e-3, 0.06e-3, ATM) == math.inf
    assert math.isfinite(pumping.strokes(0.999 * top, 1e-3, 0.3e-3, 0.06e-3, ATM))


def test_work_of_pumping_against_numerical_integration() -> None:
    from scipy.integrate import quad

    p, volume = 6 * ATM, 1.4e-3
    slow = quad(lambda x: volume * math.log(x / ATM), ATM, p)[0]
    fast = quad(lambda x: volume * 3.5 * ((x / ATM) ** (1 / 3.5) - 1), ATM, p)[0]
    assert pumping.isothermal_work(p, volume, ATM) == pytest.approx(slow, rel=1e-9)
    assert pumping.adiabatic_work(p, volume, ATM) == pytest.approx(fast, rel=1e-9)
    assert pumping.adiabatic_work(p, volume, ATM) > pumping.isothermal_work(p, volume, ATM)


def test_fast_filling_ends_at_the_isentropic_temperature_and_slow_filling_at_ambient() -> None:
    """Limits: T·(p/pa)^(2/7) without heat loss (any thermodynamics text); no rise when filled very slowly."""
    assert pumping.filling_temperature(5 * ATM, ATM, 293.15, 0.0, 10.0) == pytest.approx(293.15 * 5 ** (2 / 7))
    assert pumping.filling_temperature(5 * ATM, ATM, 293.15, 1e-6, 10.0) == pytest.approx(293.15 * 5 ** (2 / 7))
    assert pumping.filling_temperature(5 * ATM, ATM, 293.15, 1e7, 10.0) == pytest.approx(293.15, abs=1e-3)


def test_back_flow_stops_at_the_top_of_a_raised_loop_and_behind_a_shut_end() -> None:
    assert pumping.backflow_volume(-0.01, 4e-4, 5e5, True) == 0.0
    assert pumping.backflow_volume(0.2, 4e-4, 5e5, True) == 4e-4
    assert pumping.backflow_volume(0.2, 4e-4, 5e5, False) == pytest.approx(4e-4 * 1957.7 / 501957.7, rel=1e-4)
