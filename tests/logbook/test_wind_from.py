"""From where the wind comes decides how much of it is too much: paper, page and gate say the same of it."""

import math
from dataclasses import replace

import pytest
from days import Field, plan, rocket, why

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.numbers import LimitAt
from bottlewright.field.wind_heights import Growth
from bottlewright.field.wind_held import WindHeld, held_at, held_words, reading_words
from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_plan import plan_json, plan_of
from bottlewright.logbook.day_screen import screen_of
from bottlewright.logbook.day_wind import lowered, wind_limit_read, wind_limit_words

HIGH = 10.0
TABLE = tuple((30.0 * k, 3.0 if k == 2 else 7.0 + 0.1 * k) for k in range(12))
"""The least from ENE (60°); from WSW (240°) 7.8 m/s, and 7.7 m/s from 210°."""
CURLEW = rocket("Curlew", "B07", wind_limit_m_s=7.7, wind_height_m=HIGH, wind_grows=tuple(Growth(HIGH)), winds=TABLE,
                wind_from=(240.0, 20.0))  # fmt: skip
HELD = WindHeld(tuple(LimitAt(way, most, HIGH) for way, most in TABLE), Growth(HIGH), (240.0, 20.0))


def against(one=CURLEW, **reading):
    """Return why a rocket is not pumped in a wind."""
    field = Field(plan(one)).to("field clear")
    assert field.say("wind", **reading) is None
    field.confirm("charge")
    field.say("confirm", "record", point="wind")  # refused where the reading is over
    refusal = field.step("Curlew", "pump")
    return "" if refusal is None else refusal.why


def test_both_limits_are_said_todays_direction_with_its_own_and_any_other_with_the_least():
    assert held_words(HELD) == (
        "5.5 m/s while it comes from WSW (240° ± 20°); from any other direction down to 2.1 m/s (ENE)")  # fmt: skip
    assert held_at(HELD) == "in the hand, 1.5 m up; that is 7.7 m/s and 3 m/s at 10 m"
    assert wind_limit_words(CURLEW) == f"{held_words(HELD)}; {held_at(HELD)}", "the day says what the paper says"


def test_without_a_wind_in_the_plan_the_least_of_all_directions_is_the_one_limit():
    alone = HELD._replace(coming=None)
    assert alone.today is None
    assert held_words(alone) == "2.1 m/s, the least of any direction (ENE)"
    assert held_at(alone) == "in the hand, 1.5 m up; that is 3 m/s at 10 m"


@pytest.mark.parametrize(("coming", "least"), [(240.0, 7.7), (100.0, 3.0), (90.0, 3.0), (20.0, 3.0), (119.0, 7.3)])
def test_where_the_wind_may_turn_the_least_within_reach_counts(coming, least):
    swings = HELD._replace(coming=(coming, 20.0))
    within = [most for way, most in TABLE if abs((way - coming + 180.0) % 360.0 - 180.0) <= 20.0]
    assert swings.today.speed_m_s == least
    assert swings.today.speed_m_s <= min(within), "and never more than any direction that it may turn to has"


def test_a_reading_is_held_to_the_limit_of_the_direction_that_it_comes_from():
    assert against(mean="3 m/s", gust="5 m/s", **{"from": "WSW"}) == ""
    assert against(mean="3 m/s", gust="5 m/s", **{"from": "240"}) == ""
    over = against(mean="3 m/s", gust="5 m/s", **{"from": "ENE"})
    assert "the wind is over the limit of 2.1 m/s from ENE, in the hand, 1.5 m up; that is 3 m/s at 10 m" in over
    assert "the gusts are over" in against(mean="2 m/s", gust="2.2 m/s", **{"from": "east"}), "it swings by 20°"


def test_nobody_confirms_a_wind_that_was_read_over_its_limit_and_the_screen_says_so_at_once():
    field = Field(plan(CURLEW)).to("field clear")
    field.say("wind", mean="3 m/s", gust="5 m/s", **{"from": "ENE"})
    over = "the wind is over the limit of 2.1 m/s from ENE, in the hand, 1.5 m up; that is 3 m/s at 10 m"
    assert why(field.say("confirm", "record", point="wind")) == f"Curlew: {over}"
    shown = screen_of(field.day, "record", "phone", field.day.at).rocket
    assert (shown.wind_over, {one.point: one.denied for one in shown.steps[0].points}) == (
        over, {"charge": "", "wind": over})  # fmt: skip
    field.say("wind", mean="3 m/s", gust="5 m/s", **{"from": "WSW"})
    assert field.say("confirm", "record", point="wind") is None
    assert screen_of(field.day, "record", "phone", field.day.at).rocket.wind_over == ""


def test_a_wind_confirmed_before_a_reading_over_the_limit_is_shown_as_open_again():
    field = Field(plan(CURLEW)).to("field clear")
    field.say("wind", mean="2 m/s", gust="2 m/s")
    field.confirm("wind")
    field.say("wind", mean="3 m/s", gust="5 m/s")
    points = screen_of(field.day, "record", "phone", field.day.at).rocket.steps[0].points
    assert [one.confirmed_at for one in points if one.point == "wind"] == [None]


