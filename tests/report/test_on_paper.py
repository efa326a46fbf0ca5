"""The whole report of the plain bottle as it is read: on a telephone, on a desk, on paper."""

import shutil
from pathlib import Path

import pymupdf
import pytest
from playwright.sync_api import sync_playwright

from bottlewright.design import complete, read_design
from bottlewright.study import page_of, study

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
DABCHICK = Path(__file__).parents[2] / "examples" / "dabchick" / "rocket.toml"

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine; make test installs it")


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    file = tmp_path_factory.mktemp("study") / "report.html"
    design = complete(read_design(DABCHICK, ["scatter.flights=200", "tune.flights=8"]))  # to keep the test quick
    file.write_text(page_of(study(design, DABCHICK), "rocket.toml"), encoding="utf-8")
    return file.as_uri()


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def paper(browser, report):
    page = browser.new_page()
    page.goto(report)
    with pymupdf.open(stream=page.pdf(prefer_css_page_size=True)) as printed:
        yield printed
    page.close()


def test_the_printed_report_of_a_plain_bottle_has_fewer_than_twelve_pages(paper):
    assert len(paper) < 12


def test_what_is_read_first_is_one_page_on_paper(paper):
    first, second = (" ".join(paper[number].get_text().split()) for number in (0, 1))
    for heading in ("Do these first", "Why this pressure", "Who stands where", "What was not checked", "launcher"):
        assert heading in first
    assert "All findings:" in first
    assert second.partition("All findings:")[0].count(" ") < 25  # what stands in the margins, and nothing else


@pytest.mark.parametrize("width", [390, 1080])
def test_nothing_of_the_page_is_wider_than_the_screen_folded_and_unfolded(browser, report, width):
    page = browser.new_page(viewport={"width": width, "height": 844})
    page.goto(report)
    for unfolded in (False, True):
        page.evaluate(f"document.querySelectorAll('details').forEach(one => one.open = {str(unfolded).lower()})")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    wide = page.evaluate("""[...document.querySelectorAll('figure')]
                            .filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.id)""")
    assert wide == []
    page.close()


def test_letters_of_the_figures_can_be_read_on_a_telephone(browser, report):
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(report)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    sizes = page.evaluate("""[...document.querySelectorAll('figure svg text')].filter(one => one.checkVisibility())
        .map(one => [one.getScreenCTM(), parseFloat(getComputedStyle(one).fontSize)])
        .map(([turn, size]) => size * Math.hypot(turn.a, turn.b))""")
    assert len(sizes) > 50
    assert min(sizes) > 8.0  # pixels; the smallest stand on the rule under the rocket
    page.close()


def test_a_stage_opens_when_its_place_is_jumped_to(browser, report):
    page = browser.new_page(viewport={"width": 1080, "height": 844})
    page.goto(f"{report}#prove")
    assert page.get_by_text("Published rules that apply").is_visible()
    page.close()
