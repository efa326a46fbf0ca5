"""What is written into the forms of the field: taken as people write it, refused by the field that is wrong."""

import numpy as np
import pytest

import bottlewright as bw
from bottlewright.design.unit_habit import METRIC
from bottlewright.errors import FieldsError, InputError
from bottlewright.field.wind_heights import Growth
from bottlewright.logbook.day_plan import DayRocket
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.launches import launch_of, write_launch
from bottlewright.logbook.measured import by_watches, counted
from bottlewright.logbook.timing import odd_one, too_far_apart
from bottlewright.project.after_launch import AfterLaunch, after_launch, held_to, launches_of
from bottlewright.project.foretelling import foretell, it_left, it_stayed, prediction_of
from bottlewright.project.logbook import Logbook
from bottlewright.project.measuring import KINDS, LANDINGS, enter

AT = "2027-03-20T11:00:00"


@pytest.fixture
def folder(tmp_path):
    write_launch(tmp_path / FOLDER, {"entry": "f1", "day": "2027-03-20", "rocket": "Wren"})
    return tmp_path


@pytest.fixture
def entered(folder):
    def enter_one(kind, **given):
        enter(folder, "2027-03-20-01", kind, given, AT, "K")
        return launch_of(folder / FOLDER, "f1")

    return enter_one


def test_one_tap_at_the_top_and_one_at_the_ground_are_two_times(entered):
    flight = entered("watch", up="3.3", down="16,2 s", entry="phone-1")
    assert [(one.of, one.took.value, one.by, one.at) for one in flight.watch] == [
        ("time up", 3.3, "K", AT), ("time", 16.2, "K", AT)]
    assert entered("watch", up="3.3", down="16,2 s", entry="phone-1") == flight
    assert by_watches(entered("watch", down="16.4"), "time").count == 2


def test_stopwatches_too_far_apart_are_asked_back_and_neither_is_averaged_nor_counted(entered, folder):
    entered("watch", down="8")
    flight = entered("watch", down="82", entry="slip")
    assert by_watches(flight, "time") is None
    assert counted(flight) == []
    after = after_launch(folder, "f1")
    assert (after.times, list(after.rows)) == ([], [])
    assert after.asked_back == ["8 s and 82 s to the ground can’t both be right. None of these times counts before the "
                                "wrong one is taken back"]
    flight = entered("withdraw", which=flight.watch[1].entry)
    assert by_watches(flight, "time").seconds == 8.0
    assert after_launch(folder, "f1").asked_back == []


@pytest.mark.parametrize(("seconds", "apart"), [([8.0], False), ([8.0, 9.7], False), ([8.0, 9.9], True),
                                                ([60.0, 66.9], False), ([8.0, 8.1, 82.0], True), ([0.8, 0.9], False),
                                                ([0.8, 1.3], True), ([0.3, 0.6], False)])  # fmt: skip
def test_watches_of_one_flight_differ_by_a_second_and_a_tenth_at_most_and_short_times_by_half(seconds, apart):
    assert too_far_apart(seconds) == apart


@pytest.mark.parametrize(("seconds", "odd"), [
    ([8.0, 8.1, 9.5], 9.5), ([9.5, 8.1, 8.0], 9.5), ([6.6, 8.1, 8.0], 6.6), ([8.0, 8.1, 8.9], None), ([8.0, 9.5], None),
    ([8.0, 8.9, 9.7], None), ([8.0, 8.1, 8.2, 82.0], 82.0), ([8.0, 8.0, 8.0], None), ([8.0, 8.1, 60.0, 82.0], None),
])  # fmt: skip
def test_one_watch_that_lies_far_from_several_which_agree_is_the_wrong_one(seconds, odd):
    assert odd_one(seconds) == odd
    assert too_far_apart(seconds) or odd is None


def test_the_one_wrong_watch_among_several_is_named_and_none_counts_before_it_is_taken_back(entered, folder):
    for down in ("8", "9.5", "8.1"):
        flight = entered("watch", down=down)
    assert by_watches(flight, "time") is None, "all three lie within a second and a tenth"
    assert after_launch(folder, "f1").asked_back == [
        "9.5 s to the ground can’t be right beside 8 s and 8.1 s, which agree. None of these times counts before the "
        "wrong one is taken back"]
    flight = entered("withdraw", which=flight.watch[1].entry)
    assert by_watches(flight, "time").seconds == pytest.approx(8.05)


@pytest.mark.parametrize(("seconds", "why"), [
    ("0.8 1.4", "0.8 s and 1.4 s can’t both be right"), ("0.8 0.9 8 s", "8 s can’t be right beside 0.8 s and"),
])  # fmt: skip
def test_times_of_falling_grass_that_are_far_apart_are_asked_back_by_their_field(entered, seconds, why):
    with pytest.raises(FieldsError) as refused:
        entered("wind", how="grass", drifted="2.4", seconds=seconds, drop="1.5")
    assert refused.value.fields["seconds"].startswith(why)


