"""Two phones and a laptop, cut apart and joined again in any order, have one and the same logbook."""

import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from written_down import FLIGHT, cycle

from bottlewright.design.errors import DesignError
from bottlewright.logbook.book import Book, merge_folders, merged, open_questions, read_book, write_book
from bottlewright.logbook.files import canonical, read_record
from bottlewright.logbook.journal import append_line, journal_file
from bottlewright.logbook.records import FlightFile, VesselFile
from bottlewright.logbook.vessels import add_entries, counted, new_vessel, read_vessel, retired_because

days = st.sampled_from(["2027-03-06", "2027-03-20", "2027-04-10"])
cycles = st.fixed_dictionaries(
    {"at": days, "ended": st.sampled_from(["launched", "vented", "leak"])},
    optional={"entry": st.sampled_from(["a", "b", "c", "d"]), "peak": st.sampled_from(["4 bar", "4.5 bar", "65 psi"]),
              "by": st.sampled_from(["K", "7"])},
)  # fmt: skip
vessels = st.fixed_dictionaries(
    {"schema": st.just(1), "id": st.just("B07")},
    optional={"opened": days, "earlier": st.integers(0, 3), "retired": st.sampled_from(["dented", "stepped on"]),
              "notes": st.sampled_from(["one", "two\nlines"]), "pressurised": st.lists(cycles, min_size=1, max_size=4)},
)  # fmt: skip
flights = st.fixed_dictionaries(
    {"schema": st.just(1), "entry": st.just("f1"), "day": st.just("2027-03-20"), "number": st.integers(1, 2),
     "rocket": st.sampled_from(["Curlew", "Wren"])},
    optional={"seen": st.sampled_from(["straight", "it tumbled"]), "crew": st.dictionaries(
        st.sampled_from(["pumped", "pulled"]), st.sampled_from(["K", "M"]), min_size=1),
        "loaded": st.fixed_dictionaries({"water": st.sampled_from(["500 mL", "0.5 L"])}),
        "photos": st.lists(st.sampled_from(["1.jpg", "2.jpg"]), min_size=1, max_size=2)},
)  # fmt: skip
lines = st.frozensets(st.sampled_from([b'{"entry": "1"}', b'{"entry": "1", "n": 2}', b'{"torn', b'{"entry": "2"}']),
                      min_size=1)


@st.composite
def books(draw) -> Book:
    def some(records):
        return {key: record for key in ("x", "y") if (record := draw(st.none() | records)) is not None}

    book = Book(some(vessels), some(flights), some(lines), some(st.just(b"bytes")))
    return merged(book, book)  # in the order in which a folder is read


@given(books(), books())
def test_it_does_not_matter_who_merges_with_whom(one, other):
    assert merged(one, other) == merged(other, one)


@given(books(), books(), books())
def test_it_does_not_matter_in_which_order(one, other, third):
    assert merged(merged(one, other), third) == merged(one, merged(other, third))


@given(books(), books())
def test_merging_again_changes_nothing(one, other):
    both = merged(one, other)
    assert merged(both, one) == both == merged(both, both)


def _said(tables, path=""):
    """List every value that stands in a record, with its key."""
    for key, value in tables.items():
        if key == "differs":
            yield from ((one["key"], one["value"]) for one in value)
        elif isinstance(value, dict):
            yield from _said(value, f"{path}{key}.")
        else:
            for one in value if isinstance(value, list) else [value]:
                yield f"{path}{key}", canonical(one)


@given(books(), books())
def test_nothing_is_lost(one, other):
    both = merged(one, other)
    for kind in ("vessels", "flights"):
        for book in (one, other):
            for key, tables in getattr(book, kind).items():
                assert set(_said(tables)) <= set(_said(getattr(both, kind)[key]))
    for day in one.days:
        assert one.days[day] <= both.days[day]


@given(books(), books())
def test_two_launches_that_were_written_alike_are_two(one, other):
    both = merged(one, other)
    for book in (one, other):
        for key, tables in book.vessels.items():
            for entry in tables.get("pressurised", []):
                assert both.vessels[key]["pressurised"].count(entry) >= tables["pressurised"].count(entry)


@given(vessels, vessels)
def test_what_contradicts_is_a_question_and_nothing_else_is(one, other):
    both = merged(Book({"B07": one}), Book({"B07": other}))
    asked = {question.what for question in open_questions(both)}
    for key in ("opened", "earlier", "retired", "notes"):
        differ = key in one and key in other and one[key] != other[key]
        assert (key in asked) == differ


