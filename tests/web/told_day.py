"""The rehearsed day as its devices say it, without pages: the same turns, crash and cut-off phone, in seconds."""

from launch_folder import Said
from rehearsed_day import ROCKETS

import bottlewright as bw
from bottlewright.logbook.calls import checked_call, event_of
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.launches import all_launches
from bottlewright.logbook.people import Person
from bottlewright.project.day_flights import catch_up, follow
from bottlewright.project.launch_day import LaunchDay
from bottlewright.project.measuring import enter

FLIGHTS = 8
"""That a prediction is made of here; a day on pages takes more."""


class Told(Said):
    """Says the day to a laptop that may crash: the files of launches follow as they do behind the pages."""

    def __init__(self, folder, clock):
        self.folder = folder
        self.known = {}
        for name in ROCKETS:
            project = bw.read(folder / f"{name.lower()}.toml")
            self.known[f"{name.lower()}.toml"] = project, project.verdict(), project.fly_many(FLIGHTS)
        super().__init__(LaunchDay(folder, clock))
        self.begin()

    def begin(self, follows=True):
        """Begin the laptop, or begin it again after a crash."""
        self.day = LaunchDay(self.folder, self.clock)
        now = self.day.now().isoformat(timespec="milliseconds")
        self.lacked = catch_up(self.folder, self.day.book, self.known.get, now)
        if follows:
            self.day.taken = lambda entry: follow(self.folder, self.day.book, entry, self.known.get)

    def looked_over(self, rocket):
        self.to("inspected", rocket)
        if not self.day.day.overrides.get((rocket, "look", "wind-wait")):
            look = {"gate": "look", "code": "wind-wait", "adult": "MR", "reason": "looked at it"}
            self.say("override", "charge", rocket=rocket, **look)

    def flies(self, rocket, landing="soft"):
        self.to("launched", rocket)
        self.clock.on(8)
        self.say("step", "watch", rocket=rocket, event="down", landing=landing)

    def measured(self, seconds, angle):
        self.clock.on(60)
        launch = max(all_launches(self.folder / FOLDER), key=lambda one: one.at or "").entry
        at = self.day.now().isoformat(timespec="milliseconds")
        enter(self.folder, launch, "watch", {"down": seconds}, at, "P")
        sight = {"away": "50 m", "elevation": angle, "side": "S", "eye": "1.5 m"}
        enter(self.folder, launch, "sight", sight, at, "P")

    def calls(self, name, role, what, says=""):
        """A phone that was cut off is back, and sends what was called on it."""
        at = self.clock().astimezone().isoformat(timespec="seconds")
        self.calls_made = getattr(self, "calls_made", 0) + 1
        call = checked_call({"entry": f"{self.calls_made:032x}", "what": what, "at": at, "says": says})
        event = event_of(call, Person(f"{name:f>16}".lower(), name, role))
        for _ in range(2):  # the phone did not hear the first answer, and sends it again
            assert self.day.heard(event, at) == ""

    def let_off(self, rocket):
        self.to("misfire wait", rocket)
        self.clock.on(121)
        self.say("second sign", "watch", rocket=rocket, sign="the bottle gives when it is pushed with a pole")
        self.confirm("charge")
        self.step("approach", rocket)
        self.say("lift stop", "charge")


def told(folder, clock):
    """Play the day."""
    said = Told(folder, clock)
    for rocket, seconds, angle in (("Whimbrel", "9.0 s", "40"), ("Turnstone", "8.6 s", "39")):
        said.looked_over(rocket)
        said.flies(rocket)
        said.to("waiting", rocket)
        said.measured(seconds, angle)
    said.looked_over("Godwit")
    said.to("ready", "Godwit")
    said.step("misfire", "Godwit")
    clock.on(61)
    said.let_off("Godwit")
    said.confirm("emptied")
    said.step("inspect", "Godwit")
    said.flies("Godwit", "tree")
    said.measured("8.8 s", "38")
    said.read("0 bar", "Godwit")
    said.confirm("charge")
    said.step("give up", "Godwit")
    crashed(said)
    said.looked_over("Turnstone")
    said.to("pressurising", "Turnstone")
    said.calls("ZZ", "look on", "near miss", "a dog under the rope")
    said.calls("ZZ", "look on", "stop")
    said.let_off("Turnstone")
    said.say("near miss signed", "charge")
    said.confirm("emptied")
    said.step("inspect", "Turnstone")
    said.flies("Turnstone")
    said.to("waiting", "Turnstone")
    said.measured("8.9 s", "40")
    said.looked_over("Whimbrel")
    said.flies("Whimbrel")
    said.to("waiting", "Whimbrel")
    said.measured("9.2 s", "40")
    said.looked_over("Turnstone")
    said.to("pressurising", "Turnstone")
    said.read("3 bar", "Turnstone")
    said.step("leak", "Turnstone")
    said.let_off("Turnstone")
    said.say("step", "pump", rocket="Turnstone", event="retire", why="it drips at the neck")


def crashed(said):
    """The laptop goes down with a bottle under pressure, and the file of its launch was not written."""
    said.day.taken = lambda _: None
    said.looked_over("Whimbrel")
    said.to("holding", "Whimbrel")
    said.clock.on(45)
    said.begin()
    assert len(said.lacked) == 1, "the file of its launch is caught up"
    said.calls("K", "pump", "stop")
    assert said.state("Whimbrel") == "stop"
    said.let_off("Whimbrel")
    said.confirm("emptied")
    said.step("inspect", "Whimbrel")
    said.flies("Whimbrel")
    said.to("waiting", "Whimbrel")
    said.measured("9.1 s", "41")
