"""The schedule as a picture: a strip for each day of work, a row for each step, a bar for each rocket, cures dashed."""

import datetime as dt
from collections.abc import Sequence
from typing import NamedTuple

from bottlewright.figures.letters import width as wide_of
from bottlewright.figures.sheet import MM, Sheet, Words, path
from bottlewright.make.plan.by_step import StepRow, by_step, numbers_of
from bottlewright.make.plan.schedule import Plan, Session, Slot
from bottlewright.report.style import NARROW, Picture

__all__ = ["plan_picture"]

_LETTER, _HEAD = 7.5, 8.5
_HEADER, _ROW, _LANE, _GAP = 22.0, 13.0, 4.0, 9.0  # points
_FAR = 31
"""Days of work that are drawn; the list has them all."""

Rows = list[tuple[StepRow, list[tuple[Session, Slot]]]]


class _Scale(NamedTuple):
    """Where the hours of a day stand on the sheet, points."""

    left: float
    right: float
    first: float
    last: float

    def at(self, moment: dt.datetime) -> float:
        """Return where a moment of the day stands."""
        return self.across(moment.hour + moment.minute / 60.0)

    def across(self, hours: float) -> float:
        """Return where an hour stands, no farther than the ends."""
        share = (min(max(hours, self.first), self.last) - self.first) / (self.last - self.first)
        return self.left + share * (self.right - self.left)


def plan_picture(plan: Plan) -> Picture:
    """Return the picture of a plan."""
    days = _days(plan)
    rockets = f"{plan.rockets} rockets" if plan.rockets > 1 else "one rocket"
    return Picture(
        "schedule",
        "Each day of work by its hours. A bar is work" + (", one for each rocket" if plan.rockets > 1 else "")
        + "; dark where a delay moves the end. A dashed line is glue or tape that cures. Hatched: it is shut.",
        f"The build of {rockets} on {len(days)} days, ready by {_said(plan.finished)}. The list below has every time.",
        lambda width: _draw(plan, days, width),
    )  # fmt: skip


def _days(plan: Plan) -> dict[dt.date, Rows]:
    found: dict[dt.date, Rows] = {}
    for step in by_step(plan):
        for day, spells in step.days().items():
            found.setdefault(day, []).append((step, spells))
    return {day: found[day] for day in sorted(found)[:_FAR]}


def _said(moment: dt.datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%b %H:%M}"


def _tall(spells: Sequence[object], narrow: bool) -> float:
    return max(_ROW, _LANE * len(spells) + 3.0) + (10.0 if narrow else 0.0)


def _draw(plan: Plan, days: dict[dt.date, Rows], width: float) -> Sheet:
    narrow = width <= NARROW
    high = sum(_HEADER + _GAP + sum(_tall(spells, narrow) for _, spells in rows) for rows in days.values()) + 4.0
    sheet = Sheet(width, high / MM)
    left = 8.0 if narrow else 0.36 * sheet.width
    ends = {day: _ends(plan, day, rows) for day, rows in days.items()}
    span = max((last - first for first, last in ends.values()), default=1.0)
    top = 4.0
    for day, rows in days.items():
        first, last = ends[day]
        wide = (sheet.width - 8.0 - left) * (last - first) / span
        top = _day(sheet, plan, day, rows, _Scale(left, left + wide, first, last), top, narrow)
    return sheet


def _ends(plan: Plan, day: dt.date, rows: Rows) -> tuple[float, float]:
    """Return the hours from and to which a day is drawn: those of the workshop, and all that is worked."""
    known = [one for begin, end in plan.open_times if begin.date() == day for one in (begin, end)]
    known += [one for _, spells in rows for spell, _ in spells for one in spell]
    hours = [24.0 if one.date() > day else one.hour + one.minute / 60.0 for one in known]
    return min(hours), max(hours)


