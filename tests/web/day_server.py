"""Serves a folder as `bottlewright launch --lan` does, by a clock that the test moves: phones join at 127.0.0.2.

    python day_server.py FOLDER CLOCK PORT

CLOCK is a file with the time of the day in it; it goes on only when somebody writes another.
"""

import sys
from datetime import datetime
from functools import partial
from pathlib import Path

from bottlewright.project.launch_day import LaunchDay
from bottlewright.web import connections, office
from bottlewright.web import serve as serving

PHONES = "127.0.0.2"


def main(folder: Path, clock: Path, port: int) -> None:
    office.LaunchDay = partial(LaunchDay, clock=lambda: datetime.fromisoformat(clock.read_text(encoding="utf-8")))
    serving.local_addresses = lambda: [PHONES]
    connections.EACH = connections.TOGETHER  # all phones of a test have one address
    serving.serve(folder, port, False, partial(print, flush=True), lan=True, page="launch")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))
