"""A whole day, rehearsed on a laptop and phones: its logbook tells it, nothing is lost, nothing is there twice.

Three rockets, six launches, one misfire, one landing in a tree, one crash of the laptop, one phone that is cut off, one
leak. Each run says the day as its devices do. With BOTTLEWRIGHT_REHEARSAL=pages it is played on pages too, three with a
phone; with =whole all have one, every step is tapped, and the day is prepared on the page from landings worked out.
"""

import json
import os
import re
from collections import Counter

import pytest
from conftest_browser import needs_chromium
from launch_folder import PEOPLE
from playwright.sync_api import expect
from rehearsed_day import ROCKETS, Clock, Crew, Laptop, folder_of_the_day, planned_without_flying
from told_day import told

from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.journal import journal_file
from bottlewright.logbook.launches import all_launches
from bottlewright.logbook.vessels import counted, read_vessel
from bottlewright.project.logbook import Logbook

WHOLE = os.environ.get("BOTTLEWRIGHT_REHEARSAL") == "whole"
PAGES = os.environ.get("BOTTLEWRIGHT_REHEARSAL", "") != ""


@pytest.fixture(scope="module", params=["told", pytest.param("pages", marks=(needs_chromium, pytest.mark.skipif(
    not PAGES, reason="takes minutes: BOTTLEWRIGHT_REHEARSAL=pages or whole")))])  # fmt: skip
def day(request, tmp_path_factory):
    """The day, played through: as its devices say it, or on pages; what is asked of its logbook is the same."""
    beside = tmp_path_factory.mktemp("rehearsal")
    clock, folder = Clock(beside / "clock"), beside / "day"
    folder_of_the_day(folder, clock)
    if request.param == "told" or not WHOLE:
        planned_without_flying(folder, clock)
    if request.param == "told":
        told(folder, clock)
    else:
        on_pages(request.getfixturevalue("browser"), beside, folder, clock)
    return folder, clock


def on_pages(browser, beside, folder, clock):
    """Play it on a laptop and phones; what the pages say at each turn is asserted on the way."""
    laptop = Laptop(folder, clock)
    laptop.begin()
    crew = Crew(browser, laptop, clock, (*PEOPLE, "look on") if WHOLE else ("pump", "watch", "look on"))
    try:
        if WHOLE:
            prepared(crew)
        crew.join()
        played(crew, beside)
    finally:
        crew.close()
        laptop.crash()


def prepared(crew):
    """Prepare the day on the laptop's page."""
    page = crew.wide
    page.goto(f"{crew.laptop.url}/launch")
    page.wait_for_selector("[data-connected=yes]")
    for name in ROCKETS:
        work = page.get_by_role("button", name=f"Work out where {name} comes down")
        work.click(timeout=300_000)
        expect(work).to_be_hidden()
    expect(page.locator("#prepare-rockets [role=status]")).to_have_count(0, timeout=600_000)
    crew.shot("prepare")
    for name, (_, launches) in ROCKETS.items():
        page.locator(f"[name='launches.{name.lower()}.toml']").fill(str(launches))
        page.locator(f"[name='turn.{name.lower()}.toml']").fill(str(list(ROCKETS).index(name) + 1))
    for role, who, adult in (("charge", "MR", False), ("pump", "K", False), ("pull", "7", False), ("watch", "LA", True),
                             ("record", "P", False)):  # fmt: skip
        page.locator(f"[name='role.{role}']").fill(who)
        if adult:
            page.locator(f"[name='adult.{role}']").check(force=True)
    for name, value in (("ratio", "1:5"), ("owner", "leave of 12 March"), ("emergency", "112"),
                        ("lightning", "30 min")):  # fmt: skip
        page.locator(f"[name='local.{name}']").fill(value)
    page.get_by_role("button", name="Keep this day").click()
    expect(page.locator("#step .of b").last).to_have_text("waiting", timeout=60_000)


def played(crew, beside):
    flown(crew, "Whimbrel", tapped=True)
    measured(crew, "9.0 s", "40", tapped=True)
    flown(crew, "Turnstone")
    measured(crew, "8.6 s", "39")
    misfired_then_in_a_tree(crew)
    measured(crew, "8.8 s", "38")
    crashed(crew)
    flown_on(crew)
    measured(crew, "9.1 s", "41")
    cut_off(crew, beside)
    flown_on(crew)
    measured(crew, "8.9 s", "40")
    flown(crew, "Whimbrel")
    measured(crew, "9.2 s", "40")
    leaked(crew)


