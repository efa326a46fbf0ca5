"""The scrubber of one flight: by keyboard, by finger, by its buttons, wide and on a telephone."""

import re

import pytest
from conftest_browser import SIZES, by_axe, curlew_served, needs_chromium, opened
from playwright.sync_api import expect

pytestmark = needs_chromium


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("curlew")) as server:
        yield server


def numbers(page):
    return page.locator("output b").all_inner_texts()


def lean(page):
    return page.locator("#moment [data-part=rocket]").get_attribute("transform")


def middle(page, part):
    """Where a part of the picture stands in the window."""
    drawn = page.locator(f"#course figure [data-part='{part}']").first
    while (box := drawn.bounding_box(timeout=10_000)) is None:  # the picture has just been drawn anew, with its band
        page.wait_for_timeout(50)
    return box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"]


@pytest.mark.parametrize("size", SIZES)
def test_the_keyboard_goes_through_the_flight(browser, curlew, size):
    page, said = opened(browser, f"{curlew.url}/fly", size)
    scrub = page.get_by_label("Time after release")
    scrub.focus()
    assert numbers(page)[0] == "0.000 s"
    page.keyboard.press("End")
    assert scrub.get_attribute("aria-valuetext").startswith("landing, 16.32 s after release, 0.0")
    page.keyboard.press("Home")
    before = middle(page, "cursor")[0]
    for _ in range(30):
        page.keyboard.press("ArrowRight")
    assert middle(page, "cursor")[0] > before
    assert float(numbers(page)[0].removesuffix(" s")) > 0.1
    assert by_axe(page).violations_count == 0
    assert said == []
    page.close()


@pytest.mark.parametrize("size", SIZES)
def test_a_moment_is_a_button_and_the_picture_and_the_drawing_follow(browser, curlew, size):
    page, said = opened(browser, f"{curlew.url}/fly", size)
    upright = lean(page)
    button = page.get_by_role("button", name="highest point")
    assert button.bounding_box()["height"] >= 44
    assert page.locator("#scrub").bounding_box()["height"] >= 44
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true")
    apogee, spot, cursor = (middle(page, part) for part in ("apogee", "spot", "cursor"))
    assert spot == pytest.approx(apogee, abs=1.5)
    assert cursor[0] == pytest.approx(apogee[0], abs=1.5)
    assert lean(page) != upright
    page.get_by_role("button", name="parachute out").click()
    assert page.locator("#moment [data-part=canopy]").is_visible()
    assert said == []
    page.close()


def test_a_finger_on_the_track_goes_there(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/fly", "phone", has_touch=True)
    scrub = page.locator("#scrub")
    scrub.scroll_into_view_if_needed()
    box = scrub.bounding_box()
    page.touchscreen.tap(box["x"] + 0.7 * box["width"], box["y"] + 0.5 * box["height"])
    expect(page.locator("output b").first).not_to_have_text("0.000 s")
    assert middle(page, "cursor")[0] == pytest.approx(box["x"] + 0.7 * box["width"], abs=8.0)
    assert said == []
    page.close()


def test_the_thumb_stands_under_the_line_in_the_picture(browser, curlew):
    for size in SIZES:
        page, _ = opened(browser, f"{curlew.url}/fly", size)
        for share in (0, 50, 100, 160):
            page.locator("#scrub").fill(str(share))
            box = page.locator("#scrub").bounding_box()
            thumb = box["x"] + 8.0 + share / 160 * (box["width"] - 16.0)
            assert middle(page, "cursor")[0] == pytest.approx(thumb, abs=10.0)
        page.close()


def test_a_change_of_the_rocket_leaves_the_scrubber_where_it_stood(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/fly")
    page.get_by_role("button", name="water out").click()
    before = numbers(page)
    heading = page.locator("h1").inner_text()
    curlew.office.change({"key": "charge.water", "value": "250 mL"})
    curlew.office.changed()
    expect(page.locator("h1")).not_to_have_text(heading)
    expect(page.get_by_role("button", name="water out")).to_have_attribute("aria-pressed", "true")
    after = numbers(page)
    assert after[0] < before[0]  # less water is out sooner
    assert page.locator("#scrub").get_attribute("aria-valuetext").startswith("water out")
    expect(page.locator("#course [data-part=band]")).to_have_count(1)  # which comes by itself, and moves nothing
    assert numbers(page) == after
    curlew.office.undo({})
    curlew.office.changed()
    expect(page.locator("output b").first).to_have_text(before[0])
    assert said == []
    page.close()


def test_an_unnamed_moment_stays_the_same_time(browser, curlew):
    page, _ = opened(browser, f"{curlew.url}/fly")
    page.locator("#scrub").fill("120")
    was = float(numbers(page)[0].removesuffix(" s"))
    curlew.office.change({"key": "charge.water", "value": "260 mL"})
    curlew.office.changed()
    expect(page.locator("html")).to_have_attribute("data-revision", str(curlew.office.revision))
    assert float(numbers(page)[0].removesuffix(" s")) == pytest.approx(was, abs=0.15)
    curlew.office.undo({})
    page.close()


def test_nothing_moves_by_itself_and_the_paper_shows_the_moment_and_the_table(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/fly")
    page.get_by_role("button", name="air out").click()
    page.emulate_media(media="print")
    assert not page.locator("#scrub").is_visible()
    assert page.locator("output").is_visible()
    assert re.search(r"5 highest point", page.locator("#moments").inner_text())
    assert page.evaluate("document.getAnimations().length") == 0
    assert said == []
    page.close()
