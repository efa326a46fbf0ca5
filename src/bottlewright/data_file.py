"""The tables that come with the program, read so that a slip of the pen is told with file, line and row.

Whoever knows no programming may edit them. What is wrong in one is a `DataFileError`: which file, which line, which
row, what is missing or can't be read, and what it may have meant.
"""

import contextlib
import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from difflib import get_close_matches
from importlib.resources import files
from typing import Any, TypeVar

from bottlewright.errors import BottlewrightError

__all__ = ["DataFileError", "Row", "data_file", "each", "text_of"]

T = TypeVar("T")

_HEAD = re.compile(r"^\s*(\[\[?)\s*([^\]]+?)\s*\]\]?")
_NAMES = ("name", "id", "key", "word", "code", "shape", "title", "force", "failure", "what")
"""Columns that a row may be called by."""


class DataFileError(BottlewrightError):
    """A table of the program can't be used; the message says where and why."""


class Row(dict[str, Any]):
    """A table or a row of one: a `dict` that says where it stands when something is missing.

    Parameters
    ----------
    place
        File, line and name, for messages.
    """

    def __init__(self, values: dict[str, Any], place: str) -> None:
        super().__init__(values)
        self.place = place

    def __missing__(self, key: str) -> Any:
        """Say that a column is missing, and which one may have been meant."""
        near = get_close_matches(str(key), self, 1, 0.6)
        hint = f"is {near[0]} meant for it?" if near else f"it has {', '.join(self)}" if self else "it is empty"
        raise DataFileError(f"{self.place}: {key} is missing; {hint}")

    @contextlib.contextmanager
    def checked(self) -> Iterator[None]:
        """Tell the place of whatever goes wrong inside while this row is read."""
        try:
            yield
        except DataFileError:
            raise
        except KeyError as error:
            raise DataFileError(f"{self.place}: {error.args[0]} is not known here") from None
        except TypeError as error:
            raise DataFileError(f"{self.place}: {_not_taken(str(error))}") from None
        except (ValueError, AttributeError, BottlewrightError) as error:
            raise DataFileError(f"{self.place}: {error}") from None

    def read(self, column: str, read: Callable[..., T], *more: Any) -> T:
        """Return a column read by a function of its text, such as ``row.read("volume", parse_quantity, VOLUME)``.

        Raises
        ------
        DataFileError
            With place and column.
        """
        try:
            return read(self[column], *more)
        except (ValueError, TypeError, AttributeError) as error:
            raise DataFileError(f"{self.place}: {column} {error}") from None

    def filled(self, usual: dict[str, Any]) -> "Row":
        """Return the row with what it leaves out taken from another."""
        return Row({**usual, **self}, self.place)

    def only(self, *columns: str) -> None:
        """Refuse a column that nobody reads, such as a misspelt one.

        Raises
        ------
        DataFileError
            With the column, and what it may have meant.
        """
        for key in self:
            if key not in columns:
                near = get_close_matches(key, columns, 1, 0.6)
                hint = f"is {near[0]} meant?" if near else f"there are {', '.join(columns)}"
                raise DataFileError(f"{self.place}: there is no column {key}; {hint}")


def text_of(package: str, name: str) -> str:
    """Return a table's text as it lies on the disk."""
    try:
        return (files(f"bottlewright.{package}") / "data" / f"{name}.toml").read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise DataFileError(f"{_path(package, name)}: byte {error.start} is no UTF-8; save the file as UTF-8") from None


def data_file(package: str, name: str) -> Row:
    """Return a table of the program.

    Parameters
    ----------
    package, name
        Where it lies: ``data_file("proof", "rules")`` is proof/data/rules.toml.

    Raises
    ------
    DataFileError
        When it is no TOML.
    """
    path, text = _path(package, name), text_of(package, name)
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataFileError(_no_toml(path, text, str(error))) from None
    heads = _heads(text)
    return Row({key: _placed(value, path, key, heads, 0) for key, value in tables.items()}, path)


def each(rows: Iterable[Row], read: Callable[[Row], T]) -> list[T]:
    """Read rows one by one; what goes wrong in one is told with its place."""
    found = []
    for row in rows:
        with row.checked():
            found.append(read(row))
    return found


def _not_taken(error: str) -> str:
    """Return what is wrong with the columns that a row was made from."""
    unknown = re.search(r"unexpected keyword argument '(\w+)'", error)
    missing = re.search(r"missing \d+ required [a-z -]+: (.*)", error)
    return f"there is no column {unknown[1]}" if unknown else f"{missing[1]} is missing" if missing else error


def _path(package: str, name: str) -> str:
    return f"bottlewright/{package.replace('.', '/')}/data/{name}.toml"


def _placed(value: Any, path: str, key: str, heads: Mapping[str, list[int]], number: int) -> Any:
    """Return tables as rows that know their place."""
    if isinstance(value, dict):
        line = _line_of(heads.get(key, []), number)
        called = next((str(value[one]) for one in _NAMES if isinstance(value.get(one), str | int)), key)
        place = f"{path}, line {line}, {called}" if line else f"{path}, {called}"
        return Row({name: _placed(one, path, f"{key}.{name}", heads, number) for name, one in value.items()}, place)
    if isinstance(value, list):
        rows = [_placed(one, path, key, heads, at) for at, one in enumerate(value)]
        _once(rows)
        return rows
    return value


def _once(rows: list[Any]) -> None:
    """Refuse two rows of one name: the second would silently take the place of the first."""
    for column in ("name", "id", "code"):
        seen: dict[str, Row] = {}
        for row in rows:
            if isinstance(row, Row) and isinstance(name := row.get(column), str):
                if name in seen:
                    raise DataFileError(f"{row.place}: the {column} {name} stands here and at {seen[name].place}")
                seen[name] = row


def _heads(text: str) -> dict[str, list[int]]:
    """Return the lines with the heads of tables, by what stands in the head."""
    heads: dict[str, list[int]] = {}
    for line, words in enumerate(text.splitlines(), 1):
        if found := _HEAD.match(words):
            heads.setdefault(found[2], []).append(line)
    return heads


def _line_of(heads: list[int], number: int) -> int:
    """Return the line of the head of a table, of the row with this number of an array of them; 0 where it has none."""
    return heads[number] if number < len(heads) else heads[0] if len(heads) == 1 else 0


def _no_toml(path: str, text: str, error: str) -> str:
    found = re.search(r"line (\d+)", error)
    line = int(found[1]) if found else len(text.splitlines())
    lines = text.splitlines()
    words = lines[line - 1].strip() if 0 < line <= len(lines) else ""
    why = re.sub(r" \(at .*\)$", "", error)
    hint = "a text stands between two quotes, and its last quote may be missing"
    value = words.partition("=")[2].strip()
    if re.match(r"[\d+.-]", value):
        hint = 'a number with a unit is a text, with quotes around it, such as "9 mm"'
    elif value and value[0] not in "\"'[{" and value not in ("true", "false"):
        hint = 'a text needs quotes around it, such as "9 mm"'
    elif "Cannot overwrite" in why:
        hint = "the same name stands twice in one row"
    return f"{path}, line {line}, reads: {words[:80]}\nThat is no TOML ({why}): {hint}"
