"""From an empty folder to a changed rocket, by what the pages post and show."""

import json
import re
import time

import pytest
from conftest_web import HOST

import bottlewright as bw
from bottlewright.web.views.sketch import inputs

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
    assert re.search(r"up, on paper, with \d+ mL of water and 1\.5 bar on the gauge", said), "of which load"
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
    for place in (act.spectators, act.operator):
        assert place.partition(" (")[0].partition(";")[0] in said
    assert "Nobody has worked out where the rocket comes down" in said
    assert "pulls the cord" in said
    assert "What was not checked" in said


def test_a_stage_that_nobody_has_looked_at_does_not_say_that_nothing_was_found(curlew):
    links = {link.name: link.state for link in curlew.office.desk().frame.stages}
    assert links["tune"] == links["field"] == links["make"] == "not checked"
    assert links["fly"] == "no finding so far"


def test_no_page_sends_anyone_to_a_command(curlew):
    for page in ("sketch", "prove", "tune", "fly", "field", "make"):
        assert not re.search(r"bottlewright [a-z]+\b|`|the command", text_of(curlew.get(f"/{page}")))


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


def after(socket, revision):
    """Return the first message that is of this revision."""
    while (message := json.loads(socket.receive_text()))["revision"] < revision:
        pass
    return message


def test_every_window_gets_the_new_revision_and_of_it_only_what_is_new(curlew):
    with (
        curlew.websocket_connect("/live/sketch?width=wide", headers=OWN) as one,
        curlew.websocket_connect("/live/prove?width=narrow", headers=OWN) as other,
    ):
        first = json.loads(one.receive_text()), json.loads(other.receive_text())
        curlew.do("do/change", key="charge.water", value="300 mL")
        now = curlew.office.revision
        later = after(one, now), after(other, now)
    assert first[0]["revision"] == first[1]["revision"] < now == later[0]["revision"] == later[1]["revision"]
    assert 'name="key" value="nose.length"' in first[0]["html"]
    assert 'name="key" value="nose.length"' not in later[0]["html"]


def test_values_and_tables_follow_when_the_hand_rests_and_say_so_until_then(curlew):
    with curlew.websocket_connect("/live/sketch?width=wide", headers=OWN) as one:
        before = json.loads(one.receive_text())["html"]
        assert 'id="weights"' in before
        curlew.office.job.change({"charge.water": "300 mL"})
        curlew.office.changed()
        light = after(one, curlew.office.revision)["html"]
        for name in ("inputs", "weights", "as-built"):
            assert f'<section id="{name}" data-same data-late></section>' in light
        curlew.office.job.settle()
        whole = json.loads(one.receive_text())["html"]
    assert 'value="300 mL"' in whole
    assert "data-late" not in whole


def test_a_window_is_drawn_for_its_own_width(curlew):
    drawn = {}
    for width in ("both", "wide", "narrow"):
        with curlew.websocket_connect(f"/live/sketch?width={width}", headers=OWN) as socket:
            drawn[width] = re.findall(r'data-part="body"[^>]*>', json.loads(socket.receive_text())["html"])
    assert drawn["both"] == drawn["wide"] + drawn["narrow"]
    assert len(drawn["wide"]) == len(drawn["narrow"]) == 1
    assert drawn["wide"] != drawn["narrow"]


def test_a_change_made_outside_is_noticed_without_a_change_here(curlew):
    file = curlew.office.folder / "rocket.toml"
    with curlew.websocket_connect("/live/sketch", headers=OWN) as socket:
        now = json.loads(socket.receive_text())["revision"]
        file.write_text(file.read_text(encoding="utf-8") + "\n# by hand\n", encoding="utf-8")
        assert "was changed outside" in after(socket, now + 1)["html"]


def test_what_a_slider_passes_is_one_saving_and_one_undo(curlew):
    file = curlew.office.folder / "rocket.toml"
    before, job = file.read_bytes(), curlew.office.job
    for millilitres in range(300, 340):
        job.change({"charge.water": f"{millilitres} mL"})
    assert job.pending
    assert file.read_bytes() == before
    job.settle()
    assert b'"339 mL"' in file.read_bytes()
    job.undo()
    assert file.read_bytes() == before
    assert not job.can_undo


def test_a_quick_change_gives_the_design_of_the_file_that_follows(curlew):
    job = curlew.office.job
    for values in ({"charge.pressure": "55 psi ± 2 psi"}, {"fins.count": 4}, {"launcher.crew.eye_protection": False},
                   {"nose.shape": "cone"}, {"launcher.tilt": None}, {"mass.0.mass": "31 g"}):
        job.change(values)
        quick = job.project.digest
        job.settle()
        assert job.project.digest == quick
        assert not job.project.overrides
        assert not job.trouble


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
    found = curlew.office.work.result("scatter", curlew.office.job.project)
    for page in ("sketch", "prove", "fly", "field"):
        said = text_of(curlew.get(f"/{page}"))
        assert found.act.spectators.removesuffix(", see the table") in said
        assert "see the table" not in said  # there is none on the page
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


def test_what_the_program_chose_for_a_first_rocket_is_a_first_guess_until_somebody_changes_it(empty):
    assert empty.do("do/begin", bottle="carbonated-1500", bore="9 mm").status_code == 200
    fields = {one.key: one for _, group in inputs(empty.office.job.project) for one in group}
    assert fields["fins.span"].origin.startswith("a first guess")
    assert fields["nozzle.bore"].origin == "yours" or fields["nozzle.bore"].origin.startswith("yours;")  # it was chosen
    empty.do("do/change", key="fins.span", value="111 mm")
    fields = {one.key: one for _, group in inputs(empty.office.job.project) for one in group}
    assert fields["fins.span"].origin.startswith("yours")
    assert fields["fins.root"].origin.startswith("a first guess")
