"""Round numbers along a scale."""

import math

__all__ = ["tick_words", "ticks"]

_STEPS = (1.0, 2.0, 2.5, 5.0)


def ticks(low: float, high: float, most: int = 9) -> list[float]:
    """Return round numbers from `low` to `high` with at most `most` steps between them, and those as small as can be.

    Returns
    -------
    list
        Multiples of 1, 2, 2.5 or 5 times a power of ten, none outside.
    """
    if not high > low:
        return []
    decade = 10.0 ** math.floor(math.log10((high - low) / (most + 1)))
    for step in (step * decade * ten for ten in (1.0, 10.0, 100.0) for step in _STEPS):
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last - first <= most:
            break
    return [min(max(number * step, low), high) + 0.0 for number in range(first, last + 1)]


def tick_words(places: list[float]) -> list[str]:
    """Return the ticks in words, all with the decimals that tell them apart."""
    if not places:
        return []
    step = places[1] - places[0] if len(places) > 1 else max(abs(places[0]), 1e-12)
    largest = max(abs(place) for place in places)
    if largest >= 1e6 or step < 1e-6:
        return [f"{place:.12g}".replace("-", "−") for place in places]
    decimals = next(count for count in range(8) if abs(step - round(step, count)) <= 1e-6 * step or count == 7)
    return [f"{place:.{decimals}f}".replace("-", "−") for place in places]
