"""Loggers' files while somebody looks at them on a page; nothing is written before one is taken into a launch."""

import hashlib
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.logger_look import Look, kept_file, look

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["Held", "LoggerFiles"]

_MOST = 4
"""Files that are held at once; the one that came longest ago goes."""


@dataclass(eq=False)
class Held:
    """A file that somebody looks at.

    Parameters
    ----------
    name, content
        As it came.
    launch
        That it shall be taken into; empty where nobody chose one.
    shown
        How it is read now.
    span
        The time that the curve shows, s; the whole record where None.
    revision
        Counts up with each answer.
    """

    name: str
    content: bytes
    launch: str
    shown: Look
    span: tuple[float, float] | None = None
    revision: int = 1
    lock: threading.RLock = field(default_factory=threading.RLock)


class LoggerFiles:
    """The files that are looked at on pages; nothing of them is written before one is taken into a launch."""

    def __init__(self, office: "Office") -> None:
        self._office, self._held, self._lock = office, dict[str, Held](), threading.Lock()

    def give(self, name: str, content: bytes, launch: str = "", said: Mapping[str, str] | None = None) -> str:
        """Hold a file, with what somebody said of it before; return under which name.

        Raises
        ------
        InputError
            When there is no table of numbers in it.
        """
        key = hashlib.sha256(content).hexdigest()[:12]
        shown = look(self._office.folder, name, content, said or {}, launch)
        held = Held(name, content, launch, shown, shown.span if shown.file else None)
        with self._lock:
            self._held.pop(key, None)
            self._held[key] = held
            while len(self._held) > _MOST:
                self._held.pop(next(iter(self._held)))
        return key

    def held(self, key: str) -> Held | None:
        """Return a file that is held, or that the logbook keeps; None where there is neither."""
        with self._lock:
            found = self._held.get(key)
        if found is not None or not key:
            return found
        try:
            kept = kept_file(self._office.folder, key)
            if kept is not None:
                self.give(kept.name, kept.content, kept.launch, kept.said)
        except BottlewrightError:
            return None
        with self._lock:
            return self._held.get(key)

    def put(self, key: str, said: Callable[[Mapping[str, str]], dict[str, str]], launch: str | None = None) -> Held:
        """Read a file anew with what somebody says of it; an answer that can't be taken changes nothing."""
        held = self.held(key)
        if held is None:
            raise InputError("this file is not held here any more: choose it again")
        with held.lock:
            into = held.launch if launch is None else launch
            before = held.shown.file
            held.shown = look(self._office.folder, held.name, held.content, said(held.shown.said), into)
            held.launch, held.revision = into, held.revision + 1
            if before is None and held.shown.file is not None:
                held.span = held.shown.span
        return held
