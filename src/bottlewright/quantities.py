"""Text with units to SI floats and back: the only place that knows units.

``"14 mm"``, ``"4.5 bar"``, ``"152 g ± 2 g"``, ``"12 °C"``. The part after ± is one standard deviation: about two of
three repeats lie inside it. The table below is short on purpose: a water rocket needs lengths, masses, pressures and
a few more, each a number and one unit, so a conversion factor a unit is enough (docs/decisions.md). The tests hold
every factor against a general unit library.
"""

import math
import re
from dataclasses import dataclass, replace
from datetime import date, time
from difflib import get_close_matches
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from itertools import islice

from bottlewright.errors import BottlewrightError

__all__ = [
    "UNITS", "Basis", "Dimension", "Quantity", "QuantityError", "as_written", "inch_fraction", "neat", "parse_quantity",
    "show", "show_difference", "spelled", "states_spread", "value_of", "written_unit",
]  # fmt: skip


class Dimension(StrEnum):
    """What kind of quantity a value is, in the words an error message uses."""

    LENGTH = "a length"
    AREA = "an area"
    VOLUME = "a volume"
    MASS = "a mass"
    TIME = "a time"
    PRESSURE = "a pressure"
    TEMPERATURE = "a temperature"
    SPEED = "a speed"
    ANGLE = "an angle"
    FORCE = "a force"
    DENSITY = "a density"
    AREAL_DENSITY = "a mass per area"
    STIFFNESS = "a force per length"
    HEAT_TRANSFER = "a heat transfer coefficient"
    RATE = "a rate"
    NUMBER = "a plain number"


_G0 = 9.80665  # m/s², standard gravity, exact by definition (CGPM 1901)
_LB = 0.45359237  # kg, exact (international yard and pound agreement, 1959)
_IN = 0.0254  # m, exact (same agreement)

_D = Dimension
UNITS: dict[Dimension, dict[str, float]] = {
    _D.LENGTH: {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "um": 1e-6, "µm": 1e-6, "μm": 1e-6,
                "in": _IN, "ft": 12 * _IN, "yd": 36 * _IN},
    _D.AREA: {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "m²": 1.0, "cm²": 1e-4, "mm²": 1e-6},
    _D.VOLUME: {"m3": 1.0, "m³": 1.0, "L": 1e-3, "l": 1e-3, "dL": 1e-4, "cL": 1e-5, "mL": 1e-6, "ml": 1e-6, "cl": 1e-5,
                "cm3": 1e-6, "cm³": 1e-6},
    _D.MASS: {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "lb": _LB, "oz": _LB / 16},
    _D.TIME: {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "day": 86400.0, "days": 86400.0,
              "week": 604800.0, "weeks": 604800.0, "month": 2629800.0, "months": 2629800.0,  # a twelfth of a year
              "year": 31557600.0, "years": 31557600.0},
    _D.PRESSURE: {"Pa": 1.0, "hPa": 100.0, "kPa": 1e3, "MPa": 1e6, "bar": 1e5, "mbar": 100.0, "atm": 101325.0,
                  "psi": _LB * _G0 / _IN**2},
    _D.TEMPERATURE: {"K": 1.0, "°C": 1.0, "C": 1.0, "degC": 1.0, "°F": 5 / 9, "degF": 5 / 9},
    _D.SPEED: {"m/s": 1.0, "km/h": 1 / 3.6, "mph": 5280 * 12 * _IN / 3600, "kn": 1852 / 3600, "ft/s": 12 * _IN},
    _D.ANGLE: {"rad": 1.0, "deg": math.pi / 180, "°": math.pi / 180},
    _D.FORCE: {"N": 1.0, "kN": 1e3, "lbf": _LB * _G0, "kgf": _G0},
    _D.DENSITY: {"kg/m3": 1.0, "kg/m³": 1.0, "g/cm3": 1e3, "g/cm³": 1e3},
    _D.AREAL_DENSITY: {"kg/m2": 1.0, "kg/m²": 1.0, "g/m2": 1e-3, "g/m²": 1e-3, "g/cm2": 10.0, "g/cm²": 10.0},
    _D.STIFFNESS: {"N/m": 1.0, "N/mm": 1e3},
    _D.HEAT_TRANSFER: {"W/m2/K": 1.0, "W/m²/K": 1.0},
    _D.RATE: {"1/s": 1.0, "1/min": 1 / 60, "Hz": 1.0},
    _D.NUMBER: {"": 1.0, "%": 0.01},
}
"""Factor from each unit to SI, by dimension; temperatures have an offset besides."""

