"""A day holds for what it was prepared with: where that is another now, nothing goes towards pressure before it is
prepared anew, and nothing that leads away from pressure is refused."""

import json
import re
from dataclasses import replace
from functools import partial

import pytest
from conftest_web import CURLEW, served
from launch_folder import Said, kept_day, plan, posted, rocket, served_day

import bottlewright as bw
from bottlewright.design.resting import rests_on
from bottlewright.errors import InputError
from bottlewright.field.numbers import LimitAt
from bottlewright.findings import Level
from bottlewright.logbook.cards import rocket_card
from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_plan import ROLES, plan_json, plan_of
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.launches import write_launch
from bottlewright.project.day_against_design import LowerWind, asked_now, bars_now, bars_of, lower_wind, towards_flight
from bottlewright.project.day_answers import Judged, judged_now
from bottlewright.project.day_basis import basis_of, changed_since
from bottlewright.project.day_document import day_document, day_words, entry_words
from bottlewright.project.day_paper import day_pdf
from bottlewright.project.launch_day import LaunchDay, Speaker
from bottlewright.project.logbook import Logbook
from bottlewright.project.project import parse

TEXT = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
WATER = ('water = "365 mL', 'water = "600 mL')
NOW_600 = "water: 600 mL now, 365 mL when the day was prepared"
OF_CURLEW = {"file": "rocket.toml"}


@pytest.fixture(scope="module")
def curlew(tmp_path_factory):
    return parse(TEXT, tmp_path_factory.mktemp("alone") / "rocket.toml")


@pytest.fixture(scope="module")
def judged(curlew):
    return Judged(curlew, curlew.verdict())


def of_curlew(**given):
    return plan(rocket("Curlew", "B07", **OF_CURLEW, **given))


def kept(folder, the_plan=None):
    """Return a day that is kept beside Curlew's design, which each step reads and judges anew."""
    (folder / "rocket.toml").write_text(TEXT, encoding="utf-8")
    return Said(kept_day(folder, the_plan or of_curlew()))


def changed(folder, was, becomes):
    text = (folder / "rocket.toml").read_text(encoding="utf-8")
    assert was in text
    (folder / "rocket.toml").write_text(text.replace(was, becomes, 1), encoding="utf-8")


# --- which changes count ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("values", "says"), [
    ({"charge.water": "600 mL"}, NOW_600),
    ({"charge.water": "365 mL ± 50 mL"}, "water: 365 mL ± 50 mL now, 365 mL ± 10 mL when the day was prepared"),
    ({"charge.pressure": "65 psi ± 3 psi"}, "Charge, pressure on the gauge: 65 psi now, 65.27 psi when the day was"),
    ({"mass.0.mass": "80 g", "measured.dry_mass": "210 g"}, "clay in the tip, mass: 80 g now, 42 g when the day was"),
    ({"recovery.diameter": "300 mm"}, "Way down, parachute across: 300 mm now, 520 mm when the day was prepared"),
    ({"recovery.canopy": "round"}, "recovery, canopy: round now, hexagon when the day was prepared"),
    ({"nozzle.bore": "10 mm"}, "Nozzle, hole: 10 mm now, 9 mm when the day was prepared"),
    ({"vessel.id": "B09"}, "what is written on the bottle: B09 now, not said when the day was prepared"),
    ({"site.pressure_limit": "4 bar"}, "site, pressure limit: 4 bar now, not said when the day was prepared"),
    ({"weather.wind_from": "W"}, "Weather, wind from: 270° now, 240° when the day was prepared"),
    ({"launcher.crew.pumper": "10 m"}, "pumper stands off: 10 m now, 24 m when the day was prepared"),
    ({"launcher.crew.eye_protection": "false"}, "everyone near wears eye protection: no now, yes when the day was"),
])  # fmt: skip
def test_a_change_on_which_distances_or_limits_rest_is_told_from_what_to_what(curlew, values, says):
    told = changed_since(basis_of(curlew), curlew.changed(values))
    assert told[0].startswith(says)


