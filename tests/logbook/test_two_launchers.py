"""Several rockets on a day: nobody goes past the lines for one while another is pumped; no plan moves what is there."""

import pytest
from days import BAR, Field, plan, rocket

from bottlewright.logbook.day_plan import plan_json

NAN, ENDLESS = float("nan"), float("inf")


def gates(refusal):
    return {one.gate for one in refusal.blocks} if refusal else set()


@pytest.mark.parametrize("state", ["field clear", "pressurising", "holding", "ready", "launched"])
def test_the_field_is_not_opened_while_another_rocket_may_be_under_pressure(state):
    field = Field().to("down", "Curlew").to(state, "Dabchick")
    field.read("Curlew", "0 bar")
    field.confirm("charge")
    assert gates(field.step("Curlew", "open")) == {"other under pressure"}
    assert gates(Field().to(state, "Dabchick").to("loaded", "Curlew").step("Curlew", "seat")) == {
        "other under pressure"}


@pytest.mark.parametrize("state", ["field open", "approach allowed"])
def test_nothing_is_pumped_while_somebody_is_past_the_lines_for_another_rocket(state):
    field = Field().to(state, "Curlew")
    field.say("lift stop", "charge")
    field.to("seated", "Dabchick").wind()
    field.confirm("field", "sky", "lines")
    assert gates(field.step("Dabchick", "clear")) == {"somebody there"}
    field.step("Curlew", "back" if state == "field open" else "inspect")
    assert field.step("Dabchick", "clear") is None


def test_of_two_rockets_that_were_stopped_both_are_let_off_before_anybody_goes_to_one():
    field = Field().to("seated", "Dabchick").to("field clear", "Curlew")
    field.confirm("field", "sky", "lines")
    field.step("Dabchick", "clear")
    for name in ("Curlew", "Dabchick"):
        assert field._confirmed(name, "pump", "charge", "wind") is None
    field.say("stop", "record", why="a dog")
    field.to("misfire wait", "Curlew")
    assert gates(field.onwards("approach allowed", "Curlew")) == {"other under pressure"}
    field.to("misfire wait", "Dabchick")
    assert gates(field.onwards("approach allowed", "Curlew")) == {"other under pressure"}
    field.say("second sign", "watch", rocket="Dabchick", sign="it sits loose")
    field.time += 120.0
    assert field.onwards("approach allowed", "Curlew") is None


def test_a_word_that_was_given_for_one_rocket_does_not_lead_on_another():
    field = Field().to("seated", "Dabchick").to("seated", "Curlew")
    field.confirm("field", "sky", "lines")
    assert field.step("Curlew", "clear") is None
    assert "not confirmed" in field.step("Dabchick", "clear").why


def test_one_bottle_is_on_one_launcher():
    field = Field(plan(rocket("Curlew", "B07"), rocket("Wren", "B07", "B"))).to("seated", "Curlew")
    assert gates(field.to("loaded", "Wren").step("Wren", "seat")) == {"pad"}


def test_nobody_fetches_a_rocket_from_its_launcher_while_another_is_under_pressure():
    field = Field().to("seated", "Dabchick").to("pressurising", "Curlew")
    assert "nobody goes past the lines for Dabchick" in field.step("Dabchick", "stand down").why
    field.to("launched", "Curlew").to("waiting", "Curlew")
    assert field.step("Dabchick", "stand down") is None
    assert field.state("Dabchick") == "waiting"


@pytest.mark.parametrize(("new", "words"), [
    (rocket("Curlew", "B07", "B"), "launcher stays A"), (rocket("Curlew", "B99"), "bottle stays B07"),
    (rocket("Redshank", "B07"), "stays on the day"),
])
@pytest.mark.parametrize("state", ["seated", "approach allowed", "down", "field open"])
def test_a_new_plan_neither_moves_nor_forgets_a_rocket_that_is_out_there(state, new, words):
    field = Field().to(state)
    assert words in field.say("prepared", "charge", plan=plan_json(plan(new))).why
    assert field.say("prepared", "charge", plan=plan_json(plan(rocket("Curlew", "B07", allowed_Pa=4.6 * BAR)))) is None
    assert field.state() == state


def test_another_bottle_is_looked_over_before_it_is_seated():
    field = Field().to("loaded")
    assert field.say("prepared", "charge", plan=plan_json(plan(rocket("Curlew", "B99")))) is None
    assert field.state() == "waiting"


@pytest.mark.parametrize("wrong", [
    {"allowed_Pa": NAN}, {"allowed_Pa": ENDLESS}, {"planned_Pa": NAN}, {"planned_Pa": -1.0}, {"wind_limit_m_s": NAN},
    {"gauge_error_Pa": ENDLESS}, {"cycles": -50}, {"cycles": NAN}, {"test_left": NAN}, {"remote_vent": "no"},
    {"name": 7}, {"words": []}, {"stops": "abc"},
])
def test_a_plan_with_numbers_that_hold_nothing_back_is_no_plan(wrong):
    told = plan_json(plan())
    told["rockets"][0].update(wrong)
    field = Field()
    assert next(iter(wrong)) in field.say("prepared", "charge", plan=told).why
    assert field.day.plan == field.plan


@pytest.mark.parametrize(("mean", "gust"), [("-20 m/s", ""), ("2 m/s", "-3 m/s")])
def test_a_wind_below_zero_is_none(mean, gust):
    field = Field()
    assert "such as 3 m/s" in field.say("wind", mean=mean, gust=gust).why
    assert field.day.wind is None


def test_a_gauge_below_zero_is_misread():
    field = Field().to("pressurising")
    assert "reads zero or more" in field.say("reading", "pump", rocket="Curlew", pressure="-4.5 bar").why


@pytest.mark.parametrize("role", ["pump", "watch"])
@pytest.mark.parametrize("state", ["field clear", "approach allowed"])
def test_pressure_where_there_should_be_none_is_a_stop_and_one_time_under_pressure(state, role):
    field = Field().to(state)
    field.say("lift stop", "charge")
    assert field.say("reading", role, rocket="Curlew", pressure="3 bar") is None
    assert field.state() == "stop"
    assert field.day.stop
    assert [one.vessel for one in field.day.cycles] == ["B07"]


def test_whatever_stands_in_a_journal_is_read_or_refused():
    for entry in ({"what": "inside", "count": ENDLESS}, {"what": "step", "rocket": ["x"], "event": "pump"},
                  {"what": "prepared", "plan": 5}, {"what": ["x"]}):  # fmt: skip
        field = Field()
        assert field.say(**{"role": "charge", **entry}) is not None
