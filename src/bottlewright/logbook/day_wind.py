"""The limit of the wind as the day holds a reading to it: carried down to the height of the meter."""

from collections.abc import Mapping
from typing import Any

from bottlewright.field.wind_heights import FORECAST_HEIGHT, HAND_HEIGHT, Growth, carried_down, roughest
from bottlewright.logbook.day_plan import DayRocket

__all__ = ["height_words", "lower_wind_words", "wind_limit_read", "wind_limit_words"]


def wind_limit_read(rocket: DayRocket, read_at: float = HAND_HEIGHT) -> float | None:
    """Return the limit, m/s, for a wind that is read so high above the ground, m; None where nobody worked one out."""
    if rocket.wind_limit_m_s is None:
        return None
    growth = Growth(*rocket.wind_grows) if rocket.wind_grows else roughest()
    return carried_down(rocket.wind_limit_m_s, _for(rocket), read_at, growth)


def wind_limit_words(rocket: DayRocket, read_at: float = HAND_HEIGHT) -> str:
    """Say that limit, and beside it what it is at the height that it was worked out for."""
    limit = wind_limit_read(rocket, read_at)
    if limit is None or rocket.wind_limit_m_s is None:
        return "not worked out"
    said = f"{limit:.1f} m/s {height_words(read_at)}"
    return said if read_at == _for(rocket) else f"{said}; that is {rocket.wind_limit_m_s:.1f} m/s at {_for(rocket):g} m"


def height_words(read_at: float) -> str:
    """Say how high above the ground a meter is, m."""
    return f"in the hand, {read_at:g} m up" if read_at == HAND_HEIGHT else f"{read_at:.3g} m up"


def _for(rocket: DayRocket) -> float:
    """Return for which height the limit holds, m; where nobody kept it, that of a forecast."""
    return FORECAST_HEIGHT if rocket.wind_height_m is None else rocket.wind_height_m


def lower_wind_words(entry: Mapping[str, Any]) -> str:
    """Say from an entry of the journal to which lower limit a rocket is held from then on."""
    hand, high = entry.get("in_hand_m_s"), entry.get("height_m")
    limit = f"{entry.get('limit_m_s'):.1f} m/s"
    said = limit if hand is None or high is None else f"{hand:.1f} m/s in the hand; that is {limit} at {high:g} m"
    return f"{entry.get('rocket')}: lower wind limit, {said}, by its design of now"
