"""The schedule as a chart for paper: working spells solid, curing hatched, tasks without slack marked in words."""

import datetime as dt
from typing import Any

from bottlewright.make.plan.by_step import by_step
from bottlewright.make.plan.schedule import Plan

__all__ = ["chart_items"]

_ROW, _LEAST, _ROWS = 4.9, 3.3, 98.0
"""Height of a row, the least that its letters allow, and of all rows where that lets chart and list share a page."""
_NAMES = 66.0
_LETTERS = 38
_DAY = 12.0  # room for the name of a day
_DATE = 17.0  # and for its month as well


def chart_items(plan: Plan, width: float) -> tuple[list[dict[str, Any]], float]:
    """Return drawing items, mm from the chart's upper left corner, and its height; days run evenly, closed ones too."""
    first = min((s.spells[0][0] for s in plan.slots if s.spells), default=plan.finished)
    begin = dt.datetime.combine(first.date(), dt.time(0))
    end = dt.datetime.combine(plan.launch, dt.time(0)) + dt.timedelta(days=1)
    days = max((end - begin).days, 1)
    scale = (width - _NAMES) / days
    steps = by_step(plan)
    tall = max(min(_ROW, _ROWS / max(len(steps), 1)), _LEAST)
    tall += 0.35 * min(plan.rockets, 8) if plan.rockets > 1 else 0.0
    height = 10.0 + tall * len(steps) + _ROW
    items: list[dict[str, Any]] = []

    def x(moment: dt.datetime) -> float:
        return _NAMES + scale * (moment - begin) / dt.timedelta(days=1)

    every = next(step for step in (1, 2, 7, 14, 28, 91, 365) if step * scale >= 13.0 or step == 365)
    for k in range(0, days + 1, every):
        day = begin + dt.timedelta(days=k)
        items.append(_line(x(day), 7.0, x(day), height, "aid"))
        if k < days and x(day) + _DAY <= width:
            items.append(_text(x(day) + 0.8, 4.0, _day_name(day, every, scale), 2.5))
    for row, step in enumerate(steps):
        y = 10.0 + tall * row
        name = _short(step.title) + (" ◆" if step.critical else "")
        items.append(_text(0.0, y + 0.5 * tall, name, 2.6, step.critical))
        lane = (tall - 1.4) / len(step.slots)  # each rocket has its own
        for number, slot in enumerate(step.slots):
            top = y + 0.7 + lane * number
            if slot.spells and slot.task.wait > 1800.0:
                inset = 0.5 if plan.rockets == 1 else 0.0
                left, right = x(slot.spells[-1][1]), x(slot.ready)
                items += _hatched(left, min(right, width), top + inset, top + lane - inset)
            for spell in slot.spells:
                left = x(spell[0])
                right = max(x(spell[1]), left + 0.8)
                corners = [[left, top], [right, top], [right, top + lane], [left, top + lane]]
                items.append({"k": "fill", "g": 10 if slot.slack < 60.0 else 50, "p": corners})
    y = 10.0 + tall * len(steps)
    items.append(_text(0.0, y + 0.5 * _ROW, "Earliest launch day", 2.6, True))
    launch = x(dt.datetime.combine(plan.launch, dt.time(0)))
    items.append(
        {
            "k": "path",
            "s": "cut",
            "c": True,
            "p": [
                [launch, y + 0.8],
                [launch + scale, y + 0.8],
                [launch + scale, y + _ROW - 0.8],
                [launch, y + _ROW - 0.8],
            ],
        }
    )
    return items, height


def _day_name(day: dt.datetime, every: int, scale: float) -> str:
    """Return what a day is called: its month only where there is room for it beside the next mark."""
    if every >= 28:
        return f"{day:%d %b %y}"
    return f"{day:%a %d %b}" if every * scale >= _DATE else f"{day:%a %d}"


def _short(title: str) -> str:
    """Return a title that fits beside the bars, cut after a whole word."""
    return title if len(title) <= _LETTERS else title[:_LETTERS].rsplit(" ", 1)[0].rstrip(",") + " …"


def _line(x0: float, y0: float, x1: float, y1: float, style: str) -> dict[str, Any]:
    return {"k": "path", "s": style, "c": False, "p": [[x0, y0], [x1, y1]]}


def _text(x: float, y: float, words: str, height: float, bold: bool = False) -> dict[str, Any]:
    return {"k": "text", "x": x, "y": y, "t": words, "h": height, "b": bold, "w": False, "a": 0.0, "f": 0.0}


def _hatched(left: float, right: float, top: float, bottom: float) -> list[dict[str, Any]]:
    items = [{"k": "path", "s": "aid", "c": True, "p": [[left, top], [right, top], [right, bottom], [left, bottom]]}]
    step, tall = 1.6, bottom - top
    at = left
    while at < right:
        items.append(_line(at, bottom, min(at + tall, right), bottom - min(tall, right - at), "aid"))
        at += step
    return items
