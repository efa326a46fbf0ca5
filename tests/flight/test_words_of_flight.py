"""What a flight says of itself to one who writes inches and ounces, and to one who writes mm and grams."""

import math
import re

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.unit_habit import METRIC, unit_habit
from bottlewright.flight.chapters import fly_chapter, sketch_chapter
from bottlewright.flight.fly import fly
from bottlewright.flight.layout import layout_of
from bottlewright.flight.summary_text import _landing_place, flight_words
from habits import curlew_text


@pytest.fixture(scope="module")
def curlew():
    design = complete(parse_design(curlew_text(True)))
    return design, fly(design, series=True)


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def test_the_ledger_weighs_ounces_to_the_hundredth(curlew):
    said = plain(fly_chapter(*curlew).section.html).partition("Where the mass went")[2].partition("How we worked")[0]
    ounces = re.findall(r"([\d.]+) oz \([\d.]+ g\)", said)
    assert len(ounces) > 5
    assert [number for number in ounces if not re.fullmatch(r"\d+\.\d\d", number)] == []


def test_what_weighs_what_comes_in_ounces_where_the_program_filled_it_in(curlew):
    design, flight = curlew
    bare = design.model_copy(update={"fins": design.fins.model_copy(update={"mass": None})})
    html = sketch_chapter(complete(bare), layout_of(complete(bare)), flight).section.html
    assert re.search(r"fins [\d.]+ ± [\d.]+ oz \([\d.]+ ± [\d.]+ g\)", plain(html))


def test_the_greatest_acceleration_comes_in_feet_a_second_squared(curlew):
    assert re.search(r"greatest acceleration +\d+ ft/s² \(\d+ m/s²\) +\d+ times gravity", flight_words(*curlew))


def test_a_rocket_that_comes_down_where_it_stood_lands_beside_the_launcher():
    assert _landing_place({"landing_east_m": 0.0, "landing_north_m": -0.1}, METRIC) == "beside the launcher"
    away = {"landing_east_m": 3.0, "landing_north_m": 3.0}
    assert _landing_place(away, METRIC) == "4.2 m from the launcher towards 45°"
    nearly_north = {"landing_east_m": -0.02, "landing_north_m": 9.0}
    assert _landing_place(nearly_north, METRIC) == "9 m from the launcher towards 0°", "a circle has no 360°"


def test_every_number_in_the_charts_words_has_its_own_unit_first(curlew):
    design, _ = curlew
    texts = [text for picture in fly_chapter(*curlew).section.pictures for text in (picture.caption, picture.alt)]
    metric = [text for text in texts if re.search(r"\d (?:m|N|m/s)\b", text)]
    assert metric
    assert unit_habit(design).pounds
    for text in metric:
        own = re.sub(r"(?:ft|mph|lbf) \([^()]*\)", "", text)
        assert not re.search(r"\d (?:m|N|m/s)(?![\w/ ]| s)", own), text
    assert math.isfinite(curlew[1].summary["apogee_m"])
