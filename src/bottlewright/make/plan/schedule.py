"""The build in time: critical path, then the working times laid into the workshop's opening hours.

Work needs an open workshop and free hands; glue cures day and night.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from graphlib import TopologicalSorter
from itertools import islice
from typing import Any

__all__ = ["Opening", "Plan", "Session", "Slot", "Task", "Timing", "critical_path", "in_order", "lay_out", "sessions"]


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of the build.

    Parameters
    ----------
    code, title
        Its short name and what it is called on paper.
    work
        Working time, s, in an open workshop.
    wait
        Time that passes by itself afterwards (curing, drying), s.
    after
        Codes of the tasks that have to be done, waits included, before this one begins.
    people
        Hands that it needs at once.
    """

    code: str
    title: str
    work: float
    wait: float = 0.0
    after: tuple[str, ...] = ()
    people: int = 1


@dataclass(frozen=True, slots=True)
class Timing:
    """Earliest and latest times of a task from the start, s; no slack means that the whole build waits for it."""

    start: float
    finish: float
    latest_start: float
    latest_finish: float

    @property
    def slack(self) -> float:
        """How far it can slip without moving the end, s."""
        return self.latest_start - self.start


def in_order(after: Mapping[str, Sequence[str]], rank: Callable[[str], Any]) -> list[str]:
    """Return the codes so that none comes before one that it waits for; of those that may come, the lowest rank first.

    Raises
    ------
    graphlib.CycleError
        If they wait for each other in a ring.
    """
    sorter = TopologicalSorter(after)
    sorter.prepare()
    order, waiting = [], list(sorter.get_ready())
    while waiting:
        code = min(waiting, key=rank)
        waiting.remove(code)
        order.append(code)
        sorter.done(code)
        waiting += sorter.get_ready()
    return order


def critical_path(tasks: Sequence[Task]) -> dict[str, Timing]:
    """Return the timing of each task by code, as if the workshop never closed and hands were plenty.

    Forward and backward pass of the critical path method (Kelley and Walker, 1959).

    Raises
    ------
    graphlib.CycleError
        If tasks wait for each other in a ring.
    """
    by_code = {task.code: task for task in tasks}
    order = list(TopologicalSorter({task.code: task.after for task in tasks}).static_order())
    finish: dict[str, float] = {}
    for code in order:
        task = by_code[code]
        finish[code] = max((finish[before] for before in task.after), default=0.0) + task.work + task.wait
    end = max(finish.values(), default=0.0)
    latest = dict.fromkeys(order, end)
    for code in reversed(order):
        task = by_code[code]
        for before in task.after:
            latest[before] = min(latest[before], latest[code] - task.work - task.wait)
    return {
        code: Timing(
            finish[code] - by_code[code].work - by_code[code].wait,
            finish[code],
            latest[code] - by_code[code].work - by_code[code].wait,
            latest[code],
        )
        for code in order
    }


Opening = tuple[int, dt.time, dt.time]
"""Day of the week (Monday 0), from, to."""

Session = tuple[dt.datetime, dt.datetime]


def sessions(start: dt.date, openings: Sequence[Opening], closed: Sequence[dt.date] = ()) -> Iterator[Session]:
    """Return the opening times from a day on, in order, for the next five years; touching ones are joined."""
    for day in (start + dt.timedelta(days=k) for k in range(5 * 366)):
        if day in closed:
            continue
        joined: list[Session] = []
        for _, first, last in sorted(o for o in openings if o[0] == day.weekday()):
            begin, end = dt.datetime.combine(day, first), dt.datetime.combine(day, last)
            if last == dt.time(0, 0):  # midnight, written 24:00
                end += dt.timedelta(days=1)
            if joined and begin <= joined[-1][1]:
                joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
            else:
                joined.append((begin, end))
        yield from joined


@dataclass(frozen=True, slots=True)
class Slot:
    """A task in the calendar: its working spells, when its glue is cured, hands at once, slack in s."""

    task: Task
    spells: tuple[Session, ...]
    ready: dt.datetime
    people: int
    slack: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The build in the calendar.

    Parameters
    ----------
    slots
        In the order of their beginning.
    finished
        When the last glue is cured.
    launch
        The first opening after that.
    """

    slots: tuple[Slot, ...]
    finished: dt.datetime
    launch: dt.date


_FAR = 600
"""Openings looked at; a build that needs more has no useful plan."""


def lay_out(
    tasks: Sequence[Task], start: dt.date, openings: Sequence[Opening], people: int, closed: Sequence[dt.date] = ()
) -> Plan | None:
    """Lay the tasks into the opening hours, those with the least slack first; None when the hours never suffice.

    A task that fits into one opening is not split; a longer one goes on at the next opening. A task that wants more
    hands than there are takes all there are, and longer in proportion.
    """
    open_times = list(islice(sessions(start, openings, closed), _FAR))
    if not open_times:
        return None
    timing = critical_path(tasks)
    longest = max(end - begin for begin, end in open_times)
    ready: dict[str, dt.datetime] = {}
    busy: list[tuple[dt.datetime, dt.datetime, int]] = []
    slots = []
    by_code = {task.code: task for task in tasks}
    urgency = {code: (at.latest_start, at.start, code) for code, at in timing.items()}
    for code in in_order({task.code: task.after for task in tasks}, urgency.__getitem__):
        task = by_code[code]
        hands = min(task.people, people)
        work = dt.timedelta(seconds=round(task.work * task.people / max(hands, 1)))
        free_from = max((ready[before] for before in task.after), default=open_times[0][0])
        spells = _spells(work, work > longest, free_from, hands, people, open_times, busy)
        if spells is None:
            return None
        busy += [(begin, end, hands) for begin, end in spells]
        done = (spells[-1][1] if spells else free_from) + dt.timedelta(seconds=task.wait)
        ready[task.code] = done
        slots.append(Slot(task, tuple(spells), done, hands, timing[task.code].slack))
    finished = max(ready.values(), default=open_times[0][0])
    launch = next((begin.date() for begin, _ in sessions(start, openings, closed) if begin >= finished), None)
    if launch is None:
        return None
    return Plan(
        tuple(sorted(slots, key=lambda s: (s.spells[0][0] if s.spells else s.ready, s.task.code))), finished, launch
    )


def _spells(
    work: dt.timedelta, split: bool, free_from: dt.datetime, hands: int, people: int, open_times: Sequence[Session],
    busy: Sequence[tuple[dt.datetime, dt.datetime, int]],
) -> list[Session] | None:  # fmt: skip
    if not work:
        return []
    spells: list[Session] = []
    for opened, closes in open_times:
        begin = max(opened, free_from)
        while begin < closes:
            until = _free_until(begin, closes, hands, people, busy)
            if split and until > begin:
                end = min(until, begin + work)
                spells.append((begin, end))
                work -= end - begin
                if not work:
                    return spells
                begin = end
            elif not split and until - begin >= work:
                return [(begin, begin + work)]
            later = [end for _, end, _ in busy if begin < end < closes]
            if not later:
                break
            begin = min(later)
    return None


def _free_until(
    begin: dt.datetime,
    closes: dt.datetime,
    hands: int,
    people: int,
    busy: Sequence[tuple[dt.datetime, dt.datetime, int]],
) -> dt.datetime:
    """Return until when enough hands are free from a moment on; the moment itself when they aren't."""
    for moment in sorted({begin, *(start for start, _, _ in busy if begin < start < closes)}):
        taken = sum(count for start, end, count in busy if start <= moment < end)
        if taken + hands > people:
            return moment
    return closes
