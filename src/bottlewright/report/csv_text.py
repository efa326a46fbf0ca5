"""Tables as comma-separated text that a spreadsheet shows and never runs."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

__all__ = ["csv_text"]

_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?([eE][+-]?\d+)?")
_FORMULA = tuple("=+-@\t＝＋－＠")


def csv_text(rows: Iterable[Sequence[object]], line_end: str = "\n") -> str:
    """Return rows as comma-separated text.

    A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula and runs it when the table is
    opened. Such a cell gets an apostrophe in front, which makes it text there; a number such as -3.2 stays as it is.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator=line_end)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return stream.getvalue()


def _cell(value: object) -> str:
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) and not _NUMBER.fullmatch(text) else text
