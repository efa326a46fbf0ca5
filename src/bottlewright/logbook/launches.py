"""The files of launches: found by name, and added to in one step; a value that is put right stays in the file."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from bottlewright.errors import InputError
from bottlewright.logbook.files import Tables, canonical, flight_files, read_record, tables_of, write_record, writing
from bottlewright.logbook.records import FlightFile

__all__ = ["STAYED", "add_to_launch", "all_launches", "check_left", "checked", "launch_called", "launch_name",
           "launch_of", "number_in", "stayed", "write_launch"]  # fmt: skip

STAYED = "it did not leave: "
"""How a launch that was called off begins what was seen of it; why follows."""


def check_left(flight: FlightFile) -> None:
    """Refuse to measure a launch that was called off.

    Raises
    ------
    InputError
        With why it did not leave, and what would be right.
    """
    if why := stayed(flight):
        raise InputError(f"{launch_name(flight)} did not leave ({why}): nothing is measured of it. Its next try is a "
                         "launch of its own, begun when it is loaded again")


def stayed(flight: FlightFile) -> str:
    """Return why a launch did not leave; empty where it left, or may still leave. Nothing is measured of it."""
    seen = flight.seen or ""
    return seen.removeprefix(STAYED) if flight.at is None and not flight.counts and seen.startswith(STAYED) else ""


def number_in(flights: Iterable[FlightFile], flight: FlightFile) -> int | None:
    """Return which launch of its rocket on its day this is, from 1, as the day counts them; None of one that stayed.

    A misfire is no launch. The number in a file's name counts the files of a day, of all rockets.

    Parameters
    ----------
    flights
        All launches of the logbook.
    """
    if stayed(flight):
        return None
    mine = ((one.number, one.entry) for one in flights
            if (one.rocket, one.day) == (flight.rocket, flight.day) and not stayed(one))  # fmt: skip
    return sum(one < (flight.number, flight.entry) for one in mine) + 1


def launch_called(flights: Iterable[FlightFile], flight: FlightFile) -> str:
    """Return what people call a launch: rocket, number and day, such as "Curlew, launch 2 of 2027-03-20".

    Parameters
    ----------
    flights
        All launches of the logbook.
    """
    number = number_in(flights, flight)
    return f"{flight.rocket}, {'did not leave on' if number is None else f'launch {number} of'} {flight.day}"


def launch_name(flight: FlightFile) -> str:
    """Return day and number of a launch, such as "2027-03-20-03"."""
    return f"{flight.day}-{flight.number:02d}"


def all_launches(folder: Path) -> list[FlightFile]:
    """Return every launch of a logbook, the latest first.

    Raises
    ------
    DesignError
        When a file can't be read: with its line.
    """
    found = [read_record(path, FlightFile) for path in flight_files(folder)]
    return sorted(found, key=lambda one: (one.day, one.number, one.entry), reverse=True)


def launch_of(folder: Path, name: str) -> FlightFile:
    """Return one launch, by its entry or by day and number.

    Raises
    ------
    InputError
        When there is none, or several have that number.
    """
    return _found(folder, name)[1]


def _found(folder: Path, name: str) -> tuple[Path, FlightFile]:
    read = [(path, read_record(path, FlightFile)) for path in flight_files(folder)]
    meant = [one for one in read if one[1].entry == name] or [one for one in read if launch_name(one[1]) == name]
    if not meant:
        raise InputError(f"there is no launch {name}: `bottlewright log` lists them")
    if len(meant) > 1:
        raise InputError(f"{len(meant)} launches are called {name}, from different copies: say which by its entry, "
                         f"{' or '.join(sorted(one[1].entry for one in meant))}")  # fmt: skip
    return meant[0]


def write_launch(folder: Path, tables: Tables) -> FlightFile:
    """Write a new launch with the next number of its day; one whose entry is there already stays as it is."""
    from bottlewright.logbook.book import flight_file

    with writing(folder):
        known = all_launches(folder)
        same = next((one for one in known if one.entry == tables["entry"]), None)
        if same is not None:
            return same
        number = 1 + max((one.number for one in known if str(one.day) == str(tables["day"])), default=0)
        flight = FlightFile.model_validate({"number": number, **tables})
        write_record(flight_file(folder, flight), flight)
    return flight


def add_to_launch(
    folder: Path, name: str, lists: Mapping[str, Sequence[Tables]], values: Mapping[str, Any], at: str, by: str | None,
    withdrawn: Sequence[str] = (),
) -> FlightFile:  # fmt: skip
    """Add to a launch's file; it is on the disk when this returns.

    Parameters
    ----------
    lists
        Entries by list, each with a name of its own: one that is there already is not added again.
    values
        Single values by key, such as "loaded.water"; None takes one out. What stood there goes into ``corrected``.
    at, by
        When, and who writes it.
    withdrawn
        Entries and photos that were wrong.

    Raises
    ------
    InputError, DesignError
        When there is no such launch, its file can't be read, or what is added can't be taken: nothing is written.
    """
    with writing(folder):
        path, flight = _found(folder, name)
        tables = tables_of(flight)
        for key, entries in lists.items():
            _add(tables, key, entries)
        for key, value in values.items():
            _put_right(tables, key, value, at, by)
        if withdrawn:
            tables["withdrawn"] = sorted({*tables.get("withdrawn", []), *withdrawn})
        new = checked(tables)
        write_record(path, new)
    return new


def _add(tables: Tables, key: str, entries: Sequence[Tables]) -> None:
    had = list(tables.get(key, []))
    known = {one.get("entry") for one in had if isinstance(one, dict)}
    more = [one for one in entries if (one not in had if not isinstance(one, dict) else one["entry"] not in known)]
    tables[key] = [*had, *more]


def _put_right(tables: Tables, key: str, value: Any, at: str, by: str | None) -> None:
    *way, last = key.split(".")
    table = tables
    for part in way:
        table = table.setdefault(part, {})
    old = table.pop(last, None)
    if value is not None:
        table[last] = value
    if old is None or old == value:
        return
    said = tables.setdefault("corrected", [])
    before = [str(one.get("at", "")) for one in said if one["key"] == key]
    when = max([at, *((datetime.fromisoformat(one) + timedelta(milliseconds=1)).isoformat() for one in before if one)])
    words = {"key": key, "was": canonical(old), "now": None if value is None else canonical(value), "at": when,
             "by": by}  # fmt: skip
    tables["corrected"] = [*said, {name: word for name, word in words.items() if word is not None}]


def checked(tables: Tables) -> FlightFile:
    """Return a launch of tables, or say what is wrong with them."""
    from pydantic import ValidationError

    from bottlewright.design.validation_messages import problems_of

    given = {key: value for key, value in tables.items() if value not in ({}, [], None)}
    try:
        return FlightFile.model_validate(given)
    except ValidationError as error:
        raise InputError("\n".join(map(str, problems_of(error, given, FlightFile)))) from None
