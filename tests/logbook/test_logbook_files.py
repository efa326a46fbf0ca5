"""What is written by hand or by program is read again, or refused with its line."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from written_down import FLIGHT, cycle

from bottlewright.design.errors import DesignError
from bottlewright.errors import InputError
from bottlewright.logbook.book import read_book
from bottlewright.logbook.files import FOLDER, parse_record, read_record, tables_of, vessel_file, write_record, writing
from bottlewright.logbook.raw import SUMS, altered_files, keep_raw, raw_files
from bottlewright.logbook.records import FlightFile, Inspection, VesselFile, VesselTest
from bottlewright.logbook.vessels import (
    add_entries,
    carry_over,
    counted,
    cycles_by,
    new_vessel,
    read_vessel,
    retired_because,
)
from bottlewright.project.logbook import Logbook
from strategies import share

B07 = """\
# Our oldest bottle. Handle with love.
schema = 1
id = "B07"
bottle = "1.5 litre fizzy"
opened = 2027-02-01   # Ada's birthday
earlier = 0

[[test]]
at = "2027-03-01T10:00:00"
pressure = "7.5 bar"
hold = "60 s"
medium = "water"
passed = true
# the tape measure was lost

[[pressurised]]
entry = "p1"
at = "2027-03-06T14:05:00"
peak = "4.5 bar ± 0.1 bar"
ended = "launched"
"""


@pytest.fixture
def folder(tmp_path) -> Path:
    path = vessel_file(tmp_path / FOLDER, "B07")
    path.parent.mkdir(parents=True)
    path.write_text(B07, encoding="utf-8")
    return tmp_path / FOLDER


def test_a_file_written_by_hand_is_read(folder):
    vessel = read_vessel(folder, "B07")
    assert vessel.opened == "2027-02-01"
    assert vessel.test[0].pressure.value == pytest.approx(7.5e5)
    assert vessel.pressurised[0].peak.spread == pytest.approx(1e4)


def test_the_comments_of_who_wrote_it_stay_when_an_entry_is_added(folder):
    add_entries(folder, "B07", [cycle("p2")])
    text = vessel_file(folder, "B07").read_text(encoding="utf-8")
    assert all(words in text for words in ("Handle with love", "Ada's birthday", "the tape measure was lost"))
    assert [one.entry for one in read_vessel(folder, "B07").pressurised] == ["p1", "p2"]


def test_the_same_entry_sent_twice_is_one_cycle(folder):
    for _ in range(3):
        add_entries(folder, "B07", [cycle("p2")])
    assert counted(read_vessel(folder, "B07")) == 3  # the test, the launch, the vented one


def test_a_vented_one_is_a_cycle_too(folder):
    before = counted(read_vessel(folder, "B07"))
    add_entries(folder, "B07", [cycle("p2", ended="vented")])
    assert counted(read_vessel(folder, "B07")) == before + 1


def test_of_a_bottle_whose_earlier_use_nobody_knows_the_count_is_not_known(folder):
    vessel = read_vessel(folder, "B07").model_copy(update={"earlier": None})
    assert counted(vessel) is None


@pytest.mark.parametrize(("line", "key", "says"), [
    ('earlier = "four"', "earlier", "a whole number"),
    ('opend = "2027-02-01"', "opend", "did you mean 'opened'?"),
    ('opened = "1 February"', "opened", "2027-03-06"),
    ('id = "B 07"', "id", "letters a to z, digits"),
    ("schema = 9", "schema", "use a newer one"),
])
def test_what_is_wrong_is_refused_with_its_line(folder, line, key, says):
    path = vessel_file(folder, "B07")
    kept = [one for one in B07.splitlines() if not one.startswith(f"{key} =")]
    path.write_text("\n".join([kept[0], line, *kept[1:]]), encoding="utf-8")
    with pytest.raises(DesignError) as refused:
        read_vessel(folder, "B07")
    problem = next(one for one in refused.value.problems if one.path == key)
    assert problem.line == 2
    assert says in str(problem)
    assert str(path) == refused.value.source


def test_a_file_that_can_not_be_read_is_not_written_over(folder):
    path = vessel_file(folder, "B07")
    path.write_text(B07.replace("earlier = 0", "earlier ="), encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(DesignError, match="line 6"):
        add_entries(folder, "B07", [cycle("p2")])
    assert path.read_bytes() == before


def test_a_file_under_another_bottles_name_is_refused(folder):
    path = vessel_file(folder, "B07")
    path.rename(path.with_name("B08.toml"))
    with pytest.raises(DesignError, match="the id is on the bottle"):
        read_vessel(folder, "B08")


def test_two_bottles_never_share_an_id(folder):
    with pytest.raises(InputError, match="already"):
        new_vessel(folder, VesselFile(id="b07"))


def test_a_link_that_leads_nowhere_is_said_to_be_one_and_no_bottle(folder):
    vessel_file(folder, "B08").symlink_to(folder / "gone.toml")
    with pytest.raises(InputError, match=r"logbook/vessels/B08.toml is a link that leads nowhere; take it away"):
        new_vessel(folder, VesselFile(id="B08"))


@pytest.mark.parametrize("place", ["logbook", "logbook/vessels"])
def test_a_file_in_place_of_a_folder_of_the_logbook_is_named_by_whoever_would_write_or_read(tmp_path, place):
    (tmp_path / place).parent.mkdir(exist_ok=True)
    (tmp_path / place).write_text("", encoding="utf-8")
    for does in (lambda: new_vessel(tmp_path / "logbook", VesselFile(id="B08")),
                 lambda: read_book(tmp_path / "logbook")):  # fmt: skip
        with pytest.raises(InputError, match=f"^{place} is a file, where the logbook has a folder"):
            does()


@pytest.mark.parametrize("name", ["CON", "nul", "Aux", "com1"])
def test_no_bottle_has_a_name_that_windows_keeps_for_a_device(tmp_path, name):
    with pytest.raises(InputError, match=f"id is '{name}', and Windows takes no file of that name"):
        Logbook(tmp_path).begin_bottle(name, {})


def test_an_entry_for_an_unknown_bottle_is_refused(folder):
    with pytest.raises(InputError, match="nobody knows a bottle B99"):
        add_entries(folder, "B99", [cycle("p2")])


def test_older_files_are_brought_up_to_date_version_by_version():
    steps = {1: lambda data: {"schema": 2, "id": data["id"], "opened": data["bought"]},
             2: lambda data: {**data, "schema": 1, "earlier": 0}}
    text = 'schema = 1\nid = "B07"\nbought = "2027-02-01"\n'
    vessel = parse_record(text, VesselFile, steps, 3)
    assert (vessel.opened, vessel.earlier) == ("2027-02-01", 0)


@pytest.mark.parametrize(("entry", "because"), [
    (cycle("p2", ended="leak"), "it leaked on 2027-03-20"),
    (cycle("p2", ended="burst"), "it burst on 2027-03-20"),
    (VesselTest.model_validate({"at": "2027-03-20", "pressure": "7 bar", "hold": "60 s", "medium": "water",
                            "passed": False}), "it failed a test on 2027-03-20"),
    (Inspection(at="2027-03-20", adult="M. Roe", fit=False), "M. Roe found it unfit on 2027-03-20"),
])
def test_a_failed_test_a_leak_and_an_inspection_retire_the_bottle(folder, entry, because):
    assert retired_because(read_vessel(folder, "B07")) == ""
    assert retired_because(add_entries(folder, "B07", [entry])) == because


def test_tests_count_as_few_times_before_them_as_may_be(folder):
    vessel = read_vessel(folder, "B07")
    assert cycles_by(vessel, "2027-03-01T10:00:00") == 1
    assert cycles_by(vessel, "2027-03-06") == 2  # the launch of that day may have come after it
    assert cycles_by(vessel, "2027-03-06T15:00:00") == 3


def test_what_a_crash_left_in_the_journal_only_is_carried_over(folder):
    from bottlewright.logbook.journal import append_line, journal_file

    said = {"entry": "p9", "at": "2027-03-20T10:15:00", "what": "pressurised", "vessel": "B07", "peak": "4.6 bar",
            "ended": "vented"}
    append_line(journal_file(folder, "2027-03-20"), said)
    append_line(journal_file(folder, "2027-03-20"), {**said, "vessel": "B99", "entry": "p10"})
    assert carry_over(folder) == {"B07": 1}
    assert carry_over(folder) == {}
    assert counted(read_vessel(folder, "B07")) == 3


def test_a_launch_is_read_back_as_it_was_written(tmp_path):
    path = tmp_path / "flights" / "2027-03-20-03-curlew.toml"
    write_record(path, FLIGHT)
    assert tables_of(read_record(path, FlightFile)) == tables_of(FLIGHT)
    text = path.read_text(encoding="utf-8")
    assert '# drawn by "K"\n[vessel]\n' in text  # the design as a person reads it
    later = FLIGHT.model_copy(update={"seen": "straight", "landing": "roof"})
    write_record(path, later)
    assert tables_of(read_record(path, FlightFile)) == tables_of(later)


def test_a_loggers_file_is_kept_byte_for_byte(tmp_path):
    content = bytes(range(256)) + b"\r\n\x00"
    kept = keep_raw(tmp_path, "../fly 1.csv", content)
    keep_raw(tmp_path, "../fly 1.csv", content)
    (path,) = raw_files(tmp_path)
    assert path.read_bytes() == content
    assert path.name == f"{kept.sha256[:12]}-fly_1.csv"
    assert f"{kept.sha256}  {path.name}\n" == (tmp_path / "raw" / SUMS).read_text(encoding="utf-8")


def test_a_loggers_file_that_was_changed_is_told(tmp_path):
    keep_raw(tmp_path, "a.csv", b"1,2")
    keep_raw(tmp_path, "b.csv", b"3,4")
    assert altered_files(tmp_path) == []
    first, second = raw_files(tmp_path)
    first.write_bytes(b"1,3")
    second.unlink()
    keep_raw(tmp_path, "c.csv", b"5,6")
    assert altered_files(tmp_path) == sorted([first.name, second.name])


def test_one_writes_at_a_time(tmp_path, monkeypatch):
    monkeypatch.setattr("bottlewright.logbook.files._PATIENCE", 0.01)
    with writing(tmp_path), pytest.raises(InputError, match="another program"), writing(tmp_path):
        pass


@given(st.one_of(st.text(max_size=80), st.lists(st.sampled_from([
    'id = "B07"', "id = 7", "[[test]]", "[[pressurised]]", 'at = "2027-03-06"', "at = 2027-03-06", 'ended = "vented"',
    'peak = "4 bar"', "peak = 4", "schema = 1", "schema = 2", 'schema = "x"', "earlier = -1", "[differs]", "x = [",
    'opened = "2027-02-30"', "retired = true", "[test]",
]), max_size=8).map("\n".join)))  # fmt: skip
@settings(max_examples=share(300))
def test_any_text_is_read_or_refused_in_words(text):
    for model in (VesselFile, FlightFile):
        problems: tuple = ()
        try:
            assert tables_of(parse_record(text, model))["schema"] == 1
        except DesignError as error:
            problems = error.problems
        assert all(str(problem) and "\n" not in str(problem) for problem in problems)
