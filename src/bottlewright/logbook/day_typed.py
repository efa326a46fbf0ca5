"""What somebody types in the field: a number with its unit, and a number alone is asked back with what to type."""

import re

from bottlewright.quantities import Dimension, QuantityError, parse_quantity

__all__ = ["typed"]

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
