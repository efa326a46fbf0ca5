"""Fly: one picture, its moments, and a band that is never of another revision."""

import html
import re
import time
from itertools import pairwise

import pytest
from test_pages import text_of


def shown(pages):
    return pages.get("/fly").text


def shown_with_band(pages):
    """The page once the many flights are done."""
    until = time.monotonic() + 60.0
    while 'data-part="band"' not in (page := shown(pages)):
        assert time.monotonic() < until, "the band never came"
        time.sleep(0.05)
    return page


def rows_of(page):
    """The moments as the page's script reads them: what is left out is as in the row before."""
    rows = [row.split(";") for row in html.unescape(re.search(r'data-rows="([^"]*)"', page)[1]).split("|")]
    for before, row in pairwise(rows):
        row[1:] = [new or old for new, old in zip(row[1:], before[1:], strict=True)]
    return rows


def test_one_picture_stands_for_the_whole_flight(curlew):
    page = shown(curlew)
    assert re.findall(r'<figure[^>]*id="([^"]*)"', page) == ["figure-course", "figure-hold"]
    for part in ("height", "speed", "thrust", "water left", "from upright", "nose off its way"):
        assert f'data-part="{part}"' in page
    assert "style=" not in page


def test_every_moment_has_its_place_in_both_pictures_its_numbers_and_its_drawing(curlew):
    page = shown(curlew)
    course = curlew.office.desk().flight.course()
    rows, moved = rows_of(page), course.moved()
    assert len(rows) == len(course.moments) <= 200
    for row, moment, moves in zip(rows, course.moments, moved, strict=True):
        assert row == [moment.name, *moment.texts, *moves]
    places = re.findall(r'data-places="([^"]*)"', page)
    assert [len(one.split("|")) for one in places] == [len(rows)] * 2
    for part in course.parts:
        assert page.count(f'data-part="{part}"') == 1


def test_the_moments_stand_in_a_table_too(curlew):
    said, flown = text_of(curlew.get("/fly")).replace("\xa0", " "), curlew.office.desk().flight.summary
    assert f"5 highest point {flown['apogee_time_s']:.2f} s {flown['apogee_m']:.1f} m" in said


def test_the_band_follows_by_itself_and_says_what_it_is(curlew):
    assert 'data-part="band"' not in shown(curlew)
    page = shown_with_band(curlew)
    many = curlew.office.work.result("flights", curlew.office.job.project)
    assert len(many.summaries) == 200
    assert " ".join(many.words().partition(". ")[2].split()) in " ".join(page.split())
    assert "eight flights in ten" in page


def test_a_band_is_never_that_of_another_revision(curlew):
    with_band = shown_with_band(curlew)
    curlew.do("do/change", key="charge.water", value="300 mL")
    fresh = shown(curlew)
    assert 'data-part="band"' not in fresh
    assert "one in ten passes" not in fresh
    curlew.do("do/undo")
    assert shown(curlew).count('data-part="band"') == with_band.count('data-part="band"')


def test_many_flights_wait_until_the_hand_rests(curlew, monkeypatch):
    for wait in ("_QUIET", "_AT_MOST"):
        monkeypatch.setattr(f"bottlewright.web.job.{wait}", 60.0)
    curlew.office.job.change({"charge.water": "320 mL"})
    shown(curlew)
    assert curlew.office.job.pending
    assert "flights" not in curlew.office.work.running
    curlew.office.job.settle()
    shown_with_band(curlew)


def test_flights_that_a_change_broke_off_are_flown_when_it_is_taken_back(curlew):
    shown(curlew)
    curlew.do("do/change", key="charge.water", value="310 mL")
    shown(curlew)
    curlew.do("do/undo")
    shown_with_band(curlew)
    assert not curlew.office.work.failed


def test_many_flights_that_failed_are_not_flown_over_and_over(curlew, monkeypatch):
    from bottlewright.errors import InputError
    from bottlewright.web import work

    begun = []

    def failing(*_):
        begun.append(1)
        raise InputError("no flight today")

    monkeypatch.setitem(work.KINDS, "flights", failing)
    for _ in range(10):
        page = shown(curlew)
        time.sleep(0.02)
    assert begun == [1]
    assert "How far others differ is not known: no flight today." in page


def test_a_rocket_that_never_leaves_is_said_to_and_has_no_picture(curlew):
    curlew.do("do/change", key="charge.pressure", value="0.3 bar")
    page = shown(curlew)
    assert "No flight: the rocket does not leave the launcher" in text_of(curlew.get("/fly"))
    assert 'id="course"' not in page


@pytest.mark.parametrize("word", ["safe", "OK", "fine"])
def test_nothing_on_the_page_reassures(curlew, word):
    assert not re.search(rf"\b{word}\b", text_of(curlew.get("/fly")))


def test_how_the_canopy_comes_out_is_told_and_other_ways_are_flown_by_hand(curlew):
    page = shown(curlew)
    desk = curlew.office.desk()
    assert desk.flight.let_out() in text_of(curlew.get("/fly")).replace("\xa0", " ")
    assert "What gives first?" in page
    assert "Try other holds, changes and ways" in page
    assert "Other ways, on this rocket" not in page, "nothing long is begun by itself"
