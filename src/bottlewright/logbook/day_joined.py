"""What was done on one laptop although another, which it knew nothing of, had barred it: done is done.

Journals of two laptops are one when they meet, and a stop or a limit of the one may come before a step of the other.
Read again, that step is refused; but somebody did it. A rocket that was pumped would be shown as one without pressure,
and somebody would walk there. So it stands at “stop”, and the whole day with it, until the pressure is off.
"""

from dataclasses import replace

from bottlewright.logbook.day_answer import put
from bottlewright.logbook.day_order import by_the_rules_of_now
from bottlewright.logbook.day_state import Day, Refusal, RocketNow
from bottlewright.logbook.day_stop import called, stopped
from bottlewright.logbook.day_table import STOP, day_table
from bottlewright.logbook.journal import Entry

__all__ = ["done_all_the_same", "why_in_doubt"]

_PRESSED = frozenset({"pump", "hold", "tight", "launch", "misfire", "leak", "vent", "zero", "pressure again"})
"""Steps that nobody takes with a rocket that surely has no pressure."""
_FILLED = {"load": "loaded", "seat": "seated", "clear": "field clear"}
"""Steps that somebody did with a rocket without pressure, and where it stands since."""


def done_all_the_same(day: Day, entry: Entry, refusal: Refusal) -> Day:
    """Return a day after a step that was written down as taken and is refused as the journal is read again.

    What leads away from pressure is not taken for done: the rocket stays where nobody goes near.
    """
    event, name, why = entry.get("event"), str(entry.get("rocket")), why_in_doubt(entry, refusal)
    if not why:
        return day
    if name in day.rockets:
        day = put(day, name, _stands(day, day.rockets[name], entry))
    if event == "leak" and name in day.plan.rockets:
        day = replace(day, retired={**day.retired, day.plan.rockets[name].vessel: "it leaked"})
    return replace(stopped(day, why), stops=called(day.stops, entry, why))


def why_in_doubt(entry: Entry, refusal: Refusal) -> str:
    """Say why everything stops for a step that was done and is refused now; empty where nothing does."""
    event = entry.get("event")
    known = entry.get("what") == "step" and not entry.get("offline") and by_the_rules_of_now(entry)
    if not known or (event not in _PRESSED and event not in _FILLED):
        return ""
    return (f"“{day_table().acts[str(event)].done}”, {entry.get('rocket')}, was said on one laptop, and against it "
            f"stood on another: {refusal.why}. Look where each rocket stands")  # fmt: skip


def _stands(day: Day, now: RocketNow, entry: Entry) -> RocketNow:
    """Return where a rocket stands for caution."""
    if entry["event"] in _FILLED:  # somebody did it, whatever steps before it were refused
        state = day_table().states[now.state]
        stays = state.pressure != "none" or state.last or state.name == "field clear"
        return now if stays else replace(now, state=_FILLED[entry["event"]], since=day.at, count=day.count)
    if now.state in (STOP, "venting", "misfire wait"):
        return now
    mine = next((number for number, one in enumerate(day.cycles) if one.entry == entry["entry"]), now.cycle)
    cycle = mine if now.cycle is None else now.cycle
    return replace(now, state=STOP, since=day.at, count=day.count, cause="another laptop", readings={}, second_sign="",
                   holder="", cycle=cycle, pumped_at=day.at if now.pumped_at is None else now.pumped_at)  # fmt: skip
