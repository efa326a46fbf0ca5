"""Two phones and two laptops, cut apart and joined in any order, answers lost, a laptop begun anew: one logbook."""

import json
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from conftest_lan import LAN, PASSCODE
from conftest_web import served
from hypothesis import given, settings
from hypothesis import strategies as st
from launch_folder import NOON, Clock, kept_day, plan
from starlette.testclient import TestClient

from bottlewright.logbook.book import merge_folders, open_questions, read_book
from bottlewright.logbook.day_book import DayBook
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.people import LAPTOP
from bottlewright.logbook.phone_journal import PhoneJournal
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import counted, new_vessel, read_vessel
from bottlewright.project.launch_day import LaunchDay
from bottlewright.web.door import Door

TODAY = NOON.date().isoformat()
BOTTLES = ("B07", "B08")


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    with served(tmp_path_factory.mktemp("apart"), Door(frozenset({LAN}), PASSCODE)) as pages:
        pages.office.day_watch.close()
        yield pages


class Laptop:
    """A folder with a day, served when a phone sends to it."""

    def __init__(self, pages, folder, clock):
        self.pages, self.folder, self.clock = pages, folder, clock
        for bottle in BOTTLES:
            new_vessel(folder / FOLDER, VesselFile(id=bottle, earlier=2))
        self.day = kept_day(folder, plan(), clock)

    def begin_anew(self):
        self.day = LaunchDay(self.folder, self.clock)

    def take(self, entries):
        office = self.pages.office
        office.launch, office.journal = self.day, PhoneJournal(self.folder, NOON.date)
        body = json.dumps({"pass": office.people.pass_of(LAPTOP), "now": moment(self.clock()), "entries": entries})
        phone = TestClient(self.pages.app, base_url=f"http://{LAN}", client=("192.168.7.31", 40000))
        answer = phone.post("/entries", content=body, headers={"Origin": "null", "Content-Type": "text/plain"})
        assert answer.status_code == 200
        assert answer.json()["refused"] == {}
        return set(answer.json()["kept"])

    def book(self):
        return DayBook(self.folder / FOLDER, TODAY)


def moment(time):
    return f"{time.isoformat(timespec='seconds')}+02:00"


class Phone:
    """Keeps what is called on it until a laptop has answered."""

    def __init__(self, number):
        self.number, self.made, self.waits = number, 0, {}

    def call(self, what, time):
        self.made += 1
        name = f"{self.number:01x}{self.made:031x}"
        more = {"pumped": {"what": "pumped", "vessel": BOTTLES[self.made % 2], "ended": "vented", "peak_Pa": 4e5},
                "remark": {"kind": "remark", "remark": "a gull", "design": ""}}.get(what, {"what": what})  # fmt: skip
        self.waits[name] = {"entry": name, "at": moment(time), **more}
        return name

    def send(self, laptop, answered=True):
        kept = laptop.take(list(self.waits.values()))
        assert kept == set(self.waits)
        if answered:
            self.waits = {}


steps = st.one_of(
    st.tuples(st.just("call"), st.sampled_from([0, 1]),
              st.sampled_from(["stop", "thunder", "near miss", "note", "pumped", "remark"])),
    st.tuples(st.just("send"), st.sampled_from([0, 1]), st.sampled_from([0, 1]), st.booleans()),
    st.tuples(st.just("join"), st.sampled_from([0, 1])),
    st.tuples(st.just("anew"), st.sampled_from([0, 1])),
)  # fmt: skip


@given(did=st.lists(steps, max_size=16), last=st.permutations([0, 1]))
@settings(max_examples=25, deadline=None)
def test_whatever_was_cut_apart_and_however_it_is_joined_there_is_one_logbook(pages, did, last):
    with TemporaryDirectory() as folder:
        clock, made = Clock(), {}
        laptops = [Laptop(pages, Path(folder) / name, clock) for name in ("one", "two")]
        phones = [Phone(10), Phone(11)]
        for step, who, *more in did:
            clock.on(20)
            if step == "call":
                made[phones[who].call(more[0], clock())] = more[0]
            elif step == "send":
                phones[who].send(laptops[more[0]], more[1])
            elif step == "join":
                merge_folders(laptops[who].folder / FOLDER, laptops[1 - who].folder / FOLDER)
            else:
                laptops[who].begin_anew()
        for phone, who in zip(phones, last, strict=True):
            phone.send(laptops[who])
        for who in (*last, last[0]):
            merge_folders(laptops[who].folder / FOLDER, laptops[1 - who].folder / FOLDER)
        one_and_the_same(laptops, made)


def one_and_the_same(laptops, made):
    first, second = (laptop.book() for laptop in laptops)
    assert first.day == second.day
    books = [read_book(laptop.folder / FOLDER) for laptop in laptops]
    assert books[0] == books[1]
    kinds = Counter(made.values())
    for laptop, book in zip(laptops, (first, second), strict=True):
        day = book.day
        assert {one["entry"] for one in book.entries} - {"plan"} == {
            name for name, what in made.items() if what != "remark"}, "no entry is lost"
        remarks = [one["entry"] for one in PhoneJournal(laptop.folder).read().entries]
        assert Counter(remarks) == Counter(name for name, what in made.items() if what == "remark")
        assert bool(day.stop) == ("stop" in kinds)
        assert bool(day.near_miss) == ("near miss" in kinds)
        assert (day.thunder is not None) == ("thunder" in kinds)
        assert Counter(one.entry for one in day.cycles) == Counter(
            name for name, what in made.items() if what == "pumped"), "no cycle is lost, none counts twice"
        counts = [counted(read_vessel(laptop.folder / FOLDER, bottle)) for bottle in BOTTLES]
        assert sum(counts) == 4 + kinds["pumped"]
        assert all("peak" in one.what or "pressurised" in one.what for one in open_questions(books[0]))
