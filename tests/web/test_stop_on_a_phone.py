"""Stop on the saved page and on pages that joined: one tap, shouted while nobody hears it, there once at the end."""

import re

import pytest
from conftest_browser import PHONES, SIZES, SMALL, curlew_served, needs_chromium
from launch_folder import plan
from playwright.sync_api import expect

from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.people import LAPTOP
from bottlewright.project.logbook import now
from bottlewright.web.guard import COOKIE

pytestmark = needs_chromium
CUT = "SHOUT STOP: this phone is not connected"


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    folder = tmp_path_factory.mktemp("stops")
    with curlew_served(folder, lan=True) as server:
        yield server


@pytest.fixture
def phone(browser):
    page = browser.new_context(viewport=SIZES["phone"], has_touch=True, accept_downloads=True).new_page()
    page.set_default_timeout(8_000)
    yield page
    page.context.close()


def called(server, what="stop"):
    book = DayBook(server.office.folder / FOLDER, now().date().isoformat())
    return [one for one in book.entries if one["what"] == what]


def stop(page):
    page.get_by_role("button", name=re.compile("^Stop")).tap()
    return page.get_by_role("alertdialog")


def test_a_page_that_was_open_before_the_day_was_prepared_keeps_its_stop_too(browser, curlew):
    page = browser.new_page()
    page.set_default_timeout(8_000)
    page.goto(f"{curlew.url}/sketch", timeout=60_000)
    expect(page.locator("#stop-all")).to_be_hidden()
    prepared(curlew)
    curlew.office.changed()
    expect(page.locator("#stop-all")).to_be_visible()
    page.wait_for_selector(".shout", state="attached")
    page.context.set_offline(True)
    before = len(called(curlew))
    page.locator("#stop-all").get_by_role("button").click()
    shouts = page.get_by_role("alertdialog")
    expect(shouts.get_by_role("heading")).to_have_text(CUT)
    expect(shouts).to_contain_text("It is kept on this phone")
    page.context.set_offline(False)
    expect(shouts.get_by_role("heading")).to_have_text("STOP")
    assert len(called(curlew)) == before + 1
    page.close()


def prepared(server):
    book = DayBook(server.office.folder / FOLDER, now().date().isoformat())
    if not book.day.plan.rockets:
        assert book.prepare(plan(), "plan", now().isoformat(timespec="milliseconds"), "MR") is None


def test_a_stop_on_the_saved_page_is_shouted_kept_and_there_once_when_the_laptop_answers(curlew, phone, tmp_path):
    wrong = []
    prepared(curlew)
    phone.on("pageerror", lambda error: wrong.append(str(error)))
    phone.goto(f"{curlew.lan}/join")
    file = tmp_path / "field.html"
    file.write_text(saved(curlew), encoding="utf-8")
    phone.goto(file.as_uri())
    phone.context.set_offline(True)
    before = len(called(curlew))
    shouts = stop(phone)
    expect(shouts.get_by_role("heading")).to_have_text(CUT)
    expect(shouts).to_contain_text("It is kept on this phone")
    large = shouts.get_by_role("heading").evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
    assert large >= 35.0
    phone.goto("about:blank")  # closed, and opened again without a network
    phone.goto(file.as_uri())
    expect(phone.locator("#kept")).to_contain_text("on this phone only")
    thunder = phone.get_by_role("form", name="Thunder")
    thunder.get_by_role("button").tap()
    expect(thunder.locator(".told")).to_contain_text("Kept")
    assert len(called(curlew)) == before
    phone.context.set_offline(False)
    expect(phone.locator("#count")).to_have_text("2 written, 0 not on the laptop yet.")
    assert len(called(curlew)) == before + 1
    assert len(called(curlew, "thunder")) == 1
    expect(stop(phone).get_by_role("heading")).to_have_text("STOP")
    expect(phone.get_by_role("alertdialog")).to_contain_text("The laptop has it")
    phone.get_by_role("button", name="Back to the page").tap()
    expect(phone.get_by_role("alertdialog")).to_be_hidden()
    expect(phone.locator("#stands")).to_contain_text(f"Stop. {curlew.office.launch.day.stop}. So says the laptop")
    assert len(called(curlew)) == before + 2
    assert wrong == []


