"""The build in time: critical path, then the working times laid into the workshop's opening hours.

Work needs an open workshop and free hands; glue cures day and night.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from itertools import islice
from typing import Any

__all__ = [
    "HANDS", "Opening", "Plan", "Session", "Slot", "Task", "Timing", "critical_path", "in_order", "lay_out", "sessions",
]  # fmt: skip


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
    needs
        What else it needs while it is worked on, and how many: an adult, a tool.
    rocket
        For which of several rockets, counted from 1; 0 where it is done once for all, or there is one rocket.
    step
        Code of the build step that it is; its own code where it is one task.
    """

    code: str
    title: str
    work: float
    wait: float = 0.0
    after: tuple[str, ...] = ()
    people: int = 1
    needs: Mapping[str, int] = field(default_factory=dict)
    rocket: int = 0
    step: str = ""


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
    """Return the opening times from a day or its hour on, for five years, in order; touching ones are joined."""
    hour = start if isinstance(start, dt.datetime) else dt.datetime.combine(start, dt.time(0))
    for day in (hour.date() + dt.timedelta(days=k) for k in range(5 * 366)):
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
        yield from ((max(begin, hour), end) for begin, end in joined if end > hour)


@dataclass(frozen=True, slots=True)
class Slot:
    """A task in the calendar: its working spells, when its glue is cured, hands at once, slack in s.

    Parameters
    ----------
    held_by
        What it waited for last: the code of a task, or what there was too little of; empty where nothing held it.
    """

    task: Task
    spells: tuple[Session, ...]
    ready: dt.datetime
    people: int
    slack: float
    held_by: str = ""


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
    rockets
        How many are built.
    open_times
        When the workshop is open, up to the launch.
    """

    slots: tuple[Slot, ...]
    finished: dt.datetime
    launch: dt.date
    rockets: int = 1
    open_times: tuple[Session, ...] = ()

    def ready(self) -> dict[int, dt.datetime]:
        """Return when all that is done for each rocket alone is done and cured, by its number."""
        found: dict[int, dt.datetime] = {}
        for slot in self.slots:
            if slot.task.rocket or self.rockets == 1:
                number = slot.task.rocket or 1
                found[number] = max(found.get(number, slot.ready), slot.ready)
        return found


HANDS = "hands"
"""What people are called among what there is too little of."""

_FAR = 600
"""Openings looked at; a build that needs more has no useful plan."""

Busy = list[tuple[dt.datetime, dt.datetime, Mapping[str, int]]]
"""What is in use from when to when."""


def lay_out(
    tasks: Sequence[Task], start: dt.date, openings: Sequence[Opening], people: int, closed: Sequence[dt.date] = (),
    limits: Mapping[str, int] | None = None,
) -> Plan | None:  # fmt: skip
    """Lay the tasks into the opening hours, those with the least slack first; None when the hours never suffice.

    A task that fits into one opening is not split; a longer one goes on at the next opening. A task that wants more
    hands than there are takes all there are, and longer in proportion.

    Parameters
    ----------
    start
        A day, or a day with its hour.
    limits
        How many there are of what tasks need besides hands; of what is not among them there is enough.
    """
    open_times = list(islice(sessions(start, openings, closed), _FAR))
    if not open_times:
        return None
    room, timing = {**(limits or {}), HANDS: people}, critical_path(tasks)
    longest = max(end - begin for begin, end in open_times)
    ready: dict[str, dt.datetime] = {}
    busy: Busy = []
    slots = []
    by_code = {task.code: task for task in tasks}
    urgency = {code: (at.latest_start, at.start, by_code[code].rocket, code) for code, at in timing.items()}
    for code in in_order({task.code: task.after for task in tasks}, urgency.__getitem__):
        task = by_code[code]
        hands = min(task.people, people)
        work = dt.timedelta(seconds=round(task.work * task.people / max(hands, 1)))
        free_from = max((ready[before] for before in task.after), default=open_times[0][0])
        wants = {HANDS: hands, **{what: min(count, room[what]) for what, count in task.needs.items() if what in room}}
        spells, lacked = _spells(work, work > longest, free_from, wants, room, open_times, busy)
        if spells is None:
            return None
        busy += [(begin, end, wants) for begin, end in spells]
        done = (spells[-1][1] if spells else free_from) + dt.timedelta(seconds=task.wait)
        ready[task.code] = done
        held = lacked or next((one for one in task.after if ready[one] == free_from), "")
        slots.append(Slot(task, tuple(spells), done, hands, timing[task.code].slack, held))
    finished = max(ready.values(), default=open_times[0][0])
    launch = next((begin.date() for begin, _ in sessions(start, openings, closed) if begin >= finished), None)
    if launch is None:
        return None
    return Plan(
        tuple(sorted(slots, key=lambda s: (s.spells[0][0] if s.spells else s.ready, s.task.code))), finished, launch,
        max((task.rocket for task in tasks), default=0) or 1, tuple(one for one in open_times if one[0] <= finished),
    )  # fmt: skip


def _spells(
    work: dt.timedelta, split: bool, free_from: dt.datetime, wants: Mapping[str, int], room: Mapping[str, int],
    open_times: Sequence[Session], busy: Busy,
) -> tuple[list[Session] | None, str]:  # fmt: skip
    """Return when a task is worked on, and what it lacked last before it could begin."""
    if not work:
        return [], ""
    spells: list[Session] = []
    lacked = ""
    for opened, closes in open_times:
        begin = max(opened, free_from)
        near = [one for one in busy if one[1] > begin and one[0] < closes] if begin < closes else []
        while begin < closes:
            until, short = _free_until(begin, closes, wants, room, near)
            if split and until > begin:
                end = min(until, begin + work)
                spells.append((begin, end))
                work -= end - begin
                if not work:
                    return spells, lacked
                begin = end
            elif not split and until - begin >= work:
                return [(begin, begin + work)], lacked
            lacked = short or lacked
            later = [end for _, end, _ in near if begin < end < closes]
            if not later:
                break
            begin = min(later)
    return None, lacked


def _free_until(
    begin: dt.datetime, closes: dt.datetime, wants: Mapping[str, int], room: Mapping[str, int], busy: Busy
) -> tuple[dt.datetime, str]:
    """Return until when there is enough of all from a moment on, and what is short then.

    The moment itself where there is not enough now.
    """
    for moment in sorted({begin, *(start for start, _, _ in busy if begin < start < closes)}):
        taken = [uses for start, end, uses in busy if start <= moment < end]
        for what, count in wants.items():
            if sum(uses.get(what, 0) for uses in taken) + count > room[what]:
                return moment, what
    return closes, ""
