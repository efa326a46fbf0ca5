"""Directions in words."""

import math

__all__ = ["compass"]

_COMPASS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")


def compass(direction: float) -> str:
    """Return the point of the compass nearest to a direction (rad)."""
    return _COMPASS[round(math.degrees(direction) / 22.5) % 16]
