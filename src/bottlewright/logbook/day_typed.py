"""Numbers of an entry: what somebody types in the field has its unit, and a number alone is asked back with how."""

import math
import re

from bottlewright.design.phrases import bearing_text
from bottlewright.quantities import Dimension, QuantityError, parse_quantity

__all__ = ["bearing_typed", "pressure_told", "typed"]

_UNITS = {Dimension.PRESSURE: ("bar", "psi"), Dimension.SPEED: ("m/s", "km/h"), Dimension.LENGTH: ("m", "ft")}


def typed(text: object, dimension: Dimension) -> float:
    """Return a gauge reading, a wind or a height that somebody typed, Pa, m/s or m.

    Raises
    ------
    QuantityError
        With what to type, beginning with its verb.
    """
    said = str(text).strip()
    try:
        return parse_quantity(said, dimension).value
    except QuantityError:
        if not re.fullmatch(r"\d+(?:[.,]\d+)?", said):
            raise
        ways = ", or ".join(f"{said} {unit}" for unit in _UNITS[dimension])
        raise QuantityError(f"needs its unit: type {ways}") from None


def bearing_typed(text: object) -> float:
    """Return where a wind comes from as somebody typed it, degrees: "WSW", or "240" for degrees from north.

    Raises
    ------
    QuantityError
        Where it is no direction.
    """
    said = str(text).strip()
    plain = re.fullmatch(r"\d+(?:[.,]\d+)?", said)
    angle = parse_quantity(f"{said} deg" if plain else bearing_text(said), Dimension.ANGLE)
    return math.degrees(angle.value) % 360.0


def pressure_told(told: object) -> float | None:
    """Return a pressure that an entry tells, Pa; None where it tells none that holds anybody back."""
    return float(told) if isinstance(told, int | float) and not isinstance(told, bool) and 0.0 < told < 1e8 else None