def test_a_reading_that_does_not_say_from_where_is_held_to_the_least():
    over = "over the limit of 2.1 m/s, the least of any direction (ENE), for nobody wrote where this wind comes from"
    assert over in against(mean="2 m/s", gust="2.2 m/s")
    assert against(mean="2 m/s", gust="2.1 m/s") == ""


@pytest.mark.parametrize("way", ["often", "12 m", "1e9 bar"])
def test_a_direction_that_is_none_is_asked_back(way):
    field = Field(plan(CURLEW)).to("field clear")
    before = field.day.wind
    assert field.say("wind", mean="2 m/s", gust="2 m/s", **{"from": way}) is not None
    assert field.day.wind == before


def test_a_wind_that_turns_under_pressure_is_a_stop():
    field = Field(plan(CURLEW))
    field.reads_the_wind = False
    field.to("seated")
    field.say("wind", mean="3 m/s", gust="4 m/s", **{"from": "WSW"})
    field.to("pressurising")
    assert screen_of(field.day, "record", "", field.day.at).rocket.urgent == ""
    field.say("wind", mean="3 m/s", gust="4 m/s", **{"from": "ENE"})
    assert "over the limit of 2.1 m/s from ENE" in screen_of(field.day, "record", "", field.day.at).rocket.urgent


def test_the_screen_says_from_where_the_last_wind_came():
    field = Field(plan(CURLEW))
    field.say("wind", mean="2 m/s", gust="3 m/s", **{"from": "245"})
    shown = screen_of(field.day, "record", "", field.time)
    assert shown.wind.where == "in the hand, 1.5 m up, from WSW"
    assert shown.rocket.wind_limit == wind_limit_words(CURLEW)


def test_a_later_verdict_lowers_each_direction_by_itself_and_none_is_raised():
    field = Field(plan(CURLEW))
    later = [(way, 2.0 if way == 300.0 else 9.0) for way, _ in TABLE]
    assert field.say("lower wind", rocket="Curlew", limit_m_s=9.0, winds=later) is None
    now = field.day.plan.rockets["Curlew"]
    assert dict(now.winds) == {**dict(TABLE), 300.0: 2.0}
    assert wind_limit_read(now, from_deg=240.0) == wind_limit_read(CURLEW, from_deg=240.0)
    assert wind_limit_read(now) < wind_limit_read(CURLEW), "the least of all directions is another now"
    assert field.say("lower wind", rocket="Curlew", limit_m_s=9.0, winds=later) is not None, "nothing is lower any more"


def test_an_earlier_entry_with_one_lower_limit_holds_every_direction_to_it():
    now = lowered(CURLEW, 2.5)
    assert {most for _, most in now.winds} == {2.5}
    assert lowered(CURLEW, math.nan) == CURLEW
    assert lowered(replace(CURLEW, wind_limit_m_s=None), 2.5).wind_limit_m_s is None


def test_a_day_that_an_earlier_version_prepared_has_one_limit_for_all_directions():
    older = rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=HIGH, wind_grows=tuple(Growth(HIGH)))
    assert against(older, mean="3 m/s", gust="5 m/s", **{"from": "ENE"}) == ""
    assert wind_limit_words(older) == "5 m/s; in the hand, 1.5 m up; that is 7 m/s at 10 m"
    told = plan_json(plan(older))
    for one in told["rockets"]:
        del one["winds"], one["wind_from"]
    entry = {"entry": "plan", "at": "2027-03-20T09:00:00.000", "n": 1, "what": "prepared", "by": "M. Roe", "plan": told}
    assert day_of(NO_PLAN, [entry]).plan.rockets["Curlew"] == older


def test_the_table_of_directions_outlives_the_journal_and_one_that_is_none_is_refused():
    assert plan_of(plan_json(plan(CURLEW))).rockets["Curlew"] == CURLEW
    for wrong in ({"winds": ((0.0, -1.0),)}, {"winds": ((0.0,),)}, {"winds": ((0.0, math.nan),)},
                  {"wind_from": (1.0,)}):  # fmt: skip
        with pytest.raises((TypeError, ValueError)):
            plan_of(plan_json(plan(replace(CURLEW, **wrong))))


def test_no_digit_of_a_limit_lets_anybody_launch_in_more():
    miles = UnitHabit(miles=True, inches=True)
    assert "12.3 mph (5.5 m/s) while" in held_words(HELD, miles), "5.5 m/s are 12.303 mph"
    one = WindHeld((LimitAt(0.0, 4.8, 1.5),), Growth(1.5))
    assert reading_words(one, None, 1.5, miles) == "10.7 mph (4.8 m/s), in the hand, 4.92 ft (1.5 m) up", "not 10.74"
