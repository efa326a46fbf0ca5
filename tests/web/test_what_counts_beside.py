"""What counts beside the design file: the map, the day, the workshop; and nothing that somebody wrote is lost."""

import os
import re
import time
from datetime import date

import pytest

import bottlewright as bw


def until(true, seconds=120.0):
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.05)


def test_landings_of_another_map_are_no_landings_of_this_one(curlew):
    curlew.do("do/change", key="scatter.flights", value="200")
    curlew.do("start/scatter")
    until(lambda: not curlew.office.work.running)
    office = curlew.office
    assert office.work.result("scatter", office.job.project) is not None
    was = office.revision
    field = office.folder / "field.geojson"
    field.write_text(re.sub(r"(\d\.\d{4})(\d)", r"\g<1>9", field.read_text(encoding="utf-8")), encoding="utf-8")
    until(lambda: office.revision > was, 10.0)
    assert office.work.result("scatter", office.job.project) is None
    assert "Nobody has worked out the landings yet" in curlew.get("/field").text


def test_a_name_on_the_bottle_takes_no_distance_away(curlew):
    """A stop of the landings went, and 60 m became the 15 m of the rule, once somebody wrote B77 on the bottle."""
    curlew.do("do/change", key="scatter.flights", value="200")
    curlew.do("start/scatter")
    until(lambda: not curlew.office.work.running)
    asked = curlew.office.desk().proved.verdict.distances.asked("spectators")
    assert asked > 16.0
    curlew.do("do/change", key="vessel.id", value="B77")
    assert curlew.office.desk().proved.verdict.distances.asked("spectators") == asked
    assert "Nobody has worked out the landings yet" not in curlew.get("/field").text


def test_a_day_that_turns_judges_the_bottle_anew(curlew, monkeypatch):
    office = curlew.office
    allowed = office.desk().proved.verdict.allowed.gauge_Pa
    monkeypatch.setattr("bottlewright.proof.judged_day.today", lambda: date(2028, 6, 1))
    was = office.revision
    until(lambda: office.revision > was, 10.0)
    later = office.desk().proved.verdict.allowed.gauge_Pa
    assert later == bw.read(office.job.file).verdict().allowed.gauge_Pa
    assert later != allowed


def test_a_pack_for_other_hours_is_not_this_pack(curlew):
    office = curlew.office
    curlew.do("start/make")
    until(lambda: not office.work.running)
    assert office.work.result("make", office.job.project) is not None
    curlew.do("do/change", key="workshop.people", value="1")
    assert office.work.result("make", office.job.project) is None
    assert office.made_file("pack-a4.pdf") is None


def test_a_pack_that_was_made_before_the_landings_is_not_handed_out_after_them(curlew):
    office = curlew.office
    curlew.do("do/change", key="scatter.flights", value="100")
    curlew.do("start/make")
    until(lambda: not office.work.running)
    assert "landings not worked out" in office.pack().act.spectators
    assert office.pack().act == office.desk().proved.act
    curlew.do("start/scatter")
    until(lambda: not office.work.running)
    assert "landings not worked out" not in office.desk().proved.act.spectators
    assert office.pack() is None
    assert curlew.get("/chosen.pdf?sheet=cover").status_code == 404
    assert "/file/pack-a4.pdf" not in curlew.get("/make").text
    curlew.do("start/make")
    until(lambda: not office.work.running)
    assert office.pack().act == office.desk().proved.act


def test_a_file_that_was_made_unreadable_is_never_overwritten(curlew):
    file = curlew.office.job.file
    file.write_bytes(b"\xff\xfe\xfa not a text")
    before = file.read_bytes()
    curlew.do("do/change", key="charge.water", value="300 mL")
    assert file.read_bytes() == before
    assert curlew.office.job.outside is not None
    assert curlew.do("do/theirs").status_code == 422
    assert curlew.do("do/mine").status_code == 200
    assert b"300 mL" in file.read_bytes()
    (kept,) = curlew.office.folder.glob("rocket.toml.outside-*")
    assert kept.read_bytes() == before


def test_whoever_writes_twice_is_asked_twice(curlew):
    file, job = curlew.office.job.file, curlew.office.job
    text = file.read_text(encoding="utf-8")
    file.write_text(text + "# one\n", encoding="utf-8")
    assert job.look_outside()
    file.write_text(text + "# two\n", encoding="utf-8")
    assert curlew.do("do/theirs").status_code == 422
    assert curlew.do("do/theirs").status_code == 200
    assert job.project.text.endswith("# two\n")


