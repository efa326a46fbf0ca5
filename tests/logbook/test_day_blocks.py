"""What stands against pumping, and leads to a stop with pressure on: people, wind, sky, time."""

import pytest
from days import Field, gates, why

from bottlewright.logbook.day_stop import due

BLOCKS = {
    "people": lambda field: field.say("inside", count=1),
    "wind": lambda field: field.wind("4.1 m/s", "4.1 m/s"),
    "thunder": lambda field: field.say("thunder"),
    "aircraft": lambda field: field.say("sky", aircraft=True),
    "darkness": lambda field: field.say("sky", darkness=True),
    "frost": lambda field: field.say("sky", frost=True),
    "link": lambda field: field.say("link", role_of="watch", lost=True),
}


@pytest.mark.parametrize("gate", sorted(BLOCKS))
def test_what_blocks_before_pumping(gate):
    field = Field().to("field clear")
    field.wind()
    BLOCKS[gate](field)
    field.confirm("charge")
    field.say("confirm", "record", point="wind")  # refused where the reading is over
    assert gates(field.step("Curlew", "pump")) == {gate}


@pytest.mark.parametrize("gate", sorted(BLOCKS))
@pytest.mark.parametrize("state", ["pressurising", "holding", "ready"])
def test_what_arises_with_pressure_on_leads_to_a_stop(gate, state):
    field = Field().to(state)
    assert due(field.day, field.day.at) == []
    BLOCKS[gate](field)
    at = field.day.at
    (one,) = due(field.day, at)
    assert one.rocket == "Curlew"
    assert field.say("stop", why=one.why) is None
    assert field.state() == "stop"


def test_nothing_is_due_while_nothing_stands_against_it():
    field = Field().to("ready")
    assert due(field.day, field.day.at) == []


def test_gusts_over_the_limit_block_as_the_wind_does():
    field = Field().to("field clear")
    field.wind("3 m/s", "4.1 m/s")
    assert "the gusts are over the limit of 4 m/s" in why(field.say("confirm", "record", point="wind"))
    field.confirm("charge")
    assert gates(field.step("Curlew", "pump")) == {"wind"}


def test_a_wind_reading_counts_for_five_minutes():
    for later, blocked in ((299.0, False), (302.0, True)):
        trial = Field().to("field clear")
        trial.wind()
        trial.time += later
        trial.confirm("charge", "wind")
        assert (trial.step("Curlew", "pump") is not None) == blocked


def test_thirty_minutes_after_the_last_thunder():
    for later, blocked in ((1799.0, True), (1801.0, False)):
        field = Field().to("field clear")
        field.say("thunder")
        field.time += later
        field.wind()
        field.confirm("charge", "wind")
        assert (field.step("Curlew", "pump") is not None) == blocked


def test_who_came_in_is_out_when_the_field_watch_says_so():
    field = Field()
    assert field.say("inside", "pump", count=2) is None  # anybody sees somebody
    assert "only the field watch" in why(field.say("inside", "pump", count=0))
    assert field.say("inside", "watch", count=0) is None


def test_a_bottle_is_not_left_under_pressure():
    field = Field().to("ready")
    field.wind()
    assert due(field.day, field.day.at) == []
    for _ in range(3):
        field.time += 200.0
        field.wind()
    (one,) = due(field.day, field.day.at)
    assert "ten minutes" in one.why


def test_a_stop_under_pressure_is_vented_within_a_minute():
    field = Field().to("stop")
    assert due(field.day, field.day.at + 59.0) == []
    assert "let off now" in due(field.day, field.day.at + 62.0)[0].why
