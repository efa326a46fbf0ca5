import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.quantities import (
    UNITS,
    Basis,
    Dimension,
    Quantity,
    QuantityError,
    neat,
    parse_quantity,
    show,
    show_difference,
)

D = Dimension
LIBRARY = pint.UnitRegistry()
IN_THE_LIBRARY = {
    "m2": "m**2", "cm2": "cm**2", "mm2": "mm**2", "m²": "m**2", "cm²": "cm**2", "mm²": "mm**2", "m3": "m**3",
    "m³": "m**3", "cm3": "cm**3", "cm³": "cm**3", "L": "liter", "l": "liter", "dL": "deciliter", "cL": "centiliter",
    "mL": "milliliter", "ml": "milliliter", "cl": "centiliter", "um": "micrometer", "µm": "micrometer",
    "μm": "micrometer", "in": "inch", "ft": "foot", "lb": "pound", "oz": "ounce", "min": "minute", "h": "hour",
    "days": "day", "weeks": "week", "months": "month",
    "years": "year", "°C": "delta_degC", "C": "delta_degC", "degC": "delta_degC",
    "°F": "delta_degF", "degF": "delta_degF", "K": "kelvin", "mph": "mile/hour", "kn": "knot", "km/h": "km/hour",
    "ft/s": "foot/second", "deg": "degree", "°": "degree", "lbf": "pound_force", "kgf": "kilogram_force",
    "kg/m3": "kg/m**3", "kg/m³": "kg/m**3", "g/cm3": "g/cm**3", "g/cm³": "g/cm**3", "kg/m2": "kg/m**2",
    "kg/m²": "kg/m**2", "g/m2": "g/m**2", "g/m²": "g/m**2", "g/cm2": "g/cm**2", "g/cm²": "g/cm**2",
    "W/m2/K": "W/m**2/K", "W/m²/K": "W/m**2/K", "1/s": "1/second", "1/min": "1/minute", "atm": "standard_atmosphere",
}
SI = {
    D.LENGTH: "m", D.AREA: "m**2", D.VOLUME: "m**3", D.MASS: "kg", D.TIME: "s", D.PRESSURE: "Pa", D.TEMPERATURE: "K",
    D.SPEED: "m/s", D.ANGLE: "radian", D.FORCE: "N", D.DENSITY: "kg/m**3", D.AREAL_DENSITY: "kg/m**2",
    D.STIFFNESS: "N/m", D.HEAT_TRANSFER: "W/m**2/K", D.RATE: "1/s", D.NUMBER: "dimensionless",
}
EVERY_UNIT = [(dimension, unit) for dimension, table in UNITS.items() for unit in table if unit not in ("", "%")]


