"""Distances and wind limits in words: verdict, sheets and the words of Field say them as they are said here."""

from collections.abc import Sequence

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.sides import Away, counted_sides
from bottlewright.field.wind_heights import HAND_HEIGHT

__all__ = ["at_height_words", "away_at_least", "away_words", "hand_words", "limit_words", "sides_words"]


def away_words(away: float, settled: bool, habit: UnitHabit) -> str:
    """Say how far somebody stands (m); "over" where the flights do not show that this will do."""
    return f"{'' if settled else 'over '}{habit.stand_back(away)}"


def away_at_least(away: float, settled: bool, habit: UnitHabit) -> str:
    """Say how far away somebody stands at the least (m); where the flights do not show that this will do, further."""
    far = habit.stand_back(away)
    return f"{far} away or more" if settled else f"farther than {far} away"


def sides_words(sides: Sequence[Away], habit: UnitHabit) -> list[str]:
    """Say the distance that counts on each side of the launcher."""
    counts = zip(sides, counted_sides(sides), strict=True)
    return [away_words(*there, habit) + ("" if there == own else ", as for any side") for own, there in counts]


def limit_words(speed: float, habit: UnitHabit) -> str:
    """Say the strongest wind, m/s."""
    return habit.speed(speed, 2)


def hand_words(habit: UnitHabit) -> str:
    """Say where a meter in the hand is."""
    return f"in the hand, {habit.distance(HAND_HEIGHT)} up"


def at_height_words(speed: float, height: float, habit: UnitHabit) -> str:
    """Say what the limit in the hand is at the height that forecasts, landings and the design's wind are for."""
    return f"that is {limit_words(speed, habit)} at {habit.distance(height)}"
