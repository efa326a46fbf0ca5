"""A logger's file brought in on a page: shown, put right, and taken into its launch as it came."""

import hashlib
import json
import re
import shutil

import numpy as np
import pytest
from conftest_browser import SMALL, by_axe, curlew_served, needs_chromium, opened
from conftest_lan import LAN, PASSCODE, joined
from conftest_web import CURLEW, HOST, TOKEN, served
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import expect

import bottlewright as bw
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.launches import all_launches, launch_of
from bottlewright.project.logbook import Logbook
from bottlewright.web.door import Door
from bottlewright.web.guard import MOST_OF_A_FILE
from bottlewright.web.logger import file_named
from bottlewright.web.logger_files import LoggerFiles
from bottlewright.web.roles import may_look, may_post

TIME = np.arange(0.0, 12.0, 0.04)
HEIGHT = np.interp(TIME, [2.0, 2.6, 3.2, 3.8, 4.4, 9.4], [0.0, 11.0, 17.5, 19.6, 20.0, 0.0])
LAUNCH = "2026-11-01-01"


def written(names, *columns):
    rows = "\n".join(";".join(f"{value:.3f}".replace(".", ",") for value in row) for row in zip(*columns, strict=True))
    return f"{names}\n{rows}\n".encode()


FILE = written("ms;altitude", 1000.0 * TIME, HEIGHT)


def begun(folder):
    for name in ("rocket.toml", "field.geojson"):
        shutil.copy(CURLEW / name, folder / name)
    Logbook(folder).enter_flight(bw.read(folder / "rocket.toml"), {"at": "2026-11-01T10:00:00"}, {})


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("brought")
    begun(folder)
    with served(folder, Door(frozenset({LAN}), PASSCODE)) as found:
        yield found


def text_of(answer):
    return " ".join(re.sub(r"<[^>]*>", " ", answer.text).replace("\u00a0", " ").split())


def handed(pages, content=FILE, name="alt.csv", launch=LAUNCH):
    own = {"X-Bottlewright-Token": TOKEN, "Origin": f"http://{HOST}"}
    return pages.post(f"/do/logger?name={name}&launch={launch}", content=content, headers=own)


def held(pages, content=FILE, **more):
    answer = handed(pages, content, **more)
    assert answer.status_code == 200, answer.text
    return re.fullmatch(r"/launch/import\?file=([0-9a-f]{12})", answer.text)[1]


def said(pages, file):
    return text_of(pages.get(f"/launch/import?file={file}"))


def height_on(pages, file):
    return float(re.search(r"Height of the highest point: ([\d.]+) m", said(pages, file))[1])


def test_a_file_is_shown_with_its_rows_its_columns_and_when_things_happened_and_nothing_is_written(pages):
    before = sorted((pages.office.folder / FOLDER).rglob("*"))
    shown = said(pages, held(pages))
    assert height_on(pages, held(pages)) == pytest.approx(20.0, abs=0.5)
    assert "a comma is the decimal sign" in shown.lower()
    assert "40,000 0,000" in shown
    assert "no unit is named; m is assumed" in shown
    assert "The height begins to rise" in shown
    assert "Only an accelerometer, a thrust stand or a sensor in the bottle shows it" in shown
    assert sorted((pages.office.folder / FOLDER).rglob("*")) == before


def test_a_column_and_its_unit_are_put_right_and_a_wrong_answer_changes_nothing(pages):
    file = held(pages)
    feet = pages.do("do/logger-column", file=file, what="height", column="2", was="2", unit="ft")
    assert feet.status_code == 200
    assert height_on(pages, file) == pytest.approx(6.1, abs=0.2)
    wrong = pages.do("do/logger-column", file=file, what="height", column="9", was="2", unit="m")
    assert wrong.status_code == 422
    assert "column from 1 to 2" in json.loads(wrong.headers["X-Fields"])["height"]
    assert height_on(pages, file) == pytest.approx(6.1, abs=0.2)