@pytest.mark.parametrize(("dimension", "unit"), EVERY_UNIT)
def test_every_factor_is_that_of_a_general_unit_library(dimension, unit):
    library = LIBRARY.Quantity(1.0, IN_THE_LIBRARY.get(unit, unit)).to(SI[dimension]).magnitude
    assert UNITS[dimension][unit] == pytest.approx(library, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [("0 °C", 273.15), ("20 °C", 293.15), ("32 °F", 273.15), ("-40 °F", 233.15), ("59 degF", 288.15), ("5 K", 5.0)],
)
def test_temperatures_have_their_offset(text, kelvin):
    assert parse_quantity(text, D.TEMPERATURE).value == pytest.approx(kelvin, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "spread"),
    [
        ("14 mm", D.LENGTH, 0.014, 0.0),
        ("3 months", D.TIME, 0.25 * 365.25 * 86400.0, 0.0),
        ("6 weeks ± 1 week", D.TIME, 42.0 * 86400.0, 7.0 * 86400.0),
        ("4.5bar", D.PRESSURE, 4.5e5, 0.0),
        ("152 g ± 2 g", D.MASS, 0.152, 0.002),
        ("152 ± 2 g", D.MASS, 0.152, 0.002),
        ("152 g +/- 2", D.MASS, 0.152, 0.002),
        ("1.5 L ± 10 mL", D.VOLUME, 1.5e-3, 1e-5),
        ("5 bar ± 10 %", D.PRESSURE, 5e5, 5e4),
        ("12 °C ± 2 °C", D.TEMPERATURE, 285.15, 2.0),
        ("50 °F ± 9 °F", D.TEMPERATURE, 283.15, 5.0),
        ("50 % ± 20 %", D.NUMBER, 0.5, 0.2),
        ("0.4 ± 0.3", D.NUMBER, 0.4, 0.3),
        ("30 1/min", D.RATE, 0.5, 0.0),
        ("30 1/min ± 6 1/min", D.RATE, 0.5, 0.1),
        ("−5 deg", D.ANGLE, -math.radians(5), 0.0),
        (" 1e3 Pa ", D.PRESSURE, 1000.0, 0.0),
        (0.75, D.NUMBER, 0.75, 0.0),
        (3, D.NUMBER, 3.0, 0.0),
        ("4,5 bar", D.PRESSURE, 4.5e5, 0.0),
        ("0,500 L", D.VOLUME, 0.5e-3, 0.0),
        (",5 L", D.VOLUME, 0.5e-3, 0.0),
        ("152,5 g ± 2,5 g", D.MASS, 0.1525, 0.0025),
        ("14\u00a0mm", D.LENGTH, 0.014, 0.0),
        ("152\u202fg\u00a0±\u20092\u00a0g", D.MASS, 0.152, 0.002),
        ("4\u200b bar", D.PRESSURE, 4e5, 0.0),
        ("\u20135 deg", D.ANGLE, -math.radians(5), 0.0),
        ("13 1/2 in", D.LENGTH, 0.3429, 0.0),
        ("13-1/2 in ± 1/8 in", D.LENGTH, 0.3429, 0.003175),
        ("13½ in", D.LENGTH, 0.3429, 0.0),
        ("¾ in", D.LENGTH, 0.01905, 0.0),
        ('13.5"', D.LENGTH, 0.3429, 0.0),
        ("13½″ ± ¼″", D.LENGTH, 0.3429, 0.00635),
        ("13.5 inches", D.LENGTH, 0.3429, 0.0),
        ("6'", D.LENGTH, 1.8288, 0.0),
        ("6 feet", D.LENGTH, 1.8288, 0.0),
        ("50 yd", D.LENGTH, 45.72, 0.0),
        ("20 Yards", D.LENGTH, 18.288, 0.0),
        ("2 pounds", D.MASS, 0.90718474, 0.0),
        ("1 1/2 ounces ± 1/4 oz", D.MASS, 0.0425242846875, 0.00708738078125),
        ("1.5 litres", D.VOLUME, 1.5e-3, 0.0),
        ("1 liter ± 10 millilitres", D.VOLUME, 1e-3, 1e-5),
        ("10 metres", D.LENGTH, 10.0, 0.0),
        ("65 psig", D.PRESSURE, 65 * UNITS[D.PRESSURE]["psi"], 0.0),
    ],
)
def test_a_quantity_is_read_as_a_builder_writes_it(text, dimension, value, spread):
    read = parse_quantity(text, dimension)
    assert read.value == pytest.approx(value, rel=1e-12)
    assert read.spread == pytest.approx(spread, rel=1e-12)
    assert read.basis is Basis.MEASURED


@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        ("14", D.LENGTH, "no unit"),
        (14, D.LENGTH, "no unit"),
        ("5 ± 10 %", D.PRESSURE, "no unit"),
        ("14 kg", D.LENGTH, "is a mass"),
        ("5 bar ± 1 kg", D.PRESSURE, "is a mass"),
        ("14 mmm", D.LENGTH, "did you mean 'mm'"),
        ("50 PSI", D.PRESSURE, "did you mean 'psi'"),
        ("500 ML", D.VOLUME, "did you mean 'mL'"),
        ("1,500 m", D.LENGTH, "1500 or 1.500"),
        ("1,234.5 mL", D.VOLUME, "'1234.5 mL'"),
        ("1.234,5 mL", D.VOLUME, "'1234.5 mL'"),
        ("1 500 mL", D.VOLUME, "'1500 mL'"),
        ("1\u00a0500 mL", D.VOLUME, "'1500 mL'"),
        ("1'500 mL", D.VOLUME, "1500 mL"),
        ("five bar", D.PRESSURE, "can't be read"),
        ("1/0 kg", D.MASS, "unknown unit"),
        ("5 ft 6 in", D.LENGTH, "'66 in'"),
        ("5' 6\"", D.LENGTH, "'66 in'"),
        ("20 fl oz", D.VOLUME, "'591.5 mL' if it is that of the United States, '568.3 mL' if it is the British"),
        ("20 oz", D.VOLUME, "'591.5 mL'"),
        ("2 pints", D.VOLUME, "'946.4 mL'"),
        ("1 gallon", D.VOLUME, "'4546 mL'"),
        ("", D.PRESSURE, "can't be read"),
        ("nan bar", D.PRESSURE, "can't be read"),
        ("1e999 bar", D.PRESSURE, "not a finite number"),
        ("5 bar ± -1 bar", D.PRESSURE, "negative ±"),
        ("-300 °C", D.TEMPERATURE, "absolute zero"),
        (True, D.NUMBER, "has to be a plain number"),
        (None, D.LENGTH, "has to be a length"),
        ([1, 2], D.LENGTH, "has to be a length"),
        (float("inf"), D.NUMBER, "can't be read"),
        (float("nan"), D.NUMBER, "can't be read"),
        pytest.param(10**5000, D.NUMBER, "far too large", id="huge number"),
        pytest.param(10**5000, D.LENGTH, "no unit", id="huge length"),
        ("9" * 1000 + " mm", D.LENGTH, "characters long"),
    ],
)
def test_what_is_no_quantity_is_refused_with_what_would_be_right(text, dimension, words):
    with pytest.raises(QuantityError, match=words.replace("(", r"\(")) as caught:
        parse_quantity(text, dimension)
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize(("text", "tidy"), [("4,5 bar", "4.5 bar"), ("14\u00a0mm", "14 mm"), ("4\nbar", "4 bar"),
                          ("13 1/2 inches", "13.5 in"), ("13½″ ± ¼″", "13.5 in ± 0.25 in")])
