"""Which units the builder thinks in, read off the design file, and numbers written that way.

Whoever writes "65 psi" reads a gauge in psi: every pressure is then given in psi first with bar beside it. Whoever
writes inches gets inches first with millimetres beside them, and distances in feet with metres beside them. A builder
who writes bar and mm reads bar and mm, and nothing besides.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.once import once_per_design
from bottlewright.design.paths import stood_on
from bottlewright.quantities import UNITS, Dimension, neat, spelled, written_unit

__all__ = ["INCH_POUND", "METRIC", "UnitHabit", "told_habit", "unit_habit"]

@dataclass(frozen=True, slots=True)
class UnitHabit:
    """Whether the builder writes each kind of quantity in inch-pound units; texts from SI values.

    Parameters
    ----------
    psi, inches, pounds, miles, fahrenheit
        Pressures, lengths and distances, masses and forces, speeds, temperatures.
    """

    psi: bool = False
    inches: bool = False
    pounds: bool = False
    miles: bool = False
    fahrenheit: bool = False

    def pressure(self, pascals: float, digits: int = 3) -> str:
        """Return a pressure, Pa: ``"4.48 bar"``, or ``"65 psi (4.48 bar)"``."""
        return self._both(pascals, self.psi, "psi", "bar", digits)

    def length(self, metres: float, digits: int = 3) -> str:
        """Return a length of a part, m: ``"140 mm"``, or ``"5.51 in (140 mm)"``."""
        return self._both(metres, self.inches, "in", "mm", digits)

    def distance(self, metres: float, digits: int = 3) -> str:
        """Return a distance on the field, m: ``"15.2 m"``, or ``"50 ft (15.2 m)"``."""
        return self._both(metres, self.inches, "ft", "m", digits)

    def stand_back(self, metres: float) -> str:
        """Return a distance that somebody keeps, m, rounded up to 0.1 m and to the foot: a digit puts nobody nearer."""
        metric = f"{_tidy(math.ceil(10.0 * metres - 1e-6) / 10.0)} m"
        return f"{math.ceil(metres / UNITS[Dimension.LENGTH]['ft'] - 1e-6)} ft ({metric})" if self.inches else metric

    def mass(self, kilograms: float, digits: int = 3) -> str:
        """Return a mass, kg: ``"152 g"``, or ``"5.36 oz (152 g)"``."""
        return self._both(kilograms, self.pounds, "oz", "g", digits)

    def force(self, newtons: float, digits: int = 3) -> str:
        """Return a force, N: ``"53 N"``, or ``"11.9 lbf (53 N)"``."""
        return self._both(newtons, self.pounds, "lbf", "N", digits)

    def on_a_scale(self, newtons: float, digits: int = 2) -> str:
        """Return what a scale shows that a force, N, is drawn with: ``"31 g"``, or ``"1.1 oz"``."""
        return neat(newtons / UNITS[Dimension.FORCE]["kgf"], "oz" if self.pounds else "g", digits)

    def speed(self, metres_per_second: float, digits: int = 3) -> str:
        """Return a speed, m/s: ``"4.5 m/s"``, or ``"10.1 mph (4.5 m/s)"``."""
        return self._both(metres_per_second, self.miles, "mph", "m/s", digits)

    def weighed(self, kilograms: float) -> str:
        """Return a mass of a ledger, kg, to 0.1 g and to 0.01 oz: ``"2.5 g"``, or ``"0.09 oz (2.5 g)"``."""
        metric = f"{_tidy(1e3 * kilograms)} g"
        return f"{kilograms / UNITS[Dimension.MASS]['oz']:.2f} oz ({metric})" if self.pounds else metric

    def temperature(self, kelvin: float, digits: int = 3) -> str:
        """Return a temperature, K: ``"20 °C"``, or ``"68 °F (20 °C)"``."""
        return self._both(kelvin, self.fahrenheit, "°F", "°C", digits)

    def warming(self, kelvin: float) -> str:
        """Return a difference of temperatures, K: ``"10 °C"``, or ``"18 °F (10 °C)"``."""
        metric = f"{kelvin:.0f} °C"
        return f"{kelvin / UNITS[Dimension.TEMPERATURE]['°F']:.0f} °F ({metric})" if self.fahrenheit else metric

    def stress(self, pascals: float, digits: int = 3) -> str:
        """Return a stress in a wall, Pa: ``"62 MPa"``, or ``"8990 psi (62 MPa)"``."""
        return self._both(pascals, self.psi, "psi", "MPa", digits)

    def acceleration(self, metres_per_second_squared: float) -> str:
        """Return an acceleration, m/s²: ``"472 m/s²"``, or ``"1549 ft/s² (472 m/s²)"``."""
        metric = f"{metres_per_second_squared:.0f} m/s²"
        feet = metres_per_second_squared / UNITS[Dimension.LENGTH]["ft"]
        return f"{feet:.0f} ft/s² ({metric})" if self.inches else metric

    def unit(self, metric: str) -> str:
        """Return the builder's own unit for a metric one, ``"in"`` for ``"mm"``; that itself where there is none."""
        writes, own = _OWN.get(metric, ("", metric))
        return own if writes and getattr(self, writes) else metric

    @staticmethod
    def _both(value: float, imperial: bool, own: str, metric: str, digits: int) -> str:
        plain = neat(value, metric, digits)
        return f"{neat(value, own, digits)} ({plain})" if imperial else plain


