"""The order of a day's entries rests on the journal's own words, and on no clock."""

import random
from datetime import datetime, timedelta

import pytest
from days import DAY, Kept, gates, plan, why

from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_order import in_order
from bottlewright.logbook.day_plan import plan_json
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.journal import append_line, journal_file, read_journal

STOP = {"what": "stop", "by": "K", "why": "a dog"}


@pytest.fixture
def folder(tmp_path):
    return tmp_path / FOLDER


def moved(at, **by):
    return (datetime.fromisoformat(at) + timedelta(**by)).isoformat(timespec="milliseconds")


def names(entries):
    return [one["entry"] for one in entries]


@pytest.mark.parametrize("back", [{"hours": 1}, {"days": 3}, {"days": 9000}])
def test_a_stop_on_a_clock_that_was_put_back_stops_what_was_pumped_before_it(folder, back):
    field = Kept(folder).to("holding")
    field.book.say({"entry": "halt", "at": moved(field.at(), **{key: -far for key, far in back.items()}), **STOP})
    assert field.book.day.rockets["Curlew"].state == "stop"
    again = DayBook(folder, DAY)
    assert again.day == field.book.day
    assert names(again.entries)[-1] == "halt"


@pytest.mark.parametrize("jump", [3, 4000, -4000])
def test_entries_keep_the_order_in_which_they_were_said_when_the_clock_jumps_and_the_program_begins_anew(folder, jump):
    field = Kept(folder).to("seated")
    field.time = 43_200.0
    for number in range(3):
        far = moved(field.at(), days=jump, seconds=number)
        assert field.book.say({"entry": f"far{number}", "at": far, "what": "note"}) is None
    for number in range(3):  # each time another program, by the right clock
        book = DayBook(folder, DAY)
        assert book.say({"entry": f"near{number}", "at": moved(field.at(), minutes=number), "what": "note"}) is None
    order = [f"far{number}" for number in range(3)] + [f"near{number}" for number in range(3)]
    assert names(DayBook(folder, DAY).entries)[-6:] == order


def test_a_line_that_lies_elsewhere_in_the_file_keeps_its_place_in_the_day(folder):
    field = Kept(folder).to("launched")
    path = journal_file(folder, DAY)
    lines = path.read_bytes().splitlines(keepends=True)
    random.Random(7).shuffle(lines)
    path.write_bytes(b"".join(lines))
    again = DayBook(folder, DAY)
    assert names(again.entries) == names(field.book.entries)
    assert again.day == field.book.day


def test_a_journal_of_an_earlier_version_is_read_in_the_order_of_its_times():
    """It does not say what an entry was written behind; of one moment the number decides, and none is the first."""
    old = [{"entry": "c", "at": "2027-03-20T10:00:02"}, {"entry": "b", "at": "2027-03-20T10:00:01", "n": 9},
           {"entry": "a", "at": "2027-03-20T10:00:01"},
           {"entry": "d", "at": "2027-03-20T10:00:03", "n": 1}]  # fmt: skip
    assert names(in_order(old)) == ["a", "b", "c", "d"]


def test_what_is_written_today_comes_behind_all_that_an_earlier_version_wrote(folder):
    for number, at in enumerate(("2027-03-20T10:00:00", "2027-03-24T10:00:00")):
        old = {"entry": f"old{number}", "at": at, "n": number + 1, "what": "note"}
        append_line(journal_file(folder, DAY), old)
    DayBook(folder, DAY).say({"entry": "new", "at": "2027-03-20T10:00:05", "what": "note"})
    assert names(DayBook(folder, DAY).entries) == ["old0", "old1", "new"]


@pytest.mark.parametrize("torn", [{"after": "nobody"}, {"after": 7}, {"n": "x"}, {"n": 10**30}, {"at": None},
                                  {"entry": ["x"]}, {"after": "odd"}])  # fmt: skip
