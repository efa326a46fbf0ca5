"""Entries of a list of tables, such as [[mass]] or [[vessel.proof]], added to and taken out of a design's own text.

What stands between two tables, comments and blank lines, stays where it stands.
"""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import tomlkit

from bottlewright.design.toml_text import header_of, statement_end

__all__ = ["has_dotted", "has_header", "with_entry", "with_table", "without_entry"]


class _Statement(NamedTuple):
    """A header, or a key with its value: the table that it belongs to, the key, its first line, the line behind it."""

    table: str
    key: str  # as it is written in its table, such as "recovery.kind"; empty for a header
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

    Where that one has no line of its own but keys with dots, ``recovery.kind = …``, the new ones are such keys too: a
    header among them would take all that follow.

    Parameters
    ----------
    table
        Such as ``recovery.mechanism``; it is not there yet.
    """
    names, lines = table.split("."), text.split("\n")
    above = ".".join(names[:-1])
    if not has_header(text, above) and (dotted := _dotted_in(lines, above)):
        last = dotted[-1]
        own = table.removeprefix(f"{last.table}.")
        return _inserted(text, last.last, [_line(f"{own}.{key}", value) for key, value in values.items()])
    return _written(text, f"[{_dotted(table)}]", values,
                    [".".join(names[:depth]) for depth in range(len(names) - 1, 0, -1)])  # fmt: skip


def has_header(text: str, table: str) -> bool:
    """Say whether a table begins with a line of its own."""
    return any(one.table == table for one in _statements(text.split("\n")))


def has_dotted(text: str, table: str) -> bool:
    """Say whether a table is written as keys with dots, such as ``recovery.kind = …``."""
    return bool(_dotted_in(text.split("\n"), table))


def _dotted_in(lines: list[str], table: str) -> list[_Statement]:
    return [one for one in _statements(lines)
            if "." in one.key and _within(f"{one.table}.{one.key}".lstrip(".").rpartition(".")[0], table)]  # fmt: skip


def _line(key: str, value: Any) -> str:
    return f"{_dotted(key)} = {tomlkit.item(value).as_string()}"


def _written(text: str, header: str, values: Mapping[str, Any], behind: list[str]) -> str:
    return _inserted(text, _behind(text.split("\n"), behind),
                     ["", header, *(_line(key, value) for key, value in values.items())])  # fmt: skip


def _inserted(text: str, at: int, fresh: list[str]) -> str:
    lines, end = text.split("\n"), "\r" if "\r\n" in text else ""
    lines[at:at] = [f"{line}{end}" for line in fresh]
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
            key = "" if header else ".".join(part.strip(" \t\"'") for part in first_line.partition("=")[0].split("."))
            yield _Statement(table, key, header is not None and header.block, number, last)
        number = last
