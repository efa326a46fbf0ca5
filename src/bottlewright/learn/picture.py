"""What flights taught as pictures: measured beside foretold, launch by launch, and each value before and after."""

from collections.abc import Sequence

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.figures.key import KeyEntry, draw_key, key_height, mark_entry
from bottlewright.figures.letters import Box, width
from bottlewright.figures.marks import mark
from bottlewright.figures.panel import Axis, Panel, reach
from bottlewright.figures.sheet import MM, Sheet, Words, path
from bottlewright.learn.meaning import CALLED, Known
from bottlewright.learn.meant import Meant, scale_of
from bottlewright.learn.misfits import Compared
from bottlewright.report.style import Picture

__all__ = ["learned_pictures", "values_picture"]

_ROW, _SIDE, _HALF, _LETTER = 19.0, 12.0, 4.0, 7.5
_HEAD, _FOOT = 22.0, 26.0
"""Height of a row, room at the sides, half the height of a bar, size of letters; over and under a panel; points."""
_NINE_IN_TEN = 1.6449
"""Standard deviations within which nine of ten lie."""
_MOST = 24
"""Rows of a picture; of more launches the last are shown."""


def learned_pictures(meant: Meant) -> list[Picture]:
    """Return both pictures."""
    found = [Picture(
        "measured", "Hatched: nine in ten by the design alone. Filled: nine in ten after all flights. The diamond is "
        "what was measured, its bar one ± on either side.",
        f"{meant.title}: measured beside foretold, as the table has it.",
        lambda wide: _measured(meant.compared, wide, meant.habit))]  # fmt: skip
    if meant.known:
        found.append(values_picture(meant.known, meant.habit))
    return found


def values_picture(rows: Sequence[Known], habit: UnitHabit, name: str = "values") -> Picture:
    """Return the picture of values before and after."""
    return Picture(
        name, "Each value in units of its own ± before any flight: hatched nine in ten before, filled nine in ten "
        "after.", " ".join(one.sentence(habit) for one in rows), lambda wide: _values(rows, wide))  # fmt: skip


def _measured(rows: Sequence[Compared], wide: float, habit: UnitHabit) -> Sheet:
    kinds = {what: [one for one in rows if one.what == what][-_MOST:] for what in dict.fromkeys(r.what for r in rows)}
    entries = [KeyEntry("by the design alone", _hatched_sample), KeyEntry("after all flights", _filled_sample),
               mark_entry("measured, with its ±", "D", "orange", 7.0, fill="orange")]  # fmt: skip
    room = wide * MM - 2.0 * _SIDE
    tall = sum(_HEAD + _FOOT + _ROW * len(each) for each in kinds.values())
    sheet = Sheet(wide, (tall + key_height(entries, room) + 12.0) / MM)
    top = 0.0
    for what, each in kinds.items():
        _panel(sheet, what, each, top, habit)
        top += _HEAD + _FOOT + _ROW * len(each)
    draw_key(sheet, entries, _SIDE, top + 6.0, room)
    return sheet


