"""What a day with children needs: counted so that nothing is forgotten, and nothing is called enough."""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import bottlewright as bw
from bottlewright.errors import FieldsError, InputError
from bottlewright.make.need.asked import Asked, RestsOn
from bottlewright.make.need.count import count_needs
from bottlewright.make.need.figures import Away, figures_of
from bottlewright.project.need import asked_of

BY_RULE = Away("6.1 m by rule (landings not worked out)", "6.1 m by rule (landings not worked out)",
               "at least 15.3 m by rule; landings not worked out", 6.1, 6.1, 15.24, 15.24, False, "40 m")  # fmt: skip

PUMPED = """
[vessel]
bottle = "carbonated-1500"
volume = "1500 mL"
[charge]
water = "500 mL"
pressure = "2 bar"
[weather]
pressure = "1013.25 hPa"
[launcher.pump]
kind = "foot"
bore = "32 mm"
stroke = "450 mm"
clearance = "0 mL"
cadence = "30 1/min"
[prices]
currency = "crowns"
[prices.each]
bottle = 2.0
hose = 14.0
pump = 30.0
[stock]
have = { bottle = 5 }
"""


@pytest.fixture(scope="module")
def design():
    return bw.parse(PUMPED)


@pytest.fixture(scope="module")
def of(design):
    return figures_of(design.design, design.proved, {}, BY_RULE)


ASKED = st.builds(Asked, children=st.integers(1, 200), team=st.integers(1, 40), hours=st.floats(60.0, 40_000.0))


@given(asked=ASKED, more=st.integers(1, 50))
def test_more_children_never_need_less_of_anything(of, asked, more):
    few, many = count_needs(asked, of), count_needs(replace(asked, children=asked.children + more), of)
    for code in ("teams", "goggles", "bottles", "tests", "water", "all-strokes", "hours", "test-hours", "cost"):
        assert many[code].amount >= few[code].amount, code


@given(asked=ASKED)
def test_the_litres_are_the_sum_of_their_parts_as_they_are_printed(of, asked):
    counted = count_needs(asked, of)
    parts = [int(counted[code].shown.removesuffix(" L")) for code in ("water-launches", "water-spilt", "water-tests")]
    assert counted["water"].shown == f"{sum(parts)} L"
    assert parts[0] >= 0.5 * asked.children > parts[0] - 1  # half a litre each


@given(asked=ASKED)
def test_every_vessel_that_may_fly_gets_its_own_water_test_and_none_flies_too_often(of, asked):
    counted = count_needs(asked, of)
    assert counted["tests"].amount == counted["bottles"].amount
    assert counted["spare"].amount >= 1
    assert counted["cycles"].amount <= 15  # "retire a bottle after 10 to 15 launches", its water test counted


@given(asked=ASKED)
def test_the_minutes_of_a_launch_add_up_as_they_are_printed(of, asked):
    counted = count_needs(asked, of)
    steps = [counted[code] for code in ("fill", "seat", "clear", "pump", "wait", "fly", "find")]
    printed = sum(float(row.shown.split()[0]) for row in steps)
    assert float(counted["each"].shown.split()[0]) == pytest.approx(printed, abs=1e-6)
    assert counted["each"].spread == pytest.approx(math.sqrt(sum(row.spread**2 for row in steps)))


@given(asked=ASKED)
def test_the_launches_that_fit_leave_time_to_set_up_and_pack_and_one_more_would_not(of, asked):
    counted = count_needs(asked, of)
    fixed = sum(counted[code].amount for code in ("set-up", "briefing", "pack-up"))
    fit, each = counted["fit"].amount, counted["each"].amount
    assert fixed + (fit + 1) * each > asked.hours
    assert fit == 0 or fixed + fit * each <= asked.hours + 1e-6


def test_strokes_are_those_of_the_gas_law_by_hand(of):
    # Isothermal: the air that has to come in, 2.0 bar x 1.0 L, over what one stroke brings, 1.01325 bar x its volume.
    # A stroke is 3.1416 x 1.6 cm x 1.6 cm x 45 cm = 361.9 mL. 2.0 x 1000 / (1.01325 x 361.9) = 5.45: six strokes.
    counted = count_needs(Asked(24, 2, 7200.0), of)
    assert of.pumping.strokes == pytest.approx(5.45, abs=0.005)
    assert counted["strokes"].amount == 6
    assert counted["all-strokes"].amount == 24 * 6
    assert counted["pump"].amount == pytest.approx(60.0 * 5.45 / 30.0, abs=3.0)  # 30 a minute, to a tenth of a minute


def test_a_pump_that_nobody_described_is_a_track_pump_of_common_practice_with_its_spread():
    project = bw.begin(bottle="1.5 litre fizzy", pressure="2 bar")
    row = count_needs(Asked(24, 2, 7200.0), figures_of(project.design, project.proved, {}, None))["strokes"]
    assert row.rests_on is RestsOn.PRACTICE
    assert row.spread >= 1
    assert "±" in row.shown


def test_what_does_not_fit_is_said_with_the_ways_out(of):
    said = " ".join(count_needs(Asked(24, 2, 7200.0, 10.0, "crowns", 25.0, 60.0), of).misfits)
    assert "24 children at one each need" in said
    assert "launchers" in said
    assert "over the budget" in said
    assert "a field at least 30 m wide" in said
    assert "12.5 m on the shorter side; spectators stand 15.3 m off" in said


