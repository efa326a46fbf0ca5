"""Measured beside foretold, as one picture: a row for each quantity, its own scale from nothing, the band, the mark."""

from collections.abc import Sequence

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.figures.key import KeyEntry, draw_key, key_height, mark_entry
from bottlewright.figures.letters import Box, width
from bottlewright.figures.marks import mark
from bottlewright.figures.panel import Axis, Panel
from bottlewright.figures.sheet import MM, Sheet, Words, path
from bottlewright.logbook.compared import Compared
from bottlewright.report.style import Picture

__all__ = ["compared_picture"]

_ROW, _UNDER, _SIDE, _HALF, _HEAD = 66.0, 12.0, 12.0, 8.0, 9.0
"""Height of a row, and how much more where its words need a line of their own; room at the sides, half the height of a
band, and size of the letters over it, points."""


def compared_picture(rows: Sequence[Compared], name: str, says: str, habit: UnitHabit = METRIC) -> Picture:
    """Return the picture.

    Parameters
    ----------
    name
        Of its file.
    says
        The one sentence, for a reader who can't see it.
    """
    return Picture(name, "The hatched band holds what eight flights in ten were foretold to do, the upright line the "
                   "middle of them. The diamond is what was measured, its bar one ± on either side.", says,
                   lambda wide: _drawn(rows, wide, habit))  # fmt: skip


def _drawn(rows: Sequence[Compared], wide: float, habit: UnitHabit) -> Sheet:
    entries = [KeyEntry("foretold before the launch: eight in ten, and the middle", _sample),
               mark_entry("measured, with its ±", "D", "orange", 7.0, fill="orange")]  # fmt: skip
    room = wide * MM - 2.0 * _SIDE
    heads = [_heads(row, habit) for row in rows]
    under = any(width(title, _HEAD, bold=True) + 10.0 + width(words, _HEAD) > room for title, words in heads)
    each = _ROW + _UNDER * under
    sheet = Sheet(wide, (each * len(rows) + key_height(entries, room) + 14.0) / MM)
    for number, (row, (title, words)) in enumerate(zip(rows, heads, strict=True)):
        top = 4.0 + number * each
        sheet.write(Words(title, _SIDE, top + 12.0, _HEAD, bold=True))
        place = (_SIDE, top + 12.0 + _UNDER) if under else (sheet.width - _SIDE, top + 12.0)
        colour = "ink" if row.measured is not None else "soft"
        sheet.write(Words(words, *place, _HEAD, colour, "start" if under else "end"))
        _row(sheet, row, top + 36.0 + _UNDER * under, habit)
    draw_key(sheet, entries, _SIDE, each * len(rows) + 8.0, room)
    return sheet


def _heads(row: Compared, habit: UnitHabit) -> tuple[str, str]:
    """Return what stands over a row: its name, and what was measured."""
    lies = {"inside": "inside", "low": "low", "high": "high"}.get(row.lies, "can't be told")
    told = row.words(habit) if row.measured is None else f"{row.words(habit)}: {lies}"
    return f"{row.called[:1].upper()}{row.called[1:]}, {row.scale(habit)[0]}", told


def _sample(sheet: Sheet, x: float, y: float) -> None:
    _band(sheet, x - 10.0, x + 10.0, x, y, 3.5)


def _band(sheet: Sheet, left: float, right: float, middle: float, y: float, half: float) -> None:
    corners = [(left, y - half), (right, y - half), (right, y + half), (left, y + half)]
    sheet.shape(path(corners, closed=True), "", "teal", hatch=0, opacity=0.55)
    sheet.shape(path(corners, closed=True), "teal", thick=0.9)
    sheet.shape(path([(middle, y - half), (middle, y + half)]), "teal", thick=2.2)


def _row(sheet: Sheet, row: Compared, line: float, habit: UnitHabit) -> None:
    most = max([row.high, *([row.measured + row.spread] if row.measured is not None else [])])
    box = Box(_SIDE, line - _HALF - 3.0, sheet.width - _SIDE, line + _HALF + 3.0)
    panel = Panel(sheet, box, Axis(0.0, 1.06 * most, unit=row.scale(habit)[1]), Axis(0.0, 1.0))
    panel.scales(y=False, y_grid=False)
    left, right, middle = (float(panel.at_x(one)) for one in (row.low, row.high, row.middle))
    _band(sheet, left, right, middle, line, _HALF)
    if row.measured is None:
        return
    at = float(panel.at_x(row.measured))
    ends = [float(panel.at_x(max(row.measured + sign * row.spread, 0.0))) for sign in (-1.0, 1.0)]
    bar = path([(ends[0], line), (ends[1], line)])
    bar += "".join(path([(end, line - 4.0), (end, line + 4.0)]) for end in ends)
    sheet.shape(bar, "sheet", thick=4.0)
    sheet.shape(bar, "orange", thick=1.8)
    mark(sheet, "D", at, line, 8.0, "orange", "orange", "sheet", part=row.what)