NOTHING_HANGS_ON = {
    "notes": "flies on Saturday", "site.name": "Another Field", "mass.0.name": "putty", "mass.1.name": "recorder",
    "tune.aim": "hang time", "tune.flights": 64, "workshop.people": 9, "workshop.glue": "epoxy",
    "prices.currency": "shells", "weather.hours.0.wind_speed": "1.4 m/s", "measured.by": "K", "vessel.cycles": 5,
}  # fmt: skip


@pytest.mark.parametrize("key", NOTHING_HANGS_ON)
def test_a_change_on_which_nothing_rests_bars_nobody(curlew, key):
    other = curlew.changed({key: NOTHING_HANGS_ON[key]})
    assert other.digest != curlew.digest or key in ("notes", "workshop.people", "workshop.glue", "prices.currency")
    assert changed_since(basis_of(curlew), other) == []


def test_what_bars_nobody_moves_no_flight_no_distance_and_no_limit(curlew):
    values = {key: value for key, value in NOTHING_HANGS_ON.items() if key != "vessel.cycles"}
    other = curlew.changed(values)
    now, before = other.verdict(), curlew.verdict()
    assert other.flown.summary == pytest.approx(curlew.flown.summary, rel=0.0, abs=0.0, nan_ok=True)
    assert (now.allowed.gauge_Pa, now.distances, now.planned) == (
        before.allowed.gauge_Pa, before.distances, before.planned)  # fmt: skip


def test_a_comment_another_order_and_another_unit_for_the_same_value_are_no_change(curlew):
    text = "# a comment\n" + TEXT.replace('"365 mL ± 10 mL"', '"0.365 L ± 0.01 L"')
    assert text.count("0.365 L") == 1
    assert changed_since(basis_of(curlew), parse(text, curlew.file)) == []


def test_whatever_nobody_named_as_counting_for_nothing_is_held_to(curlew):
    """A key that is added to the format later bars too, until somebody shows that nothing hangs on it."""
    beside = re.compile(r"schema_|name|notes|(damage|tune|stand|workshop|prices|stock)\..*|weather\.hours\..*"
                        r"|site\.name|(mass|site\.keep_out)\.\d+\.name|measured\.(by|day)|learned\.confirmed_(by|on)"
                        r"|vessel\.(age|cycles|storage|storage_date|surface|surface_date|hard_landing|inspected|retired"
                        r"|proof)(\..*)?")  # fmt: skip
    stood = {path for path, _ in bw.design.stood_on(curlew.design)}
    held = rests_on(curlew.design)
    assert len(held) > 150
    assert {path for path in stood if path not in held and not beside.fullmatch(path)} == set()
    assert {path for path in held if beside.fullmatch(path)} == set()


def test_a_part_that_came_or_went_and_a_field_drawn_otherwise_are_told_in_words(curlew):
    more = parse(TEXT + '\n[[mass]]\nname = "camera"\nmass = "3 g"\nposition = "100 mm"\n', curlew.file)
    assert changed_since(basis_of(curlew), more)[0] == "camera was not there when the day was prepared"
    gone = changed_since(basis_of(more), curlew)
    assert gone == ["an entry of mass is gone since the day was prepared"]
    text = TEXT.replace('map = "field.geojson"', 'boundary = [["0 m", "0 m"], ["90 m", "0 m"], ["90 m", "90 m"]]')
    one, other = parse(text, curlew.file), parse(text.replace('"90 m"]', '"80 m"]'), curlew.file)
    assert changed_since(basis_of(one), other) == [
        "site, boundary is drawn otherwise now than when the day was prepared"]  # fmt: skip


def test_a_map_that_holds_something_else_is_a_change(tmp_path):
    for name in ("rocket.toml", "field.geojson"):
        (tmp_path / name).write_bytes((CURLEW / name).read_bytes())
    before = basis_of(bw.read(tmp_path / "rocket.toml"))
    (tmp_path / "field.geojson").write_bytes((CURLEW / "field.geojson").read_bytes() + b"\n")
    assert changed_since(before, bw.read(tmp_path / "rocket.toml")) == [
        "the field's map holds something else now than when the day was prepared"]  # fmt: skip


def test_of_many_changes_three_are_told_and_the_rest_is_counted(curlew):
    other = curlew.changed({"charge.water": "600 mL", "nozzle.bore": "10 mm", "recovery.diameter": "300 mm",
                            "weather.wind_speed": "5 m/s", "launcher.tilt": "10 deg"})  # fmt: skip
    told = changed_since(basis_of(curlew), other)
    assert len(told) == 4
    assert re.fullmatch(r"and \d+ more values", told[3])


