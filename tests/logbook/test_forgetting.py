"""One command takes a person out of every file of a folder, and says what it could not do."""

import datetime as dt
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from days import DAY, Kept, plan, rocket
from days import PEOPLE as CREW
from filelock import FileLock
from pydantic import BaseModel
from written_down import FLIGHT, cycle

from bottlewright.design import complete, parse_design, read_design
from bottlewright.design.digest import design_digest
from bottlewright.design.schema import field_comments
from bottlewright.design.writing import write_design
from bottlewright.errors import InputError
from bottlewright.logbook import forgetting, records
from bottlewright.logbook.book import Book, read_book, write_book
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.forgetting import forget
from bottlewright.logbook.forgetting_records import PERSONS
from bottlewright.logbook.journal import append_line, journal_file, read_journal
from bottlewright.logbook.people import PEOPLE, People
from bottlewright.logbook.phone_journal import PhoneJournal
from bottlewright.logbook.raw import altered_files, keep_raw
from bottlewright.logbook.records import Inspection, VesselFile
from bottlewright.logbook.vessels import add_entries, counted, new_vessel, read_vessel
from bottlewright.project.people import LOCK, forget_alone

CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew" / "rocket.toml"


@pytest.fixture
def folder(tmp_path):
    text = CURLEW.read_text(encoding="utf-8")
    (tmp_path / "rocket.toml").write_text(f"# glued by AXB, with Anna Example\n{text}", encoding="utf-8")
    (tmp_path / "prices.csv").write_text("part,price\nfoam,2\n", encoding="utf-8")
    PhoneJournal(tmp_path, lambda: dt.date(2027, 3, 20)).add([
        {"entry": "1" * 16, "kind": "remark", "who": "AXB", "remark": "AXB saw it, AXBC did not", "photo": "IMG_1.jpg"},
        {"entry": "2" * 16, "kind": "launch", "who": "7", "number": 7, "remark": "launch 7 of 7"},
    ])  # fmt: skip
    People(tmp_path).let_in("AXB", "record")
    People(tmp_path).let_in("7", "pump")
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "IMG_1.jpg").write_bytes(b"\xff\xd8")
    (tmp_path / "photos" / "AXB-in-front.jpg").write_bytes(b"\xff\xd8")
    return tmp_path


