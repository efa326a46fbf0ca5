"""The report as a reader meets it: in a browser, by day and by night, on a telephone and on paper."""

import shutil

import pymupdf
import pytest
from playwright.sync_api import sync_playwright

from bottlewright.findings import Finding, Level, Stage
from bottlewright.quantities import Basis, Quantity
from bottlewright.report.html import Header, Section, State, basis_table, place, prose, table, write_report

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine; make test installs it")


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def report(pictures, tmp_path):
    stood = {"nozzle.length": (Quantity(0.01, basis=Basis.ASSUMED, source="our judgement, " * 9), "10.0 mm ± 2.0 mm")}
    wide = table(("a long head of a column",) * 5, [("words that do not break",) * 5])
    wide += table(("part", "why"), [("nozzle", "our judgement, " * 9)])
    section = Section(
        Stage.FLY, "Flown", State.LOOK, place("one") + prose("Text.") + wide + basis_table(stood), pictures
    )
    finding = Finding(
        Level.LOOK, Stage.FLY, "code", "It swings", "0.8 calibres", "1 calibre", "practice", "Larger fins."
    )
    file = tmp_path / "report.html"
    html = write_report([section], [finding], Header("Curlew", "A 1.5 L bottle.", "Made by Bottlewright."))
    file.write_text(html, encoding="utf-8")
    return file.as_uri()


def test_nothing_is_fetched_and_nothing_complains(browser, report):
    page = browser.new_page()
    fetched, said = [], []
    page.on("request", lambda request: fetched.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.goto(report)
    assert fetched == [report]
    assert said == []
    page.close()


@pytest.mark.parametrize("width", [360, 768, 1400])
def test_the_page_is_never_wider_than_the_screen(browser, report, width):
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.goto(report)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


@pytest.mark.parametrize(("scheme", "ground", "line"), [
    ("light", "rgb(246, 241, 231)", "rgb(15, 92, 99)"), ("dark", "rgb(20, 25, 28)", "rgb(95, 179, 179)"),
])  # fmt: skip
def test_page_and_figures_follow_day_and_night(browser, report, scheme, ground, line):
    page = browser.new_page(color_scheme=scheme)
    page.goto(report)
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == ground
    strokes = page.evaluate("[...document.querySelectorAll('figure path')].map(p => getComputedStyle(p).stroke)")
    assert line in strokes
    page.close()


def test_paper_shows_what_the_screen_folds(browser, report):
    page = browser.new_page()
    page.goto(report)
    assert not page.get_by_text("10.0\u00a0mm").is_visible()
    with pymupdf.open(stream=page.pdf(prefer_css_page_size=True)) as paper:
        printed = " ".join("".join(sheet.get_text() for sheet in paper).split())
        assert all(abs(sheet.rect.width - 595.276) < 1.0 for sheet in paper)
    assert "10.0 mm ± 2.0 mm" in printed
    assert "Look at this before you go on" in printed
    page.close()


def test_a_table_with_sentences_needs_no_sideways_scrolling_on_a_telephone(browser, report):
    page = browser.new_page(viewport={"width": 360, "height": 800})
    page.goto(report)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    widths = page.evaluate("[...document.querySelectorAll('table.long')].map(t => t.getBoundingClientRect().width)")
    assert widths
    assert max(widths) <= 360
    assert page.get_by_text("our judgement, our judgement").first.is_visible()
    page.close()


def test_every_printed_page_says_whose_it_is_and_that_it_says_stop(browser, tmp_path):
    file = tmp_path / "report.html"
    many = [
        Finding(level, Stage.FLY, f"code-{number}", "It swings", "0.8 calibres", "1 calibre", "practice", "Larger fins")
        for number, level in enumerate([Level.STOP] + 60 * [Level.LOOK])
    ]
    section = Section(Stage.FLY, "Flown", State.STOP, prose("Text."))
    file.write_text(write_report([section], many, Header('Cur"lew', "A bottle.", "Made.")), encoding="utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())
    with pymupdf.open(stream=page.pdf(prefer_css_page_size=True)) as paper:
        assert len(paper) > 1
        for number, sheet in enumerate(paper, 1):
            text = sheet.get_text()
            assert "Stop: 1 thing has to be put right first" in text
            assert 'Cur"lew: Bottlewright study' in text
            assert f"page {number} of {len(paper)}" in text
    page.close()


@pytest.mark.parametrize("what", ["h2", "summary", "h4"])
def test_no_heading_is_left_behind_at_the_foot_of_a_page(browser, report, what):
    page = browser.new_page()
    page.emulate_media(media="print")
    page.goto(report)
    assert page.evaluate(f"getComputedStyle(document.querySelector('main {what}')).breakAfter") == "avoid"
    page.close()


@pytest.mark.parametrize("width", [360, 768, 1400])
def test_a_part_that_is_jumped_to_is_not_hidden_by_the_stages(browser, report, width):
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.goto(report)
    margin = page.evaluate("parseFloat(getComputedStyle(document.querySelector('section')).scrollMarginTop)")
    assert margin >= page.evaluate("document.querySelector('nav').offsetHeight")
    page.close()


def test_nothing_scrolls_on_paper_so_no_scroll_bar_is_printed(browser, report):
    page = browser.new_page(viewport={"width": 673, "height": 1000})
    page.goto(report)
    page.emulate_media(media="print")
    scrolls = "e => ['auto', 'scroll'].includes(getComputedStyle(e).overflowX)"
    assert page.evaluate(f"[...document.body.querySelectorAll('*')].filter({scrolls}).map(e => e.outerHTML)") == []
    page.close()
