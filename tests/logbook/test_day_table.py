"""Every state of a rocket against every event: what may follow is written here once more, by hand."""

import itertools
import tomllib
from collections import deque
from importlib.resources import files

import pytest
from days import Field

from bottlewright.logbook.day_state import RocketNow
from bottlewright.logbook.day_table import STOP, day_table
from bottlewright.logbook.gates import WHILE_UNDER_PRESSURE, gate_names

TABLE = day_table()
MAY_FOLLOW = {
    "waiting": {"inspect": "inspected"},
    "inspected": {"load": "loaded"},
    "loaded": {"seat": "seated", "stand down": "waiting"},
    "seated": {"clear": "field clear", "stand down": "waiting"},
    "field clear": {"pump": "pressurising"},
    "pressurising": {"hold": "holding", "leak": "stop"},
    "holding": {"tight": "ready", "leak": "stop"},
    "ready": {"launch": "launched", "misfire": "stop", "leak": "stop"},
    "launched": {"down": "down", "misfire": "stop"},
    "down": {"open": "field open", "give up": "not retrieved"},
    "field open": {"back": "waiting", "give up": "not retrieved", "retire": "retired"},
    "stop": {"vent": "venting"},
    "venting": {"zero": "misfire wait"},
    "misfire wait": {"approach": "approach allowed", "pressure again": "venting"},
    "approach allowed": {"inspect": "inspected", "retire": "retired"},
    "retired": {},
    "not retrieved": {},
}
STOPS = {"field clear", "pressurising", "holding", "ready"}


@pytest.mark.parametrize(("state", "event"), list(itertools.product(MAY_FOLLOW, sorted(TABLE.events))))
def test_from_every_state_every_event_leads_where_it_may_and_nowhere_else(state, event):
    if event == STOP:
        assert TABLE.next_state(state, event) == ("stop" if state in STOPS else state)
    else:
        assert TABLE.next_state(state, event) == MAY_FOLLOW[state].get(event)


def test_there_is_no_other_state():
    assert TABLE.states.keys() == MAY_FOLLOW.keys()
    assert {step.to for step in TABLE.steps.values()} <= MAY_FOLLOW.keys()


@pytest.mark.parametrize(("state", "event"), [(state, event) for state in MAY_FOLLOW for event in sorted(TABLE.events)
                                              if event != STOP and event not in MAY_FOLLOW[state]])
def test_an_event_that_is_no_step_is_refused_and_changes_nothing(state, event):
    field = Field()
    now = RocketNow(state)
    field.day.rockets["Curlew"] = now
    for role in TABLE.roles:
        refusal = field.step("Curlew", event, role)
        assert refusal is not None
        assert "is no step from there" in refusal.why
    assert field.day.rockets["Curlew"] == now
    assert field.day.cycles == ()


@pytest.mark.parametrize("state", sorted(STOPS))
def test_whatever_may_be_under_pressure_is_stopped_at_once_by_anybody(state):
    field = Field().to(state)
    assert field.say("stop", role="nobody", by="a child without a role", device="some phone") is None
    assert field.state() == "stop"


def test_nobody_comes_near_pressure_but_by_the_whole_way():
    """From a state with pressure the only ways out are the air and the whole chain of venting."""
    for (start, _), step in TABLE.steps.items():
        if TABLE.states[start].pressure == "may be" and TABLE.states[step.to].pressure == "none":
            assert (start, step.to) == ("misfire wait", "approach allowed")
            assert {"zero wait", "second sign", "pressure left"} <= set(step.gates)


ORDERS, BOTTLE, PLACE = {"stop", "near miss"}, {"vessel unknown", "vessel"}, {"pad", "no venting from a distance"}
PLAN = {"no water test", "published maximum", "finding", "look", "local value"}
SKY, WIND = {"thunder", "aircraft", "darkness", "frost"}, {"wind old", "wind"}
CREW, GAUGE = {"roles", "link"}, {"readings missing", "readings differ"}
HELD = {"stop", "people", *GAUGE, *SKY, *WIND, *CREW}