# --- which steps are refused ------------------------------------------------------------------------------------------


def test_every_step_towards_pressure_or_on_under_it_is_refused_and_no_other(judged, curlew):
    other = curlew.changed({"charge.water": "600 mL"})
    known = rocket("Curlew", "B07", **OF_CURLEW)
    events = {event for _, event in day_table().steps}
    refused = {event for event in events if asked_now(known, event, lambda _: (other, judged.verdict)).against}
    assert refused == {"load", "seat", "clear", "pump", "hold", "tight", "launch"}
    assert refused == {event for event in events if towards_flight(event)}
    assert all(asked_now(known, event, lambda _: judged) for event in events)
    assert not any(asked_now(known, event, lambda _: judged).against for event in events), "as long as nothing changed"


def test_a_rocket_under_pressure_goes_no_further_and_its_pressure_comes_off(tmp_path):
    said = kept(tmp_path).to("pressurising")
    changed(tmp_path, *WATER)
    said.read("4.5 bar")
    with pytest.raises(InputError, match=NOW_600):
        said.step("hold")
    said.day.stop({"entry": "halt"}, Speaker("ZZ", "", "phone"))
    assert said.state() == "stop"
    said.step("vent")
    said.read("0 bar")
    said.step("zero")
    assert said.state() == "misfire wait"


def test_nobody_fills_it_before_the_day_is_prepared_anew_or_the_design_is_put_back(tmp_path):
    said = kept(tmp_path).to("inspected")
    changed(tmp_path, *WATER)
    with pytest.raises(InputError, match="prepare the day anew"):
        said.step("load")
    changed(tmp_path, *WATER[::-1])
    said.step("load")
    assert said.state() == "loaded"


def test_a_step_is_asked_of_the_design_however_the_day_moved_on_meanwhile(tmp_path):
    """Another program on the same folder looked it over: whoever has not seen that yet fills it by the design too."""
    said = kept(tmp_path)
    other = Said(LaunchDay(tmp_path, said.clock))
    other.say("step", "pump", rocket="Curlew", event="inspect", entry="beside")
    changed(tmp_path, *WATER)
    with pytest.raises(InputError, match=NOW_600):
        said.say("step", "pump", rocket="Curlew", event="load")
    assert said.state() == "inspected"
    changed(tmp_path, *WATER[::-1])
    said.step("load")


def test_the_journal_tells_once_what_was_barred_and_why(tmp_path):
    said = kept(tmp_path).to("inspected")
    changed(tmp_path, *WATER)
    for _ in range(2):
        with pytest.raises(InputError, match=NOW_600):
            said.step("load")
    written = [one for one in Logbook(tmp_path).day("2027-04-01").entries if one["what"] == "barred"]
    (one,) = written
    assert (one["rocket"], one["event"], one["by"]) == ("Curlew", "load", "the program")
    assert NOW_600 in one["why"]
    assert entry_words(one).startswith("barred: Curlew, the design of Curlew stands against it")


def test_a_day_of_an_earlier_version_is_prepared_anew_before_pressure_and_nothing_else_is_refused(judged):
    told = json.loads(json.dumps(plan_json(of_curlew())))
    for one in told["rockets"]:
        del one["rests_on"], one["away_m"]
    (old,) = plan_of(told).rockets.values()
    (says,) = asked_now(old, "load", lambda _: judged).against
    assert says == ("an earlier version of this program prepared the day, and kept neither how far off everyone stands "
                    "nor which load that was for")  # fmt: skip
    assert asked_now(old, "vent", lambda _: judged).against == ()
    somewhat = replace(old, away_m={"pumper": 9.0})
    assert "what its distances and limits rest on" in asked_now(somewhat, "pump", lambda _: judged).against[0]


