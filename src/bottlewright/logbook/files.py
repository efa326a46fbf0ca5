"""Read and write the TOML files of the logbook: read by hand as by program, refused with the line, comments kept."""

import contextlib
import json
import os
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

import tomlkit
from pydantic import BaseModel, ValidationError

from bottlewright.design.entries import with_entry
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.reading import placed
from bottlewright.design.text_files import TextFileError, read_text_file
from bottlewright.design.toml_text import TooDeepError, read_toml
from bottlewright.design.validation_messages import problems_of
from bottlewright.design.writing import write_new, write_over
from bottlewright.errors import InputError
from bottlewright.logbook.records import LATEST, ContestFile, FlightFile, VesselFile

__all__ = [
    "FOLDER", "Migrations", "Tables", "canonical", "check_folder", "contest_file", "contest_files", "flight_files",
    "in_the_way", "parse_record", "read_record", "tables_of", "text_with", "vessel_file", "vessel_files",
    "write_record", "writing",
]  # fmt: skip

FOLDER = "logbook"
"""Name of the logbook's folder, beside the designs."""

Tables = dict[str, Any]
"""A record as plain tables: what TOML and JSON hold."""
Migrations = Mapping[int, Callable[[Tables], Tables]]
"""By version: what makes tables of the next version of those of this one."""

MIGRATIONS: Migrations = {}
"""None yet: 1 is the first version."""

_MOST = 1_000_000  # bytes of one file
_PATIENCE = 20.0  # s, that one writer waits for another
Record = TypeVar("Record", bound=BaseModel)


def vessel_file(folder: Path, name: str) -> Path:
    """Return where the file of a vessel lies, or would, in a logbook."""
    return folder / "vessels" / f"{name}.toml"


def in_the_way(path: Path) -> str:
    """Return why no file can be begun at a path of the logbook where none can be read, in words; empty where one can.

    Parameters
    ----------
    path
        A file of a folder of the logbook, such as `vessel_file` gives it.
    """
    for place in (path.parent.parent, path.parent):
        if os.path.lexists(place) and not place.is_dir():
            what = "a link that leads nowhere" if place.is_symlink() and not place.exists() else "a file"
            return f"{_shown(place)} is {what}, where the logbook has a folder; give it another name"
    if not os.path.lexists(path) or path.is_file():
        return ""
    what = "a link that leads nowhere" if path.is_symlink() and not path.exists() else "no file"
    return f"{_shown(path)} is {what}; take it away, or put the bottle's file there"


def _shown(path: Path) -> str:
    """Return a path from the folder of the designs on."""
    parts = path.parts
    return "/".join(parts[len(parts) - 1 - parts[::-1].index(FOLDER) :] if FOLDER in parts else parts[-1:])


def vessel_files(folder: Path) -> list[Path]:
    """Return the files of all vessels of a logbook."""
    return sorted((folder / "vessels").glob("[!.]*.toml"))


def flight_files(folder: Path) -> list[Path]:
    """Return the files of all launches of a logbook, the oldest first."""
    return sorted((folder / "flights").glob("[!.]*.toml"))


def contest_file(folder: Path, day: str) -> Path:
    """Return where the file of a day's contest lies, or would, in a logbook."""
    return folder / "contests" / f"{day}.toml"


def contest_files(folder: Path) -> list[Path]:
    """Return the files of all contests of a logbook, the oldest first."""
    return sorted((folder / "contests").glob("[!.]*.toml"))


def read_record(path: Path, model: type[Record]) -> Record:
    """Read one file of the logbook.

    Raises
    ------
    DesignError
        With everything that is wrong in it, each with its line.
    """
    try:
        text = read_text_file(path, _MOST, "a file of the logbook").text
    except TextFileError as error:
        raise DesignError([Problem("", error.why, error.right)], str(path)) from None
    try:
        record = parse_record(text, model)
    except DesignError as error:
        raise DesignError(error.problems, str(path)) from None
    named = {VesselFile: ("id", "the id is on the bottle"), ContestFile: ("day", "it is of one day")}.get(model)
    if named and str(getattr(record, named[0])) != path.stem:
        why = f"is {str(getattr(record, named[0]))!r}, and the file is called {path.name}"
        raise DesignError(placed([Problem(named[0], why, f"make the two one: {named[1]}")], text), str(path))
    return record


def parse_record(text: str, model: type[Record], migrations: Migrations = MIGRATIONS, latest: int = LATEST) -> Record:
    """Read a text as a record, brought up to the version of today.

    Raises
    ------
    DesignError
        With everything that is wrong, each with its line.
    """
    try:
        read = read_toml(text)
    except TooDeepError:
        raise DesignError([Problem("", "holds a number too long or keys too deep to be read")]) from None
    if read.problems:
        raise DesignError(placed(read.problems, text))
    data = read.data
    version = data.get("schema", 1)
    if not isinstance(version, int) or isinstance(version, bool) or not 1 <= version <= latest:
        why = f"is {version!r}"
        raise DesignError(placed([Problem("schema", why, f"this program reads 1 to {latest}: use a newer one")], text))
    for older in range(version, latest):
        data = migrations[older](data)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise DesignError(placed(problems_of(error, data, model), text)) from None