def test_a_day_with_hours_to_spare_has_no_line_about_time_and_still_says_what_was_not_counted(of):
    counted = count_needs(Asked(4, 2, 36_000.0, None, "", 200.0, 300.0), of)
    assert counted.misfits == ()
    assert any("comes down" in text for text in counted.not_counted)
    assert any("windy" in text for text in counted.not_counted)


def test_nothing_reassures(of):
    counted = count_needs(Asked(4, 2, 36_000.0, 1e6, "crowns", 200.0, 300.0), of)
    told = " ".join([*counted.misfits, *counted.not_counted, *(f"{row.shown} {row.how}" for row in counted.rows)])
    assert not re.findall(r"\b(safe|enough|fine|plenty|ok|sufficient)\b", told.lower())


def test_money_is_counted_for_every_rocket_less_what_is_in_stock_and_says_what_has_no_price(of):
    counted = count_needs(Asked(24, 2, 7200.0), of)
    # 12 bottles that fly and 3 spare, 5 of them there: 10 at 2 crowns; a hose at 14; two pumps at 30.
    assert counted["cost"].amount == pytest.approx(10 * 2 + 14 + 2 * 30)
    assert counted["cost"].unit == "crowns"
    assert counted["unpriced"].amount > 10


def test_a_budget_in_another_money_is_held_against_nothing(of):
    counted = count_needs(Asked(24, 2, 7200.0, 10.0, "shells"), of)
    assert "Nothing to hold it against" in counted["budget"].how
    assert any("shells" in text and "crowns" in text for text in counted.misfits)


def test_goggles_are_for_everyone_where_spectators_may_stand_inside_ten_metres(of):
    near = replace(of, away=replace(BY_RULE, nearest_m=6.1), children_per_adult=8)
    assert count_needs(Asked(24, 2, 7200.0), of)["goggles"].amount == 3
    assert count_needs(Asked(24, 2, 7200.0), near)["goggles"].amount == 24 + 1 + 3  # 22 wait, one adult for each 8


def test_landings_go_before_the_rule_and_a_short_hose_is_said(of):
    landed = replace(BY_RULE, pumper="9 m", spectators="60 m; on some sides 25 m or more, see the table", pumper_m=9.0,
                     nearest_m=25.0, furthest_m=60.0, landings=True)  # fmt: skip
    counted = count_needs(Asked(24, 2, 72_000.0, None, "", 100.0, 200.0), replace(of, away=landed, hose=8.0))
    assert counted["hose"].shown == "9 m"
    assert counted["spectators"].shown == "60 m"
    assert any("hose of the design is 8 m" in text for text in counted.misfits)
    assert any("spectators stand 60 m off" in text for text in counted.misfits)
    assert "see Field" in counted["landings"].shown


def test_a_stop_anywhere_is_a_stop_here(of):
    stopped = replace(of, away=replace(BY_RULE, stop="STOP: 1 thing has to be put right first"))
    assert count_needs(Asked(4, 2, 36_000.0), stopped).misfits[0].startswith("STOP")


def test_a_bottle_that_is_finished_gets_no_test_and_says_so(of):
    counted = count_needs(Asked(4, 2, 36_000.0), replace(of, test=None))
    assert counted["tests"].amount == 0
    assert any("fresh bottle" in text for text in counted.misfits)


def test_a_pump_that_does_not_get_there_has_no_number_of_strokes(of):
    weak = replace(of, pumping=replace(of.pumping, strokes=math.inf, time=math.inf))
    counted = count_needs(Asked(4, 2, 36_000.0), weak)
    assert counted["strokes"].shown == "out of reach"
    assert any("another pump" in text for text in counted.misfits)
    assert any("minutes of pumping" in text for text in counted.not_counted)


@pytest.mark.parametrize(("text", "width", "length", "feet"), [
    ("60 m x 40 m", 40.0, 60.0, False), ("40 x 60 m", 40.0, 60.0, False), ("60m×40m", 40.0, 60.0, False),
    ("200 ft by 100 ft", 30.48, 60.96, True),
])  # fmt: skip
def test_a_field_is_read_as_people_write_it(text, width, length, feet):
    asked = asked_of({"field": text})
    assert (asked.width, asked.length, asked.feet) == (pytest.approx(width), pytest.approx(length), feet)


@pytest.mark.parametrize(("name", "text", "right"), [
    ("field", "big", "60 m x 40 m"), ("field", "60 m", "60 m x 40 m"), ("hours", "2", "h"), ("hours", "0 h", "90 min"),
    ("children", "0", "1 to 500"), ("children", "many", "whole number"), ("team", "-1", "whole number"),
    ("budget", "cheap", "120 crowns"),
])  # fmt: skip
def test_a_wrong_answer_says_what_would_be_right(name, text, right):
    with pytest.raises(FieldsError) as refused:
        asked_of({name: text})
    assert set(refused.value.fields) == {name}
    assert right in refused.value.fields[name]


def test_an_answer_that_nobody_asked_for_is_refused():
    with pytest.raises(InputError, match="childs is no answer"):
        asked_of({"childs": 3})


def test_the_surface_gives_the_count_with_verdict_words_and_columns(design):
    found = design.need(children=24, team=3, field="60 m x 40 m")
    columns = found.columns()
    assert len({len(column) for column in columns.values()}) == 1
    bottles = columns["amount"][columns["code"].index("bottles")]
    assert bottles == found.counted["bottles"].amount == 8 + 2
    assert found.act.spectators.partition(" by rule")[0] in found.words()
    assert "What does not fit" in found.words()
    assert found.document()["rows"][0]["rests_on"] == "your answers"
    assert found.early["spectators"].shown == "being worked out"
