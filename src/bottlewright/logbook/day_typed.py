"""What somebody types in the field: a number with its unit, and a number alone is asked back with what to type."""

import re

from bottlewright.quantities import Dimension, QuantityError, parse_quantity

__all__ = ["typed"]

_UNITS = {Dimension.PRESSURE: ("bar", "psi"), Dimension.SPEED: ("m/s", "km/h")}


def typed(text: object, dimension: Dimension) -> float:
    """Return a gauge reading or a wind that somebody typed, Pa or m/s.

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
