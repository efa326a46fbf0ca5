"""Days walked at random: several devices, two laptops that are cut apart and joined, clocks that jump, programs that
begin anew, designs that change. What is said is held to a plain account of what people did, kept beside the program."""

import os
import random
from datetime import datetime, timedelta

import pytest
from conftest_web import CURLEW
from launch_folder import PEOPLE, kept_day, plan, rocket

from bottlewright.design.resting import rests_on
from bottlewright.errors import InputError
from bottlewright.logbook.book import merge_folders
from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.files import FOLDER
from bottlewright.project.day_answers import Judged
from bottlewright.project.launch_day import LaunchDay, Speaker
from bottlewright.project.project import parse

WALKS, ACTS = int(os.environ.get("BOTTLEWRIGHT_WALKS", "2")), 150
TEXT = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
NAMES = {"Curlew": "B07", "Wren": "B08", "Dabchick": "B09"}
TOWARDS = frozenset({"load", "seat", "clear", "pump", "hold", "tight", "launch"})
TABLE = day_table()
NEXT = {"waiting": "inspect", "inspected": "load", "loaded": "seat", "seated": "clear", "field clear": "pump",
        "pressurising": "hold", "holding": "tight", "ready": "launch", "launched": "down", "down": "open",
        "field open": "back", "stop": "vent", "venting": "zero", "misfire wait": "approach",
        "approach allowed": "inspect"}  # fmt: skip
JUMPS = [timedelta(days=days) for days in (1, 3, 40, -1, -3, -40, -4000)] + [timedelta(hours=1), timedelta(hours=-1)]

ACT = {"on": 60, "press": 12, "stop": 3, "lift": 8, "jump": 4, "anew": 3, "change": 4, "look": 12, "join": 4, "swap": 2,
       "prepare": 4, "word": 10}  # fmt: skip
"""What is done next, and how often."""


@pytest.fixture(scope="module")
def designs(tmp_path_factory):
    """Return each rocket's design as it is and as somebody changed it, with one verdict."""
    file = tmp_path_factory.mktemp("alone") / "rocket.toml"
    verdict = parse(TEXT, file).verdict()
    both = {}
    for name in NAMES:
        text = TEXT.replace('name = "Curlew"', f'name = "{name}"')
        both[name] = [Judged(parse(one, file), verdict) for one in (text, text.replace("365 mL", "600 mL", 1))]
    return both


class People:
    """What people did: whose bottle is pumped up or filled, which stops nobody has ended, whose design is another."""

    def __init__(self):
        self.pumped: set[str] = set()
        self.filled: set[str] = set()
        self.called: set[str] = set()
        self.stops: set[str] = set()
        self.changed: set[str] = set()


