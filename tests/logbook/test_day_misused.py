"""What somebody says who may not, too early, or against somebody else, is refused and moves no rocket."""

import pytest
from days import Field, plan, rocket

ROLES = ("pump", "pull", "record", "watch", "charge")


@pytest.mark.parametrize("role", ROLES)
def test_what_an_adult_lifts_is_lifted_by_that_adult_or_the_person_in_charge(role):
    field = Field(plan(rocket("Curlew", "B07", looks=("old-bottle",)))).to("inspected")
    lift = {"rocket": "Curlew", "gate": "look", "code": "old-bottle", "reason": "I say so"}
    refusal = field.say("override", role, adult="M. Roe", **lift)
    assert (refusal is None) == (role == "charge")
    if refusal:
        assert "M. Roe or the person in charge" in refusal.why
        assert field.day.overrides == {}


def test_the_field_watch_is_an_adult_and_lifts_in_her_own_name_only():
    field = Field(plan(rocket("Curlew", "B07", looks=("old-bottle",))))
    lift = {"rocket": "Curlew", "gate": "look", "code": "old-bottle", "reason": "I looked at it"}
    assert field.say("override", "watch", adult="L. Ash", **lift) is None


@pytest.mark.parametrize("role", ROLES)
def test_nobody_writes_a_look_over_the_bottle_down_in_an_adults_name(role):
    field = Field(plan(rocket("Curlew", "B07", cycles=10, holds=("inspection-due",))))
    refusal = field.say("inspection", role, vessel="B07", adult="M. Roe", fit=True)
    assert (refusal is None) == (role == "charge")
    assert (field.step("Curlew", "inspect") is None) == (role == "charge")


@pytest.mark.parametrize("state", ["waiting", "seated", "pressurising", "holding", "launched"])
def test_the_release_is_taken_only_when_the_rocket_is_ready(state):
    field = Field().to(state)
    assert f"and it is {state}" in field.say("take", "pull", rocket="Curlew").why
    assert field.day.rockets["Curlew"].holder == ""


@pytest.mark.parametrize("landing", ["moon", "TREE", "tree ", "soft, I think"])
def test_a_landing_that_nobody_knows_is_no_landing(landing):
    field = Field().to("launched")
    assert "one of these: soft, hard, tree" in field.step("Curlew", "down", landing=landing).why
    assert field.state() == "launched"


@pytest.mark.parametrize("state", ["venting", "down"])
def test_where_one_of_the_two_still_reads_pressure_it_is_not_off(state):
    field = Field().to(state)
    field.say("reading", "watch", rocket="Curlew", pressure="2 bar")
    field.say("reading", "pump", rocket="Curlew", pressure="0 bar")
    field.confirm("charge")
    event = {"venting": "zero", "down": "open"}[state]
    assert "the field watch reads 2.00 bar" in field.step("Curlew", event).why
    field.say("reading", "watch", rocket="Curlew", pressure="0 bar")
    assert field.step("Curlew", event) is None
