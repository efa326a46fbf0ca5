"""The day as what its journal makes of it: each entry leads to the next state of the day, or is refused with why.

Nothing here looks at a clock or writes a file. `decide` is asked before an entry is acknowledged; `day_of` reads a
journal again, after a crash or a merge, and comes to the same day. A time under pressure counts whatever became of it.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import NamedTuple

from bottlewright.logbook.day_plan import CrewMember, DayPlan, DayRocket, plan_of
from bottlewright.logbook.day_replanned import as_before, moved_on_paper
from bottlewright.logbook.day_state import Cycle, Day, Refusal, RocketNow, seconds_of
from bottlewright.logbook.day_table import STOP, Step, day_table
from bottlewright.logbook.day_typed import pressure_told, typed
from bottlewright.logbook.day_wind import lowered, wind_told
from bottlewright.logbook.gates import WHILE_UNDER_PRESSURE, at_gate, blocks
from bottlewright.logbook.journal import Entry
from bottlewright.logbook.offline import OFFLINE, counted
from bottlewright.logbook.records import LANDINGS
from bottlewright.quantities import Dimension, QuantityError

__all__ = ["NO_PLAN", "Due", "carried_on", "day_of", "decide", "due", "order_of", "prepared",
           "stopped_under_pressure"]  # fmt: skip


class Due(NamedTuple):
    """What has to be done at once: of which rocket, and why."""

    rocket: str
    why: str


NO_PLAN = DayPlan({}, {})
"""A day of which nothing is known yet."""


def prepared(plan: DayPlan) -> Day:
    """Return a day before its first entry."""
    return Day(plan, {name: RocketNow() for name in plan.rockets}, dict(plan.roles))


def day_of(plan: DayPlan, entries: Iterable[Entry]) -> Day:
    """Return the day that the entries of a journal make, in the order of their times; what is refused is kept beside.

    A journal that tells its own plan (``prepared``) begins with `NO_PLAN`.

    Journals of devices that were cut apart are one list here: whichever way they were joined, the day is the same.
    """
    day = prepared(plan)
    once = {str(entry.get("entry")): entry for entry in sorted(entries, key=order_of, reverse=True)}
    for entry in sorted(once.values(), key=order_of):
        day = carried_on(day, entry)
    return day


def carried_on(day: Day, entry: Entry) -> Day:
    """Return a day with one more entry, later than all that it has; what is refused is kept beside."""
    after, refusal = decide(day, entry)
    return after if refusal is None else replace(counted(day, entry), refused=(*day.refused, (entry, refusal)))


def order_of(entry: Entry) -> tuple[str, int, str, str]:
    """Return what entries are put in order by: their time, and within one moment the number that their device gave."""
    number = entry.get("n")
    return (str(entry.get("at", "")), number if isinstance(number, int) else 0, str(entry.get("entry", "")),
            str(sorted(entry.items(), key=str)))  # fmt: skip


def decide(day: Day, entry: Entry) -> tuple[Day, Refusal | None]:
    """Return the day after an entry, and why the entry changes nothing where it does not.

    Parameters
    ----------
    entry
        ``entry`` (its name), ``at``, ``n`` (which in its moment), ``by`` (name, initials or number), ``role``,
        ``device``, ``what`` and what goes with that; ``offline`` where its device was cut off when it was made.
    """
    try:
        at = seconds_of(entry["at"])
        act = _ACTS[entry["what"]]
    except (KeyError, TypeError, ValueError):
        return day, Refusal("nobody knows what this entry is, or when it was made")
    if entry.get("offline") and entry["what"] not in OFFLINE:
        return day, Refusal("its device was not connected: it changes no state")
    try:
        after, refusal = act(replace(day, at=max(day.at, at), count=day.count + 1), entry)
    except QuantityError as error:
        return day, Refusal(f"what was typed {error}")
    except (LookupError, TypeError, ValueError, AttributeError, ArithmeticError) as error:
        return day, Refusal(f"something is missing in it or can't be read: {error}")
    return (after, None) if refusal is None else (day, refusal)


Answer = tuple[Day, Refusal | None]


def _put(day: Day, name: str, now: RocketNow) -> Day:
    return replace(day, rockets={**day.rockets, name: now})


# --- steps ------------------------------------------------------------------------------------------------------------


def _step(day: Day, entry: Entry) -> Answer:
    name, event = entry["rocket"], entry["event"]
    rocket, now, at = day.plan.rockets[name], day.rockets[name], day.at
    step = day_table().steps.get((now.state, event))
    refusal = Refusal(f"{name} is {now.state}: {event} is no step from there") if step is None else (
        _not_by(day, step, entry) or _not_told(entry) or _against(day, step, rocket, at)
        or _not_held(step, now, entry))
    if step is None or refusal:
        return day, refusal
    return _taken(day, step, rocket, entry, at), None


def _not_by(day: Day, step: Step, entry: Entry) -> Refusal | None:
    person = day.roles.get(step.by)
    if step.by == "any" or (person and entry.get("role") == step.by and entry.get("by") == person.name):
        return None
    return Refusal(f"only the {day_table().roles[step.by].says} does that")


def _not_told(entry: Entry) -> Refusal | None:
    """Refuse a landing of which nobody knows what it means: whether anybody may fetch the rocket hangs on it."""
    if entry.get("event") != "down" or entry.get("landing", "") in ("", *LANDINGS):
        return None
    return Refusal(f"how it came down is one of these: {', '.join(LANDINGS)}")


def _against(day: Day, step: Step, rocket: DayRocket, at: float) -> Refusal | None:
    found = blocks(day, step, rocket, at)
    if found:
        return Refusal("; ".join(one.says for one in found), tuple(found))
    asked = day_table().asked_of(step, rocket.has)
    missing = [point for point in asked if not _confirmed(day, step, rocket, point, at)]
    if missing:
        words = "; ".join(day_table().confirms[point].says for point in missing)
        return Refusal(f"not confirmed{' just before' if step.again else ''}: {words}")
    return None


def _confirmed(day: Day, step: Step, rocket: DayRocket, point: str, at: float) -> bool:
    when, count = day.confirms.get(point, (0.0, -1))
    fresh = 0.0 <= at - when <= day_table().limits["confirm_within"].seconds if step.again else at >= when
    return count > day.rockets[rocket.name].count and fresh


def _not_held(step: Step, now: RocketNow, entry: Entry) -> Refusal | None:
    if step.event == "launch" and (not now.holder or entry.get("device") != now.holder):
        return Refusal("another device holds the release" if now.holder else "no device holds the release")
    return None


def _taken(day: Day, step: Step, rocket: DayRocket, entry: Entry, at: float) -> Day:
    """Return the day after a step that nothing stands against."""
    now = replace(day.rockets[rocket.name], state=step.to, since=at, count=day.count)
    day = replace(day, confirms={point: said for point, said in day.confirms.items() if point not in step.confirm})
    if step.event == "pump":
        now = replace(now, readings={}, cause="", second_sign="", pumped_at=at, cycle=len(day.cycles),
                      less_Pa=pressure_told(entry.get("less_Pa")))  # fmt: skip
        day = replace(day, cycles=(*day.cycles, Cycle(entry["entry"], entry["at"], rocket.vessel, None, "begun")))
    if step.event in ("misfire", "leak"):
        now = replace(now, cause=step.event, holder="", pumped_at=at if now.pumped_at is None else now.pumped_at)
        day = _ended(day, now, "leak") if step.event == "leak" else replace(day, stop=day.stop or "misfire")
    if step.event == "leak":
        day = replace(day, retired={**day.retired, rocket.vessel: "it leaked"}, stop=day.stop or "leak")
    if step.event == "launch":
        now = replace(now, readings={}, holder="", pumped_at=None, launched=now.launched + 1)
        day = _ended(day, now, "launched")
    if step.event == "misfire" and step.start == "launched":
        now = replace(now, launched=now.launched - 1)
    if step.event in ("vent", "hold"):  # what was read before says nothing of what comes off, or stays
        now = replace(now, readings={})
    if step.event == "approach":
        now, day = replace(now, pumped_at=None), _ended(day, now, "vented")
    if step.event == "down":
        now = replace(now, landing=str(entry.get("landing") or ""))
        day = _landed(day, rocket, now.landing)
    if step.event == "retire":
        day = replace(day, retired={**day.retired, rocket.vessel: str(entry.get("why") or "it was retired")})
    if step.event in ("back", "retire", "give up", "stand down") or step.to == "inspected":
        now = replace(now, readings={}, cause="", second_sign="", landing="", cycle=None)
    return _put(day, rocket.name, now)


def _landed(day: Day, rocket: DayRocket, landing: str) -> Day:
    return replace(day, untested=day.untested | {rocket.vessel}) if landing == "hard" else day


def _ended(day: Day, now: RocketNow, how: str) -> Day:
    """Write down how a time under pressure ended; what is written first stays: a leak is no venting afterwards."""
    if now.cycle is None or day.cycles[now.cycle].ended not in ("begun", "launched"):
        return day
    cycles = list(day.cycles)
    cycles[now.cycle] = cycles[now.cycle]._replace(ended=how)
    return replace(day, cycles=tuple(cycles))


# --- stop -------------------------------------------------------------------------------------------------------------


def _stop(day: Day, entry: Entry) -> Answer:
    """Stop everything: anybody, any time, from any device."""
    why, table = str(entry.get("why") or "somebody called stop"), day_table()
    rockets = {}
    for name, now in day.rockets.items():
        to = table.next_state(now.state, STOP)
        stopped = replace(now, state=STOP, since=day.at, count=day.count, cause=why, holder="")
        rockets[name] = stopped if to not in (None, now.state) else now
    return replace(day, rockets=rockets, stop=day.stop or why), None


def _lift(day: Day, entry: Entry) -> Answer:
    refusal = _only(day, entry, "charge")
    if refusal is None and (waiting := stopped_under_pressure(day)):
        refusal = Refusal(f"the stop stands until the pressure is off: {', '.join(waiting)}")
    return (day, refusal) if refusal else (replace(day, stop=""), None)


def stopped_under_pressure(day: Day) -> list[str]:
    """Return the rockets of which nobody knows yet that the pressure is off: a stop stands as long as there is one."""
    return [name for name, now in day.rockets.items() if now.state in (STOP, "venting", "misfire wait")]


def _only(day: Day, entry: Entry, role: str) -> Refusal | None:
    person = day.roles.get(role)
    if person and entry.get("role") == role and entry.get("by") == person.name:
        return None
    return Refusal(f"only the {day_table().roles[role].says} says that")


# --- what is read, seen and confirmed ---------------------------------------------------------------------------------


def _reading(day: Day, entry: Entry) -> Answer:
    name, role = entry["rocket"], str(entry.get("role"))
    if role not in ("pump", "watch"):
        return day, Refusal("only pumper and field watch read the gauge")
    if refusal := _only(day, entry, role):
        return day, refusal
    pressure = typed(entry["pressure"], Dimension.PRESSURE)
    rocket, now = day.plan.rockets[name], day.rockets[name]
    if pressure < 0.0:
        return day, Refusal(f"a gauge reads zero or more, and this says {entry['pressure']}: write what it shows, "
                            "such as 4.5 bar")  # fmt: skip
    now = replace(now, readings={**now.readings, role: pressure})
    if pressure > 0.0 and now.state in ("field clear", "approach allowed"):
        return _found_pressure(day, rocket, now, entry, pressure)
    day = _put(_peaked(day, now, pressure), name, now)
    over = rocket.allowed_Pa is None or pressure > min(rocket.allowed_Pa, now.less_Pa or rocket.allowed_Pa)
    if pressure > 0.0 and now.state == "misfire wait":
        return _put(day, name, replace(now, state="venting", since=day.at, count=day.count)), None
    if over and pressure > 0.0 and now.state in ("pressurising", "holding", "ready"):
        return _stop(day, {**entry, "why": f"overshoot: {entry['pressure']} on the gauge"})
    return day, None


def _found_pressure(day: Day, rocket: DayRocket, now: RocketNow, entry: Entry, pressure: float) -> Answer:
    """Stop where the gauge shows pressure and there should be none: it was pumped unsaid, or a hose was blocked."""
    if now.cycle is None:
        now = replace(now, cycle=len(day.cycles))
        day = replace(day, cycles=(*day.cycles, Cycle(entry["entry"], entry["at"], rocket.vessel, pressure, "begun")))
    why = f"pressure where there should be none: {entry['pressure']} on the gauge"
    stopped = replace(now, state=STOP, since=day.at, count=day.count, cause=why, second_sign="", pumped_at=day.at)
    return _stop(_put(day, rocket.name, stopped), {**entry, "why": why})


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
    refusal = _only(day, entry, point.by)
    return (day, refusal) if refusal else (
        replace(day, confirms={**day.confirms, point.point: (day.at, day.count)}), None)


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
    refusal = _only(day, entry, "watch") if gone & day.sky else None  # anybody may see one, the watch says it is gone
    return (day, refusal) if refusal else (replace(day, sky=(day.sky - gone) | what), None)


def _inside(day: Day, entry: Entry) -> Answer:
    count = int(entry["count"])
    refusal = _only(day, entry, "watch") if count < day.inside else None
    return (day, refusal) if refusal else (replace(day, inside=max(count, 0)), None)


def _near_miss(day: Day, entry: Entry) -> Answer:
    return replace(day, near_miss=str(entry.get("note") or "a near miss")), None


def _signed(day: Day, entry: Entry) -> Answer:
    refusal = _only(day, entry, "charge")
    return (day, refusal) if refusal else (replace(day, near_miss=""), None)


def _second_sign(day: Day, entry: Entry) -> Answer:
    now = day.rockets[entry["rocket"]]
    if now.state != "misfire wait" or not str(entry["sign"]).strip():
        return day, Refusal("a second sign counts while the gauge reads zero, and says what was seen")
    return _put(day, entry["rocket"], replace(now, second_sign=str(entry["sign"]))), None


# --- people and devices -----------------------------------------------------------------------------------------------


def _override(day: Day, entry: Entry) -> Answer:
    name, gate, code = entry["rocket"], entry["gate"], entry["code"]
    found = [one for one in at_gate(day, gate, day.plan.rockets[name], day.at) if one.code == code]
    if not found or not all(one.lifts for one in found):
        return day, Refusal("nobody may lift that" if found else "that does not stand against it")
    adult, reason = str(entry.get("adult", "")), str(entry.get("reason", "")).strip()
    if refusal := _in_the_name_of(day, entry, adult):
        return day, refusal
    if adult not in day.adults or not reason:
        return day, Refusal("an adult lifts it, with name and reason")
    return replace(day, overrides={**day.overrides, (name, gate, code): (adult, reason)}), None


def _in_the_name_of(day: Day, entry: Entry, adult: str) -> Refusal | None:
    """Refuse what somebody says in an adult's name who is neither that adult nor the person in charge."""
    if entry.get("by") == adult or _only(day, entry, "charge") is None:
        return None
    return Refusal(f"{adult or 'an adult'} or the person in charge says that")