class Laptop:
    """A laptop with its phones: the program as it runs on it, and its own clock."""

    def __init__(self, folder, mark, moment, designs, people):
        self.folder, self.mark, self.moment, self.designs, self.people = folder, mark, moment, designs, people
        self.number, self.stops, self.confirmed = 0, set(), set()
        self.begin_anew()

    def clock(self):
        return self.moment

    def begin_anew(self):
        self.day = LaunchDay(self.folder, self.clock)
        self.day.judge = lambda file: self.designs[file][file in self.people.changed]

    def is_another(self, name):
        """Say whether a design is another than the day of this laptop was prepared with."""
        now = self.designs[name][name in self.people.changed].project.design
        return dict(self.day.day.plan.rockets[name].rests_on) != rests_on(now)

    @property
    def rockets(self):
        return self.day.day.rockets

    def name(self):
        self.number += 1
        return f"{self.mark}{self.number}"

    def say(self, what, role="record", device="", **given):
        """Say something as the device of a role; return why it is not taken, or nothing."""
        before = dict(self.rockets)
        step = TABLE.steps.get((before[given["rocket"]].state, given.get("event"))) if what == "step" else None
        stands = bool(self.day.day.stop)
        try:
            self.day.say({"what": what, "entry": self.name(), **given},
                         Speaker(PEOPLE[role][0], role, device or f"phone-{role}"))  # fmt: skip
        except InputError as error:
            return str(error)
        if what == "confirm":
            self.confirmed.add(given["point"])
        if what == "step":
            self._held(given["rocket"], step, stands)
        return ""

    def _held(self, name, step, stands):
        """Hold a step that was taken to what has to be, and keep the account of it."""
        if step.event in TOWARDS:
            assert not stands, "after a stop nothing goes towards pressure"
            assert not self.stops, "nor after one that this laptop knows of and nobody ended"
            assert not self.is_another(name), "no step towards pressure counts with a changed design"
        assert self.confirmed >= set(step.confirm) - {"armed", "emptied"}, "each word was said since the day began"
        if step.event == "pump":
            self.people.pumped.add(name)
        if step.event in ("approach", "open", "give up"):
            self.people.pumped.discard(name)
        if step.event == "load":
            self.people.filled.add(name)
        if step.event in ("stand down", "launch", "approach"):
            self.people.filled.discard(name)
        if step.event in ("misfire", "leak"):
            self._called(f"{self.mark}{self.number}")

    def _called(self, name):
        if name not in self.people.called:
            self.people.called.add(name)
            self.people.stops.add(name)
            self.stops.add(name)

    def stop(self, late):
        name = self.name()
        if late:
            called = {"entry": name, "at": "2027-04-01T12:00:30+02:00", "by": "K", "role": "", "device": "p",
                      "offline": True, "what": "stop"}  # fmt: skip
            assert self.day.heard(called, "2027-04-01T12:00:40+02:00") == ""
        else:
            self.day.stop({"entry": name}, Speaker("ZZ", "", "phone"))
        self._called(name)
        assert self.day.day.stop
        assert not any(now.state in ("field clear", "pressurising", "holding", "ready")
                       for now in self.rockets.values())  # fmt: skip

    def lift(self):
        if not self.say("lift stop", "charge"):
            assert not any(self.rockets[name].state in ("stop", "venting", "misfire wait") for name in self.rockets)
            self.people.stops -= self.stops
            self.stops = set()
            assert not self.day.day.stop

    def on(self, name, rng):
        """Do what comes next for a rocket, as people would: read, confirm, say it."""
        now = self.rockets[name].state
        event = NEXT.get(now)
        if event is None:
            return
        if now in ("field clear", "ready", "pressurising", "holding"):
            self.say("wind", mean="2 m/s", gust="3 m/s")
        if now in ("pressurising", "holding", "venting", "down"):
            for role in ("pump", "watch"):
                self.say("reading", role, rocket=name, pressure="0 bar" if now in ("venting", "down") else "4.5 bar")
        if now == "misfire wait":
            self.say("second sign", "watch", rocket=name, sign="it gives")
        if now == "ready":
            self.say("take", "pull", rocket=name)
        step = TABLE.steps[now, event]
        for point in step.confirm if rng.random() < 0.8 else ():
            self.say("confirm", TABLE.confirms[point].by, point=point)
        why = self.say("step", step.by, rocket=name, event=event)
        if now == "stop" and "60 s" in why:
            self.moment += timedelta(seconds=61)
            why = self.say("step", step.by, rocket=name, event=event)
        if now == "stop":
            assert not why, f"venting is possible at any time, a minute after a misfire: {why}"
        if now in ("loaded", "seated") and self.is_another(name):
            why = self.say("step", "pump", rocket=name, event="stand down")
            assert not why or "nobody goes past the lines" in why, f"so is standing down: {why}"

    def prepare(self):
        """Prepare the day anew with the designs as they are."""
        pressed = any(TABLE.states[now.state].pressure != "none" for now in self.rockets.values())
        filled = [name for name, now in self.rockets.items() if now.state in ("loaded", "seated", "field clear")]
        another = any(self.is_another(name) for name in filled)
        at = self.day.now().isoformat(timespec="milliseconds")
        why = self.day.book.prepare(the_plan(self.designs, self.people.changed), self.name(), at, "MR")
        if why is None:
            assert not pressed
            assert not another, "nobody takes water that is in for other water"
            self.confirmed = set()

    def look(self):
        """Look at what is due, as the server does each second; twice sees what a design says."""
        barred = {name: ["the water is another now"] for name in self.rockets if self.is_another(name)}
        self.day.watch({}, None, barred)
        for name in barred:
            assert self.rockets[name].state not in ("pressurising", "holding", "ready"), f"{name} is stopped"
        self.own()

    def put_right(self):
        """Put the clock right where its date ended the day: nothing is filled then."""
        if not self.day.kept:
            book = DayBook(self.folder / FOLDER, "2027-04-01")
            assert all(now.state in ("waiting", "inspected", "retired", "not retrieved")
                       for now in book.day.rockets.values())  # fmt: skip
            self.moment = datetime(2027, 4, 1, 12) + timedelta(minutes=self.number)

    def own(self):
        """Learn of the stops that the program called, so that the account has them."""
        self.put_right()
        for name in self.day.day.stops:
            self._called(name)

    def held(self, leads):
        """Hold the day as it is to the account, and to its journal, in whatever order its lines lie."""
        for name in self.people.pumped & set(leads):
            pressure = TABLE.states[self.rockets[name].state].pressure
            assert pressure != "none" or self.rockets[name].state == "down", f"{name} is pumped up"
        for name in self.people.filled & set(leads):
            assert self.rockets[name].state not in ("waiting", "inspected"), f"{name} is filled"
        if self.stops:
            assert self.day.day.stop, "a stop that nobody ended stands"
        again = DayBook(self.folder / FOLDER, self.day.book.name)
        assert again.day == self.day.day


