"""From an empty folder to a changed rocket, by what the pages post and show."""

import json
import re
import time

import pytest
from conftest_web import HOST

import bottlewright as bw

OWN = {"Origin": f"http://{HOST}", "Host": HOST}


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text))


# --- the first visit -----------------------------------------------------------------------------------------------


def test_an_empty_folder_offers_bottles_and_speaks_no_word_of_the_file(empty):
    said = text_of(empty.get("/"))
    assert "Choose your bottle" in said
    assert "No pressure is allowed yet" in said
    assert "TOML" not in said.upper()


def test_three_answers_make_a_rocket_with_its_test_and_its_pressure(empty):
    assert empty.do("do/first", bottle="carbonated-1500", bore="9 mm", parachute="").status_code == 200
    said = text_of(empty.get("/"))
    assert "no pressure is allowed yet" in said.lower()
    assert "water test" in said
    answer = empty.do("do/begin", name="Plover")
    assert (answer.status_code, answer.text) == (200, "/sketch")
    assert empty.office.designs() == ["plover.toml"]
    flight = bw.read(empty.office.folder / "plover.toml").fly()
    assert flight.summary["static_margin_min_calibres"] > 1.0
    assert flight.verdict.level != "stop"


def test_a_still_bottle_is_refused_as_a_first_rocket(empty):
    answer = empty.do("do/first", bottle="still-1500", bore="", parachute="")
    assert answer.status_code == 422
    assert "thinner" in answer.text


def test_beginning_twice_under_one_name_overwrites_nothing(empty):
    assert empty.do("do/begin", name="Plover").status_code == 200
    before = (empty.office.folder / "plover.toml").read_bytes()
    answer = empty.do("do/begin", name="Plover")
    assert answer.status_code == 422
    assert "is there already" in answer.text
    assert (empty.office.folder / "plover.toml").read_bytes() == before


# --- every page ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", ["sketch", "prove", "tune", "fly", "field", "make"])
def test_the_one_verdict_stands_on_every_page(curlew, page):
    said = text_of(curlew.get(f"/{page}"))
    act = bw.read(curlew.office.folder / "rocket.toml").prove().act
    assert f"{act.allowed[:1].upper()}{act.allowed[1:]} on the gauge" in said
    assert act.spectators in said
    assert act.operator in said
    assert "pulls the cord" in said
    assert "What was not checked" in said


def test_a_stage_that_nobody_has_looked_at_does_not_say_that_nothing_was_found(curlew):
    links = {link.name: link.state for link in curlew.office.desk().frame.stages}
    assert links["tune"] == links["field"] == links["make"] == "not checked"
    assert links["fly"] == "no finding so far"


def test_no_page_reassures(curlew):
    for page in ("sketch", "prove", "tune", "fly", "field", "make"):
        assert not re.search(r"\b(safe|fine|OK|all good)\b", text_of(curlew.get(f"/{page}")))


def test_a_picture_is_drawn_for_the_present_revision(curlew):
    before = curlew.get("/picture/sketch/rocket.svg")
    assert before.headers["content-type"].startswith("image/svg")
    curlew.do("do/change", key="fins.span", value="120 mm")
    assert curlew.get("/picture/sketch/rocket.svg").content != before.content
    assert curlew.get("/picture/sketch/nothing.svg").status_code == 404


# --- changes -------------------------------------------------------------------------------------------------------


def test_a_change_is_written_into_the_file_with_its_comments(curlew):
    file = curlew.office.folder / "rocket.toml"
    before = file.read_text(encoding="utf-8")
    assert curlew.do("do/change", key="charge.pressure", value="60 psi", spread="2 psi").status_code == 200
    after = file.read_text(encoding="utf-8")
    assert 'pressure = "60 psi ± 2 psi"' in after
    changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert len(changed) == 1
    assert curlew.do("do/undo").status_code == 200
    assert file.read_text(encoding="utf-8") == before
    assert curlew.do("do/redo").status_code == 200
    assert file.read_text(encoding="utf-8") == after


def test_a_wrong_value_says_what_would_be_right_and_changes_nothing(curlew):
    file = curlew.office.folder / "rocket.toml"
    before = file.read_bytes()
    answer = curlew.do("do/change", key="nozzle.bore", value="9 parsec")
    assert answer.status_code == 422
    assert "mm" in answer.text
    assert file.read_bytes() == before