def flown(crew, rocket, tapped=False):
    crew.turn(rocket)
    crew.shot("looked-over", "pump", "charge")
    flown_on(crew, tapped)


def flown_on(crew, tapped=False):
    """From looked over to fetched."""
    crew.pressed = tapped or WHOLE
    crew.to_pressure()
    crew.shot("pressurising", "pump", "watch", "look on")
    crew.to_ready()
    crew.shot("ready", "pull", "charge", "watch")
    crew.leaves()
    crew.at("launched")
    crew.shot("launched", "watch", "pull")
    crew.comes_down("soft")
    crew.at("down")
    crew.shot("down", "charge", "record")
    crew.fetched()
    expect(crew.wide.locator("#step .of b").last).to_have_text("waiting")


def measured(crew, seconds, angle, tapped=False):
    """The recorder writes down a stopwatch and an angle of the last launch."""
    crew.clock.on(60)
    if not (tapped or WHOLE):
        launch = max(all_launches(crew.laptop.folder / FOLDER), key=lambda one: one.at or "").entry
        crew.post("/do/measure", {"launch": launch, "kind": "watch", "down": seconds, "by": "P"})
        crew.post("/do/measure", {"launch": launch, "kind": "sight", "away": "50 m", "elevation": angle, "side": "S",
                                  "eye": "1.5 m", "by": "P"})  # fmt: skip
        return
    page, address = crew.page("record"), crew.laptop.lan if "record" in crew.phones else crew.laptop.url
    page.goto(f"{address}/launch/measure")
    page.wait_for_selector("[data-connected=yes]")
    who = {} if "record" in crew.phones else {"by": "P"}  # a phone knows whose it is
    crew.press("record", "watch-form", down=seconds, **who)
    expect(page.locator("#of-watch .rows")).to_contain_text("to the ground")
    crew.press("record", "sight-form", away="50 m", elevation=angle, side="S", **who)
    expect(page.locator("#of-angles .rows")).to_contain_text("180 deg")
    expect(page.locator(".answer .lead")).to_contain_text(re.compile("inside|high|low"))
    crew.shot("measured", "record")
    page.goto(f"{address}/launch")
    page.wait_for_selector("[data-connected=yes]")


def misfired_then_in_a_tree(crew):
    crew.turn("Godwit")
    crew.pressed = WHOLE
    crew.to_pressure()
    crew.to_ready()
    crew.at("ready")
    crew.pressed = True
    crew.step("misfire", "stop", role="pull" if WHOLE else "pump")
    expect(crew.wide.locator("#stands")).to_contain_text("misfire")
    for page in (crew.wide, crew.phones["pump"]):
        expect(page.locator("#step")).to_contain_text("60 s have not passed since the misfire")
    expect(crew.phones["pump"].locator("#do-vent button")).to_be_disabled()
    crew.shot("misfire", "pump", "charge", "look on")
    crew.clock.on(61)
    expect(crew.phones["pump"].locator("#do-vent button")).to_be_enabled()
    crew.step("vent", "venting")
    crew.shot("venting", "pump", "charge")
    crew.read("0 bar")
    crew.step("zero", "misfire wait")
    crew.shot("misfire-wait", "charge", "watch")
    expect(crew.page("charge").locator("#do-approach button")).to_be_disabled()
    crew.clock.on(121)
    crew.approach()
    crew.confirm("emptied")
    crew.step("inspect", "inspected", role="pump")
    crew.pressed = WHOLE
    crew.to_pressure()
    crew.to_ready()
    crew.leaves()
    crew.comes_down("tree")
    crew.at("down")
    expect(crew.page("charge").locator("#do-open button")).to_be_disabled()
    expect(crew.page("charge").locator("#step")).to_contain_text("nobody fetches it from there")
    crew.shot("tree", "charge", "record")
    crew.page("charge").locator("details.otherwise summary").click()
    crew.press("charge", "do-give-up")
    expect(crew.wide.locator("#queue")).not_to_contain_text("Godwit")