def test_a_hold_found_since_then_bars_as_a_stop_does_and_one_known_before_does_not(judged):
    verdict, known = judged.verdict, rocket("Curlew", "B07", **OF_CURLEW)
    found = replace(verdict.findings[0], level=Level.HOLD, code="damaged-0", hazard="A bent nose steers it sideways")
    now = replace(verdict, findings=(*verdict.findings, found))
    assert bars_now(known, now) == ["stop: A bent nose steers it sideways"]
    assert bars_now(replace(known, holds=("damaged-0",)), now) == []
    counted = replace(verdict, findings=(*verdict.findings, replace(found, code="inspection-due")))
    assert bars_now(known, counted, pressed=True) == [], "its own count speaks of the next time"
    assert bars_now(known, counted) != []


@pytest.mark.parametrize("state", ["loaded", "seated"])
def test_what_stands_filled_is_stood_down_whatever_became_of_its_design_and_of_the_day(tmp_path, state):
    said = kept(tmp_path).to(state)
    changed(tmp_path, *WATER)
    said.say("stop", "record", why="a dog")
    said.step("stand down")
    assert said.state() == "waiting"
    assert said.day.day.cycles == (), "it was not under pressure"


ANEW = {"launches.rocket.toml": "2", "role.charge": "MR"}


@pytest.fixture
def named(tmp_path, judged):
    """Return a day with Curlew on bottle B07, its design as it is and with more water."""
    one, other = (Judged(judged.project.changed({"vessel.id": "B07", "charge.water": water}), judged.verdict)
                  for water in ("365 mL ± 10 mL", "600 mL"))  # fmt: skip
    said = kept(tmp_path, of_curlew(rests_on=basis_of(one.project)))
    said.day.judge = lambda _: one
    return said, one, other


def test_a_day_that_is_prepared_anew_takes_no_other_rocket_for_looked_over(named):
    said, one, other = named
    said.to("inspected")
    said.day.prepare(ANEW, lambda _: one)
    assert said.state() == "inspected", "as nothing changed"
    said.day.prepare(ANEW, lambda _: other)
    assert said.state() == "waiting"


@pytest.mark.parametrize(("state", "first"), [("loaded", "stand it down first"), ("seated", "stand it down first"),
                                              ("field clear", "call stop and let it off first")])  # fmt: skip
def test_a_rocket_that_is_filled_stands_down_before_the_day_takes_it_for_another(named, state, first):
    said, one, other = named
    said.to(state)
    with pytest.raises(InputError, match=first):
        said.day.prepare(ANEW, lambda _: other)
    assert said.state() == state
    said.day.prepare(ANEW, lambda _: one)
    assert said.state() == state, "as nothing changed"


# --- the wind ---------------------------------------------------------------------------------------------------------


def in_wind(judged, limit, high=2.0):
    return lambda _: Judged(judged.project, replace(judged.verdict, wind_limits=(LimitAt(0.0, limit, high),)))


@pytest.mark.parametrize(("limit", "high", "holds"), [(3.1, 2.0, 3.1), (4.0, 2.0, 4.0), (5.0, 2.0, 4.0),
                                                      (3.1, 10.0, 4.0)])  # fmt: skip
def test_of_two_wind_limits_the_lower_holds_from_the_next_step_on(tmp_path, judged, limit, high, holds):
    said = kept(tmp_path)
    said.day.judge = in_wind(judged, limit, high)
    said.to("loaded")
    assert said.day.day.plan.rockets["Curlew"].wind_limit_m_s == holds
    again = day_of(NO_PLAN, said.day.book.entries)
    assert again.plan.rockets["Curlew"].wind_limit_m_s == holds, "it stands in the journal"


