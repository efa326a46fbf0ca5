"""What the flights taught, on a page: worked out when asked, shown old beside new, used when somebody says so."""

import re
import shutil
import time

from conftest_web import CURLEW, served

import bottlewright as bw
from bottlewright.project import lesson as lesson_module
from bottlewright.project.learning import LearnResult
from bottlewright.project.logbook import Logbook
from bottlewright.project.people import IN_CHARGE, ROLES
from bottlewright.web.roles import may_look, may_post


def text_of(answer):
    return " ".join(re.sub(r"<[^>]*>", " ", answer.text).split())


def flown(folder, *heights):
    """Copy the example, and write launches of it into its logbook."""
    shutil.copytree(CURLEW, folder / "rockets")
    file = folder / "rockets" / "rocket.toml"
    for number, height in enumerate(heights, 1):
        measured = {"height": height, "how": "two stations"} if height else {}
        Logbook(file.parent).enter_flight(bw.read(file), {"at": f"2026-11-{number:02d}T10:00:00"}, measured)
    return file


def worked_out(pages):
    assert pages.do("start/learn").status_code == 200
    until = time.monotonic() + 240
    while "learn" in pages.office.work.running and time.monotonic() < until:
        time.sleep(0.1)
    assert pages.office.work.failed == {}


def test_nothing_is_claimed_without_a_launch_or_without_a_measurement(tmp_path):
    with served(flown(tmp_path).parent) as pages:
        assert "No launch of Curlew stands in the logbook" in text_of(pages.get("/learn"))
        assert "No launch yet" in text_of(pages.get("/logbook"))
        Logbook(tmp_path / "rockets").enter_flight(pages.office.job.project, {"at": "2026-11-01T10:00:00"}, {})
        pages.office.changed()
        assert "nothing was measured of it" in text_of(pages.get("/learn"))
        assert "Nothing was measured of 1 launch" in text_of(pages.get("/logbook"))
        assert pages.do("do/use-learned").status_code == 422


def test_what_is_learned_is_shown_first_and_used_when_somebody_says_so(tmp_path):
    file = flown(tmp_path, "47 m ± 1 m")
    as_it_was, kept = file.read_text(encoding="utf-8"), file.parent / "logbook" / "learned" / "curlew.json"
    with served(file.parent) as pages:
        assert "One flight can teach something" in text_of(pages.get("/learn"))
        worked_out(pages)
        said = text_of(pages.get("/learn"))
        assert re.search(r"Drag 1\.00 ± 0\.15 1\.\d+ ± 0\.1\d", said)
        assert "47.0 m ± 1.0 m, two stations" in said
        assert said.index("What to launch and measure next") < said.index("What it means")
        assert re.search(r"nine in ten of the launches after it then lie within ±\d", said)
        assert "Nothing is launched" in said
        drawn = pages.get("/learn").text
        assert all(f'data-part="{part}"' in drawn for part in ("model.drag_factor", "2026-11-01-01"))
        assert (file.read_text(encoding="utf-8"), kept.exists()) == (as_it_was, False)

        refused = pages.do("do/use-learned", by="K")
        assert '"day"' in refused.headers["X-Fields"]
        assert pages.do("do/use-learned").status_code == 200
        assert 'from = "logbook"' in file.read_text(encoding="utf-8")
        assert pages.office.job.project.value("model.drag_factor").source == "learned from 1 flight"
        assert "The design draws from this. Nobody has agreed to nearer distances." in text_of(pages.get("/learn"))

        assert pages.do("do/leave-learned").status_code == 200
        assert pages.office.job.project.value("model.drag_factor") == bw.parse(as_it_was, file).value(
            "model.drag_factor")
        assert "Use what the flights taught" in text_of(pages.get("/learn"))


def test_what_the_design_draws_from_stands_there_as_soon_as_the_page_opens(tmp_path, monkeypatch):
    monkeypatch.setattr(LearnResult, "next", None)
    file = flown(tmp_path, "47 m ± 1 m")
    with served(file.parent) as pages:
        assert "What the design draws from now" not in text_of(pages.get("/learn"))
        worked_out(pages)
        assert pages.do("do/use-learned").status_code == 200
        (drag,) = re.findall(r"Drag 1\.00 ± 0\.15 (1\.\d+ ± 0\.1\d)", text_of(pages.get("/learn")))
    with served(file.parent) as pages:
        assert pages.office.work.result("learn", pages.office.job.project) is None
        said = text_of(pages.get("/learn"))
        assert re.search(r"What the design draws from now Learned on \d{4}-\d\d-\d\d from 2026-11-01-01", said)
        assert f"Drag 1.00 ± 0.15 {drag}" in said
        (file.parent / "logbook" / "learned" / "curlew.json").unlink()
        pages.office.job.look_around()
        pages.office.changed()
        assert "Nothing was learned yet: logbook/learned/curlew.json is not there" in text_of(pages.get("/learn"))


def test_whoever_takes_nearer_lines_stands_in_the_file(tmp_path, monkeypatch):
    monkeypatch.setattr(LearnResult, "next", None)
    file = flown(tmp_path, "47 m ± 1 m")
    with served(file.parent) as pages:
        worked_out(pages)
        assert pages.do("do/use-learned", by="MR", day="2026-11-02").status_code == 200
        keys = pages.office.job.project.design.learned
        assert (keys.from_, keys.confirmed_by, str(keys.confirmed_on)) == ("logbook", "MR", "2026-11-02")
        assert "Nearer distances were agreed to by MR, 2026-11-02" in text_of(pages.get("/learn"))


def test_another_launch_asks_for_the_work_anew(tmp_path, monkeypatch):
    monkeypatch.setattr(LearnResult, "next", None)
    file = flown(tmp_path, "47 m ± 1 m")
    with served(file.parent) as pages:
        worked_out(pages)
        assert pages.do("do/use-learned").status_code == 200
        Logbook(file.parent).enter_flight(bw.read(file), {"at": "2026-11-09T10:00:00"}, {"height": "48 m ± 1 m"})
        pages.office.job.look_around()
        pages.office.changed()
        said = text_of(pages.get("/learn"))
        assert "2 flights can teach something" in said
        assert "learned from 1 flight; 1 newer one is not in it: learn anew." in said
        assert "1 newer not in it" in text_of(pages.get("/fly"))


def test_guests_may_look_and_an_adult_in_charge_may_use_it():
    for path in ("/learn", "/logbook", "/live/learn", "/live/logbook", "/compare/launches", "/lesson",
                 "/lesson/worksheet.pdf"):  # fmt: skip
        assert may_look(path)
    assert not may_look("/lesson/key.pdf")
    assert {name for name in ROLES if may_post(name, "/do/use-learned")} == {IN_CHARGE}


def test_a_class_finds_its_lesson_with_a_worksheet_and_a_key(tmp_path, monkeypatch):
    monkeypatch.setattr("bottlewright.learn.one_variable.FLIGHTS", 12)
    monkeypatch.setitem(lesson_module._SHARES, "water", (0.6, 1.0))
    with served(flown(tmp_path, "53 m ± 1 m").parent) as pages:
        said = text_of(pages.get("/lesson"))
        assert "Curlew: water against height" in said
        assert "On the gauge: not over 4.83 bar, for every launch of this sheet. Why: it passed a proof test" in said
        assert "53.0 m ± 1.0 m" in said
        for name in ("worksheet", "key"):
            assert pages.get(f"/lesson/{name}.pdf").content.startswith(b"%PDF")
