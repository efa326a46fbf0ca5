"""One variable against height: what is foretold, each team's launches over it, the worksheet and its key."""

import numpy as np
import pymupdf
import pytest
from conftest_flights import CURLEW, folder_of

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.learn import one_variable
from bottlewright.learn.lesson_sheet import questions, value_words
from bottlewright.project.lesson import lesson
from bottlewright.project.logbook import Logbook

LAUNCHES = (("01", "red", "365 mL", "4.5 bar", "53 m ± 1 m", {}), ("02", "blue", "220 mL", "4.5 bar", "70 m ± 1 m", {}),
            ("03", "red", "300 mL", "4 bar", "44 m ± 1 m", {}),
            ("04", "red", "300 mL", "4.5 bar", "50 m ± 1 m", {"fins.span": "120 mm"}))  # fmt: skip


@pytest.fixture(scope="module")
def taught(tmp_path_factory):
    """Water against height of the example rocket, with few flights; four launches, two of them otherwise."""
    file = folder_of(tmp_path_factory.mktemp("lesson"))
    project = bw.read(file)
    for day, team, water, pressure, height, changes in LAUNCHES:
        given = {"at": f"2026-11-{day}T10:00:00", "team": team, "loaded": {"water": water, "pressure": pressure}}
        Logbook(file.parent).enter_flight(project.changed(changes), given, {"height": height, "how": "two stations"})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(one_variable, "FLIGHTS", 24)
        return lesson(project)


def pages(pdf):
    with pymupdf.open(stream=pdf, filetype="pdf") as document:
        return [" ".join(page.get_text().split()) for page in document]


def test_the_band_rises_and_falls_with_the_water_and_holds_the_design_s_own_load(taught):
    values = [one.value for one in taught.found.foretold]
    assert values == sorted(values)
    assert any(value == pytest.approx(365e-6) for value in values)
    assert values[0] < taught.found.best.value
    assert all(one.low < one.middle < one.high for one in taught.found.foretold)


def test_only_launches_that_differ_in_nothing_else_count(taught):
    apart = {one.launch: one.apart for one in taught.found.points}
    assert [name for name, why in apart.items() if not why] == ["2026-11-01-01", "2026-11-02-01"]
    assert apart["2026-11-03-01"] == "another pressure, 4 bar"
    assert "fins.span" in apart["2026-11-04-01"]


def test_a_launch_lies_in_the_band_or_outside(taught):
    first, second, *_ = taught.found.points
    assert (taught.found.inside(first), taught.found.inside(second)) == (True, False)
    between = taught.found.at(0.5 * (taught.found.foretold[0].value + taught.found.foretold[1].value))
    assert between.middle == pytest.approx(np.mean([one.middle for one in taught.found.foretold[:2]]))
    assert taught.found.at(1.0) is None


def test_the_worksheet_asks_and_the_key_answers(taught):
    from bottlewright.design.unit_habit import METRIC

    sheet, key = pages(taught.sheet(key=False)), pages(taught.sheet(key=True))
    asked = questions(taught.found, taught.held, METRIC)
    for question, answer in asked:
        assert question in " ".join(sheet)
        assert answer not in " ".join(sheet)
        assert answer in " ".join(key)
    best = value_words(taught.found, taught.found.best.value, METRIC)
    assert f"At {best}: {taught.found.best.middle:.1f} m." in " ".join(key)
    assert "So far 1 of 2 launches" in " ".join(key)
    assert "red" not in " ".join(sheet).split()
    for each in (sheet, key):
        assert "Nobody comes near a bottle under pressure" in each[0]
        assert "On the gauge: not over 4.83 bar, for every launch of this sheet. Why: it passed a proof test" in each[0]


def test_its_picture_has_each_launch_and_the_blank_one_has_none(taught):
    from bottlewright.design.unit_habit import METRIC
    from bottlewright.learn.one_variable_picture import one_variable_picture

    svg = taught.pictures["water-against-height"].svg
    assert all(f'data-part="{one.launch}"' in svg for one in taught.found.points)
    blank = one_variable_picture(taught.found, METRIC, blank=True).figure.svg()
    assert "data-part" not in blank


def test_no_pressure_is_more_than_the_design_s_and_nothing_else_can_be_varied():
    from bottlewright.project.lesson import _SHARES

    assert max(_SHARES["pressure"]) == 1.0
    with pytest.raises(InputError, match="one of water or pressure"):
        lesson(bw.read(CURLEW / "rocket.toml"), "mass")


def test_its_files_are_worksheet_key_and_numbers(taught):
    assert set(taught.files()) == {"lesson.json", "worksheet.pdf", "key.pdf", "water-against-height.svg"}
    told = taught.document()
    assert told["held"] == "4.5 bar on the gauge"
    assert [one["counts"] for one in told["launches"]] == [True, True, False, False]
