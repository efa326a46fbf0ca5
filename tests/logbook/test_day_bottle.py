"""One rocket on a launcher, and what a day does to a bottle: each time under pressure, its tests, its life."""

import pytest
from days import BAR, Field, gates, plan, rocket, why

from bottlewright.logbook.day import day_of


def test_one_rocket_on_a_launcher():
    field = Field().to("seated", "Curlew").to("loaded", "Wren").to("seated", "Dabchick")
    assert gates(field.step("Wren", "seat")) == {"pad"}


@pytest.mark.parametrize("ends", ["launched", "approach allowed"])
def test_every_time_under_pressure_is_a_cycle_with_its_peak_vented_or_not(ends):
    field = Field().to(ends)
    (cycle,) = field.day.cycles
    assert (cycle.vessel, cycle.ended) == ("B07", "launched" if ends == "launched" else "vented")
    assert cycle.peak_Pa == pytest.approx(4.5 * BAR)


def test_a_cycle_counts_from_the_moment_that_pumping_begins():
    field = Field().to("pressurising")
    again = day_of(field.plan, field.journal)  # the laptop crashed here
    assert [(one.vessel, one.ended) for one in again.cycles] == [("B07", "begun")]


def test_somebody_who_pumped_offline_has_made_a_cycle_and_no_step():
    field = Field().to("field clear")
    refusal = field.step("Curlew", "pump", offline=True)
    assert "not connected" in why(refusal)
    assert field.state() == "field clear"
    assert day_of(field.plan, field.journal).cycles_today("B07") == 1


def test_a_bottle_comes_to_its_tenth_and_fifteenth_time_during_the_day():
    field = Field(plan(rocket("Curlew", "B07", cycles=9, test_left=9)))
    field.to("field open")
    assert field.step("Curlew", "back") is None
    assert "an adult looks over" in why(field.step("Curlew", "inspect"))
    assert field.say("inspection", "charge", vessel="B07", adult="K", fit=True) is not None
    assert field.say("inspection", "charge", vessel="B07", adult="M. Roe", fit=True) is None
    assert field.step("Curlew", "inspect") is None
    last = Field(plan(rocket("Curlew", "B07", cycles=14, test_left=9))).to("field open")
    last.step("Curlew", "back")
    assert "15 are its life" in why(last.step("Curlew", "inspect"))


def test_a_hard_landing_ends_the_water_test():
    field = Field().to("launched")
    field.step("Curlew", "down", landing="hard")
    field.read("Curlew", "0 bar")
    field.confirm("charge")
    assert field.step("Curlew", "open") is None
    field.step("Curlew", "back")
    field.step("Curlew", "inspect")
    assert gates(field.step("Curlew", "load")) == {"no water test"}


def test_a_leak_retires_the_bottle_wherever_it_flies():
    both = plan(rocket("Curlew", "B07"), rocket("Wren", "B07", "B"))
    field = Field(both).to("holding")
    assert field.step("Curlew", "leak") is None
    assert field.state() == "stop"
    assert field.day.cycles[0].ended == "leak"
    assert gates(field.step("Wren", "inspect")) >= {"vessel", "stop"}
