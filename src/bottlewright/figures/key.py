"""A key under a figure: what each mark, line and pattern stands for."""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from bottlewright.figures.letters import width
from bottlewright.figures.marks import mark
from bottlewright.figures.sheet import Sheet, Words, path

__all__ = ["KeyEntry", "area_entry", "draw_key", "key_height", "line_entry", "mark_entry"]

_SIZE, _ROW, _SWATCH, _BETWEEN = 7.5, 11.5, 26.0, 14.0


class KeyEntry(NamedTuple):
    """Words, and what draws the sample before them about a place 20 points wide."""

    text: str
    draw: Callable[[Sheet, float, float], None]


def line_entry(text: str, colour: str, thick: float = 1.6, dash: Sequence[float] = ()) -> KeyEntry:
    """Return the entry of a line."""
    return KeyEntry(text, lambda sheet, x, y: sheet.shape(path([(x - 10.0, y), (x + 10.0, y)]), colour, thick=thick,
                                                          dash=dash))  # fmt: skip


def mark_entry(text: str, shape: str, colour: str, size: float, fill: str = "", edge: str = "") -> KeyEntry:
    """Return the entry of a mark."""
    return KeyEntry(text, lambda sheet, x, y: mark(sheet, shape, x, y, size, colour, fill, edge))


def area_entry(text: str, colour: str, hatch: int, dash: Sequence[float] = ()) -> KeyEntry:
    """Return the entry of hatched ground with its edge."""

    def draw(sheet: Sheet, x: float, y: float) -> None:
        corners = [(x - 10.0, y - 3.5), (x + 10.0, y - 3.5), (x + 10.0, y + 3.5), (x - 10.0, y + 3.5)]
        sheet.shape(path(corners, closed=True), "", colour, hatch=hatch)
        sheet.shape(path(corners[:2]), colour, thick=1.8, dash=dash)

    return KeyEntry(text, draw)


def _rows(entries: Sequence[KeyEntry], wide: float) -> list[list[KeyEntry]]:
    rows, used = [list[KeyEntry]()], 0.0
    for entry in entries:
        need = _SWATCH + width(entry.text, _SIZE)
        if rows[-1] and used + need > wide:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += need + _BETWEEN
    return rows


def key_height(entries: Sequence[KeyEntry], wide: float) -> float:
    """Return the room that a key of a width takes, points."""
    return _ROW * sum(len(_wrapped(row, wide)) for row in _rows(entries, wide)) if entries else 0.0


def _wrapped(row: Sequence[KeyEntry], wide: float) -> list[str]:
    """Return the lines of a row: several where one entry alone is too long for it."""
    if len(row) > 1:
        return [""]
    lines = [""]
    for word in row[0].text.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width(longer, _SIZE) > wide - _SWATCH:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def draw_key(sheet: Sheet, entries: Sequence[KeyEntry], left: float, top: float, wide: float) -> None:
    """Draw the entries in rows of a width, each as far to the left as it goes."""
    y = top
    for row in _rows(entries, wide) if entries else []:
        for entry, x, lines in _placed(row, left, wide):
            entry.draw(sheet, x + 10.0, y + 0.5 * _ROW)
            for number, line in enumerate(lines):
                sheet.write(Words(line, x + _SWATCH, y + 0.5 * _ROW + 0.36 * _SIZE + number * _ROW, _SIZE))
        y += _ROW * len(_wrapped(row, wide))


def _placed(row: Sequence[KeyEntry], left: float, wide: float) -> Iterator[tuple[KeyEntry, float, list[str]]]:
    x = left
    for entry in row:
        yield entry, x, _wrapped(row, wide) if len(row) == 1 else [entry.text]
        x += _SWATCH + width(entry.text, _SIZE) + _BETWEEN
