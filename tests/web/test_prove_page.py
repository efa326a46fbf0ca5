"""The page Prove in a browser, by keyboard: from no pressure at all to an allowed one."""

import shutil

import pytest
from conftest_browser import SIZES, Server, by_axe, needs_chromium, opened
from conftest_web import CURLEW
from playwright.sync_api import expect

pytestmark = needs_chromium


@pytest.fixture
def dabchick(tmp_path):
    shutil.copy(CURLEW.parent / "dabchick" / "rocket.toml", tmp_path)
    server = Server(tmp_path)
    yield server
    server.close()


def tab_to(page, name, most=80):
    """Press Tab until what has this name or value has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("[document.activeElement.id, document.activeElement.textContent.trim()]").count(name):
            return
    raise AssertionError(f"Tab never comes to {name}")


def test_a_proof_test_is_entered_by_keyboard_and_a_pressure_is_allowed(browser, dabchick):
    page, said = opened(browser, f"{dabchick.url}/prove")
    expect(page.locator("h1")).to_have_text("No pressure is allowed yet")
    expect(page.locator(".chain .holds")).to_contain_text("none yet")
    tab_to(page, "test-pressure")
    page.keyboard.type("3.7")
    tab_to(page, "Enter this test")
    page.keyboard.press("Enter")
    expect(page.locator("#test-pressure-wrong")).to_contain_text("has no unit")
    expect(page.locator("#test-passed-wrong")).to_contain_text("say what happened")
    expect(page.locator("#test-pressure")).to_be_focused()
    expect(page.locator("#test-pressure")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#test-date")).to_have_attribute("aria-invalid", "false")
    page.keyboard.type("3.7 bar")
    page.keyboard.press("Tab")
    page.keyboard.type("60 s")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(page.get_by_label("water to the brim")).to_be_checked()
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(page.get_by_role("radio", name="it held")).to_be_checked()
    # somebody else changes something meanwhile: what is half written stays
    dabchick.office.job.change({"charge.water": "610 mL"})
    dabchick.office.changed()
    expect(page.locator("html")).to_have_attribute("data-revision", str(dabchick.office.revision))
    expect(page.locator("#test-pressure")).to_have_value("3.7 bar")
    tab_to(page, "test-cycles")
    page.keyboard.type("1")
    tab_to(page, "Enter this test")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("Not over")
    expect(page.locator(".verdict")).to_contain_text("Not over")
    expect(page.locator(".tests")).to_contain_text("It held 3.7 bar for 60 s, filled with water")
    expect(page.locator(".chain .holds")).to_contain_text("holds the number")
    expect(page.locator("#told-tests [role=status]")).to_contain_text("not over")
    expect(page.locator("#test-pressure")).to_have_value("")
    expect(page.get_by_role("radio", name="it held")).not_to_be_checked()
    assert by_axe(page).violations_count == 0
    # 422 is the only thing that the browser itself remarks on: the answer with the wrong fields
    assert [line for line in said if "422" not in line] == []


def test_equipment_is_said_by_keyboard_and_the_hold_point_goes(browser, dabchick):
    page, said = opened(browser, f"{dabchick.url}/prove")
    hold = page.locator("#finding-eye-protection-unsaid")
    expect(hold).to_be_visible()
    group = page.get_by_role("group", name="Everyone near wears eye protection")
    group.get_by_label("not said").focus()
    page.keyboard.press("ArrowUp")
    expect(group.get_by_label("no", exact=True)).to_be_checked()
    expect(page.locator("#finding-no-eye-protection")).to_be_visible()
    page.keyboard.press("ArrowUp")
    expect(group.get_by_label("yes")).to_be_checked()
    expect(page.locator("#finding-no-eye-protection")).to_have_count(0)
    expect(hold).to_have_count(0)
    assert said == []


@pytest.mark.parametrize("size", SIZES)
def test_the_sheet_shows_in_its_own_style_and_says_nothing_to_the_console(browser, dabchick, size):
    page, said = opened(browser, f"{dabchick.url}/prove", size)
    with page.context.expect_page() as new:
        page.get_by_role("link", name="Open the test sheet to print").click()
    sheet = new.value
    sheet.on("console", lambda message: said.append(message.text))
    # a new window may still be at its empty first page: a visit of our own begins after that
    sheet.wait_for_url("**/sheet/*")
    sheet.goto(sheet.url)
    assert sheet.evaluate("getComputedStyle(document.querySelector('.box')).display") == "inline-block"
    expect(sheet.locator("h1")).to_have_text("Proof test, Dabchick")
    assert said == []


def test_prove_prints_on_four_pages_at_the_most_and_says_what_stays_folded(browser, dabchick, tmp_path):
    pymupdf = pytest.importorskip("pymupdf")
    page = browser.new_page()
    page.goto(f"{dabchick.url}/prove")
    page.wait_for_selector("#next-test")
    page.pdf(path=str(tmp_path / "prove.pdf"), format="A4")
    page.close()
    printed = pymupdf.open(tmp_path / "prove.pdf")
    words = " ".join(one.get_text() for one in printed).replace("\n", " ")
    assert printed.page_count <= 4
    for said in ("Before anyone pumps", "The next test", "Equipment", "What was not checked", "Folded parts are not"):
        assert said in words
