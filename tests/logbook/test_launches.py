"""A launch's file: readings are added, a value is put right, nothing that stood there is lost, whoever merges."""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from written_down import FLIGHT

from bottlewright.errors import InputError
from bottlewright.logbook.book import Book, merged, open_questions, read_book
from bottlewright.logbook.files import read_record, tables_of, write_record
from bottlewright.logbook.forgetting import forget
from bottlewright.logbook.launches import add_to_launch, all_launches, launch_of, write_launch
from bottlewright.logbook.measured import by_angles, by_watches, counted, said
from bottlewright.logbook.records import FlightFile

AT = "2027-03-20T11:00:00"


@pytest.fixture
def folder(tmp_path):
    write_record(tmp_path / "flights" / "2027-03-20-03-curlew.toml", FLIGHT)
    return tmp_path


def watches(*seconds: str, of: str = "time") -> dict[str, list[dict[str, str]]]:
    return {"watch": [{"entry": f"w{number}", "of": of, "took": one} for number, one in enumerate(seconds)]}


def test_stopwatches_of_several_people_make_one_mean(folder):
    flight = add_to_launch(folder, "2027-03-20-03", watches("9.0 s", "9.4 s", "9.2 s"), {}, AT, "K")
    timed = by_watches(flight, "time")
    assert (timed.seconds, timed.count) == (pytest.approx(9.2), 3)
    (time,) = [one for one in counted(flight) if one.what == "time"]
    assert (time.value, time.how) == ("9.20 s ± 0.12 s", "mean of 3 stopwatches to the ground")


def test_what_was_withdrawn_counts_no_more_and_stays_in_the_file(folder):
    add_to_launch(folder, "f1", watches("9.0 s", "90 s"), {}, AT, None)
    flight = add_to_launch(folder, "f1", {}, {}, AT, None, ["w1"])
    assert by_watches(flight, "time").seconds == 9.0
    (path,) = (folder / "flights").glob("*.toml")
    assert 'took = "90 s"' in path.read_text(encoding="utf-8")


def test_what_is_sent_twice_counts_once(folder):
    for _ in range(2):
        flight = add_to_launch(folder, "f1", {**watches("9.0 s"), "photos": ["IMG_1.jpg", "IMG_2.jpg"]}, {}, AT, None)
    assert (len(flight.watch), flight.photos) == (1, ["IMG_1.jpg", "IMG_2.jpg"])


def test_a_value_that_is_put_right_leaves_what_stood_there_and_is_no_question(folder):
    flight = add_to_launch(folder, "f1", {}, {"loaded.water": "480 mL", "landing": "hard"}, AT, "K")
    assert (flight.loaded.water.text, flight.landing) == ("480 mL", "hard")
    assert {(one.key, one.was, one.now, one.by) for one in flight.corrected} == {
        ("loaded.water", '"500 mL"', '"480 mL"', "K"), ("landing", '"tree"', '"hard"', "K")}
    assert open_questions(read_book(folder)) == []


def test_an_older_copy_brings_nothing_back_that_was_put_right(folder):
    older = read_book(folder)
    add_to_launch(folder, "f1", {}, {"loaded.water": "480 mL"}, AT, None)
    for both in (merged(older, read_book(folder)), merged(read_book(folder), older)):
        assert both == read_book(folder)


def test_two_who_put_one_value_right_otherwise_are_asked():
    before = tables_of(FLIGHT)
    def corrected(now: str) -> Book:
        entry = {"key": "loaded.water", "was": '"500 mL"', "now": f'"{now}"', "at": AT}
        return Book(flights={"f1": {**before, "loaded": {**before["loaded"], "water": now}, "corrected": [entry]}})

    one, other = corrected("480 mL"), corrected("470 mL")
    (question,) = open_questions(merged(one, other))
    assert question.values == ('"470 mL"', '"480 mL"')


def test_a_value_mended_in_an_editor_after_it_was_put_right_is_the_file_s(folder):
    add_to_launch(folder, "f1", {}, {"loaded.water": "480 mL"}, AT, None)
    (path,) = (folder / "flights").glob("*.toml")
    path.write_text(path.read_text(encoding="utf-8").replace('water = "480 mL"', 'water = "500 mL"'), encoding="utf-8")
    book = read_book(folder)
    assert book.flights["f1"]["loaded"]["water"] == "500 mL"
    assert open_questions(book) == []
    assert merged(book, book) == book


changes = st.lists(st.tuples(st.integers(0, 2), st.sampled_from(["470 mL", "480 mL", "490 mL"]), st.integers(0, 3)),
                   max_size=5)  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(changes)