def _role(day: Day, entry: Entry) -> Answer:
    table = day_table()
    if entry["role_of"] not in table.roles:
        return day, Refusal("there is no such role")
    if any(table.states[now.state].pressure != "none" for now in day.rockets.values()):
        return day, Refusal("nobody changes a role while a rocket may be under pressure or flies")
    person = CrewMember(str(entry["name"]), bool(entry["adult"]))
    return replace(day, roles={**day.roles, entry["role_of"]: person}), None


def _link(day: Day, entry: Entry) -> Answer:
    gone = {entry["role_of"]} & set(day_table().roles)
    return replace(day, lost=day.lost | gone if entry["lost"] else day.lost - gone), None


def _take(day: Day, entry: Entry) -> Answer:
    now = day.rockets[entry["rocket"]]
    refusal = _only(day, entry, "pull")
    if refusal is None and now.state != "ready":
        refusal = Refusal(f"the release is taken when the rocket is ready, and it is {now.state}")
    if refusal is None and now.holder not in ("", entry["device"]):
        refusal = Refusal("another device holds the release")
    return (day, refusal) if refusal else (_put(day, entry["rocket"], replace(now, holder=str(entry["device"]))), None)


def _prepared(day: Day, entry: Entry) -> Answer:
    """Take a plan, at the day's beginning or when something was tested or judged anew."""
    table, plan = day_table(), plan_of(entry["plan"])
    if any(table.states[now.state].pressure != "none" for now in day.rockets.values()):
        return day, Refusal("the plan does not change while a rocket may be under pressure or flies")
    if moved := moved_on_paper(day, plan):
        return day, Refusal(moved)
    rockets = {name: as_before(day, one) for name, one in plan.rockets.items()}
    return replace(day, plan=plan, rockets=rockets, roles={**plan.roles}, untested=frozenset(), inspected=frozenset(),
                   overrides={}, counted=len(day.cycles)), None  # fmt: skip


def _inspection(day: Day, entry: Entry) -> Answer:
    if refusal := _in_the_name_of(day, entry, str(entry["adult"])):
        return day, refusal
    if entry["adult"] not in day.adults:
        return day, Refusal("an adult looks over the bottle")
    if entry["fit"] is not True:
        return replace(day, retired={**day.retired, entry["vessel"]: f"{entry['adult']} found it unfit"}), None
    return replace(day, inspected=day.inspected | {entry["vessel"]}), None


def _noted(day: Day, _entry: Entry) -> Answer:
    return day, None


_ACTS: Mapping[str, Callable[[Day, Entry], Answer]] = {
    "step": _step, "stop": _stop, "lift stop": _lift, "reading": _reading, "confirm": _confirm, "wind": _wind,
    "thunder": _thunder, "sky": _sky, "inside": _inside, "near miss": _near_miss, "near miss signed": _signed,
    "second sign": _second_sign, "override": _override, "role": _role, "link": _link, "take": _take,
    "prepared": _prepared, "inspection": _inspection, "note": _noted, "pressurised": _noted,
    "barred": _noted, "lower wind": _lower_wind,
}  # fmt: skip


# --- what has to happen by itself -------------------------------------------------------------------------------------


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
