"""The journal of a day: one line an entry, on the disk before it is acknowledged, never rewritten.

A line that a crash tore is closed when the next one is written, so that it spoils no other, and is reported whenever
the journal is read.
"""

import errno
import json
import math
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from bottlewright.design.writing import sync_folder
from bottlewright.system import whole_file_flags

__all__ = ["DAYS", "Entry", "Journal", "Torn", "append_bytes", "append_line", "append_lines", "day_files", "decoded",
           "journal_file", "journal_files", "read_journal"]  # fmt: skip

DAYS = "days"
"""Name of the journals' folder in a logbook."""

Entry = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Torn:
    """A line that can't be read: its number, from 1, and what is left of it."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Journal:
    """The entries of a day in the order of their lines, each once, and the lines that can't be read."""

    entries: tuple[Entry, ...]
    torn: tuple[Torn, ...]


def journal_file(folder: Path, day: str) -> Path:
    """Return where the journal of a day, such as "2027-03-20", lies in a logbook."""
    return folder / DAYS / f"{day}.jsonl"


def journal_files(folder: Path) -> list[Path]:
    """Return the journals of a logbook, the oldest first."""
    return sorted((folder / DAYS).glob("[!.]*.jsonl"))


def day_files(folder: Path) -> list[Path]:
    """Return the journals that are called by a day, the oldest first: with a copy beside them nobody goes on."""
    return [path for path in journal_files(folder) if _is_day(path.stem)]


def _is_day(name: str) -> bool:
    try:
        return date.fromisoformat(name).isoformat() == name
    except ValueError:
        return False


def append_line(path: Path, entry: Mapping[str, Any]) -> None:
    """Add one entry; see `append_lines`."""
    append_lines(path, [entry])


def append_lines(path: Path, entries: Iterable[Mapping[str, Any]], most: float = math.inf) -> None:
    """Add entries, all or none; when this returns, they are on the disk.

    The caller holds the logbook (`files.writing`): a torn line is closed first, and that takes a look and a write.

    Parameters
    ----------
    most
        Bytes that the journal may have with them.

    Raises
    ------
    OSError
        When they can't be written: none of them is there then.
    ValueError
        When one is no JSON.
    """
    lines = [json.dumps(dict(one), ensure_ascii=False, allow_nan=False).encode() + b"\n" for one in entries]
    append_bytes(path, b"".join(lines), most)


def append_bytes(path: Path, lines: bytes, most: float = math.inf) -> None:
    """Add whole lines as they are; see `append_lines`."""
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = not path.exists()
    handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | whole_file_flags(), 0o666)
    try:
        size = os.fstat(handle).st_size
        if size + len(lines) > most:
            raise OSError(errno.EFBIG, "the day has more entries than people write")
        if size and _last_byte(handle) != b"\n":
            lines = b"\n" + lines
        try:
            while lines:
                lines = lines[os.write(handle, lines) :]
            os.fsync(handle)
        except OSError:
            os.ftruncate(handle, size)
            raise
    finally:
        os.close(handle)
    if fresh:
        for one in (path.parent, path.parent.parent, path.parent.parent.parent):
            sync_folder(one)


def _last_byte(handle: int) -> bytes:
    os.lseek(handle, -1, os.SEEK_END)  # what is appended goes behind all the same
    return os.read(handle, 1)


def read_journal(path: Path) -> Journal:
    """Read the journal of a day; a day without one is empty.

    An entry that was sent twice has the same `entry` and the same words: it counts once.
    """
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return Journal((), ())
    entries: dict[str, Entry] = {}
    torn: list[Torn] = []
    for number, line in _lines(raw):
        entry = decoded(line)
        if entry is not None:
            entries.setdefault(json.dumps(entry, sort_keys=True), entry)
        else:
            torn.append(Torn(number, line.decode("utf-8", "replace")))
    return Journal(tuple(entries.values()), tuple(torn))


def decoded(line: bytes) -> Entry | None:
    """Return the entry of a line; None where it can't be read."""
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return entry if isinstance(entry, dict) else None


def _lines(raw: bytes) -> Iterator[tuple[int, bytes]]:
    for number, line in enumerate(raw.split(b"\n"), 1):
        if line.strip():
            yield number, line