def test_a_wind_between_the_two_limits_bars_pumping_and_stops_what_is_under_pressure(tmp_path, judged):
    said = kept(tmp_path)
    said.day.judge = lambda _: judged
    said.to("field clear")
    said.say("wind", mean="3.5 m/s", gust="3.5 m/s")
    said.confirm("charge", "wind")
    said.day.judge = in_wind(judged, 3.1)
    with pytest.raises(InputError, match=r"the wind is over the limit of 2\.9 m/s, in the hand"):
        said.step("pump")
    said.say("wind", mean="2 m/s", gust="2.5 m/s")
    said.step("pump")
    said.day.watch({}, {"Curlew": LowerWind(2.2)})
    assert said.state() == "stop"
    assert "the gusts are over the limit of 2 m/s, in the hand, 1.5 m up; that is 2.2 m/s at 2 m" in said.day.day.stop
    assert day_of(NO_PLAN, said.day.book.entries).rockets == said.day.day.rockets, "all in one moment, and read again"
    said.day.watch({}, {"Curlew": LowerWind(3.9)})
    assert said.day.day.plan.rockets["Curlew"].wind_limit_m_s == 2.2, "a higher one changes nothing"
    words = [entry_words(one) for one in said.day.book.entries if one["what"] == "lower wind"]
    assert words == [f"Curlew: lower wind limit by its design of now, {both}"
                     for both in ("2.9 m/s; in the hand, 1.5 m up; that is 3.1 m/s at 2 m",
                                  "2 m/s; in the hand, 1.5 m up; that is 2.2 m/s at 2 m")]  # fmt: skip


def test_the_pages_notice_a_lower_limit_by_themselves_and_hold_everybody_to_it(tmp_path, monkeypatch):
    with served_day(tmp_path, of_curlew(), ("record",)) as (pages, phones):
        Said(pages.office.launch).to("loaded")
        pages.office.shelf.standing("rocket.toml")
        pages.office.day_watch.look()
        said = phones["record"][0].get("/launch").text.replace("\u00a0", " ")
        assert "its limit: 3.8 m/s; in the hand, 1.5 m up; that is 4 m/s at 2 m" in said
        monkeypatch.setattr("bottlewright.web.launching.lower_wind", lambda _plan, _verdict: LowerWind(2.5))
        for _ in range(2):
            pages.office.day_watch.look()
        assert pages.office.launch.trouble == ""
        for device in (pages, phones["record"][0]):
            said = device.get("/launch").text.replace("\u00a0", " ")
            assert "its limit: 2.3 m/s; in the hand, 1.5 m up; that is 2.5 m/s at 2 m" in said
        assert sum(one["what"] == "lower wind" for one in pages.office.launch.book.entries) == 1


# --- where it is told -------------------------------------------------------------------------------------------------


def test_page_phone_strip_and_command_say_that_the_day_is_prepared_anew(tmp_path):
    with served_day(tmp_path, of_curlew(), ("pump",)) as (pages, phones):
        said = Said(pages.office.launch).to("inspected")
        pages.office.shelf.standing("rocket.toml")
        assert "Prepare the day anew:" in pages.get("/launch").text
        assert "Nobody goes on" not in pages.get("/launch").text
        changed(tmp_path, *WATER)
        pages.office.shelf.standing("rocket.toml")
        pages.office.changed()
        for device in (pages, phones["pump"][0]):
            page = device.get("/launch").text.replace("\u00a0", " ")
            assert "Nobody goes on: prepare the day anew" in page
            assert "What was prepared for Curlew does not hold any more" in page
            assert NOW_600 in page
            assert re.search(r'id="do-load".*?<button class="press main wide" disabled>', page, re.DOTALL)
        assert "prepare it anew" in pages.get("/prove").text
        refused = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="load", entry="late")
        assert refused.status_code == 422
        assert NOW_600 in refused.text
        assert posted(pages, "/do/stop", phones["pump"], entry="halt").status_code == 200
        assert said.state() == "inspected"
        told = day_document(pages.office.launch)
        assert told["rockets"][0]["barred"] == [NOW_600]
        assert "STOP: what was prepared does not hold any more" in day_words(told)


def test_of_a_filled_rocket_the_page_leads_with_standing_down_and_names_no_pressure_to_pump_to(tmp_path):
    with served_day(tmp_path, of_curlew(), ("pump",)) as (pages, phones):
        Said(pages.office.launch).to("seated")
        changed(tmp_path, *WATER)
        pages.office.shelf.standing("rocket.toml")
        pages.office.changed()
        page = phones["pump"][0].get("/launch").text
        assert "<h1>Stand it down, then prepare the day anew</h1>" in page.replace("\u00a0", " ")
        assert re.search(r'id="do-stand-down".*?<button class="press main wide">It stands down', page, re.DOTALL)
        assert "Planned <b" not in page
        done = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="stand down", entry="off")
        assert done.status_code == 200


