"""The build as an iCalendar file: one event a step and day, a day for the launch; by the workshop's own clock."""

import datetime as dt
import hashlib

from bottlewright.make.plan.by_step import by_step, numbers_of
from bottlewright.make.plan.schedule import Plan

__all__ = ["plan_ics"]


def plan_ics(name: str, plan: Plan, stamp: dt.datetime) -> bytes:
    """Return the plan as iCalendar (RFC 5545): lines end in CRLF and are folded at 75 octets by the library.

    Parameters
    ----------
    name
        Of the rocket.
    stamp
        When the file is made; every event has to carry it.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Bottlewright//build schedule//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{name}: build")
    for step in by_step(plan):
        days = step.days()
        for number, spells in enumerate(days.values(), 1):
            slots = [slot for _, slot in spells]
            event = Event()
            part = f" ({number} of {len(days)})" if len(days) > 1 else ""
            whose = f", {numbers_of(slots)}" if numbers_of(slots) else ""
            event.add("summary", f"{name}: {step.title}{whose}{part}")
            event.add("dtstart", min(begin for (begin, _), _ in spells))  # floating time: the clock on the wall
            event.add("dtend", max(end for (_, end), _ in spells))
            event.add("dtstamp", stamp)
            event.add("uid", _uid(name, step.code, str(number)))
            ready = max(slot.ready for slot in slots)
            cured = f" Glue cured {ready:%a %d %b %Y %H:%M}." if slots[0].task.wait else ""
            event.add("description", f"{slots[0].people} at work{' on each' if len(slots) > 1 else ''}.{cured}")
            calendar.add_component(event)
    launch = Event()
    launch.add("summary", f"{name}: earliest launch day")
    launch.add("dtstart", plan.launch)
    launch.add("dtend", plan.launch + dt.timedelta(days=1))
    launch.add("dtstamp", stamp)
    launch.add("uid", _uid(name, "launch", "1"))
    launch.add(
        "description", "Only if no stop finding is open, wind and field allow it, and the person in charge agrees."
    )
    calendar.add_component(launch)
    return bytes(calendar.to_ical())


def _uid(*parts: str) -> str:
    return hashlib.sha256("/".join(parts).encode()).hexdigest()[:32] + "@bottlewright.invalid"