def test_a_file_without_a_clock_asks_for_its_rate_and_is_read_with_it(pages):
    file = held(pages, written("altitude;warm", HEIGHT, np.full(len(HEIGHT), 21.0)))
    assert "It can’t be read yet" in said(pages, file)
    assert "rows a second" in said(pages, file)
    wrong = pages.do("do/logger-column", file=file, what="rate", answer="fast")
    assert "rate" in json.loads(wrong.headers["X-Fields"])
    assert pages.do("do/logger-column", file=file, what="rate", answer="25").status_code == 200
    assert height_on(pages, file) == pytest.approx(20.0, abs=0.5)


def test_an_event_is_moved_taken_out_put_in_and_found_anew(pages):
    file = held(pages)
    moved = pages.do("do/logger-event", file=file, key="apogee", value="4.5", spread="0.1")
    assert moved.headers["X-Revision"] == "2"
    course = pages.office.logger_files.held(file).shown.file.read.course
    assert (course.events["apogee"].time, course.events["apogee"].spread) == (4.5, 0.1)
    assert "You said so" in said(pages, file)
    pages.do("do/logger-event", file=file, key="canopy", value="4.8 s", spread="")
    pages.do("do/logger-event", file=file, key="touchdown", value="none")
    course = pages.office.logger_files.held(file).shown.file.read.course
    assert course.events["canopy"].time == 4.8
    assert course.lacks["touchdown"] == "you took it out"
    pages.do("do/logger-event", file=file, key="apogee", value="")
    assert pages.office.logger_files.held(file).shown.file.read.course.events["apogee"].because != "you said so"
    late = pages.do("do/logger-event", file=file, key="apogee", value="99")
    assert "from 0 to" in json.loads(late.headers["X-Fields"])["apogee"]


def test_it_is_taken_into_its_launch_kept_byte_for_byte_and_the_next_file_is_read_as_this_one(pages):
    folder = pages.office.folder
    file = held(pages, launch="")
    pages.do("do/logger-column", file=file, what="height", column="2", was="2", unit="ft")
    assert "launch" in json.loads(pages.do("do/logger-take", file=file, launch="").headers["X-Fields"])
    taken = pages.do("do/logger-take", file=file, launch=LAUNCH, by="K")
    assert taken.text == f"/launch/measure?launch={LAUNCH}"
    flight = launch_of(folder / FOLDER, LAUNCH)
    assert flight.raw[-1].sha256 == hashlib.sha256(FILE).hexdigest()
    assert next((folder / FOLDER / "raw").glob("*-alt.csv")).read_bytes() == FILE
    assert flight.raw[-1].by == "K"
    (height,) = [one.value for one in flight.measured if one.what == "height"]
    assert float(height.split()[0]) == pytest.approx(6.1, abs=0.2)
    again = LoggerFiles(pages.office).held(file)  # as after another start of the program
    assert (again.launch, again.shown.said) == (LAUNCH, {"height": "2 ft"})
    again = held(pages, FILE.replace(b"0,000;0,000", b"0,000;0,010", 1), name="next.csv")
    assert "As for the last file with this header" in said(pages, again)
    assert "alt.csv" in text_of(pages.get("/launch/import"))
    assert "alt.csv is kept as it came" in text_of(pages.get(f"/launch/measure?launch={LAUNCH}"))


