"""What the pages may ask for: open or begin a design, change it, undo, have long work done."""

import os
import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from bottlewright.errors import InputError
from bottlewright.web.desk import Desk, Warm
from bottlewright.web.job import Job
from bottlewright.web.views.first import FIRST_LOOK
from bottlewright.web.work import Work

__all__ = ["Office"]


class Office:
    """One folder, the job that is open in it, and the work that is done for it.

    Parameters
    ----------
    folder
        Where design files lie, or will; nothing outside it is read or written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.changed: Callable[[], None] = lambda: None
        self.work = Work(lambda: self.changed())
        self.warm = Warm()
        self.job: Job | None = None
        self.answers: dict[str, str] = {"bottle": "carbonated-1500", "bore": "", "parachute": ""}
        self.first_revision = 1
        self._desk: Desk | None = None
        self._lock = threading.RLock()
        designs = self.designs()
        if len(designs) == 1:
            self.open({"file": designs[0]})
        self.warm.start(folder / "rocket.toml", lambda: self._again())

    def _again(self) -> None:
        with self._lock:
            self._desk = None
        self.changed()

    @property
    def revision(self) -> int:
        """What every change counts up."""
        return self.job.revision if self.job else self.first_revision

    def designs(self) -> list[str]:
        """Return the names of the design files in the folder."""
        try:
            names = [entry.name for entry in os.scandir(self.folder)
                     if entry.is_file() and entry.name.endswith(".toml")]  # fmt: skip
        except FileNotFoundError:
            return []
        return sorted(name for name in names if "[vessel]" in _beginning(self.folder / name))

    def desk(self) -> Desk:
        """Return what is known of the present revision."""
        with self._lock:
            assert self.job is not None
            now = self.job.revision, self.work.finished
            if self._desk is None or (self._desk.revision, self._desk.finished) != now:
                self._desk = Desk(self.job, self.work, self.warm)
                if self.warm.ready.is_set() and self._desk.proved.verdict.level == "stop":
                    self.work.begin("cures", self.job.project)
            else:
                for name in ("frame", "numbers"):  # they say what is being worked out
                    self._desk.__dict__.pop(name, None)
            return self._desk

    # --- what is posted -------------------------------------------------------------------------------------------

    def open(self, given: Mapping[str, str]) -> None:
        """Open a design file of the folder."""
        name = given.get("file", "")
        if name not in self.designs():
            raise InputError(f"{name or 'Nothing'} is no design file of this folder")
        with self._lock:
            self.job, self._desk = Job(self.folder / name), None

    def try_first(self, given: Mapping[str, str]) -> None:
        """Take over the answers of the first visit; nothing is written."""
        from bottlewright.project.begin import answers_of, begin

        answers = {**self.answers, **{name: text for name, text in given.items() if text is not None}}
        checked = answers_of({name: text for name, text in answers.items() if text})
        begin({"pressure": FIRST_LOOK, **checked})
        self.answers, self.first_revision = answers, self.first_revision + 1

    def begin(self, given: Mapping[str, str]) -> str:
        """Write the first rocket into the folder and open it."""
        from bottlewright.project.begin import answers_of, begin
        from bottlewright.project.new_file import save_new

        answers = {**self.answers, **given}
        checked = answers_of({name: text for name, text in answers.items() if text})
        project = begin({"pressure": FIRST_LOOK, **checked})
        file = self.folder / project.file.name
        self.folder.mkdir(parents=True, exist_ok=True)
        save_new(file, project.text)
        with self._lock:
            self.job, self._desk = Job(file), None
        return "/sketch"

    def _open(self) -> Job:
        if self.job is None:
            raise InputError("no design is open")
        return self.job

    def change(self, given: Mapping[str, str]) -> None:
        """Change one value: `key`, `value`, and its ± in `spread`."""
        key, text = given.get("key", ""), given.get("value", "").strip()
        if spread := given.get("spread", "").strip():
            text = f"{text} ± {spread}"
        self._open().change({key: _typed(text)})

    def change_all(self, given: Mapping[str, str]) -> None:
        """Change several values at once, as a cure does: every field is a key with its value."""
        self._open().change({key: _typed(text) for key, text in given.items()})

    def undo(self, _: Mapping[str, str]) -> None:
        """Take the last change back."""
        self._open().undo()

    def redo(self, _: Mapping[str, str]) -> None:
        """Do again what was taken back."""
        self._open().redo()

    def take_theirs(self, _: Mapping[str, str]) -> None:
        """Go on with the file as somebody else changed it."""
        self._open().take_theirs()

    def keep_mine(self, _: Mapping[str, str]) -> None:
        """Go on with what is here."""
        self._open().keep_mine()

    def begin_work(self, kind: str) -> None:
        """Begin a piece of long work for the present revision."""
        if not self.warm.ready.is_set():
            raise InputError("the physics is still being compiled, once on this machine: try again in a moment")
        self.work.begin(kind, self._open().project)

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
            "sketch": desk.sketched, "fly": desk.flight, "tune": self.work.result("tune", desk.project.digest),
            "field": self.work.result("scatter", desk.project.digest),
        }  # fmt: skip
        found = results.get(of)
        return found.pictures[name].svg if found is not None and name in found.pictures else None

    def made_file(self, name: str) -> bytes | None:
        """Return a file of the pack; None where there is none of that name."""
        made = self.work.result("make", self.job.project.digest) if self.job else None
        return made.made().files.get(name) if made else None


def _typed(text: str) -> str | int | bool | None:
    """Return a value as the file has it: a count, yes or no, text; nothing takes the key out."""
    if text == "":
        return None
    if text in ("true", "false"):
        return text == "true"
    return int(text) if text.lstrip("-").isdecimal() else text


def _beginning(file: Path) -> str:
    try:
        with file.open("rb") as stream:
            return stream.read(300_000).decode("utf-8", "replace")
    except OSError:
        return ""
