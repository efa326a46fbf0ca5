"""When the rockets are built: the work of all of them laid into the hours of the workshop, from now or a day on."""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import BottlewrightError, FieldsError
from bottlewright.project.picture import Shown

if TYPE_CHECKING:
    from bottlewright.make.plan.schedule import Plan
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["Schedule", "ScheduleRow", "entered_workshop", "schedule_of", "workshop_answers"]


class ScheduleRow(NamedTuple):
    """One step for some rockets on one day, in words.

    Parameters
    ----------
    when, what
        Day and hours, and the step; for which rockets.
    people
        How many work on each, and what else it needs.
    waits_for
        What it waited for last; empty where nothing held it.
    ready
        When it is done and cured.
    critical
        Whether a delay of it moves the end.
    """

    when: str
    what: str
    people: str
    waits_for: str
    ready: str
    critical: bool


@dataclass(frozen=True)
class Schedule:
    """The build in the calendar; its own numbers say when, nothing is flown for it.

    Parameters
    ----------
    project, now
        What is built, and when somebody asked.
    plan
        None where the hours never suffice.
    begins
        When the work may begin.
    assumed
        What nobody said, and what was taken for it.
    """

    project: "Project"
    now: dt.datetime
    plan: "Plan | None"
    begins: dt.datetime
    assumed: tuple[str, ...]

    @property
    def words(self) -> str:
        """Say when all of it is ready."""
        if self.plan is None:
            return "It never fits the hours of the workshop"
        many = f"{self.plan.rockets} rockets ready" if self.plan.rockets > 1 else "Ready"
        return f"{many} by {_said(self.plan.finished)}"

    @property
    def first(self) -> str:
        """Say when the first of the work begins; empty without a plan."""
        if self.plan is None:
            return ""
        return _said(min((slot.spells[0][0] for slot in self.plan.slots if slot.spells), default=self.begins))

    @cached_property
    def rows(self) -> list[ScheduleRow]:
        """The list: each day's work in the order of its beginning."""
        from bottlewright.make.plan.by_step import by_step, numbers_of, waits_for

        if self.plan is None:
            return []
        found = []
        for step in by_step(self.plan):
            for spells in step.days().values():
                slots = [slot for _, slot in spells]
                begin, end = min(one[0] for one, _ in spells), max(one[1] for one, _ in spells)
                whose = numbers_of(slots)
                needs = [name for name in slots[0].task.needs if name.startswith(("an ", "the "))]
                held = list(dict.fromkeys(filter(None, (waits_for(self.plan, slot) for slot in slots))))
                found.append((begin, ScheduleRow(
                    f"{_day(begin)} {begin:%H:%M}–{end:%H:%M}", step.title + (f", {whose}" if whose else ""),
                    ", ".join([f"{slots[0].people} people" if slots[0].people > 1 else "1 person", *needs])
                    + (" each" if len(slots) > 1 else ""),
                    "; ".join(held[:3]), _said(max(slot.ready for slot in slots)), step.critical,
                )))  # fmt: skip
        return [row for _, row in sorted(found, key=lambda one: one[0])]

    @property
    def ready_by(self) -> list[tuple[str, str]]:
        """When what is done for each rocket alone is done and cured."""
        if self.plan is None or self.plan.rockets == 1:
            return []
        return [(f"rocket {number}", _said(ready)) for number, ready in sorted(self.plan.ready().items())]

    @cached_property
    def picture(self) -> Shown | None:
        """The days of work, to scale; None without a plan."""
        from bottlewright.make.plan.picture import plan_picture

        return Shown(plan_picture(self.plan)) if self.plan else None

    def calendar(self) -> bytes:
        """Return it as a calendar file; empty without a plan."""
        from bottlewright.make.plan.calendar import plan_ics

        return plan_ics(self.project.name, self.plan, self.now) if self.plan else b""


