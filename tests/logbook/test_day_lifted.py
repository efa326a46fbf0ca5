"""A stop holds everything, and what an adult may lift with name and reason."""

from dataclasses import replace

import pytest
from days import BAR, Field, gates, plan, rocket, why

from bottlewright.logbook.day_table import day_table


@pytest.mark.parametrize(("change", "gate"), [
    ({"stops": ("unstable",)}, "finding"), ({"holds": ("eye-protection-unsaid",)}, "finding"),
    ({"looks": ("old-bottle",)}, "look"), ({"tested": False}, "no water test"),
    ({"planned_Pa": 5.0 * BAR}, "published maximum"), ({"allowed_Pa": None}, "no water test"),
])
def test_a_rocket_with_an_open_stop_is_not_loaded(change, gate):
    field = Field(plan(rocket("Curlew", "B07", **change))).to("inspected")
    assert gate in gates(field.step("Curlew", "load"))


def test_what_nobody_can_vent_from_a_distance_is_not_put_onto_the_launcher():
    field = Field(plan(rocket("Curlew", "B07", remote_vent=False))).to("loaded")
    assert gates(field.step("Curlew", "seat")) == {"no venting from a distance"}


def test_a_power_line_in_reach_keeps_the_field_from_being_cleared():
    field = Field(plan(rocket("Curlew", "B07", power_line=True))).to("seated")
    field.confirm("field", "sky", "lines")
    assert gates(field.step("Curlew", "clear")) == {"power line"}


def test_a_bottle_that_is_retired_or_unknown_is_not_even_looked_over():
    for change, gate in (({"retired": "it leaked"}, "vessel"), ({"unknown": "no file"}, "vessel unknown"),
                         ({"vessel": ""}, "vessel unknown"), ({"cycles": 15}, "vessel")):
        field = Field(plan(replace(rocket("Curlew", "B07"), **change)))
        assert gate in gates(field.step("Curlew", "inspect"))


@pytest.mark.parametrize("change", [{"remote_vent": False}, {"tested": False}, {"retired": "it leaked"},
                                    {"planned_Pa": 5.0 * BAR}, {"power_line": True}, {"wind_limit_m_s": None},
                                    {"stops": ("unstable",)}])
@pytest.mark.parametrize("gate", sorted(day_table().gates))
def test_no_adult_lifts_what_nobody_may_lift(change, gate):
    field = Field(plan(rocket("Curlew", "B07", **change)))
    field.say("thunder")
    field.say("sky", aircraft=True, darkness=True, frost=True)
    field.say("inside", count=2)
    for code in ("unstable", "people", "thunder", "darkness", "aircraft", "frost", "no water test", "retired",
                 "no remote vent", "power line", "over allowed", "no limit", "wind old"):
        assert field.say("override", "charge", rocket="Curlew", gate=gate, code=code, adult="M. Roe", reason="I say so")
    assert field.day.overrides == {}


def test_what_may_be_lifted_is_lifted_by_an_adult_with_name_and_reason_only():
    field = Field(plan(rocket("Curlew", "B07", stops=("pump-cannot-reach",), looks=("old-bottle",)),
                       local={"number of the emergency call": ""})).to("inspected")
    assert gates(field.step("Curlew", "load")) == {"finding", "look", "local value"}
    lifts = [("finding", "pump-cannot-reach"), ("look", "old-bottle"), ("local value", "number of the emergency call")]
    for gate, code in lifts:
        for adult, reason in (("K", "I say so"), ("M. Roe", " "), ("", "I say so")):
            assert field.say("override", "charge", rocket="Curlew", gate=gate, code=code, adult=adult, reason=reason)
        assert field.say("override", "charge", rocket="Curlew", gate=gate, code=code, adult="M. Roe",
                         reason="we pump less") is None
    assert field.step("Curlew", "load") is None
    assert field.day.overrides["Curlew", "look", "old-bottle"] == ("M. Roe", "we pump less")


def test_a_stop_that_stands_holds_everything_until_the_person_in_charge_lifts_it():
    field = Field()
    field.say("stop", role="nobody", by="a visitor")
    assert "stop" in gates(field.step("Curlew", "inspect"))
    assert "only the person in charge" in why(field.say("lift stop", "pump"))
    assert field.say("lift stop", "charge") is None
    assert field.step("Curlew", "inspect") is None


def test_a_stop_stands_until_the_pressure_is_off():
    field = Field().to("stop")
    assert "until the pressure is off" in why(field.say("lift stop", "charge"))