def crashed(crew):
    """The laptop goes down while the bottle is under pressure; whoever pumps calls stop, and the phone shouts."""
    crew.turn("Whimbrel")
    crew.pressed = WHOLE
    crew.to_pressure()
    crew.read("4.5 bar")
    crew.step("hold", "holding")
    crew.at("holding", "Whimbrel")
    crew.laptop.crash()
    pump = crew.phones["pump"]
    expect(pump.locator(".lost")).to_be_visible()
    pump.locator("#stop-all button").tap()
    shout = pump.get_by_role("alertdialog")
    expect(shout.get_by_role("heading")).to_have_text("SHOUT STOP: this phone is not connected")
    crew.shot("crashed", "pump", "charge")
    crew.clock.on(45)
    crew.laptop.begin()
    expect(shout.get_by_role("heading")).to_have_text("STOP")
    crew.shot("begun-anew", "pump", "charge")
    crew.join()
    crew.at("stop", "Whimbrel")
    crew.shot("joined-anew", "pump", "charge")
    crew.let_off()
    crew.confirm("emptied")
    crew.step("inspect", "inspected", role="pump")


def cut_off(crew, beside):
    """Somebody who looks on has the saved page, no network, and something to tell."""
    crew.turn("Turnstone")
    crew.pressed = WHOLE
    crew.to_pressure()
    crew.at("pressurising", "Turnstone")
    phone = crew.phones["look on"]
    with phone.expect_download() as download:
        phone.evaluate("location.assign('/day?save=yes')")
    file = beside / download.value.suggested_filename
    download.value.save_as(file)
    phone.goto(file.as_uri())
    phone.context.set_offline(True)
    form = phone.get_by_role("form", name="Near miss")
    form.get_by_label("what happened").fill("a dog under the rope")
    form.get_by_role("button").tap()
    expect(form.locator(".told")).to_contain_text("Kept")
    phone.get_by_role("button", name=re.compile("^Stop")).tap()
    shout = phone.get_by_role("alertdialog")
    expect(shout.get_by_role("heading")).to_have_text("SHOUT STOP: this phone is not connected")
    crew.shot("cut-off", "look on")
    expect(crew.wide.locator("#step .of b").last).to_have_text("pressurising")
    phone.context.set_offline(False)
    expect(shout.get_by_role("heading")).to_have_text("STOP")
    phone.goto(f"{crew.laptop.lan}/launch")
    phone.wait_for_selector("[data-connected=yes]")
    crew.at("stop", "Turnstone")
    expect(crew.page("charge").locator("#step")).to_contain_text("Near miss: a dog under the rope")
    crew.shot("stop-and-near-miss", "charge", "look on")
    crew.let_off()
    crew.press("charge", "sign-miss")
    expect(crew.page("charge").locator("#sign-miss")).to_be_hidden()
    crew.confirm("emptied")
    crew.step("inspect", "inspected", role="pump")


def leaked(crew):
    crew.turn("Turnstone")
    crew.pressed = WHOLE
    crew.to_pressure()
    crew.read("3 bar")
    crew.at("pressurising", "Turnstone")
    crew.pressed = True
    crew.step("leak", "stop", role="watch")
    expect(crew.wide.locator("#stands")).to_contain_text("leak")
    crew.shot("leak", "pump", "watch")
    crew.let_off()
    crew.shot("after-the-leak", "pump", "charge")
    expect(crew.phones["pump"].locator("#do-inspect button")).to_be_disabled()
    crew.phones["pump"].locator("details.otherwise summary").tap()
    crew.phones["pump"].locator("#do-retire [name=why]").fill("it drips at the neck")
    crew.press("pump", "do-retire")
    expect(crew.wide.locator("#step h1")).to_have_text("Nothing is left to launch")
    crew.shot("end", "charge", "look on")


# --- its logbook, as somebody reads it who was not there --------------------------------------------------------------


def times(folder, bottle):
    """Return what a bottle's file says of each time under pressure: that it began, and then how it ended."""
    return read_vessel(folder / FOLDER, bottle).pressurised