@pytest.mark.parametrize(("given", "height", "speed", "spread"), [
    ({"how": "gauge", "speed": "3", "height": "1.5"}, 1.5, 3.0, 0.3),
    ({"how": "gauge", "speed": "3 m/s ± 0.2 m/s", "height": "2 m", "gust": "4", "from": "SW"}, 2.0, 3.0, 0.2),
    ({"how": "words", "force": "3"}, 10.0, 4.4, 0.58),
    ({"how": "strip", "lean": "45", "cloth": "120", "height": "1.5"}, 1.5, 1.36, 0.30),
    ({"how": "grass", "drifted": "2.4", "seconds": "0.8 0.9 s", "drop": "1.5"}, 0.75, 2.82, 0.28),
])
def test_wind_is_read_in_four_ways_each_with_its_spread(entered, given, height, speed, spread):
    (wind,) = entered("wind", **given).wind
    assert (wind.height.value, wind.how) == (height, given["how"])
    assert (wind.speed.value, wind.speed.spread) == (pytest.approx(speed, rel=0.01), pytest.approx(spread, rel=0.05))
    assert (wind.gust is None) == ("gust" not in given)


def test_a_wind_is_held_to_the_limit_at_its_worse_end_and_learned_from_at_its_middle(entered):
    growth = Growth(10.0)
    of_day = DayRocket("Wren", "B07", "A", None, "", 0.0, 0.0, 7.0, 0, wind_height_m=10.0, wind_grows=tuple(growth),
                       winds=tuple((30.0 * k, 3.0 if k == 6 else 7.0) for k in range(12)), wind_from=(0.0, 20.0))
    entered("wind", how="gauge", speed="4.8 m/s ± 0.3 m/s", height="1.5", **{"from": "N"})
    flight = entered("wind", how="gauge", speed="4.6 m/s ± 0.3 m/s", height="1.5", **{"from": "N"})
    over, under = AfterLaunch(flight, METRIC, growth, 1).winds
    assert held_to(of_day, over, METRIC) == (
        "over 5 m/s from N, in the hand, 1.5 m up; that is 7 m/s at 10 m: 5.1 m/s counts", True)
    assert held_to(of_day, under, METRIC)[1] is False, "4.9 m/s counts"
    middle = (10.0 / 1.5) ** (1.0 / 7.0)
    assert 5.1 * middle < 7.0 < 5.1 * (10.0 / 1.5) ** (1.0 / 7.0 + 0.03), "the law's middle would have let it pass"
    assert over.there.startswith(f"{4.8 * middle:.1f} m/s ± "), "the flight is learned from with the middle and its ±"
    unsaid = AfterLaunch(entered("wind", how="gauge", speed="3", height="1.5"), METRIC, growth, 1).winds[2]
    assert held_to(of_day, unsaid, METRIC)[1], "nobody wrote from where, so the least limit holds"
    assert held_to(None, unsaid, METRIC) == (
        "no limit is known here, for no day is kept that has one for this launch", False)


@pytest.mark.parametrize(("given", "away", "bearing"), [
    ({"how": "paces", "paces": "60", "pace": "0.75", "towards": "NE"}, (45.0, 2.37), (45.0, 5.0)),
    ({"how": "tape", "away": "45"}, (45.0, 0.45), None), ({"how": "tape", "away": "20 m ± 1 m"}, (20.0, 1.0), None),
    ({"how": "map", "east": "30", "north": "-40", "off": "4"}, (50.0, 4.0), (143.0, 4.6)),
])
def test_the_landing_place_comes_by_paces_tape_or_the_map(entered, given, away, bearing):
    said = {one.what: bw.quantities.parse_quantity(one.value, bw.quantities.Dimension.LENGTH)
            for one in counted(entered("place", **given)) if one.what == "away"}  # fmt: skip
    assert (said["away"].value, said["away"].spread) == pytest.approx(away, rel=0.05)
    ways = [one.value for one in counted(entered("place", **given)) if one.what == "bearing"]
    assert bool(ways) == (bearing is not None)


def test_what_was_really_loaded_and_how_it_came_down(entered):
    flight = entered("loaded", water="480", pressure="4.4 bar", temperature="15", air="18", barometer="1008", sky="sun")
    assert (flight.loaded.water.value, flight.loaded.pressure.value) == (pytest.approx(480e-6), pytest.approx(4.4e5))
    assert (flight.conditions.temperature.value, flight.conditions.pressure.value) == (291.15, pytest.approx(100_800.0))
    flight = entered("down", landing="hard", damage="one fin", seen="it turned at the top", egg="broken")
    assert (flight.landing, flight.damage, flight.egg) == ("hard", "one fin", "broken")
    assert entered("photo", photos="IMG_1.jpg, film 2.mp4").photos == ["IMG_1.jpg", "film 2.mp4"]
    assert entered("withdraw", which="IMG_1.jpg").withdrawn == ["IMG_1.jpg"]
    assert entered("top", away="8 ± 3", towards="N").top.away.spread == 3.0
    assert entered("value", what="speed", value="22 m/s ± 1 m/s", how="film").measured[0].how == "film"


