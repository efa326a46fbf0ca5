"""What the pages may ask for: open or begin a design, change it, undo, have long work done."""

import re
import threading
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError
from bottlewright.project.editing import Values
from bottlewright.project.fits import designs_in
from bottlewright.project.launch_day import LaunchDay
from bottlewright.project.need import ANSWERS, asked_of
from bottlewright.project.people import PHOTO, Forgotten, People, PhoneJournal, forget
from bottlewright.project.project import Project
from bottlewright.project.winds import as_written, in_wind, wind_asked
from bottlewright.web.desk import Desk, Warm
from bottlewright.web.door import Door
from bottlewright.web.job import Job
from bottlewright.web.launching import DayWatch
from bottlewright.web.logger_files import LoggerFiles
from bottlewright.web.shelf import Shelf
from bottlewright.web.views.first import FIRST_LOOK
from bottlewright.web.work import Work

if TYPE_CHECKING:
    from bottlewright.project.make import MakeResult

__all__ = ["Office"]

_LOOK = 1.0
"""Seconds between two looks at the file on disk."""
_RESTS = 0.4
"""Seconds after which a hand that turned the wind rests."""


class Office:
    """One folder, the job that is open in it, and the work that is done for it.

    Parameters
    ----------
    folder
        Where design files lie, or will; nothing outside it is read or written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.door: Door | None = None
        self.launch = LaunchDay(folder)
        self.people, self.journal = People(folder), PhoneJournal(folder, lambda: self.launch.now().date())
        self.day_watch = DayWatch(self)
        self.forgotten: tuple[str, Forgotten] | None = None
        self.changed: Callable[[], None] = lambda: None
        self.work = Work(lambda: self.changed())
        self.warm = Warm()
        self.shelf = Shelf(folder, self.work, lambda: self.changed())
        self.job: Job | None = None
        self.logger_files = LoggerFiles(self)
        self.answers: dict[str, str] = {"bottle": "carbonated-1500", "bore": "", "parachute": ""}
        self.day: dict[str, str] = dict(ANSWERS)
        self.first_revision, self.closer = 1, 0
        self.wind: tuple[float, float] | None = None
        self.middle: tuple[float, float] | None = None
        self._turned = 0.0
        self._desk: Desk | None = None
        self._lock = threading.RLock()
        self._closed = threading.Event()
        designs = self.designs()
        if len(designs) == 1:
            self.open({"file": designs[0]})
        self.warm.start(folder / "rocket.toml", self._settled)
        self.day_watch.start()
        threading.Thread(target=self._look_outside, daemon=True, name="outside").start()

    def close(self) -> None:
        """Write what still has to be written, and end what goes on beside."""
        self._closed.set()
        self.day_watch.close()
        self.work.stop_all()
        if self.job:
            self.job.settle()

    def _settled(self) -> None:
        """Show that the last change is written; under a stop, look for what would put it right."""
        with self._lock:
            self._desk = None  # the values now come from the file
        if self.job and self.warm.ready.is_set() and not self._closed.is_set():
            desk = self.desk()
            if desk.proved.verdict.level == "stop":
                self.work.begin("cures", desk.project)
        self.changed()

    def _look_outside(self) -> None:
        """Notice within a second or so that somebody else changed the file."""
        while not self._closed.wait(_LOOK):
            job, was = self.job, self.revision
            if job is None:
                continue
            job.look_outside()
            job.look_around()
            job.save_again()
            if job.revision != was:
                self._settled()

    @property
    def revision(self) -> int:
        """What every change counts up."""
        return self.job.revision if self.job else self.first_revision

    def designs(self) -> list[str]:
        """Return the names of the design files in the folder."""
        return designs_in(self.folder)

    def desk(self) -> Desk:
        """Return what is known of the present revision."""
        with self._lock:
            assert self.job is not None
            now = self.job.revision, self.work.finished
            if self._desk is None or (self._desk.revision, self._desk.finished) != now:
                self._desk = Desk(self.job, self.work, self.warm)
            else:
                for name in ("frame", "numbers"):  # they say what is being worked out
                    self._desk.__dict__.pop(name, None)
            self._desk.wind, self._desk.closer, self._desk.middle = self.wind, self.closer, self.middle
            return self._desk

    # --- what is posted -------------------------------------------------------------------------------------------

    def open(self, given: Mapping[str, str]) -> None:
        """Open a design file of the folder."""
        name = given.get("file", "")
        if name not in self.designs():
            raise InputError(f"{name or 'Nothing'} is no design file of this folder")
        if self.job and self.job.file == self.folder / name:
            return
        self._leave()
        self._work_on(self.folder / name)

    def _work_on(self, file: Path) -> None:
        """Begin with a design file, with nothing that was looked at in another."""
        with self._lock:
            self.job, self._desk = Job(file, self._settled), None
            self.wind, self.closer, self.middle = None, 0, None
        self._settled()

    def try_first(self, given: Mapping[str, str]) -> None:
        """Take over the answers of the first visit; nothing is written."""
        from bottlewright.project.begin import answers_of, begin

        answers = {**self.answers, **{name: text for name, text in given.items() if text is not None}}
        checked = answers_of({name: text for name, text in answers.items() if text})
        begin({"pressure": FIRST_LOOK, **checked})
        self.answers, self.first_revision = answers, self.first_revision + 1

    def plan_day(self, given: Mapping[str, str]) -> None:
        """Take over the answers of a day with children; nothing is written."""
        day = {name: given.get(name, text) for name, text in self.day.items()}
        asked_of(day)
        self.day, self.first_revision = day, self.first_revision + 1

    def begin(self, given: Mapping[str, str]) -> str:
        """Write the first rocket into the folder and open it."""
        from bottlewright.project.begin import answers_of, begin
        from bottlewright.project.first_guess import with_guesses
        from bottlewright.project.new_file import save_new

        answers = {**self.answers, **given}
        checked = answers_of({name: text for name, text in answers.items() if text})
        project = begin({"pressure": FIRST_LOOK, **checked})
        self._leave()
        file = self.folder / project.file.name
        self.folder.mkdir(parents=True, exist_ok=True)
        save_new(file, with_guesses(project, answers))
        self._work_on(file)
        return "/sketch"

    def copy(self, given: Mapping[str, str]) -> str:
        """Write the next one after a design of the folder, `file`, into a file of its own, and open it."""
        from bottlewright.project.new_file import save_new
        from bottlewright.project.next_one import next_one

        name = given.get("file", "")
        if name not in self.designs():
            raise InputError(f"{name or 'Nothing'} is no design file of this folder")
        self._leave()
        standing = self.shelf.standing(name)
        if standing.project is None:
            raise InputError(f"{name}: {standing.wrong}")
        new = next_one(standing.project, given.get("name", ""), given.get("age", "")).project
        save_new(new.file, new.text)
        self.open({"file": new.file.name})
        return "/prove"

    def _leave(self) -> None:
        """See to it that nothing is lost of the design that is open, before another is."""
        if self.job:
            self.job.settle()
            if self.job.trouble:
                raise InputError(f"{self.job.trouble}. Put that right first")

    def _open(self, looks: bool = False) -> Job:
        """Return the job that is open; whoever does more than look waits until its rocket is under no pressure."""
        if self.job is None:
            raise InputError("no design is open")
        if not looks and (name := self.launch.under_pressure(self.job.file.name)):
            raise InputError(f"{name} is under pressure: nobody changes its design before the pressure is off")
        return self.job

    def change(self, given: Mapping[str, str]) -> None:
        """Change one value: `key`, `value`, its ± in `spread`; with `drag` a hand still holds on to it."""
        from bottlewright.project.fields import entered

        key, text = given.get("key", ""), given.get("value", "").strip()
        text = entered(self._open().project, key, text, given.get("spread", "").strip())
        self._change({key: _typed(text)}, given.get("drag") == "1")

    def sure(self, given: Mapping[str, str]) -> None:
        """Say how somebody came by a value, `how`: its ± follows."""
        from bottlewright.project.fields import surer

        key = given.get("key", "")
        self._change({key: surer(self._open().project, key, given.get("how", ""))})

    def change_all(self, given: Mapping[str, str]) -> None:
        """Change several values at once, as a cure does: every field is a key with its value."""
        self._change({key: _typed(text) for key, text in given.items()})

    def _change(self, values: Values, hold: bool = False) -> None:
        from bottlewright.project.as_built import with_memory
        from bottlewright.project.letting_out import without_old_tries

        job = self._open()
        values = without_old_tries(job.project, with_memory(job.project, values))
        for kind in ("cures", "flights"):  # they are for what was there before, and the processor is wanted now
            self.work.drop(kind)
        job.change(values, hold)

    def add_part(self, given: Mapping[str, str]) -> None:
        """Add something that weighs: `name`, `mass`, `position`."""
        from bottlewright.project.weights import added

        asked = [given.get(name, "") for name in ("name", "mass", "position")]
        self._once(lambda project: added(project, *asked))

    def take_part(self, given: Mapping[str, str]) -> None:
        """Take something out again that weighs: `part`."""
        from bottlewright.project.weights import taken_out

        self._once(lambda project: taken_out(project, given.get("part", "")))

    def _once(self, values: Callable[[Project], Values]) -> None:
        """Change what counts the entries of a list anew: it merges with no change before, beside or after it."""
        job = self._open()
        with job.lock:
            job.settle()
            self._change(values(job.project))
            job.settle()

    def measured_here(self, _: Mapping[str, str]) -> None:
        """Say that all that was measured of the whole was measured on the rocket as it is here."""
        from bottlewright.project.as_built import remembered

        self._once(remembered)

    def forget_measured(self, _: Mapping[str, str]) -> None:
        """Take out all that was measured of the whole: the parts count again."""
        from bottlewright.project.as_built import forgotten

        self._once(forgotten)

    def take_out_test(self, given: Mapping[str, str]) -> None:
        """Take out a proof test that was entered wrongly: its `number`, and in `words` what was done in it."""
        from bottlewright.project.proof_test import taken_out_test

        job, number = self._open(), given.get("number", "")
        with job.lock:
            job.settle()
            self._change(taken_out_test(job.project, int(number) if number.isdecimal() else -1, given.get("words", "")))
            job.settle()

    def forget(self, given: Mapping[str, str]) -> None:
        """Take a person out of every file of the folder, and out of what undo could bring back."""
        name = given.get("name", "").strip()
        self._leave()
        with self.people.lock, self._lock:
            self.forgotten = name, forget(self.folder, name)
            for guest in self.door.guests if self.door else ():
                if guest.name.casefold() == name.casefold():
                    self.door.remove(guest)  # type: ignore[union-attr]
            if self.job:
                was = self.job.revision
                self.job, self._desk = Job(self.job.file, self._settled), None
                self.job.revision = was + 1
        self._settled()

    def enter(self, values: Callable[[Project, Mapping[str, str]], Values], given: Mapping[str, str]) -> None:
        """Change what a form entered, where that changes anything: one entry of undo."""
        job = self._open()
        with job.lock:
            job.settle()
            if changes := values(job.project, given):
                self._change(changes)
                job.settle()

    # --- the field ------------------------------------------------------------------------------------------------

    def draw(self, given: Mapping[str, str]) -> None:
        """Draw something of the field otherwise; see `ground_changes.drawn`."""
        from bottlewright.project.ground_changes import drawn

        self._put(lambda project: drawn(project, given))

    def import_map(self, given: Mapping[str, str]) -> None:
        """Take a GeoJSON map over: its `text`, and the `name` of its file, which is not looked for."""
        from bottlewright.project.ground_changes import imported

        self._put(lambda project: imported(project, given.get("text", ""), given.get("name", "")))

    def _put(self, make: Callable[[Project], Project]) -> None:
        for kind in ("cures", "flights"):
            self.work.drop(kind)
        self._open().put(make)
        self._settled()

    def turn_wind(self, given: Mapping[str, str]) -> None:
        """Look at the field in another wind, which no file has: its `speed` and where it comes `from`; none ends it."""
        self.wind, self._turned = wind_asked(self._open(True).project, given), time.monotonic()
        if self.wind is not None:  # its landings are flown once the hand rests
            timer = threading.Timer(_RESTS + 0.05, lambda: self.changed())
            timer.daemon = True
            timer.start()

    def write_wind(self, _: Mapping[str, str]) -> None:
        """Make the wind that is looked at that of the file."""
        if self.wind is not None:
            self._change(as_written(self._open().project, *self.wind))
            self.wind = None

    def look_from(self, given: Mapping[str, str]) -> None:
        """Look at the field from nearer or further off: `closer` by a step, about a `middle`; 0 is all of it."""
        from bottlewright.project.ground_changes import place_of

        steps, job = given.get("closer", ""), self._open(True)
        self.closer = 0 if not re.fullmatch(r"-?1", steps) else max(-6, min(6, self.closer + int(steps)))
        self.middle = place_of(job.project, given.get("middle", "")) or (self.middle if self.closer else None)

    # --- back, and forth ------------------------------------------------------------------------------------------

    def undo(self, _: Mapping[str, str]) -> None:
        """Take the last change back."""
        self._open().undo()
        self._settled()

    def redo(self, _: Mapping[str, str]) -> None:
        """Do again what was taken back."""
        self._open().redo()
        self._settled()

    def take_theirs(self, _: Mapping[str, str]) -> None:
        """Go on with the file as somebody else changed it."""
        self._open().take_theirs()
        self._settled()

    def write_anew(self, _: Mapping[str, str]) -> None:
        """Write the design into its folder, which is gone, once more."""
        self._open().write_anew()
        self._settled()

    def keep_mine(self, _: Mapping[str, str]) -> None:
        """Go on with what is here."""
        self._open().keep_mine()
        self._settled()

    def want(self, kind: str) -> None:
        """See to it that something is worked out for what is shown, once the hand rests."""
        if not self.job or not self.warm.ready.is_set() or self.job.pending:
            return
        project = self.job.project
        if kind != "wind":
            self.work.wanted(kind, project)
        elif self.wind and time.monotonic() - self._turned > _RESTS and self.work.result("scatter", project):
            self.work.wanted(kind, in_wind(project, *self.wind))

    def begin_work(self, kind: str) -> None:
        """Begin a piece of long work for the present revision."""
        if not self.warm.ready.is_set():
            raise InputError("the physics is still being compiled, once on this machine: try again in a moment")
        job = self._open(True)
        job.settle()
        self.work.begin(kind, job.project)

    # --- what is fetched ------------------------------------------------------------------------------------------

    def picture(self, of: str, name: str) -> str | None:
        """Return a picture of the present revision as SVG; None where there is none."""
        if of == "first":
            from bottlewright.web.views.first import first_drawing

            return first_drawing(self)
        if self.job is None:
            return None
        desk = self.desk()
        results: dict[str, Any] = {
            "sketch": desk.sketched, "fly": desk.flight, "tune": self.work.result("tune", desk.project),
            "field": desk.landings,
        }  # fmt: skip
        found = results.get(of)
        return found.pictures[name].svg if found is not None and name in found.pictures else None

    def photo(self, name: str) -> str:
        """Return the name of a photo that lies in the folder; empty where there is none, or it leads elsewhere."""
        file = self.folder / "photos" / name
        there = PHOTO.fullmatch(name) and not file.is_symlink() and not file.parent.is_symlink() and file.is_file()
        return name if there else ""

    def proof_sheet(self) -> str | None:
        """Return the sheet of the next proof test as HTML; None while there is nothing to make it of."""
        return self.desk().proved.sheet() if self.job and self.warm.ready.is_set() else None

    def made_file(self, name: str) -> bytes | None:
        """Return a file of the pack; None where there is none of that name."""
        made = self.pack()
        return made.made().files.get(name) if made else None

    def pack(self) -> "MakeResult | None":
        """Return the pack of the present revision; None where nobody made it, or not since the verdict is another."""
        return self.desk().pack if self.job and self.warm.ready.is_set() else None

    def calendar(self) -> bytes:
        """Return the schedule of the present revision as a calendar file; empty where there is none."""
        return self.job.project.schedule().calendar() if self.job else b""


def _typed(text: str) -> str | int | bool | None:
    """Return a value as the file has it: a count, yes or no, text; nothing takes the key out."""
    if text == "":
        return None
    if text in ("true", "false"):
        return text == "true"
    return int(text) if re.fullmatch(r"-?[0-9]{1,15}", text) else text

