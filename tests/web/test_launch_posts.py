"""What devices post while a day is kept: a stop from anybody, an entry by its own role, on the disk or refused."""

import json
from datetime import timedelta

import pytest
from launch_folder import NOON, Said, kept_day, plan, posted, rocket, served_day

from bottlewright.logbook.day_book import DayBook
from bottlewright.project.launch_day import LaunchDay, Speaker, day_roles


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    with served_day(tmp_path_factory.mktemp("day"), roles=(*day_roles(), "")) as both:
        yield both


@pytest.fixture
def at(served, tmp_path):
    pages, phones = served
    pages.office.launch = kept_day(tmp_path)
    return pages, phones, Said(pages.office.launch)


def on_disk(said):
    return DayBook(said.day.folder / "logbook", "2027-04-01")


@pytest.mark.parametrize("who", [*day_roles(), "", None])
def test_10_stop_is_taken_from_any_joined_device_whatever_its_role_and_from_the_laptop(at, who):
    pages, phones, said = at
    said.to("ready")
    answer = posted(pages, "/do/stop", phones[who] if who is not None else None, entry="s1")
    assert (answer.status_code, answer.text) == (200, "")
    day = on_disk(said).day
    assert day.stop
    assert day.rockets["Curlew"].state == "stop"


def test_10_stop_asks_nothing_and_may_come_twice(at):
    pages, phones, said = at
    said.to("holding")
    for _ in range(2):
        assert posted(pages, "/do/stop", phones[""], entry="s1", at="2027-04-01T11:00:00+02:00").status_code == 200
    assert sum(one["what"] == "stop" for one in on_disk(said).entries) == 1


def test_10_where_a_stop_can_not_be_taken_people_are_told_to_shout(served, tmp_path):
    pages, _ = served
    pages.office.launch = kept_day(tmp_path)
    (tmp_path / "logbook" / "days").rename(tmp_path / "logbook" / "elsewhere")
    (tmp_path / "logbook" / "days").write_text("no folder")
    answer = posted(pages, "/do/stop")
    assert answer.status_code == 422
    assert answer.text.startswith("SHOUT STOP")


def test_an_entry_is_acknowledged_once_it_is_on_the_disk_and_refused_in_words_else(at):
    pages, phones, said = at
    answer = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="inspect", entry="a1")
    assert (answer.status_code, answer.text) == (200, "")
    assert on_disk(said).day.rockets["Curlew"].state == "inspected"
    again = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="seat", entry="a2")
    assert again.status_code == 422
    assert "no step from there" in again.text


def test_an_entry_that_is_sent_again_because_no_answer_came_is_the_same(at):
    pages, phones, said = at
    for _ in range(3):
        said.clock.on(5)
        answer = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="inspect", entry="a1")
        assert answer.status_code == 200
    assert sum(one["entry"] == "a1" for one in on_disk(said).entries) == 1


def test_9_each_point_is_confirmed_by_its_own_role_whatever_the_form_claims(at):
    pages, phones, said = at
    for role in ("pump", "pull", "record", "watch"):
        answer = posted(pages, "/do/day", phones[role], what="confirm", point="charge", role="charge", by="MR")
        assert answer.status_code == 422
        assert "only the person in charge" in answer.text
    assert posted(pages, "/do/day", phones["charge"], what="confirm", point="charge").status_code == 200
    assert on_disk(said).day.confirms.keys() == {"charge"}


def test_whoever_looks_on_may_call_stop_and_thunder_and_nothing_that_leads_on(at):
    pages, phones, _ = at
    assert posted(pages, "/do/day", phones[""], what="thunder").status_code == 200
    assert posted(pages, "/do/day", phones[""], what="near miss", note="a dog ran in").status_code == 200
    for what in ("wind", "step", "confirm", "reading", "take", "override", "lift stop", "link", "role", "prepared"):
        assert posted(pages, "/do/day", phones[""], what=what, mean="1 m/s").status_code == 422


def test_the_laptop_speaks_for_the_role_that_its_form_names(at):
    pages, _, said = at
    assert posted(pages, "/do/day", what="confirm", point="field", role="watch").status_code == 200
    entry = on_disk(said).entries[-1]
    assert (entry["by"], entry["role"], entry["device"]) == ("LA", "watch", "laptop")


def test_18_a_phone_whose_clock_is_wrong_moves_no_time_of_the_day(at):
    pages, phones, said = at
    posted(pages, "/do/day", phones["record"], what="wind", mean="2 m/s", at="2027-04-01T23:59:00+02:00")
    assert on_disk(said).day.wind.at == said.day.at()
    assert on_disk(said).entries[-1]["at"] == "2027-04-01T12:00:00.000"


