"""A day in the field, invented, kept beside a design, with a clock that the test moves on and phones with roles."""

from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import count

from conftest_lan import LAN, PASSCODE, joined
from conftest_web import CURLEW, HOST, TOKEN, served

import bottlewright as bw
from bottlewright.design.resting import rests_on
from bottlewright.field.wind_heights import Growth
from bottlewright.logbook.day_plan import CrewMember, DayPlan, DayRocket, Turn
from bottlewright.project.launch_day import LAPTOP, LaunchDay, Speaker, day_roles
from bottlewright.web.door import Door

BAR, NOON = 1e5, datetime(2027, 4, 1, 12, 0, 0)
PEOPLE = {"charge": ("MR", True), "pump": ("K", False), "pull": ("7", False), "watch": ("LA", True),
          "record": ("P", False)}


class Clock:
    """This computer's time, moved on by the test."""

    def __init__(self):
        self.time = NOON

    def __call__(self):
        return self.time

    def on(self, seconds):
        self.time += timedelta(seconds=seconds)


def rocket(name, vessel, pad="A", **more):
    """Return a rocket of a day; with the file of a design it rests on Curlew's, without one nothing is compared."""
    rests = rests_on(bw.read(CURLEW / "rocket.toml").design) if more.get("file") else {"charge.water": "4e-4±0"}
    more = {"rests_on": dict(rests), **more}
    return DayRocket(**{"name": name, "vessel": vessel, "pad": pad, "allowed_Pa": 4.8 * BAR, "basis": "its water test",
                        "planned_Pa": 4.5 * BAR, "gauge_error_Pa": 0.2 * BAR, "wind_limit_m_s": 4.0, "cycles": 2,
                        "test_left": 9, "wind_height_m": 2.0, "wind_grows": tuple(Growth()), **more})  # fmt: skip


def plan(*rockets, **more):
    known = rockets or (rocket("Curlew", "B07"), rocket("Wren", "B08"))
    turns = tuple(Turn(one.name, 2, "", 1e-3, 2e-4) for one in known)
    return DayPlan(**{"rockets": {one.name: one for one in known}, "turns": turns, "adults": frozenset({"MR", "LA"}),
                      "roles": {role: CrewMember(*who) for role, who in PEOPLE.items()},
                      "local": {"emergency number": "112"}, **more})  # fmt: skip


def kept_day(folder, the_plan=None, clock=None):
    """Return a day that is kept in a folder."""
    day = LaunchDay(folder, clock or Clock())
    assert not day.kept
    book = day._opened(day._clock().date().isoformat())
    assert book.prepare(the_plan or plan(), "plan", day._clock().isoformat(timespec="milliseconds"), "MR") is None
    day._book = book
    return day


class Said:
    """Says entries to a `LaunchDay` as the devices of its roles would."""

    def __init__(self, day):
        self.day, self.clock, self.names = day, day._clock, count(1)

    def say(self, what, role="record", device="", **given):
        speaker = Speaker(PEOPLE[role][0], role, device or f"phone-{role}")
        self.day.say({"what": what, "entry": f"e{next(self.names)}", **given}, speaker)

    def step(self, event, name="Curlew", role=None):
        from bottlewright.logbook.day_table import day_table

        step = day_table().steps[self.state(name), event]
        self.say("step", role or ("record" if step.by == "any" else step.by), rocket=name, event=event)

    def confirm(self, *points):
        from bottlewright.logbook.day_table import day_table

        for point in points:
            self.say("confirm", day_table().confirms[point].by, point=point)

    def read(self, gauge, name="Curlew"):
        for role in ("pump", "watch"):
            self.say("reading", role, rocket=name, pressure=gauge)

    def state(self, name="Curlew"):
        return self.day.day.rockets[name].state

    def to(self, state, name="Curlew"):
        """Lead a rocket on until it stands there."""
        while self.state(name) != state:
            if isinstance(self.clock, Clock):
                self.clock.on(1)
            self._on(self.state(name), name)
        return self

    def _on(self, now, name):
        if now in ("seated", "field clear", "ready"):
            self.say("wind", mean="2 m/s", gust="3 m/s")
        plain = {"waiting": "inspect", "inspected": "load", "loaded": "seat", "launched": "down", "field open": "back",
                 "stop": "vent"}  # fmt: skip
        if now in plain:
            return self.step(plain[now], name)
        if now == "seated":
            self.confirm("field", "sky", "lines")
            return self.step("clear", name)
        if now == "field clear":
            self.confirm("charge", "wind")
            return self.step("pump", name)
        if now in ("pressurising", "holding"):
            self.read("4.5 bar", name)
            return self.step({"pressurising": "hold", "holding": "tight"}[now], name)
        if now == "ready":
            self.say("take", "pull", rocket=name)
            self.confirm("charge", "field", "sky", "wind", "lines")
            return self.step("launch", name)
        self.read("0 bar", name)
        if now == "down":
            self.confirm("charge")
            return self.step("open", name)
        return self.step({"venting": "zero"}[now], name)


@contextmanager
def served_day(folder, the_plan=None, roles=()):
    """Yield the pages of a folder with a day, and a phone for each role asked for."""
    (folder / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    with served(folder, Door(frozenset({LAN}), PASSCODE)) as pages:
        office = pages.office
        office.day_watch.close()  # the test looks when it wants to
        office.launch = kept_day(folder, the_plan)
        called = {name: role.called for name, role in day_roles().items()} | {"": "look on"}
        names = {role: who for role, (who, _) in PEOPLE.items()} | {"": "ZZ"}
        phones = {role: joined(pages, names[role], called[role], f"192.168.7.{30 + number}")
                  for number, role in enumerate(roles)}
        yield pages, phones


def posted(pages, path, phone=None, **given):
    """Post as the laptop does, or as a phone."""
    if phone:
        return phone[0].write(path, phone[1], **given)
    headers = {"X-Bottlewright-Token": TOKEN, "Origin": f"http://{HOST}"}
    return pages.post(path, data=given, headers=headers)


__all__ = ["LAPTOP", "NOON", "PEOPLE", "Clock", "Said", "kept_day", "plan", "posted", "rocket", "served_day"]