def contents(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_person_is_taken_out_of_every_file_and_the_rest_stays(folder):
    before = design_digest(complete(read_design(folder / "rocket.toml")))
    found = forget(folder, "AXB")
    day = "logbook/days/2027-03-20.jsonl"
    assert dict(found.done) == {"rocket.toml": 1, day: 2, PEOPLE: 1}
    assert dict(found.left) == {
        "photos/AXB-in-front.jpg": "its own name holds the person's: rename it",
        "photos/IMG_1.jpg": "a photo of an entry of this person: look at it, and delete it if it shows somebody",
    }
    assert not any(b"AXB" in content.replace(b"AXBC", b"") for content in contents(folder).values())
    first, second = PhoneJournal(folder).read().entries
    assert first == {"entry": "1" * 16, "kind": "remark", "who": "somebody", "photo": "IMG_1.jpg",
                     "remark": "somebody saw it, AXBC did not"}  # fmt: skip
    assert second["who"] == "7"
    assert [one.name for one in People(folder).known()] == ["7"]
    assert design_digest(complete(read_design(folder / "rocket.toml"))) == before


def test_a_number_is_taken_out_where_it_is_a_person_and_nowhere_else(folder):
    text = (folder / "rocket.toml").read_bytes()
    found = forget(folder, "7")
    assert sum(place.places for place in found.done) == 2
    assert (folder / "rocket.toml").read_bytes() == text
    second = PhoneJournal(folder).read().entries[1]
    assert second == {"entry": "2" * 16, "kind": "launch", "who": "somebody", "number": 7, "remark": "launch 7 of 7"}


def test_a_whole_name_in_a_comment_goes_too_however_it_is_written(folder):
    assert dict(forget(folder, "anna example").done) == {"rocket.toml": 1}
    assert "Anna" not in (folder / "rocket.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["7", "AXB"])
def test_who_measured_and_who_confirmed_goes_out_of_the_design(folder, name):
    path = folder / "rocket.toml"
    write_design(path, {"measured.by": name, "recovery.mechanism.tests.confirmed_by": name,
                        "recovery.mechanism.tests.tries": 7})  # fmt: skip
    before = parse_design(path.read_text(encoding="utf-8"))
    assert "rocket.toml" in dict(forget(folder, name).done)
    after = parse_design(path.read_text(encoding="utf-8"))
    assert after.measured.by == after.recovery.mechanism.tests.confirmed_by == "somebody"
    assert after.recovery.mechanism.tests.tries == 7
    assert (after.charge, after.measured.dry_mass) == (before.charge, before.measured.dry_mass)


def test_a_name_that_counts_in_a_design_is_left_and_said(folder):
    found = forget(folder, "Curlew")
    assert ("rocket.toml", "the name stands where it counts: change it by hand") in found.left
    assert parse_design((folder / "rocket.toml").read_text(encoding="utf-8")).name == "Curlew"


def test_looking_changes_nothing_and_says_the_same(folder):
    before = contents(folder)
    looked = forget(folder, "AXB", look=True)
    assert contents(folder) == before
    assert forget(folder, "AXB") == looked
    assert forget(folder, "AXB").done == []


def test_when_one_file_can_not_be_written_none_is_changed(folder, monkeypatch):
    before, write, written = contents(folder), forgetting.write_over, []

    def fails_at_the_second(path, text):
        if len(written) == 1 and path.name not in written:
            written.append("failed")
            raise OSError(28, "No space left on device")
        written.append(path.name)
        write(path, text)

    monkeypatch.setattr(forgetting, "write_over", fails_at_the_second)
    with pytest.raises(InputError, match="Nothing was changed in any file"):
        forget(folder, "AXB")
    assert contents(folder) == before


def test_no_link_leads_out_of_the_folder(folder, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside")
    (outside / "list.txt").write_text("AXB", encoding="utf-8")
    (folder / "elsewhere").symlink_to(outside)
    (folder / "list.txt").symlink_to(outside / "list.txt")
    forget(folder, "AXB")
    assert (outside / "list.txt").read_text(encoding="utf-8") == "AXB"


def test_a_torn_line_of_the_journal_loses_the_name_too(folder):
    file = journal_file(folder / FOLDER, "2027-03-20")
    with file.open("ab") as stream:
        stream.write(b'{"entry": "3", "who": "AXB", "rem')
    forget(folder, "AXB")
    assert b'"AXB"' not in file.read_bytes()
    assert len(PhoneJournal(folder).read().entries) == 2


def test_the_command_says_which_files_and_a_folder_that_is_open_is_left_to_its_page(folder):
    command = [sys.executable, "-m", "bottlewright", "forget", "AXB", str(folder)]
    with FileLock(folder / LOCK), pytest.raises(InputError, match="page People"):
        forget_alone(folder, "AXB")
    looked = subprocess.run([*command, "--look", "--json"], capture_output=True, text=True, check=True)
    assert json.loads(looked.stdout)["changed"] is False
    assert {"file": "rocket.toml", "places": 1} in json.loads(looked.stdout)["files"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "AXB was taken out of rocket.toml, 1 place\n" in done.stdout
    assert "left to you: photos/AXB-in-front.jpg" in done.stdout
    assert "Not looked into: pictures" in done.stdout
    assert json.loads((folder / PEOPLE).read_text(encoding="utf-8"))["people"][0]["name"] == "7"


# --- the logbook ----------------------------------------------------------------------------------------------------

WHO = "M. Roe"


@pytest.fixture
def beside(tmp_path):
    book = tmp_path / FOLDER
    new_vessel(book, VesselFile(id="B07", earlier=0))
    add_entries(book, "B07", [cycle("p1", by=WHO, note="M. Roe pumped, M. Roebuck watched"),
                              Inspection(at="2027-03-20", adult=WHO, fit=True)])
    flight = FLIGHT.model_copy(update={"crew": {"pumped": WHO, "pulled": "K"}, "seen": "M. Roe saw it",
                                       "design": f"# by {WHO}\n"})  # fmt: skip
    write_book(book, Book(flights={"f1": flight.model_dump(by_alias=True, exclude_none=True)}))
    for entry, by in (("1", WHO), ("2", "K")):
        append_line(journal_file(book, DAY), {"entry": entry, "by": by, "what": "note", "text": f"{by} says"})
    keep_raw(book, "log.csv", b"pilot,M. Roe\n")
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "IMG_1.jpg").write_bytes(b"\xff\xd8")
    return tmp_path


def test_in_the_logbook_the_name_is_gone_and_what_was_done_stays(beside):
    book = beside / FOLDER
    assert dict(forget(beside, WHO).done) == {
        "logbook/vessels/B07.toml": 3, "logbook/flights/2027-03-20-03-curlew.toml": 2,
        "logbook/days/2027-03-20.jsonl": 2}  # fmt: skip
    vessel = read_vessel(book, "B07")
    assert vessel.inspection[0].adult == vessel.pressurised[0].by == "somebody"
    assert vessel.pressurised[0].note == "somebody pumped, M. Roebuck watched"
    assert counted(vessel) == 1
    assert read_book(book).flights["f1"]["crew"] == {"pumped": "somebody", "pulled": "K"}
    assert [one["by"] for one in read_journal(journal_file(book, DAY)).entries] == ["somebody", "K"]
    assert forget(beside, WHO).done == []


def test_what_stays_in_the_logbook_is_told(beside):
    left = dict(forget(beside, WHO).left)
    assert "a design as it was flown" in left.pop("logbook/flights/2027-03-20-03-curlew.toml")
    (raw,) = (why for name, why in left.items() if name.startswith("logbook/raw/"))
    assert "as it came" in raw
    assert "look at it" in left.pop("photos/IMG_1.jpg"), "a picture of a launch of this person"
    assert len(left) == 1
    assert altered_files(beside / FOLDER) == []


def test_comments_of_the_logbook_stay_without_the_name(beside):
    path = beside / FOLDER / "vessels" / "B07.toml"
    text = path.read_text(encoding="utf-8").replace("earlier = 0", "earlier = 0  # M. Roe knows")
    path.write_text(f"# the red one of M. Roe\n{text}", encoding="utf-8")
    forget(beside, WHO)
    assert path.read_text(encoding="utf-8").startswith("# the red one of somebody\n")
    assert "earlier = 0  # somebody knows\n" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["7", "K", "A"])
def test_a_number_or_a_letter_goes_where_a_person_stands_and_never_out_of_a_quantity(beside, name):
    book = beside / FOLDER
    add_entries(book, "B07", [cycle("p2", by=name, peak="7 bar", note=f"{name} bar, {name} saw")])
    crew = {**CREW, "record": CREW["charge"].__class__(name, False)}
    day = DayBook(book, DAY)
    assert day.prepare(plan(rocket("A", "B07"), rocket("7", "B08"), roles=crew), "e0", f"{DAY}T10:00:00", WHO) is None
    flight = FLIGHT.model_copy(update={"entry": "f2", "crew": {"pumped": name}, "team": name, "seen": f"{name} m high"})
    write_book(book, Book(flights={"f2": flight.model_dump(by_alias=True, exclude_none=True)}))
    before = read_vessel(book, "B07").pressurised[1]
    left = dict(forget(beside, name).left)
    after = read_vessel(book, "B07").pressurised[1]
    assert after == before.model_copy(update={"by": "somebody"})
    told = read_book(book).flights["f2"]
    assert (told["crew"], told["team"], told["seen"]) == ({"pumped": "somebody"}, name, f"{name} m high")
    assert any("team" in why for why in left.values()), "a number may be the team's"
    again = DayBook(book, DAY).day
    assert again.plan.rockets == day.day.plan.rockets
    assert again.roles["record"].name == "somebody"


def test_every_key_of_the_records_that_holds_a_person_is_known_for_one():
    models = [one for one in vars(records).values() if isinstance(one, type) and issubclass(one, BaseModel)]
    comments = [pair for one in models if one.__module__ == records.__name__ for pair in field_comments(one).items()]
    persons = {key for key, comment in comments if re.search(r"\bwho\b|initials", comment)}
    assert persons == {"by", "adult", "crew", "members", "team"}
    assert persons - PERSONS == {"team"}, "a number may be the team's: it is told"


def test_two_people_of_one_day_stay_two_so_that_the_day_is_read_as_it_was(tmp_path):
    book = tmp_path / FOLDER
    for vessel in ("B07", "B08", "B09"):
        new_vessel(book, VesselFile(id=vessel, earlier=2))
    before = Kept(book).to("launched").book.day
    for person in CREW.values():
        forget(tmp_path, person.name)
    after = DayBook(book, DAY).day
    assert (after.rockets, after.cycles, after.refused) == (before.rockets, before.cycles, ())
    assert not {one.name for one in after.roles.values()} & {one.name for one in CREW.values()}
    assert len({one.name for one in after.roles.values()}) == len(CREW)


def test_a_word_of_the_days_table_is_nobody(tmp_path):
    book = tmp_path / FOLDER
    Kept(book, plan(rocket("Curlew", "B07"))).to("seated")
    before = journal_file(book, DAY).read_bytes()
    found = forget(tmp_path, "record")
    assert found.done == []
    assert "change it by hand" in dict(found.left)["logbook/days/2027-03-20.jsonl"]
    assert journal_file(book, DAY).read_bytes() == before


def test_what_another_copy_says_of_a_person_goes_too(beside):
    book = beside / FOLDER
    path = book / "flights" / "2027-03-20-03-curlew.toml"
    path.write_text(path.read_text(encoding="utf-8") + '''
[[differs]]
key = "crew.pulled"
value = '"7"'

[[differs]]
key = "damage"
value = '"7"'
''', encoding="utf-8")
    forget(beside, "7")
    told = read_book(book).flights["f1"]
    assert [one["value"] for one in told["differs"]] == ['"somebody"']
    assert told["damage"] == "7"


@pytest.mark.parametrize("name", ["", "  ", "somebody", "somebody 2"])
def test_nobody_is_nobody(beside, name):
    with pytest.raises(InputError, match="whom"):
        forget(beside, name)


def test_a_line_that_nobody_can_read_hides_no_other(folder):
    file = journal_file(folder / FOLDER, "2027-03-20")
    with file.open("ab") as stream:
        stream.write(b"[" * 100_000 + b"AXB\n")
    assert PhoneJournal(folder).read().torn == 1
    forget(folder, "AXB")
    assert b"AXB\n" not in file.read_bytes()
    assert len(PhoneJournal(folder).read().entries) == 2
