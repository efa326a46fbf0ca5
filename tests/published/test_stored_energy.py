"""Stored energy against ASME PCC-2 and textbook forms."""

import pytest

from bottlewright.proof import energy

TWO_LITRES = 2.0e-3
FIVE_BAR = 5e5


def test_energy_of_two_litres_at_five_bar_by_each_named_method() -> None:
    """Isentropic form of ASME PCC-2 art. 501 with Pa 101 kPa; isothermal and Brode worked from their equations."""
    pressure = FIVE_BAR + 101_000.0
    assert energy.isentropic(pressure, TWO_LITRES) == pytest.approx(1200.6, abs=0.1)
    assert energy.isothermal(pressure, TWO_LITRES) == pytest.approx(2143.7, abs=0.1)
    assert energy.brode(FIVE_BAR, TWO_LITRES) == pytest.approx(2500.0, abs=1e-9)


def test_the_printed_exponent_of_pcc2_is_that_of_air() -> None:
    """Work of a reversible expansion without heat, p V/(γ−1)·[1 − (pa/p)^(2/7)]: 0.286 is 2/7 to 0.1 %."""
    for gauge in (1e5, 5e5, 10e5):
        p = gauge + 101_000.0
        exact = p * TWO_LITRES / 0.4 * (1 - (101_000.0 / p) ** (2 / 7))
        assert energy.isentropic(p, TWO_LITRES) == pytest.approx(exact, rel=1e-3)


def test_blast_distance_of_a_bottle_is_small_against_the_plant_minimum() -> None:
    """ASME PCC-2 art. 501: 20·TNT^(1/3) with 4 266 920 J/kg gives 1.31 m; its floor of 30 m is for plant piping."""
    joules = energy.isentropic(FIVE_BAR + 101_000.0, TWO_LITRES)
    assert energy.tnt_equivalent(4_266_920.0) == 1.0
    assert energy.pcc2_distance(joules) == pytest.approx(1.31, abs=0.005)


def test_a_water_filled_bottle_holds_tens_of_joules_nearly_all_in_its_wall() -> None:
    water, wall = energy.water_filled(FIVE_BAR, TWO_LITRES, 0.054, 0.3e-3, 4.0e9, 0.4)
    assert 10.0 < water + wall < 100.0
    assert wall > 20 * water
    assert energy.isentropic(FIVE_BAR + 101_000.0, TWO_LITRES) > 20 * (water + wall)


def test_compressed_water_agrees_with_iapws() -> None:
    """Work of compressing 1 m³ of water to 10 bar at 20 °C, integrated on IAPWS-95 through CoolProp."""
    properties = pytest.importorskip("CoolProp.CoolProp")
    p0, p1 = 101325.0, 101325.0 + 10e5
    rho = [properties.PropsSI("D", "P", p, "T", 293.15, "Water") for p in (p0, (p0 + p1) / 2, p1)]
    strain = rho[2] / rho[0] - 1
    water, _ = energy.water_filled(10e5, 1.0, 0.05, 1e-3, 1e12, 0.3)
    assert water == pytest.approx(0.5 * 10e5 * strain, rel=0.01)
