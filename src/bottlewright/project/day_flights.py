"""The files of a day's launches: begun with what is foretold when a rocket is loaded, and followed until it lies still.

The journal is written first and is the truth of the day; these files follow it, and are brought up to it when a day is
opened after a crash. A launch is named by the entry that loaded its rocket.
"""

from collections.abc import Callable, Mapping
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.field.wind_heights import HAND_HEIGHT
from bottlewright.project.foretelling import begin_late, foretell, it_left, it_stayed

if TYPE_CHECKING:
    from bottlewright.logbook.day_book import DayBook
    from bottlewright.logbook.day_state import Day
    from bottlewright.logbook.journal import Entry
    from bottlewright.logbook.records import FlightFile
    from bottlewright.project.flights import FlightsResult
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["catch_up", "follow", "launches_by_hand"]

Looked = Callable[[str], "tuple[Project, Verdict, FlightsResult | None]"]
"""From the file of a design to what is known of it: itself, its verdict, and its flights where they were flown."""


def follow(beside: Path, book: "DayBook", entry: "Entry", look: Looked) -> str:
    """Carry a step of the day into the file of its launch; return the launch's name, empty where it concerns none.

    Parameters
    ----------
    beside
        The folder in which the designs lie.
    entry
        A step that was taken.

    Raises
    ------
    BottlewrightError
        When the design or the launch's file can't be read or written.
    """
    name, event, at = str(entry.get("rocket", "")), entry.get("event"), str(entry.get("at", ""))
    rocket = book.day.plan.rockets.get(name)
    if entry.get("what") != "step" or rocket is None or not rocket.file:
        return ""
    if event == "load":
        project, verdict, many = look(rocket.file)
        return foretell(beside, project, {"team": _whose(book, name)}, at, str(entry["entry"]), many, verdict)
    loaded = _before(book, name, "load", entry)
    if loaded is None:
        return ""
    launch, by = str(loaded["entry"]), str(entry.get("by", ""))
    if event == "launch":
        it_left(beside, launch, at, by, **_as_it_left(book, name, entry))
    elif event == "approach":
        it_stayed(beside, launch, at, _day_before(book, entry).rockets[name].cause or "it was vented", by)
    elif event == "stand down":
        it_stayed(beside, launch, at, "it stood down", by)
    elif event == "down" and entry.get("landing"):
        _landed(beside, launch, str(entry["landing"]), at, by)
    else:
        return ""
    return launch


def catch_up(beside: Path, book: "DayBook", look: Looked, now: str) -> list[str]:
    """Bring the files of a day's launches up to its journal; return which launches lacked something, by entry.

    A file that has what the journal says stays as it is, and so does whatever somebody put right in it.

    Parameters
    ----------
    beside
        The folder in which the designs lie.
    now
        On the field's watches: a launch that has no file and has not left is foretold now. Of one that left nothing is.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import all_launches

    refused, lacked = _refused(book), []
    for entry in book.entries:
        if entry.get("what") != "step" or str(entry.get("entry")) in refused:
            continue
        files = {one.entry: one for one in all_launches(beside / FOLDER)}
        if entry.get("event") == "load":
            if str(entry["entry"]) not in files and _loaded_late(beside, book, entry, look, now):
                lacked.append(str(entry["entry"]))
        elif entry.get("event") in _WRITES:
            loaded = _before(book, str(entry.get("rocket")), "load", entry)
            flight = files.get(str(loaded["entry"])) if loaded else None
            if flight is not None and _lacks(flight, _WRITES[str(entry["event"])]):
                lacked.append(follow(beside, book, entry, look))
    return list(dict.fromkeys(lacked))


_WRITES: Mapping[str, str] = {"launch": "at", "approach": "counts", "stand down": "counts", "down": "landing"}
"""Which key of a launch's file a step of the day writes."""


def _lacks(flight: "FlightFile", key: str) -> bool:
    """Say whether nobody wrote a key into a launch's file yet: what did not leave has no time of leaving."""
    if any(one.key == key for one in flight.corrected) or not flight.counts:
        return False
    return key == "counts" or getattr(flight, key) is None


def _loaded_late(beside: Path, book: "DayBook", entry: "Entry", look: Looked, now: str) -> str:
    """Begin the file of a rocket that was loaded when the computer went down."""
    name, at = str(entry.get("rocket")), str(entry["at"])
    rocket = book.day.plan.rockets.get(name)
    if rocket is None or not rocket.file:
        return ""
    left = _after(book, name, "launch", entry)
    if left is None:
        return follow(beside, book, {**entry, "at": max(at, now)}, look)
    project, _, _ = look(rocket.file)
    return begin_late(beside, project, {"team": _whose(book, name)}, at, str(entry["entry"]))