def test_copies_that_were_put_right_apart_become_one_in_every_order(tmp_path_factory, told):
    """Three copies of one file, each corrected by itself and some of them merged meanwhile."""
    folders = [tmp_path_factory.mktemp("copy") for _ in range(3)]
    for one in folders:
        write_record(one / "flights" / "2027-03-20-03-curlew.toml", FLIGHT)
    for number, (whose, water, minute) in enumerate(told):
        add_to_launch(folders[whose], "f1", watches(f"{9 + number} s"), {"loaded.water": water},
                      f"2027-03-20T11:0{minute}:00", None)
    books = [read_book(one) for one in folders]
    found = [merged(merged(books[a], books[b]), books[c]) for a, b, c in permutations(range(3))]
    assert all(one == found[0] for one in found)
    assert all(merged(found[0], one) == found[0] for one in books)


def test_a_launch_gets_the_next_number_of_its_day_and_is_begun_once(folder):
    tables = {"entry": "f9", "day": "2027-03-20", "rocket": "Wren"}
    assert write_launch(folder, tables).number == 4
    assert write_launch(folder, tables).number == 4
    assert [one.entry for one in all_launches(folder)] == ["f9", "f1"]


def test_a_launch_that_two_copies_called_alike_is_asked_for_by_its_entry(folder):
    other = FlightFile.model_validate({**tables_of(FLIGHT), "entry": "f2"})
    write_record(folder / "flights" / "2027-03-20-03-curlew-f2.toml", other)
    with pytest.raises(InputError, match="f1 or f2"):
        launch_of(folder, "2027-03-20-03")
    assert launch_of(folder, "f2").entry == "f2"
    with pytest.raises(InputError, match="no launch"):
        launch_of(folder, "2027-03-20-09")


def test_a_file_that_takes_nothing_stays_as_it_was(folder):
    (path,) = (folder / "flights").glob("*.toml")
    before = path.read_bytes()
    for lists, values in (({"watch": [{"entry": "w", "of": "time", "took": "9 m"}]}, {}), ({}, {"landing": "upside"}),
                          ({}, {"loaded.milk": "1 L"})):
        with pytest.raises(InputError):
            add_to_launch(folder, "f1", lists, values, AT, None)
    assert path.read_bytes() == before


SIGHTS = [{"entry": "a", "away": "60 m", "side": "S", "eye": "1.5 m", "elevation": "38.9 deg"},
          {"entry": "b", "away": "60 m", "side": "90 deg", "eye": "1.5 m", "elevation": "38.9 deg"},
          {"entry": "c", "away": "60 m", "side": "NW", "eye": "1.5 m", "elevation": "38.9 deg"}]  # fmt: skip


def test_angles_of_three_people_make_one_height(folder):
    flight = add_to_launch(folder, "f1", {"sight": SIGHTS}, {}, AT, None)
    seen = by_angles(flight)
    assert seen.height == pytest.approx(49.9, abs=0.1)
    heights = {one.how: one.value for one in counted(flight) if one.what == "height"}
    assert heights[f"angles: {seen.says}"] == said(seen.height, seen.u_height, "m")


def test_stations_that_disagree_are_no_measurement_and_stay_in_the_file(folder):
    wrong = [SIGHTS[0], {**SIGHTS[1], "elevation": "60 deg"}]
    flight = add_to_launch(folder, "f1", {"sight": wrong}, {"top.away": "0 m ± 1 m"}, AT, None)
    assert not by_angles(flight).counts
    assert [one.how for one in counted(flight)] == ["two stations"]


def test_two_stations_say_on_which_side_they_stand(folder):
    sights = [{key: one for key, one in sight.items() if key != "side"} for sight in SIGHTS[:2]]
    flight = add_to_launch(folder, "f1", {"sight": sights}, {}, AT, None)
    with pytest.raises(InputError, match="which side"):
        by_angles(flight)
    assert len(counted(flight)) == 1


@pytest.mark.parametrize(("value", "spread", "words"), [
    (48.23, 1.94, "48.2 m ± 1.9 m"), (9.204, 0.0577, "9.204 s ± 0.058 s"), (312.0, 23.0, "312 m ± 23 m"),
    (0.5, 0.0, "0.5 m"),
])
def test_a_spread_is_written_with_two_digits(value, spread, words):
    assert said(value, spread, words[-1]) == words


def test_whoever_read_something_goes_out_of_it(tmp_path):
    folder = tmp_path / "logbook"
    write_record(folder / "flights" / "2027-03-20-03-curlew.toml", FLIGHT)
    add_to_launch(folder, "f1", {"sight": [{**SIGHTS[0], "by": "Z. Q."}],
                                 "wind": [{"entry": "v", "how": "words", "speed": "4 m/s", "height": "10 m",
                                           "read": "Z. Q. saw leaves", "by": "Z. Q."}]},
                  {"seen": "Z. Q. saw it turn", "landing": "soft"}, AT, "Z. Q.")  # fmt: skip
    add_to_launch(folder, "f1", {}, {"seen": "it turned"}, AT, "Z. Q.")
    forget(tmp_path, "Z. Q.")
    (path,) = (folder / "flights").glob("*.toml")
    assert "Z. Q." not in path.read_text(encoding="utf-8")
    assert read_record(path, FlightFile).sight[0].by == "somebody"