def joined(laptops):
    for laptop in laptops:
        laptop.put_right()
    for one, other in (laptops, laptops[::-1]):
        merge_folders(one.folder / FOLDER, other.folder / FOLDER)
    confirmed = laptops[0].confirmed | laptops[1].confirmed
    for laptop in laptops:
        laptop.day.book.look()
        laptop.put_right()
        laptop.stops, laptop.confirmed = set(laptop.people.stops), set(confirmed)
        laptop.own()
        laptop.held(NAMES)
    assert laptops[0].day.day == laptops[1].day.day
    lines = list(laptops[0].day.book.entries)
    random.Random(1).shuffle(lines)
    assert day_of(NO_PLAN, lines) == laptops[0].day.day


def the_plan(designs, changed=()):
    return plan(*(rocket(name, vessel, pad, file=name, cycles=0, test_left=10,
                         rests_on=dict(rests_on(designs[name][name in changed].project.design)))
                  for (name, vessel), pad in zip(NAMES.items(), "ABC", strict=True)))  # fmt: skip


@pytest.mark.parametrize("seed", range(WALKS))
def test_a_day_that_is_walked_at_random_holds_to_what_people_did(tmp_path, designs, seed):
    rng, people = random.Random(seed), People()
    start = datetime(2027, 4, 1, 12)
    for mark in "ab":
        (tmp_path / mark).mkdir()
        kept_day(tmp_path / mark, the_plan(designs), lambda: start)
    laptops = [Laptop(tmp_path / mark, mark, start, designs, people) for mark in "ab"]
    mine = {"Curlew": laptops[0], "Wren": laptops[0], "Dabchick": laptops[1]}
    for _ in range(ACTS):
        name = rng.choice(list(NAMES))
        laptop = mine[name]
        laptop.moment += timedelta(seconds=rng.choice([1, 1, 2, 5, 20, 61, 121]))
        act = rng.choices(list(ACT), list(ACT.values()))[0]
        for one in laptops:
            one.put_right()
        if act == "on":
            laptop.on(name, rng)
        elif act == "press":
            state = laptop.rockets[name].state
            ways = [event for start, event in sorted(TABLE.steps) if start == state or rng.random() < 0.1]
            laptop.say("step", rng.choice(list(PEOPLE)), rocket=name, event=rng.choice([*ways, "launch"]))
        elif act == "word":
            for point in ("charge", "field", "sky", "lines", "wind"):
                laptop.say("confirm", TABLE.confirms[point].by, point=point)
        elif act == "stop":
            laptop.stop(late=rng.random() < 0.3)
        elif act == "lift":
            laptop.lift()
        elif act == "jump":
            laptop.moment += rng.choice(JUMPS)
        elif act == "anew":
            laptop.begin_anew()
        elif act == "change":
            people.changed ^= {name}
        elif act == "prepare":
            laptop.prepare()
        elif act == "look":
            laptop.look()
        elif act == "join":
            joined(laptops)
        elif act == "swap":
            joined(laptops)
            mine[name] = laptops[laptop is laptops[0]]
        for one in laptops:
            one.own()
        if rng.random() < 0.2:
            laptop.held([one for one in NAMES if mine[one] is laptop])
    joined(laptops)