_OWN = {"bar": ("psi", "psi"), "MPa": ("psi", "psi"), "mm": ("inches", "in"), "m": ("inches", "ft"),
        "g": ("pounds", "oz"), "kg": ("pounds", "lb"), "N": ("pounds", "lbf"), "m/s": ("miles", "mph"),
        "°C": ("fahrenheit", "°F")}  # fmt: skip
"""Habit and inch-pound unit beside each metric one."""

METRIC = UnitHabit()
INCH_POUND = UnitHabit(psi=True, inches=True, pounds=True, miles=True, fahrenheit=True)


_GAUGES = set(UNITS[Dimension.PRESSURE]) - {"psi", "hPa", "mbar"}
"""Units of a metric gauge; hPa and mbar are those of the weather report."""
_INCHES, _METRES = {"in", "ft", "yd"}, {"m", "mm", "cm"}


@once_per_design
def unit_habit(design: Design) -> UnitHabit:
    """Read off a design which units its builder writes: most texts of a kind decide; metric where none does.

    A pressure to pump to in psi decides for all pressures: it is what the builder reads on the gauge, whatever is
    printed on the parts. Who writes psi and inches thinks in pounds, miles an hour and °F too, until the file says
    otherwise.
    """
    written = [written_unit(text) for text in _texts(design)]

    def writes(own: set[str], metric: set[str], otherwise: bool = False) -> bool:
        mostly = _mostly(written, own, metric)
        return otherwise if mostly is None else mostly

    planned = design.charge.pressure
    reads = written_unit(planned.text) if planned and planned.text else ""
    psi = reads == "psi" or (not reads and writes({"psi"}, _GAUGES))
    inches = writes(_INCHES, _METRES)
    both = psi and inches
    return UnitHabit(
        psi=psi,
        inches=inches,
        pounds=writes({"lb", "oz", "lbf"}, {"kg", "g", "N"}, both),
        miles=writes({"mph", "ft/s"}, {"m/s", "km/h", "kn"}, both),
        fahrenheit=writes({"°F", "degF"}, {"°C", "C", "degC", "K"}, both),
    )


def _mostly(written: Iterable[str], own: set[str], metric: set[str]) -> bool | None:
    """Tell whether most units that are of either kind are inch-pound ones; None where there are none."""
    units = [unit for unit in written if unit in own | metric]
    return sum(unit in own for unit in units) * 2 > len(units) if units else None


def told_habit(pressure: str, lengths: Iterable[str], chosen: UnitHabit | None = None) -> UnitHabit | None:
    """Tell from a builder's first answers which units to write a new design in; None where they tell nothing.

    Parameters
    ----------
    pressure, lengths
        As they were answered; an empty text is no answer. A kind that nobody answered follows the other one: who says
        80 psi measures in inches.
    chosen
        What the builder asked for by name; only the unit on the gauge goes before it.
    """
    units = [written_unit(spelled(text)) for text in (pressure, *lengths)]
    inches = chosen.inches if chosen else _mostly(units[1:], _INCHES, _METRES)
    psi = _mostly(units[:1], {"psi"}, _GAUGES)
    if inches is None and psi is None:
        return None
    psi = inches if psi is None else psi
    inches = psi if inches is None else inches
    both = bool(psi and inches)
    return UnitHabit(bool(psi), bool(inches), both, both, both)


def _texts(design: Design) -> Iterator[str]:
    return (quantity.text for _, quantity in stood_on(design) if quantity.text)


def _tidy(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
