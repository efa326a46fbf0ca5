"""Whatever the clock says: a stop is taken while a rocket is filled or under pressure, the order stays, waits end."""

import re
from datetime import timedelta

import pytest
from conftest_web import CURLEW
from launch_folder import NOON, Clock, Said, kept_day, posted, served_day

from bottlewright.errors import InputError
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.files import FOLDER
from bottlewright.project.launch_day import LaunchDay, Speaker

FILLED = ("loaded", "seated", "ready")
WATCH = Speaker("ZZ", "", "phone")


def begun_again(folder, clock):
    """Return the day of a program that was begun again, which gives other names to what is said."""
    said = Said(LaunchDay(folder, clock))
    said.names = (f"anew{number}" for number in range(100))
    return said


def on_disk(folder):
    return DayBook(folder / FOLDER, "2027-04-01")


# --- a stop on another date -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("days", "begun_anew"), [(1, False), (1, True), (-4000, True)])
@pytest.mark.parametrize("state", FILLED)
def test_a_stop_is_taken_and_written_down_on_any_date_while_a_rocket_is_filled(tmp_path, state, days, begun_anew):
    said = Said(kept_day(tmp_path)).to(state)
    said.clock.on(days * 86400)
    day = LaunchDay(tmp_path, said.clock) if begun_anew else said.day
    day.stop({"entry": "halt"}, WATCH)
    assert day.day.stop
    assert on_disk(tmp_path).day.stop
    assert day.day.rockets["Curlew"].state == ("stop" if state not in ("loaded", "seated") else state)
    assert on_disk(tmp_path).day.rockets == day.day.rockets


def test_a_stop_that_a_phone_kept_comes_to_the_day_of_the_filled_rocket_on_another_date(tmp_path):
    said = Said(kept_day(tmp_path)).to("loaded")
    said.clock.on(86400)
    again = LaunchDay(tmp_path, said.clock)
    called = {"entry": "a" * 32, "at": "2027-04-01T12:00:30+02:00", "by": "K", "role": "", "device": "p",
              "offline": True, "what": "stop"}  # fmt: skip
    assert again.heard(called, "2027-04-01T12:00:40+02:00") == ""
    assert on_disk(tmp_path).day.stop


@pytest.mark.parametrize("state", ["loaded", "ready"])
def test_a_rocket_of_an_earlier_date_is_not_hidden_by_a_day_of_a_later_one(tmp_path, state):
    """As a clock makes it that was days behind for a while: the later date has a day already, on which all is over."""
    Said(kept_day(tmp_path))
    clock = Clock()
    clock.on(-3 * 86400)
    said = Said(kept_day(tmp_path, None, clock)).to(state)
    assert said.day.book.name == "2027-03-29"
    again = LaunchDay(tmp_path, lambda: NOON)
    again.stop({"entry": "halt"}, WATCH)
    assert again.book.name == "2027-03-29"
    assert again.day.rockets["Curlew"].state == ("stop" if state == "ready" else "loaded")
    assert again.day.stop


