"""A day in the field, invented, for tests of the states: two rockets on one launcher, one on another."""

from dataclasses import replace
from itertools import count

from bottlewright.logbook.day import decide, prepared
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.day_plan import CrewMember, DayPlan, DayRocket
from bottlewright.logbook.day_state import Day, Refusal
from bottlewright.logbook.day_table import day_table

BAR, DAY = 1e5, "2027-03-20"
PEOPLE = {"charge": CrewMember("M. Roe", True), "pump": CrewMember("K", False), "pull": CrewMember("7", False),
          "watch": CrewMember("L. Ash", True), "record": CrewMember("P", False)}  # fmt: skip


def rocket(name: str, vessel: str, pad: str = "A", **more) -> DayRocket:
    return replace(DayRocket(name, vessel, pad, allowed_Pa=4.8 * BAR, basis="its water test", planned_Pa=4.5 * BAR,
                             gauge_error_Pa=0.2 * BAR, wind_limit_m_s=4.0, wind_height_m=1.5, cycles=2,
                             test_left=9), **more)  # fmt: skip


def plan(*rockets: DayRocket, **more) -> DayPlan:
    known = rockets or (rocket("Curlew", "B07"), rocket("Wren", "B08"), rocket("Dabchick", "B09", "B"))
    return replace(DayPlan({one.name: one for one in known}, PEOPLE, frozenset({"M. Roe", "L. Ash"})), **more)


class Field:
    """Writes entries as the devices would, with a time that each test moves on."""

    def __init__(self, the_plan: DayPlan | None = None) -> None:
        self.plan = the_plan or plan()
        self.day: Day = prepared(self.plan)
        self.time, self.names = 36_000.0, count(1)
        self.journal: list[dict] = []
        self.reads_the_wind = True

    def at(self) -> str:
        whole = int(self.time)
        return f"2027-03-20T{whole // 3600:02d}:{whole // 60 % 60:02d}:{self.time % 60:06.3f}"

    def say(self, what: str, role: str = "record", **more) -> Refusal | None:
        person = self.day.roles.get(role)
        number = next(self.names)
        entry = {"entry": f"e{number}", "at": self.at(), "n": number, "what": what, "role": role,
                 "by": person.name if person else "?", "device": f"phone of {role}", **more}
        after, refusal = decide(self.day, entry)
        self.day = after
        if refusal is None or more.get("offline"):
            self.journal.append(entry)
        return refusal

    def step(self, name: str, event: str, role: str | None = None, **more) -> Refusal | None:
        step = day_table().steps.get((self.day.rockets[name].state, event))
        return self.say("step", role or (step.by if step and step.by != "any" else "record"), rocket=name, event=event,
                        **more)

    def confirm(self, *points: str) -> None:
        for point in points:
            assert self.say("confirm", day_table().confirms[point].by, point=point) is None

    def read(self, name: str, pump: str, watch: str | None = None) -> None:
        self.say("reading", "pump", rocket=name, pressure=pump)
        self.say("reading", "watch", rocket=name, pressure=watch or pump)

    def wind(self, mean: str = "2 m/s", gust: str = "3 m/s") -> Refusal | None:
        return self.say("wind", mean=mean, gust=gust)

    def state(self, name: str = "Curlew") -> str:
        return self.day.rockets[name].state

    def to(self, state: str, name: str = "Curlew") -> "Field":
        """Lead a rocket to a state on the way that a launch takes, or by a stop."""
        while self.state(name) != state:
            refusal = self.onwards(state, name)
            assert refusal is None, refusal
        return self

    def onwards(self, state: str, name: str) -> Refusal | None:
        """Do what comes next on the way to a state."""
        now = self.state(name)
        if now == "field clear" and state in ("stop", "venting", "misfire wait", "approach allowed", "retired"):
            self._confirmed(name, "pump", "charge", "wind")
            self.read(name, "4.5 bar")
            refusal = self.say("stop", "record", why="a dog")
        elif now in _NEXT:
            refusal = self.step(name, _NEXT[now])
        elif now in _CONFIRMED:
            refusal = self._confirmed(name, *_CONFIRMED[now])
        elif now == "down":
            self.read(name, "0 bar")
            refusal = self._confirmed(name, "give up" if state == "not retrieved" else "open", "charge")
        elif now == "misfire wait":
            self.time += 120.0
            self.say("second sign", "watch", rocket=name, sign="it sits loose on its seal")
            refusal = self._confirmed(name, "approach", "charge")
        else:
            self.read(name, "0 bar" if now == "venting" else "4.5 bar")
            refusal = self.step(name, {"pressurising": "hold", "holding": "tight", "venting": "zero"}[now])
        self.time += 1.0
        return refusal

    def _confirmed(self, name: str, event: str, *points: str) -> Refusal | None:
        if self.reads_the_wind:
            self.wind()
        if event == "launch":
            self.say("take", "pull", rocket=name)
        self.confirm(*points)
        return self.step(name, event)


_NEXT = {"waiting": "inspect", "inspected": "load", "loaded": "seat", "launched": "down", "field open": "back",
         "stop": "vent", "approach allowed": "retire"}
_CONFIRMED = {"seated": ("clear", "field", "sky", "lines"), "field clear": ("pump", "charge", "wind"),
              "ready": ("launch", "charge", "field", "sky", "wind", "lines")}


class Kept(Field):
    """Says everything to a day book, as a server does."""

    def __init__(self, folder, the_plan=None):
        super().__init__(the_plan)
        self.book = DayBook(folder, DAY)
        if not self.book.entries:
            assert self.book.prepare(self.plan, "e0", self.at(), "M. Roe") is None
        self.day = self.book.day

    def say(self, what, role="record", **more):
        person = self.book.day.roles.get(role)
        number = next(self.names)
        entry = {"entry": f"e{number}", "at": self.at(), "n": number, "what": what, "role": role,
                 "by": person.name if person else "?", "device": f"phone of {role}", **more}
        refusal = self.book.say(entry, received=self.at())
        self.day = self.book.day
        return refusal


def entry_of_a_phone(mark: int, kind: str, **more) -> dict:
    return {"entry": f"{mark:032x}", "kind": kind, "at": f"{DAY}T10:05:00+01:00", "design": "1029bffa", "who": "AB",
            "role": "record", **more}


def why(refusal) -> str:
    assert refusal is not None
    return refusal.why


def gates(refusal) -> set[str]:
    assert refusal is not None
    return {one.gate for one in refusal.blocks}
