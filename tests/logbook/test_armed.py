"""A rocket that is armed: the pumper says that the pin is out, drawn last, before the field is cleared."""

from days import Field, plan, rocket

from bottlewright.logbook.day_plan import plan_json, plan_of
from bottlewright.logbook.day_screen import screen_of
from bottlewright.logbook.day_table import day_table

ARMED = rocket("Curlew", "B07", armed=True)


def test_the_field_is_not_cleared_before_the_pumper_has_said_that_the_pin_is_out():
    field = Field(plan(ARMED)).to("seated")
    field.confirm("field", "sky", "lines")
    refused = field.step("Curlew", "clear")
    assert refused is not None
    assert "flagged pin is drawn last" in refused.why
    field.confirm("armed")
    assert field.step("Curlew", "clear") is None


def test_a_rocket_that_is_not_armed_is_asked_for_no_pin():
    field = Field(plan(rocket("Curlew", "B07"))).to("seated")
    field.confirm("field", "sky", "lines")
    assert field.step("Curlew", "clear") is None


def test_the_pin_is_said_anew_for_each_time_on_the_launcher():
    field = Field(plan(ARMED)).to("loaded")
    field.confirm("armed")
    field.time += 1.0
    assert field.step("Curlew", "seat") is None
    field.confirm("field", "sky", "lines")
    assert field.step("Curlew", "clear") is not None, "it was said before the rocket sat on the launcher"


def test_screens_and_kept_plans_know_of_it():
    assert plan_of(plan_json(plan(ARMED))).rockets["Curlew"].armed
    for armed in (True, False):
        field = Field(plan(rocket("Curlew", "B07", armed=armed))).to("seated")
        shown = screen_of(field.day, "pump", "phone of pump", 36_100.0)
        (clear,) = (one for one in shown.rocket.steps if one.event == "clear")
        assert ("armed" in {one.point for one in clear.points}) is armed
    assert day_table().confirms["armed"].by == "pump"