def test_a_text_is_kept_the_way_it_was_understood(text, tidy):
    assert parse_quantity(text, D.PRESSURE if "bar" in text else D.LENGTH).text == tidy


def test_a_difference_has_no_zero_point():
    assert show_difference(2.0, "°C") == "2.0 °C"
    assert show_difference(5.0 / 9.0, "°F") == "1.0 °F"


@given(st.sampled_from(EVERY_UNIT), st.floats(1e-6, 1e6), st.floats(0.0, 1e3))
def test_what_is_written_reads_back(where, value, spread):
    dimension, unit = where
    read = parse_quantity(f"{value!r} {unit} ± {spread!r} {unit}", dimension)
    offset = parse_quantity(f"0 {unit}", dimension).value
    assert read.value - offset == pytest.approx(value * UNITS[dimension][unit], rel=1e-9, abs=1e-9 * offset)
    assert read.spread == pytest.approx(spread * UNITS[dimension][unit], rel=1e-12)


@given(st.text(max_size=120), st.sampled_from(list(Dimension)))
def test_no_text_does_more_than_be_read_or_refused(text, dimension):
    try:
        read = parse_quantity(text, dimension)
    except QuantityError:
        return
    assert math.isfinite(read.value)
    assert read.spread >= 0.0


@given(st.floats(1e-3, 1e3), st.sampled_from(EVERY_UNIT))
def test_a_shown_value_reads_back_to_its_digits(value, where):
    dimension, unit = where
    offset = parse_quantity(f"0 {unit}", dimension).value
    si = offset + value * UNITS[dimension][unit]
    shown = show(si, unit, 6)
    if "e" not in shown:
        assert parse_quantity(shown, dimension).value - offset == pytest.approx(si - offset, rel=1e-5, abs=1e-9 * si)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [(4.5e5, "bar", "4.5 bar"), (10.0, "m", "10 m"), (0.1, "kg", "0.1 kg"), (100.0, "s", "100 s"), (0.0, "m", "0 m")],
)
def test_a_neat_value_ends_in_no_zero_behind_its_point(value, unit, text):
    assert neat(value, unit) == text


def test_a_shown_spread_has_two_digits_and_its_value_as_many_decimals():
    assert show(4.5e5, "bar", 2, 1.234e4) == "4.50 ± 0.12 bar"
    assert show(3e-4, "mm", 4, 6e-5) == "0.300 ± 0.060 mm"
    assert show(0.0, "°", 4, math.radians(0.5)) == "0.00 ± 0.50°"
    assert show(4.5e9, "bar", 4, 1e9) == "45000 ± 10000 bar"
    assert show(0.5, "%", 2) == "50%"
    with pytest.raises(KeyError):
        show(1.0, "furlong")


def test_another_value_keeps_what_the_quantity_stands_on():
    table = Quantity(1.0, 0.1, Basis.TABLE, "a table", "1 m")
    assert table.at(2.0) == Quantity(2.0, 0.1, Basis.TABLE, "a table", "")
    assert float(table) == 1.0


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("3/8 in", "0.375 in"), ("1 1/2 in", "1.5 in"), ("1-1/2 in", "1.5 in"), ("½ in", "0.5 in"),
        ("1⅜ in", "1.375 in"), ("1⁄4 in ± 0.01 in", "0.25 in ± 0.01 in"),
    ],
)  # fmt: skip
def test_a_fraction_is_read_as_its_decimal_number(text, plain):
    same = parse_quantity(plain, Dimension.LENGTH)
    assert float(parse_quantity(text, Dimension.LENGTH)) == pytest.approx(float(same))


@pytest.mark.parametrize("text", ["1/0 in", "1/2/3 in"])
def test_what_is_no_fraction_is_not_taken_for_one(text):
    with pytest.raises(QuantityError, match=r"^(?!.*fraction)"):
        parse_quantity(text, Dimension.LENGTH)
    assert parse_quantity("30 1/min", Dimension.RATE).value == pytest.approx(0.5)
