"""All of a logbook as one value, and two of them merged into one: nothing is lost, and what contradicts is a question.

A record is, for each single key, a set of values, and for each list a bag of entries: two launches of one day that
somebody wrote alike, without a name of their own, are two. Merging is the union of sets and of bags (of each entry the
larger number), so that it does not matter who merges with whom, in which order, or how often.
"""

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import BaseModel

from bottlewright.logbook.files import (
    Tables,
    canonical,
    check_folder,
    contest_file,
    contest_files,
    flight_files,
    read_record,
    tables_of,
    vessel_file,
    vessel_files,
    write_record,
    writing,
)
from bottlewright.logbook.journal import append_bytes, decoded, journal_file, journal_files
from bottlewright.logbook.raw import keep_raw, raw_files
from bottlewright.logbook.records import ContestFile, FlightFile, VesselFile

__all__ = ["Book", "Question", "flight_file", "merge_folders", "merged", "open_questions", "read_book", "write_book"]


@dataclass(frozen=True)
class Book:
    """A logbook: vessels by id, launches by entry, lines of journals and contests by day, loggers' files by name."""

    vessels: Mapping[str, Tables] = field(default_factory=dict)
    flights: Mapping[str, Tables] = field(default_factory=dict)
    days: Mapping[str, frozenset[bytes]] = field(default_factory=dict)
    raw: Mapping[str, bytes] = field(default_factory=dict)
    contests: Mapping[str, Tables] = field(default_factory=dict)


class Question(NamedTuple):
    """Two copies say different things: of which file, of what, and the values to choose from."""

    file: str
    what: str
    values: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.file}: {self.what}: {' or '.join(self.values)}?"


# --- merging --------------------------------------------------------------------------------------------------------


def merged(one: Book, other: Book) -> Book:
    """Return all that stands in one of two logbooks or in both."""
    return Book(
        _both(one.vessels, other.vessels, _merged_tables),
        _both(one.flights, other.flights, _merged_tables),
        _both(one.days, other.days, frozenset.union),
        _both(one.raw, other.raw, max),  # the same digest in the name: the same bytes, unless one was spoiled
        _both(one.contests, other.contests, _merged_tables),
    )


def _both(one: Mapping[str, Any], other: Mapping[str, Any], join: Callable[[Any, Any], Any]) -> dict[str, Any]:
    return {key: join(one[key], other[key]) if key in one and key in other else one.get(key, other.get(key))
            for key in sorted(one.keys() | other.keys())}  # fmt: skip


def _merged_tables(one: Tables, other: Tables) -> Tables:
    values: dict[str, set[str]] = {}
    lists: dict[str, Counter[str]] = {}
    for tables in map(_with_mended, (one, other)):
        own: dict[str, Counter[str]] = {}
        _take_apart(tables, values, own)
        lists = {name: lists.get(name, Counter()) | own.get(name, Counter()) for name in lists.keys() | own.keys()}
    return _put_together(values, lists)


def _take_apart(tables: Tables, values: dict[str, set[str]], lists: dict[str, Counter[str]], path: str = "") -> None:
    """Gather the values of each single key, and the entries of each list, as JSON."""
    for key, value in tables.items():
        name = f"{path}{key}"
        if name == "differs":
            for one in value:
                values.setdefault(one["key"], set()).add(one["value"])
        elif isinstance(value, dict):
            _take_apart(value, values, lists, f"{name}.")
        elif isinstance(value, list):
            lists.setdefault(name, Counter()).update(map(canonical, value))
        else:
            values.setdefault(name, set()).add(canonical(value))


_CAUTIOUS: Mapping[str, Callable[[Iterable[Any]], Any]] = {"opened": min, "earlier": max, "counts": min}
"""Which of several values stands in the file until somebody answers: the oldest bottle, the most used one."""


