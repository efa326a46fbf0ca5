"""Tune: what the page says of the load now, the map that fills, the best load, and the ring that is dragged."""

import time

import numpy as np
import pytest
from conftest_browser import SIZES, Server, launched, needs_chromium, opened
from conftest_web import CURLEW
from playwright.sync_api import expect

import bottlewright as bw
from bottlewright.web.views.tune import tune


@pytest.fixture(scope="module")
def browser():
    with launched() as browser:
        yield browser


@pytest.fixture(scope="module")
def served_curlew(tmp_path_factory):
    folder = tmp_path_factory.mktemp("curlew")
    text = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
    (folder / "rocket.toml").write_text(f"{text}\n[tune]\nflights = 8\n", encoding="utf-8")
    for name in ("field.geojson", "prices.csv"):
        (folder / name).write_bytes((CURLEW / name).read_bytes())
    server = Server(folder)
    yield server
    server.close()


def by_few_flights(pages):
    """Have the map flown by fewer flights than a person would have."""
    pages.do("do/change", key="tune.flights", value="8")


def until(true, seconds=120.0):
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.05)


def mapped(office):
    """Return the page when its map is whole."""
    office.want("map")
    until(lambda: not office.work.running)
    return tune(office.desk(), "wide")


# --- what it says --------------------------------------------------------------------------------------------------


def test_the_load_now_is_what_its_own_flights_say(curlew):
    page = tune(curlew.office.desk(), "wide")
    project = curlew.office.job.project
    said = project.load()
    assert ("water", said.water, "") in page.compared
    assert any(said.reached in row for row in page.compared)
    flights = project.fly_many(project.design.tune.flights, seed=project.design.tune.seed)
    passed = np.sort(flights.columns()["apogee_m"])[::-1]
    nine_in_ten = passed[int(np.ceil(0.9 * len(passed))) - 1]
    assert float(said.reached.split()[0]) == pytest.approx(nine_in_ten, abs=0.6)


def test_the_map_grows_finer_and_its_coarse_points_stay(curlew):
    by_few_flights(curlew)
    maps = list(curlew.office.job.project.load_maps())
    assert [one.steps for one in maps] == [3, 6, 11]
    assert [one.whole for one in maps] == [False, False, True]
    assert np.array_equal(maps[0].response.height, maps[2].response.height[::5, ::5])
    assert np.array_equal(maps[1].response.height, maps[2].response.height[::2, ::2])


def test_the_ring_lies_where_the_load_is(curlew):
    by_few_flights(curlew)
    page = mapped(curlew.office)
    (name, chart, (x, y)), = page.loads.drawing
    left, top, right, bottom = chart.box
    water, pressure = page.loads.sliders
    assert name == "wide"
    assert (x - left) / (right - left) == pytest.approx((water.value - chart.water[0]) / np.ptp(chart.water))
    assert (bottom - y) / (bottom - top) == pytest.approx((pressure.value - chart.pressure[0]) / np.ptp(chart.pressure))
    assert chart.at(1e9, -1.0) == (right, bottom)


def test_another_load_keeps_the_map_and_another_rocket_does_not(curlew):
    by_few_flights(curlew)
    page = mapped(curlew.office)
    water, _ = page.loads.sliders
    curlew.do("do/changes", **{"charge.water": f"300 mL ± {water.spread}"})
    assert tune(curlew.office.desk(), "wide").loads is not None
    curlew.do("do/change", key="fins.span", value="120 mm")
    assert tune(curlew.office.desk(), "wide").loads is None


def test_a_load_beyond_a_limit_says_which(curlew):
    curlew.do("do/change", key="charge.water", value="600 mL")
    now = tune(curlew.office.desk(), "wide").back[0]
    assert any("static margin" in one for one in now.beyond)


def test_an_aim_without_its_height_is_asked_for_in_words(curlew):
    assert curlew.do("do/changes", **{"tune.aim": "nearest height"}).status_code == 200
    page = tune(curlew.office.desk(), "wide")
    assert "tune.height" in page.not_yet
    assert [one.key for one in page.wanted] == ["tune.height"]
    curlew.do("do/change", key="tune.height", value="30 m")
    assert tune(curlew.office.desk(), "wide").not_yet == ""


def test_the_best_load_may_be_taken_and_then_stands_in_the_file(curlew):
    by_few_flights(curlew)
    curlew.do("start/tune")
    until(lambda: not curlew.office.work.running)
    page = tune(curlew.office.desk(), "wide")
    offered = dict(page.load)
    assert set(offered) == {"charge.water", "charge.pressure"}
    assert curlew.do("do/changes", **offered).status_code == 200
    written = bw.read(curlew.office.folder / "rocket.toml")
    best = page.compared[0][2]
    (_, passed, _), (_, middle, _) = page.compared[2:4]
    assert f"With the present load it is {passed} and {middle}." in page.lead, "words and table say one number"
    assert [one.flown for one in page.back] in ([f"{20 * 8} and {20 * 8}"], [str(20 * 8)] * 2)
    assert written.load().water == best


# --- by hand -------------------------------------------------------------------------------------------------------


@needs_chromium
@pytest.mark.parametrize("size", ["wide", "phone"])
def test_the_ring_is_dragged_and_one_undo_takes_it_back(browser, served_curlew, size):
    office = served_curlew.office
    before = office.job.project.text
    page, said = opened(browser, f"{served_curlew.url}/tune", size)
    until(lambda: "map" not in office.work.running and office.work.result("map", office.job.project))
    ring = page.locator(".load-point").locator("visible=true")
    ring.scroll_into_view_if_needed()
    box = ring.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(8):
        page.mouse.move(x + 3 * step, y + 4 * step)
    page.mouse.up()
    slider = page.get_by_label("water", exact=True).and_(page.locator("[type=range]"))
    until(lambda: float(slider.input_value()) > 366.0)
    until(lambda: f'water = "{slider.input_value()} mL ± 10 mL"' in office.job.project.text and not office.job.pending)
    while office.job.can_undo:
        office.job.undo()
    office.changed()
    assert office.job.project.text == before
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]
    assert said == []


@needs_chromium
def test_the_sliders_work_by_keyboard(browser, served_curlew):
    office = served_curlew.office
    page, said = opened(browser, f"{served_curlew.url}/tune")
    slider = page.locator("#slide-1")
    expect(slider).to_be_visible(timeout=60_000)
    was = float(slider.input_value())
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    until(lambda: round(office.job.project.value("charge.water").value * 1e6) == round(was) + 10)
    expect(slider).to_have_attribute("aria-valuetext", f"{was + 10:.0f} mL")
    office.job.settle()
    office.job.undo()
    assert said == []
