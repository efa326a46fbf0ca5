"""Each launch of a day has its file: what is foretold before it, when it left, with whom, and how it came down."""

import pytest
from conftest_web import CURLEW
from launch_folder import NOON, Said, kept_day, plan, rocket

import bottlewright as bw
from bottlewright.logbook.day_plan import Turn
from bottlewright.logbook.launches import add_to_launch, all_launches, launch_name
from bottlewright.project.after_launch import after_launch, launches_of
from bottlewright.project.day_flights import catch_up, follow


@pytest.fixture
def said(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    the_plan = plan(rocket("Curlew", "B07", file="rocket.toml"), turns=(Turn("Curlew", 2, "Herons"),))
    day = kept_day(tmp_path, the_plan)
    project = bw.read(tmp_path / "rocket.toml")
    many, verdict = project.fly_many(8), project.verdict()
    said = Said(day)
    said.look = lambda _: (project, verdict, many)
    said.follows = lambda entry: follow(tmp_path, day.book, entry, said.look)
    day.taken = said.follows
    return said


def files(said):
    return all_launches(said.day.folder / "logbook")


def test_what_is_foretold_is_kept_when_the_rocket_is_loaded_and_before_it_leaves(said):
    said.to("loaded")
    (launch,) = files(said)
    assert (launch.rocket, launch.number, launch.team) == ("Curlew", 1, "Herons")
    assert launch.prediction.made == "2027-04-01T12:00:02"
    assert launch.at is None
    assert launch.design == (CURLEW / "rocket.toml").read_text(encoding="utf-8")
    said.to("launched")
    assert files(said)[0].at > files(said)[0].prediction.made


def test_a_launchs_file_knows_crew_pressure_wind_and_its_time_under_pressure(said):
    said.to("down")
    (launch,) = files(said)
    pumped = next(one for one in said.day.book.entries if one.get("event") == "pump")
    assert launch.pressurised == pumped["entry"]
    assert (launch.crew["pump"], launch.crew["charge"]) == ("K", "MR")
    read = (launch.loaded.pressure, launch.conditions.wind, launch.conditions.gust)
    assert [one.text for one in read] == ["4.5 bar", "2 m/s", "3 m/s"]


def test_a_gauge_that_fell_before_the_release_is_never_kept_as_what_was_loaded(said):
    said.to("ready")
    said.read("0 bar")
    said.step("vent")
    said.read("0 bar")
    said.step("zero")
    said.clock.on(121)
    said.say("second sign", "watch", rocket="Curlew", sign="it gives")
    said.confirm("charge")
    said.step("approach")
    (launch,) = files(said)
    assert (launch.at, launch.loaded.pressure if launch.loaded else None, launch.counts) == (None, None, False)
    assert "the gauge shows 0.00 bar, and 4.50 bar were pumped" in launch.seen
    assert said.day.day.cycles[0].peak_Pa == pytest.approx(4.5e5)


def test_where_it_came_down_is_in_its_file(said):
    said.to("launched")
    said.say("step", "watch", rocket="Curlew", event="down", landing="tree")
    assert files(said)[0].landing == "tree"


@pytest.mark.parametrize("state", ["loaded", "seated"])
def test_what_stood_down_did_not_leave_and_filled_again_it_is_a_launch_of_its_own(said, state):
    said.to(state)
    said.step("stand down")
    (launch,) = files(said)
    assert (launch.at, launch.counts, launch.seen) == (None, False, "it did not leave: it stood down")
    said.to("launched")
    assert {one.at is None: one.counts for one in files(said)} == {True: False, False: True}


def misfired(said):
    """Seat a rocket that does not leave, wait until it has no pressure, and go there."""
    said.to("ready")
    said.step("misfire")
    said.clock.on(61)
    said.to("misfire wait")
    said.clock.on(121)
    said.say("second sign", "watch", rocket="Curlew", sign="it is slack")
    said.confirm("charge")
    said.step("approach")


def test_what_was_vented_did_not_leave_and_counts_in_no_contest(said):
    misfired(said)
    (launch,) = files(said)
    assert launch.at is None
    assert launch.counts is False
    assert "misfire" in launch.seen


def test_each_launch_of_a_day_has_a_file_of_its_own(said):
    said.to("field open")
    said.to("waiting").to("launched")
    assert [one.number for one in files(said)] == [2, 1]
    assert all(one.at for one in files(said))


def shown_number(said):
    launch = said.day.screen("", "").rocket.launch
    return launch.number, launch.of


def test_a_launch_keeps_its_number_from_the_loading_until_it_is_back_and_a_misfire_is_no_launch(said):
    misfired(said)
    said.say("lift stop", "charge")
    said.step("inspect")
    for state in ("inspected", "loaded", "ready", "launched", "down", "field open"):
        assert shown_number(said.to(state)) == (1, 2), state
    left, stayed_there = (after_launch(said.day.folder, launch_name(one)) for one in files(said))
    assert (left.number, stayed_there.number) == (1, None)
    assert [(one.name, one.called) for one in launches_of(said.day.folder)] == [
        (f"{said.day.book.name}-02", f"Curlew, launch 1 of {said.day.book.name}")]
    assert f"launch 1 of {said.day.book.name}" in left.card()
    assert shown_number(said.to("waiting")) == (2, 2)
    assert shown_number(said.to("launched")) == (2, 2)
    assert after_launch(said.day.folder, launch_name(files(said)[0])).number == 2


@pytest.fixture
def crashed(said):
    """A laptop that goes down after each line of the journal, before the launch's file is written."""
    said.day.taken = lambda _: None
    return said


def caught_up(said):
    return catch_up(said.day.folder, said.day.book, said.look, said.day.now().isoformat(timespec="milliseconds"))


def test_a_rocket_that_was_loaded_when_the_laptop_crashed_is_foretold_while_it_has_not_left(crashed):
    crashed.to("seated")
    assert caught_up(crashed) == [next(one["entry"] for one in crashed.day.book.entries if one.get("event") == "load")]
    (launch,) = files(crashed)
    assert (launch.team, launch.at, launch.prediction.made) == ("Herons", None, crashed.day.now().isoformat())
    assert caught_up(crashed) == []
    crashed.day.taken = crashed.follows
    crashed.to("launched")
    assert files(crashed)[0].at > launch.prediction.made


def test_of_a_rocket_that_left_before_its_file_was_begun_nothing_is_foretold(crashed):
    crashed.to("launched")
    crashed.say("step", "watch", rocket="Curlew", event="down", landing="tree")
    assert len(caught_up(crashed)) == 1
    (launch,) = files(crashed)
    assert launch.prediction is None
    assert (launch.landing, launch.loaded.pressure.text, launch.crew["pull"]) == ("tree", "4.5 bar", "7")
    assert launch.design == (CURLEW / "rocket.toml").read_text(encoding="utf-8")


def test_what_happened_while_the_file_was_not_written_is_caught_up_and_what_was_put_right_stays(said):
    said.to("loaded")
    said.day.taken = lambda _: None
    said.to("launched")
    said.say("step", "watch", rocket="Curlew", event="down", landing="soft")
    (name,) = caught_up(said)
    (launch,) = files(said)
    assert (launch.landing, launch.pressurised is not None, launch.prediction is not None) == ("soft", True, True)
    put_right = {"landing": None, "loaded.pressure": "4.4 bar"}
    add_to_launch(said.day.folder / "logbook", name, {}, put_right, f"{NOON:%FT%T}", "P")
    before = files(said)
    assert caught_up(said) == []
    assert files(said) == before


def test_a_launch_that_was_vented_keeps_why_it_did_not_leave_when_the_day_has_gone_on(crashed):
    crashed.to("ready")
    crashed.step("misfire")
    crashed.clock.on(61)
    crashed.to("misfire wait")
    crashed.clock.on(121)
    crashed.say("second sign", "watch", rocket="Curlew", sign="it is slack")
    crashed.confirm("charge")
    crashed.step("approach")
    crashed.step("inspect")
    assert len(caught_up(crashed)) == 1
    (launch,) = files(crashed)
    assert (launch.at, launch.counts, launch.seen) == (None, False, "it did not leave: misfire")
