"""Serves a day and kills the server in the middle, many times, while devices post to it; prints what was acknowledged.

    python killed_server.py FOLDER KILLS
"""

import http.client
import json
import os
import random
import signal
import sys
import time
from datetime import datetime
from pathlib import Path
from urllib.parse import urlencode

import uvicorn
from launch_folder import Said, plan, rocket

from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.people import LAPTOP, People
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import new_vessel
from bottlewright.project.launch_day import LaunchDay
from bottlewright.web.app import make_app
from bottlewright.web.desk import Warm
from bottlewright.web.serve import listening

TOKEN, VESSELS = "a-token-for-the-tests", [f"V{number:02d}" for number in range(1, 21)]
ANSWERS, LONGEST = 8, 0.05  # that a server gives before it is doomed, and s that it lives on, at most


class Server:
    """One that is killed within a moment of one of its answers, and begun anew: what got no answer is posted again.

    Parameters
    ----------
    folder
        Of the designs.
    kills
        How often.

    Attributes
    ----------
    acknowledged
        Names of what was answered as taken.
    """

    def __init__(self, folder: Path, kills: int) -> None:
        self.folder, self.kills, self.done = folder, kills, 0
        self.listener = listening(0)
        self.host = f"127.0.0.1:{self.listener.getsockname()[1]}"
        self.acknowledged: list[str] = []
        self._chance, self._server, self._killer, self._left = random.Random(11), 0, 0, 0
        self._headers = {"Origin": f"http://{self.host}", "X-Bottlewright-Token": TOKEN,
                         "Content-Type": "application/x-www-form-urlencoded"}  # fmt: skip

    def post(self, path: str, body: str, *names: str) -> str:
        """Post until there is an answer, and return it."""
        while True:
            self._bury()
            if not self._server:
                self._begin()
            try:
                line = http.client.HTTPConnection(self.host, timeout=0.5)
                line.request("POST", path, body.encode(), self._headers)
                answer = line.getresponse()
                said = answer.read().decode()
                line.close()
            except (OSError, http.client.HTTPException):
                continue
            assert answer.status == 200, f"{path} {body}: {said}"
            self.acknowledged += names
            self._left -= 1
            if self._left <= 0 and not self._killer:
                self._doom()
            return said

    def _begin(self) -> None:
        self._left = self._chance.randint(1, ANSWERS)
        self._server = os.fork()
        if not self._server:
            app = make_app(self.folder, frozenset({self.host}), TOKEN)
            uvicorn.Server(uvicorn.Config(app, log_level="critical")).run(sockets=[self.listener])
            os._exit(0)

    def _doom(self) -> None:
        """Have somebody kill the server soon, whatever it does then."""
        wait, doomed = self._chance.uniform(0.0, LONGEST), self._server
        self._killer = os.fork()
        if not self._killer:
            time.sleep(wait)
            os.kill(doomed, signal.SIGKILL)
            os._exit(0)

    def _bury(self, wait: bool = False) -> None:
        """Count a server that was killed; one that is only slow goes on."""
        if self._killer and os.waitpid(self._killer, 0 if wait else os.WNOHANG)[0]:
            os.waitpid(self._server, 0)
            self._server = self._killer = 0
            self.done += 1

    def end(self) -> None:
        """Kill the last one too."""
        if self._server:
            if not self._killer:
                self._doom()
            self._bury(wait=True)


class Still:
    """A clock that nobody moves: the server's own counts here."""

    def on(self, _: float) -> None:
        """Wait no time."""


class Posts(Said):
    """Says a day through the posts of its laptop, each until it is acknowledged."""

    def __init__(self, folder: Path, server: Server) -> None:
        self.server, self.shown = server, People(folder).pass_of(LAPTOP)
        self.day, self.clock, self.count = LaunchDay(folder), Still(), 0

    def say(self, what, role="record", **given):
        name = self._name()
        self.server.post("/do/day", urlencode({"what": what, "role": role, "entry": name, **given}), name)
        self.day.book.look()

    def _name(self) -> str:
        self.count += 1
        return f"{self.count:032x}"

    def stop_and_lift(self) -> None:
        name = self._name()
        self.server.post("/do/stop", urlencode({"entry": name}), name)
        self.say("lift stop", "charge")

    def phone(self) -> None:
        """Send what a phone kept, one bottle among it that was pumped without the laptop."""
        at, names = datetime.now().astimezone().isoformat(timespec="seconds"), [self._name() for _ in range(3)]
        kinds = ({"what": "pumped", "vessel": "V00", "ended": "vented", "peak_Pa": 4e5},
                 {"kind": "remark", "remark": "x" * 400, "design": ""}, {"what": "note", "says": "a gull"})
        entries = [{"entry": name, "at": at, **kind} for name, kind in zip(names, kinds, strict=True)]
        answer = self.server.post("/entries", json.dumps({"pass": self.shown, "now": at, "entries": entries}), *names)
        assert set(json.loads(answer)["kept"]) == set(names)


def main(folder: Path, kills: int) -> None:
    Warm.start = lambda *_: None  # a day asks no physics
    rockets = [rocket(f"R{name}", name, cycles=0, test_left=9) for name in VESSELS]
    for name in ("V00", *VESSELS):
        new_vessel(folder / FOLDER, VesselFile(id=name, earlier=0))
    day = LaunchDay(folder)
    uvicorn.Config(Warm).load()  # what every server of these would load alone
    book = day._opened(datetime.now().date().isoformat())
    assert book.prepare(plan(*rockets), "plan", datetime.now().isoformat(timespec="milliseconds"), "MR") is None
    server, number = Server(folder, kills), 0
    posts = Posts(folder, server)
    while server.done < kills:
        name = rockets[number % len(rockets)].name
        posts.phone()
        if number % 3 == 0:
            posts.stop_and_lift()
        posts.to("field open", name).to("waiting", name)
        number += 1
    server.end()
    print(json.dumps({"kills": server.done, "launches": number, "acknowledged": server.acknowledged}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
