"""To which limit a wind is held: by where it comes from, and by how high above the ground it is read.

The one owner of that number and of its words: verdict, paper, the day's page, `launch`, Measure and each gate of the
day take both from here.
"""

import math
from typing import NamedTuple

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.compass import compass
from bottlewright.field.numbers import LimitAt
from bottlewright.field.wind_heights import HAND_HEIGHT, Growth, carried_down
from bottlewright.field.wind_limit import HALF_POINT, SWING, WindLimit, limit_at
from bottlewright.field.words import height_words, limit_words

__all__ = ["WindHeld", "coming_of", "held_at", "held_words", "least_words", "reading_words"]


def coming_of(direction: float, spread: float) -> tuple[float, float]:
    """Return where a wind comes from, and by how much it swings (rad), as `WindHeld` has it: in degrees.

    Nobody reads a direction closer than half a point of the compass.
    """
    return math.degrees(direction) % 360.0, math.degrees(max(spread, HALF_POINT))


class WindHeld(NamedTuple):
    """The limits of a rocket's wind.

    Parameters
    ----------
    limits
        By the direction that the wind comes from; one alone holds for all directions.
    growth
        By which a limit is carried down to the height of a reading.
    coming
        Where the plan has the wind from, and by how much it swings to either side, degrees; None where it doesn't say.
    """

    limits: tuple[LimitAt, ...]
    growth: Growth
    coming: tuple[float, float] | None = None

    @property
    def least(self) -> LimitAt:
        """The least of all directions."""
        return min(self.limits, key=lambda limit: limit.speed_m_s)

    @property
    def today(self) -> LimitAt | None:
        """The least within reach of the wind that the plan has; None where it has none."""
        return None if self.coming is None else self.of(self.coming[0])

    @property
    def swing(self) -> float:
        """By how much a wind swings to either side of where it is said to come from, degrees."""
        return math.degrees(SWING) if self.coming is None else self.coming[1]

    def of(self, from_deg: float | None) -> LimitAt:
        """Return the limit for a wind from a direction (degrees) that swings as the plan's does.

        Where nobody says from where it comes, the least of all directions.
        """
        if from_deg is None:
            return self.least
        table = [WindLimit(math.radians(one.from_deg), one.speed_m_s, reached=True) for one in self.limits]
        return LimitAt(from_deg % 360.0, limit_at(table, math.radians(from_deg), math.radians(self.swing)),
                       self.limits[0].height_m)  # fmt: skip

    def at(self, limit: LimitAt, read_at: float = HAND_HEIGHT) -> float:
        """Return a limit, m/s, as a wind is held to it that is read so high above the ground, m."""
        return carried_down(limit.speed_m_s, limit.height_m, read_at, self.growth)


def held_words(held: WindHeld, habit: UnitHabit = METRIC, read_at: float = HAND_HEIGHT) -> str:
    """Say how strong the wind may be at the most: while it comes from where the plan has it, and from anywhere else."""
    today, least = held.today, held.least
    if len(held.limits) == 1:
        return _said(held, least, habit, read_at)
    if today is None or today.speed_m_s <= least.speed_m_s:
        return f"{_said(held, least, habit, read_at)}, the least of any direction ({_way(least)})"
    assert held.coming is not None
    swing = f"{held.coming[0]:.0f}° ± {held.coming[1]:.0f}°"
    return (f"{_said(held, today, habit, read_at)} while it comes from {_way(today)} ({swing}); from any other "
            f"direction down to {_said(held, least, habit, read_at)} ({_way(least)})")


def held_at(held: WindHeld, habit: UnitHabit = METRIC, read_at: float = HAND_HEIGHT) -> str:
    """Say for which height `held_words` holds, and what its limits are at the height that they were worked out for."""
    today, least = held.today, held.least
    both = (least,) if today is None or today.speed_m_s <= least.speed_m_s else (today, least)
    return _height(both, habit, read_at)


def least_words(held: WindHeld, habit: UnitHabit = METRIC) -> str:
    """Say `held_words` and `held_at` of a meter in the hand in one."""
    return f"{held_words(held, habit)}; {held_at(held, habit)}"


def reading_words(held: WindHeld, from_deg: float | None, read_at: float, habit: UnitHabit = METRIC) -> str:
    """Say to which limit one reading is held: by its own direction, or by the least where nobody said from where."""
    limit = held.of(from_deg)
    said, high = _said(held, limit, habit, read_at), _height((limit,), habit, read_at)
    if len(held.limits) == 1:
        return f"{said}, {high}"
    if from_deg is None:
        return (f"{said}, the least of any direction ({_way(limit)}), for nobody wrote where this wind comes from; "
                f"{high}")
    return f"{said} from {_way(limit)}, {high}"


def _said(held: WindHeld, limit: LimitAt, habit: UnitHabit, read_at: float) -> str:
    return limit_words(held.at(limit, read_at), habit)


def _height(limits: tuple[LimitAt, ...], habit: UnitHabit, read_at: float) -> str:
    where, there = height_words(read_at, habit), limits[0].height_m
    if read_at == there:
        return where
    high = " and ".join(limit_words(one.speed_m_s, habit) for one in limits)
    return f"{where}; that is {high} at {habit.distance(there)}"


def _way(limit: LimitAt) -> str:
    return compass(math.radians(limit.from_deg))
