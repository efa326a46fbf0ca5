"""What a phone sends: kept on disk, once; what it may hold, who writes it, and who is known."""

import datetime as dt
import json
import os
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.errors import InputError
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.entries import checked_entry
from bottlewright.logbook.files import FOLDER, writing
from bottlewright.logbook.journal import journal_file
from bottlewright.logbook.people import LAPTOP, PEOPLE, People, Person, checked_name
from bottlewright.logbook.phone_journal import PhoneJournal
from bottlewright.logbook.roles import KINDS, ROLES
from bottlewright.logbook.sighting import sighted
from bottlewright.project.people import taken_in
from strategies import share

KILLS = int(os.environ.get("BOTTLEWRIGHT_KILLS", "8"))
"""The whole, once: BOTTLEWRIGHT_KILLS=200."""

EACH = {
    "wind": {"speed_m_s": 2.1, "from_deg": 240}, "pressure": {"gauge_Pa": 450000}, "launch": {"number": 1},
    "sight": {"angle_deg": 48, "distance_m": 50, "eye_m": 1.5}, "remark": {"remark": "a dog came in"},
}  # fmt: skip


def entry(kind="wind", number=0, **more):
    return {"entry": f"{number:032x}", "kind": kind, "at": "2027-03-20T14:05:00+01:00", "design": "1029bffa",
            **EACH[kind], **more}  # fmt: skip


def journal(folder):
    return PhoneJournal(folder, lambda: dt.date(2027, 3, 20))


def the_day(folder):
    return journal_file(folder / FOLDER, "2027-03-20")


def test_an_entry_that_comes_twice_is_there_once(tmp_path):
    one = journal(tmp_path)
    one.add([entry(number=1), entry(number=2), entry(number=1)])
    one.add([entry(number=2), entry(number=3)])
    PhoneJournal(tmp_path).add([entry(number=3)])  # another day, another start
    assert [found["entry"][-1] for found in one.read().entries] == ["1", "2", "3"]
    assert len(the_day(tmp_path).read_text(encoding="utf-8").splitlines()) == 3


def test_nobody_is_asked_for_the_day_while_the_logbook_is_held(tmp_path):
    journal(tmp_path).add([entry(number=1)])

    def today():  # as a laptop does that has just begun to take a stop, and waits for the logbook with it
        with writing(tmp_path / FOLDER):
            return dt.date(2027, 3, 20)

    PhoneJournal(tmp_path, today).add([entry(number=2)])
    assert len(journal(tmp_path).read().entries) == 2


@settings(max_examples=share(40), deadline=None)
@given(cut=st.integers(1, 150), after=st.integers(1, 3))
def test_a_line_that_was_torn_when_the_power_went_costs_no_other(tmp_path_factory, cut, after):
    folder = tmp_path_factory.mktemp("torn")
    one = journal(folder)
    one.add([entry(number=1), entry(number=2)])
    file = the_day(folder)
    whole = file.read_bytes()
    first = whole.index(b"\n") + 1
    cut = min(cut, len(whole) - first - 1)
    file.write_bytes(whole[: len(whole) - cut])
    assert [found["entry"][-1] for found in one.read().entries] in (["1"], ["1", "2"])
    one.add([entry(number=2), *(entry(number=3 + more) for more in range(after))])
    found = journal(folder).read()
    names = sorted(one["entry"][-1] for one in found.entries)
    assert names == ["1", "2", *(str(3 + more) for more in range(after))]
    assert found.torn == (0 if cut == 1 else 1)


ADDS = """
import itertools, sys
from pathlib import Path
from bottlewright.logbook.phone_journal import PhoneJournal
one = PhoneJournal(Path(sys.argv[1]))
print("adding", flush=True)
for number in itertools.count(int(sys.argv[2])):
    one.add([{"entry": f"{number:032x}", "kind": "remark", "remark": "x" * 3000}])
    print(number, flush=True)
"""


