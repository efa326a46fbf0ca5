"""Distances and wind limits in words: verdict, sheets and the words of Field say them as they are said here."""

import math
from collections.abc import Sequence

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.sides import Away, counted_sides
from bottlewright.field.wind_heights import HAND_HEIGHT
from bottlewright.quantities import UNITS, Dimension

__all__ = ["away_at_least", "away_words", "height_words", "limit_words", "sides_words"]


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
    """Say the strongest wind, m/s, rounded down in each unit: no digit lets anybody launch in more."""
    metric = f"{_down(speed):g} m/s"
    return f"{_down(speed / UNITS[Dimension.SPEED]['mph']):g} mph ({metric})" if habit.miles else metric


def _down(number: float) -> float:
    return math.floor(10.0 * number + 1e-6) / 10.0


def height_words(read_at: float, habit: UnitHabit = METRIC) -> str:
    """Say how high above the ground a meter is, m."""
    return f"{'in the hand, ' if read_at == HAND_HEIGHT else ''}{habit.distance(read_at)} up"