def _panel(sheet: Sheet, what: str, rows: Sequence[Compared], top: float, habit: UnitHabit) -> None:
    scale, unit = scale_of(what, habit)
    ends = reach(*([one.before - _NINE_IN_TEN * one.before_spread, one.before + _NINE_IN_TEN * one.before_spread,
                    one.measured - one.spread, one.measured + one.spread] for one in rows))  # fmt: skip
    pad = 0.04 * (ends[1] - ends[0])
    start = _SIDE + max(width(one.launch, _LETTER) for one in rows) + 8.0
    box = Box(start, top + _HEAD, sheet.width - _SIDE, top + _HEAD + _ROW * len(rows))
    panel = Panel(sheet, box, Axis(ends[0] - pad, ends[1] + pad, unit=scale), Axis(0.0, 1.0))
    panel.scales(y=False, y_grid=False)
    sheet.write(Words(f"{CALLED[what][:1].upper()}{CALLED[what][1:]}, {unit}", _SIDE, top + 14.0, 9.0, bold=True))
    for number, one in enumerate(rows):
        y = box.top + (number + 0.5) * _ROW
        sheet.write(Words(one.launch, _SIDE, y + 0.36 * _LETTER, _LETTER))
        for draw, middle, spread, half in ((_hatched, one.before, one.before_spread, _HALF + 2.0),
                                           (_filled, one.after, one.after_spread, _HALF - 1.0)):  # fmt: skip
            left, right = (float(panel.at_x(middle + sign * _NINE_IN_TEN * spread)) for sign in (-1.0, 1.0))
            draw(sheet, max(left, box.left), min(right, box.right), y, half)
        bar = [(float(panel.at_x(one.measured + sign * one.spread)), y) for sign in (-1.0, 1.0)]
        sheet.shape(path(bar), "sheet", thick=3.6)
        sheet.shape(path(bar), "orange", thick=1.6)
        mark(sheet, "D", float(panel.at_x(one.measured)), y, 6.5, "orange", "orange", "sheet", part=one.launch)


def _values(rows: Sequence[Known], wide: float) -> Sheet:
    entries = [KeyEntry("before", _hatched_sample), KeyEntry("after", _filled_sample)]
    room, each = wide * MM - 2.0 * _SIDE, 2.0 * _ROW
    sheet = Sheet(wide, (8.0 + each * len(rows) + _FOOT + 10.0 + key_height(entries, room) + 10.0) / MM)
    box = Box(_SIDE, 8.0, sheet.width - _SIDE, 8.0 + each * len(rows))
    ends = [(end - one.before) / one.spread for one in rows for end in (one.low, one.high)]
    far = max(2.2, 1.1 * max(map(abs, ends)))
    panel = Panel(sheet, box, Axis(-far, far, label="by how many of its ± it lies off the design's"), Axis(0.0, 1.0))
    panel.scales(y=False, y_grid=False)
    panel.upright(0.0, "soft")
    for number, one in enumerate(rows):
        y = box.top + each * number + 0.68 * each
        name = f"{one.called[:1].upper()}{one.called[1:]}"
        sheet.write(Words(name, _SIDE + 4.0, y - 11.0, 8.0, bold=True, halo=True))
        low, middle, high = (float(panel.at_x((at - one.before) / one.spread)) for at in (one.low, one.after, one.high))
        _hatched(sheet, float(panel.at_x(-_NINE_IN_TEN)), float(panel.at_x(_NINE_IN_TEN)), y, _HALF + 2.0)
        _filled(sheet, low, high, y, _HALF - 1.0)
        sheet.shape(path([(middle, y - _HALF - 2.0), (middle, y + _HALF + 2.0)]), "orange", thick=2.0, part=one.path)
    draw_key(sheet, entries, _SIDE, box.bottom + _FOOT + 10.0, room)
    return sheet


def _corners(left: float, right: float, y: float, half: float) -> str:
    return path([(left, y - half), (right, y - half), (right, y + half), (left, y + half)], closed=True)


def _hatched(sheet: Sheet, left: float, right: float, y: float, half: float) -> None:
    sheet.shape(_corners(left, right, y, half), "", "teal", hatch=0, opacity=0.55)
    sheet.shape(_corners(left, right, y, half), "teal", thick=0.8)


def _filled(sheet: Sheet, left: float, right: float, y: float, half: float) -> None:
    sheet.shape(_corners(left, right, y, half), "sheet", "teal", thick=0.8)


def _hatched_sample(sheet: Sheet, x: float, y: float) -> None:
    _hatched(sheet, x - 10.0, x + 10.0, y, 3.5)


def _filled_sample(sheet: Sheet, x: float, y: float) -> None:
    _filled(sheet, x - 10.0, x + 10.0, y, 2.5)
