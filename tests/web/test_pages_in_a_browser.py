"""The pages as a person meets them: in a browser, wide and on a telephone, by mouse and by keyboard, light and dark."""

import shutil
import threading
import time

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from conftest_web import CURLEW
from playwright.sync_api import expect, sync_playwright

from bottlewright.web.app import make_app
from bottlewright.web.serve import listening

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine; make test installs it")

PAGES = ("sketch", "prove", "tune", "fly", "field", "make")
SIZES = {"wide": {"width": 1280, "height": 900}, "phone": {"width": 390, "height": 800}}


class Server:
    """The application behind a real socket."""

    def __init__(self, folder):
        listener = listening(0)
        self.host = f"127.0.0.1:{listener.getsockname()[1]}"
        self.url = f"http://{self.host}"
        self.app = make_app(folder, frozenset({self.host}))
        self.office = self.app.office
        self.office.warm.ready.wait(300)
        self.server = uvicorn.Server(uvicorn.Config(self.app, log_level="error", timeout_graceful_shutdown=1))
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [listener]}, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)

    def close(self):
        self.server.should_exit = True
        self.thread.join(10)


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    folder = tmp_path_factory.mktemp("curlew")
    for name in ("rocket.toml", "field.geojson", "prices.csv"):
        if (CURLEW / name).exists():
            (folder / name).write_bytes((CURLEW / name).read_bytes())
    server = Server(folder)
    yield server
    server.close()


@pytest.fixture
def empty(tmp_path):
    server = Server(tmp_path)
    yield server
    server.close()


def opened(browser, url, size="wide", scheme="light"):
    """Return a page and what its console says, violations of its content policy among it."""
    page = browser.new_context(viewport=SIZES[size], color_scheme=scheme).new_page()
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(url)
    page.wait_for_selector("[data-connected=yes]")
    return page, said


def test_from_an_empty_folder_to_a_rocket_with_its_test_and_its_pressure(browser, empty):
    page, said = opened(browser, empty.url)
    page.get_by_label("Hose connector, 9 mm").check()
    expect(page.locator(".facts")).to_contain_text("calibres")
    page.get_by_label("What is it called?").fill("Plover")
    page.get_by_role("button", name="Start with this rocket").click()
    page.wait_for_url("**/sketch")
    expect(page.locator(".verdict")).to_contain_text("No pressure is allowed yet")
    expect(page.locator(".verdict")).to_contain_text("water test")
    expect(page.locator("#figure-rocket svg").first).to_be_visible()
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


def test_a_page_without_its_server_says_so_and_comes_back_by_itself(browser, empty):
    page, _ = opened(browser, empty.url)
    page.context.set_offline(True)
    empty.server.should_exit = True
    expect(page.locator(".lost")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", PAGES)
def test_no_page_shuts_anyone_out_or_breaks_its_own_policy(browser, curlew, name, scheme):
    page, said = opened(browser, f"{curlew.url}/{name}", scheme=scheme)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert said == []
    page.context.close()


@pytest.mark.parametrize("name", PAGES)
def test_a_telephone_needs_no_sideways_scrolling(browser, curlew, name):
    page, _ = opened(browser, f"{curlew.url}/{name}", "phone")
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"]["width"]
    page.context.close()


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