_OFFSET = {"°C": 273.15, "C": 273.15, "degC": 273.15, "°F": 459.67 * 5 / 9, "degF": 459.67 * 5 / 9}

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_SPREAD_SIGN = re.compile(r"±|\+/-|\+-")
_TEXT = re.compile(
    rf"\s*({_NUMBER})\s*(1/\w+|[^\d\s±+][^±]*?|)\s*"
    rf"(?:(?:±|\+/-|\+-)\s*({_NUMBER})\s*(1/\w+|[^\d\s±]\S*|)\s*)?$"
)
_SIGNS = str.maketrans({"−": "-", "–": "-", "\u200b": "", "\u2060": "", "\ufeff": ""})
_WITH_COMMA = re.compile(r"(?<![\d.,])\d*(?:[.,]\d*)*,\d+(?:[.,]\d*)*")
_SPACED = re.compile(r"(?<![\d.])\d{1,3}(?:[ '’]\d{3})+(?![\d])")


class Basis(StrEnum):
    """What a value rests on."""

    MEASURED = "measured or chosen by you"
    TABLE = "from a table"
    ASSUMED = "assumed"
    LEARNED = "learned from flights"


_MARK = re.compile(r"([^()]*)\(\s*(?:from\s+a\s+)?(table|assumed)\s*\)\s*", re.IGNORECASE)
_MARKED = "marked so in the design file"


class QuantityError(BottlewrightError, ValueError):
    """The text is not a quantity of the wanted dimension; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in SI units with its spread and what it rests on.

    Parameters
    ----------
    value
        In SI units (m, kg, s, Pa, K, rad …).
    spread
        One standard deviation, same unit, zero when none was stated.
    basis, source
        Measured or chosen by the builder, from a table, or assumed; and from where.
    text
        As the builder wrote it, empty when the tool filled it in.
    """

    value: float
    spread: float = 0.0
    basis: Basis = Basis.MEASURED
    source: str = "the design file"
    text: str = ""

    def __float__(self) -> float:
        return self.value

    def at(self, value: float) -> "Quantity":
        """Return the same quantity with another value; its text is dropped."""
        return replace(self, value=value, text="")


def value_of(quantity: Quantity | None) -> float:
    """Return the SI value of a quantity, zero for what is not there."""
    return 0.0 if quantity is None else quantity.value


def parse_quantity(text: str | float | int, dimension: Dimension) -> Quantity:
    """Read a number with its unit, and ± where there is one.

    Parameters
    ----------
    text
        Such as ``"14 mm"`` or ``"152 g ± 2 g"``; a bare number only where the dimension is a plain number, and for a
        pressure of nought, which is the same in every unit. A value that nobody measured may say so: ``"0.8 ± 0.15
        (assumed)"``, ``"0.3 mm (table)"``; it is then as if the tool had filled it in.
    dimension
        What the value has to be.

    Raises
    ------
    QuantityError
        With what was wrong and an example of what is right.
    """
    if isinstance(text, str) and (marked := _MARK.fullmatch(text)):
        basis = Basis.TABLE if marked[2].lower() == "table" else Basis.ASSUMED
        return replace(parse_quantity(marked[1], dimension), basis=basis, source=_MARKED, text="")
    if isinstance(text, bool) or not isinstance(text, str | float | int):
        raise QuantityError(f"has to be {dimension} such as {_example(dimension)}, not {as_written(text)}")
    if not isinstance(text, str):
        if dimension is not Dimension.NUMBER:
            right = f"write {dimension} with its unit in quotes, such as {_example(dimension)}"
            raise QuantityError(f"has no unit: {as_written(text)}; {right}")
        try:
            text = repr(float(text))
        except OverflowError:
            raise QuantityError("is far too large a number") from None
    if len(text) > 80:
        raise QuantityError(f"is {len(text)} characters long; write {dimension} such as {_example(dimension)}")
    return _parsed(text, dimension)


