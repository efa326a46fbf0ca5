"""The limits of the wind as the day holds a reading to them: by where it comes from, and by the height of the meter."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from bottlewright.field.compass import compass
from bottlewright.field.numbers import LimitAt
from bottlewright.field.wind_heights import FORECAST_HEIGHT, HAND_HEIGHT, Growth, roughest
from bottlewright.field.wind_held import WindHeld, held_at, held_words, reading_words
from bottlewright.field.words import height_words
from bottlewright.logbook.day_plan import DayRocket
from bottlewright.logbook.day_state import Refusal, Wind, seconds_of
from bottlewright.logbook.day_typed import bearing_typed, typed
from bottlewright.quantities import Dimension

__all__ = ["lower_wind_words", "lowered", "over_words", "read_words", "wind_held", "wind_limit_read",
           "wind_limit_words", "wind_told"]  # fmt: skip


def wind_held(rocket: DayRocket) -> WindHeld | None:
    """Return the limits that the winds of a rocket are held to; None where nobody worked them out.

    A day that an earlier version prepared has one for all directions.
    """
    if rocket.wind_limit_m_s is None:
        return None
    height = FORECAST_HEIGHT if rocket.wind_height_m is None else rocket.wind_height_m
    growth = Growth(*rocket.wind_grows) if rocket.wind_grows else roughest()
    limits = tuple(LimitAt(way, most, height) for way, most in rocket.winds)
    coming = (rocket.wind_from[0], rocket.wind_from[1]) if rocket.wind_from else None
    return WindHeld(limits or (LimitAt(0.0, rocket.wind_limit_m_s, height),), growth, coming)


def wind_limit_read(rocket: DayRocket, read_at: float = HAND_HEIGHT, from_deg: float | None = None) -> float | None:
    """Return the limit, m/s, for a wind read so high above the ground, m; None where nobody worked one out.

    Where nobody says from where it comes (degrees), the least of all directions.
    """
    held = wind_held(rocket)
    return None if held is None else held.at(held.of(from_deg), read_at)


def wind_limit_words(rocket: DayRocket, read_at: float = HAND_HEIGHT) -> str:
    """Say the limits, and beside them what they are at the height that they were worked out for."""
    held = wind_held(rocket)
    if held is None:
        return "not worked out"
    return f"{held_words(held, read_at=read_at)}; {held_at(held, read_at=read_at)}"


_LOWEST, _HIGHEST = 0.5, 300.0
"""m above the ground, as `weather.wind_height` of a design may be: lower down grass and people stand in the wind."""


def wind_told(entry: Mapping[str, Any]) -> Wind | Refusal:
    """Return the reading of the wind that an entry of the journal tells, or why it is none."""
    mean = typed(entry["mean"], Dimension.SPEED)
    gust = typed(entry["gust"], Dimension.SPEED) if entry.get("gust") else mean
    if min(mean, gust) < 0.0:
        return Refusal("a wind is zero or more: write how fast it blows, such as 3 m/s")
    height = typed(entry["height"], Dimension.LENGTH) if entry.get("height") else HAND_HEIGHT
    if not _LOWEST <= height <= _HIGHEST:
        return Refusal(f"a wind is read from {_LOWEST:g} m to {_HIGHEST:g} m above the ground")
    way = bearing_typed(entry["from"]) if entry.get("from") else None
    return Wind(seconds_of(entry["at"]), mean, gust, height, way)


def over_words(rocket: DayRocket, wind: Wind | None) -> str:
    """Say over which limit a reading of the wind is, and whether the gusts alone are; empty where it is over none."""
    held = wind_held(rocket)
    if held is None or wind is None:
        return ""
    limit = held.at(held.of(wind.from_deg), wind.height_m)
    if max(wind.mean_m_s, wind.gust_m_s) <= limit:
        return ""
    what = "the wind is" if wind.mean_m_s > limit else "the gusts are"
    return f"{what} over the limit of {reading_words(held, wind.from_deg, wind.height_m)}"


def read_words(wind: Wind) -> str:
    """Say how high the meter was, and from where the wind came."""
    came = "nobody wrote from where" if wind.from_deg is None else f"from {compass(math.radians(wind.from_deg))}"
    return f"{height_words(wind.height_m)}, {came}"


def lowered(rocket: DayRocket, limit: float, winds: Sequence[tuple[float, float]] = ()) -> DayRocket:
    """Return a rocket with the lower of its own limits and these, m/s; as it is where none is lower, or it has none."""
    if rocket.wind_limit_m_s is None or not all(0.0 <= one < math.inf for one in (limit, *(most for _, most in winds))):
        return rocket
    least = dict(winds) or dict.fromkeys((way for way, _ in rocket.winds), limit)
    table = tuple((way, min(most, least.get(way, most))) for way, most in rocket.winds)
    return replace(rocket, wind_limit_m_s=min(rocket.wind_limit_m_s, limit), winds=table)


def lower_wind_words(entry: Mapping[str, Any]) -> str:
    """Say from an entry of the journal to which lower limit a rocket is held from then on."""
    limit, hand, high = (entry.get(key) for key in ("limit_m_s", "in_hand_m_s", "height_m"))
    earlier = f"{limit:g} m/s" if hand is None else f"{hand:g} m/s in the hand; that is {limit:g} m/s at {high:g} m"
    return f"{entry.get('rocket')}: lower wind limit by its design of now, {entry.get('says') or earlier}"
