"""A clock that jumped by days: what was said stays in its order, and every wait begins anew.

Nobody knows how long it really was. So no wait is over by a jump, and none is endless by a clock that was put right.
"""

from dataclasses import replace

from bottlewright.logbook.day_answer import Answer
from bottlewright.logbook.day_state import Day, seconds_of
from bottlewright.logbook.journal import Entry

__all__ = ["JUMP", "has_jumped", "waits_anew"]

JUMP = 2 * 86400.0
"""s; the time of a day under way that lies so far from its last entry is another clock's, or was put right."""


def has_jumped(day: Day, at: float) -> bool:
    """Say whether the clock jumped while a rocket of the day is filled, may be under pressure, or is out there."""
    return day.under_way and abs(at - day.at) > JUMP


def waits_anew(day: Day, entry: Entry) -> Answer:
    """Take the time of an entry for that of the day; the wind is read again, and what was confirmed is asked again."""
    at = seconds_of(entry["at"])
    rockets = {name: replace(now, since=at, pumped_at=None if now.pumped_at is None else min(now.pumped_at, at))
               for name, now in day.rockets.items()}  # fmt: skip
    thunder = None if day.thunder is None else at
    return replace(day, at=at, rockets=rockets, wind=None, confirms={}, thunder=thunder), None
