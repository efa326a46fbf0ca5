"""What is read, seen and confirmed on a day: gauge, wind, sky, people inside the lines, near misses."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from bottlewright.logbook.day_answer import Answer, only, put
from bottlewright.logbook.day_gauge import fallen, fell_words, pumped_by
from bottlewright.logbook.day_plan import DayRocket
from bottlewright.logbook.day_state import Cycle, Day, Refusal, RocketNow, seconds_of
from bottlewright.logbook.day_stop import GOING_ON, called, stop, without
from bottlewright.logbook.day_table import STOP, day_table
from bottlewright.logbook.day_typed import typed
from bottlewright.logbook.day_wind import lowered, over_words, wind_told
from bottlewright.logbook.journal import Entry
from bottlewright.quantities import Dimension

__all__ = ["SEEN"]


def _reading(day: Day, entry: Entry) -> Answer:
    name, role = entry["rocket"], str(entry.get("role"))
    if role not in ("pump", "watch"):
        return day, Refusal("only pumper and field watch read the gauge")
    if refusal := only(day, entry, role):
        return day, refusal
    pressure = typed(entry["pressure"], Dimension.PRESSURE)
    rocket, now = day.plan.rockets[name], day.rockets[name]
    if pressure < 0.0:
        return day, Refusal(f"a gauge reads zero or more, and this says {entry['pressure']}: write what it shows, "
                            "such as 4.5 bar")  # fmt: skip
    now = replace(now, readings={**now.readings, role: pressure})
    if pressure > 0.0 and now.state in ("field clear", "approach allowed"):
        return _found_pressure(day, rocket, now, entry, pressure)
    now = replace(now, pumped=pumped_by(rocket, now))
    day = put(_peaked(day, now, pressure), name, now)
    over = rocket.allowed_Pa is None or pressure > min(rocket.allowed_Pa, now.less_Pa or rocket.allowed_Pa)
    if pressure > 0.0 and now.state == "misfire wait":
        return put(day, name, replace(now, state="venting", since=day.at, count=day.count)), None
    if over and pressure > 0.0 and now.state in GOING_ON:
        return stop(day, {**entry, "why": f"overshoot: {entry['pressure']} on the gauge"})
    if now.state in GOING_ON and fallen(rocket, now, role, pressure):
        return stop(day, {**entry, "why": fell_words(rocket, now, role, pressure)})
    return day, None


def _found_pressure(day: Day, rocket: DayRocket, now: RocketNow, entry: Entry, pressure: float) -> Answer:
    """Stop where the gauge shows pressure and there should be none: it was pumped unsaid, or a hose was blocked."""
    if now.cycle is None:
        now = replace(now, cycle=len(day.cycles))
        day = replace(day, cycles=(*day.cycles, Cycle(entry["entry"], entry["at"], rocket.vessel, pressure, "begun")))
    why = f"pressure where there should be none: {entry['pressure']} on the gauge"
    stopped = replace(now, state=STOP, since=day.at, count=day.count, cause=why, second_sign="", pumped_at=day.at)
    return stop(put(day, rocket.name, stopped), {**entry, "why": why})


def _peaked(day: Day, now: RocketNow, pressure: float) -> Day:
    if now.cycle is None or now.state not in ("pressurising", "holding", "ready", STOP, "venting"):
        return day
    if pressure <= 0.0:  # the pressure is off: how high it was, this does not say
        return day
    cycles = list(day.cycles)
    cycles[now.cycle] = cycles[now.cycle]._replace(peak_Pa=max(pressure, cycles[now.cycle].peak_Pa or 0.0))
    return replace(day, cycles=tuple(cycles))


def _confirm(day: Day, entry: Entry) -> Answer:
    point = day_table().confirms[entry["point"]]
    refusal = only(day, entry, point.by) or (_wind_over(day) if point.point == "wind" else None)
    return (day, refusal) if refusal else (
        replace(day, confirms={**day.confirms, point.point: (day.at, day.count)}), None)


def _wind_over(day: Day) -> Refusal | None:
    """Refuse to take the wind for low where the last reading is over the limit of a rocket that waits for this."""
    asked = {start for (start, _), step in day_table().steps.items() if "wind" in step.confirm}
    waiting = [day.plan.rockets[name] for name, now in day.rockets.items() if now.state in asked]
    over = next((f"{one.name}: {over}" for one in waiting if (over := over_words(one, day.wind))), "")
    return Refusal(over) if over else None


def _wind(day: Day, entry: Entry) -> Answer:
    told = wind_told(entry)
    if isinstance(told, Refusal):
        return day, told
    return (replace(day, wind=told) if day.wind is None or told.at >= day.wind.at else day), None


def _lower_wind(day: Day, entry: Entry) -> Answer:
    """Hold a rocket to the lower limit that its design was found to have since the day was prepared."""
    rocket = day.plan.rockets[entry["rocket"]]
    lower = lowered(rocket, float(entry["limit_m_s"]), [(float(way), float(most)) for way, most in
                                                        entry.get("winds", ())])  # fmt: skip
    if lower == rocket:
        return day, Refusal("the limit of the wind is as low already, or nobody has worked one out")
    plan = replace(day.plan, rockets={**day.plan.rockets, rocket.name: lower})
    return replace(day, plan=plan), None


def _thunder(day: Day, entry: Entry) -> Answer:
    at = seconds_of(entry["at"])
    return replace(day, thunder=max(at, day.thunder or at)), None


def _sky(day: Day, entry: Entry) -> Answer:
    what = {name for name in ("aircraft", "darkness", "frost") if entry.get(name) is True}
    gone = {name for name in ("aircraft", "darkness", "frost") if entry.get(name) is False}
    refusal = only(day, entry, "watch") if gone & day.sky else None  # anybody may see one, the watch says it is gone
    return (day, refusal) if refusal else (replace(day, sky=(day.sky - gone) | what), None)


def _inside(day: Day, entry: Entry) -> Answer:
    count = int(entry["count"])
    refusal = only(day, entry, "watch") if count < day.inside else None
    return (day, refusal) if refusal else (replace(day, inside=max(count, 0)), None)


def _near_miss(day: Day, entry: Entry) -> Answer:
    return replace(day, near_misses=called(day.near_misses, entry, str(entry.get("note") or "a near miss"))), None


def _signed(day: Day, entry: Entry) -> Answer:
    refusal = only(day, entry, "charge")
    return (day, refusal) if refusal else (replace(day, near_misses=without(day.near_misses, entry)), None)


def _second_sign(day: Day, entry: Entry) -> Answer:
    now = day.rockets[entry["rocket"]]
    if now.state != "misfire wait" or not str(entry["sign"]).strip():
        return day, Refusal("a second sign counts while the gauge reads zero, and says what was seen")
    return put(day, entry["rocket"], replace(now, second_sign=str(entry["sign"]))), None


SEEN: Mapping[str, Callable[[Day, Entry], Answer]] = {
    "reading": _reading, "confirm": _confirm, "wind": _wind, "lower wind": _lower_wind, "thunder": _thunder,
    "sky": _sky, "inside": _inside, "near miss": _near_miss, "near miss signed": _signed, "second sign": _second_sign,
}  # fmt: skip
"""What the entries of this module make of a day, by what they are."""
