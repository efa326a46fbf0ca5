"""The clock of a day: this computer's, and never before what was written down already."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bottlewright.logbook.journal import Entry

__all__ = ["latest"]


def latest(entries: Iterable["Entry"], moment: datetime) -> datetime:
    """Return the latest time that was written, or a later moment; a time that can't be read, or lies far ahead of all
    that was written before, moves no clock and hinders no stop.
    """
    from bottlewright.logbook.day_jump import JUMP

    for entry in entries:
        try:
            at = datetime.fromisoformat(str(entry.get("at")))
        except ValueError:
            continue
        if at.tzinfo is None and at < moment + timedelta(seconds=JUMP):
            moment = max(moment, at)
    return moment
