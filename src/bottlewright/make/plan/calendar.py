"""The build as an iCalendar file: one event a working spell, a day for the launch; by the workshop's own clock."""

import datetime as dt
import hashlib

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
    for slot in plan.slots:
        for number, (begin, end) in enumerate(slot.spells, 1):
            event = Event()
            part = f" ({number} of {len(slot.spells)})" if len(slot.spells) > 1 else ""
            event.add("summary", f"{name}: {slot.task.title}{part}")
            event.add("dtstart", begin)  # floating time: the clock on the workshop's wall
            event.add("dtend", end)
            event.add("dtstamp", stamp)
            event.add("uid", _uid(name, slot.task.code, str(number)))
            cured = f" Glue cured {slot.ready:%a %d %b %Y %H:%M}." if slot.task.wait else ""
            event.add("description", f"{slot.people} at work.{cured}")
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
