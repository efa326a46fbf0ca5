"""The day in a browser: prepared at the laptop, played on a phone and a wide window, stopped by whoever looks on."""

from datetime import datetime

import pytest
from conftest_browser import SIZES, SMALL, by_axe, curlew_served, needs_chromium, opened
from launch_folder import PEOPLE, Said, kept_day
from playwright.sync_api import expect

from bottlewright.project.launch_day import LaunchDay, called_of
from bottlewright.web.guard import COOKIE

pytestmark = needs_chromium
FINGER = 58
"""px: the least side of what is pressed in the field, with cold and wet hands."""


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("launch"), lan=True) as server:
        yield server


def joined(browser, server, role, name, scheme="dark"):
    """Return the page of a phone that the laptop let in."""
    session = server.office.door.knock(server.office.door.passcode, "127.0.0.2")
    guest = server.office.door.guests[-1]
    guest.name, guest.wants, guest.role = name, role, role
    guest.person = server.office.people.let_in(name, role)
    context = browser.new_context(viewport=SIZES["phone"], has_touch=True, color_scheme=scheme)
    context.add_cookies([{"name": COOKIE, "value": session, "url": server.lan}])
    page = context.new_page()
    page.goto(f"{server.lan}/launch")
    page.wait_for_selector("[data-connected=yes]")
    return page, guest


def nobody_shut_out(page):
    found = by_axe(page).response["violations"]
    assert [(one["id"], [node["target"] for node in one["nodes"]][:3]) for one in found] == []


def everything_fits(page):
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    small = page.evaluate(SMALL, 44)
    assert small == []
    in_hand = [one for one in page.evaluate(SMALL, FINGER) if not one.startswith("A ")]
    assert in_hand == []


def test_a_day_is_prepared_at_the_laptop_and_kept_on_the_disk(browser, server):
    server.office.launch = LaunchDay(server.office.folder)
    page, said = opened(browser, f"{server.url}/launch")
    page.get_by_label("launches; empty").fill("two")
    page.get_by_role("button", name="Keep this day").click()
    expect(page.locator('[data-for="launches.rocket.toml"]')).to_contain_text("whole number")
    expect(page.locator('[data-for="role.charge"]')).to_contain_text("say who")
    nobody_shut_out(page)
    page.get_by_label("launches; empty").fill("2")
    for role, (name, adult) in PEOPLE.items():
        page.locator(f'input[name="role.{role}"]').fill(name)
        if adult and role != "charge":
            page.locator(f'input[name="adult.{role}"]').check(force=True)
    page.get_by_label("emergency number").fill("112")
    page.get_by_role("button", name="Keep this day").click()
    expect(page.locator("#step h1")).to_have_text("Look over bottle, fins, nose and recovery")
    day = LaunchDay(server.office.folder).day
    assert {role: one.name for role, one in day.roles.items()} == {role: name for role, (name, _) in PEOPLE.items()}
    assert [(one.rocket, one.launches) for one in day.plan.turns] == [("Curlew", 2)]
    expect(page.locator("#step .against")).to_contain_text("nothing is written on it")
    expect(page.locator("#do-inspect button")).to_be_disabled()
    assert [one for one in said if "422" not in one] == []
    page.close()


def test_a_launch_is_played_by_phones_and_the_laptop_and_stopped_by_one_who_looks_on(browser, server, tmp_path):
    server.office.launch = kept_day(tmp_path, clock=datetime.now)
    said = Said(server.office.launch)
    laptop, heard = opened(browser, f"{server.url}/launch")
    pump, _ = joined(browser, server, called_of("pump"), PEOPLE["pump"][0])
    watch, _ = joined(browser, server, called_of("watch"), PEOPLE["watch"][0])
    onlooker, _ = joined(browser, server, "look on", "ZZ")
    for label in ("It is looked over", "Its water is in", "It sits, the release is locked"):
        pump.get_by_role("button", name=label).click()
    for point in ("field", "sky", "lines"):
        watch.locator(f"#confirm-{point} button").click()
        expect(watch.locator(f"#point-{point}.done")).to_be_visible()
    everything_fits(watch)
    watch.get_by_role("button", name="Everyone is behind the lines").click()
    laptop.locator("#read-wind [name=mean]").fill("2 m/s")
    laptop.locator("#read-wind [name=gust]").fill("3 m/s")
    laptop.locator("#read-wind button").click()
    laptop.locator("#confirm-charge button").click()
    laptop.locator("#confirm-wind button").click()
    pump.get_by_role("button", name="Pumping begins").click()
    for phone, who in ((pump, "pump"), (watch, "watch")):
        expect(phone.locator("#step h1")).to_have_text("Read the gauge, write it down")
        phone.locator(f"#read-{who} [name=pressure]").fill("4.5 bar")
        phone.locator(f"#read-{who} button").click()
    pump.get_by_role("button", name="It is pumped up").click()
    expect(onlooker.locator("#step .of")).to_contain_text("holding")
    expect(onlooker.locator("#step [data-since]")).to_contain_text("s")
    for page in (laptop, pump, onlooker):
        everything_fits(page)
        nobody_shut_out(page)
    paper = onlooker.evaluate("getComputedStyle(document.body).backgroundColor")
    assert paper == "rgb(255, 253, 246)", "ink on white, whatever the phone is set to"
    onlooker.get_by_role("button", name="Stop").tap()
    for page in (laptop, pump, watch, onlooker):
        expect(page.locator("#stands")).to_contain_text("somebody called stop")
        expect(page.locator("#step .of")).to_contain_text("stop")
    assert said.state() == "stop"
    assert heard == []
    for page in (laptop, pump, watch, onlooker):
        page.context.close()
    server.office.door._guests.clear()


def test_a_phone_that_goes_away_stops_what_is_under_pressure(browser, server, tmp_path):
    server.office.launch = kept_day(tmp_path, clock=datetime.now)
    said = Said(server.office.launch)
    pump, _ = joined(browser, server, called_of("pump"), PEOPLE["pump"][0])
    said.to("pressurising")
    laptop, _ = opened(browser, f"{server.url}/launch")
    expect(laptop.locator("#step .of")).to_contain_text("pressurising")
    pump.context.close()
    expect(laptop.locator("#stands")).to_contain_text("the device of the pumper is not connected", timeout=15_000)
    assert said.state() == "stop"
    laptop.close()
    server.office.door._guests.clear()
