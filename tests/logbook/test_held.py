"""A bottle that held more than was allowed is stopped, whether a sensor said so or somebody wrote it down."""

from datetime import datetime
from pathlib import Path

import pytest
from days import plan, rocket

import bottlewright as bw
from bottlewright.errors import FieldsError, InputError
from bottlewright.findings import Level
from bottlewright.logbook.export import MEASURES
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.held import held_too_much
from bottlewright.logbook.journal import journal_file
from bottlewright.logbook.launches import launch_of, write_launch
from bottlewright.logbook.records import VesselFile, VesselTest
from bottlewright.logbook.vessels import add_entries, new_vessel
from bottlewright.project.launch_day import LaunchDay
from bottlewright.project.logbook import Logbook
from bottlewright.project.measuring import enter
from bottlewright.quantities import Dimension

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
TEST = {"entry": "t1", "pressure": "7.5 bar", "hold": "60 s", "medium": "water", "passed": True}
LAUNCH = "2027-03-20-01"


@pytest.fixture
def folder(tmp_path):
    """Return a folder with Curlew on a bottle of its own, and one launch for which 4.83 bar were allowed."""
    tests = [VesselTest.model_validate({**TEST, "at": "2027-03-06"})]
    new_vessel(tmp_path / FOLDER, VesselFile(id="B07", opened="2027-02-18", earlier=0, test=tests))
    text = CURLEW.read_text(encoding="utf-8").partition("[[vessel.proof]]")
    rest = text[2][text[2].index("[nozzle]"):]
    vessel = text[0].replace("[vessel]\n", '[vessel]\nid = "B07"\n').replace("cycles = 4\n", "")
    (tmp_path / "rocket.toml").write_text(f"{vessel}{rest}", encoding="utf-8")
    write_launch(tmp_path / FOLDER, {
        "entry": "f1", "day": "2027-03-20", "at": "2027-03-20T11:00:00", "rocket": "Curlew", "vessel": "B07",
        "prediction": {"made": "2027-03-20T10:00:00", "allowed": "4.83 bar"}})  # fmt: skip
    return tmp_path


def stopped(folder):
    project = bw.read(folder / "rocket.toml").changed({"charge.day": "2027-03-21"})
    return [one.found for one in project.verdict().at(Level.STOP) if one.code == "held-too-much"]


def said(folder, **value):
    enter(folder, LAUNCH, "value", {"what": "true pressure", "how": "a sensor", **value}, "2027-03-20T12:00:00", "K")


@pytest.mark.parametrize(("value", "stops"), [("5.2 bar ± 0.1 bar", True), ("5.0 bar ± 0.1 bar", False),
                                              ("4.835 bar", False), ("5 bar", True)])  # fmt: skip
def test_what_a_sensor_read_surely_over_what_was_allowed_stops_the_bottle_until_it_is_tested_again(
    folder, value, stops
):
    assert stopped(folder) == []
    said(folder, value=value)
    assert bool(stopped(folder)) is stops
    if stops:
        assert "over the 4.83 bar that was allowed on the gauge" in stopped(folder)[0]
        for at, still in (("2027-03-20", True), ("2027-03-20T10:00:00", True), ("2027-03-20T15:00:00", False)):
            again = VesselTest.model_validate({**TEST, "entry": f"t{len(at)}{still}", "at": at})
            add_entries(folder / FOLDER, "B07", [again])
            assert bool(stopped(folder)) is still, at


def test_the_logbook_s_own_lines_say_it_too(folder):
    said(folder, value="5.2 bar ± 0.1 bar")
    words = Logbook(folder).words()
    assert "STOP: the bottle held 5.20 bar ± 0.10 bar at the release of launch 2027-03-20-01" in words
    assert "Nobody pumps it before it has passed another water test" in words


def test_what_was_written_as_loaded_is_held_to_the_same_rule_and_put_right_it_stops_nobody(folder):
    enter(folder, LAUNCH, "loaded", {"pressure": "5.3 bar"}, "2027-03-20T12:00:00", "K")
    assert "by what was written as loaded" in stopped(folder)[0]
    enter(folder, LAUNCH, "loaded", {"pressure": "4.5 bar"}, "2027-03-20T12:05:00", "K")
    assert stopped(folder) == []


def test_a_reading_that_was_taken_back_stops_nobody(folder):
    said(folder, value="6 bar", entry="wrong")
    assert stopped(folder)
    enter(folder, LAUNCH, "withdraw", {"which": "wrong"}, "2027-03-20T12:05:00")
    assert stopped(folder) == []


def test_a_launch_of_another_bottle_or_with_nothing_allowed_on_record_stops_nobody(folder):
    flight = launch_of(folder / FOLDER, LAUNCH)
    other = {"entry": "f2", "day": "2027-03-20", "rocket": "Wren", "vessel": "B08",
             "prediction": {"made": "2027-03-20T10:00:00", "allowed": "2 bar"}, "loaded": {"pressure": "4 bar"}}
    assert held_too_much(write_launch(folder / FOLDER, other))
    assert held_too_much(flight.model_copy(update={"prediction": None})) == ""
    assert stopped(folder) == []


