"""The pages as a person meets them: in a browser, wide and on a telephone, by mouse and by keyboard, light and dark."""

import pytest
from conftest_browser import Server, by_axe, curlew_served, needs_chromium, opened
from playwright.sync_api import expect

pytestmark = needs_chromium

PAGES = ("sketch", "prove", "tune", "fly", "field", "make")


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("curlew")) as server:
        yield server


@pytest.fixture
def empty(tmp_path):
    server = Server(tmp_path)
    yield server
    server.close()


def test_from_an_empty_folder_to_a_rocket_with_its_test_and_its_pressure(browser, empty):
    page, said = opened(browser, empty.url)
    page.get_by_label("Hose connector, 9 mm").check()
    expect(page.locator(".facts")).to_contain_text("calibres")
    page.get_by_label("What is it called?").fill("Plover")
    page.get_by_role("button", name="Start with this rocket").click()
    page.wait_for_url("**/sketch")
    expect(page.locator(".verdict")).to_contain_text("No pressure is allowed yet")
    expect(page.locator(".verdict")).to_contain_text("water test")
    expect(page.locator(".rocket svg").first).to_be_visible()
    assert "plover.toml" in empty.office.designs()
    assert said == []


def test_a_changed_value_shows_in_every_window_and_undo_takes_it_back(browser, curlew):
    one, said = opened(browser, f"{curlew.url}/sketch")
    other, _ = opened(browser, f"{curlew.url}/fly")
    before = other.locator("h1").inner_text()
    field = one.get_by_label("water", exact=True)
    was = field.input_value()
    field.fill("200 mL")
    field.press("Tab")
    expect(other.locator("h1")).not_to_have_text(before)
    one.get_by_role("button", name="Undo").click()
    expect(other.locator("h1")).to_have_text(before)
    expect(field).to_have_value(was)
    assert said == []


def test_a_wrong_value_is_said_beside_it(browser, curlew):
    page, _ = opened(browser, f"{curlew.url}/sketch")
    field = page.get_by_label("hole", exact=True)
    field.fill("9 parsec")
    field.press("Tab")
    expect(page.locator("#field-nozzle-bore .wrong")).to_contain_text("mm")
    expect(field).to_have_attribute("aria-invalid", "true")


@pytest.mark.parametrize("name", PAGES)
def test_no_page_shuts_anyone_out_or_breaks_its_own_policy(browser, curlew, name):
    page, said = opened(browser, f"{curlew.url}/{name}")
    found = by_axe(page)
    assert found.violations_count == 0, found.generate_report()
    assert said == []
    page.close()


def test_a_page_that_shuts_somebody_out_is_found_out(browser):
    page = browser.new_page()
    page.set_content("<img src='rocket.svg'><button></button><p style='color: #aaa; background: #fff'>pale words</p>")
    assert {"image-alt", "button-name", "color-contrast"} <= {one["id"] for one in by_axe(page).response["violations"]}


def test_twenty_windows_agree(browser, curlew):
    context = browser.new_context()
    windows = [context.new_page() for _ in range(20)]
    for number, page in enumerate(windows):
        page.goto(f"{curlew.url}/{PAGES[number % 4]}")
    curlew.office.job.change({"charge.water": "310 mL"})
    curlew.office.changed()
    now = str(curlew.office.job.revision)
    for page in windows:
        expect(page.locator("html")).to_have_attribute("data-revision", now)
    curlew.office.job.undo()
    context.close()
