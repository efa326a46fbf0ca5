"""A day that is kept: what is acknowledged is on the disk and in the bottles' files, whatever happens to the laptop."""

from dataclasses import replace
from datetime import date

import pytest
from days import DAY, Kept, entry_of_a_phone, plan, rocket

from bottlewright.errors import InputError
from bottlewright.logbook.book import merge_folders, open_questions, read_book
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_plan import plan_json, plan_of
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.journal import append_line, journal_file
from bottlewright.logbook.phone_journal import PhoneJournal
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import carry_over, counted, new_vessel, read_vessel, retired_because


@pytest.fixture
def folder(tmp_path):
    for name in ("B07", "B08", "B09"):
        new_vessel(tmp_path / FOLDER, VesselFile(id=name, earlier=2))
    return tmp_path / FOLDER


def endings(folder, name="B07"):
    return [(one.ended, one.peak and one.peak.value) for one in read_vessel(folder, name).pressurised]


def test_a_plan_is_written_down_as_it_is():
    assert plan_of(plan_json(plan())) == plan()


def test_a_launch_is_one_cycle_in_the_bottles_file_from_the_first_stroke_on(folder):
    field = Kept(folder).to("pressurising")
    assert endings(folder) == [("begun", None)]
    field.to("down")
    assert endings(folder) == [("begun", None), ("launched", pytest.approx(4.5e5))]
    assert counted(read_vessel(folder, "B07")) == 3
    assert open_questions(read_book(folder)) == []


def test_a_misfire_ends_as_vented_although_the_release_was_pulled(folder):
    field = Kept(folder).to("launched")
    field.step("Curlew", "misfire")
    field.time += 61.0
    field.to("approach allowed")
    assert endings(folder)[-1][0] == "vented"
    assert open_questions(read_book(folder)) == []


@pytest.mark.parametrize("state", ["pressurising", "holding", "ready", "launched", "stop", "venting", "misfire wait"])
def test_after_a_crash_the_day_and_the_bottles_stand_where_they_stood(folder, state):
    before = Kept(folder).to(state)
    path = folder / "vessels" / "B07.toml"
    with journal_file(folder, DAY).open("ab") as file:
        file.write(b'{"entry": "torn", "what"')  # it crashed in the middle of a line
    path.write_text('schema = 1\nid = "B07"\nearlier = 2\n', encoding="utf-8")  # and before the bottle's file followed
    again = DayBook(folder, DAY)
    assert again.day.rockets == before.day.rockets
    assert again.day.cycles == before.day.cycles
    assert len(again.torn) == 1
    assert counted(read_vessel(folder, "B07")) == 3


def test_a_leak_retires_the_bottle_at_once_and_for_good(folder):
    field = Kept(folder).to("holding")
    field.step("Curlew", "leak")
    assert retired_because(read_vessel(folder, "B07")) == "it leaked"
    field.to("approach allowed")
    assert endings(folder)[-1][0] == "leak"


def test_what_ends_a_bottles_test_or_life_stands_in_its_file(folder):
    field = Kept(folder).to("launched")
    field.step("Curlew", "down", landing="hard")
    assert [one.at[:10] for one in read_vessel(folder, "B07").hard_landing] == [DAY]
    field.say("inspection", "charge", vessel="B08", adult="M. Roe", fit=False)
    assert retired_because(read_vessel(folder, "B08")) == f"M. Roe found it unfit on {DAY}"
    field.to("field open")
    field.step("Curlew", "retire", why="a dent")
    assert retired_because(read_vessel(folder, "B07")) == "a dent"


@pytest.mark.parametrize("state", ["pressurising", "holding", "ready"])
def test_what_arises_with_pressure_on_stops_the_day_by_itself(folder, state):
    field = Kept(folder).to(state)
    assert field.book.watch("w1", field.at()) == []
    field.say("thunder")
    (found,) = field.book.watch("w2", field.at())
    assert "thunder" in found.why
    assert field.book.day.rockets["Curlew"].state == "stop"
    assert "thunder" in DayBook(folder, DAY).day.stop
    assert field.book.watch("w3", field.at()) == []  # it is being vented: nothing more for a minute
    field.time += 61.0
    assert "let off now" in field.book.watch("w4", field.at())[0].why


def test_what_is_refused_is_not_written_down(folder):
    field = Kept(folder)
    before = journal_file(folder, DAY).read_bytes()
    assert field.step("Curlew", "seat", "pump") is not None
    assert journal_file(folder, DAY).read_bytes() == before


def test_an_entry_that_is_sent_again_does_nothing(folder):
    field = Kept(folder).to("inspected")
    entry = field.book.entries[-1]
    before = journal_file(folder, DAY).read_bytes()
    assert field.book.say(entry) is None
    assert field.book.say({**entry, "event": "load"}) is not None, "another entry under its name"
    assert journal_file(folder, DAY).read_bytes() == before


