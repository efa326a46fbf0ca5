"""What is called out on a phone that nobody hears: taken when it comes, once, and it counts."""

import contextlib
import datetime as dt

import pytest
from days import DAY, Kept, plan
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.errors import InputError
from bottlewright.logbook.calls import CALLS, checked_call, day_of_call, event_of
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.people import THE_LAPTOP, Person
from bottlewright.logbook.phone_journal import PhoneJournal
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.roles import ROLES
from bottlewright.logbook.vessels import counted, new_vessel, read_vessel, retired_because
from bottlewright.project.launch_day import LaunchDay
from bottlewright.project.people import taken_in

CALLED, NOON = f"{DAY}T11:58:00+01:00", dt.datetime(2027, 3, 20, 12, 0)
WATCH = Person("m1", "AB", "watch the field")


@pytest.fixture
def folder(tmp_path):
    for name in ("B07", "B08", "B09"):
        new_vessel(tmp_path / FOLDER, VesselFile(id=name, earlier=2))
    return tmp_path / FOLDER


def call(what, mark=1, **more):
    return {"entry": f"{mark:032x}", "what": what, "at": CALLED, **more}


PUMPED = call("pumped", vessel="B07", rocket="Curlew", peak_Pa=4.5e5, ended="vented")


def sends(folder, *sent, person=WATCH, at=NOON, clock=CALLED):
    day = LaunchDay(folder.parent, lambda: at)
    return taken_in(PhoneJournal(folder.parent), person, list(sent), lambda event: day.heard(event, clock))


def the_day(folder):
    return DayBook(folder, DAY).day


@pytest.mark.parametrize("state", ["seated", "field clear", "pressurising", "holding", "ready"])
def test_a_stop_that_was_called_without_a_connection_stops_when_it_comes(folder, state):
    Kept(folder).to(state)
    kept, refused = sends(folder, call("stop"), at=dt.datetime(2027, 3, 20, 23, 0), clock=f"{DAY}T22:50:00+01:00")
    assert (kept, refused) == ([f"{1:032x}"], {})
    day = the_day(folder)
    assert day.stop == "somebody called stop at 11:58"
    assert day.rockets["Curlew"].state == ("seated" if state == "seated" else "stop")


def test_what_is_sent_again_is_there_once_whenever_it_comes(folder):
    Kept(folder).to("seated")
    sent = [call("stop"), call("thunder", 2), call("near miss", 3, says="a dog under the rope"),
            {**PUMPED, "entry": "a" * 32}]
    before = None
    for minutes in (0, 7, 300):
        kept, refused = sends(folder, *sent, at=NOON + dt.timedelta(minutes=minutes))
        assert set(kept) == {one["entry"] for one in sent}
        assert refused == {}
        before = before or the_day(folder)
        assert the_day(folder) == before
    assert before.near_miss == "a dog under the rope"
    assert before.thunder is not None
    assert counted(read_vessel(folder, "B07")) == 3


@pytest.mark.parametrize("role", sorted(ROLES))
def test_anybody_calls_whatever_their_role(folder, role):
    Kept(folder)
    person = Person("m", "" if role == "in charge" else "CD", role)
    said = [call(what, number) for number, what in enumerate(("stop", "thunder", "near miss", "note"))]
    kept, _ = sends(folder, *said, person=person)
    assert len(kept) == 4
    written = DayBook(folder, DAY).entries[-1]
    assert (written["by"], written["device"]) == (person.name or "a page of the laptop", "m")
    assert written["role"] in {"", *day_table().roles}


def test_a_bottle_that_was_pumped_without_the_laptop_counts_with_its_peak_and_its_end(folder):
    Kept(folder)
    sends(folder, PUMPED, person=Person("m", "K", "pump"))
    (one,) = read_vessel(folder, "B07").pressurised[-1:]
    assert (one.ended, one.peak.value) == ("vented", pytest.approx(4.5e5))
    assert the_day(folder).cycles_today("B07") == 1
    assert the_day(folder).rockets["Curlew"].state == "waiting", "it moves no rocket"
    sends(folder, {**PUMPED, "entry": "b" * 32, "ended": "leak", "vessel": "B08"})
    assert retired_because(read_vessel(folder, "B08")).startswith("it leaked")
    assert the_day(folder).retired["B08"] == "it leaked"


