"""Stop: anybody's, at any time; when it is over; and what has to be stopped by itself."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from bottlewright.logbook.day_answer import Answer, only
from bottlewright.logbook.day_state import Day, Refusal
from bottlewright.logbook.day_table import STOP, day_table
from bottlewright.logbook.gates import WHILE_UNDER_PRESSURE, at_gate
from bottlewright.logbook.journal import Entry

__all__ = ["GOING_ON", "Due", "called", "changed_under_pressure", "due", "lift", "stop", "stopped",
           "stopped_under_pressure", "without"]  # fmt: skip


class Due(NamedTuple):
    """What has to be done at once: of which rocket, and why."""

    rocket: str
    why: str


def stop(day: Day, entry: Entry) -> Answer:
    """Stop everything: anybody, any time, from any device."""
    why = str(entry.get("why") or "somebody called stop")
    return replace(stopped(day, why), stops=called(day.stops, entry, why)), None


def stopped(day: Day, why: str) -> Day:
    """Return a day on which no rocket goes on that is, or is next, under pressure."""
    rockets = {}
    for name, now in day.rockets.items():
        to = day_table().next_state(now.state, STOP)
        off = replace(now, state=STOP, since=day.at, count=day.count, cause=why, holder="")
        rockets[name] = off if to not in (None, now.state) else now
    return replace(day, rockets=rockets)


def called(those: Mapping[str, str], entry: Entry, why: str) -> Mapping[str, str]:
    """Return the stops, or near misses, that stand with one more, by the entry that called it."""
    return {**those, str(entry.get("entry")): why}


def without(those: Mapping[str, str], entry: Entry) -> Mapping[str, str]:
    """Return those that stand after an entry has ended some: all that its laptop knew, and no other.

    Who ends a stop has looked at what it was called for. One that another laptop wrote meanwhile stands.
    """
    ended = entry.get("of")
    return {one: why for one, why in those.items() if one not in ended} if isinstance(ended, list) else {}


def lift(day: Day, entry: Entry) -> Answer:
    """End a stop, by the word of the person in charge, once nothing that was stopped may be under pressure."""
    refusal = only(day, entry, "charge")
    if refusal is None and (waiting := stopped_under_pressure(day)):
        refusal = Refusal(f"the stop stands until the pressure is off: {', '.join(waiting)}")
    return (day, refusal) if refusal else (replace(day, stops=without(day.stops, entry)), None)


def stopped_under_pressure(day: Day) -> list[str]:
    """Return the rockets of which nobody knows yet that the pressure is off: a stop stands as long as there is one."""
    return [name for name, now in day.rockets.items() if now.state in (STOP, "venting", "misfire wait")]


GOING_ON = ("pressurising", "holding", "ready")
"""States in which a rocket is under pressure, and is led on."""


def due(day: Day, at: float, barred: Mapping[str, Sequence[str]] = MappingProxyType({})) -> list[Due]:
    """Return the rockets that have to be stopped now, or whose pressure is not off in time.

    Whoever keeps the day asks often, and writes a stop for each.

    Parameters
    ----------
    barred
        What the designs of now say against rockets, by name: with pressure on, nobody knows the limits any more.
    """
    table, found = day_table(), []
    for name, now in day.rockets.items():
        if now.state in GOING_ON:
            why = [changed_under_pressure(barred[name])] if barred.get(name) else []
            why += [one.says for gate in WHILE_UNDER_PRESSURE for one in at_gate(day, gate, day.plan.rockets[name], at)]
            if now.pumped_at is not None and at - now.pumped_at > table.limits["under_pressure"].seconds:
                why.append(table.limits["under_pressure"].says)
            found += [Due(name, "; ".join(why))] if why else []
        elif now.state == STOP and now.pumped_at is not None:
            wait = table.limits["misfire_wait" if now.cause == "misfire" else "vent_within"].seconds
            if at - now.since > wait:
                found.append(Due(name, "the pressure is let off now, from a distance"))
    return found


def changed_under_pressure(against: Sequence[str]) -> str:
    """Say why everything stops where a design is another while its rocket is under pressure."""
    return f"under pressure, and its design is not what the day was prepared with: {'; '.join(against)}"