def test_every_time_under_pressure_is_counted_on_its_bottle_once(day):
    folder, _ = day
    ends = {bottle: [one.ended for one in {one.entry: one for one in times(folder, bottle)}.values()]
            for bottle, _ in ROCKETS.values()}  # fmt: skip
    assert ends == {"B07": ["launched", "vented", "launched", "launched"],
                    "B08": ["launched", "vented", "launched", "leak"], "B09": ["vented", "launched"]}  # fmt: skip
    assert {bottle: counted(read_vessel(folder / FOLDER, bottle)) for bottle in ends} == {"B07": 8, "B08": 8, "B09": 6}
    peaks = [one.peak.text for one in times(folder, "B08") if one.peak]
    assert peaks == ["4.500 bar", "4.500 bar", "3.000 bar"], "of the vented one nobody had read the gauge yet"


def test_the_bottle_that_leaked_is_retired_and_the_one_in_the_tree_was_not_retrieved(day):
    folder, clock = day
    assert read_vessel(folder / FOLDER, "B08").retired is not None
    assert [read_vessel(folder / FOLDER, one).retired for one in ("B07", "B09")] == [None, None]
    kept = Logbook(folder).day(clock().date().isoformat()).day
    assert {name: one.state for name, one in kept.rockets.items()} == {
        "Whimbrel": "waiting", "Turnstone": "retired", "Godwit": "not retrieved"}  # fmt: skip
    assert (kept.stop, kept.near_miss, kept.field_closed) == ("", "", False)


def test_each_launch_has_its_file_and_what_flew_is_measured_beside_what_was_foretold(day):
    folder, _ = day
    launches = all_launches(folder / FOLDER)[::-1]
    left = [one for one in launches if one.at is not None]
    assert [(one.rocket, one.landing) for one in left] == [
        ("Whimbrel", "soft"), ("Turnstone", "soft"), ("Godwit", "tree"), ("Whimbrel", "soft"), ("Turnstone", "soft"),
        ("Whimbrel", "soft")]  # fmt: skip
    stayed = [one for one in launches if one.at is None]
    assert [one.counts for one in stayed] == [False] * 4
    assert [(one.rocket, one.seen.partition(": ")[0]) for one in stayed] == [
        ("Godwit", "it did not leave"), ("Whimbrel", "it did not leave"), ("Turnstone", "it did not leave"),
        ("Turnstone", "it did not leave")]  # fmt: skip
    for one in left:
        assert one.prediction.made < one.at
        assert one.loaded.pressure.text == "4.5 bar"
        after = Logbook(folder).after(one.entry)
        assert {row.what for row in after.rows if row.measured is not None} >= {"height", "time"}
        assert re.search(r"inside|high|low", after.says)


def test_nothing_is_lost_and_nothing_is_there_twice(day):
    folder, clock = day
    lines = journal_file(folder / FOLDER, clock().date().isoformat()).read_text(encoding="utf-8").splitlines()
    entries = [json.loads(line) for line in lines]
    assert set(Counter(one["entry"] for one in entries).values()) == {1}
    events = Counter(one["event"] for one in entries if one.get("what") == "step")
    assert {name: events[name] for name in ("pump", "launch", "misfire", "leak", "give up", "retire", "approach")} == {
        "pump": 10, "launch": 6, "misfire": 1, "leak": 1, "give up": 1, "retire": 1, "approach": 4}  # fmt: skip
    stops = [one for one in entries if one["what"] == "stop" and one["by"] != "the program"]
    assert [(one["by"], one.get("offline")) for one in stops] == [("K", True), ("ZZ", True)]
    assert [one["note"] for one in entries if one["what"] == "near miss"] == ["a dog under the rope"]


def test_its_logbook_tells_the_day_in_words(day):
    folder, _ = day
    told = Logbook(folder).words()
    for words in ("B08", "leak", "Godwit", "tree"):
        assert words in told, told
    day_told = told.partition("\nThe day ")[2]
    order = ("the day is prepared: Whimbrel, Turnstone, Godwit; in charge: MR", "Whimbrel: It was released",
             "Godwit: Misfire: it did not leave", "Godwit: It lies still: tree",
             "Godwit: It stays there: not retrieved",
             "K: STOP", "NEAR MISS: a dog under the rope", "looked into the near miss and signed",
             "Turnstone: It leaks",
             "Turnstone: Its bottle is retired: it drips at the neck")  # fmt: skip
    places = [day_told.find(words) for words in order]
    assert -1 not in places, day_told
    assert day_told.count("the stop is over") == 4
    assert places == sorted(places), day_told
