"""Every page on a telephone: nothing too small for a finger, nothing off to the side, nobody shut out, all by keys."""

import pytest
from conftest_browser import SIZES, SMALL, Server, by_axe, curlew_served, needs_chromium, opened

pytestmark = needs_chromium

PAGES = ("sketch", "prove", "tune", "fly", "field", "make", "need", "words", "people", "designs",
         "learn", "logbook")
EMPTY = ("", "need")
"""Pages that are there before any design is."""

NAMELESS = """() => [...document.querySelectorAll("svg, figure img")].filter((one) =>
  one.checkVisibility() && !one.closest("[aria-hidden=true]") && !one.parentElement.closest("[role=img]")
  && !(one.matches("[role=img], [role=group], img") && (one.querySelector("title") || one.ariaLabel || one.alt)))
  .map((one) => one.outerHTML.slice(0, 90))"""


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("curlew"), lan=True) as server:
        yield server


@pytest.fixture(scope="module")
def empty(tmp_path_factory):
    server = Server(tmp_path_factory.mktemp("empty"))
    yield server
    server.close()


@pytest.fixture(scope="module", params=[*(("curlew", name) for name in PAGES), *(("empty", name) for name in EMPTY)],
                ids=lambda param: f"{param[0]}-{param[1] or 'first'}")  # fmt: skip
def visited(request, browser):
    """A page that is looked at once, in several ways, and what it says of mistakes."""
    folder, name = request.param
    page, said = opened(browser, f"{request.getfixturevalue(folder).url}/{name}", "phone", reduced_motion="reduce")
    yield page, name, said
    page.close()


def test_everything_fits_a_finger_and_the_width(visited):
    page, _, said = visited
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"]["width"]
    assert page.evaluate(SMALL, 44) == []
    assert page.evaluate("document.getAnimations().filter((one) => one.playState === 'running').length") == 0
    assert said == []


def test_what_changes_by_itself_is_told_to_whoever_does_not_see_it(visited):
    page, name, _ = visited
    wanted = {"words": [], "people": ["#asking", "#entries"], "designs": [], "logbook": [".answer"],
              "": []}.get(name, [".verdict", ".answer"])
    for one in (".lost", *wanted):
        assert page.locator(f"{one}:is([aria-live=polite], [role=status])").count() == 1, one


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_figure_has_a_name_and_nobody_is_shut_out(visited, scheme):
    page, _, _ = visited
    page.emulate_media(color_scheme=scheme)
    assert page.evaluate(NAMELESS) == []
    found = by_axe(page)
    assert found.violations_count == 0, found.generate_report()


WHERE = """() => {
  const one = document.activeElement, near = [one, one.nextElementSibling, ...one.querySelectorAll(".square, .grip")];
  const marked = near.filter(Boolean).map((each) => getComputedStyle(each)), box = one.getBoundingClientRect();
  return {
    what: one.outerHTML.slice(0, 200), body: one === document.body,
    marked: marked.some((style) => parseFloat(style.outlineWidth) >= 2 && style.outlineStyle !== "none"
                                   || parseFloat(style.strokeWidth) >= 3),
    seen: box.bottom > 0 && box.top < innerHeight && box.left < innerWidth,
  };
}"""


def test_the_keyboard_alone_goes_through_the_page_and_is_seen_where_it_is(visited):
    page, _, _ = visited
    stops, last = 0, None
    page.evaluate("document.activeElement.blur()")
    for _ in range(14):
        page.keyboard.press("Tab")
        now = page.evaluate(WHERE)
        if now["body"]:
            break
        assert now["marked"], now["what"]
        assert now["seen"], now["what"]
        assert now["what"] != last
        stops, last = stops + 1, now["what"]
    assert stops >= 1


def test_paper_has_no_buttons_and_nothing_beside_the_sheet(visited):
    page, _, _ = visited
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 690, "height": 1000})  # a sheet of A4 without its margins
    try:
        shown = "[...document.querySelectorAll('button')].filter((one) => one.checkVisibility()).length"
        assert page.evaluate(shown) == 0
        assert page.evaluate("document.documentElement.scrollWidth") <= 690
    finally:
        page.emulate_media(media="screen")
        page.set_viewport_size(SIZES["phone"])