@given(vessels, vessels)
@settings(max_examples=50)
def test_until_it_is_answered_the_worse_one_counts(one, other):
    both = VesselFile.model_validate(merged(Book({"B07": one}), Book({"B07": other})).vessels["B07"])
    for single in map(VesselFile.model_validate, (one, other)):
        assert not single.opened or both.opened <= single.opened
        assert not retired_because(single) or retired_because(both)
        if counted(single) is not None:
            assert counted(both) >= counted(single)


def device(folder: Path, name: str, number: int) -> Path:
    """Return the logbook of a device that has recorded alone."""
    folder = folder / name
    if not read_vessel(folder, "B07"):
        new_vessel(folder, VesselFile(id="B07", earlier=0))
    add_entries(folder, "B07", [cycle(f"{name}-1"), cycle(f"{name}-2", peak="5 bar")])
    append_line(journal_file(folder, "2027-03-20"), {"entry": name, "at": "2027-03-20T10:00:00"})
    flight = FLIGHT.model_copy(update={"entry": f"f-{name}", "number": 1, "seen": f"by device {number}"})
    write_book(folder, Book(flights={flight.entry: flight.model_dump(by_alias=True, exclude_none=True)}))
    return folder


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_two_phones_and_a_laptop_end_with_one_logbook(tmp_path, order):
    folders = [device(tmp_path, name, number) for number, name in enumerate(["phone1", "phone2", "laptop"])]
    first, second, third = (folders[number] for number in order)
    merge_folders(first, second)
    merge_folders(third, first)
    for folder in (first, second):
        merge_folders(folder, third)
    found = [read_book(folder) for folder in folders]
    assert found[0] == found[1] == found[2]
    assert counted(read_vessel(first, "B07")) == 6  # no cycle lost, none twice
    assert len(list((first / "flights").glob("*.toml"))) == 3  # all three were "the first of the day"
    assert len(found[0].days["2027-03-20"]) == 3
    assert merge_folders(first, second) == []


def test_the_same_folder_merged_twice_stays_as_it_is_to_the_byte(tmp_path):
    one, other = device(tmp_path, "one", 1), device(tmp_path, "other", 2)
    merge_folders(one, other)
    before = {path: path.read_bytes() for path in one.rglob("*") if path.is_file()}
    merge_folders(one, other)
    assert {path: path.read_bytes() for path in one.rglob("*") if path.is_file()} == before


def test_one_entry_with_two_wordings_is_kept_twice_and_asked_about(tmp_path):
    one, other = tmp_path / "one", tmp_path / "other"
    for folder, peak in ((one, "4.5 bar"), (other, "5.4 bar")):
        new_vessel(folder, VesselFile(id="B07", earlier=0))
        add_entries(folder, "B07", [cycle("p1", peak=peak)])
    (question,) = merge_folders(one, other)
    assert question.what == "pressurised p1"
    assert "4.5 bar" in str(question)
    assert "5.4 bar" in str(question)
    assert counted(read_vessel(one, "B07")) == 1  # it was one time under pressure


def test_a_copy_that_can_not_be_read_changes_nothing(tmp_path):
    one, other = device(tmp_path, "one", 1), device(tmp_path, "other", 2)
    (path,) = (other / "flights").glob("*.toml")
    path.write_text(path.read_text(encoding="utf-8").replace("number = 1", "number ="), encoding="utf-8")
    before = read_book(one)
    with pytest.raises(DesignError, match="line"):
        merge_folders(one, other)
    assert read_book(one) == before


def test_a_launch_that_two_wrote_differently_is_asked_about(tmp_path):
    one, other = tmp_path / "one", tmp_path / "other"
    for folder, seen in ((one, "straight"), (other, "it tumbled")):
        flight = FLIGHT.model_copy(update={"seen": seen})
        write_book(folder, Book(flights={"f1": flight.model_dump(by_alias=True, exclude_none=True)}))
    (question,) = merge_folders(one, other)
    assert (question.file, question.what) == ("flights/f1", "seen")
    (path,) = (one / "flights").glob("*.toml")
    read = read_record(path, FlightFile)
    assert {read.seen, *(one.value.strip('"') for one in read.differs)} == {"straight", "it tumbled"}
