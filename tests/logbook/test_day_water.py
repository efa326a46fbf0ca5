"""The water of a launch: its amount stands on the step, and after a stop it is out before anybody fills anew."""

from days import Field, plan, rocket, why

from bottlewright.logbook.day_plan import plan_json, plan_of
from bottlewright.logbook.day_screen import screen_of

FILLED = rocket("Curlew", "B07", water="365 mL")


def shown(field, event):
    steps = screen_of(field.day, "pump", "phone of pump", field.day.at).rocket.steps
    return next(one for one in steps if one.event == event)


def test_the_step_says_how_much_water_is_filled_in():
    assert shown(Field(plan(FILLED)).to("inspected"), "load").detail == "365 mL, measured. Eye protection on."
    assert shown(Field(plan(rocket("Curlew", "B07"))).to("inspected"), "load").detail == "Eye protection on."
    assert plan_of(plan_json(plan(FILLED))).rockets["Curlew"] == FILLED


def test_a_rocket_that_was_stopped_with_its_water_in_is_emptied_before_it_is_looked_over():
    field = Field(plan(FILLED)).to("approach allowed")
    assert [one.says for one in shown(field, "inspect").points] == [
        "It is off the launcher, and its water is poured out."]  # fmt: skip
    assert "its water is poured out" in why(field.step("Curlew", "inspect"))
    assert field.say("confirm", "record", point="emptied") is not None, "the pumper says it"
    field.confirm("emptied")
    assert field.step("Curlew", "inspect") is None


def test_a_rocket_of_a_day_that_kept_no_water_is_looked_over_as_before():
    field = Field().to("approach allowed")
    assert field.step("Curlew", "inspect") is None