@pytest.mark.parametrize(("kind", "given", "wrong"), [
    ("watch", {"up": "9", "down": "3"}, "down"), ("watch", {"down": "nine"}, "down"),
    ("sight", {"away": "50"}, "elevation"), ("sight", {"away": "50", "elevation": "45", "side": "left"}, "side"),
    ("wind", {"how": "nose"}, "how"), ("wind", {"how": "gauge", "speed": "3"}, "height"),
    ("wind", {"how": "words"}, "force"),
    ("wind", {"how": "grass", "drifted": "2", "drop": "1.5"}, "seconds"),
    ("place", {"how": "paces", "paces": "many", "pace": "0.7"}, "paces"),
    ("place", {"how": "boat"}, "how"),
    ("down", {"landing": "upside"}, "landing"),
    ("down", {"egg": "fried"}, "egg"), ("photo", {"photos": "/home/k/IMG_1.jpg"}, "photos"),
    ("value", {"what": "luck", "value": "3 m"}, "what"), ("value", {"what": "height", "value": "3 kg"}, "value"),
])  # fmt: skip
def test_an_answer_that_is_none_is_said_by_its_field_and_nothing_is_written(folder, kind, given, wrong):
    (path,) = (folder / FOLDER / "flights").glob("*.toml")
    before = path.read_bytes()
    with pytest.raises(FieldsError) as said:
        enter(folder, "f1", kind, given, AT)
    assert list(said.value.fields) == [wrong]
    assert path.read_bytes() == before


@pytest.mark.parametrize(("kind", "given"), [
    ("dance", {}), *((kind, {}) for kind in ("watch", "loaded", "down", "photo", "withdraw")),
    ("sight", {"away": "0.2", "elevation": "45"}),
])
def test_an_empty_form_and_one_out_of_bounds_are_refused(folder, kind, given):
    with pytest.raises(InputError):
        enter(folder, "f1", kind, given, AT)
    with pytest.raises(InputError, match="no launch"):
        enter(folder, "2027-03-21-01", "watch", {"down": "9"}, AT)


def test_every_kind_and_every_way_to_land_is_one_of_the_files(entered):
    assert set(KINDS) >= {"watch", "sight", "wind", "loaded", "place", "down", "photo", "withdraw"}
    for landing in LANDINGS:
        assert entered("down", landing=landing).landing == landing


@pytest.fixture(scope="module")
def curlew():
    return bw.read("examples/curlew/rocket.toml")


def test_a_loaded_rocket_is_foretold_once_before_it_leaves(tmp_path, curlew):
    name = foretell(tmp_path, curlew, {"team": "7"}, AT, "load-1")
    assert foretell(tmp_path, curlew, {"team": "7"}, AT, "load-1") == name == "2027-03-20-01"
    it_left(tmp_path, name, "2027-03-20T11:20:00", "K", crew={"pump": "A"}, pressurised="c1")
    flight = launch_of(tmp_path / FOLDER, name)
    told = flight.prediction
    assert told.made < flight.at
    assert told.height_low.value < told.height.value < told.height_high.value
    assert told.time_up_low.value < told.time_up.value < told.time.value < told.time_high.value
    assert (flight.digest, flight.team, flight.crew["pump"], flight.pressurised) == (curlew.digest, "7", "A", "c1")
    assert (told.water.value, told.wind_height.value) == (pytest.approx(curlew.design.charge.water.value), 2.0)


def test_flights_that_were_flown_already_are_what_is_foretold(tmp_path, curlew):
    many = curlew.fly_many(50)
    told = prediction_of(curlew, AT, many)
    assert told["height"].startswith(f"{np.median(many.columns()['apogee_m']):.2f} m ± ")
    with pytest.raises(InputError, match="another design"):
        foretell(tmp_path, curlew.changed({"charge.pressure": "3 bar"}), {}, AT, many=many)


def test_a_rocket_that_did_not_leave_counts_in_no_contest(tmp_path, curlew):
    name = foretell(tmp_path, curlew, {}, AT)
    it_left(tmp_path, name, "2027-03-20T11:10:00")
    it_stayed(tmp_path, name, "2027-03-20T11:20:00", "the pressure was let off")
    flight = launch_of(tmp_path / FOLDER, name)
    assert (flight.counts, flight.at) == (False, None)
    assert "did not leave" in flight.seen


def test_a_launch_that_was_called_off_is_none_to_measure(tmp_path, curlew):
    left, called_off = (foretell(tmp_path, curlew, {}, AT) for _ in range(2))
    it_left(tmp_path, left, "2027-03-20T11:10:00")
    assert [one.name for one in launches_of(tmp_path)] == [called_off, left]
    it_stayed(tmp_path, called_off, "2027-03-20T11:20:00", "misfire")
    assert [one.name for one in launches_of(tmp_path)] == [left]
    for measured in (lambda: enter(tmp_path, called_off, "watch", {"down": "9"}, AT),
                     lambda: Logbook(tmp_path).measure(called_off, {"height": "50 m"}, {})):
        with pytest.raises(InputError, match=r"did not leave \(misfire\): nothing is measured of it"):
            measured()
    enter(tmp_path, called_off, "photo", {"photos": "stuck.jpg"}, AT)
    assert after_launch(tmp_path, called_off).stayed == "misfire"
    assert not after_launch(tmp_path, left).stayed
