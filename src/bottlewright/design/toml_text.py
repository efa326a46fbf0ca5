"""Read TOML that a person wrote by hand: mend what can be meant in one way only, find every mistake of the rest.

A file is taken apart into statements, a table's header or a key with its value, which may run over several lines. Each
is read by itself, so that one mistake hides no other; then tables and keys that stand twice are looked for.
"""

import re
import tomllib
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from bottlewright.design.errors import Problem
from bottlewright.design.toml_mistakes import explain
from bottlewright.errors import BottlewrightError

__all__ = ["Header", "TomlText", "TooDeepError", "header_of", "read_toml", "statement_end"]

_DEEP = re.compile(r"(?:[\w\"'-]{1,80}\s*\.\s*){12}")  # dotted keys this deep are nothing by hand, and slow to parse
_HEADER = re.compile(r"\s*(\[\[?)([^\[\]#]+)\]\]?\s*(?:#.*)?$")
_NEXT = re.compile(r"\s*(?:\[\[?[\w.\s-]+\]\]?\s*(?:#.*)?$|[\w.-]+\s*=)")
_PART = re.compile(r"\"((?:[^\"\\]|\\.)*)\"|'([^']*)'|([\w-]+)")
_NAMELESS = "\0"  # starts the name of a table whose own name can't be read
_MOST = 200  # mistakes told

_DOUBLE = str.maketrans(dict.fromkeys("„“”‟″", '"'))
_SINGLE = str.maketrans(dict.fromkeys("‘’‚‛′", "'"))
_SPACES = dict.fromkeys((160, 5760, *range(8192, 8203), 8239, 8287, 12288), " ")
_NOTHING = dict.fromkeys((0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF), "")


class TooDeepError(BottlewrightError, ValueError):
    """The text holds a number too long or keys too deep to be anything that a person wrote."""


class TomlText(NamedTuple):
    """What was read of a TOML text.

    Parameters
    ----------
    data
        The tables, without what could not be read.
    problems
        Every mistake, with its line.
    unread
        Paths of the keys that are not in `data` although they were written; None when not all of them are known.
    notes
        What was mended, in words.
    text
        The text with that mended.
    """

    data: dict[str, Any]
    problems: list[Problem]
    unread: set[tuple[str | int, ...]] | None
    notes: list[str]
    text: str


class Header(NamedTuple):
    """A table's header: its name part by part, and whether it begins one more entry of a list, [[so]]."""

    name: tuple[str, ...]
    block: bool


@dataclass
class _Reading:
    """The text as it is being read: lines that are kept, and what was found."""

    lines: list[str]
    problems: list[Problem] = field(default_factory=list)
    unread: set[tuple[str | int, ...]] | None = field(default_factory=set)
    mended: dict[str, list[int]] = field(default_factory=dict)
    firsts: dict[tuple[str | int, ...], int] = field(default_factory=dict)  # line of each table and key
    counts: dict[tuple[str | int, ...], int] = field(default_factory=dict)  # of the blocks of each [[table]]
    table: tuple[str | int, ...] = ()
    lost: bool = False  # the keys of this table are left out: it stands twice, or its name can't be read

    def drop(self, first: int, last: int, problem: Problem | None) -> None:
        """Take lines out, for a reason."""
        self.lines[first:last] = [""] * (last - first)
        if problem is not None:
            self.problems.append(problem)

    def lose(self, path: tuple[str | int, ...] | None) -> None:
        """Remember a key that could not be read; None: nobody knows which."""
        if path is None:
            self.unread = None
        elif self.unread is not None:
            self.unread.add(path)


def read_toml(text: str) -> TomlText:
    """Read a TOML text, mended where there is one way to; see `TomlText`.

    Raises
    ------
    TooDeepError
        If it is no text that a person wrote.
    """
    if _DEEP.search(text):
        raise TooDeepError
    try:
        return TomlText(tomllib.loads(text), [], set(), [], text)
    except tomllib.TOMLDecodeError:
        return _piece_by_piece(text)
    except (ValueError, RecursionError):
        raise TooDeepError from None


