"""What an entry of the field may hold: checked word by word, for a phone may send anything."""

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from bottlewright.design.text_files import bad_character
from bottlewright.errors import InputError
from bottlewright.logbook.roles import KINDS
from bottlewright.logbook.sighting import sighted

__all__ = ["MARK", "PHOTO", "Bounds", "checked_entry", "from_a_phone", "moment_of", "number_of", "words_of"]

MOST_WORDS: Final = 500
PHOTO = re.compile(r"[\w][\w .()-]{0,80}\.(?:jpe?g|png|webp)", re.IGNORECASE | re.ASCII)
"""The name of a photo: a file's own name, never a way to it."""

MARK = re.compile(r"[0-9a-f]{16,64}")
_DIGEST = re.compile(r"[0-9a-f]{0,64}")


class Bounds(NamedTuple):
    """Of a number: least, greatest, whether it is needed, whether it counts whole things."""

    low: float
    high: float
    needed: bool = True
    whole: bool = False


_NUMBERS: Mapping[str, Mapping[str, Bounds]] = {
    "wind": {"speed_m_s": Bounds(0.0, 60.0), "from_deg": Bounds(0.0, 360.0, needed=False)},
    "pressure": {"gauge_Pa": Bounds(0.0, 3e6)},
    "launch": {"number": Bounds(1, 999, whole=True)},
    "sight": {"angle_deg": Bounds(0.1, 89.0), "distance_m": Bounds(1.0, 2000.0), "eye_m": Bounds(0.0, 10.0)},
    "remark": {},
}
"""The numbers of each kind, SI: least, greatest, whether it may be left out, whether it counts."""

_ALWAYS = ("entry", "kind", "at", "design", "remark", "photo", "who")


def from_a_phone(entry: Mapping[str, Any]) -> bool:
    """Say whether an entry of the journal is of these; an event of the day's table says ``what`` it is."""
    return "kind" in entry and "entry" in entry and "what" not in entry


def checked_entry(raw: object) -> dict[str, Any]:
    """Return an entry with all that it has to have, and a height where it is an angle.

    Raises
    ------
    InputError
        Saying what is wrong with it.
    """
    if not isinstance(raw, dict):
        raise InputError("an entry has names and values")
    kind = raw.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        raise InputError(f"an entry is one of {', '.join(KINDS)}")
    if strange := {str(name) for name in raw} - {*_ALWAYS, *_NUMBERS[kind]}:
        raise InputError(f"an entry of this kind has no {min(strange)[:40]!r}")
    entry: dict[str, Any] = {"entry": _text(raw, "entry", MARK), "kind": kind, "at": moment_of(raw.get("at")),
                             "design": _text(raw, "design", _DIGEST)}  # fmt: skip
    for name, asked in _NUMBERS[kind].items():
        if asked.needed or raw.get(name) is not None:
            entry[name] = number_of(name, raw.get(name), asked)
    if kind == "sight":
        seen = sighted(entry["angle_deg"], entry["distance_m"], entry["eye_m"])
        entry |= {"height_m": round(seen.height, 2), "height_off_m": round(seen.off, 2)}
    entry |= {name: text for name in ("remark", "photo") if (text := words_of(raw, name))}
    if kind == "remark" and "remark" not in entry:
        raise InputError("a remark has words")
    return entry


def _text(raw: Mapping[str, Any], name: str, form: re.Pattern[str]) -> str:
    text = raw.get(name, "")
    if not isinstance(text, str) or not form.fullmatch(text):
        raise InputError(f"{name} is not as this program writes it")
    return text


def moment_of(text: object) -> str:
    """Return when it was, by the phone's clock: with its offset, so that it can be read anywhere."""
    try:
        moment = dt.datetime.fromisoformat(text if isinstance(text, str) and len(text) <= 40 else "")
        if moment.tzinfo is not None and 2000 <= moment.year < 2200:
            return moment.isoformat(timespec="seconds")
    except ValueError:
        pass
    raise InputError("at is a day and a time with its offset, such as 2027-03-20T14:05:00+01:00")


def number_of(name: str, value: object, asked: Bounds) -> float | int:
    """Return a number within its bounds, or raise an `InputError` that names it."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    if not plain or not asked.low <= value <= asked.high:  # type: ignore[operator]
        raise InputError(f"{name} is a number from {asked.low:g} to {asked.high:g}")
    if asked.whole and value != int(value):  # type: ignore[call-overload]
        raise InputError(f"{name} counts whole things")
    return int(value) if asked.whole else float(value)  # type: ignore[call-overload, arg-type]


def words_of(raw: Mapping[str, Any], name: str) -> str:
    """Return a text in one line, empty where it is not there, or raise an `InputError` that names it."""
    text = raw.get(name) or ""
    if not isinstance(text, str) or len(text) > MOST_WORDS:
        raise InputError(f"{name} is a text of at most {MOST_WORDS} letters")
    text = " ".join(text.split())
    if bad := bad_character(text):
        raise InputError(f"{name} must not hold {bad}")
    if name == "photo" and text and not PHOTO.fullmatch(text):
        raise InputError("photo is the name of a picture file, such as IMG_0012.jpg")
    return text
