"""Measured beside foretold: inside, high or low by both bands, and one thing to look at first."""

import itertools
import re

import pytest

from bottlewright.design.unit_habit import INCH_POUND
from bottlewright.figures.sheet import MM
from bottlewright.logbook.card import card
from bottlewright.logbook.compared import compared, first_look, otherwise, sentence, verdict_on
from bottlewright.logbook.compared_picture import compared_picture
from bottlewright.logbook.records import FlightFile

TOLD = {"made": "2027-03-20T10:00:00", "height": "53 m ± 3 m", "height_low": "49 m", "height_high": "57 m",
        "time_up": "3.3 s ± 0.1 s", "time": "16 s ± 1 s", "time_low": "15 s", "time_high": "17.5 s", "away": "49 m",
        "away_low": "32 m", "away_high": "69 m", "water": "365 mL ± 10 mL", "pressure": "4.5 bar ± 0.15 bar",
        "wind": "2.5 m/s ± 0.3 m/s", "wind_height": "2 m", "wind_exponent": "0.143 ± 0.03"}  # fmt: skip


def launch(measured=(), **more):
    return FlightFile.model_validate({
        "entry": "f1", "day": "2027-03-20", "number": 3, "rocket": "Curlew", "prediction": TOLD,
        "measured": [{"what": what, "value": value, "how": "read"} for what, value in measured], **more,
    })  # fmt: skip


@pytest.mark.parametrize(("measured", "spread", "lies"), [
    (53.0, 2.0, "inside"), (49.0, 2.0, "inside"), (46.0, 2.0, "low"), (48.0, 2.0, "unknown"), (60.0, 2.0, "high"),
    (58.0, 2.0, "unknown"), (58.0, 0.0, "high"),
])
def test_what_lies_outside_by_less_than_its_spread_nobody_can_tell(measured, spread, lies):
    assert verdict_on(measured, spread, 49.0, 57.0) == lies


def test_the_surest_of_several_measurements_is_compared():
    rows = {one.what: one for one in compared(launch([("height", "60 m ± 9 m"), ("height", "47 m ± 1 m")]))}
    assert (rows["height"].measured, rows["height"].lies) == (47.0, "low")
    assert (rows["time"].measured, rows["time"].lies) == (None, "unknown")
    assert rows["time up"].low == pytest.approx(3.3 - 1.2816 * 0.1)


def test_a_measurement_coarser_than_the_band_says_little():
    assert "wider than the band" in sentence(launch([("height", "52 m ± 6 m")]))
    assert "wider than the band" not in sentence(launch([("height", "52 m ± 3 m")]))


def test_one_sentence_names_where_it_lies_the_band_and_the_first_thing_to_look_at():
    said = sentence(launch([("height", "41 m ± 2 m"), ("time", "14 s ± 0.1 s")]))
    assert said.startswith("The height, 41.0 m ± 2.0 m, is low: eight flights in ten were foretold at 49.0 to 57.0 m; "
                           "first, read the pressure on a second gauge")
    assert "134.5 ft ± 6.6 ft, is low" in sentence(launch([("height", "41 m ± 2 m")]), INCH_POUND)
    nothing = sentence(launch())
    assert nothing.startswith("Nothing is measured yet. Eight flights in ten were foretold at 49.0 to 57.0 m (height)")
    assert "first" not in nothing, "what to look at first follows from what was read"
    assert "nobody can tell" in sentence(launch([("height", "48 m ± 2 m")]))


def test_nothing_is_compared_with_what_nobody_foretold():
    flight = launch([("height", "41 m ± 2 m")], prediction=None)
    assert compared(flight) == []
    assert sentence(flight).startswith("Nothing was foretold")


@pytest.mark.parametrize(("lies", "words"), [
    ({"height": "low", "time": "low"}, "second gauge"), ({"height": "low", "time": "high"}, "holds the parachute"),
    ({"height": "inside", "time": "low"}, "parachute and its lines"), ({"height": "high", "time": "high"}, "weigh"),
    ({"height": "high", "time": "low"}, "opened late"), ({"height": "low"}, "stations' distance"),
    ({"height": "inside", "time": "inside", "away": "high"}, "wind higher up"), ({"time": "low"}, "height more surely"),
    ({"height": "inside", "time": "inside"}, "does not show that the file is right"), ({}, "measure height or time"),
    ({"height": "unknown", "time": "inside"}, "a time inside its band says little"),
])
def test_the_first_thing_to_look_at_follows_from_what_lies_outside(lies, words):
    assert words in first_look(lies)


def test_every_combination_has_a_first_thing_to_look_at_and_none_reassures():
    states = ("low", "high", "inside", "unknown")
    for some in itertools.product(states, repeat=4):
        said = first_look(dict(zip(("height", "time", "time_up", "away"), some, strict=True)))
        assert said
        assert not re.search(r"\b(safe|fine|OK|go)\b", said)


def test_another_load_comes_before_any_other_cause():
    flight = launch([("height", "41 m ± 2 m")], loaded={"water": "450 mL", "pressure": "4.4 bar"})
    assert [one.what for one in otherwise(flight)] == ["water"]
    assert "water 450 mL instead of 365 mL ± 10 mL" in sentence(flight)
    inside = launch([("height", "53 m ± 2 m")], loaded={"water": "450 mL"})
    assert "instead of" not in sentence(inside)


@pytest.mark.parametrize(("measured", "told"), [(("away", "90 m ± 2 m"), True), (("height", "41 m ± 2 m"), False)])
def test_another_wind_explains_another_landing_and_not_another_height(measured, told):
    wind = [{"entry": "w", "how": "gauge", "speed": "5 m/s ± 0.3 m/s", "height": "1.5 m"}]
    flight = launch([measured], wind=wind)
    assert [one.what for one in otherwise(flight)] == ["wind"]
    assert ("wind 5.2 m/s" in sentence(flight)) == told
    assert otherwise(launch([measured], wind=wind, withdrawn=["w"])) == []
    assert [one.what for one in otherwise(launch([measured], conditions={"wind": "5 m/s"}))] == ["wind"]


@pytest.mark.parametrize("wide", [165.0, 92.0])
def test_the_picture_has_band_and_mark_where_they_belong(wide):
    rows = compared(launch([("height", "41 m ± 2 m"), ("away", "52 m ± 3 m")]))
    sheet = compared_picture(rows, "compared", "said").draw(wide)
    svg = sheet.svg("said")
    assert sheet.width == pytest.approx(wide * MM)
    assert svg.count('data-part="height"') == svg.count('data-part="away"') == 1
    assert "Height, m" in svg
    assert "41.0 m ± 2.0 m: low" in svg
    for words in sheet.words:
        assert words.box.left >= -1.0, words.text
        assert words.box.right <= sheet.width + 1.0, words.text


def test_the_card_has_true_figures_and_no_whole_name():
    flight = launch([("height", "41 m ± 2 m")], team="KM", loaded={"water": "365 mL"}, landing="soft", damage="none")
    html = card(flight)
    assert "41.0 m ± 2.0 m" in html
    assert "by KM" in html
    assert "365 mL" in html
    assert "Karla" not in card(launch([("height", "41 m")], team="Karla"))
    assert "not measured" in card(launch())
    assert "<script" not in html