def _piece_by_piece(text: str) -> TomlText:
    reading = _Reading(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
    number = 0
    while number < len(reading.lines) and len(reading.problems) < _MOST:
        last = statement_end(reading.lines, number)
        statement = "\n".join(reading.lines[number:last])
        if statement.strip() and not statement.lstrip().startswith("#"):
            _read_statement(reading, statement, number, last)
        number = last
    kept = "\n".join(reading.lines)
    if len(reading.problems) >= _MOST:
        reading.problems.append(Problem("", f"has more mistakes than these {_MOST}"))
        return TomlText({}, reading.problems, None, [], text)
    try:
        data = tomllib.loads(kept)
    except tomllib.TOMLDecodeError as error:
        reading.problems.append(_clash(str(error)))
        data, reading.unread = {}, None
    except (ValueError, RecursionError):
        raise TooDeepError from None
    notes = [f"{what} (line {', '.join(map(str, lines[:12]))}{' …' if len(lines) > 12 else ''})"
             for what, lines in reading.mended.items()]  # fmt: skip
    return TomlText(data, reading.problems, reading.unread, notes, kept)


def _clash(message: str) -> Problem:
    line = re.search(r"line (\d+)", message)
    return Problem("", "says again what an earlier line says in another way",
                   "write a table either as [table] or as a key with { }, once", int(line[1]) if line else 0)


def statement_end(lines: list[str], first: int) -> int:
    """Return the line behind a statement: it goes on while a bracket or a text of several lines is open."""
    if lines[first].lstrip().startswith(("[", "#")):
        return first + 1
    last, (depth, quotes) = first + 1, _open(lines[first], 0, "")
    while (depth > 0 or quotes) and last < len(lines) and (quotes or not _NEXT.match(lines[last])):
        depth, quotes = _open(lines[last], depth, quotes)
        last += 1
    return last if not quotes or last - first < 2 else _without_end(lines, first, last)


def _without_end(lines: list[str], first: int, last: int) -> int:
    """Return the end of a statement whose text of several lines never ends: its own line, so that the rest is read."""
    return next((number for number in range(first + 1, last) if _NEXT.match(lines[number])), last)


_TOKEN = re.compile(r'"""|\'\'\'|"(?:[^"\\]|\\.)*"|\'[^\']*\'|[\[\]{}#]')


def _open(line: str, depth: int, quotes: str) -> tuple[int, str]:
    """Return how many brackets are open behind a line, and the triple quotes that are."""
    at = 0
    while at < len(line):
        if quotes:
            end = line.find(quotes, at)
            if end < 0:
                return depth, quotes
            at, quotes = end + 3, ""
            continue
        token = _TOKEN.search(line, at)
        if token is None or token[0] == "#":
            break
        at = token.end()
        if token[0] in ('"""', "'''"):
            quotes = token[0]
        elif token[0] in "[{":
            depth += 1
        elif token[0] in "]}":
            depth -= 1
    return depth, quotes


def _read_statement(reading: _Reading, statement: str, first: int, last: int) -> None:
    try:
        statement = _mended(reading, statement, first, last)
    except tomllib.TOMLDecodeError as error:
        _refuse(reading, statement, first, last, str(error))
        return
    except (ValueError, RecursionError):
        raise TooDeepError from None
    if header := header_of(statement):
        _enter(reading, header.name, header.block, first)
    else:
        _note_key(reading, _parts(statement.partition("=")[0]), first, last)


def _mended(reading: _Reading, statement: str, first: int, last: int) -> str:
    """Return a statement that reads, mended where it has to be; what it is mended with is kept in mind."""
    spaced = statement.translate(_SPACES | _NOTHING)
    quoted = spaced.translate(_DOUBLE)
    tries = [
        (statement, ""), (spaced, "a space that is no plain space is read as one"),
        *((text, "curly quotes are read as straight ones") for text in (quoted, quoted.translate(_SINGLE))),
    ]
    wrong: list[tomllib.TOMLDecodeError] = []
    for text, what in tries:
        try:
            tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            wrong.append(error)
            continue
        if what:
            reading.mended.setdefault(what, []).append(first + 1)
            reading.lines[first:last] = text.split("\n")
        return text
    raise wrong[0]


def _refuse(reading: _Reading, statement: str, first: int, last: int, message: str) -> None:
    why, right = explain(statement, message)
    parts = _parts(statement.partition("=")[0]) if re.match(r"\s*[\w.\"'-]+\s*=", statement) else ()
    path = (*reading.table, *parts) if parts and all(parts) else None
    reading.lose(path)
    reading.drop(first, last, Problem(_shown(path or ()), why, right, first + 1))
    if statement.lstrip().startswith("["):  # whose keys follow, nobody knows
        reading.table, reading.lost = (f"{_NAMELESS}{first}",), True


def _shown(path: tuple[str | int, ...]) -> str:
    return ".".join(str(part) for part in path if not str(part).startswith(_NAMELESS))


def header_of(statement: str) -> Header | None:
    """Return the header that a statement is; None for a key with its value."""
    header = _HEADER.match(statement)
    return Header(_parts(header[2]), header[1] == "[[") if header else None


def _parts(text: str) -> tuple[str, ...]:
    return tuple(next((part for part in found if part), "") for found in _PART.findall(text))


def _enter(reading: _Reading, name: tuple[str, ...], block: bool, line: int) -> None:
    """Go on with the table of a header; one that stands twice is no second table."""
    path = _placed(reading, name)
    if block:
        reading.counts[path] = reading.counts.get(path, -1) + 1
        reading.table, reading.lost = (*path, reading.counts[path]), False
        return
    reading.table, reading.lost = path, path in reading.firsts
    if reading.lost:
        shown = ".".join(name)
        why = f"is written twice: [{shown}] stands first in line {reading.firsts[path]}"
        right = "put all its keys under one header" + (", or write [[mass]] for each" if shown == "mass" else "")
        reading.drop(line, line + 1, Problem(shown, why, right, line + 1))
    reading.firsts.setdefault(path, line + 1)


def _placed(reading: _Reading, name: tuple[str, ...]) -> tuple[str | int, ...]:
    """Return the path of a table's name; inside the blocks of a [[table]] it belongs to the last of them."""
    path: tuple[str | int, ...] = ()
    for number, part in enumerate(name):
        path = (*path, part)
        if path in reading.counts and number < len(name) - 1:
            path = (*path, reading.counts[path])
    return path


def _note_key(reading: _Reading, name: tuple[str, ...], first: int, last: int) -> None:
    path = (*reading.table, *name)
    if path in reading.firsts:
        why = f"is written twice, first in line {reading.firsts[path]}"
        reading.drop(first, last, Problem(_shown(path), why, "keep one of the two", first + 1))
    elif reading.lost:
        reading.drop(first, last, None)
        reading.lose(path)
    reading.firsts.setdefault(path, first + 1)
