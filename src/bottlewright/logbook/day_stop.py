"""Stop: anybody's, at any time; when it is over; and what has to be stopped by itself."""

from dataclasses import replace
from typing import NamedTuple

from bottlewright.logbook.day_answer import Answer, only
from bottlewright.logbook.day_state import Day, Refusal
from bottlewright.logbook.day_table import STOP, day_table
from bottlewright.logbook.gates import WHILE_UNDER_PRESSURE, at_gate
from bottlewright.logbook.journal import Entry

__all__ = ["Due", "due", "lift", "stop", "stopped_under_pressure"]


class Due(NamedTuple):
    """What has to be done at once: of which rocket, and why."""

    rocket: str
    why: str


def stop(day: Day, entry: Entry) -> Answer:
    """Stop everything: anybody, any time, from any device."""
    why, table = str(entry.get("why") or "somebody called stop"), day_table()
    rockets = {}
    for name, now in day.rockets.items():
        to = table.next_state(now.state, STOP)
        stopped = replace(now, state=STOP, since=day.at, count=day.count, cause=why, holder="")
        rockets[name] = stopped if to not in (None, now.state) else now
    return replace(day, rockets=rockets, stop=day.stop or why), None


def lift(day: Day, entry: Entry) -> Answer:
    """End a stop, by the word of the person in charge, once nothing that was stopped may be under pressure."""
    refusal = only(day, entry, "charge")
    if refusal is None and (waiting := stopped_under_pressure(day)):
        refusal = Refusal(f"the stop stands until the pressure is off: {', '.join(waiting)}")
    return (day, refusal) if refusal else (replace(day, stop=""), None)


def stopped_under_pressure(day: Day) -> list[str]:
    """Return the rockets of which nobody knows yet that the pressure is off: a stop stands as long as there is one."""
    return [name for name, now in day.rockets.items() if now.state in (STOP, "venting", "misfire wait")]


def due(day: Day, at: float) -> list[Due]:
    """Return the rockets that have to be stopped now, or whose pressure is not off in time.

    Whoever keeps the day asks often, and writes a stop for each.
    """
    table, found = day_table(), []
    for name, now in day.rockets.items():
        if now.state in ("pressurising", "holding", "ready"):
            why = [one.says for gate in WHILE_UNDER_PRESSURE for one in at_gate(day, gate, day.plan.rockets[name], at)]
            if now.pumped_at is not None and at - now.pumped_at > table.limits["under_pressure"].seconds:
                why.append(table.limits["under_pressure"].says)
            found += [Due(name, "; ".join(why))] if why else []
        elif now.state == STOP and now.pumped_at is not None:
            wait = table.limits["misfire_wait" if now.cause == "misfire" else "vent_within"].seconds
            if at - now.since > wait:
                found.append(Due(name, "the pressure is let off now, from a distance"))
    return found