@pytest.mark.parametrize(("state", "event", "gates"), [
    ("waiting", "inspect", ORDERS | BOTTLE),
    ("inspected", "load", ORDERS | BOTTLE | PLAN),
    ("loaded", "seat", ORDERS | BOTTLE | PLACE | {"thunder", "other under pressure"}),
    ("seated", "clear", ORDERS | SKY | {"people", "somebody there", "power line", "roles"}),
    ("field clear", "pump",
     ORDERS | BOTTLE | PLAN | PLACE | SKY | WIND | CREW | {"people", "somebody there", "power line"}),
    ("pressurising", "hold", HELD),
    ("holding", "tight", HELD),
    ("ready", "launch", HELD - {"readings missing"} | {"near miss", "power line"}),
    ("down", "open", {"pressure left", "not retrieved", "other under pressure"}),
    ("down", "give up", {"pressure left"}),
    ("stop", "vent", {"misfire wait"}),
    ("venting", "zero", {"pressure left"}),
    ("misfire wait", "approach", {"zero wait", "second sign", "pressure left", "other under pressure"}),
    ("approach allowed", "inspect", {"vessel"}),
])
def test_this_much_stands_against_a_step_and_more_may(state, event, gates):
    assert set(TABLE.steps[state, event].gates) >= gates


def test_nothing_flies_that_was_not_ready():
    assert [step.start for step in TABLE.steps.values() if step.to == "launched"] == ["ready"]


def test_after_venting_a_rocket_is_looked_over_or_retired_and_nothing_else():
    after = {step.to for step in TABLE.steps.values() if step.start == "approach allowed"}
    assert after == {"inspected", "retired"}


def test_every_state_can_be_reached_and_left_until_the_last():
    reached, waiting = {"waiting"}, deque(["waiting"])
    while waiting:
        state = waiting.popleft()
        steps = {step.to for step in TABLE.steps.values() if step.start == state}
        assert bool(steps) != TABLE.states[state].last
        new = (steps | {TABLE.next_state(state, STOP)}) - reached
        reached |= new
        waiting += new
    assert reached == TABLE.states.keys()


def test_every_state_can_be_played():
    for state in MAY_FOLLOW:
        assert Field().to(state).state() == state


def test_the_names_in_the_table_are_names_that_there_are():
    data = tomllib.loads((files("bottlewright.logbook") / "data" / "day.toml").read_text(encoding="utf-8"))
    for step in data["step"]:
        assert set(step.get("gates", [])) <= TABLE.gates.keys()
        assert set(step.get("confirm", [])) <= TABLE.confirms.keys()
        assert step["by"] in {*TABLE.roles, "any"}
    assert TABLE.gates.keys() == gate_names()
    assert set(data["stop"]["to_stop"]) | set(data["stop"]["stays"]) == TABLE.states.keys()
    assert not set(data["stop"]["to_stop"]) & set(data["stop"]["stays"])
    assert len(data["step"]) == len(TABLE.steps), "two steps of one event from one state"
    assert all(TABLE.confirms[point].by in TABLE.roles for point in TABLE.confirms)


def test_what_nobody_may_lift():
    never = {"vessel", "vessel unknown", "published maximum", "people", "power line", "thunder", "darkness", "aircraft",
             "wind", "wind old", "no venting from a distance", "no water test", "stop", "pad", "frost", "near miss",
             "readings differ", "readings missing", "pressure left", "misfire wait", "zero wait", "second sign",
             "roles", "link", "not retrieved", "other under pressure", "somebody there"}  # fmt: skip
    assert {name for name, gate in TABLE.gates.items() if not gate.override} == never


def test_what_leads_to_a_stop_under_pressure_also_stands_against_the_release():
    assert set(WHILE_UNDER_PRESSURE) <= set(TABLE.steps["ready", "launch"].gates)
    assert set(WHILE_UNDER_PRESSURE) <= set(TABLE.steps["field clear", "pump"].gates)


def test_every_limit_names_who_says_so():
    assert all(limit.source and limit.seconds > 0 for limit in TABLE.limits.values())
    assert TABLE.limits["misfire_wait"].seconds == 60.0
    assert TABLE.limits["thunder_wait"].seconds == 1800.0
    assert TABLE.limits["wind_fresh"].seconds == 300.0


def test_no_state_says_that_something_is_harmless():
    words = " ".join([*(one.says for one in TABLE.states.values()), *(one.says for one in TABLE.gates.values())])
    assert not {"safe", "fine", "ok"} & set(words.lower().split())
