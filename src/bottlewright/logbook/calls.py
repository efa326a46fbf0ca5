"""What somebody calls out to the day from a phone that may be cut off: a stop, thunder, a near miss, a bottle pumped.

Anybody calls, whatever their role. A call is an event of the day; what else a phone sends is a remark (`entries`). It
is taken as made by a device that nobody heard: it counts from when it comes, and the journal keeps when it was called.
"""

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from bottlewright.design.fields import of_letters
from bottlewright.errors import InputError
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.entries import MARK, Bounds, moment_of, number_of, words_of
from bottlewright.logbook.journal import Entry
from bottlewright.logbook.offline import ENDED, OFFLINE
from bottlewright.logbook.people import Person

__all__ = ["CALLS", "PUMPED", "checked_call", "day_of_call", "event_of", "is_call"]

PUMPED: Final = "pumped"
"""A bottle was under pressure while its phone was cut off: one time more, with its highest reading and its end."""

CALLS: Final = tuple(sorted({*OFFLINE, PUMPED}))
_SAYS: Mapping[str, str] = {"stop": "why", "near miss": "note", "note": "note"}
"""Under which key the words of a call stand in the journal."""
_KEYS: Mapping[str, frozenset[str]] = {PUMPED: frozenset({"vessel", "rocket", "peak_Pa", "ended"})}
_PEAK = Bounds(0.0, 3e6)
_LONGEST = dt.timedelta(hours=12)
"""After so long a call is of an earlier day."""


def is_call(raw: object) -> bool:
    """Say whether what a phone sent is a call, and no remark."""
    return isinstance(raw, dict) and "what" in raw


def checked_call(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Return a call with all that it has to have.

    Raises
    ------
    InputError
        Saying what is wrong with it.
    """
    what = raw.get("what")
    if not isinstance(what, str) or what not in CALLS:
        raise InputError(f"a phone calls {', '.join(CALLS)}")
    if strange := {str(name) for name in raw} - {"entry", "what", "at", "says", "who", *_KEYS.get(what, ())}:
        raise InputError(f"a call of this kind has no {min(strange)[:40]!r}")
    entry = raw.get("entry")
    if not isinstance(entry, str) or not MARK.fullmatch(entry):
        raise InputError("entry is not as this program writes it")
    call = {"entry": entry, "what": what, "at": moment_of(raw.get("at")), "says": words_of(raw, "says")}
    return {**call, **_pumped(raw)} if what == PUMPED else call


def _pumped(raw: Mapping[str, Any]) -> dict[str, Any]:
    ended = raw.get("ended")
    try:
        vessel = of_letters(raw.get("vessel"), 32)
    except ValueError:
        raise InputError("vessel is what is written on the bottle") from None
    if ended not in ENDED:
        raise InputError(f"how it ended is one of {', '.join(ENDED)}")
    pumped: dict[str, Any] = {"vessel": vessel, "ended": ended, "rocket": words_of(raw, "rocket")}
    if raw.get("peak_Pa") is not None:
        pumped["peak"] = f"{number_of('peak_Pa', raw['peak_Pa'], _PEAK) / 1e5:.3f} bar"
    return pumped


def event_of(call: Mapping[str, Any], person: Person, who: str = "") -> Entry:
    """Return a call as an event of the day.

    Parameters
    ----------
    person
        Whose page sent it: their phone is the device.
    who
        Initials or a number, where the page is nobody's own.
    """
    role = next((one.name for one in day_table().roles.values() if one.called == person.role), "")
    event = {"entry": call["entry"], "at": call["at"], "by": person.name or who or "a page of the laptop",
             "role": role, "device": person.mark, "offline": True, "what": call["what"]}  # fmt: skip
    if call["what"] == PUMPED:
        return {**event, "what": "step", "event": "pump", **{
            key: call[key] for key in ("vessel", "rocket", "peak", "ended") if call.get(key)}}  # fmt: skip
    says = call["says"] or (f"somebody called stop at {call['at'][11:16]}" if call["what"] == "stop" else "")
    return {**event, _SAYS[call["what"]]: says} if says and call["what"] in _SAYS else event


def day_of_call(called: str, sent: object, received: dt.datetime) -> str:
    """Return the day that a call belongs to, by the laptop's clock: the phone's may be wrong by any amount.

    Parameters
    ----------
    called, sent
        When it was called and when it was sent, both by the phone's clock.
    received
        When it came.
    """
    try:
        age = dt.datetime.fromisoformat(moment_of(sent)) - dt.datetime.fromisoformat(called)
    except InputError:
        age = dt.timedelta(0)
    return (received - age if age > _LONGEST else received).date().isoformat()