@pytest.mark.parametrize("state", ["field clear", "pressurising", "holding", "ready"])
def test_whoever_calls_stop_for_a_changed_design_reads_no_pressure_to_pump_to(tmp_path, state):
    with served_day(tmp_path, of_curlew(), ("pump",)) as (pages, phones):
        Said(pages.office.launch).to(state)
        assert "Planned <b" in phones["pump"][0].get("/launch").text
        changed(tmp_path, *WATER)
        pages.office.shelf.standing("rocket.toml")
        pages.office.changed()
        page = phones["pump"][0].get("/launch").text
        assert "<h1>Call stop" in page
        assert "Planned <b" not in page


def test_while_a_changed_design_is_being_judged_nobody_is_led_on_by_the_numbers_of_before(tmp_path, monkeypatch):
    """A laptop that begins anew compiles for a while, and then judges one design after the other."""
    with served_day(tmp_path, of_curlew(), ("pump",)) as (pages, phones):
        Said(pages.office.launch).to("pressurising")
        monkeypatch.setattr(pages.office.shelf, "_fill", lambda _: None)
        assert "Pump to <b" in phones["pump"][0].get("/launch").text
        changed(tmp_path, *WATER)
        pages.office.changed()
        page = phones["pump"][0].get("/launch").text.replace("\u00a0", " ")
        assert NOW_600 in page
        assert "<h1>Call stop, and let the pressure off</h1>" in page
        assert "Pump to <b" not in page


@pytest.mark.parametrize("text", ["[", "", None], ids=["half written", "empty", "gone"])
def test_a_laptop_that_begins_anew_beside_a_design_that_nobody_can_read_stops_and_lets_off_all_the_same(tmp_path, text):
    with served_day(tmp_path, of_curlew(), ("pump",)) as (pages, phones):
        said = Said(pages.office.launch).to("pressurising")
        (tmp_path / "rocket.toml").unlink()
        if text is not None:
            (tmp_path / "rocket.toml").write_text(text, encoding="utf-8")
        said.day = pages.office.launch = LaunchDay(tmp_path, said.clock)
        pages.office.day_watch.look()
        for device in (pages, phones["pump"][0]):
            assert "<h1>Call stop, and let the pressure off</h1>" in device.get("/launch").text.replace("\u00a0", " ")
        said.read("4.5 bar")
        refused = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="hold", entry="on")
        assert (refused.status_code, "judged now" in refused.text) == (422, True)
        assert posted(pages, "/do/stop", phones["pump"], entry="halt").status_code == 200
        said.step("vent")
        assert said.state() == "venting"


@pytest.mark.parametrize("name", ["maps/field.geojson", "field.txt"])
def test_the_pages_judge_anew_when_a_map_is_another_wherever_it_lies(tmp_path, name):
    (tmp_path / name).parent.mkdir(exist_ok=True)
    drawn = (CURLEW / "field.geojson").read_bytes()
    (tmp_path / name).write_bytes(drawn)
    (tmp_path / "rocket.toml").write_text(TEXT.replace('"field.geojson"', f'"{name}"'), encoding="utf-8")
    with served(tmp_path) as pages:
        before = pages.office.shelf.standing("rocket.toml")
        assert pages.office.shelf.standing("rocket.toml") is before
        (tmp_path / name).write_bytes(drawn + b"\n")
        assert pages.office.shelf.standing("rocket.toml") is not before


def test_the_pages_judge_anew_when_what_counts_beside_a_design_is_another(tmp_path):
    for name in ("rocket.toml", "field.geojson"):
        (tmp_path / name).write_bytes((CURLEW / name).read_bytes())
    with served(tmp_path) as pages:
        shelf = pages.office.shelf
        judged = [shelf.standing("rocket.toml")]
        assert shelf.standing("rocket.toml") is judged[0]
        write_launch(tmp_path / FOLDER, {
            "entry": "f1", "day": "2027-03-20", "rocket": "Curlew", "vessel": "B07", "loaded": {"pressure": "6 bar"},
            "prediction": {"made": "2027-03-20T10:00:00", "allowed": "4.83 bar"}})  # fmt: skip
        judged.append(shelf.standing("rocket.toml"))
        (tmp_path / "field.geojson").write_bytes((CURLEW / "field.geojson").read_bytes() + b"\n")
        judged.append(shelf.standing("rocket.toml"))
        assert len({id(one) for one in judged}) == 3, "a launch with too much pressure, and a map, may bar a design"