def test_a_filled_rocket_stands_down_before_another_date_has_a_day_of_its_own(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    answers = {"launches.rocket.toml": "2", "role.charge": "MR"}
    said = Said(kept_day(tmp_path)).to("loaded")
    said.clock.on(86400)
    assert said.day.other_day == "2027-04-01"
    with pytest.raises(InputError, match="Curlew stands filled since 2027-04-01: stand it down first"):
        said.day.prepare(answers)
    said.step("stand down")
    assert not said.day.kept, "nothing is filled any more: the day is over"
    said.day.prepare(answers)
    assert said.day.book.name == "2027-04-02"
    assert said.day.other_day == ""


def test_the_page_says_of_which_date_the_day_is_that_goes_on(tmp_path):
    with served_day(tmp_path, None, ("pump",)) as (pages, phones):
        said = Said(pages.office.launch).to("loaded")
        assert "This is still the day of" not in pages.get("/launch").text
        pages.office.day_watch.look()
        said.clock.on(86400)
        pages.office.day_watch.look()
        for device in (pages, phones["pump"][0]):
            page = device.get("/launch").text.replace("\u00a0", " ")
            assert re.search(r"This is still the day of <span class=\"nb\">2027-04-01</span>", page)
        assert posted(pages, "/do/stop", phones["pump"], entry="halt").status_code == 200
        assert "<b>Stop.</b>" in pages.get("/launch").text


# --- order and waits on a clock that jumps ----------------------------------------------------------------------------


@pytest.mark.parametrize("days", [3, 4000])
@pytest.mark.parametrize("event", ["stop", "vent"])
def test_what_is_said_after_a_jump_ahead_and_a_new_start_comes_behind_all_that_was_said(tmp_path, days, event):
    """A jump of days, the rocket led on, the program begun anew by the right clock."""
    said = Said(kept_day(tmp_path)).to("field clear")
    said.clock.on(days * 86400)
    said.to("ready")
    said.clock.on(-days * 86400 + 60)
    again = begun_again(tmp_path, said.clock)
    again.day.stop({"entry": "halt"}, WATCH)
    assert again.state() == "stop"
    if event == "vent":
        again.step("vent")
    assert on_disk(tmp_path).day.rockets == again.day.day.rockets
    assert on_disk(tmp_path).day.refused == ()
    assert LaunchDay(tmp_path, said.clock).day.rockets["Curlew"].state == again.state()


@pytest.mark.parametrize("days", [3, 4000])
@pytest.mark.parametrize("put_right", [False, True], ids=["goes on ahead", "put right"])
def test_no_wait_is_endless_after_a_jump_and_none_is_over_by_it(tmp_path, days, put_right):
    said = Said(kept_day(tmp_path)).to("ready")
    said.step("misfire")
    said.clock.on(days * 86400)
    with pytest.raises(InputError, match="60 s have not passed"):  # nobody knows how long it really was
        said.step("vent")
    if put_right:
        said.clock.on(-days * 86400)
        said = begun_again(tmp_path, said.clock)
        with pytest.raises(InputError, match="60 s have not passed"):
            said.step("vent")
    said.clock.on(61)
    said.step("vent")
    said.read("0 bar")
    said.step("zero")
    said.clock.on(119)
    said.say("second sign", "watch", rocket="Curlew", sign="it gives")
    said.confirm("charge")
    with pytest.raises(InputError, match="zero for two minutes"):
        said.step("approach")
    said.clock.on(2)
    said.step("approach")
    assert said.state() == "approach allowed"


def test_after_a_jump_of_the_clock_the_wind_is_read_again_and_what_was_confirmed_is_asked_again(tmp_path):
    said = Said(kept_day(tmp_path)).to("field clear")
    said.say("wind", mean="2 m/s", gust="3 m/s")
    said.confirm("charge", "wind")
    said.clock.on(3 * 86400)
    said.day.watch({})
    assert said.day.day.wind is None
    assert said.day.day.confirms == {}
    assert [one["what"] for one in said.day.book.entries][-1] == "clock"
    said.day.watch({})
    assert sum(one["what"] == "clock" for one in said.day.book.entries) == 1, "once for a jump"


def test_thunder_before_a_jump_is_waited_for_anew(tmp_path):
    said = Said(kept_day(tmp_path)).to("loaded")
    said.say("thunder")
    said.clock.on(3 * 86400)
    with pytest.raises(InputError, match="thunder"):
        said.step("seat")
    said.clock.on(day_table().limits["thunder_wait"].seconds + 1)
    said.step("seat")
    assert said.state() == "seated"


def test_a_rocket_under_pressure_is_stopped_at_a_jump_for_nobody_knows_how_long_it_was(tmp_path):
    said = Said(kept_day(tmp_path)).to("holding")
    said.clock.on(-3 * 86400)
    again = LaunchDay(tmp_path, lambda: NOON + timedelta(days=5))
    again.watch({})
    assert again.day.rockets["Curlew"].state == "stop"
    assert again.day.cycles[0].vessel == "B07"