@pytest.mark.parametrize("what", ["step", "confirm", "wind", "reading", "take"])
def test_18_what_was_said_offline_moves_nothing_but_is_kept(at, what):
    pages, phones, said = at
    said.to("seated")
    before = on_disk(said).day.rockets
    answer = posted(pages, "/do/day", phones["pump"], what=what, rocket="Curlew", event="inspect", point="wind",
                    mean="1 m/s", pressure="1 bar", offline="yes", at="2027-04-01T11:59:00", entry="off")
    assert answer.status_code == 422
    assert "not connected" in answer.text
    assert on_disk(said).day.rockets == before
    assert any(one["entry"] == "off" for one in on_disk(said).entries)


def test_18_a_stop_that_was_called_offline_stops_when_it_comes(at):
    pages, phones, said = at
    said.to("pressurising")
    assert posted(pages, "/do/stop", phones["watch"], offline="yes", at="2027-04-01T11:59:58").status_code == 200
    assert on_disk(said).day.rockets["Curlew"].state == "stop"


def test_18_two_devices_never_hold_one_release(at):
    pages, phones, said = at
    said.to("ready")
    said.say("wind", mean="1 m/s")
    assert posted(pages, "/do/day", phones["pull"], what="take", rocket="Curlew").status_code == 200
    second = posted(pages, "/do/day", what="take", rocket="Curlew", role="pull")
    assert second.status_code == 422
    assert "another device holds the release" in second.text
    said.confirm("charge", "field", "sky", "wind", "lines")
    assert posted(pages, "/do/day", what="step", event="launch", rocket="Curlew", role="pull").status_code == 422
    assert said.state() == "ready"


def test_8_more_on_the_gauge_than_is_allowed_stops(at):
    pages, phones, said = at
    said.to("pressurising")
    posted(pages, "/do/day", phones["pump"], what="reading", rocket="Curlew", pressure="4.9 bar")
    assert said.state() == "stop"
    assert on_disk(said).day.stop.startswith("overshoot")


@pytest.mark.parametrize("given", [{}, {"what": "step"}, {"what": "wind", "mean": "often"},
                                   {"what": "step", "rocket": "Roc", "event": "inspect"},
                                   {"what": "inside", "count": "-1"}, {"what": "note", "entry": "../x"}])  # fmt: skip
def test_what_makes_no_sense_is_refused_in_words(at, given):
    pages, phones, said = at
    before = len(on_disk(said).entries)
    answer = posted(pages, "/do/day", phones["pump"], **given)
    assert answer.status_code == 422
    assert answer.text
    assert len(on_disk(said).entries) == before


def test_without_a_day_nothing_is_taken_and_whoever_calls_stop_shouts(served, tmp_path):
    pages, phones = served
    pages.office.launch = LaunchDay(tmp_path)
    assert "no day is kept" in posted(pages, "/do/day", phones["pump"], what="note", note="x").text
    assert posted(pages, "/do/stop", phones["pump"]).text.startswith("SHOUT STOP")
    assert not (tmp_path / "logbook").exists()


@pytest.mark.parametrize("later", [timedelta(hours=13), timedelta(days=-1)], ids=["after midnight", "clock put back"])
def test_a_rocket_under_pressure_keeps_its_day_however_the_laptop_starts_again(tmp_path, later):
    said = Said(kept_day(tmp_path))
    said.to("holding")
    again = LaunchDay(tmp_path, lambda: NOON + later)
    assert again.kept
    assert again.book.name == "2027-04-01"
    assert again.day.rockets["Curlew"].state == "holding"
    assert again.now() >= said.day.now()


@pytest.mark.parametrize("back", [3, 400, 9000], ids=["days", "a year", "to when clocks begin"])
def test_a_stop_on_a_clock_that_lost_its_date_stops_what_is_under_pressure(tmp_path, back):
    """What is said then comes behind all that was said before: else the stop came first, and no pumping after it."""
    Said(kept_day(tmp_path)).to("holding")
    again = LaunchDay(tmp_path, lambda: NOON - timedelta(days=back))
    again.stop({"entry": "halt"}, Speaker("ZZ", "", "phone"))
    assert again.day.rockets["Curlew"].state == "stop"
    assert LaunchDay(tmp_path, lambda: NOON).day.rockets == again.day.rockets


@pytest.mark.parametrize("begun_anew", [False, True])
def test_a_clock_that_ran_ahead_for_a_while_undoes_nothing(tmp_path, begun_anew):
    said = Said(kept_day(tmp_path)).to("holding")
    for _ in range(3):
        said.clock.on(86400)
        said.say("note", note="the clock is a day ahead, and again")
    said.clock.on(-20 * 86400)
    again = LaunchDay(tmp_path, said.clock) if begun_anew else said.day
    again.stop({"entry": "halt"}, Speaker("ZZ", "", "phone"))
    assert again.day.rockets["Curlew"].state == "stop"