def test_a_laptop_that_is_killed_has_every_entry_that_it_said_it_has(tmp_path):
    said = set()
    for kill in range(max(KILLS // 5, 3)):
        command = [sys.executable, "-c", ADDS, str(tmp_path), str(1000 * kill)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as adding:
            adding.stdout.readline()
            for _ in range(3 + 7 * kill % 5):
                said.add(int(adding.stdout.readline()))
            adding.kill()
            said |= {int(line) for line in adding.stdout.read().split("\n")[:-1]}
    PhoneJournal(tmp_path).add([entry(number=10**9)])
    found = [int(one["entry"], 16) for one in PhoneJournal(tmp_path).read().entries]
    assert said <= set(found)
    assert len(found) == len(set(found))


def test_a_journal_that_can_not_be_read_hides_no_other_and_is_counted(tmp_path):
    one = journal(tmp_path)
    one.add([entry(number=1)])
    the_day(tmp_path).with_name("2027-03-19.jsonl").mkdir()
    assert ([found["entry"][-1] for found in one.read().entries], one.read().torn) == (["1"], 1)


def test_what_can_not_be_written_is_not_said_to_be_kept(tmp_path, monkeypatch):
    one = journal(tmp_path)
    one.add([entry(number=1)])
    before = the_day(tmp_path).read_bytes()

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        one.add([entry(number=2), entry(number=3)])
    assert the_day(tmp_path).read_bytes() == before


# --- what an entry may hold, and who writes it -----------------------------------------------------------------


@settings(max_examples=share(150), deadline=None)
@given(data=st.data())
def test_a_role_writes_its_own_kinds_and_under_its_own_name(tmp_path_factory, data):
    role, kind = data.draw(st.sampled_from(sorted(ROLES))), data.draw(st.sampled_from(KINDS))
    one = journal(tmp_path_factory.mktemp("roles"))
    kept, refused = taken_in(one, Person("m", "AB", role), [entry(kind, who="ZZ")])
    assert bool(kept) == (kind in ROLES[role].writes)
    assert bool(refused) != bool(kept)
    assert all(found["who"] == "AB" and found["role"] == role for found in one.read().entries)


def test_phones_have_the_roles_of_the_day_and_whoever_looks_on():
    assert {name: role.name for name, role in ROLES.items() if role.name in day_table().roles} == {
        role.called: name for name, role in day_table().roles.items()}  # fmt: skip
    assert [name for name, role in ROLES.items() if role.name not in day_table().roles] == ["look on"]
    assert all(set(role.writes) <= set(KINDS) for role in ROLES.values())


def test_who_looks_on_writes_nothing():
    assert ROLES["look on"].writes == ()
    assert [name for name, role in ROLES.items() if role.adult] == ["in charge"]


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3), max_leaves=8,
)  # fmt: skip


@settings(max_examples=share(200), deadline=None)
@given(data=st.data())
def test_whatever_a_phone_sends_is_kept_as_an_entry_or_refused_in_words(data):
    raw = entry(data.draw(st.sampled_from(KINDS)))
    for name in data.draw(st.lists(st.sampled_from([*raw, "photo", "who", "remark", "other"]), max_size=3)):
        raw[name] = data.draw(ANYTHING)
    try:
        found = checked_entry(raw)
    except InputError as error:
        said = str(error)
    else:
        said = "kept"
        assert "other" not in found
        assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert said


@pytest.mark.parametrize("photo", ["../../etc/passwd", "a/b.jpg", "..jpg", "x.svg", "x.html", ".jpg", "a\\b.jpg"])
def test_a_photo_is_named_and_never_a_way_to_somewhere(photo):
    with pytest.raises(InputError, match="picture file"):
        checked_entry(entry(photo=photo))


def test_an_angle_of_45_degrees_is_as_high_as_it_is_far_and_the_eye_higher():
    assert sighted(45.0, 50.0, 1.5).height == pytest.approx(51.5)
    assert sighted(45.0, 50.0, 1.5).off == pytest.approx(1.745, abs=0.001), "2 d per radian at 45°"
    up, down = (sighted(48.0 + way, 50.0, 1.5).height for way in (0.5, -0.5))
    assert sighted(48.0, 50.0, 1.5).off == pytest.approx(up - down, rel=1e-3)


# --- who is known ----------------------------------------------------------------------------------------------


def test_a_pass_holds_after_a_new_start_and_ends_when_somebody_is_sent_away(tmp_path):
    mark = People(tmp_path).let_in("AB", "record")
    shown = People(tmp_path).pass_of(mark)
    assert People(tmp_path).who_shows(shown) == Person(mark, "AB", "record")
    assert People(tmp_path).let_in("AB", "pump", mark) == mark
    assert People(tmp_path).who_shows(shown).role == "pump"
    People(tmp_path).send_away(mark)
    assert People(tmp_path).who_shows(shown) is None
    assert (tmp_path / PEOPLE).stat().st_mode & 0o077 == 0


def test_after_thirty_days_nobody_is_known_and_the_name_leaves_the_file_with_the_next(tmp_path):
    mark = People(tmp_path, lambda: dt.date(2027, 3, 1)).let_in("AB", "record")
    shown = People(tmp_path).pass_of(mark)
    assert People(tmp_path, lambda: dt.date(2027, 3, 31)).who_shows(shown)
    later = People(tmp_path, lambda: dt.date(2027, 4, 1))
    assert later.who_shows(shown) is None
    later.let_in("CD", "pump")
    assert "AB" not in (tmp_path / PEOPLE).read_text(encoding="utf-8")


def test_a_phone_that_sends_without_end_fills_no_disk(tmp_path, monkeypatch):
    monkeypatch.setattr("bottlewright.logbook.phone_journal.MOST_BYTES", 1000)
    one = journal(tmp_path)
    one.add([entry(number=1)])
    with pytest.raises(OSError, match="more entries than people write"):
        one.add([entry(number=number) for number in range(2, 100)])
    assert 0 < the_day(tmp_path).stat().st_size <= 1000


@settings(max_examples=share(80), deadline=None)
@given(st.text(max_size=90))
def test_no_pass_is_made_up(tmp_path_factory, made_up):
    people = People(tmp_path_factory.mktemp("made-up"))
    assert people.who_shows(f"{LAPTOP}.") is None, "no key yet, no pass"
    mark = people.let_in("AB", "record")
    for shown in (made_up, f"{mark}.{made_up}", f"{LAPTOP}.{made_up}", people.pass_of(mark).replace(mark, LAPTOP)):
        assert people.who_shows(shown) is None
    other = People(tmp_path_factory.mktemp("other"))
    other.let_in("AB", "record")
    assert other.who_shows(people.pass_of(mark)) is None, "of another folder"


@pytest.mark.parametrize(("text", "name"), [("ab", "AB"), (" 7 ", "7"), ("Ø", "Ø"), ("999", "999")])
def test_initials_and_numbers_are_names(text, name):
    assert checked_name(text) == name