def tables_of(record: BaseModel) -> Tables:
    """Return a record as plain tables, without what is left out."""
    return {key: value for key, value in record.model_dump(by_alias=True, exclude_none=True).items()
            if value not in ({}, [])}  # fmt: skip


def text_with(text: str, had: Tables, wanted: Tables) -> str:
    """Return a file's text with what it lacks of the wanted tables; comments and order stay.

    Entries are added behind the last of their list; single values are put in their place. Nothing is taken out but
    single values that are not wanted any more.
    """
    document: Any = tomlkit.parse(text)
    _put_values(document, had, wanted)
    text = tomlkit.dumps(document)
    for key, entries in wanted.items():
        if _is_list(entries):
            known = Counter(map(canonical, had.get(key, [])))
            for entry in entries:
                if known[canonical(entry)]:
                    known[canonical(entry)] -= 1
                else:
                    text = with_entry(text, key, entry)
    return text


def _is_list(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def canonical(value: Any) -> str:
    """Return a value as JSON in which equal values are equal letters."""
    return json.dumps(value, sort_keys=True, ensure_ascii=False)


def _put_values(document: Any, had: Tables, wanted: Tables) -> None:
    for key in had.keys() - wanted.keys():
        if not _is_list(had[key]):
            document.pop(key, None)
    for key, value in wanted.items():
        if _is_list(value) or had.get(key) == value:
            continue
        if isinstance(value, dict):
            if key not in document:
                document[key] = tomlkit.table()
            _put_values(document[key], had.get(key, {}), value)
        else:
            document[key] = _written(value)


def _written(value: Any) -> Any:
    if isinstance(value, str) and "\n" in value:
        return tomlkit.string(value, multiline=True)
    return tomlkit.item(value)


def new_text(tables: Tables, says: str) -> str:
    """Return the text of a new file, single values first, under a line that says what it is."""
    document = tomlkit.document()
    document.add(tomlkit.comment(says))
    for key, value in sorted(tables.items(), key=lambda item: isinstance(item[1], dict) or _is_list(item[1])):
        if isinstance(value, dict):
            table = tomlkit.table()
            for name, one in value.items():
                table[name] = _written(one)
            document[key] = table
        elif not _is_list(value):
            document[key] = _written(value)
    text = tomlkit.dumps(document)
    for key, entries in tables.items():
        if _is_list(entries):
            for entry in entries:
                text = with_entry(text, key, entry)
    return text


_SAYS: Mapping[type[BaseModel], str] = {
    VesselFile: "All that happened to one bottle. docs/logbook.md says every key.",
    ContestFile: "A contest: teams, rounds and rule. docs/logbook.md says every key.",
    FlightFile: "One launch as it was. docs/logbook.md says every key.",
}


def write_record(path: Path, record: BaseModel) -> None:
    """Put a record into its file in one step: a new file, or what is new in it added to the old one.

    Raises
    ------
    DesignError
        If the file that is there can't be read: it stays as it is.
    """
    model = type(record)
    wanted = tables_of(record)
    if not path.exists():
        text = new_text(wanted, _SAYS[model])
        _same(text, record)
        write_new(path, text)
        return
    had = tables_of(read_record(path, model))
    if had == wanted:
        return
    text = text_with(read_text_file(path, _MOST).text, had, wanted)
    _same(text, record)
    write_over(path, text)


def _same(text: str, record: BaseModel) -> None:
    """Make sure that what will be written reads back as what was meant."""
    read, meant = tables_of(parse_record(text, type(record))), tables_of(record)
    if _unordered(read) != _unordered(meant):
        raise InputError("the entry can't be added to the file as it stands: look at the file")


def _unordered(tables: Tables) -> Tables:
    return {key: sorted(map(canonical, value)) if _is_list(value) else value for key, value in tables.items()}


def check_folder(folder: Path) -> None:
    """Refuse a logbook in whose place lies something else.

    Raises
    ------
    InputError
        With what it is.
    """
    if why := in_the_way(folder / "vessels" / "any"):
        raise InputError(why)


@contextlib.contextmanager
def writing(folder: Path) -> Iterator[None]:
    """Hold the logbook for one writer at a time; a killed writer holds nothing."""
    from filelock import FileLock, Timeout

    check_folder(folder)
    folder.mkdir(parents=True, exist_ok=True)
    lock = FileLock(folder / ".lock")
    try:
        lock.acquire(timeout=_PATIENCE)
    except Timeout:
        raise InputError(f"another program has been writing into {folder} for {_PATIENCE:.0f} s; try again") from None
    try:
        yield
    finally:
        lock.release()
