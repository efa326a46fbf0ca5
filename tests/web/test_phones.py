"""A laptop and a phone beside each other: joining, the list, and the page that was saved for the field."""

import contextlib
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from conftest_browser import CHROMIUM, SIZES, SMALL, by_axe, curlew_served, needs_chromium, opened
from playwright.sync_api import expect

from bottlewright.logbook.sighting import sighted

pytestmark = needs_chromium


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("phones"), lan=True) as server:
        yield server


@pytest.fixture
def phone(browser):
    page = browser.new_context(viewport=SIZES["phone"], has_touch=True, accept_downloads=True).new_page()
    yield page
    page.context.close()


def come_in(phone, server, name, role):
    phone.goto(f"{server.lan}/join?code={server.office.door.passcode}")
    phone.get_by_role("button", name="Join").click()
    phone.get_by_label("Initials or a number").fill(name)
    phone.locator(f"input[value='{role}']").check()
    phone.get_by_role("button", name="Ask for it").click()
    expect(phone.locator("h1")).to_have_text("Wait for the laptop")


def let_in(laptop, name):
    laptop.get_by_role("button", name=f"Give {name} this role").click()


def saved_page(phone, folder):
    """Save the page for the field as a person does, and open the file."""
    with phone.expect_download() as download:
        phone.evaluate("location.assign('/day?save=yes')")
    file = folder / download.value.suggested_filename
    download.value.save_as(file)
    phone.goto(file.as_uri())
    return file


def keep_wind(page, speed):
    form = page.get_by_role("form", name="Wind")
    form.get_by_label("speed, m/s").fill(speed)
    form.get_by_role("button").click()
    return form.locator(".told")


def test_a_phone_joins_gets_its_role_and_is_sent_away(browser, curlew, phone):
    laptop, said = opened(browser, f"{curlew.url}/people")
    come_in(phone, curlew, "AB", "look on")
    expect(laptop.locator("#asking")).to_contain_text("AB asks to look on")
    let_in(laptop, "AB")
    expect(phone.locator("h1")).to_have_text("Your role: look on")
    phone.get_by_role("link", name="To the rocket").click()
    phone.wait_for_selector("[data-role='look on']")
    water = phone.get_by_label("water", exact=True)
    expect(water).to_be_disabled()
    expect(phone.get_by_role("button", name="Undo")).to_be_hidden()
    curlew.office.job.change({"charge.water": "305 mL"})
    curlew.office.changed()
    expect(water).to_have_value("305 mL")
    expect(water).to_be_disabled()
    curlew.office.job.undo()
    phone.goto(f"{curlew.lan}/field")
    expect(phone.locator(".over").first).to_have_css("pointer-events", "none")
    assert phone.locator(".over [tabindex]").count() == 0
    laptop.get_by_role("button", name="Send AB away").click()
    expect(phone.locator(".lost")).to_be_visible()
    phone.goto(f"{curlew.lan}/sketch")
    expect(phone.locator("h1")).to_have_text("What is the passcode?")
    assert said == []
    laptop.close()


def test_what_is_written_without_the_laptop_is_kept_and_arrives_once(browser, curlew, phone, tmp_path):
    laptop, _ = opened(browser, f"{curlew.url}/people")
    come_in(phone, curlew, "CD", "watch the field")
    let_in(laptop, "CD")
    expect(phone.locator("h1")).to_contain_text("Your role")
    wrong = []
    phone.on("pageerror", lambda error: wrong.append(str(error)))
    file = saved_page(phone, tmp_path)
    expect(phone.locator("#saved")).to_contain_text(curlew.office.job.project.digest[:8])
    phone.context.set_offline(True)
    expect(keep_wind(phone, "2,1")).to_contain_text("Kept")
    expect(phone.locator("#sent")).to_contain_text("does not answer")
    phone.goto("about:blank")
    phone.goto(file.as_uri())
    expect(phone.locator("#kept")).to_contain_text("Wind 2.1 m/s")
    expect(phone.locator("#kept")).to_contain_text("on this phone only")
    phone.context.set_offline(False)
    phone.get_by_role("button", name="Send to the laptop now").click()
    expect(phone.locator("#kept")).to_contain_text("on the laptop")
    expect(laptop.locator("#entries")).to_contain_text("wind 2.1 m/s")
    curlew.office.job.change({"charge.water": "300 mL"})
    expect(keep_wind(phone, "3")).to_contain_text("Kept")
    expect(phone.locator("#older")).to_contain_text("is another now")
    expect(phone.locator("#count")).to_have_text("2 written, 0 not on the laptop yet.")
    curlew.office.job.undo()
    mine = [one for one in curlew.office.journal.read().entries if one.get("who") == "CD"]
    assert [one["speed_m_s"] for one in mine] == [2.1, 3.0]
    assert wrong == []
    laptop.get_by_role("button", name="Send CD away").click()
    expect(keep_wind(phone, "4")).to_contain_text("Kept")
    expect(phone.locator("#sent")).to_contain_text("does not take it")
    expect(phone.locator("#kept")).to_contain_text("on this phone only")
    laptop.close()


