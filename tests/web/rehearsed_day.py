"""A day of three invented rockets, for the rehearsal: its folder, a laptop that can crash, and the phones of a crew."""

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from datetime import datetime, timedelta
from pathlib import Path

from conftest_browser import SIZES
from conftest_web import CURLEW
from launch_folder import PEOPLE, plan, rocket
from launch_folder import Clock as Moved
from playwright.sync_api import expect

import bottlewright as bw
from bottlewright.logbook.day_plan import Turn
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.records import VesselFile, VesselTest
from bottlewright.logbook.vessels import add_entries, new_vessel
from bottlewright.project.day_basis import basis_of
from bottlewright.project.launch_day import LaunchDay, called_of

ROCKETS = {"Whimbrel": ("B07", 3), "Turnstone": ("B08", 3), "Godwit": ("B09", 1)}
"""Name, bottle, and launches that are planned."""
SHOTS = os.environ.get("BOTTLEWRIGHT_SHOTS", "")
"""A folder for pictures of the main moments; none are taken without one."""
DOWN_TO_THE_END = os.environ.get("BOTTLEWRIGHT_SHOTS_OF") == "whole pages"
"""Whether a picture shows a page down to its end, and not only what the window shows."""


PATIENCE = 60_000
"""ms that a page may take: on a machine that does many things at once it is slow."""
POSTS = """async ([path, told]) => {
    const token = document.querySelector("meta[name=token]").content;
    const answer = await fetch(path, { method: "POST", body: new URLSearchParams(told), headers: {
        "X-Bottlewright-Token": token, "Content-Type": "application/x-www-form-urlencoded" } });
    return [answer.status, await answer.text()];
}"""


class Clock(Moved):
    """The laptop's time, in a file that outlives it; before midnight whenever the test is run."""

    def __init__(self, file):
        now = datetime.now()
        self.file, self.time = file, now if now.hour < 22 else now - timedelta(hours=3)
        self.on(0)

    def on(self, seconds):
        self.time += timedelta(seconds=seconds)
        whole = self.file.with_suffix(".new")
        whole.write_text(self.time.isoformat(timespec="milliseconds"), encoding="utf-8")
        whole.replace(self.file)  # the laptop reads the old or the new


def folder_of_the_day(folder, clock):
    """Write three designs with their bottles, each with four times under pressure and a test that was held."""
    folder.mkdir()
    text = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
    (folder / "field.geojson").write_bytes((CURLEW / "field.geojson").read_bytes())
    text = re.sub(r"\[workshop\].*?(?=\[\[weather\.hours)|\[\[weather\.hours.*|\[\[vessel\.proof\]\].*?\n\n", "", text,
                  flags=re.DOTALL)  # fmt: skip
    text = re.sub(r'(?m)^cycles = 4\n|^age = .*\n|^notes = .*\n|^# Curlew.*\n|^day = .*\n', "", text)
    for name, (bottle, _) in ROCKETS.items():
        own = text.replace('name = "Curlew"', f'name = "{name}"').replace("[vessel]\n", f'[vessel]\nid = "{bottle}"\n')
        own += "\n[workshop]\nchildren_per_adult = 5\n"
        own = own.replace("[charge]\n", f'[charge]\nday = "{clock():%F}"\n')
        (folder / f"{name.lower()}.toml").write_text(own, encoding="utf-8")
        before = {"id": bottle, "bottle": "carbonated-1500", "earlier": 3,
                  "opened": f"{clock() - timedelta(days=40):%F}"}  # fmt: skip
        new_vessel(folder / FOLDER, VesselFile.model_validate(before))
        held = {"entry": f"test-{bottle}", "at": f"{clock() - timedelta(days=3):%FT%H:%M:%S}", "pressure": "7.5 bar",
                "hold": "60 s", "medium": "water", "passed": True, "diameter_before": "90.5 mm ± 0.1 mm",
                "diameter_after": "90.6 mm ± 0.1 mm"}  # fmt: skip
        add_entries(folder / FOLDER, bottle, [VesselTest.model_validate(held)])


def planned_without_flying(folder, clock):
    """Keep the day with numbers of a plan that nobody worked out: landings of three rockets take a minute."""
    basis = {name: basis_of(bw.read(folder / f"{name.lower()}.toml")) for name in ROCKETS}
    rockets = [rocket(name, bottle, file=f"{name.lower()}.toml", rests_on=basis[name], cycles=4, wind_limit_m_s=5.0,
                      water="365 mL", looks=("wind-wait",),
                      words={"wind-wait": "The wind may carry the rocket out of the field"})
               for name, (bottle, _) in ROCKETS.items()]  # fmt: skip
    turns = tuple(Turn(name, launches, "", 1e-3, 2e-4) for name, (_, launches) in ROCKETS.items())
    day = LaunchDay(folder, clock)
    book = day._opened(clock().date().isoformat())
    local = {"supervision ratio": "1:5", "site owner's permission": "leave of 12 March", "emergency number": "112",
             "lightning rule": "30 min"}  # fmt: skip
    the_plan = plan(*rockets, turns=turns, local=local)
    assert book.prepare(the_plan, "plan", clock().isoformat(timespec="milliseconds"), "MR") is None


