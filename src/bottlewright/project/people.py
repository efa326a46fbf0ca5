"""Who joined, what each may write, what they sent, and how somebody is taken out again."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError
from bottlewright.logbook.entries import PHOTO as PHOTO
from bottlewright.logbook.entries import checked_entry
from bottlewright.logbook.forgetting import Forgotten as Forgotten
from bottlewright.logbook.forgetting import forget as forget
from bottlewright.logbook.people import THE_LAPTOP as THE_LAPTOP
from bottlewright.logbook.people import People as People
from bottlewright.logbook.people import Person as Person
from bottlewright.logbook.people import checked_name as checked_name
from bottlewright.logbook.phone_journal import PhoneJournal as PhoneJournal
from bottlewright.logbook.roles import IN_CHARGE as IN_CHARGE
from bottlewright.logbook.roles import KINDS as KINDS
from bottlewright.logbook.roles import ROLES as ROLES
from bottlewright.system import remove_open

if TYPE_CHECKING:
    from bottlewright.logbook.journal import Entry

__all__ = [
    "IN_CHARGE", "KINDS", "LOCK", "PHOTO", "ROLES", "THE_LAPTOP", "Forgotten", "People", "Person", "PhoneJournal",
    "checked_name", "forget", "forget_alone", "taken_in",
]  # fmt: skip

LOCK = ".bottlewright-open.lock"
"""Held by whoever has a folder open."""
_MOST_AT_ONCE = 200


def taken_in(
    journal: PhoneJournal, person: Person, sent: object,
    heard: "Callable[[Entry], str]" = lambda _: "no day is kept here",
) -> tuple[list[str], dict[str, str]]:  # fmt: skip
    """Keep what somebody sent; return the marks of what is on disk, and why others are not.

    Parameters
    ----------
    person
        Who sent it: a role writes its own kinds of remark, anybody calls, and nobody speaks under another's name.
    sent
        A list of remarks and calls, as it came; each was checked by nobody yet.
    heard
        Takes a call into its day, and returns why it is not there; `LaunchDay.heard`.

    Raises
    ------
    OSError
        When nothing can be written.
    InputError
        When it is no list, nothing can be written, or another program holds the logbook for long. What is on disk by
        then stays, and does no harm when it is sent again.
    """
    from bottlewright.logbook.calls import checked_call, event_of, is_call

    if not isinstance(sent, list) or len(sent) > _MOST_AT_ONCE:
        raise InputError(f"entries are a list of at most {_MOST_AT_ONCE}")
    remarks: list[Entry] = []
    called: list[Entry] = []
    refused: dict[str, str] = {}
    for raw in sent:
        try:
            if is_call(raw):
                called.append(event_of(checked_call(raw), person, _said(raw)))
            else:
                remarks.append(_remark(raw, person))
        except InputError as error:
            mark = raw.get("entry") if isinstance(raw, dict) else None
            refused[mark[:64] if isinstance(mark, str) and mark.isascii() else "?"] = str(error)
    for event in sorted(called, key=lambda one: bool(one["what"] != "stop")):  # a stop first
        if why := heard(event):
            refused[event["entry"]] = why
    journal.add(remarks)
    return [entry["entry"] for entry in (*called, *remarks) if entry["entry"] not in refused], refused


def _remark(raw: Any, person: Person) -> "Entry":
    entry = checked_entry(raw)
    if entry["kind"] not in ROLES[person.role].writes:
        raise InputError(f"your role ({person.role}) does not write this")
    who = person.name or _said(raw)
    return {**entry, "who": who, "role": person.role} if who else {**entry, "role": person.role}


def _said(raw: Mapping[str, Any]) -> str:
    """Return who writes, on a page that is nobody's own."""
    said = raw.get("who") or ""
    if not isinstance(said, str):
        raise InputError("who is initials or a number")
    return checked_name(said) if said else ""


def forget_alone(folder: Path, name: str, look: bool = False) -> Forgotten:
    """Take a person out of every file of a folder that nobody has open; see `forget`.

    Raises
    ------
    InputError
        When the folder is open in a browser, or a file can't be written.
    """
    from filelock import FileLock, Timeout

    if not folder.is_dir():
        raise InputError(f"{folder} is no folder")
    lock = FileLock(folder / LOCK)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise InputError(f"{folder} is open in a browser: do it on its page People, or end that first") from None
    except OSError as error:
        raise InputError(f"{folder} can't be written: {error.strerror}") from None
    try:
        return forget(folder, name, look)
    finally:
        remove_open(folder / LOCK)
        lock.release()
