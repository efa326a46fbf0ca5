"""What stands against a step of the day: one small function for each name of the table. All take the time as given."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from bottlewright.logbook.day_gauge import off
from bottlewright.logbook.day_plan import DayRocket
from bottlewright.logbook.day_state import Block, Day, RocketNow
from bottlewright.logbook.day_table import Step, day_table
from bottlewright.logbook.day_wind import over_words
from bottlewright.logbook.records import NOT_RETRIEVED
from bottlewright.proof.vessel import INSPECT_CYCLES, MOST_CYCLES

__all__ = ["ON_THE_PAD", "WHILE_UNDER_PRESSURE", "at_gate", "blocks", "gate_names"]

WHILE_UNDER_PRESSURE = (
    "people", "wind old", "wind", "thunder", "aircraft", "darkness", "frost", "power line", "roles", "link",
)  # fmt: skip
"""What leads to a stop where it arises with pressure on."""

ON_THE_PAD = frozenset({
    "seated", "field clear", "pressurising", "holding", "ready", "stop", "venting", "misfire wait", "approach allowed",
})  # fmt: skip


class Asked(NamedTuple):
    """What a gate looks at: the day, one of its rockets, where that stands, and the time."""

    day: Day
    rocket: DayRocket
    now: RocketNow
    at: float


Found = Iterator[tuple[str, str]]
"""A code, and in words what was found."""


def blocks(day: Day, step: Step, rocket: DayRocket, at: float) -> list[Block]:
    """Return all that stands against a step at a time, what an adult lifted left out."""
    return [one for name in step.gates for one in at_gate(day, name, rocket, at) if not _lifted(day, rocket, one)]


def at_gate(day: Day, name: str, rocket: DayRocket, at: float) -> list[Block]:
    """Return what one gate finds."""
    table = day_table()
    gate, now = table.gates[name], day.rockets[rocket.name]
    return [Block(name, code, says or gate.says, gate.override and (name != "finding" or code in table.lifts))
            for code, says in _GATES[name](Asked(day, rocket, now, at))]  # fmt: skip


def _lifted(day: Day, rocket: DayRocket, block: Block) -> bool:
    return block.lifts and (rocket.name, block.gate, block.code) in day.overrides


def gate_names() -> frozenset[str]:
    """Return the names of all gates that there are."""
    return frozenset(_GATES)


# --- standing orders --------------------------------------------------------------------------------------------------


def _stop(ask: Asked) -> Found:
    if ask.day.stop:
        yield "stop", f"a stop stands: {ask.day.stop}"


def _near_miss(ask: Asked) -> Found:
    if ask.day.near_miss:
        yield "near miss", f"{ask.day.near_miss}: the person in charge has not signed it"


def _roles(ask: Asked) -> Found:
    table, held = day_table(), ask.day.roles
    for name, role in table.roles.items():
        person = held.get(name)
        if person is None:
            yield name, f"nobody is {role.says}"
            continue
        if role.adult and not person.adult:
            yield name, f"the {role.says} has to be an adult"
        others = {other for other, one in held.items() if one.name == person.name and other != name}
        wrong = others if role.alone else others & set(role.not_with)
        if wrong:
            yield name, f"{person.name} is {role.says} and {' and '.join(table.roles[one].says for one in wrong)}"


def _link(ask: Asked) -> Found:
    for role in sorted(ask.day.lost):
        yield role, f"the device of the {day_table().roles[role].says} is not connected"


# --- the bottle and the plan ------------------------------------------------------------------------------------------


def _vessel_unknown(ask: Asked) -> Found:
    if ask.rocket.unknown or not ask.rocket.vessel:
        why = ask.rocket.unknown or "nobody knows it"
        yield "vessel unknown", f"bottle {ask.rocket.vessel or 'without a name'}: {why}"


def _vessel(ask: Asked) -> Found:
    vessel, before = ask.rocket.vessel, ask.rocket.cycles or 0
    because = ask.day.retired.get(vessel) or ask.rocket.retired
    if because:
        yield "retired", f"nobody pumps bottle {vessel} again: {because}"
    cycles = before + ask.day.cycles_today(vessel)
    looked = vessel in ask.day.inspected or (before >= INSPECT_CYCLES and "inspection-due" not in ask.rocket.holds)
    if cycles >= MOST_CYCLES:
        yield "spent", f"bottle {vessel} was under pressure {cycles} times, and {MOST_CYCLES} are its life"
    elif cycles >= INSPECT_CYCLES and not looked:
        yield "inspection", f"bottle {vessel} was under pressure {cycles} times: an adult looks over all of it"


def _no_water_test(ask: Asked) -> Found:
    if not ask.rocket.tested or ask.rocket.allowed_Pa is None:
        yield "no water test", ""
    elif ask.rocket.vessel in ask.day.untested:
        yield "hard landing", f"bottle {ask.rocket.vessel} came down hard: it is tested again, filled with water"
    elif ask.day.cycles_today(ask.rocket.vessel) >= ask.rocket.test_left:
        yield "test over", f"the water test of bottle {ask.rocket.vessel} does not last for one more launch"


def _published_maximum(ask: Asked) -> Found:
    if ask.rocket.allowed_Pa is not None and ask.rocket.planned_Pa > ask.rocket.allowed_Pa:
        yield "over allowed", "the plan is above what is allowed"


_OWN_GATE = frozenset({"own-test-missing", "inspection-due", "vessel-unknown", "retired-vessel"})
"""Findings that another gate speaks of."""


def _finding(ask: Asked) -> Found:
    for code in dict.fromkeys((*ask.rocket.stops, *ask.rocket.holds)):
        if code not in _OWN_GATE:
            yield code, f"a finding stands against it: {ask.rocket.words.get(code, code)}"


def _look(ask: Asked) -> Found:
    for code in ask.rocket.looks:
        yield code, f"nobody has looked at it: {ask.rocket.words.get(code, code)}"


def _local(ask: Asked) -> Found:
    for name, value in ask.day.plan.local.items():
        if not value.strip():
            yield name, f"{name} is not filled in"


def _remote_vent(ask: Asked) -> Found:
    if not ask.rocket.remote_vent:
        yield "no remote vent", ""


def _pad(ask: Asked) -> Found:
    for name, other in ask.day.rockets.items():
        if name != ask.rocket.name and other.state in ON_THE_PAD and ask.day.plan.rockets[name].pad == ask.rocket.pad:
            yield name, f"{name} is on launcher {ask.rocket.pad}"
        elif name != ask.rocket.name and other.state in ON_THE_PAD and (
                ask.day.plan.rockets[name].vessel == ask.rocket.vessel):  # fmt: skip
            yield name, f"bottle {ask.rocket.vessel} is on a launcher already, in {name}"


def _other_pressure(ask: Asked) -> Found:
    """Find who else may be under pressure or in the air, or is next to be pumped: nobody goes past the lines then."""
    for name, other in ask.day.rockets.items():
        if name != ask.rocket.name and _holds_people_back(Asked(ask.day, ask.day.plan.rockets[name], other, ask.at)):
            yield name, f"nobody goes past the lines for {ask.rocket.name}: {name} {_stands(other)}"


def _holds_people_back(ask: Asked) -> bool:
    if ask.now.state == "misfire wait":  # of two that were let off, one has to be the first
        return any(list(gate(ask)) for gate in (_zero_wait, _second_sign, _pressure_left))
    return day_table().states[ask.now.state].pressure != "none" or ask.now.state == "field clear"


def _somebody_there(ask: Asked) -> Found:
    for name, other in ask.day.rockets.items():
        if name != ask.rocket.name and other.state in ("field open", "approach allowed"):
            yield name, f"somebody is past the lines for {name}: it {_stands(other)}"


def _stands(now: RocketNow) -> str:
    return f"stands at “{now.state}”"


# --- field and sky ----------------------------------------------------------------------------------------------------


def _people(ask: Asked) -> Found:
    if ask.day.inside:
        yield "people", f"inside a line: {ask.day.inside}"


def _wind_old(ask: Asked) -> Found:
    if ask.day.wind is None or not 0.0 <= ask.at - ask.day.wind.at <= day_table().limits["wind_fresh"].seconds:
        yield "wind old", ""


def _wind(ask: Asked) -> Found:
    if ask.rocket.wind_limit_m_s is None:
        yield "no limit", f"nobody has worked out how much wind {ask.rocket.name} bears"
    elif over := over_words(ask.rocket, ask.day.wind):
        yield "wind", over


def _thunder(ask: Asked) -> Found:
    if ask.day.thunder is not None and ask.at - ask.day.thunder < day_table().limits["thunder_wait"].seconds:
        yield "thunder", ""


def _aircraft(ask: Asked) -> Found:
    if "aircraft" in ask.day.sky:
        yield "aircraft", ""


def _darkness(ask: Asked) -> Found:
    if "darkness" in ask.day.sky:
        yield "darkness", ""


def _frost(ask: Asked) -> Found:
    if "frost" in ask.day.sky:
        yield "frost", ""


def _power_line(ask: Asked) -> Found:
    if ask.rocket.power_line:
        yield "power line", ""


# --- the gauge --------------------------------------------------------------------------------------------------------


def _readings_missing(ask: Asked) -> Found:
    for role in ("pump", "watch"):
        if role not in ask.now.readings:
            yield role, f"the {day_table().roles[role].says} has entered no reading"


def _readings_differ(ask: Asked) -> Found:
    if {"pump", "watch"} <= ask.now.readings.keys():
        apart = abs(ask.now.readings["pump"] - ask.now.readings["watch"])
        if off(ask.rocket, apart):
            yield "apart", f"the two readings are {apart / 1e5:.2f} bar apart, more than the gauge's error"
        elif not any(ask.now.readings.values()):
            yield "nothing", "both read no pressure on the gauge, and it was pumped: it leaks, or nobody can read it"


def _pressure_left(ask: Asked) -> Found:
    watch = ask.now.readings.get("watch")
    if ask.now.readings.get("pump") != 0.0:
        yield "pressure left", ""
    elif watch is not None and watch > 0.0:
        yield "watch reads", f"the field watch reads {watch / 1e5:.2f} bar on the gauge: both read it again"


def _not_retrieved(ask: Asked) -> Found:
    if ask.now.landing in NOT_RETRIEVED:
        yield "not retrieved", f"it came down here: {ask.now.landing}; nobody fetches it from there"


def _misfire_wait(ask: Asked) -> Found:
    if ask.now.cause == "misfire" and ask.at - ask.now.since < day_table().limits["misfire_wait"].seconds:
        yield "misfire wait", ""


def _zero_wait(ask: Asked) -> Found:
    if ask.at - ask.now.since < day_table().limits["zero_wait"].seconds:
        yield "zero wait", ""


def _second_sign(ask: Asked) -> Found:
    if not ask.now.second_sign:
        yield "second sign", ""


_GATES: dict[str, Callable[[Asked], Found]] = {
    "stop": _stop, "near miss": _near_miss, "roles": _roles, "link": _link, "vessel unknown": _vessel_unknown,
    "vessel": _vessel, "no water test": _no_water_test, "published maximum": _published_maximum, "finding": _finding,
    "look": _look, "local value": _local, "no venting from a distance": _remote_vent, "pad": _pad, "people": _people,
    "other under pressure": _other_pressure, "somebody there": _somebody_there,
    "wind old": _wind_old, "wind": _wind, "thunder": _thunder, "aircraft": _aircraft, "darkness": _darkness,
    "frost": _frost, "power line": _power_line, "readings missing": _readings_missing,
    "readings differ": _readings_differ, "pressure left": _pressure_left,
    "not retrieved": _not_retrieved, "misfire wait": _misfire_wait,
    "zero wait": _zero_wait, "second sign": _second_sign,
}  # fmt: skip
