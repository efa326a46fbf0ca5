"""A builder who writes psi reads psi first, everywhere, with bar beside it; one who writes bar reads bar alone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import parse_design
from bottlewright.design.unit_habit import UnitHabit, unit_habit

FILE = """schema = 1
name = "Wren"
[vessel]
bottle = "carbonated-1500"
[charge]
water = "0.5 L"
pressure = "{p}"
{more}
"""


def habit(pressure: str, more: str = "") -> UnitHabit:
    return unit_habit(parse_design(FILE.format(p=pressure, more=more)))


def test_a_builder_who_writes_psi_reads_psi_first_with_bar_beside_it():
    assert habit("65 psi ± 2 psi").pressure(4.4816e5) == "65 psi (4.48 bar)"
    assert habit("4.5 bar").pressure(4.5e5) == "4.5 bar"


def test_the_gauge_decides_whatever_is_printed_on_the_parts():
    parts = '[launcher.pump]\nrating = "11 bar"\n[launcher.gauge]\nrange = "10 bar"\n'
    assert habit("65 psi", parts).psi
    assert not habit("4.5 bar", '[launcher.pump]\nrating = "160 psi"\n[launcher.hose]\nrating = "300 psi"\n').psi


def test_the_pressure_of_the_weather_report_says_nothing_about_the_gauge():
    assert habit("65 psi", '[weather]\npressure = "1013 hPa"\n').psi


def test_inches_and_feet_come_first_for_a_builder_who_writes_inches():
    inches = habit("4 bar", '[launcher]\nguide_length = "3 ft"\n[measured]\nbalance_point = "10.5 in"\n')
    assert inches.length(0.254) == "10 in (254 mm)"
    assert not inches.psi


@given(st.floats(0.01, 500.0))
def test_no_rounding_puts_anybody_nearer(metres):
    feet, rest = UnitHabit(inches=True).stand_back(metres).split(" ft (")
    assert float(feet) * 0.3048 >= metres - 1e-6
    assert metres - 1e-6 <= float(rest.removesuffix(" m)")) <= metres + 0.1 + 1e-6


@pytest.mark.parametrize("value", [0.0, 1e-3, 12.0, 1234.5])
def test_a_metric_builder_gets_one_number(value):
    plain = UnitHabit()
    for text in (plain.pressure(value), plain.length(value), plain.mass(value), plain.speed(value), plain.force(value)):
        assert "(" not in text


def test_who_writes_psi_and_inches_reads_pounds_miles_an_hour_and_fahrenheit_before_having_written_any():
    sketch = habit("65 psi", '[nozzle]\nbore = "0.36 in"\n')
    assert sketch.mass(0.0283495) == "1 oz (28.3 g)"
    assert sketch.speed(4.4704) == "10 mph (4.47 m/s)"
    assert sketch.temperature(293.15) == "68 °F (20 °C)"


def test_psi_alone_says_nothing_about_the_scale():
    assert habit("65 psi") == UnitHabit(psi=True)


@pytest.mark.parametrize(("more", "kind"), [
    ('[weather]\nwind_speed = "2 m/s"\n', "miles"), ('[weather]\ntemperature = "20 °C"\n', "fahrenheit"),
    ('[[mass]]\nname = "clay"\nmass = "50 g"\nposition = "1 in"\n', "pounds"),
])  # fmt: skip
def test_a_written_unit_goes_before_the_implied_one(more, kind):
    mixed = habit("65 psi", f'[nozzle]\nbore = "0.36 in"\n{more}')
    kinds = {"pounds", "miles", "fahrenheit"} - {kind}
    assert not getattr(mixed, kind)
    assert all(getattr(mixed, other) for other in kinds)


def test_a_ledger_is_kept_to_a_tenth_of_a_gram_or_a_hundredth_of_an_ounce():
    assert UnitHabit(pounds=True).weighed(0.0025) == "0.09 oz (2.5 g)"
    assert UnitHabit().weighed(0.28651) == "286.5 g"


def test_accelerations_stresses_and_warming_come_in_the_builders_units_too():
    own = UnitHabit(psi=True, inches=True, fahrenheit=True)
    assert own.acceleration(304.8) == "1000 ft/s² (305 m/s²)"
    assert own.stress(6.894757e6) == "1000 psi (6.89 MPa)"
    assert own.warming(10.0) == "18 °F (10 °C)"
    assert UnitHabit().acceleration(304.8) == "305 m/s²"
