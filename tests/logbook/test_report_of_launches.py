"""The report has the latest launches of its rocket, each beside what was foretold before it."""

from types import SimpleNamespace

from test_compared import launch

from bottlewright.design.unit_habit import METRIC
from bottlewright.findings import Stage
from bottlewright.logbook import chapters
from bottlewright.logbook.files import FOLDER, write_record
from bottlewright.report.html import Chapter, Section, State

FLY = Chapter(Section(Stage.FLY, "53 m", State.NONE, "<p>flies</p>"), results={"apogee_m": 53.0})
CURLEW = SimpleNamespace(name="Curlew")


def written(folder, *flights):
    for number, flight in enumerate(flights, 1):
        record = flight.model_copy(update={"entry": f"f{number}", "number": number, "at": "2027-03-20T10:20:00"})
        write_record(folder / FOLDER / "flights" / f"2027-03-20-{number:02d}-curlew.toml", record)


def test_the_latest_three_launches_stand_in_the_report(tmp_path, monkeypatch):
    monkeypatch.setattr(chapters, "unit_habit", lambda _: METRIC)
    written(tmp_path, *(launch([("height", f"{height} m ± 2 m")]) for height in (40, 41, 52, 60)))
    chapter = chapters.with_launches(FLY, CURLEW, tmp_path)
    assert [one.name for one in chapter.section.pictures] == [f"launch-2027-03-20-0{number}" for number in (4, 3, 2)]
    assert chapter.section.html.startswith("<p>flies</p>")
    assert "60.0 m ± 2.0 m, is high" in chapter.section.html
    assert [one["compared"]["height"]["lies"] for one in chapter.results["launches"]] == ["high", "inside", "low"]


def test_a_report_without_launches_is_as_it_was(tmp_path, monkeypatch):
    monkeypatch.setattr(chapters, "unit_habit", lambda _: METRIC)
    assert chapters.with_launches(FLY, CURLEW, tmp_path) is FLY
    written(tmp_path, launch())
    assert chapters.with_launches(FLY, SimpleNamespace(name="Wren"), tmp_path) is FLY


def test_a_logbook_that_can_not_be_read_is_said_and_stops_no_report(tmp_path):
    (tmp_path / FOLDER / "flights").mkdir(parents=True)
    (tmp_path / FOLDER / "flights" / "2027-03-20-01-x.toml").write_text("entry = ", encoding="utf-8")
    assert "can't be read" in chapters.with_launches(FLY, CURLEW, tmp_path).section.html.replace("&#39;", "'")
