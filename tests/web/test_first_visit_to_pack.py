"""From an empty folder to a rocket with its test, allowed pressure, tuned load, field and pack, by pages alone."""

import re

import pymupdf
import pytest
from conftest_browser import SIZES, Server, by_axe, needs_chromium, opened
from playwright.sync_api import expect

import bottlewright as bw

pytestmark = needs_chromium


@pytest.fixture
def empty(tmp_path):
    server = Server(tmp_path)
    yield server
    server.close()


def tapped(thing):
    """Press by finger."""
    thing.scroll_into_view_if_needed()
    thing.tap()


def clicked(thing):
    """Press by mouse."""
    thing.click()


def keyed(thing):
    """Press by keyboard alone."""
    thing.focus()
    thing.page.keyboard.press("Space" if thing.get_attribute("type") == "radio" else "Enter")


def number(text):
    """Return the first number of a text."""
    return float(re.search(r"\d+\.\d+", text)[0])


def tuned(page, empty, press):
    """From the first question to a load that is taken, as a newcomer goes."""
    press(page.get_by_label("Hose connector, 9 mm"))
    expect(page.locator(".facts")).to_contain_text("calibres", timeout=30_000)
    press(page.get_by_role("button", name="Start with this rocket"))
    page.wait_for_url("**/sketch")
    empty.office.job.change({"tune.flights": 8, "scatter.flights": 200})  # a quicker search than a person would have
    empty.office.job.settle()

    press(page.locator(".stages").get_by_role("link", name="Prove"))
    expect(page.locator("h1")).to_have_text("No pressure is allowed yet")
    proof = page.locator("#next-test .facts dd").inner_text()
    page.locator("#test-pressure").fill(proof)
    promised = page.locator("#next-test > p").first.inner_text()
    page.locator("#test-hold").fill("60 s")
    page.locator("#test-cycles").fill("1")
    press(page.get_by_label("water to the brim"))
    press(page.get_by_role("radio", name="it held"))
    press(page.get_by_role("button", name="Enter this test"))
    expect(page.locator("h1")).to_contain_text("Not over", timeout=15_000)
    expect(page.locator(".verdict")).to_contain_text("it passed")
    assert number(page.locator("h1").inner_text()) == pytest.approx(number(promised.partition("not over")[2]), rel=0.03)

    press(page.locator(".stages").get_by_role("link", name="Tune"))
    press(page.get_by_role("button", name="Look for the best load"))
    take = page.get_by_role("button", name="Take this load")
    expect(take).to_be_visible(timeout=120_000)
    press(take)
    expect(page.locator("#loads tbody tr").first).not_to_contain_text("—")
    expect(page.locator("#top")).not_to_contain_text("being saved")


@pytest.mark.parametrize(("size", "press"), [("phone", tapped), ("wide", clicked), ("wide", keyed)])
def test_the_first_rocket_gets_its_test_its_pressure_and_its_load(browser, empty, size, press):
    page, said = opened(browser, empty.url, size, has_touch=press is tapped)
    tuned(page, empty, press)
    press(page.locator(".stages").get_by_role("link", name="Fly"))
    expect(page.locator("h1")).to_contain_text("Climbs to")

    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]
    assert by_axe(page).violations_count == 0
    (file,) = empty.office.folder.glob("*.toml")
    rocket = bw.read(file)
    assert rocket.verdict().level != "stop"
    assert rocket.value("charge.pressure").value <= rocket.verdict().allowed.gauge_Pa
    assert rocket.fly().summary["static_margin_min_calibres"] > 1.0
    if press is tapped:  # and the rest of the job, on the telephone
        the_pack_in_the_hand(page, press)
    assert said == []


def the_pack_in_the_hand(page, press):
    """From a tuned load over the field and its landings to the pack, downloaded."""
    press(page.locator(".stages").get_by_role("link", name="Field"))
    press(page.get_by_text("A rectangle, by its sides"))
    page.locator("#rectangle").get_by_label("length").fill("200")
    page.locator("#rectangle").get_by_label("width").fill("150")
    press(page.locator("#rectangle").get_by_role("button"))
    expect(page.locator("#numbers")).to_contain_text("4 corners")
    press(page.get_by_role("button", name="Work out the landings"))
    expect(page.locator("h1")).not_to_contain_text("being worked out", timeout=60_000)
    expect(page.locator("#chances")).to_contain_text("outside the field")
    press(page.locator(".stages").get_by_role("link", name="Make"))
    press(page.get_by_role("button", name="Make the pack"))
    whole = page.get_by_role("link", name="Download the whole pack")
    expect(whole).to_be_visible(timeout=60_000)
    with page.expect_download() as got:
        press(whole)
    with pymupdf.open(got.value.path()) as pack:
        text = " ".join(sheet.get_text() for sheet in pack)
    assert re.search(r"\d+\.\d+", page.locator(".verdict b").nth(1).inner_text())[0] in text
    assert "Fin" in text
    assert "Launch-day checklist" in text
