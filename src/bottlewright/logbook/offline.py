"""What a device that was cut off may tell of the day when it is back: calls, and bottles that were pumped up."""

import re
from dataclasses import replace
from typing import Final

from bottlewright.logbook.day_order import by_the_rules_of_now
from bottlewright.logbook.day_state import Cycle, Day
from bottlewright.logbook.journal import Entry
from bottlewright.quantities import Dimension, QuantityError, parse_quantity

__all__ = ["ENDED", "OFFLINE", "counted", "vessel_of"]

OFFLINE: Final = frozenset({"stop", "near miss", "thunder", "note"})
"""What a device may say of a time when nobody heard it; a step needs the others to be there."""

ENDED: Final = ("launched", "vented", "leak", "burst")
"""How a time under pressure may have ended, as a device that was cut off tells of it."""


def counted(day: Day, entry: Entry) -> Day:
    """Count a bottle that was pumped up, says the journal, although nobody could agree to it.

    Who was cut off may say the highest reading and how it ended too; a bottle that leaked is pumped by nobody again.
    """
    if entry.get("what") != "step" or entry.get("event") != "pump":
        return day
    vessel = vessel_of(day, entry)
    if not vessel:
        return day
    peak = _quantity(entry.get("peak"))
    ended = str(entry.get("ended")) if entry.get("ended") in ENDED else "begun"
    retired = {**day.retired, vessel: "it leaked"} if ended == "leak" else day.retired
    return replace(day, retired=retired, cycles=(*day.cycles, Cycle(entry["entry"], entry["at"], vessel, peak, ended)))


def _quantity(text: object) -> float | None:
    try:
        return parse_quantity(str(text), Dimension.PRESSURE).value if text else None
    except QuantityError:
        return None


def vessel_of(day: Day, entry: Entry) -> str:
    """Return which bottle an entry is of: as it says itself where it came late or was written down, else that of its
    rocket; else empty.
    """
    said = entry.get("vessel") if entry.get("offline") or by_the_rules_of_now(entry) else None
    if isinstance(said, str) and re.fullmatch(r"[\w-]{1,32}", said, re.ASCII):
        return said
    rocket = day.plan.rockets.get(str(entry.get("rocket")))
    return rocket.vessel if rocket else ""
