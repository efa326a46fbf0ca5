"""Directions in words."""

import math

__all__ = ["bearing_words", "compass"]

_COMPASS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")


def compass(direction: float) -> str:
    """Return the point of the compass nearest to a direction (rad)."""
    return _COMPASS[round(math.degrees(direction) / 22.5) % 16]


def bearing_words(direction: float) -> str:
    """Return a direction (rad) as point of the compass and degrees: ``"WSW (240°)"``."""
    return f"{compass(direction)} ({round(math.degrees(direction)) % 360}°)"
