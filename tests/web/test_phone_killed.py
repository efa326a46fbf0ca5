"""A phone that records is killed again and again, its network comes and goes: what it kept is there once at the end."""

import contextlib
import json
import os
import random
from collections import Counter

from conftest_browser import CHROMIUM, curlew_served, needs_chromium
from playwright.sync_api import Error, expect
from test_phones import kill_with_all_it_began
from test_stop_on_a_phone import saved

from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.journal import journal_file
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import counted, new_vessel, read_vessel
from bottlewright.project.logbook import now

pytestmark = needs_chromium

KILLS = int(os.environ.get("BOTTLEWRIGHT_KILLS", "4"))
"""How often the phone's browser is killed; 200 is the whole."""

RECORDS = """async () => {
    const pumped = { what: "pumped", vessel: "B07", rocket: "Curlew", peak_Pa: 450000, ended: "vented" };
    const remark = { kind: "remark", remark: "x".repeat(300), design: data.digest };
    const said = [remark, pumped, { what: "note", says: "word" }, { what: "thunder" }, { what: "stop" }];
    for (let number = 0; ; number++) {
        const entry = { entry: mark(), at: now(), ...said[number % said.length] };
        await outbox.keep(entry);
        heard(entry.entry, entry.what ?? "remark");
        outbox.send();
        await new Promise((soon) => setTimeout(soon, 20));
    }
}"""


def browser_of(profile):
    """Return the process of the browser that has a profile open."""
    for name in filter(str.isdecimal, os.listdir("/proc")):
        with contextlib.suppress(OSError), open(f"/proc/{name}/cmdline", encoding="utf-8", errors="replace") as file:
            asked = file.read().replace("\0", " ")
            if f"--user-data-dir={profile} " in asked and "--type=" not in asked:
                return int(name)
    raise AssertionError("no browser has this profile open")


class Phone:
    """A browser with a profile of its own, as often as it is begun."""

    def __init__(self, browser, profile, file):
        self.kind, self.profile, self.file = browser.browser_type, profile, file
        self.context, self.heard = None, []

    def page(self):
        self.context = self.kind.launch_persistent_context(
            str(self.profile), executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        page = self.context.pages[0]
        page.expose_function("heard", lambda name, what: self.heard.append((name, what)))
        page.goto(self.file.as_uri())
        page.locator("#count", has_text="Nothing yet").or_(page.locator("#count", has_text="written")).wait_for()
        return page

    def dies(self):
        """End all of the browser at once, as an empty battery does."""
        kill_with_all_it_began(browser_of(self.profile))
        with contextlib.suppress(Error):
            self.context.close()


def lines_of(folder):
    text = journal_file(folder / FOLDER, now().date().isoformat()).read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines() if line]


def test_no_entry_that_a_phone_said_it_kept_is_lost_or_doubled_however_often_it_dies(browser, tmp_path):
    chance = random.Random(3)
    folder, file = tmp_path / "laptop", tmp_path / "field.html"
    folder.mkdir()
    new_vessel(folder / FOLDER, VesselFile(id="B07", earlier=0))
    with curlew_served(folder, lan=True) as server:
        file.write_text(saved(server), encoding="utf-8")
        phone = Phone(browser, tmp_path / "phone", file)
        for _ in range(KILLS):
            page = phone.page()
            there = set(page.evaluate("everything().then((all) => all.map((one) => one.entry))"))
            assert {name for name, _ in phone.heard} <= there, "what it said it kept is on the phone"
            phone.context.set_offline(chance.random() < 0.6)
            page.evaluate(f"() => {{ ({RECORDS})(); }}")
            until = len(phone.heard) + chance.randint(1, 8)
            while len(phone.heard) < until:  # and then it dies in the middle of the next
                page.wait_for_timeout(5)
                if chance.random() < 0.1:
                    phone.context.set_offline(chance.random() < 0.5)
            phone.dies()
        names = all_arrived(phone, folder)
    heard, pumped = {name for name, _ in phone.heard}, {name for name, what in phone.heard if what == "pumped"}
    assert heard <= set(names)
    assert set(names.values()) == {1}, "each is there once"
    assert len(heard) > KILLS
    written = {one.entry for one in read_vessel(folder / FOLDER, "B07").pressurised}
    assert pumped <= written, "no cycle is lost"
    assert counted(read_vessel(folder / FOLDER, "B07")) == len(written)
    print(f"{KILLS} kills, {len(heard)} entries heard, {len(names)} on the laptop, {len(written)} cycles")


def all_arrived(phone, folder):
    """Connect the phone for good; return how often each entry is on the laptop, which has them all then."""
    page = phone.page()
    phone.context.set_offline(False)
    kept = page.evaluate("everything().then((all) => all.length)")
    page.get_by_role("button", name="Send to the laptop now").click()
    expect(page.locator("#count")).to_have_text(f"{kept} written, 0 not on the laptop yet.",
                                                  timeout=max(60_000, 1_500 * KILLS))
    assert page.locator("#kept .bad").count() == 0
    phone.context.close()
    return Counter(one["entry"] for one in lines_of(folder))
