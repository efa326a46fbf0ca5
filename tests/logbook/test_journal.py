"""What was acknowledged is on the disk, whatever happens to who wrote it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.journal import append_line, append_lines, journal_file, read_journal
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import carry_over, counted, new_vessel, read_vessel

KILLS = int(os.environ.get("BOTTLEWRIGHT_KILLS", "8"))
"""How often a writer is killed; 200 is the whole."""


def test_no_acknowledged_entry_and_no_cycle_is_lost_by_killing_the_writer(tmp_path):
    new_vessel(tmp_path, VesselFile(id="B07", earlier=0))
    done = subprocess.run([sys.executable, Path(__file__).with_name("killed_writer.py"), tmp_path, str(KILLS)],
                          capture_output=True, text=True, check=True)
    acknowledged = json.loads(done.stdout)
    assert len(set(acknowledged)) == len(acknowledged) >= KILLS
    journal = read_journal(journal_file(tmp_path, "2027-03-20"))
    assert set(acknowledged) <= {entry["entry"] for entry in journal.entries}
    pumped = {entry["entry"] for entry in journal.entries if entry.get("event") == "pump"}
    assert pumped & set(acknowledged)
    carry_over(tmp_path)  # or `DayBook`, whichever opens the folder first
    vessel = read_vessel(tmp_path, "B07")
    assert pumped == {one.entry for one in vessel.pressurised}
    assert counted(vessel) == len(pumped) == DayBook(tmp_path, "2027-03-20").day.cycles_today("B07")


@given(st.integers(1, 200))
def test_a_torn_line_is_closed_and_told_and_spoils_no_other(tmp_path_factory, cut):
    path = journal_file(tmp_path_factory.mktemp("torn"), "2027-03-20")
    first, second, third = ({"entry": name, "note": "word " * 30} for name in ("one", "two", "three"))
    append_line(path, first)
    append_line(path, second)
    whole = path.read_bytes()
    last = len(whole) // 2
    path.write_bytes(whole[: last + min(cut, last - 1)])  # a crash in the middle of the second
    append_line(path, third)
    journal = read_journal(path)
    assert [entry["entry"] for entry in journal.entries if entry["entry"] != "two"] == ["one", "three"]
    if len(journal.entries) == 2:
        (torn,) = journal.torn
        assert torn.line == 2
        assert whole[last:].decode().startswith(torn.text)
    else:
        assert cut >= last - 1  # only the line's end was missing: the entry is whole


def test_a_journal_that_ends_torn_is_read_with_what_is_left_of_the_line(tmp_path):
    path = journal_file(tmp_path, "2027-03-20")
    append_line(path, {"entry": "one"})
    with path.open("ab") as file:
        file.write(b'{"entry": "tw')
    journal = read_journal(path)
    assert [entry["entry"] for entry in journal.entries] == ["one"]
    assert [(torn.line, torn.text) for torn in journal.torn] == [(2, '{"entry": "tw')]


def test_an_entry_sent_twice_counts_once(tmp_path):
    path = journal_file(tmp_path, "2027-03-20")
    for _ in range(2):
        append_line(path, {"entry": "one", "what": "launch"})
    assert len(read_journal(path).entries) == 1


def test_a_day_without_a_journal_is_empty(tmp_path):
    assert read_journal(journal_file(tmp_path, "2027-03-20")).entries == ()


def test_every_line_is_on_the_disk_before_it_is_acknowledged(tmp_path, monkeypatch):
    told: list[str] = []
    sync = os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (told.append("synced"), sync(handle)))
    append_line(journal_file(tmp_path, "2027-03-20"), {"entry": "one"})
    assert told[0] == "synced"
    assert len(told) >= 2  # the line, and the name of its new file
    told.clear()
    append_line(journal_file(tmp_path, "2027-03-20"), {"entry": "two"})
    assert told == ["synced"]


def test_what_can_not_be_written_whole_is_not_there_at_all(tmp_path, monkeypatch):
    path = journal_file(tmp_path, "2027-03-20")
    append_line(path, {"entry": "one"})
    before, write = path.read_bytes(), os.write

    def full(handle, line):
        if len(line) < 20:
            raise OSError(28, "No space left on device")
        return write(handle, line[:10])

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(OSError, match="No space"):
        append_lines(path, [{"entry": "two"}, {"entry": "three"}])
    assert path.read_bytes() == before


def test_what_is_no_number_is_not_written(tmp_path):
    with pytest.raises(ValueError, match="JSON"):
        append_line(journal_file(tmp_path, "2027-03-20"), {"wind": float("nan")})
    assert not journal_file(tmp_path, "2027-03-20").exists()