@pytest.fixture(scope="module")
def file(curlew, browser, tmp_path_factory):
    """The page that the laptop saves for itself: every form is on it."""
    page = browser.new_page()
    page.goto(curlew.url)
    file = saved_page(page, tmp_path_factory.mktemp("saved"))
    page.close()
    return file


def test_what_can_not_be_kept_is_said_and_nothing_else(phone, file):
    phone.add_init_script("IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaError'); }")
    phone.goto(file.as_uri())
    told = keep_wind(phone, "2")
    expect(told).to_contain_text("NOT KEPT")
    expect(told).to_contain_text("paper")
    expect(phone.locator("#kept")).to_contain_text("on the laptop")  # it answers, so it has it all the same
    phone.context.set_offline(True)
    keep_wind(phone, "3")
    expect(phone.locator("#kept")).to_contain_text("NOT KEPT: on this open page only")
    phone.context.set_offline(False)
    phone.add_init_script("Object.defineProperty(window, 'indexedDB', { get() { throw new Error('switched off'); } })")
    phone.goto(file.as_uri())
    expect(phone.locator("#nothing-kept")).to_contain_text("keeps nothing")
    expect(keep_wind(phone, "2")).to_contain_text("NOT KEPT")
    told = keep_wind(phone, "many")
    expect(told).to_contain_text("a number from 0 to 60")


def test_it_asks_for_strict_durability_before_it_says_kept(phone, file):
    phone.add_init_script("""
        const real = IDBDatabase.prototype.transaction;
        IDBDatabase.prototype.transaction = function (...asked) {
          (window.asked ??= []).push(asked);
          return real.apply(this, asked);
        };
    """)
    phone.goto(file.as_uri())
    expect(keep_wind(phone, "2")).to_contain_text("Kept")
    assert ["entries", "readwrite", {"durability": "strict"}] in phone.evaluate("asked")


def test_the_page_makes_the_height_that_the_program_makes(phone, file):
    phone.goto(file.as_uri())
    for angle, distance, eye in ((48.0, 50.0, 1.5), (0.1, 1.0, 0.0), (89.0, 2000.0, 10.0), (30.0, 73.0, 1.2)):
        found = phone.evaluate("given => sighted(...given)", [angle, distance, eye])
        asked = sighted(angle, distance, eye)
        assert found == pytest.approx({"height": asked.height, "off": asked.off}, rel=1e-12)


def test_a_phone_that_gives_no_tilt_says_so_and_a_typed_angle_works(phone, file):
    phone.goto(file.as_uri())
    phone.get_by_role("button", name="Use this phone").click()
    expect(phone.locator("#tilt-says")).to_contain_text("Read the angle off the printed quadrant and type it in")
    form = phone.get_by_role("form", name="Height by an angle")
    form.get_by_label("angle, degrees").fill("48")
    expect(phone.locator("#height")).to_contain_text("57.0 m ± 1.9 m")
    form.get_by_role("button", name="Keep the angle").click()
    expect(phone.locator("#kept")).to_contain_text("48° from 50.0 m: 57.0 m")


def test_a_phone_that_gives_its_tilt_fills_in_the_angle(phone, file):
    phone.goto(file.as_uri())
    phone.get_by_role("button", name="Use this phone").click()
    for _ in range(100):  # the browser may ask for a permission first
        phone.evaluate("dispatchEvent(new DeviceOrientationEvent('deviceorientation', { beta: 41.3 }))")
        if phone.locator("#take").is_visible():
            break
        phone.wait_for_timeout(50)
    phone.get_by_role("button", name="Take this angle").click()
    expect(phone.get_by_label("angle, degrees")).to_have_value("41.3")


@pytest.mark.parametrize(("phone_is", "says"), [
    ("Object.defineProperty(window, 'isSecureContext', { get: () => false })", "Save the page, and open the file"),
    ("DeviceOrientationEvent.requestPermission = async () => 'denied'", "was told not to give its tilt"),
    ("DeviceOrientationEvent.requestPermission = async () => { throw new Error('no tap') }", "was told not to give"),
    ("delete window.DeviceOrientationEvent", "does not give"),
])  # fmt: skip
def test_a_phone_that_keeps_its_tilt_to_itself_says_why_and_sends_to_the_printed_quadrant(phone, file, phone_is, says):
    phone.add_init_script(phone_is)
    phone.goto(file.as_uri())
    phone.get_by_role("button", name="Use this phone").click()
    expect(phone.locator("#tilt-says")).to_contain_text(says)
    expect(phone.locator("#tilt-says")).to_contain_text("printed quadrant")


