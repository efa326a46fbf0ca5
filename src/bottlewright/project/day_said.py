"""What a device sends to the day as texts of a form, made into an entry of its journal."""

import secrets
from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import InputError

if TYPE_CHECKING:
    from bottlewright.logbook.journal import Entry

__all__ = ["Speaker", "entry_of", "new_name", "written"]

_TEXTS = ("what", "rocket", "event", "point", "pressure", "mean", "gust", "landing", "why", "note", "sign", "gate",
          "code", "adult", "reason", "vessel", "height", "from")  # fmt: skip
"""Keys of an entry that a form may send, each a text."""
_YES_NO = ("aircraft", "darkness", "frost", "fit")
_MOST = 500


class Speaker(NamedTuple):
    """Who says something: initials or a name, the role of the day's table, the device."""

    name: str
    role: str
    device: str


def entry_of(given: Mapping[str, str], speaker: Speaker) -> "Entry":
    """Return an entry of a form's texts."""
    entry: dict[str, Any] = {"entry": _checked(given.get("entry", "")) or new_name(), "by": speaker.name,
                             "role": speaker.role, "device": speaker.device}  # fmt: skip
    for key in _TEXTS:
        if text := " ".join(given.get(key, "").split())[:_MOST]:
            entry[key] = text
    for key in _YES_NO:
        if given.get(key) in ("yes", "no", "true", "false"):
            entry[key] = given[key] in ("yes", "true")
    if given.get("count", ""):
        entry["count"] = _count(given["count"])
    if given.get("offline") in ("yes", "true"):
        entry["offline"] = True
    if called := _moment(given.get("at", "")):
        entry["called"] = called
    return entry


def _checked(name: str) -> str:
    if len(name) > 64 or not all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name):
        raise InputError("the name of an entry is letters and digits, at most 64")
    return name


def _count(text: str) -> int:
    if not text.isdecimal() or not text.isascii() or len(text) > 4:
        raise InputError("how many is a whole number, such as 2")
    return int(text)


def _moment(text: str) -> str:
    """Return a device's own time as this computer writes it: local, without an offset; empty where it is none."""
    try:
        moment = datetime.fromisoformat(text[:40])
    except ValueError:
        return ""
    return written(moment.astimezone().replace(tzinfo=None) if moment.tzinfo else moment)


def written(moment: datetime) -> str:
    """Return a time as the journal has it."""
    return moment.isoformat(timespec="milliseconds")


def new_name() -> str:
    """Return a name for an entry that has none."""
    return secrets.token_hex(8)