@lru_cache(4096)
def _parsed(text: str, dimension: Dimension) -> Quantity:
    text = spelled(_pointed(" ".join(text.split())))
    if grouped := _SPACED.match(text):
        plain = text.replace(grouped[0], re.sub(r"\D", "", grouped[0]), 1)
        raise QuantityError(f"has a gap in its number: {text!r}; write {plain!r}")
    match = _TEXT.match(text.translate(_SIGNS))
    if match is None:
        raise QuantityError(f"can't be read: {text!r}; write {dimension} such as {_example(dimension)}")
    number, unit, spread, spread_unit = match.groups()
    if not unit and spread_unit and spread_unit != "%":
        unit = spread_unit  # "152 ± 2 g"
    if not unit and spread is None and dimension is Dimension.PRESSURE and float(number) == 0.0:
        return Quantity(0.0, text=text)  # an empty gauge reads nought in every unit
    factor = _factor(unit, text, dimension)
    value = float(number) * factor + _OFFSET.get(unit, 0.0)
    deviation = 0.0
    if spread is not None:
        if spread_unit == "%" != unit and dimension is not Dimension.TEMPERATURE:  # of the value; "50 % ± 5 %": points
            deviation = abs(value) * float(spread) * 0.01
        else:
            deviation = float(spread) * (_factor(spread_unit, text, dimension) if spread_unit else factor)
    if not (math.isfinite(value) and math.isfinite(deviation)):
        raise QuantityError(f"is not a finite number: {text!r}")
    if deviation < 0.0:
        raise QuantityError(f"has a negative ±: {text!r}")
    if dimension is Dimension.TEMPERATURE and value < 0.0:
        raise QuantityError(f"is below absolute zero: {text!r}")
    return Quantity(value, deviation, text=text)


def _pointed(text: str) -> str:
    """Return a text with decimal points for decimal commas.

    Raises
    ------
    QuantityError
        Where the comma may part thousands just as well.
    """

    def point(match: re.Match[str]) -> str:
        number = match[0]
        whole, _, part = number.rpartition(",")
        if "," in whole or "." in number:
            plain = re.sub(r"[.,](?=.*[.,])", "", number).replace(",", ".")
            right = text.replace(number, plain, 1)
            raise QuantityError(f"has a comma besides another one or a point: {text!r}; write {right!r}")
        if len(part) == 3 and whole and not whole.startswith("0"):
            what = f"is {whole + part} or {whole}.{part}"
            raise QuantityError(f"has a comma that can be read in two ways: {text!r} {what}; write the one you mean")
        return f"{whole or '0'}.{part}"

    return _WITH_COMMA.sub(point, text)


_NAMES = {
    "m": "met(?:re|er)s?", "mm": "millimet(?:re|er)s?", "cm": "centimet(?:re|er)s?", "in": "inch(?:es)?",
    "ft": "foot|feet", "yd": "yards?", "L": "lit(?:re|er)s?", "mL": "millilit(?:re|er)s?", "cm3": "cc",
    "kg": "kilograms?",
    "g": "gram(?:me)?s?", "lb": "pounds?|lbs", "oz": "ounces?", "s": "seconds?|secs?", "min": "minutes?|mins?",
    "h": "hours?|hrs?", "psi": "psig", "km/h": "kph|kmh", "kn": "knots?", "deg": "degrees?",
}  # fmt: skip
_SPELLINGS = [(re.compile(rf"(?<=[\d\s.])(?:{names})(?![\w/])", re.IGNORECASE), unit) for unit, names in _NAMES.items()]
_SPELLINGS += [(re.compile(rf"(?<=\d)\s?(?:{marks})(?=\s*(?:±|\+|$))"), f" {unit}")
               for marks, unit in (("\"|″|''|”", "in"), ("'|′|’", "ft"))]  # fmt: skip
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_FRACTION = re.compile(r"(?<![\d.,/])(?:(\d+)[ -])?(\d+) ?[/⁄] ?(\d+)(?![\d./])")