def saved(server):
    """Return the page as the laptop saves it, with the address by which phones reach it."""
    from bottlewright.project.field_page import field_file

    desk = server.office.desk()
    assert server.office.people.pass_of(LAPTOP)
    return field_file(desk.proved, None, server.office.people, addresses=[server.lan]).html


def test_a_stop_that_could_not_be_kept_says_so_and_is_sent_while_the_page_is_open(curlew, phone, tmp_path):
    phone.add_init_script("Object.defineProperty(window, 'indexedDB', { get() { throw new Error('switched off'); } })")
    file = tmp_path / "field.html"
    file.write_text(saved(curlew), encoding="utf-8")
    phone.goto(file.as_uri())
    phone.context.set_offline(True)
    before = len(called(curlew))
    shouts = stop(phone)
    expect(shouts.get_by_role("heading")).to_have_text(CUT)
    expect(shouts).to_contain_text("NOT KEPT: leave this page open")
    phone.context.set_offline(False)
    expect(shouts.get_by_role("heading")).to_have_text("STOP")
    assert len(called(curlew)) == before + 1


@pytest.fixture
def joined(curlew, phone):
    """A phone that looks on, on a day that is kept."""
    prepared(curlew)
    door = curlew.office.door
    session = door.knock(door.passcode, PHONES)
    guest = door.guest(session)
    guest.name, guest.role, guest.person = "AB", "look on", curlew.office.people.let_in("AB", "look on")
    phone.context.add_cookies([{"name": COOKIE, "value": session, "url": curlew.lan}])
    return phone, guest


def test_a_stop_on_a_page_that_joined_waits_for_a_laptop_that_ends_and_begins_anew(curlew, joined):
    phone, guest = joined
    phone.goto(f"{curlew.lan}/fly")
    phone.wait_for_selector("[data-connected=yes]")
    before = len(called(curlew))
    expect(stop(phone).get_by_role("heading")).to_have_text("STOP")
    assert len(called(curlew)) == before + 1
    phone.get_by_role("button", name="Back to the page").tap()
    expect(phone.locator("#stands")).to_contain_text("Stop")
    curlew.close()
    shouts = stop(phone)
    expect(shouts.get_by_role("heading")).to_have_text(CUT)
    assert phone.evaluate(SMALL, 44) == []
    curlew.office.door.remove(guest)  # a laptop that began anew knows no phone by its passcode
    curlew.listen()
    expect(shouts.get_by_role("heading")).to_have_text("STOP", timeout=10_000)
    assert len(called(curlew)) == before + 2
    assert {one["by"] for one in called(curlew)[-2:]} == {"AB"}


def test_the_page_of_ones_role_has_the_stop_too(curlew, joined):
    phone, _ = joined
    phone.goto(f"{curlew.lan}/join")
    expect(phone.locator("h1")).to_have_text("Your role: look on")
    before = len(called(curlew))
    expect(stop(phone).get_by_role("heading")).to_have_text("STOP")
    assert len(called(curlew)) == before + 1


def test_the_page_of_the_field_that_was_opened_and_left_open_needs_no_network(curlew, joined):
    phone, _ = joined
    phone.goto(f"{curlew.lan}/day")
    expect(phone.locator("#count")).to_contain_text("Nothing yet")
    before = len(called(curlew, "near miss"))
    phone.context.set_offline(True)
    form = phone.get_by_role("form", name="Near miss")
    form.get_by_label("what happened").fill("a dog under the rope")
    form.get_by_role("button").tap()
    expect(form.locator(".told")).to_contain_text("Kept")
    expect(phone.locator("#kept")).to_contain_text("on this phone only")
    expect(phone.locator("#states + p")).to_contain_text("in the words of the day’s own table")
    phone.context.set_offline(False)
    expect(phone.locator("#kept")).to_contain_text("on the laptop")
    assert [one["note"] for one in called(curlew, "near miss")[before:]] == ["a dog under the rope"]


@pytest.mark.usefixtures("joined")
def test_a_stop_at_the_laptop_is_one_tap_too(browser, curlew):
    page = browser.new_page()
    page.set_default_timeout(8_000)
    page.goto(f"{curlew.url}/sketch")
    before = len(called(curlew))
    page.locator("#stop-all").get_by_role("button").click()
    expect(page.get_by_role("alertdialog").get_by_role("heading")).to_have_text("STOP")
    assert len(called(curlew)) == before + 1
    page.close()