def test_a_spoiled_file_that_names_the_bottle_stops_it_and_another_does_not(folder):
    flights = folder / FOLDER / "flights"
    (flights / "2027-03-20-09-x.toml").write_text('schema = 1\nvessel = "B08"\n', encoding="utf-8")
    assert bw.read(folder / "rocket.toml").verdict().allowed.gauge_Pa
    (flights / "2027-03-20-09-y.toml").write_text('schema = 1\nvessel = "B07"\n', encoding="utf-8")
    assert bw.read(folder / "rocket.toml").verdict().allowed.gauge_Pa is None


def test_a_launch_that_can_not_even_be_opened_stops_the_bottle_in_words(folder):
    (folder / FOLDER / "flights" / "2027-03-20-09-x.toml").mkdir()
    project = bw.read(folder / "rocket.toml")
    assert project.verdict().allowed.gauge_Pa is None
    (found,) = [one for one in project.verdict().at(Level.STOP) if one.code == "vessel-unknown"]
    assert "a launch's file can't be read" in found.found
    assert "2027-03-20-09-x.toml" in found.found


def test_the_day_of_that_launch_stops_as_for_a_reading_of_the_gauge_and_only_once(folder):
    day = LaunchDay(folder)
    book = day._opened("2027-03-20")
    assert book.prepare(plan(), "plan", "2027-03-20T09:00:00.000", "M. Roe") is None
    said(folder, value="5.2 bar ± 0.1 bar")
    kept = day._opened("2027-03-20")
    assert kept.day.stop.startswith("overshoot: the bottle held 5.20 bar ± 0.10 bar at the release")
    said(folder, value="50 m", what="height")
    assert sum(one.get("what") == "stop" for one in day._opened("2027-03-20").entries) == 1
    assert journal_file(folder / FOLDER, "2027-03-20").is_file()


@pytest.mark.parametrize("at", [None, "2027-03-20T11:30:00", "2027-03-19T18:00:00"])
def test_a_launch_that_is_written_down_afterwards_with_too_much_stops_bottle_and_running_day(folder, monkeypatch, at):
    noon = datetime(2027, 3, 20, 12, 0, 0)
    monkeypatch.setattr("bottlewright.project.logbook.now", lambda: noon)
    monkeypatch.setattr("bottlewright.proof.judged_day.today", noon.date)
    day = LaunchDay(folder, lambda: noon)
    assert day._opened("2027-03-20").prepare(plan(), "plan", "2027-03-20T09:00:00.000", "M. Roe") is None
    project = bw.read(folder / "rocket.toml")
    Logbook(folder).enter_flight(project, {"at": at, "loaded": {"pressure": "4.7 bar"}}, {})
    assert day._opened("2027-03-20").day.stop == ""
    Logbook(folder).enter_flight(project, {"at": at, "loaded": {"pressure": "6 bar"}}, {})
    assert "over the 4.74 bar that was allowed on the gauge" in day._opened("2027-03-20").day.stop
    assert stopped(folder)


def test_what_was_pumped_since_takes_nothing_off_what_was_allowed_then(folder, monkeypatch):
    monkeypatch.setattr("bottlewright.project.logbook.now", lambda: datetime(2027, 3, 20, 18, 0, 0))
    monkeypatch.setattr("bottlewright.proof.judged_day.today", lambda: datetime(2027, 3, 20).date())
    book = Logbook(folder)
    for hour in range(11, 17):
        book.enter("B07", "pumped", {"peak": "4.7 bar", "ended": "launched", "at": f"2027-03-20T{hour}:00:00"})
    now = bw.read(folder / "rocket.toml").verdict().allowed.gauge_Pa
    assert now < 4.65e5
    for hour in range(11, 17):
        project = bw.read(folder / "rocket.toml")
        book.enter_flight(project, {"at": f"2027-03-20T{hour}:00:00", "loaded": {"pressure": "4.65 bar"}}, {})
    assert stopped(folder) == []


def test_a_day_on_which_neither_rocket_nor_bottle_flies_is_not_stopped_by_an_older_launch(folder, monkeypatch):
    monkeypatch.setattr("bottlewright.project.logbook.now", lambda: datetime(2027, 3, 20, 12, 0, 0))
    day = LaunchDay(folder)
    others = plan(rocket("Wren", "B08"))
    assert day._opened("2027-03-20").prepare(others, "plan", "2027-03-20T09:00:00.000", "M. Roe") is None
    over = {"at": "2027-03-19T18:00:00", "loaded": {"pressure": "6 bar"}}
    Logbook(folder).enter_flight(bw.read(folder / "rocket.toml"), over, {})
    assert stopped(folder)
    assert day._opened("2027-03-20").day.stop == ""


@pytest.mark.parametrize("what", sorted(MEASURES.keys() - {"bearing"}))
def test_a_measurement_below_nothing_is_refused_on_page_and_command_alike(folder, what):
    unit = {Dimension.LENGTH: "m", Dimension.TIME: "s", Dimension.MASS: "g", Dimension.SPEED: "m/s",
            Dimension.PRESSURE: "bar"}[MEASURES[what]]  # fmt: skip
    with pytest.raises(FieldsError, match="can't be less than nothing"):
        said(folder, what=what, value=f"-5 {unit}")
    with pytest.raises(InputError, match=f"{what} is -5 {unit}, and can't be less than nothing"):
        Logbook(folder).measure(LAUNCH, {what: f"-5 {unit}"}, {})
    assert launch_of(folder / FOLDER, LAUNCH).measured == []
