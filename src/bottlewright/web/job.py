"""The design file that is worked on: its project, undo and redo, saving, and what was changed outside."""

import hashlib
import threading
from collections.abc import Mapping
from pathlib import Path

from bottlewright.errors import BottlewrightError
from bottlewright.project.editing import edited, saved, text_of
from bottlewright.project.project import Project, parse

__all__ = ["Job"]

_MOST_UNDONE = 200


class Job:
    """One design file, edited by any number of windows; every change makes a new revision.

    Parameters
    ----------
    file
        The design file; it has to be there.

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
    """

    def __init__(self, file: Path) -> None:
        self.lock = threading.RLock()
        text = text_of(file)
        self.project: Project = parse(text, file)
        self.revision = 1
        self.outside: str | None = None
        self.trouble = ""
        self._seen = _digest(file)
        self._past: list[str] = []
        self._future: list[str] = []

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

    def change(self, values: Mapping[str, str | int | bool | None]) -> None:
        """Change values in the file's own text and save it.

        Raises
        ------
        BottlewrightError
            When the file would be refused; nothing is changed then.
        """
        with self.lock:
            new = edited(self.project, values)
            self._past = [*self._past, self.project.text][-_MOST_UNDONE:]
            self._future = []
            self._take(new)

    def undo(self) -> None:
        """Take the last change back."""
        with self.lock:
            if self._past:
                self._future.append(self.project.text)
                self._take(parse(self._past.pop(), self.file))

    def redo(self) -> None:
        """Do again what was taken back last."""
        with self.lock:
            if self._future:
                self._past.append(self.project.text)
                self._take(parse(self._future.pop(), self.file))

    def _take(self, project: Project) -> None:
        self.project = project
        self.revision += 1
        self._save()

    def _save(self) -> None:
        """Write the file, unless somebody else wrote it since: then theirs stays, and is offered."""
        if self.look_outside():
            self.trouble = f"{self.file.name} was changed outside; nothing is saved before you choose"
            return
        try:
            saved(self.project)
        except OSError as error:
            self.trouble = f"{self.file.name} can't be saved: {error.strerror}. It stays as it was"
            return
        self.trouble, self._seen = "", _digest(self.file)

    # --- what somebody else does ---------------------------------------------------------------------------------

    def look_outside(self) -> bool:
        """Look whether somebody else changed the file; return whether there is something to choose."""
        with self.lock:
            now = _digest(self.file)
            if now in (self._seen, ""):
                return self.outside is not None
            try:
                text = text_of(self.file)
            except BottlewrightError:
                return self.outside is not None
            changed = text != self.outside
            self.outside = text
            self.revision += changed
            return True

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
            theirs = parse(self.outside, self.file)
            self._past.append(self.project.text)
            self._future, self.outside, self.trouble = [], None, ""
            self._seen = _digest(self.file)
            self.project = theirs
            self.revision += 1

    def keep_mine(self) -> None:
        """Go on with what is here, and save it over what somebody else wrote, which can be had back by undo."""
        with self.lock:
            if self.outside is None:
                return
            mine = self.project
            self._past = [*self._past, self.outside]
            self._seen, self.outside = _digest(self.file), None
            self._take(mine)


def _digest(file: Path) -> str:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest()
    except OSError:
        return ""
