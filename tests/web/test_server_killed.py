"""The served day is killed in the middle, again and again: what it acknowledged is there once, each cycle counts."""

import json
import os
import subprocess
import sys
from collections import Counter
from datetime import datetime
from pathlib import Path

from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.files import FOLDER, vessel_files
from bottlewright.logbook.journal import journal_file, read_journal
from bottlewright.logbook.vessels import counted, read_vessel

KILLS = int(os.environ.get("BOTTLEWRIGHT_KILLS", "8"))
"""How often the server is killed; 200 is the whole."""


def test_no_acknowledged_entry_and_no_cycle_is_lost_by_killing_the_server_of_a_day(tmp_path):
    script = Path(__file__).with_name("killed_server.py")
    done = subprocess.run([sys.executable, script, tmp_path, str(KILLS)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-3000:]
    told = json.loads(done.stdout)
    assert told["kills"] >= KILLS
    folder, day = tmp_path / FOLDER, datetime.now().date().isoformat()
    journal = read_journal(journal_file(folder, day))
    written = [one["entry"] for one in journal.entries]
    assert set(Counter(written).values()) == {1}, "each is there once"
    place = {name: number for number, name in enumerate(written)}
    said = [name for name in told["acknowledged"] if name in place]
    assert len(said) == len(told["acknowledged"]) > 2 * KILLS, "what was acknowledged is there"
    book = DayBook(folder, day)
    assert {one["event"] for one, _ in book.day.refused} == {"pump"}, "of the phone: it moves no rocket, and counts"
    assert all(now.state == "waiting" for now in book.day.rockets.values())
    pumped = {one["entry"] for one in journal.entries if one.get("event") == "pump"}
    vessels = [read_vessel(folder, file.stem) for file in vessel_files(folder)]
    assert pumped == {one.entry for vessel in vessels for one in vessel.pressurised}
    assert sum(counted(vessel) for vessel in vessels) == len(pumped) == len(book.day.cycles) >= told["launches"]
    ends = Counter(one.ended for vessel in vessels for one in vessel.pressurised)
    assert ends["launched"] == told["launches"]
    print(f"{told['kills']} kills, {len(said)} entries, {len(pumped)} cycles, {len(journal.torn)} torn lines")
