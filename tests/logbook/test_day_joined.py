"""Two laptops kept one day apart: when their journals meet, what one barred and the other did is the cautious way."""

import shutil

import pytest
from days import DAY, Kept, gates, plan, rocket, why

from bottlewright.logbook.book import merge_folders
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_plan import plan_json
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.day_told import days_told
from bottlewright.logbook.files import FOLDER


class Laptop(Kept):
    """A laptop of two, with names of its own for what it writes."""

    def __init__(self, folder, mark, time):
        super().__init__(folder)
        self.mark, self.time = mark, time
        self.names = (f"{mark}{number}" for number in range(10_000))


@pytest.fixture
def apart(tmp_path):
    """Return a function that leads Curlew to a state on one laptop, and gives it and a copy on another laptop."""

    def copied(state, name="Curlew"):
        one = Kept(tmp_path / "one" / FOLDER).to(state, name)
        shutil.copytree(tmp_path / "one", tmp_path / "two")
        two = Laptop(tmp_path / "two" / FOLDER, "two-", one.time)
        return one, two

    return copied


def meet(one, two):
    """Join both, and return the day, which is the same on either."""
    merge_folders(one.book.folder, two.book.folder)
    merge_folders(two.book.folder, one.book.folder)
    for laptop in (one, two):
        laptop.book.look()
        laptop.day = laptop.book.day
        laptop.time = max(one.time, two.time)
    assert one.book.day == two.book.day == DayBook(one.book.folder, DAY).day
    return one.book.day


def told(laptop):
    return "\n".join(days_told(laptop.book.folder)[-1].lines)


EARLIER = {
    "stop": lambda laptop: laptop.say("stop", "record", why="a dog"),
    "thunder": lambda laptop: laptop.say("thunder"),
    "near miss": lambda laptop: laptop.say("near miss", note="it came down beside a child"),
    "inside": lambda laptop: laptop.say("inside", count=1),
    "lower wind": lambda laptop: laptop.book.lower_wind("Curlew", (1.0, ()), "lower", laptop.at()),
    "a stronger wind": lambda laptop: laptop.wind("9 m/s", "9 m/s"),
}


@pytest.mark.parametrize("what", EARLIER)
@pytest.mark.parametrize("state", ["pressurising", "launched"])
def test_a_rocket_that_was_pumped_against_an_earlier_word_of_another_laptop_stands_at_stop_and_not_without_pressure(
    apart, what, state
):
    one, two = apart("field clear")
    if what != "a stronger wind":
        EARLIER[what](two)
        one.time += 1.0
    else:  # read after the wind of the one, before its pumping
        one.wind()
        one.time += 1.0
        two.time += 1.5
        EARLIER[what](two)
        one.time += 1.0
        one.reads_the_wind = False
    one.to(state)
    day = meet(one, two)
    assert day.rockets["Curlew"].state == "stop"
    assert day.stop
    assert [one.vessel for one in day.cycles] == ["B07"]
    assert "until the pressure is off" in why(one.say("lift stop", "charge"))
    one.to("misfire wait")
    assert one.state() == "misfire wait", "it is let off as after any stop"
    assert "STOP" in told(one)


@pytest.mark.parametrize(("start", "state"), [("inspected", "seated"), ("loaded", "pressurising"),
                                              ("waiting", "ready")])  # fmt: skip
def test_what_was_filled_seated_or_pumped_under_a_stop_of_another_laptop_is_not_shown_as_it_stood_before(
    apart, start, state
):
    one, two = apart(start)
    two.say("stop", "record", why="a dog")
    one.time += 1.0
    one.to(state)
    day = meet(one, two)
    assert day.rockets["Curlew"].state == ("stop" if day_table().states[state].pressure == "may be" else state)
    assert day.stop == "a dog"


def test_a_rocket_that_was_fetched_and_filled_again_is_filled_although_another_laptop_had_closed_the_field(apart):
    """A day that was walked at random found it: its opening is refused, and all that came after it."""
    one, two = apart("down")
    two.to("pressurising", "Wren")
    one.time = two.time + 5.0
    one.to("waiting").to("seated")
    day = meet(one, two)
    assert {name: now.state for name, now in day.rockets.items()}["Curlew"] == "seated"
    assert day.rockets["Wren"].state == "stop"
    assert day.stop


def test_a_stop_of_another_laptop_stops_what_was_pumped_before_it(apart):
    one, two = apart("pressurising")
    two.say("stop", "record", why="a dog")
    one.time += 1.0
    one.to("ready")
    assert meet(one, two).rockets["Curlew"].state == "stop"
    assert "STOP: a dog" in told(one)


def test_whoever_ends_a_stop_ends_none_that_their_laptop_did_not_know(apart):
    one, two = apart("inspected")
    one.say("stop", "record", why="a dog")
    two.time += 1.0
    two.say("stop", "record", why="a child past the line")
    one.time += 5.0
    assert one.say("lift stop", "charge") is None
    assert meet(one, two).stop == "a child past the line"
    assert "stop" in gates(one.step("Curlew", "load"))
    assert one.say("lift stop", "charge") is None
    assert one.step("Curlew", "load") is None
    assert meet(one, two).stop == ""


def test_whoever_signs_a_near_miss_signs_none_that_their_laptop_did_not_know(apart):
    one, two = apart("inspected")
    one.say("near miss", note="beside a child")
    two.time += 1.0
    two.say("near miss", note="beside a cow")
    one.time += 5.0
    assert one.say("near miss signed", "charge") is None
    assert meet(one, two).near_miss == "beside a cow"


def test_a_rocket_that_flew_by_the_plan_of_another_laptop_stops_the_day_where_that_plan_counts_for_nothing(apart):
    one, two = apart("loaded", "Dabchick")
    one.to("pressurising", "Dabchick")
    two.time += 60.0
    assert two.step("Dabchick", "stand down") is None
    entry = {"entry": "two-plan", "at": two.at(), "by": "M. Roe", "what": "prepared",
             "plan": plan_json(plan(rocket("Redshank", "B11")))}  # fmt: skip
    assert two.book.say(entry) is None
    two.day = two.book.day
    two.to("pressurising", "Redshank")
    day = meet(one, two)
    assert {name: now.state for name, now in day.rockets.items()} == {
        "Curlew": "waiting", "Wren": "waiting", "Dabchick": "stop"}  # fmt: skip
    assert any("“Pumping begins”, Redshank, was said" in why for why in day.stops.values())
    assert sorted(one.vessel for one in day.cycles) == ["B09", "B11"], "each time under pressure counts"


def test_two_laptops_one_after_the_other_make_one_day_as_one_laptop_does(apart):
    """As where the first one's battery is empty, and the other goes on with what it had."""
    one, two = apart("loaded")
    two.time += 600.0
    two.to("launched").to("waiting")
    assert meet(one, two).refused == ()
    one.to("ready", "Wren")
    day = meet(one, two)
    assert (day.rockets["Wren"].state, day.stop, day.refused) == ("ready", "", ())


def test_what_is_written_after_two_journals_met_comes_behind_both_whatever_the_clock_says(apart):
    one, two = apart("field clear")
    one.time += 7 * 3600.0  # its clock is hours ahead
    one.to("ready")
    two.say("note", note="here we wait")
    meet(one, two)
    two.time = one.time - 7 * 3600.0
    two.say("stop", "record", why="a dog")
    assert meet(one, two).rockets["Curlew"].state == "stop"