def test_what_a_full_disk_kept_from_being_saved_is_saved_when_there_is_room(curlew, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("bottlewright.web.job.saved", full)
        curlew.do("do/change", key="charge.water", value="300 mL")
        assert curlew.do("do/open", file="rocket.toml").status_code == 200  # it is open already: nothing happens
        assert curlew.office.job.trouble
    until(lambda: not curlew.office.job.trouble, 10.0)
    assert b"300 mL" in curlew.office.job.file.read_bytes()


@pytest.mark.parametrize(("key", "value"), [
    ("charge.water", "--5"), ("fins.count", "9" * 5000), ("mass.0", "5"), ("a." * 3000 + "b", "1"),
])  # fmt: skip
def test_odd_posts_are_refused_in_words(curlew, key, value):
    answer = curlew.do("do/change", key=key, value=value)
    assert answer.status_code == 422
    assert answer.text


def test_odd_origins_and_tokens_are_refused(curlew):
    for headers in ({"Origin": "http://["}, {"Origin": "https://127.0.0.1:8731"},
                    {"X-Bottlewright-Token": "t\u00f6ken".encode("latin-1")}):
        assert curlew.post("/do/undo", data={}, headers=headers).status_code == 403
    many = {f"k{number}": "1" for number in range(201)}
    assert curlew.do("do/changes", **many).status_code == 422


def test_of_what_follows_every_change_only_the_last_few_are_kept(curlew):
    work = curlew.office.work
    for number in range(20):
        work._keep(("map", str(number)), number)
        work._keep(("scatter", str(number)), number)
    kept = [name for kind, name in work._results if kind == "map"]
    assert kept == ["14", "15", "16", "17", "18", "19"]
    assert len([name for kind, name in work._results if kind == "scatter"]) == 20


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes here")
def test_a_pipe_or_a_device_in_the_place_of_a_map_makes_nobody_wait(curlew):
    field = curlew.office.folder / "field.geojson"
    field.unlink()
    os.mkfifo(field)
    was = curlew.office.revision
    until(lambda: curlew.office.revision > was, 10.0)
    assert "not an ordinary file" in curlew.get("/field").text
    was, file = curlew.office.revision, curlew.office.job.file
    file.write_text(file.read_text("utf-8").replace('"field.geojson"', '"/dev/zero"'), "utf-8")
    until(lambda: curlew.office.revision > was, 10.0)
    assert curlew.do("do/theirs").status_code == 200
    assert curlew.office.job.project.design.site.map == "/dev/zero"
    assert "not an ordinary file" in curlew.get("/field").text


@pytest.mark.parametrize("key", ["site.map", "prices.file", "workshop.matrix"])
@pytest.mark.parametrize("name", ["/etc/hostname", "../other/field.geojson", "maps/../../x.json", "C:x.json",
                                  "..\\x.json", "\\\\host\\x.json"])  # fmt: skip
def test_a_page_names_no_file_outside_the_folder(curlew, key, name):
    was = curlew.office.job.project.text
    answer = curlew.do("do/change", key=key, value=name)
    assert answer.status_code == 422
    assert "leads out of the folder" in answer.text
    assert curlew.do("do/changes", **{key: name, "charge.water": "410 mL"}).status_code == 422
    assert curlew.office.job.project.text == was
    assert curlew.do("do/change", key=key, value="maps/x.json").status_code == 200


def test_a_link_that_leads_nowhere_hides_no_design_of_the_folder(curlew):
    (curlew.office.folder / "loop.toml").symlink_to("loop.toml")
    assert curlew.office.designs() == ["rocket.toml"]
    assert curlew.get("/designs").status_code == 200


def test_a_design_in_another_encoding_is_judged_as_it_is_opened(curlew):
    folder = curlew.office.folder
    text = (folder / "rocket.toml").read_bytes()
    (folder / "marked.toml").write_bytes(b"\xef\xbb\xbf" + text)
    (folder / "no-text.toml").write_bytes(b"[vessel]\xff\xfe\x00")
    assert curlew.office.shelf.standing("marked.toml").judged.act == curlew.office.desk().proved.act
    assert curlew.office.shelf.standing("no-text.toml").wrong.startswith("is not text")
