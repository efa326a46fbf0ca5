"""The builder's own price list: a CSV file with the columns part and price."""

import csv
import io
import re
from collections.abc import Callable

from bottlewright.design.text_files import bad_character

__all__ = ["LARGEST", "read_price", "read_prices"]

LARGEST = 1_000_000
"""Bytes that a price list may have."""

_ROWS = 5_000
_LETTERS = 300  # of one cell


def read_prices(text: str, note: Callable[[str], None] = lambda _: None) -> dict[str, float]:
    """Read a price file: CSV with the columns part and price; separator comma, semicolon or tab.

    Parameters
    ----------
    text
        Of the file.
    note
        Told of what was understood although it is not written as we write it.

    Raises
    ------
    ValueError
        With the line and what is wrong with it.
    """
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    prices: dict[str, float] = {}
    columns: dict[str, int] = {}
    commas: list[int] = []
    try:
        for count, cells in enumerate(rows):
            where = f"line {rows.line_num}"
            if count > _ROWS:
                raise ValueError(f"has more than {_ROWS} lines; a price list is one line a part")
            if any(len(cell) > _LETTERS for cell in cells):
                raise ValueError(f"{where}: a cell has more than {_LETTERS} letters; is a quote left open?")
            if not columns and any(cell.strip() for cell in cells):
                columns = _columns(cells)
            elif columns and any(cell.strip() for cell in cells):
                _take(prices, cells, columns, where)
                commas += [rows.line_num] if separator == "," and "," in "".join(cells) else []
    except csv.Error:  # a cell of more letters than the reader takes, or a line that ends in the middle
        raise ValueError(f"line {rows.line_num}: can't be read as CSV; is a quote left open, or a line ended in an "
                         "unusual way?") from None
    if not columns:
        raise ValueError("has no columns part and price in its first line")
    if commas:
        note(f"a price with a decimal comma was read with a point (line {', '.join(map(str, commas[:12]))})")
    return prices


def _columns(cells: list[str]) -> dict[str, int]:
    columns = {name.strip().strip("\"“”„").lower(): at for at, name in enumerate(cells)}
    if not {"part", "price"} <= set(columns):
        raise ValueError("has no columns part and price in its first line")
    return columns


def _take(prices: dict[str, float], cells: list[str], columns: dict[str, int], where: str) -> None:
    cells = cells + [""] * (max(columns.values()) + 1 - len(cells))
    if any(cell.strip() for cell in cells[len(columns) :]):
        raise ValueError(f"{where}: has more cells than the first line; a decimal comma needs quotes, or write a point")
    part, words = cells[columns["part"]].strip(), " ".join(cells[columns["price"]].split())
    if bad := bad_character(part):
        raise ValueError(f"{where}: the part's name holds {bad}")
    if not words:
        return
    if not part:
        raise ValueError(f"{where}: a price without a part")
    if part in prices:
        raise ValueError(f"{where}: {part!r} stands twice; keep one of the two")
    try:
        prices[part] = read_price(words)
    except ValueError as error:
        raise ValueError(f"{where}: {error}") from None


def read_price(words: str) -> float:
    """Return what a piece costs, written with a decimal point or a decimal comma.

    Raises
    ------
    ValueError
        When it is no number, or one that can be read in two ways.
    """
    if re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}|\d+,\d+[.,].*|\d+\.\d+[.,].*", words):
        plain = words.replace(",", "").replace(".", "")
        raise ValueError(f"{words!r} can be read in two ways; write {plain} or {plain[:-3]}.{plain[-3:]}")
    if not re.fullmatch(r"\d+(?:[.,]\d*)?|[.,]\d+", words):
        raise ValueError(f"{words[:40]!r} is not a price; write a number such as 1.20, the currency stands in "
                         "prices.currency")
    value = float(words.replace(",", "."))
    if not value < 1e7:
        raise ValueError(f"{words[:40]!r} is not a price; it has to be under 10 million")
    return value
