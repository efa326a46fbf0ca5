"""A meter in the hand reads less than the wind above: the day holds each reading to the limit at its own height."""

import pytest
from days import BAR, Field, plan, rocket

from bottlewright.field.wind_heights import Growth
from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_plan import plan_json, plan_of
from bottlewright.logbook.day_screen import screen_of
from bottlewright.logbook.day_wind import wind_limit_read

FORECAST = rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=10.0, wind_grows=tuple(Growth(10.0)))


def against(**reading):
    """Return why the rocket is not pumped in a wind."""
    field = Field(plan(FORECAST)).to("field clear")
    assert field.say("wind", **reading) is None
    field.confirm("charge")
    field.say("confirm", "record", point="wind")  # refused where the reading is over
    refusal = field.step("Curlew", "pump")
    return "" if refusal is None else refusal.why


def test_a_reading_in_the_hand_is_held_to_the_limit_carried_down_to_the_hand():
    assert against(mean="4 m/s", gust="5 m/s", height="1.5 m") == ""
    why = against(mean="4 m/s", gust="5.1 m/s", height="1.5 m")
    assert "the gusts are over the limit of 5 m/s, in the hand, 1.5 m up; that is 7 m/s at 10 m" in why
    assert "the wind is over the limit of 5 m/s" in against(mean="5.1 m/s", gust="5.1 m/s", height="5 ft")


def test_a_reading_that_says_no_height_counts_as_read_in_the_hand():
    assert against(mean="4 m/s", gust="5 m/s") == ""
    assert "over the limit of 5 m/s, in the hand" in against(mean="4 m/s", gust="6.9 m/s")


def test_a_reading_from_a_mast_is_held_to_the_limit_at_its_height():
    assert against(mean="6 m/s", gust="6.9 m/s", height="10 m") == ""
    assert "the gusts are over the limit of 7 m/s, 10 m up" in against(mean="6 m/s", gust="7.1 m/s", height="10 m")
    assert "that is 7 m/s at 10 m" in against(mean="6 m/s", gust="6.9 m/s", height="4 m")


@pytest.mark.parametrize("height", ["0.1 m", "1 km", "-2 m", "high", "2 s"])
def test_a_reading_from_no_height_is_not_taken(height):
    field = Field(plan(FORECAST)).to("field clear")
    before = field.day.wind
    assert field.say("wind", mean="2 m/s", gust="2 m/s", height=height) is not None
    assert field.day.wind == before


def test_a_day_that_does_not_say_over_what_ground_takes_the_roughest():
    older = rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=10.0)
    assert wind_limit_read(older) < wind_limit_read(FORECAST)
    nothing = rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=None)
    assert wind_limit_read(nothing) == wind_limit_read(older), "the height of a forecast"


def test_how_the_wind_grows_outlives_the_journal():
    again = plan_of(plan_json(plan(FORECAST))).rockets["Curlew"]
    assert again.wind_grows == FORECAST.wind_grows
    with pytest.raises((TypeError, ValueError)):
        plan_of(plan_json(plan(rocket("Curlew", "B07", wind_grows=(10.0, 9)))))


def test_a_lower_limit_from_a_later_verdict_is_carried_down_too():
    field = Field(plan(FORECAST)).to("field clear")
    assert field.say("lower wind", rocket="Curlew", limit_m_s=5.0) is None
    assert wind_limit_read(field.day.plan.rockets["Curlew"]) == 3.6
    field.wind("3 m/s", "3.7 m/s")
    field.confirm("charge")
    field.say("confirm", "record", point="wind")  # refused where the reading is over
    assert "over the limit of 3.6 m/s, in the hand, 1.5 m up; that is 5 m/s at 10 m" in field.step("Curlew", "pump").why


def test_the_screen_says_both_heights_before_and_after_somebody_read_the_wind():
    field = Field(plan(FORECAST))
    both = "5 m/s; in the hand, 1.5 m up; that is 7 m/s at 10 m"
    assert screen_of(field.day, "record", "", field.time).rocket.wind_limit == both
    field.say("wind", mean="2 m/s", gust="3 m/s", height="4 m")
    shown = screen_of(field.day, "record", "", field.time)
    assert shown.wind.where == "4 m up, nobody wrote from where"
    assert shown.rocket.wind_limit == "5.9 m/s; 4 m up; that is 7 m/s at 10 m"


def test_a_journal_from_before_heights_comes_to_the_same_day():
    entry = {"entry": "plan", "at": "2027-03-20T09:00:00.000", "n": 1, "what": "prepared", "by": "M. Roe"}
    told = plan_json(plan(rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=10.0, allowed_Pa=4.8 * BAR)))
    for one in told["rockets"]:
        del one["wind_grows"]
    wind = {"entry": "wind", "at": "2027-03-20T09:01:00.000", "n": 2, "what": "wind", "by": "P", "mean": "2 m/s"}
    day = day_of(NO_PLAN, [{**entry, "plan": told}, wind])
    assert day.refused == ()
    assert day.wind.height_m == 1.5
