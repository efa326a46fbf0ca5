"""How sure somebody is of a value, in plain words: each way to come by a number has a ±.

Every ± here is our judgement: one standard deviation of what a careful beginner gets with such a tool.
"""

import math
from typing import NamedTuple

from bottlewright.quantities import UNITS, Dimension, Quantity, spelled, written_unit

__all__ = ["BASIS", "Way", "sure_by", "ways_of"]

D = Dimension
BASIS = "our judgement"
"""Who says so."""


class Way(NamedTuple):
    """A way to come by a number.

    Parameters
    ----------
    words
        As somebody says it.
    size, share
        Its ±, SI, and as a part of the value: both count.
    least, most
        Smallest and largest value that anybody would come by in this way, SI.
    """

    words: str
    size: float
    share: float = 0.0
    least: float = 0.0
    most: float = math.inf

    def spread(self, value: float) -> float:
        """Return the ± of a value, SI."""
        return self.size + self.share * abs(value)


_DEGREE, _DAY = math.pi / 180.0, 86400.0
_WAYS: dict[Dimension, tuple[Way, ...]] = {
    D.LENGTH: (
        Way("with callipers", 0.1e-3, most=0.3), Way("with a ruler", 1e-3, most=1.0),
        Way("with a tape", 3e-3, most=5.0), Way("cut or placed by eye", 5e-3, most=2.0),
        Way("with a long tape", 0.0, 0.01, least=5.0), Way("paced out", 0.0, 0.1, least=3.0),
        Way("off a label or plan", 0.0, 0.02), Way("guessed by eye", 0.0, 0.15, most=3.0),
        Way("guessed from where you stand", 0.0, 0.25, least=3.0),
    ),
    D.VOLUME: (
        Way("weighed with water", 2e-6, 0.002), Way("with a kitchen jug", 0.0, 0.03),
        Way("off the label", 0.0, 0.05), Way("guessed by eye", 0.0, 0.2),
    ),
    D.MASS: (
        Way("on letter scales", 0.1e-3), Way("on kitchen scales", 1e-3),
        Way("on bathroom scales", 0.2), Way("off a label", 0.0, 0.05), Way("guessed by hand", 0.0, 0.3),
    ),
    D.PRESSURE: (
        Way("on a large gauge", 0.05e5, 0.01), Way("on a pump's gauge", 0.1e5, 0.03), Way("guessed", 0.0, 0.2),
    ),
    D.TEMPERATURE: (Way("with a thermometer", 1.0), Way("by the forecast", 2.0), Way("guessed", 5.0)),
    D.SPEED: (
        Way("with a wind gauge", 0.2, 0.1), Way("by the forecast", 0.5, 0.3), Way("by leaves and grass", 1.0, 0.4),
    ),
    D.ANGLE: (
        Way("with a protractor", _DEGREE), Way("with a compass", 5.0 * _DEGREE), Way("guessed by eye", 15.0 * _DEGREE),
    ),
    D.TIME: (
        Way("timed over ten", 0.03), Way("timed once", 0.2), Way("noted to the day", _DAY),
        Way("as remembered", 0.0, 0.2),
    ),
}  # fmt: skip
_LARGEST, _LEAST = 0.5, 1e-4
"""Parts of the value: a tool whose ± is more says nothing of it, and with less nobody measures it."""


def ways_of(quantity: Quantity, text: str) -> list[tuple[str, str, float]]:
    """Return the ways to come by a value of this size: its words, its ± in the value's own unit, and SI.

    Parameters
    ----------
    text
        The value with its unit, as it is shown.
    """
    unit = written_unit(spelled(text))
    dimension = next((one for one in _WAYS if unit in UNITS[one]), None)
    if dimension is None:
        return []
    scale = math.inf if dimension in (D.TEMPERATURE, D.ANGLE, D.SPEED) else abs(quantity.value)
    found = [(way.words, way.spread(quantity.value)) for way in _WAYS[dimension]
             if way.least <= abs(quantity.value) <= way.most]  # fmt: skip
    return [(words, _written(size / UNITS[dimension][unit], unit), size) for words, size in found
            if size > 0.0 and (math.isinf(scale) or _LEAST * scale <= size <= _LARGEST * scale)]  # fmt: skip


def _written(number: float, unit: str) -> str:
    """Return a ± with its unit, to two digits: ``"1 mm"``, ``"0.25 g"``, ``"200 g"``."""
    return f"{float(f'{number:.2g}'):g} {unit}"


def sure_by(quantity: Quantity, text: str) -> str:
    """Return the words of the way whose ± a value has; empty where it has another."""
    ways = ways_of(quantity, text)
    return next((words for words, _, size in ways if math.isclose(size, quantity.spread, rel_tol=0.06)), "")