def test_equipment_is_yes_no_or_not_said(curlew):
    key = "launcher.crew.eye_protection"
    for value, level in (("false", "stop"), ("true", "look")):
        curlew.do("do/change", key=key, value=value)
        assert curlew.office.desk().proved.verdict.level == level
    curlew.do("do/change", key=key, value="")
    assert "eye" in text_of(curlew.get("/prove")).lower()
    assert curlew.office.job.project.value(key) is None


def test_a_stop_gets_its_tried_cure_as_a_button_that_removes_it(curlew):
    curlew.do("do/change", key="charge.pressure", value="6 bar")
    curlew.get("/prove")
    until = time.monotonic() + 60.0
    while "/do/changes" not in (page := curlew.get("/prove").text) and time.monotonic() < until:
        time.sleep(0.1)
    form = page[page.index('data-post="/do/changes"') :]
    changes = dict(re.findall(r'name="([a-z_.]+)" value="([^"]*)"', form[: form.index("</form>")]))
    assert curlew.do("do/changes", **changes).status_code == 200
    assert curlew.office.desk().proved.verdict.level != "stop"


def test_a_stop_shows_on_every_page_at_once(curlew):
    curlew.do("do/change", key="charge.pressure", value="9 bar")
    for page in ("sketch", "prove", "fly", "make"):
        assert "STOP" in text_of(curlew.get(f"/{page}")).upper()


# --- live ----------------------------------------------------------------------------------------------------------


def test_every_window_gets_the_new_revision(curlew):
    with (
        curlew.websocket_connect("/live/sketch", headers=OWN) as one,
        curlew.websocket_connect("/live/prove", headers=OWN) as other,
    ):
        first = json.loads(one.receive_text()), json.loads(other.receive_text())
        curlew.do("do/change", key="charge.water", value="300 mL")
        later = json.loads(one.receive_text()), json.loads(other.receive_text())
    for before, after in zip(first, later, strict=True):
        assert after["revision"] == before["revision"] + 1
    assert "300 mL" in later[0]["html"]


def test_a_file_changed_outside_is_offered_and_never_overwritten(curlew):
    file = curlew.office.folder / "rocket.toml"
    theirs = file.read_text(encoding="utf-8").replace('span = "140 mm', 'span = "120 mm')
    file.write_text(theirs, encoding="utf-8")
    curlew.do("do/change", key="charge.water", value="300 mL")
    assert file.read_text(encoding="utf-8") == theirs
    assert "was changed outside" in text_of(curlew.get("/sketch"))
    curlew.do("do/theirs")
    assert curlew.office.job.project.value("fins.span").value == pytest.approx(0.12)
    curlew.do("do/undo")
    assert curlew.office.job.project.value("charge.water").value == pytest.approx(300e-6)


def test_a_full_disk_is_said_and_the_file_stays_whole(curlew, monkeypatch):
    file = curlew.office.folder / "rocket.toml"
    before = file.read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("bottlewright.web.job.saved", full)
    curlew.do("do/change", key="charge.water", value="300 mL")
    assert "No space left on device" in text_of(curlew.get("/sketch"))
    assert file.read_bytes() == before


def test_what_one_page_finds_counts_on_every_page(curlew):
    curlew.do("do/change", key="scatter.flights", value="200")  # so few settle nothing, and that is a stop
    curlew.do("start/scatter")
    until = time.monotonic() + 120.0
    while curlew.office.work.running and time.monotonic() < until:
        time.sleep(0.1)
    found = curlew.office.work.result("scatter", curlew.office.job.project.digest)
    for page in ("sketch", "prove", "fly", "field"):
        said = text_of(curlew.get(f"/{page}"))
        assert found.act.spectators in said
        assert ("STOP" in said) == (found.verdict.level == "stop")


def test_no_load_is_offered_before_the_water_test_or_under_a_stop(empty):
    empty.do("do/begin", name="Plover")
    empty.do("do/change", key="tune.flights", value="8")
    empty.do("start/tune")
    until = time.monotonic() + 120.0
    while empty.office.work.running and time.monotonic() < until:
        time.sleep(0.1)
    page = empty.get("/tune")
    assert "water test" in text_of(page)
    assert "Take this load" not in text_of(page)


def test_long_work_is_begun_shown_and_stopped(curlew):
    curlew.do("do/change", key="scatter.flights", value="60000")
    assert curlew.do("start/scatter").status_code == 200
    assert "Stop" in text_of(curlew.get("/field"))
    curlew.do("stop/scatter")
    for _ in range(200):
        if "scatter" not in curlew.office.work.running:
            break
        time.sleep(0.1)
    assert "scatter" not in curlew.office.work.running