def test_whatever_a_line_says_of_its_place_it_has_one(folder, torn):
    Kept(folder).to("pressurising")
    append_line(journal_file(folder, DAY), {"entry": "odd", "at": "2027-03-20T10:00:09", "what": "note", **torn})
    book = DayBook(folder, DAY)
    assert book.say({"entry": "halt", "at": "2027-03-20T10:30:00", **STOP}) is None
    assert book.day.rockets["Curlew"].state == "stop"
    assert DayBook(folder, DAY).day.rockets == book.day.rockets


# --- a day that is prepared anew --------------------------------------------------------------------------------------


def anew(field, name="again", **more):
    entry = {"entry": name, "at": field.at(), "by": "M. Roe", "what": "prepared", "plan": plan_json(plan()), **more}
    assert field.book.say(entry) is None
    field.day = field.book.day


def test_go_on_and_the_wind_are_asked_again_once_a_day_is_prepared_anew(folder):
    field = Kept(folder).to("field clear")
    field.wind()
    field.confirm("charge", "wind")
    anew(field)
    assert "not confirmed" in why(field.step("Curlew", "pump"))
    field.confirm("charge")
    assert why(field.step("Curlew", "pump")) == (
        "not confirmed: The wind is under the rocket's limit, and so are its gusts.")  # fmt: skip
    field.confirm("wind")
    assert field.step("Curlew", "pump") is None


def test_a_field_that_was_clear_before_a_day_is_prepared_anew_is_looked_over_again(folder):
    field = Kept(folder).to("seated")
    field.confirm("field", "sky", "lines")
    anew(field)
    assert "not confirmed" in why(field.step("Curlew", "clear"))


def test_a_journal_of_an_earlier_version_stands_where_it_stood_although_nobody_asked_again_then(folder):
    """A rocket under pressure must not stand elsewhere after an update of the program."""
    field = Kept(folder).to("field clear")
    field.wind()
    field.confirm("charge", "wind")
    anew(field)
    old = [{key: value for key, value in one.items() if key not in ("after", "of")} for one in field.book.entries]
    pumped = {"entry": "old-pump", "at": field.at(), "n": 99, "what": "step", "rocket": "Curlew", "event": "pump",
              "role": "pump", "by": "K", "device": "x"}  # fmt: skip
    assert day_of(NO_PLAN, [*old, pumped]).rockets["Curlew"].state == "pressurising"
    assert "not confirmed" in why(field.step("Curlew", "pump"))


# --- a stop anywhere is a stop everywhere -----------------------------------------------------------------------------


@pytest.mark.parametrize(("state", "stops"), [("field clear", 0), ("pressurising", 1), ("holding", 1), ("ready", 1),
                                              ("stop", 0), ("launched", 0)])  # fmt: skip
def test_a_design_that_is_another_stops_the_day_while_its_rocket_is_led_on_under_pressure(folder, state, stops):
    field = Kept(folder).to(state)
    found = field.book.watch("w1", field.at(), {"Curlew": ["water: 600 mL now"], "Wren": ["another hole"]})
    assert len(found) == stops
    assert field.book.day.rockets["Curlew"].state == ("stop" if stops else state)
    assert ("its design is not what the day was prepared with: water: 600 mL now" in field.book.day.stop) == bool(stops)


@pytest.mark.parametrize("event", ["misfire", "leak"])
def test_a_misfire_or_a_leak_of_one_rocket_stops_the_other_that_is_under_pressure_too(folder, event):
    field = Kept(folder).to("seated", "Dabchick").to("field clear", "Curlew")
    field.confirm("field", "sky", "lines")
    field.step("Dabchick", "clear")
    assert field._confirmed("Dabchick", "pump", "charge", "wind") is None
    field.to("ready", "Curlew")
    assert field.step("Curlew", event) is None
    assert [field.state(name) for name in ("Curlew", "Dabchick")] == ["stop", "stop"]
    assert field.step("Dabchick", "vent") is None, "it waits for no misfire of another"
    own = field.step("Curlew", "vent")
    assert gates(own) == {"misfire wait"} if event == "misfire" else own is None
    assert "until the pressure is off" in why(field.say("lift stop", "charge"))
    assert read_journal(journal_file(folder, DAY)).torn == ()