def test_the_card_on_paper_says_first_that_the_day_is_prepared_anew(judged):
    (card,) = rocket_card(judged.project.design, judged.verdict, "A", 1, [NOW_600])
    assert card["stopped"] is True
    assert card["says"] == f"Nobody fills it before the day is prepared anew: {NOW_600}"


def test_the_day_on_paper_is_printed_from_the_day_that_is_kept(tmp_path, monkeypatch):
    said, drawn = kept(tmp_path), []
    changed(tmp_path, *WATER)
    monkeypatch.setattr("bottlewright.logbook.cards.day_sheets", lambda _, cards, __: drawn.extend(cards) or b"")
    day_pdf(tmp_path, "2027-04-01", {"rocket.toml": 1}, said.day.day.plan)
    assert [NOW_600 in one["says"] for one in drawn] == [True]
    day_pdf(tmp_path, "2027-04-01", {"rocket.toml": 1})
    assert [NOW_600 in one["says"] for one in drawn] == [True, False], "without a day nothing is compared"


def test_a_design_that_is_gone_unreadable_or_renamed_is_told_on_the_page_before_anybody_tries(tmp_path):
    said = kept(tmp_path)
    judge = partial(judged_now, tmp_path)
    assert bars_of(said.day.day, judge) == {}
    changed(tmp_path, 'name = "Curlew"', 'name = "Wren"')
    assert bars_of(said.day.day, judge) == {"Curlew": ["rocket.toml is the design of Wren now"]}
    (tmp_path / "rocket.toml").write_text("[", encoding="utf-8")
    assert "can't be judged now" in bars_of(said.day.day, judge)["Curlew"][0]
    (tmp_path / "rocket.toml").unlink()
    assert "can't be judged now" in bars_of(said.day.day, judge)["Curlew"][0]
    assert bars_of(said.day.day, lambda _: None) == {}, "of one that is being judged nothing is known yet"


def test_a_rocket_of_the_day_keeps_what_its_numbers_rest_on_through_the_journal(curlew):
    known = Logbook(curlew.folder).rocket(curlew, "A")
    assert (known.file, known.rests_on) == ("rocket.toml", basis_of(curlew))
    assert set(known.away_m) == set(ROLES)
    again = plan_of(json.loads(json.dumps(plan_json(plan(known))))).rockets["Curlew"]
    assert again == known
    assert changed_since(again.rests_on, curlew) == []


def test_the_document_of_a_day_has_the_limit_from_where_the_plan_has_the_wind_and_the_least(tmp_path):
    table = tuple((30.0 * k, 3.0 if k == 2 else 7.0) for k in range(12))
    turning = rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=1.5, winds=table, wind_from=(240.0, 20.0))
    (told,) = day_document(kept_day(tmp_path, plan(turning)))["rockets"]
    assert (told["wind_from_deg"], told["wind_in_hand_m_s"], told["wind_least_in_hand_m_s"]) == (240.0, 7.0, 3.0)
    assert told["wind_limit_says"].startswith("7 m/s while it comes from WSW (240° ± 20°); from any other direction")


def test_a_day_that_passes_midnight_keeps_the_limits_of_each_direction(judged):
    limits = tuple(LimitAt(30.0 * k, 3.0 if k == 2 else 7.0, 2.0) for k in range(12))
    of_day = rocket("Curlew", "B07", wind_limit_m_s=7.0, wind_height_m=2.0, wind_from=(240.0, 20.0),
                    winds=tuple((one.from_deg, one.speed_m_s) for one in limits))  # fmt: skip
    nobody_knows = replace(judged.verdict, wind_limits=limits, coming=None)
    assert lower_wind(of_day, nobody_knows) is None, "each reading says from where it comes"
    less = lower_wind(of_day, replace(nobody_knows, wind_limits=(limits[0]._replace(speed_m_s=2.0), *limits[1:])))
    assert less is not None
    assert (less.limit_m_s, less.winds[0]) == (7.0, (0.0, 2.0)), "only the wind from north is held to less"
