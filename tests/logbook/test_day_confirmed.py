"""The hold points: each confirmed by its own role, and for a short time only."""

from dataclasses import replace

import pytest
from days import Field, gates, plan, why

from bottlewright.logbook.day_plan import CrewMember
from bottlewright.logbook.day_table import day_table


@pytest.mark.parametrize("point", ["charge", "field", "sky", "wind", "lines"])
def test_the_release_needs_every_point_confirmed_by_its_own_role(point):
    field = Field().to("ready")
    field.say("take", "pull", rocket="Curlew")
    field.confirm(*({"charge", "field", "sky", "wind", "lines"} - {point}))
    assert day_table().confirms[point].says in why(field.step("Curlew", "launch"))
    assert field.say("confirm", "pull", point=point) is not None
    field.confirm(point)
    assert field.step("Curlew", "launch") is None


def test_a_confirmation_counts_for_half_a_minute():
    for late in (30.0, 30.1):
        field = Field().to("ready")
        field.wind()
        field.say("take", "pull", rocket="Curlew")
        field.confirm("charge", "field", "sky", "wind", "lines")
        field.time += late
        assert (field.step("Curlew", "launch") is None) == (late <= 30.0)


def test_nothing_is_confirmed_beforehand():
    field = Field().to("holding")
    field.confirm("charge", "field", "sky", "wind", "lines")
    field.say("take", "pull", rocket="Curlew")
    field.read("Curlew", "4.5 bar")
    assert field.step("Curlew", "tight") is None
    assert "not confirmed" in why(field.step("Curlew", "launch"))


def test_the_person_in_charge_is_an_adult_without_another_role():
    child, twice = CrewMember("K2", False), CrewMember("L. Ash", True)
    for people in ({"charge": child}, {"charge": twice}, {"pump": twice}):
        field = Field(plan()).to("seated")
        field.day = replace(field.day, roles={**field.day.roles, **people})
        field.confirm("field", "sky", "lines")
        assert gates(field.step("Curlew", "clear")) == {"roles"}


def test_each_step_is_done_by_its_own_role():
    field = Field().to("field clear")
    field.wind()
    field.confirm("charge", "wind")
    assert "only the pumper" in why(field.step("Curlew", "pump", "pull"))
    assert "only the pumper" in why(field.step("Curlew", "pump", by="somebody else"))
