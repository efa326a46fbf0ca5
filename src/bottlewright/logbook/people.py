"""Who was let in, kept in the folder of the designs: a page that was saved may send what it kept another day."""

import datetime as dt
import hashlib
import hmac
import json
import os
import secrets
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bottlewright.design.writing import write_over
from bottlewright.errors import InputError
from bottlewright.logbook.roles import IN_CHARGE, ROLES

__all__ = ["LAPTOP", "PEOPLE", "THE_LAPTOP", "People", "Person", "checked_name"]

PEOPLE = ".bottlewright-people.json"
"""The file's name; it holds a key, so only its owner reads it."""

LAPTOP = "laptop"
DAYS_KNOWN = 30
"""After so many days nobody is known any more, and what they saved is not taken."""


@dataclass(frozen=True)
class Person:
    """Somebody who was let in: a mark, initials or a number, a role."""

    mark: str
    name: str
    role: str


THE_LAPTOP = Person(LAPTOP, "", IN_CHARGE)
"""Whoever saves a page at the laptop itself."""


def checked_name(text: str) -> str:
    """Return initials, as capitals, or a number.

    Raises
    ------
    InputError
        For anything longer: whole names of children are not wanted.
    """
    name = text.strip().upper()
    if not (1 <= len(name) <= 3) or not (name.isalpha() or (name.isascii() and name.isdecimal())):
        raise InputError("Give initials, at most three letters, or a number up to 999")
    return name


class People:
    """Everyone who was let in and not sent away.

    Parameters
    ----------
    folder
        Of the designs.
    today
        The day.

    Attributes
    ----------
    lock
        Held by whoever writes.
    """

    def __init__(self, folder: Path, today: Callable[[], dt.date] = dt.date.today) -> None:
        self._file, self._today = folder / PEOPLE, today
        self.lock = threading.RLock()

    def _read(self) -> dict[str, Any]:
        try:
            kept = json.loads(self._file.read_text(encoding="utf-8"))
            bytes.fromhex(kept["key"])
            return {**kept, "people": [one for one in kept["people"] if _whole(one)]}
        except (OSError, ValueError, KeyError, TypeError, RecursionError):
            pass
        return {"key": "", "people": []}

    @contextmanager
    def _changed(self) -> Iterator[dict[str, Any]]:
        with self.lock:
            kept = self._read()
            kept["key"] = kept["key"] or secrets.token_hex(32)
            yield kept
            if not self._file.exists():
                os.close(os.open(self._file, os.O_CREAT | os.O_WRONLY, 0o600))  # nobody else reads it, not even now
            write_over(self._file, json.dumps(kept, indent=1, ensure_ascii=False) + "\n")

    def let_in(self, name: str, role: str, mark: str = "") -> str:
        """Keep somebody, or their new role, and return their mark."""
        mark = mark or secrets.token_hex(8)
        with self._changed() as kept:
            known = {one.mark for one in self.known()} - {mark}
            kept["people"] = [one for one in kept["people"] if one["mark"] in known]
            kept["people"].append({"mark": mark, "name": name, "role": role, "since": self._today().isoformat()})
        return mark

    def send_away(self, mark: str) -> None:
        """Keep somebody no longer: what they saved is not taken any more."""
        with self._changed() as kept:
            kept["people"] = [one for one in kept["people"] if one["mark"] != mark]

    def known(self) -> list[Person]:
        """Return everyone who was let in within `DAYS_KNOWN`."""
        first = (self._today() - dt.timedelta(DAYS_KNOWN)).isoformat()
        return [Person(str(one["mark"]), str(one["name"]), str(one["role"])) for one in self._read()["people"]
                if str(one["since"]) >= first]  # fmt: skip

    def pass_of(self, mark: str) -> str:
        """Return what a page that somebody saves shows later; for the laptop its mark is `LAPTOP`."""
        with self.lock:
            key = self._read()["key"]
            if not key:
                with self._changed() as kept:
                    key = kept["key"]
        return f"{mark}.{_signed(key, mark)}"

    def who_shows(self, shown: str) -> Person | None:
        """Return whose pass it is; None for a false one, and for somebody who was sent away."""
        mark, _, signature = shown.partition(".")
        key = self._read()["key"]
        if not key or not shown.isascii() or not hmac.compare_digest(signature.encode(), _signed(key, mark).encode()):
            return None
        if mark == LAPTOP:
            return THE_LAPTOP
        return next((one for one in self.known() if one.mark == mark), None)


def _whole(one: object) -> bool:
    """Say whether somebody in the file is as this program writes them."""
    return (isinstance(one, dict) and all(isinstance(one.get(name), str) for name in ("mark", "name", "role", "since"))
            and one["role"] in ROLES)  # fmt: skip


def _signed(key: str, mark: str) -> str:
    return hmac.new(bytes.fromhex(key), mark.encode(), hashlib.sha256).hexdigest()