def test_what_is_no_table_and_what_is_too_large_is_refused_in_words(pages):
    for content in (b"", b"only words\nand more\n", bytes(range(256)) * 4):
        answer = handed(pages, content)
        assert (answer.status_code, bool(re.search("table|empty", answer.text))) == (422, True)
    large = handed(pages, b"0,1\n" * (MOST_OF_A_FILE // 4 + 1))
    assert (large.status_code, "4 MB at the most" in large.text) == (403, True)
    assert pages.do("do/logger-event", file="0" * 12, key="apogee", value="1").status_code == 422
    assert pages.get("/launch/import?file=000000000000").headers["Location"] == "/launch/import"
    assert file_named("import~../x") is None


def test_a_firing_on_a_stand_is_shown_and_no_launch_takes_it_in(pages):
    thrust = np.interp(TIME, [2.0, 2.04, 2.2, 2.28, 2.5], [0.0, 60.0, 40.0, 20.0, 0.0])
    file = held(pages, written("s;thrust N", TIME, thrust))
    shown = said(pages, file)
    assert "Impulse on the thrust stand: 1" in shown
    assert "no launch takes it in" in shown
    assert "Take it into" not in shown
    assert "nothing flew" in pages.do("do/logger-take", file=file, launch=LAUNCH).text


DOES = st.sampled_from(["do/logger-column", "do/logger-event", "do/logger-view", "do/logger-take"])
TEXTS = st.one_of(
    st.sampled_from(["", "none", "2", "2 3 4", "9", "-1", "nan s", "1e9", "release", "water out", "apogee", "height",
                     "tag", "rate", "ft", "yes", "../x", "\x00"]),
    st.text(max_size=20),
)  # fmt: skip


def test_whatever_is_posted_of_a_file_is_done_or_refused_in_words(pages):
    file = held(pages)

    @settings(max_examples=25, deadline=None)
    @given(DOES, TEXTS, TEXTS, TEXTS)
    def post(does, one, two, three):
        answer = pages.do(does, file=file, what=one, key=one, column=two, value=two, answer=two, unit=three, was=two,
                          spread=three, whole=two, launch=three, by=three)  # fmt: skip
        assert answer.status_code in (200, 422)
        assert answer.status_code == 200 or answer.text
        assert pages.get(f"/launch/import?file={file}").status_code == 200

    post()


def test_a_hostile_name_is_text_on_the_page_and_no_path(pages):
    file = held(pages, name="..%2F..%2F<b>x</b>.csv")
    answer = pages.get(f"/launch/import?file={file}")
    assert "<b>x</b>" not in answer.text
    pages.do("do/logger-take", file=file, launch=LAUNCH)
    assert not list(pages.office.folder.parent.glob("*.csv"))


def test_whoever_writes_down_may_bring_a_file_in_and_one_who_looks_on_may_not(pages):
    assert may_look("/launch/import")
    assert may_look("/live/import~0123456789ab")
    assert [may_post(role, "/do/logger") for role in ("record", "look on")] == [True, False]
    phone, guest = joined(pages, "7", "record")
    assert phone.write("/do/logger?name=p.csv", guest, x="1,2").status_code == 422


@needs_chromium
def test_an_event_is_moved_by_keys_and_by_hand_on_the_curve(browser, tmp_path):
    with curlew_served(tmp_path) as server:
        begun(tmp_path)
        page, said = opened(browser, f"{server.url}/launch/import?launch={LAUNCH}", "phone")
        page.set_input_files("#logger-file", {"name": "alt.csv", "mimeType": "text/csv", "buffer": FILE})
        page.wait_for_url("**file=*")
        page.wait_for_selector("[data-connected=yes]")
        page.locator("#more-columns summary").click()
        assert page.evaluate(SMALL, 44) == []
        found = by_axe(page)
        assert found.violations_count == 0, found.generate_report()
        at = page.locator("#when-apogee input[name=value]")
        first = float(at.input_value())
        grip = page.locator("#event-narrow-apogee")
        grip.focus()
        page.keyboard.press("Shift+ArrowRight")
        expect(at).not_to_have_value(f"{first:.3f}")
        assert float(at.input_value()) == pytest.approx(first + 0.1, abs=0.01)
        box = grip.locator(".square").bounding_box()
        page.mouse.move(box["x"] + 4, box["y"] + 4)
        page.mouse.down()
        page.mouse.move(box["x"] + 44, box["y"] + 4)
        page.mouse.up()
        expect(page.locator("#of-events")).to_contain_text("You said so")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.get_by_role("button", name="Take it into launch").click()
        page.wait_for_url("**/launch/measure**")
        told = all_launches(tmp_path / FOLDER)[0].raw[0].said
        assert any(one.startswith("apogee=") and float(one[7:].split()[0]) > first + 0.5 for one in told)
        assert [one for one in said if "WebSocket" not in one] == []
