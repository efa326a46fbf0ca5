"""The design file that is worked on: its project, undo and redo, saving, and what was changed outside."""

import contextlib
import hashlib
import threading
import time
from collections.abc import Callable
from pathlib import Path

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.differences import difference
from bottlewright.project.editing import Values, edited, names_inside, saved, text_of, tried
from bottlewright.project.project import Project, parse

__all__ = ["Job"]

_MOST_UNDONE = 200
_QUIET, _AT_MOST = 0.25, 1.0
"""Seconds without a change after which the file is written, and the longest that a change waits for it."""


class Job:
    """One design file, edited by any number of windows; every change makes a new revision.

    A change is judged and shown at once. The file's own text follows when the hand rests a moment: what a slider
    passes on its way is one entry of undo, and one saving. A hand that holds on makes one entry, however often it
    rests.

    Parameters
    ----------
    file
        The design file; it has to be there.
    settled
        Called, from any thread, when a change has been written.

    Attributes
    ----------
    project
        What is worked on now.
    revision
        Counts every change, undo included.
    outside
        The file's text as somebody else changed it, where that was not taken over yet; None otherwise.
    trouble
        Why the last change could not be saved; empty when all is on disk.
    gone
        Whether the folder of the file is gone: then nothing is written before somebody says so.
    held
        What it was when somebody took hold of a grip; None once they let go.
    """

    def __init__(self, file: Path, settled: Callable[[], None] = lambda: None) -> None:
        self.lock = threading.RLock()
        self._seen = self._theirs = _digest(file)  # before the text: what comes between is noticed
        self.project: Project = _now(parse(text_of(file), file))
        self.revision = 1
        self.outside: str | None = None
        self.trouble = ""
        self.gone = False
        self._unsaved = False
        self._tell = settled
        self._past: list[str] = []
        self._future: list[str] = []
        self._pending: Values = {}
        self._before = self.project
        self._held: frozenset[str] = frozenset()
        self.held: Project | None = None
        self._since = 0.0
        self._timer: threading.Timer | None = None

    @property
    def file(self) -> Path:
        """Where the design file lies."""
        return self.project.file

    @property
    def can_undo(self) -> bool:
        """Whether there is something to take back."""
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        """Whether something was taken back that can be done again."""
        return bool(self._future)

    @property
    def undoes(self) -> str:
        """What the next undo takes back, such as ``"water 400 mL → 365 mL"``; empty while nobody can say."""
        return difference(self.project.text, self._past[-1]) if self._past and not self._pending else ""

    @property
    def redoes(self) -> str:
        """What would be done again."""
        return difference(self.project.text, self._future[-1]) if self._future and not self._pending else ""

    @property
    def pending(self) -> bool:
        """Whether a change still has to be written."""
        return bool(self._pending)

    def change(self, values: Values, hold: bool = False) -> None:
        """Change values; the file follows.

        Parameters
        ----------
        hold
            Whether a hand still holds on to these values: all until it lets go is one entry of undo.

        Raises
        ------
        BottlewrightError
            When the file would be refused, or names another outside its folder; nothing is changed then.
        """
        with self.lock:
            keys = _asked(values)
            if self._pending and keys != _asked(self._pending):
                self.settle()
            try:
                new = tried(self.project, values)
            except BottlewrightError:  # the file's own text says what is wrong, and where
                self.settle()
                new = edited(self.project, values)
            names_inside(new, self.project)
            if not self._pending:
                self._before, self._since = self.project, time.monotonic()
                if self._held != keys:
                    self._past = [*self._past, self.project.text][-_MOST_UNDONE:]
            if not hold:
                self._let_go()
            elif self._held != keys:
                self._held, self.held = keys, self.project
            self._future = []
            self._pending = {**self._pending, **values}
            self.project = new
            self.revision += 1
            self._settle_soon()

    def _let_go(self) -> None:
        self._held, self.held = frozenset(), None

    def _settle_soon(self) -> None:
        if self._timer:
            self._timer.cancel()
        rest = min(_QUIET, self._since + _AT_MOST - time.monotonic())
        self._timer = threading.Timer(max(rest, 0.0), self.settle)
        self._timer.daemon = True
        self._timer.start()

    def settle(self) -> bool:
        """Write what was changed into the file's own text, and save it; say whether the text took it."""
        with self.lock:
            if not self._pending:
                return True
            if self._timer:
                self._timer.cancel()
            values, self._pending = self._pending, {}
            try:
                self.project = _now(edited(self.project, values))
            except BottlewrightError as error:  # the quick way took what the file's own text does not
                self.trouble, self.revision = str(error), self.revision + 1
                self.project = self._before
                if self._past and self._past[-1] == self._before.text:
                    self._past.pop()
                took = False
            else:
                self._save()
                took = True
        self._tell()
        return took

    def put(self, make: Callable[[Project], Project]) -> None:
        """Change the text in a way that values by key do not say, as one entry of undo.

        Parameters
        ----------
        make
            From the project of now to the one that takes its place; what it raises changes nothing.
        """
        with self.lock:
            self.settle()
            new = make(self.project)
            self._past = [*self._past, self.project.text][-_MOST_UNDONE:]
            self._future = []
            self._take(new)

    def undo(self) -> None:
        """Take the last change back."""
        with self.lock:
            if self.settle() and self._past:
                before = parse(self._past[-1], self.file)
                self._future.append(self.project.text)
                self._past.pop()
                self._take(before)

    def redo(self) -> None:
        """Do again what was taken back last."""
        with self.lock:
            self.settle()
            if self._future:
                self._past.append(self.project.text)
                self._take(parse(self._future.pop(), self.file))

    def _take(self, project: Project) -> None:
        self._let_go()
        self.project = _now(project)
        self.revision += 1
        self._save()

    def _save(self) -> None:
        """Write the file, unless somebody else wrote it since: then theirs stays, and is offered.

        A folder that is gone is not made anew: whoever deleted or moved it meant to.
        """
        if self._look_gone():
            self._unsaved = True
            return
        if self.look_outside():
            self.trouble = f"{self.file.name} was changed outside; nothing is saved before you choose"
            return
        try:
            saved(self.project)
        except OSError as error:
            self.trouble = f"{self.file.name} can't be saved: {error.strerror}. It stays as it was"
            self._unsaved = True
            return
        self._unsaved = False
        self.trouble, self._seen = "", hashlib.sha256(self.project.text.encode()).hexdigest()

    def save_again(self) -> None:
        """Try once more to save what could not be."""
        with self.lock:
            if self._unsaved and self.outside is None and not self._pending:
                self._save()
                self.revision += not self.trouble

    def write_anew(self) -> None:
        """Make the folder that is gone once more, and write the design there."""
        with self.lock:
            if self._look_gone():
                self.settle()
                self.gone, self._seen = False, ""
                self.file.parent.mkdir(parents=True, exist_ok=True)
                self._save()
                self.revision += 1

    def _look_gone(self) -> bool:
        """Look whether the folder is gone; one that comes back empty stays gone until somebody says what to do."""
        gone = not self.file.parent.is_dir() or (self.gone and not self.file.is_file())
        if gone != self.gone:
            self.gone, self.revision = gone, self.revision + 1
            self.trouble = (f"The folder {self.file.parent.name} is gone, and {self.file.name} with it. What you see "
                            "is kept here, and nothing is written before you say so") if gone else ""
        return gone

    # --- what somebody else does ---------------------------------------------------------------------------------

    def look_outside(self) -> bool:
        """Look whether somebody else changed the file; return whether there is something to choose."""
        with self.lock:
            if self._look_gone():
                return False
            now = _digest(self.file)
            if now == self._seen and self.outside is not None:  # somebody put back what was there
                self.outside, self.trouble, self.revision = None, "", self.revision + 1
                if not self._pending and hashlib.sha256(self.project.text.encode()).hexdigest() != now:
                    self._save()
                    return False
            if now in (self._seen, ""):
                return self.outside is not None
            try:
                text = text_of(self.file)
            except BottlewrightError:
                text = ""  # no text of a design: taking it is refused in words, and nothing goes over it
            changed = text != self.outside
            self.outside, self._theirs = text, now
            self.revision += changed
            return True

    def look_around(self) -> None:
        """Begin anew where a file that the design names is another now, or the day: all of it may count."""
        with self.lock:
            if self.gone or self._pending or Project(self.project.design, self.file).around == self.project.around:
                return
            self.project = _now(parse(self.project.text, self.file))
            self.revision += 1

    def take_theirs(self) -> None:
        """Go on with the file as it lies on disk; what was here can be had back by undo.

        Raises
        ------
        BottlewrightError
            When it is no design.
        """
        with self.lock:
            if self.outside is None:
                return
            was = self.outside
            if not self.look_outside() or self.outside != was:
                raise InputError(f"{self.file.name} was changed once more: look again, and choose then")
            self.settle()
            try:
                theirs = parse(self.outside, self.file)
            except BottlewrightError as error:  # by line and key: whoever wrote the file has them before their eyes
                raise InputError(str(error)) from error
            self._past.append(self.project.text)
            self._future, self.outside, self.trouble = [], None, ""
            self._seen = self._theirs
            self.project = theirs
            self.revision += 1

    def keep_mine(self) -> None:
        """Go on with what is here, and save it over what somebody else wrote, which can be had back by undo."""
        with self.lock:
            if self.outside is None:
                return
            was = self.outside
            if not self.look_outside() or self.outside != was:
                raise InputError(f"{self.file.name} was changed once more: look again, and choose then")
            self.settle()
            mine = self.project
            self._past = [*self._past, *self._readable(self.outside)]
            self._seen, self.outside = self._theirs, None
            self._take(mine)

    def _readable(self, text: str) -> list[str]:
        """Return a text that undo can bring back; what is no design is put beside the file instead."""
        try:
            parse(text, self.file)
        except BottlewrightError:
            with contextlib.suppress(OSError):
                names = (self.file.with_name(f"{self.file.name}.outside-{number}") for number in range(1, 1000))
                next(name for name in names if not name.exists()).write_bytes(self.file.read_bytes())
            return []
        return [text]


def _asked(values: Values) -> frozenset[str]:
    """Return the keys that somebody asked to change, without what is remembered beside the first of many changes."""
    return frozenset(key for key in values if not key.startswith("measured.parts_"))


def _now(project: Project) -> Project:
    """Return a project that has looked at all that counts beside it, so that a change of that is noticed."""
    _ = project.around
    return project


def _digest(file: Path) -> str:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest() if file.is_file() else ""  # a pipe would make us wait
    except OSError:
        return ""
