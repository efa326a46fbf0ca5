"""A program for `test_journal`: keeps a day and is killed in the middle, many times; prints what was acknowledged.

    python killed_writer.py FOLDER KILLS
"""

import json
import os
import random
import signal
import sys
import time
from pathlib import Path

from days import plan

from bottlewright.logbook.day_book import DayBook

DAY = "2027-03-20"


def write_on(folder: Path, run: int, says: int) -> None:
    book, number = DayBook(folder, DAY), 0
    while True:
        number += 1
        at, entry = f"{DAY}T10:15:{number % 60:02d}", f"k{run}-{number}"
        said = {"entry": entry, "at": at, "by": "K", "note": "x" * (number * 997 % 3000), "offline": True}
        pumps = {"what": "step", "event": "pump", "rocket": "Curlew"} if number % 2 else {"what": "note"}
        book.say({**said, **pumps}, received=at)
        os.write(says, f"{entry}\n".encode())  # acknowledged: from here on it may not be lost


def main(folder: Path, kills: int) -> None:
    chance, acknowledged = random.Random(7), []
    assert DayBook(folder, DAY).prepare(plan(), "plan", f"{DAY}T10:00:00", "M. Roe") is None
    for run in range(kills):
        hears, says = os.pipe()
        child = os.fork()
        if not child:
            os.close(hears)
            write_on(folder, run, says)
        os.close(says)
        heard = os.read(hears, 1 << 16)  # it has begun
        time.sleep(chance.uniform(0.0, 0.08))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        while more := os.read(hears, 1 << 16):
            heard += more
        os.close(hears)
        acknowledged += heard.decode().splitlines()
    print(json.dumps(acknowledged))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
