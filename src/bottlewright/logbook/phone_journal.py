"""What phones send, kept in the journal of the day on which it came, beside the events of the day's table.

`entries` says what such an entry may hold. It is a remark to the day: none of it moves a rocket or confirms a point.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from bottlewright.logbook.entries import from_a_phone
from bottlewright.logbook.files import FOLDER, writing
from bottlewright.logbook.journal import Entry, append_lines, journal_file, journal_files, read_journal

__all__ = ["PhoneJournal", "Read"]

MOST_BYTES = 5_000_000
"""Of a day, some 20 000 entries: a phone that sends without end fills no disk."""


class Read(NamedTuple):
    """What phones sent, in the order in which it came, each once, and how many lines of all could not be read."""

    entries: Sequence[Entry]
    torn: int


class PhoneJournal:
    """The entries of phones in the logbook beside the designs.

    Parameters
    ----------
    folder
        Of the designs.

    Attributes
    ----------
    folder
        The logbook's own.
    """

    def __init__(self, folder: Path, today: Callable[[], dt.date] = dt.date.today) -> None:
        self.folder, self._today = folder / FOLDER, today

    def read(self) -> Read:
        """Return what was sent on all days; a journal that can't be read at all counts as one line."""
        found: dict[str, Entry] = {}
        torn = 0
        for file in journal_files(self.folder):
            try:
                day = read_journal(file)
            except OSError:
                torn += 1
                continue
            torn += len(day.torn)
            for one in filter(from_a_phone, day.entries):
                found.setdefault(str(one["entry"]), one)
        return Read(list(found.values()), torn)

    def add(self, entries: Iterable[Entry]) -> None:
        """Add those that are not there yet, all or none; they are on the disk then.

        Raises
        ------
        OSError
            When they can't be written: none of them is there then.
        InputError
            When another program holds the logbook for long.
        """
        today = self._today().isoformat()  # before the logbook is held: whoever tells the time may wait for it
        with writing(self.folder):
            known = {str(one["entry"]) for one in self.read().entries}
            new = {str(one["entry"]): one for one in entries if str(one["entry"]) not in known}
            if new:
                append_lines(journal_file(self.folder, today), new.values(), MOST_BYTES)
