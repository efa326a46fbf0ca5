"""What an entry makes of a day, and the little that every kind of entry asks."""

from dataclasses import replace

from bottlewright.logbook.day_state import Day, Refusal, RocketNow
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.journal import Entry

__all__ = ["Answer", "only", "put"]

Answer = tuple[Day, Refusal | None]


def put(day: Day, name: str, now: RocketNow) -> Day:
    """Return a day on which a rocket stands otherwise."""
    return replace(day, rockets={**day.rockets, name: now})


def only(day: Day, entry: Entry, role: str) -> Refusal | None:
    """Refuse what only one role says, where somebody else says it."""
    person = day.roles.get(role)
    if person and entry.get("role") == role and entry.get("by") == person.name:
        return None
    return Refusal(f"only the {day_table().roles[role].says} says that")
