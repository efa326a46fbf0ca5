"""A bottle that held more than was allowed, told after its launch: the day stops, as it does for such a reading."""

import secrets
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bottlewright.logbook.records import FlightFile

__all__ = ["stop_the_day"]


def stop_the_day(beside: Path, flight: "FlightFile", at: str, by: str) -> None:
    """Stop the day of a launch where its bottle held too much; nothing where no day is kept, or this stop was called.

    Whoever reads the gauge by a wrong one does so for every rocket: so it is the day's stop, and not this bottle's.

    Parameters
    ----------
    at, by
        When, and who: initials or a number.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.held import held_too_much
    from bottlewright.logbook.journal import journal_file
    from bottlewright.project.logbook import Logbook

    why = held_too_much(flight)
    if not why or not journal_file(beside / FOLDER, str(flight.day)).is_file():
        return
    book, words = Logbook(beside).day(str(flight.day)), f"overshoot: {why}"
    called = any(one.get("what") == "stop" and one.get("why") == words for one in book.entries)
    if book.day.plan.rockets and not called:
        book.say({"entry": secrets.token_hex(8), "at": max(at, *(str(one["at"]) for one in book.entries)),
                  "n": len(book.entries) + 1, "by": by or "the program", "what": "stop", "why": words})  # fmt: skip