class Laptop:
    """The server as a process of its own, on one port however often it is begun."""

    def __init__(self, folder, clock):
        self.folder, self.clock, self.process = folder, clock, None
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url, self.lan = f"http://127.0.0.1:{self.port}", f"http://127.0.0.2:{self.port}"

    def begin(self):
        script = Path(__file__).with_name("day_server.py")
        self.process = subprocess.Popen([sys.executable, script, self.folder, self.clock.file, str(self.port)],
                                        stdout=subprocess.PIPE, text=True)  # fmt: skip
        said = ""
        while (found := re.search(r"Passcode: +([\d ]+)\n", said)) is None:
            line = self.process.stdout.readline()
            assert line, f"the laptop did not begin: {said}"
            said += line
        self.passcode = found[1].replace(" ", "")
        until = time.monotonic() + 300.0
        while time.monotonic() < until:  # it says its address before it listens
            with contextlib.suppress(OSError), urllib.request.urlopen(f"{self.url}/people", timeout=300.0):
                return
            time.sleep(0.05)

    def crash(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self.process.stdout.close()


class Crew:
    """Five people and one who looks on, around a laptop; whoever has no phone speaks at the laptop.

    Parameters
    ----------
    roles
        Who has a phone.
    """

    def __init__(self, browser, laptop, clock, roles):
        self.laptop, self.clock, self.shots, self.names = laptop, clock, 0, 0
        self.pressed = True
        self.wide = browser.new_context(viewport=SIZES["wide"]).new_page()
        self.phones = {role: browser.new_context(viewport=SIZES["phone"], has_touch=True, is_mobile=True,
                                                 accept_downloads=True).new_page() for role in roles}  # fmt: skip
        for page in (self.wide, *self.phones.values()):
            page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)

    def close(self):
        expect.set_options(timeout=5_000)
        for page in (self.wide, *self.phones.values()):
            page.context.close()

    def page(self, role):
        return self.phones.get(role, self.wide)

    def join(self):
        """Join with every phone, as a person does; the laptop gives each its role."""
        self.wide.goto(f"{self.laptop.url}/people")
        for role, phone in self.phones.items():
            name, adult = PEOPLE.get(role, ("ZZ", False))
            called = called_of(role) or role
            phone.goto(f"{self.laptop.lan}/join?code={self.laptop.passcode}")
            phone.get_by_role("button", name="Join").tap()
            phone.get_by_label("Initials or a number").fill(name)
            phone.locator(f"input[value='{called}']").check(force=True)
            if adult:
                phone.locator("[name=adult]").check(force=True)
            phone.get_by_role("button", name="Ask for it").tap()
            asks = self.wide.locator("#asking .guest", has_text=f"{name} asks to")
            if adult:
                asks.locator("[name=adult]").check(force=True)
            asks.get_by_role("button", name=f"Give {name} this role").click()
            expect(phone.locator("h1")).to_have_text(f"Your role: {called}")
        for page in (self.wide, *self.phones.values()):
            page.goto(f"{self.laptop.url if page is self.wide else self.laptop.lan}/launch")
            page.wait_for_selector("[data-connected=yes]")

    def shot(self, name, *roles):
        """Take pictures of what those roles see, and of the laptop."""
        if SHOTS:
            self.shots += 1
            for role in roles:
                self._shot(self.page(role), name, role)
            self._shot(self.wide, name, "laptop")

    def _shot(self, page, name, who):
        page.screenshot(path=f"{SHOTS}/{self.shots:02d}-{name}-{who}.png", full_page=DOWN_TO_THE_END)

    # --- one act ----------------------------------------------------------------------------------------------------

    def at(self, state, rocket=""):
        """Wait until everybody sees that the rocket stands there."""
        for page in (self.wide, *self.phones.values()):
            expect(page.locator("#step .of b").last).to_have_text(state)
            if rocket:
                expect(page.locator("#step .of b").first).to_have_text(rocket)

    def say(self, what, role, **given):
        """Say something at the laptop for a role, as its page posts it."""
        self.clock.on(2)
        self.names += 1
        told = {"what": what, "role": role, "entry": f"said-{self.names}", **given}
        self.post("/do/day", told)

    def post(self, path, told):
        status, words = self.wide.evaluate(POSTS, [path, told])
        assert status == 200, f"{told}: {words}"

    def press(self, role, form, **fields):
        """Fill in a form where that role sees it, and press its button."""
        self.clock.on(2)
        page = self.page(role)
        for name, text in fields.items():
            page.locator(f"#{form} [name={name}]").fill(text)
        button = page.locator(f"#{form} button")
        button.click() if page is self.wide else button.tap()

    def step(self, event, to, role=None, landing=""):
        """Do a step, and wait until everybody sees where it led."""
        by = role or next(one.by for (_, name), one in day_table().steps.items() if name == event)
        if not self.pressed:
            return self.say("step", by, rocket=self.rocket, event=event, **({"landing": landing} if landing else {}))
        if landing:
            self.page(by).locator(f"#do-down input[value='{landing}']").check(force=True)
        self.press(by, f"do-{event.replace(' ', '-')}")
        return self.at(to)

    def confirm(self, *points):
        for point in points:
            by = day_table().confirms[point].by
            if self.pressed:
                self.press(by, f"confirm-{point}")
                expect(self.page(by).locator(f"#point-{point}.done")).to_be_visible()
            else:
                self.say("confirm", by, point=point)

    def read(self, gauge):
        for role in ("pump", "watch"):
            if self.pressed:
                self.press(role, f"read-{role}", pressure=gauge)
                mine = self.page(role).locator(".readings > div", has=self.page(role).locator(f"#read-{role}"))
                expect(mine.locator("b").first).not_to_have_text("nothing yet")
            else:
                self.say("reading", role, rocket=self.rocket, pressure=gauge)

    # --- what comes again ------------------------------------------------------------------------------------------

    def turn(self, rocket):
        """Show a rocket whose turn it is, and have an adult look at what has to be looked at."""
        self.rocket = rocket
        self.post("/do/turn", {"role": "charge", "rocket": rocket})
        self.at("waiting", rocket)
        self.press("pump", "do-inspect")
        self.at("inspected")
        while (left := self.wide.locator("#lift form").count()) > 0:
            first = self.wide.locator("#lift form").first
            first.locator("[name=reason]").fill("looked at it this morning")
            first.get_by_role("button").click()
            expect(self.wide.locator("#lift form")).to_have_count(left - 1)

    def to_pressure(self):
        """From looked over to under pressure."""
        self.step("load", "loaded")
        self.step("seat", "seated")
        self.at("seated")
        self.confirm(*(["armed"] if self.wide.locator("#confirm-armed").count() else []), "field", "sky", "lines")
        self.step("clear", "field clear")
        if self.pressed:
            self.press("record", "read-wind", mean="2 m/s", gust="3 m/s", **{"from": "WSW"})
            expect(self.wide.locator("#wind .said")).to_contain_text("2.0 m/s")
        else:
            self.say("wind", "record", mean="2 m/s", gust="3 m/s", **{"from": "WSW"})
        self.shot("field-clear", "charge", "record")
        self.confirm("charge", "wind")
        self.step("pump", "pressurising")

    def to_ready(self):
        self.read("4.5 bar")
        self.step("hold", "holding")
        self.read("4.5 bar")
        self.step("tight", "ready")

    def leaves(self):
        if self.pressed:
            self.press("pull", "take")
            expect(self.page("pull").locator(".holds")).to_contain_text("This device holds the release")
        else:
            self.say("take", "pull", rocket=self.rocket)
        self.confirm("charge", "field", "sky", "wind", "lines")
        self.step("launch", "launched")

    def comes_down(self, landing):
        self.clock.on(8)
        self.step("down", "down", landing=landing)
        self.read("0 bar")
        self.confirm("charge")

    def fetched(self):
        self.step("open", "field open")
        self.step("back", "waiting") if not self.pressed else self.press("record", "do-back")

    def let_off(self):
        """From a stop until one adult may go there, and the stop is over."""
        self.step("vent", "venting")
        self.read("0 bar")
        self.step("zero", "misfire wait")
        self.clock.on(121)
        self.approach()

    def approach(self):
        sign = "the bottle gives when it is pushed with a pole"
        self.press("watch", "sign", sign=sign) if self.pressed else self.say(
            "second sign", "watch", rocket=self.rocket, sign=sign)  # fmt: skip
        self.confirm("charge")
        self.step("approach", "approach allowed")
        self.at("approach allowed")
        self.shot("approach", "charge", "pump")
        self.press("charge", "lift-stop")
        expect(self.wide.locator("#stands")).to_be_hidden()
