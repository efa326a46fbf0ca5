"""A launch by hand beside a day that is kept: refused while the day has one of the same rocket or bottle in hand."""

from datetime import timedelta

import pytest
from conftest_web import CURLEW
from launch_folder import NOON, Said, kept_day, plan, rocket, served_day

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.logbook import by_hand
from bottlewright.logbook.cards import rocket_card
from bottlewright.logbook.day_plan import Turn
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.journal import append_line, journal_file
from bottlewright.logbook.launches import all_launches
from bottlewright.project.after_launch import launches_of
from bottlewright.project.day_flights import follow
from bottlewright.project.foretelling import foretell, foretell_by_hand, it_stayed
from bottlewright.project.launch_day import LAPTOP, LaunchDay
from bottlewright.project.logbook import Logbook

IN_HAND = ("loaded", "seated", "field clear", "pressurising", "holding", "ready", "stop", "venting", "misfire wait",
           "approach allowed", "launched", "down")  # fmt: skip
LATER = "2027-04-02"
FREE = {"waiting", "inspected", "field open", "retired", "not retrieved"}


def launches(folder):
    return len(all_launches(folder / FOLDER))


def test_every_state_is_said_to_be_in_hand_or_not():
    assert set(day_table().states) == set(IN_HAND) | FREE
    assert set(IN_HAND) == by_hand._ITS_OWN


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    with served_day(tmp_path_factory.mktemp("by-hand"), plan(rocket("Curlew", "B07"))) as (pages, _):
        yield pages


def test_a_launch_by_hand_is_refused_while_the_rocket_is_led_through_one(served):
    pages, folder = served, served.office.folder
    said = Said(pages.office.launch)
    for state in ("loaded", "ready"):
        said.to(state)
        answer = pages.do("do/foretell", file="rocket.toml")
        assert answer.status_code == 422
        assert f"Curlew stands at “{state}” on the day that is kept" in answer.text
    said.say("stop", "record", why="a dog")
    said.to("venting")
    answer = pages.do("do/foretell", file="rocket.toml")
    assert answer.status_code == 422
    assert "the pressure is being let off" in answer.text
    assert "Lead it on, on the page Launch" in answer.text
    with pytest.raises(InputError, match="stands at “venting”"):
        Logbook(folder).enter_flight(bw.read(folder / "rocket.toml"), {"at": f"{NOON.date()}T12:30:00"}, {})
    assert launches(folder) == 0
    Logbook(folder).enter_flight(bw.read(folder / "rocket.toml"), {"at": "2027-03-20T12:30:00"}, {})
    assert launches(folder) == 1, "one of an earlier day is none of this day"


def test_another_rocket_with_the_same_bottle_is_refused_too_and_any_other_is_not(tmp_path, served):
    text = (served.office.folder / "rocket.toml").read_text(encoding="utf-8")
    (tmp_path / "rocket.toml").write_text(text, encoding="utf-8")
    project = bw.read(tmp_path / "rocket.toml").changed({"name": "Wren", "vessel.id": "B07"})
    said, at = Said(kept_day(tmp_path, plan(rocket("Curlew", "B07")))), {"at": "2027-04-01T12:30:00"}
    said.to("pressurising")
    with pytest.raises(InputError, match="the bottle of Wren, B07, is in Curlew, which stands at “pressurising”"):
        Logbook(tmp_path).enter_flight(project, at, {})
    Logbook(tmp_path).enter_flight(bw.read(tmp_path / "rocket.toml").changed({"name": "Teal"}), at, {})
    assert [one.rocket for one in all_launches(tmp_path / FOLDER)] == ["Teal"]


