"""After the release: misfire, venting, landing, a near miss."""

import pytest
from days import Field, gates, why


@pytest.mark.parametrize("before", ["ready", "launched"])
def test_after_a_misfire_nobody_does_anything_for_a_minute(before):
    field = Field().to(before)
    assert field.step("Curlew", "misfire") is None
    field.time += 58.0
    assert gates(field.step("Curlew", "vent")) == {"misfire wait"}
    field.time += 3.0
    assert field.step("Curlew", "vent") is None


def test_two_minutes_at_zero_and_a_second_sign_before_anybody_goes_near():
    field = Field().to("misfire wait")
    field.confirm("charge")
    assert gates(field.step("Curlew", "approach")) == {"zero wait", "second sign"}
    field.time += 121.0
    field.confirm("charge")
    assert gates(field.step("Curlew", "approach")) == {"second sign"}
    assert field.say("second sign", "watch", rocket="Curlew", sign=" ") is not None
    assert field.say("second sign", "watch", rocket="Curlew", sign="the water has run out") is None
    assert field.step("Curlew", "approach") is None


def test_pressure_that_comes_back_begins_the_wait_anew():
    field = Field().to("misfire wait")
    field.time += 100.0
    field.say("reading", "pump", rocket="Curlew", pressure="0.3 bar")
    assert field.state() == "venting"
    assert gates(field.step("Curlew", "zero")) == {"pressure left"}
    field.read("Curlew", "0 bar")
    assert field.step("Curlew", "zero") is None
    field.time += 100.0
    field.say("second sign", "watch", rocket="Curlew", sign="the water has run out")
    field.confirm("charge")
    assert gates(field.step("Curlew", "approach")) == {"zero wait"}


def test_the_field_opens_at_zero_with_the_rocket_down_by_the_word_of_the_person_in_charge():
    field = Field().to("launched")
    assert field.day.field_closed
    assert field.step("Curlew", "open", "charge") is not None  # not down yet
    field.step("Curlew", "down")
    field.confirm("charge")
    assert gates(field.step("Curlew", "open")) == {"pressure left"}
    field.read("Curlew", "0 bar")
    assert "only the person in charge" in why(field.step("Curlew", "open", "watch"))
    assert field.step("Curlew", "open") is None
    assert not field.day.field_closed


def test_in_the_air_stop_leaves_the_field_closed():
    field = Field().to("launched")
    field.say("stop")
    assert field.state() == "launched"
    assert field.day.field_closed


@pytest.mark.parametrize("place", ["tree", "roof", "water", "road", "power line"])
def test_a_rocket_in_a_tree_is_given_up(place):
    field = Field().to("launched")
    field.step("Curlew", "down", landing=place)
    field.read("Curlew", "0 bar")
    field.confirm("charge")
    assert gates(field.step("Curlew", "open")) == {"not retrieved"}
    assert field.step("Curlew", "give up") is None
    assert field.state() == "not retrieved"
    assert not field.day.field_closed
    assert field.say("step", "pump", rocket="Curlew", event="inspect") is not None


def test_a_near_miss_freezes_the_queue_until_it_is_signed():
    field = Field()
    field.say("near miss", note="it came down beside a child")
    assert gates(field.step("Curlew", "inspect")) == {"near miss"}
    assert "only the person in charge" in why(field.say("near miss signed", "watch"))
    assert field.say("near miss signed", "charge") is None
    assert field.step("Curlew", "inspect") is None
