"""Launches that were measured after the last one that something was learned from: each place that shows it says so."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from bottlewright.design.errors import DesignError
from bottlewright.design.learned import FIRING
from bottlewright.logbook.files import FOLDER, flight_files, read_record
from bottlewright.logbook.launches import launch_name
from bottlewright.logbook.measured import counted
from bottlewright.logbook.records import FlightFile

__all__ = ["newer_flights"]


class _Flown(NamedTuple):
    rocket: str
    name: str
    measured: bool


_KNOWN: dict[Path, tuple[tuple[int, int], _Flown | None]] = {}
"""Files that were read already, by what they were when they were: each change of a design asks."""


def newer_flights(beside: Path, rocket: str, learned: Sequence[str]) -> tuple[str, ...]:
    """Return the names of launches of a rocket that were measured and came after all that something was learned from.

    Parameters
    ----------
    beside
        The folder of the design.
    learned
        Names of the launches that something was learned from.
    """
    last = max((_when(one) for one in learned if not one.startswith(FIRING)), default=("", 0))
    found = (_flown(path) for path in flight_files(beside / FOLDER))
    return tuple(one.name for one in found
                 if one and one.rocket == rocket and one.measured and _when(one.name) > last)  # fmt: skip


def _when(name: str) -> tuple[str, int]:
    day, number = name[:10], name[11:]
    return day, int(number) if number.isdecimal() else 0


def _flown(path: Path) -> _Flown | None:
    """Return what a launch's file says of it; None where it can't be read, which the logbook itself says."""
    try:
        state = path.stat()
        mark = (state.st_mtime_ns, state.st_size)
        if path not in _KNOWN or _KNOWN[path][0] != mark:
            flight = read_record(path, FlightFile)
            _KNOWN[path] = mark, _Flown(flight.rocket, launch_name(flight), bool(counted(flight)))
    except (OSError, DesignError):
        return None
    return _KNOWN[path][1]
