"""A design that changes while its rocket is under pressure stops the day, all rockets of it: the limits that everybody
stands by are not those of the rocket on the launcher any more. The ways on are venting and standing down alone."""

import pytest
from conftest_web import CURLEW
from launch_folder import Said, kept_day, plan, posted, rocket, served_day

from bottlewright.errors import InputError
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.files import FOLDER
from bottlewright.project.launch_day import LaunchDay, Speaker

WATER = ('water = "365 mL', 'water = "600 mL')
NOW_600 = "water: 600 mL now, 365 mL when the day was prepared"

def of_curlew():
    """Return a day with Curlew, whose design is read, and two others on launchers of their own."""
    return plan(rocket("Curlew", "B07", file="rocket.toml"), rocket("Wren", "B08", "B"), rocket("Dabchick", "B09", "C"))


def changed(folder, was=WATER[0], becomes=WATER[1]):
    file = folder / "rocket.toml"
    text = file.read_text(encoding="utf-8")
    assert was in text
    file.write_text(text.replace(was, becomes, 1), encoding="utf-8")


def kept(folder):
    (folder / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    return Said(kept_day(folder, of_curlew()))


def both_pumped(said, state="ready"):
    """Lead Curlew to a state under pressure while Wren, on another launcher, is pumped up too."""
    said.to("seated", "Dabchick").to("seated", "Wren").to("field clear", "Curlew")
    said.confirm("field", "sky", "lines")
    said.step("clear", "Wren")
    said.to("pressurising", "Wren").to(state, "Curlew")
    return said


def test_it_stops_every_rocket_by_itself_and_says_why_on_every_device(tmp_path):
    with served_day(tmp_path, of_curlew(), ("pump", "charge", "")) as (pages, phones):
        said = both_pumped(Said(pages.office.launch), "holding")
        pages.office.shelf.standing("rocket.toml")
        watch = pages.office.day_watch
        watch.look()
        assert pages.office.launch.day.stop == ""
        changed(tmp_path)
        pages.office.shelf.standing("rocket.toml")
        watch.look()
        watch.look()
        assert [said.state(name) for name in ("Curlew", "Wren", "Dabchick")] == ["stop", "stop", "seated"]
        for device in (pages, *(phone for phone, _ in phones.values())):
            for page in ("/launch", "/prove", "/logbook"):
                text = device.get(page).text.replace("\u00a0", " ")
                said_at_the_top = text.partition('id="stands">')[2].partition("</p>")[0]
                assert "<b>Stop.</b>" in said_at_the_top, page
                assert "Curlew: under pressure, and its design is not what the day was prepared with" in said_at_the_top
                assert NOW_600 in said_at_the_top
        assert sum(one["what"] == "stop" for one in pages.office.launch.book.entries) == 1
        for _ in range(3):
            watch.look()
        assert sum(one["what"] == "stop" for one in pages.office.launch.book.entries) == 1, "once"


def test_the_pages_change_no_design_while_its_rocket_is_under_pressure_and_look_at_it_all_the_same(tmp_path):
    with served_day(tmp_path, of_curlew()) as (pages, _):
        said = Said(pages.office.launch).to("seated")
        before = (tmp_path / "rocket.toml").read_bytes()
        assert posted(pages, "/do/open", file="rocket.toml").status_code in (200, 303)
        said.to("holding")
        for path, given in (("/do/change", {"key": "charge.water", "value": "600 mL"}), ("/do/undo", {}),
                            ("/do/add-part", {"name": "camera", "mass": "3 g", "position": "100 mm"})):  # fmt: skip
            refused = posted(pages, path, **given)
            assert refused.status_code == 422
            assert "Curlew is under pressure: nobody changes its design before the pressure is off" in refused.text
        assert posted(pages, "/do/view", closer="1").status_code == 200
        for _ in range(3):
            pages.office.day_watch.look()
        assert (tmp_path / "rocket.toml").read_bytes() == before
        assert said.state() == "holding", "so nobody's slip of the hand stops the day"
        said.say("stop", "record", why="a dog")
        said.step("vent")
        said.read("0 bar")
        said.step("zero")
        said.clock.on(121)
        said.say("second sign", "watch", rocket="Curlew", sign="it gives")
        said.confirm("charge")
        said.step("approach")
        assert posted(pages, "/do/change", key="charge.water", value="600 mL").status_code == 200


@pytest.mark.parametrize("text", [None, "["], ids=["gone", "half written"])
def test_every_rocket_is_let_off_and_stood_down_although_nobody_can_read_the_design(tmp_path, text):
    with served_day(tmp_path, of_curlew(), ("pump",)) as (pages, phones):
        said = both_pumped(Said(pages.office.launch))
        (tmp_path / "rocket.toml").unlink()
        if text is not None:
            (tmp_path / "rocket.toml").write_text(text, encoding="utf-8")
        for _ in range(2):
            pages.office.day_watch.look()
        assert said.state("Curlew") == said.state("Wren") == "stop"
        with pytest.raises(InputError, match="nobody goes past the lines for Dabchick"):
            said.step("stand down", "Dabchick")
        for name in ("Curlew", "Wren"):
            vented = posted(pages, "/do/day", phones["pump"], what="step", rocket=name, event="vent", entry=f"v{name}")
            assert vented.status_code == 200
            said.read("0 bar", name)
            said.step("zero", name)
        said.clock.on(121)
        for name in ("Curlew", "Wren"):
            said.say("second sign", "watch", rocket=name, sign="it gives")
        for name in ("Curlew", "Wren"):
            said.confirm("charge")
            said.step("approach", name)
        said.step("inspect", "Curlew")
        said.step("stand down", "Dabchick")
        states = [said.state(name) for name in ("Curlew", "Wren", "Dabchick")]
        assert states == ["inspected", "approach allowed", "waiting"]
        assert said.day.day.stop, "it stands until the person in charge ends it"


def test_no_way_on_is_left_but_away_from_pressure_and_the_stop_is_not_over_before_it_is_off(tmp_path):
    said = both_pumped(kept(tmp_path))
    said.say("take", "pull", rocket="Curlew")
    said.say("wind", mean="2 m/s", gust="3 m/s")
    said.confirm("charge", "field", "sky", "wind", "lines")
    changed(tmp_path)
    with pytest.raises(InputError, match=NOW_600):
        said.step("launch")
    assert [said.state(name) for name in ("Curlew", "Wren", "Dabchick")] == ["stop", "stop", "seated"]
    why = f"Curlew: under pressure, and its design is not what the day was prepared with: {NOW_600}"
    assert said.day.day.stop == why
    for name, event, role in (("Curlew", "launch", "pull"), ("Curlew", "pump", "pump"), ("Wren", "hold", "pump"),
                              ("Wren", "launch", "pull"), ("Dabchick", "clear", "watch")):  # fmt: skip
        with pytest.raises(InputError):
            said.say("step", role, rocket=name, event=event)
    with pytest.raises(InputError, match="until the pressure is off: Curlew, Wren"):
        said.say("lift stop", "charge")
    changed(tmp_path, *WATER[::-1])
    with pytest.raises(InputError, match="until the pressure is off: Curlew, Wren"):
        said.say("lift stop", "charge")


def test_of_two_that_are_stopped_the_page_leads_to_the_one_that_nobody_lets_off_yet_and_names_the_other(tmp_path):
    with served_day(tmp_path, of_curlew(), ("pump", "")) as (pages, phones):
        said = both_pumped(Said(pages.office.launch))
        said.day.stop({"entry": "halt"}, Speaker("ZZ", "", "phone"))

        def shown(role="pump"):
            pages.office.changed()
            text = phones[role][0].get("/launch").text.replace("\u00a0", " ")
            return text.partition('class="of"><b>')[2].partition("<")[0], "too:</b> may be under pressure" in text

        assert shown() == shown("") == ("Curlew", True)
        said.step("vent", "Curlew")
        assert shown() == ("Wren", True)
        said.step("vent", "Wren")
        said.read("0 bar", "Curlew")
        said.step("zero", "Curlew")
        assert shown() == ("Wren", True), "Curlew only waits"
        said.read("0 bar", "Wren")
        said.step("zero", "Wren")
        assert shown() == ("Curlew", True)


def test_a_file_that_is_half_written_at_one_look_and_whole_at_the_next_stops_nobody(tmp_path):
    with served_day(tmp_path, of_curlew()) as (pages, _):
        said = Said(pages.office.launch).to("holding")
        whole = (tmp_path / "rocket.toml").read_bytes()
        pages.office.shelf.standing("rocket.toml")
        for _ in range(3):
            (tmp_path / "rocket.toml").write_bytes(whole[: len(whole) // 2])
            pages.office.day_watch.look()
            (tmp_path / "rocket.toml").write_bytes(whole)
            pages.office.shelf.standing("rocket.toml")
            pages.office.day_watch.look()
        assert said.state() == "holding"


def test_where_nobody_can_look_at_the_designs_the_day_says_so_and_all_else_is_watched_over(tmp_path, monkeypatch):
    with served_day(tmp_path, of_curlew()) as (pages, _):
        said = Said(pages.office.launch).to("holding")

        def broken(*_, **__):
            raise RuntimeError("a mistake of the program")

        monkeypatch.setattr("bottlewright.web.launching.barred_designs", broken)
        pages.office.day_watch.look()
        assert said.day.trouble == "What the designs say now is not known (RuntimeError)"
        said.say("thunder")
        pages.office.day_watch.look()
        assert said.state() == "stop"
        monkeypatch.undo()
        pages.office.day_watch.look()
        assert said.day.trouble == ""


def test_a_change_on_which_nothing_rests_stops_nobody(tmp_path):
    with served_day(tmp_path, of_curlew()) as (pages, _):
        said = Said(pages.office.launch).to("holding")
        changed(tmp_path, "\n[charge]", "\n# a comment\n[charge]")
        changed(tmp_path, '"365 mL ± 10 mL"', '"0.365 L ± 0.01 L"')
        pages.office.shelf.standing("rocket.toml")
        for _ in range(3):
            pages.office.day_watch.look()
        assert said.state() == "holding"


@pytest.mark.parametrize("state", ["seated", "launched"])
def test_a_design_that_changes_while_nothing_is_under_pressure_stops_nobody(tmp_path, state):
    with served_day(tmp_path, of_curlew()) as (pages, _):
        said = Said(pages.office.launch).to(state)
        changed(tmp_path)
        pages.office.shelf.standing("rocket.toml")
        for _ in range(3):
            pages.office.day_watch.look()
        assert said.state() == state
        assert said.day.day.stop == ""


def test_a_program_that_begins_anew_beside_a_changed_design_stops_what_is_under_pressure(tmp_path):
    with served_day(tmp_path, of_curlew()) as (pages, _):
        said = both_pumped(Said(pages.office.launch))
        changed(tmp_path)
        pages.office.launch = LaunchDay(tmp_path, said.clock)
        for _ in range(2):
            pages.office.day_watch.look()
        day = pages.office.launch.day
        assert [day.rockets[name].state for name in ("Curlew", "Wren")] == ["stop", "stop"]


def test_another_program_on_the_journal_comes_to_the_same_stop(tmp_path):
    said = both_pumped(kept(tmp_path), "holding")
    changed(tmp_path)
    said.read("4.5 bar")
    with pytest.raises(InputError, match=NOW_600):
        said.step("tight")
    assert said.state("Wren") == "stop"
    assert DayBook(tmp_path / FOLDER, "2027-04-01").day == said.day.day