def _put_together(values: dict[str, set[str]], lists: Mapping[str, Counter[str]]) -> Tables:
    tables: Tables = {}
    differs = []
    _leave_out_corrected(values, lists.get("corrected", ()))
    for name, said in sorted(values.items()):
        read = sorted((json.loads(one) for one in said), key=canonical)
        chosen = _CAUTIOUS[name](read) if name in _CAUTIOUS else read[0]
        _put(tables, name.split("."), chosen)
        differs += [{"key": name, "value": canonical(one)} for one in read if one != chosen]
    for name, entries in sorted(lists.items()):
        if entries:
            _put(tables, name.split("."), sorted((json.loads(one) for one in entries.elements()), key=_by_time))
    return tables | ({"differs": differs} if differs else {})


def _with_mended(tables: Tables) -> Tables:
    """Return tables in which a value that was put right, and then mended in an editor, has a correction for that."""
    more, differing = [], {one["key"] for one in tables.get("differs", [])}
    latest = {one["key"]: one for one in sorted(tables.get("corrected", []), key=lambda one: str(one.get("at", "")))}
    for key, one in latest.items():
        value = _at(tables, key)
        said = None if value is None else canonical(value)
        if said != one.get("now") and key not in differing:
            later = (datetime.fromisoformat(one["at"]) + timedelta(milliseconds=1)).isoformat() if "at" in one else None
            mended = {"key": key, "was": one.get("now") or "null", "now": said, "at": later}
            more.append({name: word for name, word in mended.items() if word is not None})
    return {**tables, "corrected": [*tables["corrected"], *more]} if more else tables


def _at(tables: Any, key: str) -> Any:
    for part in key.split("."):
        tables = tables.get(part) if isinstance(tables, dict) else None
    return tables


def _leave_out_corrected(values: dict[str, set[str]], corrected: Iterable[str]) -> None:
    """Leave out each value that was put right and not put back since; it stays in the correction.

    Which values count follows from all values and all corrections together, in whatever order copies are merged: a
    value is out where the last correction that speaks of it took it away.
    """
    last: dict[str, dict[str, tuple[str, bool]]] = {}
    for one in map(json.loads, corrected):
        for value, counts in ((one["was"], False), (one.get("now"), True)):
            if value is not None:
                spoken = last.setdefault(one["key"], {})
                spoken[value] = max(spoken.get(value, ("", False)), (str(one.get("at", "")), counts))
    for key, spoken in last.items():
        out = {value for value, (_, counts) in spoken.items() if not counts}
        said = (values.pop(key, set()) | spoken.keys()) - out
        if said:
            values[key] = said


def _put(tables: Tables, names: list[str], value: Any) -> None:
    for name in names[:-1]:
        tables = tables.setdefault(name, {})
    tables[names[-1]] = value


def _by_time(entry: Any) -> tuple[str, str]:
    return (str(entry.get("at", "")) if isinstance(entry, dict) else "", canonical(entry))


def open_questions(book: Book) -> list[Question]:
    """Return what copies say differently: single values, and entries of one name with different words."""
    found: list[Question] = []
    for kind, records in (("vessels", book.vessels), ("flights", book.flights), ("contests", book.contests)):
        for name, tables in records.items():
            found += _questions(f"{kind}/{name}", tables)
    for day, lines in book.days.items():
        found += _twice(f"days/{day}", "entry", [entry for line in lines if (entry := decoded(line))])
    return found


def _questions(file: str, tables: Tables) -> Iterator[Question]:
    differs: dict[str, list[str]] = {}
    for one in tables.get("differs", []):
        differs.setdefault(one["key"], []).append(one["value"])
    for key, others in sorted(differs.items()):
        yield Question(file, key, (canonical(_at(tables, key)), *sorted(others)))
    for key, entries in tables.items():
        if isinstance(entries, list) and key != "differs":
            yield from _twice(file, key, [entry for entry in entries if isinstance(entry, dict)])