def test_what_comes_late_takes_its_place_when_it_comes(folder):
    field = Kept(folder).to("launched")
    late = {"entry": "late", "at": "2027-03-20T10:00:01", "what": "stop", "by": "K", "offline": True}
    assert field.book.say(late, received=field.at()) is None
    assert field.book.say(late, received="2027-03-20T12:00:00") is None  # sent once more
    assert field.book.day.rockets["Curlew"].state == "launched"  # it flies, and a stop means heads up
    assert field.book.day.stop
    pumped = {"entry": "alone", "at": "2027-03-20T10:00:02", "what": "step", "event": "pump", "rocket": "Wren",
              "vessel": "B08", "by": "K", "offline": True}
    assert "not connected" in field.book.say(pumped, received=field.at()).why
    assert counted(read_vessel(folder, "B08")) == 3  # it was under pressure all the same
    assert field.book.say({**pumped, "entry": "other"}) is not None, "nobody says when it came"


def test_two_programs_may_keep_one_day(folder):
    field = Kept(folder)
    other = DayBook(folder, DAY)
    field.to("inspected")
    assert other.say({"entry": "x1", "at": field.at(), "what": "thunder", "by": "K"}) is None
    assert other.day.rockets["Curlew"].state == "inspected"
    field.book.look()
    assert field.book.day.thunder is not None


def test_a_new_plan_counts_no_cycle_twice(folder):
    field = Kept(folder).to("field open")
    field.step("Curlew", "back")
    fresh = plan(replace(rocket("Curlew", "B07"), cycles=3), rocket("Wren", "B08"))
    assert field.book.prepare(fresh, "p2", field.at(), "M. Roe") is None
    assert field.book.day.cycles_today("B07") == 0
    field.to("pressurising", "Wren")
    assert "may be under pressure" in field.book.prepare(fresh, "p3", field.at(), "M. Roe").why


def test_a_day_that_two_laptops_kept_apart_is_one_after_they_meet(folder, tmp_path):
    import shutil

    Kept(folder).to("inspected")
    other = tmp_path / "other"
    shutil.copytree(folder, other)
    one, two = DayBook(folder, DAY), DayBook(other, DAY)
    assert one.say({"entry": "one", "at": "2027-03-20T11:00:00", "what": "thunder", "by": "K"}) is None
    assert two.say({"entry": "two", "at": "2027-03-20T10:59:00", "what": "near miss", "by": "M"}) is None
    merge_folders(folder, other)
    merge_folders(other, folder)
    assert DayBook(folder, DAY).day == DayBook(other, DAY).day
    assert DayBook(folder, DAY).day.near_miss


def test_what_can_not_be_written_is_not_acknowledged(folder, monkeypatch):
    field = Kept(folder)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("bottlewright.logbook.day_book.append_line", full)
    with pytest.raises(InputError, match="No space left"):
        field.step("Curlew", "inspect")
    assert field.book.day.rockets["Curlew"].state == "waiting"


# --- what phones send, in the same file -----------------------------------------------------------------------------


def test_what_phones_sent_in_between_changes_nothing_of_the_day_and_is_no_mistake(folder):
    field = Kept(folder)
    for number, state in enumerate(["seated", "pressurising", "ready", "launched", "down"]):
        append_line(journal_file(folder, DAY), entry_of_a_phone(number, "pressure", gauge_Pa=9e5))
        append_line(journal_file(folder, DAY), entry_of_a_phone(100 + number, "launch", number=1))
        field.to(state)
    again = DayBook(folder, DAY)
    assert again.day == field.book.day
    assert again.day.refused == again.torn == ()
    assert carry_over(folder) == {}
    assert endings(folder) == [("begun", None), ("launched", pytest.approx(4.5e5))]
    assert open_questions(read_book(folder)) == []
    assert len(PhoneJournal(folder.parent).read().entries) == 10
    assert PhoneJournal(folder.parent).read().torn == 0


def test_a_wind_that_a_phone_wrote_down_is_no_reading_of_the_day(folder):
    field = Kept(folder).to("field clear")
    wind = field.book.day.wind
    PhoneJournal(folder.parent, lambda: date.fromisoformat(DAY)).add([entry_of_a_phone(1, "wind", speed_m_s=0.5)])
    field.book.look()
    assert field.book.day.wind == wind
    field.time += 301.0
    field.confirm("charge", "wind")
    assert "read the wind" in field.step("Curlew", "pump").why
    assert field.book.say(entry_of_a_phone(2, "wind", speed_m_s=0.5)), "nor is it one when the day itself is told of it"


def test_an_entry_of_a_phone_and_an_event_of_one_name_are_two(folder):
    append_line(journal_file(folder, DAY), {**entry_of_a_phone(1, "remark", remark="a dog"), "entry": "e0"})
    book = DayBook(folder, DAY)
    assert "this name" in book.prepare(plan(), "e0", f"{DAY}T10:00:00", "M. Roe").why
    assert book.prepare(plan(), "e1", f"{DAY}T10:00:00", "M. Roe") is None
