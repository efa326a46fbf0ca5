"""A day keeps the numbers with which it was prepared: where the design now allows less, the page of the day says so."""

import time

import pytest
from launch_folder import Said, plan, posted, rocket, served_day

from bottlewright.project.day_against_design import worse

BAR = 1e5


def test_no_pressure_now_stands_against_a_day_that_names_one():
    (told,) = worse(rocket("Curlew", "B07"), None, {})
    assert told.startswith("no pressure is allowed now, where this day says 4.8 bar")


def test_a_stop_found_since_then_is_told_and_one_known_before_is_not_told_again():
    known = rocket("Curlew", "B07", stops=("unstable",))
    told = worse(known, 4.8 * BAR, {"unstable": "it turns over", "torn": "the canopy tears"})
    assert told == ["stop: the canopy tears"]


@pytest.mark.parametrize("now", [4.8 * BAR, 5.0 * BAR])
def test_as_much_or_more_than_the_day_says_is_nothing_against_it(now):
    assert worse(rocket("Curlew", "B07"), now, {}) == []


def told_on_the_day(pages, devices, text):
    until = time.monotonic() + 60
    while "Nobody pumps by the numbers below" not in pages.get("/launch").text and time.monotonic() < until:
        time.sleep(0.5)
    return all(text in device.get("/launch").text for device in devices)


def test_a_rocket_planned_for_more_than_its_design_now_allows_is_told_of_and_not_seated(tmp_path):
    known = plan(rocket("Curlew", "B07", allowed_Pa=6.0 * BAR, planned_Pa=5.5 * BAR))
    with served_day(tmp_path, known, ("pump",)) as (pages, phones):
        assert told_on_the_day(pages, (pages, phones["pump"][0]), "Curlew: not over 4.83 bar")
        said = Said(pages.office.launch)
        said.to("loaded")
        refused = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="seat", entry="late")
        assert refused.status_code == 422
        assert "not over 4.83 bar" in refused.text
        assert "Prepare the day anew" in refused.text
        assert said.state() == "loaded"


def test_a_little_less_allowed_after_each_launch_is_told_and_hinders_nobody_while_the_plan_stays_below(tmp_path):
    known = plan(rocket("Curlew", "B07", allowed_Pa=4.9 * BAR, planned_Pa=4.5 * BAR))
    with served_day(tmp_path, known, ("pump",)) as (pages, phones):
        assert told_on_the_day(pages, (pages, phones["pump"][0]), "Curlew: not over 4.83 bar")
        said = Said(pages.office.launch)
        said.to("loaded")
        seated = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="seat", entry="next")
        assert seated.status_code == 200
        assert said.state() == "seated"


def test_with_several_designs_and_none_open_a_phone_saves_the_page_of_the_rocket_whose_turn_it_is(tmp_path):
    known = plan(rocket("Curlew", "B07", file="rocket.toml"))
    with served_day(tmp_path, known, ("pump",)) as (pages, phones):
        pages.office.job = None
        saved = phones["pump"][0].get("/day?save=yes")
        assert saved.status_code == 200
        assert "field-curlew.html" in saved.headers["content-disposition"]
