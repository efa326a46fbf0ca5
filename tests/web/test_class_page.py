"""The class and its contest on a page: live, for every role to see, and for two to write."""

import re

import pymupdf
import pytest
from conftest_browser import SIZES, by_axe, curlew_served, needs_chromium, opened
from launch_folder import kept_day, plan, rocket
from playwright.sync_api import expect

from bottlewright.project.people import IN_CHARGE, ROLES
from bottlewright.web.roles import may_look, may_post


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text))


@pytest.fixture
def kept(curlew):
    """The folder with a day that is kept."""
    curlew.office.launch = kept_day(curlew.office.folder, plan(rocket("Curlew", "B07", file="rocket.toml")))
    return curlew


def test_teams_and_rule_are_entered_and_show_at_once(kept):
    assert kept.do("do/contest", rule="longest", rounds="2").status_code == 200
    assert kept.do("do/team", team="Kites", members="k, 7").status_code == 200
    said = text_of(kept.get("/launch/class"))
    assert "1 team, nothing measured yet" in said
    assert "Kites K, 7" in said
    assert "By the rule “longest”" in said
    assert re.search(r"Whose turn Kites round 1 Kites round 2", said)
    assert 'href="/launch/class"' in kept.get("/launch").text


def test_a_whole_name_is_refused_beside_its_field(kept):
    answer = kept.do("do/team", team="Kites", members="Katherine")
    assert answer.status_code == 422
    assert '"members"' in answer.headers["X-Fields"]
    assert "No team yet" in text_of(kept.get("/launch/class"))


def test_what_the_day_takes_stands_where_it_is_prepared_and_on_paper(kept):
    for page in ("/launch", "/launch/class"):
        kept.office.changed()
        kept.office.shelf.standing("rocket.toml")
        said = text_of(kept.get(page))
        assert "Water 1 L" in said
        assert "Pump strokes together 60" in said
    pdf = pymupdf.open(stream=kept.get("/launch/cards.pdf").content)
    first = " ".join(pdf[0].get_text().split())
    assert "Pump strokes together 60" in first
    assert "Curlew" in pdf[1].get_text()


def test_results_are_printed_for_the_day_that_is_asked(kept):
    kept.do("do/team", team="Kites", day="2027-05-01")
    pdf = pymupdf.open(stream=kept.get("/launch/results.pdf?day=2027-05-01").content)
    assert "Results of 2027-05-01" in pdf[0].get_text()
    assert "Kites" in pdf[0].get_text()
    assert kept.get("/launch/class?day=2027-05-01").status_code == 200
    assert kept.get("/launch/class?day=yesterday").headers["location"] == "/launch/class"


def test_everybody_may_look_and_two_roles_may_write():
    for path in ("/launch/class", "/launch/results.pdf", "/launch/cards.pdf", "/live/class", "/live/class~2027-05-01"):
        assert may_look(path)
    writers = {name for name in ROLES if may_post(name, "/do/team") and may_post(name, "/do/contest")}
    assert writers == {IN_CHARGE, ROLES["record"].called}


@needs_chromium
def test_it_reads_on_a_telephone_and_a_team_shows_without_loading_again(browser, tmp_path):
    with curlew_served(tmp_path) as server:
        page, said = opened(browser, f"{server.url}/launch/class", "phone")
        page.get_by_label("called").fill("Terns")
        page.get_by_role("button", name="Enter the team").click()
        expect(page.locator("h1")).to_contain_text("1 team")
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"]["width"]
        found = by_axe(page)
        assert found.violations_count == 0, found.generate_report()
        assert said == []
