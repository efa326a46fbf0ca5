"""A logger's text taken apart into columns of numbers, whatever its separator, decimal sign, header or row tags.

Nothing here knows what a column means; `learn.columns` proposes that.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from bottlewright.errors import InputError

__all__ = ["MOST_BYTES", "TableFile", "read_table"]

Floats = NDArray[np.float64]

MOST_BYTES = 40_000_000
"""Of one file: an hour at a thousand rows a second."""
SEPARATORS = {"\t": "a tab", ";": "a semicolon", ",": "a comma", "|": "a bar", " ": "spaces"}
_SAMPLE = 400
"""Lines that are looked at before it is decided how the file is written."""
_TAGS, _TAGGED = 12, 0.9
"""At most so many different words at the beginning of so large a share of all rows are tags."""

_DOT = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_COMMA = re.compile(r"[+-]?\d*,\d+([eE][+-]?\d+)?")
_GROUPED = re.compile(r"[+-]?\d{1,3}(,\d{3})+\.\d+")
_CLOCK = re.compile(r"(?:(\d{1,2}):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)")
_WITH_UNIT = re.compile(r"(.*\d)\s*(?:%|°?[A-Za-zµμ][\w/²^]*)")
_UNIT_CELL = re.compile(r"[\[(]?(?:%|°?[A-Za-zµμ°][\w/²^*.·-]{0,7}|-)?[\])]?")


@dataclass(frozen=True)
class TableFile:
    """A table of numbers as a logger wrote it.

    Parameters
    ----------
    names
        Of the columns, "" where the file gives none.
    cells
        (rows, columns); NaN where no number stands.
    tags
        How many rows each tag has, where rows begin with one; the table has those of `tag`.
    said
        How the file is written, in words.
    preamble
        Lines above the table.
    first
        The first rows that hold more than zeros as they stand, cell by cell.
    """

    names: tuple[str, ...]
    cells: Floats
    tags: dict[str, int]
    tag: str
    said: tuple[str, ...]
    preamble: tuple[str, ...]
    first: tuple[tuple[str, ...], ...]


def read_table(content: bytes, tag: str = "") -> TableFile:
    """Take a file apart.

    Parameters
    ----------
    content
        As it came.
    tag
        Whose rows, where they begin with tags; those of the commonest when it is left out.

    Raises
    ------
    InputError
        When there is no table of numbers in it.
    """
    lines = _lines(content)
    separator = max(SEPARATORS, key=lambda one: _score(lines, one))
    rows = [_apart(line, separator) for line in lines]
    comma = _decimal_comma(rows[-_SAMPLE:])
    counts = _tags(rows, comma)
    if tag and tag not in counts:
        raise InputError(f"no row begins with {tag!r}; rows begin with {', '.join(counts) or 'no tag'}")
    tag = tag or (max(counts, key=lambda one: counts[one]) if counts else "")
    if counts:
        rows = [row[1:] for row in rows if row[0] == tag or (row[0] not in counts and not _numbers(row, comma))]
    start, width = _start(rows, comma)
    names = _names(rows[:start], width)
    body = [row for row in rows[start:] if _numbers(row, comma)]
    cells = np.array([_cells(row, width, comma) for row in body])
    if not np.isfinite(cells).any(axis=0).sum():
        raise InputError("there is no table of numbers in this file")
    said = (f"columns are parted by {SEPARATORS[separator]}" if width > 1 else "there is one column",
            "a comma is the decimal sign" if comma else "a point is the decimal sign",
            "the columns have names" if any(names) else "no column has a name",
            *([f"rows begin with tags ({', '.join(counts)}); read were those of {tag}"] if len(counts) > 1 else []),
            )  # fmt: skip
    above = tuple(separator.join(row) for row in rows[:start])
    begins = int(np.argmax((np.nan_to_num(cells) != 0.0).any(axis=1)))
    return TableFile(names, cells, counts if len(counts) > 1 else {}, tag if len(counts) > 1 else "", said, above,
                     tuple(tuple(row) for row in body[begins : begins + 5]))  # fmt: skip


def _lines(content: bytes) -> list[str]:
    if len(content) > MOST_BYTES:
        raise InputError(f"the file has {len(content) / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are read")
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = content.decode("utf-16", "replace")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = content.decode("cp1252", "replace")
    lines = [line for line in text.replace("\0", "").splitlines() if line.strip() and not line.startswith(("#", "//"))]
    if not lines:
        raise InputError("the file is empty")
    return lines


def _apart(line: str, separator: str) -> list[str]:
    if separator == " ":
        return line.split()
    try:
        cells = next(csv.reader([line], delimiter=separator))
    except (csv.Error, StopIteration):
        cells = line.split(separator)
    cells = [cell.strip() for cell in cells]
    return cells[:-1] if len(cells) > 1 and not cells[-1] else cells


def _score(lines: Sequence[str], separator: str) -> tuple[float, int]:
    """Return how well a separator takes the file apart: the share of cells that are numbers, and how many columns."""
    rows = [_apart(line, separator) for line in lines[-_SAMPLE:]]
    good = [sum(_is_number(cell) for cell in row) for row in rows]
    widths = Counter(len(row) for row, count in zip(rows, good, strict=True) if count)
    if not widths:
        return 0.0, 0
    width = widths.most_common(1)[0][0]
    below = next(number for number, count in enumerate(good) if count)  # names and what stands over them are no numbers
    share = sum(good) / sum(map(len, rows[below:]))
    head = next((row for row in (_apart(line, separator) for line in lines)
                 if not any(map(_is_number, row))), None)  # fmt: skip
    return round(share, 3) + (0.01 if head is not None and len(head) == width else 0.0), width


def _is_number(cell: str) -> bool:
    return _value(cell, False) is not None or _value(cell, True) is not None


def _value(cell: str, comma: bool) -> float | None:
    """Return the number in a cell: a plain one, one with its unit, a time of day or a date with a time, both in s."""
    cell = cell.strip().strip("'\"").replace("−", "-")
    if match := _WITH_UNIT.fullmatch(cell):
        cell = cell if _DOT.fullmatch(cell) else match[1].strip()
    if comma and _COMMA.fullmatch(cell):
        return float(cell.replace(",", "."))
    if _DOT.fullmatch(cell):
        return float(cell)
    if not comma and _GROUPED.fullmatch(cell):
        return float(cell.replace(",", ""))
    if clock := _CLOCK.fullmatch(cell):
        return int(clock[1] or 0) * 3600.0 + int(clock[2]) * 60.0 + float(clock[3].replace(",", "."))
    if len(cell) > 15 and cell[:4].isdigit():
        try:
            return datetime.fromisoformat(cell.replace(",", ".")).timestamp()
        except ValueError:
            return None
    return None


def _decimal_comma(rows: Sequence[Sequence[str]]) -> bool:
    commas = sum(bool(_COMMA.fullmatch(cell)) for row in rows for cell in row)
    dots = sum("." in cell and bool(_DOT.fullmatch(cell)) for row in rows for cell in row)
    return commas > dots


def _numbers(row: Sequence[str], comma: bool) -> int:
    return sum(_value(cell, comma) is not None for cell in row)


def _tags(rows: Sequence[Sequence[str]], comma: bool) -> dict[str, int]:
    """Return the tags that rows begin with; none where rows begin with numbers."""
    words = [row[0] for row in rows if len(row) > 1 and _value(row[0], comma) is None and _numbers(row, comma)]
    counts = Counter(words)
    most = {word: count for word, count in counts.items() if count > 2 and word}
    enough = sum(most.values()) > _TAGGED * sum(1 for row in rows if _numbers(row, comma))
    return most if most and len(most) <= _TAGS and enough else {}


def _start(rows: Sequence[Sequence[str]], comma: bool) -> tuple[int, int]:
    """Return the number of the first row of the table, and how many columns it has."""
    widths = Counter(len(row) for row in rows if 2 * _numbers(row, comma) >= len(row))
    if not widths:
        raise InputError("there is no table of numbers in this file")
    width = widths.most_common(1)[0][0]
    start = next(number for number, row in enumerate(rows)
                 if len(row) == width and 2 * _numbers(row, comma) >= len(row))  # fmt: skip
    return start, width


def _names(above: Sequence[Sequence[str]], width: int) -> tuple[str, ...]:
    """Return the columns' names, with the units of a row of units in brackets behind them."""
    fitting = [row for row in above if len(row) == width]
    if not fitting:
        return ("",) * width
    if len(fitting) > 1 and all(_UNIT_CELL.fullmatch(cell) for cell in fitting[-1]):
        return tuple(f"{name} [{unit.strip('[]()')}]" for name, unit in zip(fitting[-2], fitting[-1], strict=True))
    return tuple(fitting[-1])


def _cells(row: Sequence[str], width: int, comma: bool) -> list[float]:
    def numbers() -> Iterator[float]:
        for cell in row[:width]:
            value = _value(cell, comma)
            yield np.nan if value is None else value

    found = list(numbers())
    return found + [np.nan] * (width - len(found))
