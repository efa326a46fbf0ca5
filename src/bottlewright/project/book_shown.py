"""The logbook of a folder as its page shows it, read again only when one of its files is another."""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bottlewright.logbook.records import FlightFile
    from bottlewright.logbook.words import BookLines

__all__ = ["book_shown", "book_state", "counts_beside", "flights_shown", "flown_of"]

State = tuple[tuple[str, int, int], ...]


def book_state(folder: Path) -> State:
    """Return which files the logbook of a folder of designs has, and how they stand: another where one changed.

    What was learned is left out, as it is made from the rest.
    """
    from bottlewright.logbook.files import FOLDER

    return tuple(one for one in _state(folder, f"{FOLDER}/*/*") if not one[0].startswith(f"{FOLDER}/learned/"))


def counts_beside(folder: Path) -> tuple[object, ...]:
    """Return what changes with all beside the designs that counts in their verdicts: the day, bottles' files, what was
    learned, maps, and bottles that held too much.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.held import all_held_too_much
    from bottlewright.proof.judged_day import today

    beside = _state(folder, f"{FOLDER}/vessels/*", f"{FOLDER}/learned/*", "*.geojson", "*.json")
    return today(), beside, all_held_too_much(folder / FOLDER)


def _state(folder: Path, *patterns: str) -> State:
    found = []
    for path in sorted(one for pattern in patterns for one in folder.glob(pattern)):
        if path.is_file():
            at = path.stat()
            found.append((path.relative_to(folder).as_posix(), at.st_mtime_ns, at.st_size))
    return tuple(found)


def book_shown(folder: Path) -> "BookLines":
    """Return bottles, launches and what is open in the logbook beside the designs of a folder.

    Raises
    ------
    DesignError
        When a file of it can't be read: with its line.
    """
    return _shown(folder, book_state(folder))


@lru_cache(4)
def _shown(folder: Path, _: State) -> "BookLines":
    from bottlewright.logbook.words import book_lines
    from bottlewright.project.logbook import Logbook

    logbook = Logbook(folder)
    return book_lines(logbook.read(), logbook.folder)


def flights_shown(folder: Path) -> "list[FlightFile]":
    """Return every launch of the logbook of a folder of designs, the latest first. Raises as `book_shown` does."""
    from bottlewright.logbook.files import FOLDER

    return _flights(folder, _state(folder, f"{FOLDER}/flights/*"))


@lru_cache(4)
def _flights(folder: Path, _: State) -> "list[FlightFile]":
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import all_launches

    return all_launches(folder / FOLDER)


def flown_of(folder: Path, rocket: str) -> tuple[int, int]:
    """Return how many launches of a rocket stand in the logbook, and of how many something was measured. Raises as
    `book_shown` does.
    """
    mine = [one for one in book_shown(folder).launches if one.rocket == rocket]
    return len(mine), sum(bool(one.measured) for one in mine)
