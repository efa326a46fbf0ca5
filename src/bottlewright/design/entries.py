"""Entries of a list of tables, such as [[mass]] or [[vessel.proof]], added to and taken out of a design's own text.

What stands between two tables, comments and blank lines, stays where it stands.
"""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import tomlkit

from bottlewright.design.toml_text import header_of, statement_end

__all__ = ["has_header", "with_entry", "with_table", "without_entry"]


class _Statement(NamedTuple):
    """A header, or a key with its value: the table that it belongs to, its first line, the line behind it."""

    table: str
    begins: bool  # it is the header of a [[table]]
    first: int
    last: int


def with_entry(text: str, table: str, values: Mapping[str, str | float | int | bool]) -> str:
    """Return a text with one entry more, behind the last one of its list, else behind the table that the list is in.

    A key with a dot, such as ``payload.view``, is one of a table inside the entry.
    """
    return _written(text, f"[[{_dotted(table)}]]", values, [table, table.rpartition(".")[0]])


def with_table(text: str, table: str, values: Mapping[str, Any]) -> str:
    """Return a text with one table more, behind the table that it is in: a comment over the next one stays over that.

    Parameters
    ----------
    table
        Such as ``recovery.mechanism``; it is not there yet.
    """
    names = table.split(".")
    return _written(text, f"[{_dotted(table)}]", values,
                    [".".join(names[:depth]) for depth in range(len(names) - 1, 0, -1)])  # fmt: skip


def has_header(text: str, table: str) -> bool:
    """Say whether a table begins with a line of its own."""
    return any(one.table == table for one in _statements(text.split("\n")))


def _written(text: str, header: str, values: Mapping[str, Any], behind: list[str]) -> str:
    lines, end = text.split("\n"), "\r" if "\r\n" in text else ""
    at = _behind(lines, behind)
    keys = [f"{_dotted(key)} = {tomlkit.item(value).as_string()}" for key, value in values.items()]
    lines[at:at] = [f"{line}{end}" for line in ("", header, *keys)]
    return "\n".join(lines)


def without_entry(text: str, table: str, number: int) -> str:
    """Return a text without one entry of a list, counted from 0; what is said within it goes with it.

    Raises
    ------
    IndexError
        If there is no such entry.
    """
    lines = text.split("\n")
    own = [one for one in _statements(lines) if _within(one.table, table)]
    starts = [k for k, one in enumerate(own) if one.begins and one.table == table]
    stop = [*starts, len(own)][number + 1] - 1
    first, last = own[starts[number]].first, own[stop].last
    del lines[first:last]
    if 0 < first < len(lines) and not lines[first].strip() and not lines[first - 1].strip():
        del lines[first - 1]
    return "\n".join(lines)


def _dotted(path: str) -> str:
    return ".".join(tomlkit.key(part).as_string() for part in path.split("."))


def _behind(lines: list[str], tables: list[str]) -> int:
    """Return the line behind what belongs to the first of some tables that is there; behind everything else."""
    statements = list(_statements(lines))
    for table in filter(None, tables):
        own = [one.last for one in statements if _within(one.table, table)]
        if own:
            return _with_remarks(lines, own[-1])
    return statements[-1].last if statements else len(lines)


def _with_remarks(lines: list[str], at: int) -> int:
    """Return the line behind the comments that follow at once, unless they stand over the next table."""
    end = at
    while end < len(lines) and lines[end].lstrip().startswith("#"):
        end += 1
    return end if end == len(lines) or not lines[end].strip() else at


def _within(table: str, other: str) -> bool:
    return f"{table}.".startswith(f"{other}.")


def _statements(lines: list[str]) -> Iterator[_Statement]:
    number, table = 0, ""
    while number < len(lines):
        last = statement_end(lines, number)
        first_line = lines[number].strip()
        if first_line and not first_line.startswith("#"):
            header = header_of(lines[number])
            table = ".".join(header.name) if header else table
            yield _Statement(table, header is not None and header.block, number, last)
        number = last