def spelled(text: str) -> str:
    """Return a quantity's text with the units of the table and fractions as decimals: ``13½″`` is ``13.5 in``."""
    text = re.sub("[½¼¾⅓⅔⅛⅜⅝⅞]", lambda part: f" {_VULGAR[part[0]]}", text)
    text = _FRACTION.sub(lambda part: _decimal(int(part[1] or 0), int(part[2]), int(part[3]), part[0]), text)
    for pattern, unit in _SPELLINGS:
        text = pattern.sub(unit, text)
    return " ".join(text.split())


def _decimal(whole: int, part: int, of: int, text: str) -> str:
    return f"{whole + part / of:.12g}" if of else text


@lru_cache(4096)
def states_spread(text: str) -> bool:
    """Tell whether a quantity's text says its ±."""
    return _SPREAD_SIGN.search(text) is not None


@lru_cache(4096)
def written_unit(text: str) -> str:
    """Return the unit of a quantity's text, such as ``"psi"`` of ``"65 psi ± 2 psi"``; empty where there is none."""
    match = _TEXT.match(text.translate(_SIGNS))
    return (match[2] or match[4] or "") if match else ""


def _factor(unit: str, text: str, dimension: Dimension) -> float:
    units = UNITS[dimension]
    if unit in units:
        return units[unit]
    allowed = ", ".join(name for name in units if name)
    if unit == "":
        raise QuantityError(f"has no unit: {text!r}; write it as {_example(dimension)} (units: {allowed})")
    if dimension is Dimension.VOLUME and (fluid := _fluid(unit, text)):
        raise QuantityError(fluid)
    if feet := _FEET_AND_INCHES.match(text):
        raise QuantityError(f"has two units: {text!r}; write {f'{12 * float(feet[1]) + float(feet[2]):.10g} in'!r}")
    for other, table in UNITS.items():
        if unit in table:
            raise QuantityError(f"is {other}, {text!r}, and has to be {dimension} (units: {allowed})")
    near = [name for name in units if name.lower() == unit.lower()] or get_close_matches(unit, units, 1, 0.5)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise QuantityError(f"has an unknown unit {unit!r} in {text!r}{hint} (units: {allowed or 'none'})")


_FEET_AND_INCHES = re.compile(r"(\d+) ?(?:ft|'|′|’),? ?([\d.]+) ?(?:in|\"|″|''|”)?$")
_GALLONS = {"fl oz": (128, 160), "fl. oz": (128, 160), "fl. oz.": (128, 160), "oz": (128, 160), "pt": (8, 8),
            "pint": (8, 8), "pints": (8, 8), "qt": (4, 4), "quart": (4, 4), "quarts": (4, 4), "gal": (1, 1),
            "gallon": (1, 1), "gallons": (1, 1)}  # fmt: skip
"""How many go into a gallon, of the United States and of the United Kingdom."""


def _fluid(unit: str, text: str) -> str:
    """Return why a measure of two sizes can't be taken, with both in mL: US gallon 231 in³, UK gallon 4.54609 L."""
    number = re.match(_NUMBER, text.strip())
    if unit.lower() not in _GALLONS or number is None:
        return ""
    us, uk = (float(number[0]) * gallon / share
              for gallon, share in zip((231e6 * _IN**3, 4546.09), _GALLONS[unit.lower()], strict=True))  # fmt: skip
    return (f"has a unit of two sizes: {text!r}; write '{us:.4g} mL' if it is that of the United States, "
            f"'{uk:.4g} mL' if it is the British one")


