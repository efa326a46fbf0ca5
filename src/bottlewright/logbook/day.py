"""The day as what its journal makes of it: each entry leads to the next state of the day, or is refused with why.

Nothing here looks at a clock or writes a file. `decide` is asked before an entry is acknowledged; `day_of` reads a
journal again, after a crash or a merge, and comes to the same day. A time under pressure counts whatever became of it.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from bottlewright.logbook.day_answer import Answer, only, put
from bottlewright.logbook.day_joined import done_all_the_same
from bottlewright.logbook.day_jump import waits_anew
from bottlewright.logbook.day_order import by_the_rules_of_now, in_order
from bottlewright.logbook.day_plan import CrewMember, DayPlan, DayRocket, plan_of
from bottlewright.logbook.day_replanned import as_before, moved_on_paper
from bottlewright.logbook.day_seen import SEEN
from bottlewright.logbook.day_state import Cycle, Day, Refusal, RocketNow, seconds_of
from bottlewright.logbook.day_stop import called, lift, stop, stopped
from bottlewright.logbook.day_table import Step, day_table
from bottlewright.logbook.day_typed import pressure_told
from bottlewright.logbook.gates import at_gate, blocks
from bottlewright.logbook.journal import Entry
from bottlewright.logbook.offline import OFFLINE, counted
from bottlewright.logbook.records import LANDINGS
from bottlewright.quantities import QuantityError

__all__ = ["NO_PLAN", "carried_on", "day_of", "decide", "prepared"]


NO_PLAN = DayPlan({}, {})
"""A day of which nothing is known yet."""


def prepared(plan: DayPlan) -> Day:
    """Return a day before its first entry."""
    return Day(plan, {name: RocketNow() for name in plan.rockets}, dict(plan.roles))


def day_of(plan: DayPlan, entries: Iterable[Entry]) -> Day:
    """Return the day that the entries of a journal make, as `in_order` puts them; what is refused is kept beside.

    A journal that tells its own plan (``prepared``) begins with `NO_PLAN`.

    Journals of devices that were cut apart are one list here: whichever way they were joined, the day is the same.
    """
    day = prepared(plan)
    for entry in in_order(entries):
        day = carried_on(day, entry)
    return day


def carried_on(day: Day, entry: Entry) -> Day:
    """Return a day with one more entry, later than all that it has; what is refused is kept beside."""
    after, refusal = decide(day, entry)
    if refusal is None:
        return after
    after = done_all_the_same(counted(day, entry), entry, refusal)
    return replace(after, refused=(*day.refused, (entry, refusal)))


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


# --- steps ------------------------------------------------------------------------------------------------------------


def _step(day: Day, entry: Entry) -> Answer:
    name, event = entry["rocket"], entry["event"]
    if name not in day.rockets:
        return day, Refusal(f"the day has no rocket {name}")
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
        words = "; ".join(day_table().confirms[point].of(rocket.points) for point in missing)
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
        now = replace(now, readings={}, pumped={}, cause="", second_sign="", pumped_at=at, cycle=len(day.cycles),
                      less_Pa=pressure_told(entry.get("less_Pa")))  # fmt: skip
        day = replace(day, cycles=(*day.cycles, Cycle(entry["entry"], entry["at"], rocket.vessel, None, "begun")))
    if step.event in ("misfire", "leak"):
        now = replace(now, cause=step.event, holder="", pumped_at=at if now.pumped_at is None else now.pumped_at)
        day = replace(day, stops=called(day.stops, entry, step.event))
        if by_the_rules_of_now(entry):  # a stop anywhere is a stop everywhere
            day = stopped(day, f"{step.event} of {rocket.name}")
    if step.event == "leak":
        day = replace(_ended(day, now, "leak"), retired={**day.retired, rocket.vessel: "it leaked"})
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
        now = replace(now, readings={}, pumped={}, cause="", second_sign="", landing="", cycle=None)
    return put(day, rocket.name, now)


def _landed(day: Day, rocket: DayRocket, landing: str) -> Day:
    return replace(day, untested=day.untested | {rocket.vessel}) if landing == "hard" else day


def _ended(day: Day, now: RocketNow, how: str) -> Day:
    """Write down how a time under pressure ended; what is written first stays: a leak is no venting afterwards."""
    if now.cycle is None or day.cycles[now.cycle].ended not in ("begun", "launched"):
        return day
    cycles = list(day.cycles)
    cycles[now.cycle] = cycles[now.cycle]._replace(ended=how)
    return replace(day, cycles=tuple(cycles))


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
    if entry.get("by") == adult or only(day, entry, "charge") is None:
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
    refusal = only(day, entry, "pull")
    if refusal is None and now.state != "ready":
        refusal = Refusal(f"the release is taken when the rocket is ready, and it is {now.state}")
    if refusal is None and now.holder not in ("", entry["device"]):
        refusal = Refusal("another device holds the release")
    return (day, refusal) if refusal else (put(day, entry["rocket"], replace(now, holder=str(entry["device"]))), None)


def _prepared(day: Day, entry: Entry) -> Answer:
    """Take a plan, at the day's beginning or when something was tested or judged anew."""
    table, plan = day_table(), plan_of(entry["plan"])
    if any(table.states[now.state].pressure != "none" for now in day.rockets.values()):
        return day, Refusal("the plan does not change while a rocket may be under pressure or flies")
    if moved := moved_on_paper(day, plan):
        return day, Refusal(moved)
    rockets = {name: as_before(day, one) for name, one in plan.rockets.items()}
    said = {} if by_the_rules_of_now(entry) else day.confirms  # whoever said it said it of what was prepared before
    return replace(day, plan=plan, rockets=rockets, roles={**plan.roles}, untested=frozenset(), inspected=frozenset(),
                   overrides={}, confirms=said, counted=len(day.cycles)), None  # fmt: skip


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
    **SEEN, "step": _step, "stop": stop, "lift stop": lift, "override": _override, "role": _role, "link": _link,
    "take": _take, "prepared": _prepared, "inspection": _inspection, "note": _noted, "pressurised": _noted,
    "barred": _noted, "clock": waits_anew,
}  # fmt: skip