def schedule_of(project: "Project", now: dt.datetime | None = None) -> Schedule:
    """Lay the work out from now on, or from the day that the design says; see `Project.schedule`."""
    from bottlewright.make.build import begins, planned
    from bottlewright.make.plan.glues import usual_temperature
    from bottlewright.make.plan.steps import PEOPLE, build_steps, limits_of, tasks_of
    from bottlewright.make.specification import specify
    from bottlewright.make.template_values import template_values

    design, now = project.design, (now or dt.datetime.now()).replace(second=0, microsecond=0)
    shop, spec = design.workshop, specify(design, {})
    steps = build_steps(spec, template_values(spec))
    warm = shop.temperature.value if shop.temperature else usual_temperature()
    tasks, cold = tasks_of(steps, warm)
    single = limits_of(steps, shop.adults, design.stock.have)[1]
    gone = shop.start is not None and shop.start < now.date()
    taken = [
        (f"{shop.start} is gone: the work begins at the next full hour." if gone else ""),
        ("" if shop.start else "Nobody said when the work begins: at the next full hour."),
        ("" if shop.hours else "Open every day from 10:00 to 16:00."),
        ("" if shop.people else f"{PEOPLE} people build at the same time."),
        ("" if shop.adults else "An adult is there for every step that asks for one."),
        ("" if shop.temperature else f"{warm - 273.15:g} °C while glue cures."),
        (f"Nobody counted {', '.join(single)}: one of each. Of other tools that nobody counted there are enough."
         if single else "Of tools that nobody counted there are enough."),
        *(f"{one.found}: {one.remedy}" for one in cold),
    ]  # fmt: skip
    return Schedule(project, now, planned(design, steps, tasks, now), begins(design, now), tuple(filter(None, taken)))


def _day(moment: dt.datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%b}"


def _said(moment: dt.datetime) -> str:
    return f"{_day(moment)} {moment:%H:%M}"


# --- what somebody says of the workshop ------------------------------------------------------------------------------

_COUNTS = ("people", "rockets", "adults")
_ASKED = ("start", "begins", *_COUNTS, "hours")
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def workshop_answers(project: "Project") -> dict[str, str]:
    """Return what the design says of the workshop, as it is typed; empty where it says nothing."""
    shop = project.design.workshop
    found = {name: "" if getattr(shop, name) is None else str(getattr(shop, name)) for name in _ASKED[:-1]}
    by_span: dict[str, list[str]] = {}
    for one in shop.hours:
        by_span.setdefault(one.partition(" ")[2], []).append(one.partition(" ")[0])
    daily = all(sorted(days) == sorted(_DAYS) for days in by_span.values())
    return {**found, "hours": ", ".join(by_span if daily else shop.hours)}


def entered_workshop(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that says when, by how many and for how many rockets the work is done.

    Parameters
    ----------
    given
        ``start`` (``"2027-03-06"``), ``begins`` (``"14:00"``), ``people``, ``adults``, ``rockets`` as counts, ``hours``
        (``"Sat 10:00-13:00, Wed 16:30-18:30"``, or without a day for every day); what is empty is taken out.

    Raises
    ------
    FieldsError
        With what is wrong, by field.
    """
    from bottlewright.project.editing import edited

    before = workshop_answers(project)
    values: dict[str, str | int | list[str] | None] = {}
    wrong: dict[str, str] = {}
    for name in _ASKED:
        text = " ".join(given.get(name, before[name]).split())
        if text == before[name]:
            continue
        value: str | int | list[str] | None = text or None
        if name in _COUNTS and text.isdecimal() and len(text) < 6:
            value = int(text)
        elif name == "hours" and text:
            value = _hours(text)
        try:
            edited(project, {f"workshop.{name}": value})
            values[f"workshop.{name}"] = value
        except BottlewrightError as error:
            wrong[name] = _why(error)
    if wrong:
        raise FieldsError(wrong)
    return values


def _why(error: BottlewrightError) -> str:
    """Return what is wrong with one value, without its place in the file."""
    problems = getattr(error, "problems", ())
    return "; ".join(filter(None, (part for one in problems for part in (one.why, one.right)))) or str(error)


def _hours(text: str) -> list[str]:
    """Return openings as the file has them; one without a day is for every day."""
    found = []
    for one in re.split(r"[,;]\s*", text):
        span = re.sub(r"(?<!\d)(\d):", r"0\1:", re.sub(r"\s*(?:-|–|to)\s*", "-", one.strip()))
        days = [span.split(" ")[0].title()] if " " in span else list(_DAYS)
        found += [f"{day} {span.rpartition(' ')[2]}" for day in days]
    return found
