"""What Tune says, read by a builder who writes bar and mm and by one who writes psi and inches."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from bottlewright.design import complete, parse_design
from bottlewright.flight.summary import SUMMARY
from bottlewright.tune.advice import Ceiling, advise
from bottlewright.tune.chapters import tune_chapter
from bottlewright.tune.pressure_limit import ceiling_of
from bottlewright.tune.results import advice_document, advice_words
from bottlewright.tune.summary_text import _MORE as MORE
from bottlewright.tune.summary_text import _value as told
from bottlewright.tune.summary_text import findings_of
from drawn import Drawn
from habits import curlew_text, loose, pairs, strings, swept


def fly_on_paper(batch):
    """Height 12 m for each bar, less 80 m for each litre squared off half a litre."""
    notes = np.zeros(len(batch), SUMMARY)
    bar = batch["pressure_gauge"] / 1e5
    notes["apogee_m"] = 12.0 * bar - 80.0 * ((batch["water"] - 0.5e-3) * 1e3) ** 2
    notes["flight_time_s"] = 0.25 * notes["apogee_m"]
    notes["static_margin_min_calibres"] = 1.9 - 2.0 * batch["water"] * 1e3
    notes["guide_exit_speed_m_s"] = 4.0 * bar
    notes["max_acceleration_m_s2"] = 100.0 * bar
    notes["landing_east_m"] = notes["apogee_m"]
    return notes


WAYS = [
    ("tune.flights=8",),
    ("tune.flights=8", 'tune.aim="least pressure"', 'tune.height="120 ft"'),
    ("tune.flights=8", 'tune.aim="nearest height"', 'tune.height="120 ft"', 'tune.most_pressure="60 psi"'),
    ("tune.flights=8", 'tune.aim="hang time"', 'charge.pressure="80 psi"', "vessel.proof=[]"),
    ("tune.flights=8", 'tune.vary=["ballast", "fin span", "bore"]', 'tune.water=["900 mL", "950 mL"]'),
    ("tune.flights=8", 'vessel.proof=[{pressure="109 psi", hold="60 s", passed=false}]'),
]


@cache
def everything(sets, inch_pound) -> list[str]:
    design = complete(parse_design(curlew_text(inch_pound), list(sets)))
    advice = advise(design, ceiling_of(design), fly=fly_on_paper)
    chapter = tune_chapter(design, advice)
    html = re.sub(r"<[^>]*>", " ", chapter.section.html)
    pictures = [text for picture in chapter.section.pictures for text in (picture.caption, picture.alt)]
    drawn = []
    for picture in chapter.section.pictures:
        drawn += [text for text in Drawn(picture.figure).texts if re.search(r"\d bar", text)]
    findings = [text for one in findings_of(advice) for text in one.as_json().values()]
    document = advice_document(design, advice)
    document.pop("worth_in")  # which says the unit of a number for programs
    return [*advice_words(design, advice), html, chapter.section.title, *pictures, *drawn, *findings,
            *strings(document)]


@pytest.mark.parametrize("sets", WAYS)
def test_a_builder_who_writes_psi_reads_psi_first_and_bar_in_brackets(sets):
    texts = everything(sets, True)
    assert [found for text in texts for found in loose(text, "bar")] == []
    assert sum(len(pairs(text, "bar")) for text in texts) > 3
    assert [found for text in texts for found in loose(text, "m")] == []


@pytest.mark.parametrize("sets", [("tune.flights=8",), ("tune.flights=8", 'tune.vary=["ballast", "fin span", "bore"]')])
def test_a_builder_who_writes_bar_reads_neither_psi_nor_feet(sets):
    texts = everything(sets, False)
    assert re.findall(r"\d (?:psi|ft|oz)\b", " ".join(texts)) == []


@pytest.mark.parametrize("inch_pound", [False, True])
@pytest.mark.parametrize("sets", WAYS)
def test_no_swept_phrase_is_left(sets, inch_pound):
    assert [found for text in everything(sets, inch_pound) for found in swept(text)] == []


def test_the_recommended_pressure_is_never_written_above_the_highest_allowed():
    design = complete(parse_design(curlew_text(True), ["tune.flights=8"]))
    advice = advise(design, Ceiling(4.6989e5, "a test allows no more"), fly=fly_on_paper)
    text = advice_words(design, advice)[1]
    assert "68.1 psi (4.69 bar) of pressure" in text


def test_what_holds_a_load_back_is_a_list():
    design = complete(parse_design(curlew_text(False), ["tune.flights=8"]))
    lines = advice_words(design, advise(design, ceiling_of(design), fly=fly_on_paper))
    first = lines.index("What holds it back:")
    assert lines[first + 1].startswith("– the pressure of 4.53 bar")
    assert lines[first + 2].startswith("– the static margin")


def test_the_axes_of_the_pictures_are_in_psi_and_feet_for_one_who_writes_them():
    design = complete(parse_design(curlew_text(True), ["tune.flights=8"]))
    chapter = tune_chapter(design, advise(design, ceiling_of(design), fly=fly_on_paper))
    response, front = (Drawn(picture.figure) for picture in chapter.section.pictures[:2])
    assert "pressure, psi gauge" in response.texts
    assert {"pressure, psi gauge", "height, ft"} <= set(front.texts)


def test_in_the_place_of_an_empty_table_of_pressures_stands_why_there_is_none():
    design = complete(parse_design(curlew_text(False), ["tune.flights=8"]))
    advice = replace(advise(design, ceiling_of(design), fly=fly_on_paper), front=())
    page = tune_chapter(design, advice).section.html
    assert "Each passed a limit in too many of its flights, so we can name no best height at any pressure" in page
    assert "Best water" not in page
    nowhere = advice.map._replace(slacks={name: slack - 9.0 for name, slack in advice.map.slacks.items()})
    page = tune_chapter(design, replace(advice, map=nowhere)).section.html
    assert "At no pressure did they find water that keeps to all limits" in page


def test_a_filled_in_value_that_makes_the_spread_is_told_in_the_builders_unit():
    design = complete(parse_design(curlew_text(True), ["tune.flights=8", "site.height=0 ft ± 500 ft"]))
    bare = design.model_copy(update={"fins": design.fins.model_copy(update={"mass": None})})
    bare = complete(bare)
    text = told(advise(bare, ceiling_of(bare), fly=fly_on_paper), bare, "fins.mass")
    assert re.fullmatch(r"[\d.]+ ± [\d.]+ oz \([\d.]+ ± [\d.]+ g\)", text)


def test_a_gain_is_told_as_finely_as_its_range():
    for text in everything(("tune.flights=8",), True):
        said = r"you (?:gain|lose) ([\d.]+) ft .*?between ([\d.]+) ft .*? and ([\d.]+) ft"
        for gain, low, high in re.findall(said, text):
            assert float(low) <= float(gain) <= float(high)


def test_no_reason_speaks_for_what_it_explains_the_cost_of():
    costs = [found for sets in WAYS for text in everything(sets, False)
             for found in re.findall(r"A fifth (?:more|less) [a-z ]+ costs [^,]+, for ([^.]+)\.", text)]
    assert costs
    assert [why for why in costs if why.startswith(("it carries", "the air throws the water out faster"))] == []
    assert "it carries its speed further" not in " ".join(reason for reason in MORE.values())


def test_a_remedy_under_a_limit_that_no_load_meets_is_for_comparing_only():
    design = complete(parse_design(curlew_text(False), ["tune.flights=8", "charge.water=600 mL",
                                                               'tune.want=["at least 30 s in the air"]']))
    advice = advise(design, ceiling_of(design), fly=fly_on_paper)
    assert advice.unmet
    remedies = [one.remedy for one in findings_of(advice) if one.code == "present-load-outside-limit"]
    assert remedies
    assert all("for comparing only" in remedy for remedy in remedies)


UNTESTED = ("tune.flights=8", "vessel.proof=[]")


def test_before_the_bottles_own_water_test_nothing_is_ordered_to_be_loaded():
    design = complete(parse_design(curlew_text(False), UNTESTED))
    ceiling = ceiling_of(design)
    advice = advise(design, ceiling, fly=fly_on_paper)
    test = f"a water test at {advice.habit.pressure(ceiling.first_test)}"
    words = advice_words(design, advice)
    assert words[1].startswith(f"Load nothing yet: this bottle has not passed {test}.")
    assert "After its water test load" in words[1] or "After its water test leave" in words[1]
    title = tune_chapter(design, advice).section.title
    assert title.startswith((f"First {test}. After its water test load ", "No load"))
    told = [*words, *(one.remedy for one in findings_of(advice))]
    assert [text for text in told if re.search(r"(?<!nothing yet)\bLoad \d", text)] == []


def test_a_bottle_that_passed_its_test_is_simply_loaded_and_a_finished_one_is_replaced_and_tested_first():
    tested = complete(parse_design(curlew_text(False), ["tune.flights=8"]))
    assert ceiling_of(tested).first_test is None
    assert tune_chapter(tested, advise(tested, ceiling_of(tested), fly=fly_on_paper)).section.title.startswith("Load ")
    cut = complete(parse_design(curlew_text(False), ["tune.flights=8", 'vessel.surface=["cut"]']))
    words = advice_words(cut, advise(cut, ceiling_of(cut), fly=fly_on_paper))
    assert words[1].startswith("This bottle is finished, so load nothing into it.")
    assert re.search(r"a fresh one in its place, once that has passed a water test at [\d.]+ bar\.", words[1])