def _twice(file: str, key: str, entries: list[Any]) -> Iterator[Question]:
    said: dict[str, set[str]] = {}
    for entry in entries:
        if entry.get("entry") and entry.get("ended") != "begun":  # that it began contradicts no way of ending
            said.setdefault(str(entry["entry"]), set()).add(canonical(entry))
    for name, words in sorted(said.items()):
        if len(words) > 1:
            yield Question(file, f"{key} {name}", tuple(sorted(words)))


# --- a folder -------------------------------------------------------------------------------------------------------


def read_book(folder: Path) -> Book:
    """Read all of a logbook; a folder that is not there is an empty one.

    Raises
    ------
    DesignError
        When a file can't be read: with its line.
    InputError
        When something else lies in its place.
    """
    check_folder(folder)
    vessels: dict[str, Tables] = {}
    flights: dict[str, Tables] = {}
    for path in vessel_files(folder):
        vessels[path.stem] = _normal(read_record(path, VesselFile))
    for path in flight_files(folder):
        tables = _normal(read_record(path, FlightFile))
        known = flights.get(tables["entry"])
        flights[tables["entry"]] = tables if known is None else _merged_tables(known, tables)
    days = {path.stem: frozenset(line for line in path.read_bytes().split(b"\n") if line.strip())
            for path in journal_files(folder)}  # fmt: skip
    raw = {path.name: path.read_bytes() for path in raw_files(folder)}
    contests = {path.stem: _normal(read_record(path, ContestFile)) for path in contest_files(folder)}
    return Book(vessels, flights, days, raw, contests)


def _normal(record: BaseModel) -> Tables:
    return _merged_tables(tables_of(record), {})


def flight_file(folder: Path, flight: FlightFile) -> Path:
    """Return where the file of a launch lies, or where a new one would, beside others of the same number."""
    known = _places(folder).get(flight.entry)
    if known:
        return known
    words = "".join(letter if letter.isalnum() else " " for letter in flight.rocket.lower()).split()
    name = f"{flight.day}-{flight.number:02d}-{'-'.join(words)[:40] or 'rocket'}"
    place = folder / "flights" / f"{name}.toml"
    return place.with_name(f"{name}-{flight.entry}.toml") if place.exists() else place


def _places(folder: Path) -> dict[str, Path]:
    return {read_record(path, FlightFile).entry: path for path in flight_files(folder)}


def write_book(folder: Path, book: Book) -> None:
    """Add to a folder what it lacks of a logbook; comments stay, and no file is replaced by another's.

    The caller holds the logbook (`files.writing`).
    """
    for name, content in book.raw.items():
        if not (folder / "raw" / name).exists():
            keep_raw(folder, name.partition("-")[2], content)
    for day, lines in book.days.items():
        path = journal_file(folder, day)
        had = set(path.read_bytes().split(b"\n")) if path.exists() else set()
        lacking = [line for line in sorted(lines, key=_line_time) if line not in had]
        if lacking:
            append_bytes(path, b"\n".join(lacking) + b"\n")
    for name, tables in book.vessels.items():
        write_record(vessel_file(folder, name), VesselFile.model_validate(tables))
    for day, tables in book.contests.items():
        write_record(contest_file(folder, day), ContestFile.model_validate(tables))
    for tables in book.flights.values():
        flight = FlightFile.model_validate(tables)
        write_record(flight_file(folder, flight), flight)


def _line_time(line: bytes) -> tuple[str, bytes]:
    entry = decoded(line)
    return (str(entry.get("at", "")) if entry else "", line)


def merge_folders(folder: Path, other: Path) -> list[Question]:
    """Bring into a logbook all that another copy has; return what the two say differently.

    The other one is read and stays as it is.

    Raises
    ------
    DesignError
        When a file of either can't be read; nothing is written then.
    """
    theirs = read_book(other)
    with writing(folder):
        both = merged(read_book(folder), theirs)
        write_book(folder, both)
    return open_questions(both)
