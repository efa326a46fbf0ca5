"""The page of what is measured: on the disk when it is acknowledged, put right, and beside what was foretold."""

import re

import pytest
from conftest_browser import SIZES, SMALL, by_axe, curlew_served, needs_chromium, opened
from conftest_lan import LAN, PASSCODE, joined
from conftest_web import CURLEW, served
from playwright.sync_api import expect

from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.launches import all_launches
from bottlewright.web.door import Door
from bottlewright.web.measuring import launch_named


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text)).replace("\u00a0", " ")


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    folder = tmp_path_factory.mktemp("measured")
    for name in ("rocket.toml", "field.geojson"):
        (folder / name).write_bytes((CURLEW / name).read_bytes())
    with served(folder, Door(frozenset({LAN}), PASSCODE)) as pages:
        yield pages


@pytest.fixture
def launch(curlew):
    answer = curlew.do("do/foretell", file="rocket.toml", team="KM")
    assert answer.status_code == 200, answer.text
    return re.fullmatch(r"/launch/measure\?launch=(\S+)", answer.text)[1]


def flight_of(pages):
    return all_launches(pages.office.folder / FOLDER)[0]


def test_a_launch_is_begun_with_what_its_design_foretells(curlew, launch):
    flight = flight_of(curlew)
    assert flight.prediction.height_low.value < flight.prediction.height_high.value
    assert flight.team == "KM"
    said = text_of(curlew.get(f"/launch/measure?launch={launch}"))
    assert "Nothing is measured yet. Eight flights in ten were foretold at" in said
    assert "what was read" not in said, "nothing was"
    assert "What to look at first" not in said
    assert curlew.do("do/foretell", file="../x.toml").status_code == 422


def test_a_reading_is_on_the_disk_when_it_is_acknowledged(curlew, launch):
    sight = {"launch": launch, "kind": "sight", "away": "60 m", "side": "S", "eye": "1.5 m", "elevation": "30"}
    assert curlew.do("do/measure", **sight).status_code == 200
    assert flight_of(curlew).sight[0].elevation.text == "30 deg"
    said = text_of(curlew.get(f"/launch/measure?launch={launch}"))
    assert "1 station, no bearings" in said
    assert re.search(r"The height, 36\.\d+? m|The height, 36 m", said)


def test_a_wrong_answer_is_said_beside_its_field_and_nothing_is_written(curlew, launch):
    before = flight_of(curlew)
    answer = curlew.do("do/measure", launch=launch, kind="watch", down="nine")
    assert answer.status_code == 422
    assert '"down"' in answer.headers["X-Fields"]
    assert curlew.do("do/measure", launch="2020-01-01-01", kind="watch", down="9").status_code == 422
    assert flight_of(curlew) == before


def test_what_was_wrong_is_taken_back_and_stays_to_be_read(curlew, launch):
    curlew.do("do/measure", launch=launch, kind="watch", down="90", entry="w1")
    curlew.do("do/measure", launch=launch, kind="withdraw", which="w1")
    curlew.do("do/measure", launch=launch, kind="loaded", water="480")
    curlew.do("do/measure", launch=launch, kind="loaded", water="470")
    said = text_of(curlew.get(f"/launch/measure?launch={launch}"))
    assert "90 s to the ground does not count" in said
    assert 'loaded.water was &#34;480 mL&#34;' in said


def test_the_card_of_a_launch_is_a_page_of_its_own(curlew, launch):
    curlew.do("do/measure", launch=launch, kind="value", what="height", value="50 m ± 2 m", how="altimeter")
    answer = curlew.get(f"/card/{launch}")
    assert "50.0 m ± 2.0 m" in answer.text
    assert "sha256" in answer.headers["Content-Security-Policy"]
    assert curlew.get("/card/2020-01-01-01").status_code == 404


def test_a_phone_with_a_role_reads_a_watch_and_one_that_looks_on_does_not(curlew, launch):
    reads, looks = joined(curlew, "7", "record"), joined(curlew, "8", "look on")
    for (phone, guest), status in ((reads, 200), (looks, 403)):
        assert phone.get("/launch/measure").status_code == 200
        answer = phone.write("/do/measure", guest, launch=launch, kind="watch", down="9.1", by="X")
        assert answer.status_code == status
    assert [one.by for one in flight_of(curlew).watch] == ["7"]


def test_a_page_of_no_launch_is_none(curlew):
    assert launch_named("measure") == ""
    assert launch_named("measure~2027-03-20-01") == "2027-03-20-01"
    assert launch_named("fly") is None
    answer = curlew.get("/launch/measure?launch=2020-01-01-09")
    assert answer.headers["Location"] == "/launch/measure"


@needs_chromium
def test_three_taps_are_two_times_on_a_phone_and_everything_is_as_large_as_a_finger(browser, tmp_path):
    with curlew_served(tmp_path) as server:
        page, said = opened(browser, f"{server.url}/launch/measure", "phone")
        page.get_by_role("button", name="Keep what is foretold").click()
        page.wait_for_url("**launch=*")
        page.wait_for_load_state()
        for name in ("It is off", "Highest point", "On the ground"):
            page.get_by_role("button", name=name).click()
        page.locator("#watch-form").get_by_label("who read it").fill("Z")
        page.locator("#watch-form").get_by_role("button", name="Write it down").click()
        expect(page.locator("#of-watch .rows")).to_contain_text("to the ground")
        assert page.locator("#watch-form-down").input_value() == ""
        page.evaluate("document.querySelectorAll('details').forEach((one) => one.open = true)")
        page.locator(".tap-on").first.click(position={"x": 200, "y": 100})
        expect(page.locator("#tapped-says")).to_contain_text("from the launcher")
        page.locator("#map-form").get_by_role("button", name="Write it down").click()
        expect(page.locator("#of-place .rows")).to_contain_text("tapped on the map")
        flight = all_launches(tmp_path / FOLDER)[0]
        assert [one.of for one in flight.watch] == ["time up", "time"]
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"]["width"]
        assert page.evaluate(SMALL, 44) == []
        found = by_axe(page)
        assert found.violations_count == 0, found.generate_report()
        assert [one for one in said if "WebSocket" not in one] == []
