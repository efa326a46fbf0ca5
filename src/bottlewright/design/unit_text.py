"""Numbers in words as the builder reads them: texts of a table in his own units, limits never rounded past "
"themselves.
"""

import math
import re
from functools import lru_cache

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.quantities import UNITS, Dimension, parse_quantity, show

__all__ = ["age_words", "at_least", "at_most", "in_own_units", "on_the_gauge", "percent"]

THIN = "\N{NARROW NO-BREAK SPACE}"

_PAIRS = (("psi", "bar", Dimension.PRESSURE), ("ft", "m", Dimension.LENGTH), ("in", "mm", Dimension.LENGTH),
          ("mph", "m/s", Dimension.SPEED), ("lbf", "N", Dimension.FORCE))
_WRITES = {"psi": "psi", "ft": "inches", "in": "inches", "mph": "miles", "lbf": "pounds"}
_NUMBER = r"\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.])({_NUMBER}(?: (?:to|and) {_NUMBER})?) (psi|bar|mph|m/s|mm|ft|N|m)(?![\w/²³])"
)


def percent(share: float) -> str:
    """Return a share in per cent, with a thin space that no line breaks: ``"0.15 %"``."""
    return f"{share * 100:.2g}{THIN}%" if share < 0.995 else f"{share * 100:.3g}{THIN}%"


def at_most(habit: UnitHabit, pascals: float) -> str:
    """Return a pressure that nobody may pass, Pa, rounded down: no digit lets anybody pump harder.

    A limit at a tenth of a psi needs no rounding and reads as it does everywhere: ``"60 psi (4.14 bar)"``.
    """
    unit = UNITS[Dimension.PRESSURE]["psi"]
    bar, psi = f"{_floor(pascals / 1e5, 2)} bar", pascals / unit
    if habit.psi and abs(10.0 * psi - round(10.0 * psi)) < 1e-6:
        return habit.pressure(round(10.0 * psi) / 10.0 * unit)
    return f"{_floor(psi, 1)} psi ({bar})" if habit.psi else bar


def at_least(habit: UnitHabit, pascals: float) -> str:
    """Return a pressure that has to be reached, Pa, rounded up to the whole psi or 0.01 bar.

    A test at the shown number, which a gauge shows too, is no weaker than promised.
    """
    if not habit.psi:
        return f"{_floor(pascals / 1e5, 2, up=True)} bar"
    psi = _floor(pascals / UNITS[Dimension.PRESSURE]["psi"], 0, up=True)
    return f"{psi} psi ({_floor(float(psi) * UNITS[Dimension.PRESSURE]['psi'] / 1e5, 2, up=True)} bar)"


def on_the_gauge(habit: UnitHabit, pascals: float) -> str:
    """Return a pressure on the way to another, Pa, rounded down to what the gauge of a pump shows: 1 psi or 0.1 bar.

    Finer marks are rare, and nobody reads between them while pumping (our judgement).
    """
    mark = UNITS[Dimension.PRESSURE]["psi"] if habit.psi else 1e4
    return habit.pressure(math.floor(pascals / mark + 1e-6) * mark)


def _floor(value: float, decimals: int, up: bool = False) -> str:
    """Return a number rounded down, or up, to some decimals, but where arithmetic missed one by a hair."""
    scale = 10.0**decimals
    whole = math.ceil(value * scale - 1e-6) if up else math.floor(value * scale + 1e-6)
    return _tidy(whole / scale, decimals)


def age_words(seconds: float) -> str:
    """Return an age, s, in the largest unit of which there are two or more: ``"2 weeks"``, ``"1.5 years"``."""
    day = 86400.0
    for name, size, digits in (("years", 365.25 * day, 2), ("months", 30.4375 * day, 2), ("weeks", 7.0 * day, 1)):
        if seconds >= (1.0 if name == "years" else 1.95) * size:
            count = f"{seconds / size:.{digits}g}"
            return f"{count} {name}" if count != "1" else "1 year"
    count = f"{seconds / day:.0f}"
    return f"{count} day{'' if count == '1' else 's'}"


@lru_cache(2048)
def in_own_units(habit: UnitHabit, text: str) -> str:
    """Return a text of a table with its pressures, distances, speeds and forces as the builder writes them.

    A number that the table gives in one of the two units stays as it is; the other one is worked out:
    ``"never over 90 psi"`` is ``"never over 6.21 bar"`` for one who writes bar, and ``"never over 90 psi (6.21 bar)"``
    for one who writes psi. Degrees and per cent get their signs.
    """
    text = _QUANTITY.sub(lambda match: _both(habit, match[1], match[2]), text)
    text = re.sub(rf"({_NUMBER}) deg\b", "\\1°", text)
    return re.sub(r"(?<=\d)[ \u00a0]?%", f"{THIN}%", text)


def _both(habit: UnitHabit, numbers: str, unit: str) -> str:
    own, metric, dimension = next(pair for pair in _PAIRS if unit in pair)
    inch_pound = getattr(habit, _WRITES[own])
    texts = {unit: f"{numbers} {unit}"}
    other = metric if unit == own else own
    texts[other] = f"{re.sub(_NUMBER, lambda match: _converted(match[0], unit, other, dimension), numbers)} {other}"
    return f"{texts[own]} ({texts[metric]})" if inch_pound else texts[metric]


def _converted(number: str, unit: str, other: str, dimension: Dimension) -> str:
    value = float(parse_quantity(f"{number} {unit}", dimension))
    digits = 2 if other in _WRITES else 4 if other == "m" and value >= 10.0 else 3
    shown = show(value, other, digits).partition(" ")[0]
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _tidy(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