def as_written(value: object) -> str:
    """Return a wrong value about as the builder wrote it, but never more than a line of it."""
    text = _as_toml(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _as_toml(value: object) -> str:
    """Return a value as it stands in a file, a long list or table not to its end."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Quantity):  # what stands in for a value that could not be read has no text
        return value.text or "…"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_as_toml, value[:30]))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key} = {_as_toml(inner)}' for key, inner in islice(value.items(), 30))}}}"
    try:
        return repr(value)
    except ValueError:  # a whole number of thousands of digits
        return "a number far too long"


_EXAMPLES = {
    _D.LENGTH: "14 mm", _D.AREA: "12 cm2", _D.VOLUME: "500 mL", _D.MASS: "152 g ± 2 g", _D.TIME: "2.5 s",
    _D.PRESSURE: "4.5 bar", _D.TEMPERATURE: "18 °C", _D.SPEED: "3 m/s", _D.ANGLE: "5 deg", _D.FORCE: "40 N",
    _D.DENSITY: "1000 kg/m3", _D.AREAL_DENSITY: "40 g/m2", _D.STIFFNESS: "200 N/m", _D.HEAT_TRANSFER: "50 W/m2/K",
    _D.RATE: "30 1/min", _D.NUMBER: "0.75",
}


def _example(dimension: Dimension) -> str:
    return f'"{_EXAMPLES[dimension]}"' if dimension is not Dimension.NUMBER else _EXAMPLES[dimension]


def show(value: float, unit: str, digits: int = 3, spread: float = 0.0) -> str:
    """Write an SI value in a unit, to a number of significant digits, such as ``"4.5 bar"``.

    With a spread the spread gets two digits, and the value as many decimals: ``"0.300 ± 0.060 mm"``.

    Raises
    ------
    KeyError
        If no dimension knows the unit.
    """
    for table in UNITS.values():
        if unit in table:
            factor = table[unit]
            break
    else:
        raise KeyError(unit)
    shown = (value - _OFFSET.get(unit, 0.0)) / factor
    text = _significant(shown, digits)
    if spread > 0.0:
        deviation = _significant(spread / factor, 2)
        if "e" not in text + deviation:
            text = f"{shown:.{len(deviation.partition('.')[2])}f}"
        text += f" ± {deviation}"
    return f"{text} {unit}" if unit not in ("", "%", "°") else f"{text}{unit}"


def neat(value: float, unit: str, digits: int = 3) -> str:
    """Write an SI value in a unit without trailing zeros, such as ``"4.5 bar"``."""
    number, _, rest = show(value, unit, digits).partition(" ")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {rest}".strip()


def inch_fraction(metres: float, of: int, down: bool = False) -> str:
    """Write a length, m, as a rule in inches has it, without the unit: ``"3 1/2"`` for 88.9 mm.

    To the nearest of so many parts `of` an inch, or `down`; small lengths to a finer part.
    """
    size = abs(metres)
    while 0.0 < size < _IN / of and of < 64:
        of *= 2
    parts = size / _IN * of
    whole, part = divmod(Fraction(math.floor(parts + 1e-6) if down else round(parts), of), 1)
    text = " ".join(str(one) for one in (whole, part) if one) or "0"
    return f"-{text}" if metres < 0.0 and text != "0" else text


def show_difference(value: float, unit: str, digits: int = 2) -> str:
    """Write the difference of two SI values in a unit, such as a ±: ``"2.0 °C"`` for 2 K."""
    factor = next(table[unit] for table in UNITS.values() if unit in table)
    return f"{_significant(value / factor, digits)} {unit}".strip()


def _significant(value: float, digits: int) -> str:
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    return f"{value:.{max(decimals, 0)}f}" if abs(value) >= 1e-4 else f"{value:.{digits - 1}e}"
