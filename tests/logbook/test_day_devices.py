"""Several devices, cut off or not, and a journal that is read again."""

from days import Field, why
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.logbook.day import day_of, decide


def test_two_devices_never_hold_one_launch():
    field = Field().to("ready")
    assert field.say("take", "pull", rocket="Curlew", device="one") is None
    assert "another device" in why(field.say("take", "pull", rocket="Curlew", device="two"))
    field.wind()
    field.confirm("charge", "field", "sky", "wind", "lines")
    assert "another device" in why(field.step("Curlew", "launch", device="two"))
    assert field.step("Curlew", "launch", device="one") is None


def test_what_a_device_says_that_was_cut_off_never_leads_on():
    field = Field().to("ready")
    field.say("take", "pull", rocket="Curlew")
    for what, more in (("confirm", {"point": "charge"}), ("inside", {"count": 0}), ("take", {"rocket": "Curlew"})):
        assert field.say(what, "charge", offline=True, **more) is not None
    assert field.say("stop", offline=True) is None
    assert field.state() == "stop"


def test_an_entry_that_makes_no_sense_is_refused_in_words():
    field = Field()
    for entry in ({}, {"what": "step"}, {"what": "dance", "at": field.at()}, {"what": "step", "at": "noon"},
                  {"what": "wind", "at": field.at(), "mean": "strong", "entry": "x"},
                  {"what": "step", "at": field.at(), "rocket": "Nobody", "event": "pump"}):
        after, refusal = decide(field.day, entry)
        assert refusal is not None
        assert after.rockets == field.day.rockets


def test_after_a_crash_the_journal_makes_the_same_day():
    field = Field().to("field open")
    field.step("Curlew", "back")
    field.to("ready", "Wren")
    again = day_of(field.plan, field.journal)
    assert again.rockets == field.day.rockets
    assert again.cycles == field.day.cycles
    assert again.refused == ()


@given(st.data())
@settings(max_examples=30)
def test_journals_joined_in_any_order_make_the_same_day(data):
    field = Field().to("launched")
    field.say("thunder")
    field.to("down")
    shuffled = data.draw(st.permutations([*field.journal, *field.journal[::3]]))
    assert day_of(field.plan, shuffled) == day_of(field.plan, field.journal)