@pytest.mark.parametrize("name", ["2027-04-01 (copy)", "2027-04-01-laptop", "copy", "2027-99-99"])
def test_nobody_goes_on_with_a_copy_of_a_days_journal(tmp_path, name):
    """As a shared folder makes one of a file that two laptops wrote: the day itself has gone on since."""
    said = Said(kept_day(tmp_path)).to("holding")
    days = tmp_path / "logbook" / "days"
    (days / f"{name}.jsonl").write_bytes((days / "2027-04-01.jsonl").read_bytes())
    said.to("ready")
    again = LaunchDay(tmp_path, said.clock)
    assert again.day.rockets["Curlew"].state == "ready"
    again.stop({"entry": "halt"}, Speaker("ZZ", "", "phone"))
    assert LaunchDay(tmp_path, said.clock).day.rockets["Curlew"].state == "stop"


def test_of_another_day_the_clock_is_taken_anew(tmp_path):
    said = Said(kept_day(tmp_path))
    said.say("note", note="the clock of this laptop is a day ahead")
    said.clock.on(-86400)
    assert not said.day.kept
    said.day._book = said.day._opened("2027-03-31")
    assert said.day.now() == NOON - timedelta(days=1)


@pytest.mark.parametrize("state", ["seated", "approach allowed", "field open"])
def test_a_day_goes_on_on_any_date_while_somebody_is_out_there_with_a_rocket(tmp_path, state):
    said = Said(kept_day(tmp_path))
    if state == "approach allowed":
        said.to("pressurising").say("stop")
        said.to("misfire wait").clock.on(121)
        said.read("0 bar")
        said.say("second sign", "watch", rocket="Curlew", sign="it gives")
        said.confirm("charge")
        said.step("approach")
    said.to(state)
    said.clock.on(86400)
    for day in (said.day, LaunchDay(tmp_path, said.clock)):
        assert day.book.name == "2027-04-01"
        assert day.day.rockets["Curlew"].state == state


@pytest.mark.parametrize("state", ["waiting", "inspected"])
def test_a_day_on_which_nothing_is_filled_is_not_gone_on_with_on_another_date(tmp_path, state):
    Said(kept_day(tmp_path)).to(state)
    assert not LaunchDay(tmp_path, lambda: NOON + timedelta(hours=13)).kept


def test_only_the_laptop_prepares_a_day(at):
    pages, phones, _ = at
    for role in (*day_roles(), ""):
        assert posted(pages, "/do/prepare", phones[role]).status_code == 403


def test_whose_turn_it_is_is_chosen_but_never_away_from_pressure(at):
    pages, phones, said = at
    assert posted(pages, "/do/turn", phones["pump"], rocket="Wren").status_code == 422
    assert posted(pages, "/do/turn", phones["charge"], rocket="Wren").status_code == 200
    assert said.day.screen("pump", "x").rocket.plan.name == "Wren"
    said.to("pressurising", "Curlew")
    assert said.day.screen("pump", "x").rocket.plan.name == "Curlew"


def test_rockets_take_turns_round_by_round(tmp_path):
    day = kept_day(tmp_path, plan(rocket("Curlew", "B07"), rocket("Wren", "B08", "B")))
    said = Said(day)
    assert [(one.rocket, one.number) for one in day.screen("", "").queue] == [
        ("Curlew", 1), ("Wren", 1), ("Curlew", 2), ("Wren", 2)]
    said.to("launched").to("field open").to("waiting")
    screen = day.screen("", "")
    assert screen.rocket.plan.name == "Wren"
    assert [(one.rocket, one.number) for one in screen.queue] == [("Wren", 1), ("Curlew", 2), ("Wren", 2)]


def test_a_clock_that_is_put_back_holds_up_no_wait(at):
    _, _, said = at
    said.to("ready")
    said.step("misfire")
    before = said.day.at()
    said.clock.on(-3600)
    assert said.day.at() == before
    said.clock.on(61)
    assert said.day.at() == before + 61.0
    said.step("vent")
    assert said.state() == "venting"


@pytest.mark.parametrize("at_", ["zzz", 5, None, "9999-12-31T23:59:59.999", "2027-04-01T12:00:00+02:00"])
def test_an_entry_whose_time_nobody_can_read_hinders_no_stop(tmp_path, at_):
    day = kept_day(tmp_path)
    said = Said(day).to("ready")
    (journal,) = (tmp_path / "logbook" / "days").glob("*.jsonl")
    with journal.open("a") as file:
        file.write(json.dumps({"entry": "odd", "what": "note", "at": at_}) + "\n")
    said.clock.on(1)
    day.watch({})
    said.say("stop")
    assert said.state() == "stop"
    assert day.now() < NOON + timedelta(hours=1)