def _after(book: "DayBook", rocket: str, event: str, entry: "Entry") -> "Entry | None":
    """Return the first step of that kind of a rocket after a loading, before the next one."""
    refused, found, begun = _refused(book), None, False
    for one in book.entries:
        mine = one.get("what") == "step" and one.get("rocket") == rocket and str(one.get("entry")) not in refused
        if one.get("entry") == entry["entry"]:
            begun = True
        elif begun and mine and one.get("event") == "load":
            break
        elif begun and mine and one.get("event") == event:
            found = found or one
    return found


def _whose(book: "DayBook", rocket: str) -> str | None:
    return next((turn.who for turn in book.day.plan.turns if turn.rocket == rocket and turn.who), None)


def _refused(book: "DayBook") -> set[str]:
    return {str(one.get("entry")) for one, _ in book.day.refused}


def _day_before(book: "DayBook", entry: "Entry") -> "Day":
    """Return the day as it was when an entry came: this may be long after it."""
    from bottlewright.logbook.day import NO_PLAN, day_of

    return day_of(NO_PLAN, _said_before(book, entry))


def _said_before(book: "DayBook", entry: "Entry") -> "list[Entry]":
    """Return all that was said before an entry, in the order of the journal: a clock may have jumped."""
    return list(takewhile(lambda one: one.get("entry") != entry["entry"], book.entries))


def _before(book: "DayBook", rocket: str, event: str, entry: "Entry") -> "Entry | None":
    """Return the last step of that kind of a rocket before an entry that was taken."""
    refused = _refused(book)
    found = [one for one in _said_before(book, entry) if one.get("what") == "step" and one.get("event") == event
             and one.get("rocket") == rocket and one.get("entry") not in refused]
    return found[-1] if found else None


def _as_it_left(book: "DayBook", rocket: str, entry: "Entry") -> dict[str, Any]:
    """Return what the day knows of a launch: crew, the time under pressure, the last reading and wind before it."""
    day, pumped, before = _day_before(book, entry), _before(book, rocket, "pump", entry), _said_before(book, entry)
    said: dict[str, Any] = {"crew": {role: one.name for role, one in day.roles.items()}}
    if pumped is not None:
        said["pressurised"] = str(pumped["entry"])
        read = [one for one in before[before.index(pumped) :] if one.get("what") == "reading"
                and one.get("rocket") == rocket and one.get("role") == "pump"]  # fmt: skip
        if read:
            said["loaded.pressure"] = str(read[-1]["pressure"])
    winds = [one for one in before if one.get("what") == "wind"]
    if winds:
        said["conditions.wind"] = str(winds[-1]["mean"])
        said["conditions.wind_height"] = str(winds[-1].get("height") or f"{HAND_HEIGHT:g} m")
        more = {"conditions.gust": winds[-1].get("gust"), "conditions.wind_from": winds[-1].get("from")}
        said |= {key: str(value) for key, value in more.items() if value}
    return said


def launches_by_hand(beside: Path, book: "DayBook") -> dict[str, int]:
    """Return by rocket how many launches of a day were begun by hand, before the one that the rocket is on.

    So page and cards number the launches as Measure does (`bottlewright.logbook.launches.number_in`).
    """
    from bottlewright.logbook.day_queue import FLOWN

    loads = [str(one.get("entry")) for one in book.entries if one.get("what") == "step" and one.get("event") == "load"]
    found: dict[str, int] = {}
    for rocket, now in book.day.rockets.items():
        mine = [one for one in _left_on(beside, book.name) if one.rocket == rocket]
        own = [one.number for one in mine if one.entry in loads]
        last = max(own) if own and now.state in FLOWN else None
        found[rocket] = sum(one.entry not in loads and (last is None or one.number < last) for one in mine)
    return {rocket: count for rocket, count in found.items() if count}


def _left_on(beside: Path, day: str) -> "list[FlightFile]":
    """Return the launches of a day that left, or may still leave."""
    from bottlewright.logbook.launches import stayed
    from bottlewright.project.book_shown import flights_shown

    return [one for one in flights_shown(beside) if str(one.day) == day and not stayed(one)]


def _landed(beside: Path, launch: str, landing: str, at: str, by: str) -> None:
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import add_to_launch

    add_to_launch(beside / FOLDER, launch, {}, {"landing": landing}, at, by or None)
