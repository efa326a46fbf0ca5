"""Where the day's page sends people to their places, it says how far off these are, as Field and paper do."""

import re

import pytest
from conftest_web import CURLEW
from launch_folder import Said, kept_day, plan, rocket, served_day

import bottlewright as bw
from bottlewright.logbook.day_table import day_table
from bottlewright.project.logbook import Logbook
from bottlewright.report.act_on import people_rows
from bottlewright.verdict import act_on

SENT = ("seated", "field clear", "pressurising", "holding", "ready", "stop", "venting", "misfire wait", "launched",
        "down")  # fmt: skip


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW / "rocket.toml")


def listed(html):
    block = re.search(r'<section class="apart".*?</section>', html, re.DOTALL)
    return [" ".join(re.sub(r"<[^>]*>", " ", one).replace("\u00a0", " ").split())
            for one in re.findall("<li>(.*?)</li>", block[0] if block else "", re.DOTALL)]  # fmt: skip


def test_in_each_state_in_which_people_stand_apart_every_screen_says_how_far(tmp_path, curlew):
    act = act_on(curlew.verdict())
    asked = [f"Your plan: {far}" if who == "your plan" else
             " ".join(f"{who[:1].upper()}{who[1:]} {remark} {far}".split())
             for who, far, remark in people_rows(act)]  # fmt: skip
    own = Logbook(CURLEW).rocket(curlew, "A")
    known = rocket("Curlew", "B07", stand=own.stand, sides=own.sides, away_m=own.away_m)
    with served_day(tmp_path, plan(known), ("pump",)) as (pages, phones):
        folder = tmp_path / "kept"
        pages.office.launch = kept_day(folder, plan(known))
        phones["pump"][1].windows = 1
        said = Said(pages.office.launch)
        for state in ("waiting", "loaded", *SENT[:5], "launched", "down", "field open"):
            said.to(state)
            pages.office.changed()
            shown = [listed(one.get("/launch").text) for one in (pages, phones["pump"][0])]
            assert shown == [asked if state in SENT else []] * 2, state
        field = pages.get("/day").text.replace("\u00a0", " ")
        assert all(f"<dd>{far}</dd>" in field for _, far, _ in people_rows(act)), "Field's saved page says the same"


def test_the_states_in_which_people_stand_apart_are_all_but_those_in_which_somebody_may_go_there():
    there = {"waiting", "inspected", "loaded", "field open", "approach allowed", "retired", "not retrieved"}
    assert set(day_table().states) == there | set(SENT)