def test_the_tilt_is_how_far_the_long_edge_points_above_level(phone, file):
    phone.goto(file.as_uri())
    found = phone.evaluate("[0, 41.3, 90, 100, 179, -30].map(raised)")
    assert found == pytest.approx([0.0, 41.3, 90.0, 80.0, 1.0, -30.0])


KEEPS = """
import sys
from playwright.sync_api import sync_playwright
chromium, profile, page_of = sys.argv[1:]
with sync_playwright() as play:
    context = play.chromium.launch_persistent_context(profile, executable_path=chromium, args=["--no-sandbox"])
    page = context.new_page()
    page.goto(page_of)
    page.expose_function("heard", lambda text: print(text, flush=True))
    page.locator("#count", has_text="Nothing yet").or_(page.locator("#count", has_text="written")).wait_for()
    print(page.evaluate("everything().then((all) => JSON.stringify(all.map((one) => one.entry)))"), flush=True)
    page.evaluate('''async () => {
        for (;;) {
            const entry = mark();
            await put({ entry, kind: "remark", remark: "x".repeat(400), at: now(), mark: data.mark, sent: "" });
            await heard(entry);
        }
    }''')
"""


def test_a_phone_that_dies_in_mid_save_has_every_entry_that_it_said_it_kept(file, tmp_path):
    """A browser of its own is killed while it keeps; what it had called kept is there when it opens again."""
    said, command = set(), [sys.executable, "-c", KEEPS, CHROMIUM, str(tmp_path), file.as_uri()]
    for _ in range(2):
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as keeps:
            there = set(json.loads(keeps.stdout.readline()))
            assert said <= there
            said |= {keeps.stdout.readline().strip() for _ in range(8)}
            kill_with_all_it_began(keeps.pid)
    assert len(said) == 16


def kill_with_all_it_began(pid):
    """End a process and all that it began at once, as an empty battery does."""
    parents = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            parents[int(stat.parent.name)] = int(stat.read_text(encoding="utf-8").rpartition(")")[2].split()[1])
    doomed = [pid]
    for one in doomed:
        doomed += [child for child, parent in parents.items() if parent == one]
    for one in doomed:
        with contextlib.suppress(ProcessLookupError):
            os.kill(one, signal.SIGKILL)


def fits_and_shuts_nobody_out(page, schemes=("light", "dark")):
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"]["width"]
    assert page.evaluate(SMALL, 44) == []
    for scheme in schemes:
        page.emulate_media(color_scheme=scheme)
        found = by_axe(page)
        assert found.violations_count == 0, found.generate_report()


def test_the_page_of_the_field_is_ink_on_white_whatever_the_phone_is_set_to_and_shuts_nobody_out(phone, file):
    phone.goto(file.as_uri())
    keep_wind(phone, "2")
    for summary in phone.locator("summary").all()[:2]:
        summary.click()
    phone.emulate_media(color_scheme="dark")
    expect(phone.locator("body")).to_have_css("background-color", "rgb(255, 253, 246)")
    fits_and_shuts_nobody_out(phone, ["dark"])
    phone.get_by_role("button", name="Dusk").click()
    expect(phone.locator("body")).to_have_css("background-color", "rgb(20, 25, 28)")
    fits_and_shuts_nobody_out(phone, ["light"])
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Stop", exact=True).click()
    expect(phone.get_by_role("alertdialog")).to_contain_text("not connected")
    fits_and_shuts_nobody_out(phone, ["light"])
    phone.context.set_offline(False)


def test_the_pages_of_joining_fit_a_finger_and_shut_nobody_out(browser, curlew, phone):
    phone.goto(f"{curlew.lan}/join?code={curlew.office.door.passcode}")
    fits_and_shuts_nobody_out(phone)
    phone.get_by_role("button", name="Join").click()
    expect(phone.locator("h1")).to_contain_text("Who are you")
    fits_and_shuts_nobody_out(phone)
    phone.get_by_label("Initials or a number").fill("XY")
    phone.get_by_role("button", name="Ask for it").click()
    expect(phone.locator("h1")).to_contain_text("Wait")
    fits_and_shuts_nobody_out(phone)
    laptop, said = opened(browser, f"{curlew.url}/people", "phone")
    expect(laptop.locator("#asking")).to_contain_text("XY asks")
    fits_and_shuts_nobody_out(laptop)
    let_in(laptop, "XY")
    expect(phone.locator("h1")).to_contain_text("Your role")
    fits_and_shuts_nobody_out(phone)
    phone.goto(f"{curlew.lan}/fly")
    phone.wait_for_selector("[data-role]")
    fits_and_shuts_nobody_out(phone, ["light"])
    assert said == []
    laptop.close()