def test_a_remark_of_a_phone_with_a_later_date_hides_no_day_on_which_the_rocket_is_being_let_off(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    said = Said(kept_day(tmp_path, plan(rocket("Curlew", "B07")))).to("pressurising")
    said.say("stop", "record", why="a dog")
    said.to("venting")
    remark = {"entry": "f" * 32, "kind": "remark", "at": f"{LATER}T00:10:00", "design": "1029bffa", "who": "AB",
              "role": "record", "words": "it rains"}  # fmt: skip
    append_line(journal_file(tmp_path / FOLDER, LATER), remark)
    for at in (f"{NOON.date()}T12:30:00", f"{LATER}T00:20:00"):
        with pytest.raises(InputError, match="stands at “venting”"):
            foretell_by_hand(tmp_path, bw.read(tmp_path / "rocket.toml"), {}, at)
    assert launches(tmp_path) == 0
    again = LaunchDay(tmp_path, lambda: NOON + timedelta(hours=13))
    assert again.day.rockets["Curlew"].state == "venting", "whoever starts the program then goes on with that day"


def test_page_measure_does_not_stand_on_a_launch_while_the_day_calls_it_off(tmp_path):
    with served_day(tmp_path, plan(rocket("Curlew", "B07"))) as (pages, _):
        name = foretell(pages.office.folder, bw.read(tmp_path / "rocket.toml"), {}, f"{NOON.date()}T12:00:00")
        said = Said(pages.office.launch).to("ready")
        pages.office.changed()
        assert 'data-post="/do/measure"' in pages.get("/launch/measure").text, "it may still leave"
        said.say("stop", "record", why="a dog")
        for state in ("stop", "venting"):
            said.to(state)
            pages.office.changed()
            assert name not in pages.get("/launch/measure").text
            page = pages.get(f"/launch/measure?launch={name}").text
            assert "It is being called off" in page
            assert f"It stands at “{state}”: nobody goes near before the page of the day says so." in page
            assert 'data-post="/do/measure"' not in page


def test_page_measure_offers_nothing_to_enter_of_a_launch_that_was_called_off(served):
    folder, project = served.office.folder, bw.read(served.office.folder / "rocket.toml")
    name = foretell(folder, project, {}, "2027-04-02T12:00:00")
    it_stayed(folder, name, "2027-04-02T12:10:00", "misfire")
    served.office.changed()
    page = served.get(f"/launch/measure?launch={name}").text
    assert "It did not leave" in page
    assert "What stopped it: misfire." in page
    assert 'data-post="/do/measure"' not in page
    latest = served.get("/launch/measure").text
    assert "launch 1 of 2027-03-20" in latest, "the latest that left"
    assert name not in latest


def numbers_of(kept):
    """Return the launch that the day shows, and the numbers of those still to come."""
    shown = kept.screen("", LAPTOP, every=True)
    now = shown.rocket.launch
    return (now.number, now.of) if now else None, [one.number for one in shown.queue]


def called(folder):
    return [one.called for one in launches_of(folder)][::-1]


def test_a_launch_begun_by_hand_has_its_number_on_the_day_on_measure_and_on_the_cards(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    project, day = bw.read(tmp_path / "rocket.toml"), NOON.date()
    foretell_by_hand(tmp_path, project, {}, f"{day}T11:00:00")
    name = foretell_by_hand(tmp_path, project, {}, f"{day}T11:10:00")
    it_stayed(tmp_path, name, f"{day}T11:20:00", "misfire")
    foretell_by_hand(tmp_path, project, {}, "2027-03-20T11:00:00")
    kept = kept_day(tmp_path, plan(rocket("Curlew", "B07", file="rocket.toml"), turns=(Turn("Curlew", 2),)))
    assert kept.by_hand() == {"Curlew": 1}, "one that stayed is no launch, and another day is another day"
    assert numbers_of(kept) == ((2, 3), [2, 3])
    said = Said(kept).to("loaded")
    follow(tmp_path, kept.book, kept.book.entries[-1], lambda _: (project, project.verdict(), None))
    assert f"Curlew, launch 2 of {day}" in called(tmp_path)
    assert numbers_of(kept) == ((2, 3), [2, 3])
    said.to("field open")
    assert numbers_of(kept)[0] == (2, 3), "until it is back"
    foretell_by_hand(tmp_path, project, {}, f"{day}T12:40:00")
    assert numbers_of(kept)[0] == (2, 3), "what is begun by hand then comes after it"
    said.step("back")
    assert numbers_of(kept) == ((4, 4), [4])
    assert called(tmp_path)[-1] == f"Curlew, launch 3 of {day}"
    (card,) = rocket_card(project.design, project.verdict(), "A", 2, by_hand=1)
    assert card["launches"][:2] == ["launch 2", "launch 3"]


def test_a_launch_whose_file_can_not_be_read_stops_no_page_of_the_day(tmp_path):
    kept = kept_day(tmp_path, plan(rocket("Curlew", "B07")))
    (tmp_path / FOLDER / "flights").mkdir()
    (tmp_path / FOLDER / "flights" / f"{NOON.date()}-01-curlew.toml").write_text("schema = x", encoding="utf-8")
    assert kept.by_hand() == {}
    assert numbers_of(kept)[0] == (1, 2)