def test_the_bottle_that_the_phone_names_is_the_one_that_counts(folder):
    Kept(folder)
    sends(folder, {**PUMPED, "vessel": "B09"})
    assert counted(read_vessel(folder, "B09")) == 3
    assert counted(read_vessel(folder, "B07")) == 2


def test_before_anybody_prepared_the_day_a_stop_waits_for_it(folder):
    sends(folder, call("stop"))
    book = DayBook(folder, DAY)
    assert book.prepare(plan(), "e0", f"{DAY}T12:05:00", "M. Roe") is None
    assert book.day.stop


@pytest.mark.parametrize(("clock", "called", "day"), [
    (CALLED, CALLED, "2027-03-20"),
    ("2027-03-20T12:00:00+01:00", "2027-03-19T10:00:00+01:00", "2027-03-19"),  # yesterday's stops nobody today
    ("2001-01-01T00:02:00+00:00", "2001-01-01T00:00:00+00:00", "2027-03-20"),  # its clock is wrong, and it stops
    ("2099-01-01T00:02:00+00:00", "2099-01-01T00:00:00+00:00", "2027-03-20"),
    ("2027-03-20T12:00:00+01:00", "2027-03-20T13:00:00+01:00", "2027-03-20"),  # its clock was set in between
    (None, CALLED, "2027-03-20"), ("noon", CALLED, "2027-03-20"),
])  # fmt: skip
def test_a_call_belongs_to_the_day_on_which_it_was_called_however_wrong_the_phones_clock_is(clock, called, day):
    assert day_of_call(called, clock, NOON) == day


@pytest.mark.parametrize("wrong", [
    {"what": "launch"}, {"what": "step"}, {"what": "lift stop"}, {"what": ["stop"]}, {"entry": "../x"}, {"entry": 7},
    {"at": "noon"}, {"at": f"{DAY}T12:00:00"}, {"says": "x" * 501}, {"says": "\x00"}, {"peak_Pa": 1.0},
    {"device": "laptop"}, {"offline": False}, {"by": "M. Roe"},
])  # fmt: skip
def test_what_is_no_call_is_refused_and_hinders_no_stop_beside_it(folder, wrong):
    Kept(folder).to("ready")
    with pytest.raises(InputError):
        checked_call({**call("near miss"), **wrong})
    kept, refused = sends(folder, {**call("near miss"), **wrong}, call("stop", 2))
    assert kept == [f"{2:032x}"]
    assert len(refused) == 1
    assert the_day(folder).rockets["Curlew"].state == "stop"


@pytest.mark.parametrize("wrong", [
    {"vessel": "../B07"}, {"vessel": ""}, {"vessel": 7}, {"ended": "well"}, {"peak_Pa": -1.0}, {"peak_Pa": "4 bar"},
    {"says": 1},
])  # fmt: skip
def test_a_time_under_pressure_says_which_bottle_and_how_it_ended(wrong):
    with pytest.raises(InputError):
        checked_call({**PUMPED, **wrong})


def test_nobody_speaks_as_another_or_takes_a_name_that_another_entry_has(folder):
    Kept(folder)
    sends(folder, call("near miss", says="one"))
    _, refused = sends(folder, call("thunder"))
    assert "another entry has this name" in refused[f"{1:032x}"]
    assert event_of(checked_call(call("stop", who="M")), WATCH, "M")["by"] == "AB"
    assert event_of(checked_call(call("stop")), THE_LAPTOP, "M")["by"] == "M"


@given(st.sampled_from(CALLS), st.dictionaries(st.sampled_from(["says", "vessel", "rocket", "peak_Pa", "ended", "who"]),
                                               st.text(max_size=5) | st.floats() | st.none()))  # fmt: skip
def test_whatever_a_phone_sends_is_a_call_or_refused_in_words(what, more):
    with contextlib.suppress(InputError):
        assert event_of(checked_call({**call(what), **more}), WATCH)["offline"] is True