def _day(sheet: Sheet, plan: Plan, day: dt.date, rows: Rows, scale: _Scale, top: float, narrow: bool) -> float:
    """Draw one day from a height on, and return where it ends."""
    foot = top + _HEADER + sum(_tall(spells, narrow) for _, spells in rows)
    sheet.write(Words(f"{day:%A} {day.day} {day:%B}", 8.0, top + 9.0, _HEAD, bold=True))
    for shut in _shut(plan, day, scale):
        sheet.shape(_box(shut[0], top + _HEADER, shut[1], foot), fill="rules", hatch=0)
    step = next(one for one in (0.5, 1, 2, 3, 4, 6, 24)
                if one * (scale.right - scale.left) / (scale.last - scale.first) >= 34.0 or one == 24)  # fmt: skip
    for half in range(int(2 * scale.first + 0.99), int(2 * scale.last) + 1):
        if half / 2.0 % step == 0.0:
            at = scale.across(half / 2.0)
            sheet.shape(path([(at, top + _HEADER - 3.0), (at, foot)]), "rules", thick=0.5)
            sheet.write(Words(f"{half // 2:02d}:{30 * (half % 2):02d}", at, top + _HEADER - 5.0, 7.0, "soft",
                              _anchor(at, scale)))  # fmt: skip
    at = top + _HEADER
    sheet.shape(path([(8.0, at), (sheet.width - 8.0, at)]), "ink", thick=0.8)
    for one, spells in rows:
        _row(sheet, one, spells, scale, at, narrow)
        at += _tall(spells, narrow)
    return at + _GAP


def _anchor(at: float, scale: _Scale) -> str:
    return "start" if at < scale.left + 8.0 else "end" if at > scale.right - 8.0 else "middle"


def _shut(plan: Plan, day: dt.date, scale: _Scale) -> list[tuple[float, float]]:
    """Return where the workshop is shut between the ends of the scale, points."""
    at, found = scale.left, []
    for begin, end in (one for one in plan.open_times if one[0].date() == day):
        if scale.at(begin) > at + 0.5:
            found.append((at, scale.at(begin)))
        at = scale.at(end) if end.date() == day else scale.right
    return [*found, (at, scale.right)] if at < scale.right - 0.5 else found


def _row(sheet: Sheet, step: StepRow, spells: list[tuple[Session, Slot]], scale: _Scale, top: float,
         narrow: bool) -> None:
    """Draw the bars of one step, its name and what cures after it."""
    room = 10.0 if narrow else 0.0
    tall = _tall(spells, narrow)
    number = numbers_of([slot for _, slot in spells])
    whose = f", {number}" if number else ""
    room_for = (sheet.width if narrow else scale.left) - 16.0 - wide_of(whose, _LETTER, bold=True)
    name = _short(step.title, room_for) + whose
    sheet.write(Words(name, 8.0, top + (8.5 if narrow else 0.5 * tall + 2.7), _LETTER, bold=step.critical,
                      halo=narrow))  # fmt: skip
    lane = (tall - room - 4.0) / len(spells)
    for number_of, ((begin, end), slot) in enumerate(spells):
        low = top + room + 2.0 + lane * number_of
        left, right = scale.at(begin), max(scale.at(end), scale.at(begin) + 1.5)
        dark = slot.slack < 60.0
        sheet.shape(_box(left, low, right, low + lane - 0.6), "teal", "teal" if dark else "wash", 0.8)
    last = max(slot.ready for _, slot in spells)
    end = max(spell[1] for spell, _ in spells)
    slots = {slot.task.code: slot for _, slot in spells}
    if any(slot.task.wait > 1800.0 and slot.spells[-1][1].date() == end.date() for slot in slots.values()):
        _cures(sheet, end, last, scale, top + room + 0.5 * (tall - room))


def _cures(sheet: Sheet, end: dt.datetime, ready: dt.datetime, scale: _Scale, middle: float) -> None:
    """Draw that something cures, to the end of the day's hours or of the sheet, and say until when."""
    left, edge = scale.at(end), sheet.width - 8.0
    today = ready.date() == end.date()
    right = scale.at(ready) if today and ready.hour + ready.minute / 60.0 <= scale.last else edge
    sheet.shape(path([(left + 1.0, middle), (right, middle)]), "orange", thick=1.0, dash=(3.0, 2.0))
    said = f"cures to {ready:%H:%M}" if today else f"cures to {_said(ready)}"
    beside = left + 5.0 + wide_of(said, 7.0) < edge
    sheet.write(Words(said, left + 4.0 if beside else edge, middle + (2.5 if beside else -3.0), 7.0, "orange",
                      "start" if beside else "end", halo=True))  # fmt: skip


def _box(left: float, top: float, right: float, bottom: float) -> str:
    return path([(left, top), (right, top), (right, bottom), (left, bottom)], closed=True)


def _short(text: str, room: float) -> str:
    """Return a text that fits, cut after a whole word."""
    if wide_of(text, _LETTER, bold=True) <= room:
        return text
    words = text.split()
    while words and wide_of(" ".join(words) + " …", _LETTER, bold=True) > room:
        words.pop()
    return " ".join(words) + " …"
