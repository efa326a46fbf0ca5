"""The day in the field: prepared from the designs of a folder, kept in its logbook, shown to each device.

One `LaunchDay` a folder. What `say` and `stop` take is on the disk when they return; what they refuse has a reason in
words. The time is this computer's: a phone's clock may be minutes off, and waits and confirmations count by one clock.
"""

import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.records import LANDINGS as LANDINGS
from bottlewright.logbook.roles import IN_CHARGE as IN_CHARGE
from bottlewright.logbook.roles import ROLES
from bottlewright.project.day_answers import LOCAL_VALUES as LOCAL_VALUES
from bottlewright.project.day_answers import asked_plan, judged_now
from bottlewright.project.day_answers import day_roles as day_roles
from bottlewright.project.day_answers import stands_against as stands_against
from bottlewright.project.day_clock import latest
from bottlewright.project.day_said import Speaker as Speaker
from bottlewright.project.day_said import entry_of, new_name, written

if TYPE_CHECKING:
    from bottlewright.logbook.day_book import DayBook
    from bottlewright.logbook.day_now import LowerWind
    from bottlewright.logbook.day_screen import Point as Point
    from bottlewright.logbook.day_screen import RocketShown as RocketShown
    from bottlewright.logbook.day_screen import Screen as Screen
    from bottlewright.logbook.day_screen import StepShown as StepShown
    from bottlewright.logbook.day_state import Block as Block
    from bottlewright.logbook.day_state import Day
    from bottlewright.logbook.journal import Entry

__all__ = ["IN_CHARGE", "LANDINGS", "LAPTOP", "LINK_LOST", "LOCAL_VALUES", "LaunchDay", "Speaker", "called_of",
           "day_roles", "gauge_words", "role_of", "stands_against"]  # fmt: skip

LAPTOP = "laptop"
"""The laptop as a device: it may speak for every role, because it goes from hand to hand."""

LINK_LOST = day_table().limits["link_lost"].seconds
"""After so many seconds without a window a device counts as lost."""

_SAID = frozenset({"step", "reading", "confirm", "wind", "thunder", "sky", "inside", "near miss", "near miss signed",
                   "second sign", "override", "take", "inspection", "note", "lift stop", "stop"})  # fmt: skip
"""What a device may say. A plan, who has a role and who is connected come from this program itself."""
_LOOKED_AT = 8
"""Journals, the last written first, that are looked through for a day that is under way."""
_ANYBODY = frozenset({"stop", "near miss", "thunder", "sky", "inside", "note"})
"""What somebody without a role of the day may say too."""


def role_of(called: str) -> str:
    """Return the day's name of a role that phones call otherwise; empty for whoever looks on."""
    role = ROLES.get(called)
    return role.name if role is not None and role.name in day_roles() else ""


def called_of(role: str) -> str:
    """Return how phones call a role of the day; empty for none."""
    return day_roles()[role].called if role in day_roles() else ""


def gauge_words(pascals: float, limit: bool = False) -> str:
    """See `bottlewright.logbook.day_screen.gauge_words`."""
    from bottlewright.logbook.day_screen import gauge_words as words

    return words(pascals, limit)


class LaunchDay:
    """A day of a folder's logbook; nothing is kept before somebody prepared it.

    Parameters
    ----------
    folder
        Of the designs.
    clock
        This computer's.

    Attributes
    ----------
    trouble
        Why the day can't be watched over; empty where it is.
    left_out
        Why the file of a launch lacks something that the journal has; empty where none does.
    taken
        Called with each entry that was taken, once it is on the disk.
    judge
        Gives project and verdict of a design file as they are now; None reads and judges it.
    """

    def __init__(self, folder: Path, clock: Callable[[], datetime] = datetime.now) -> None:
        self.folder, self._clock = folder, clock
        self._book: DayBook | None = None
        self._resumed = False
        self._lock = threading.RLock()
        self._chosen = ""
        self._ahead, self._told = timedelta(0), ("", datetime.min)
        self.trouble = self.left_out = ""
        self.taken: Callable[[Entry], None] = lambda _: None
        self.judge: Callable[[str], Any] | None = None

    # --- what is kept -------------------------------------------------------------------------------------------

    @property
    def kept(self) -> bool:
        """Whether a day was prepared and is not over."""
        book = self.book
        return book is not None and bool(book.day.plan.rockets)

    @property
    def book(self) -> "DayBook | None":
        """The day's book: of today, or of the day that is still under way; None where there is none."""
        from bottlewright.logbook.files import FOLDER
        from bottlewright.logbook.journal import journal_file

        with self._lock:
            if not self._resumed:  # after midnight, or on a clock that was put back, a day under way goes on
                self._resumed, self._book = True, self._gone_on()
            today = self._clock().date().isoformat()
            if self._book is not None and (self._book.name == today or self._book.day.under_way):
                return self._book
            self._book = self._opened(today) if journal_file(self.folder / FOLDER, today).is_file() else None
            return self._book

    def _gone_on(self) -> "DayBook | None":
        """Return the book of a day that is under way, whatever its date, of those that were written last."""
        from bottlewright.logbook.files import FOLDER
        from bottlewright.logbook.journal import day_files

        files = sorted(day_files(self.folder / FOLDER), key=lambda path: (path.stat().st_mtime_ns, path.stem))
        books = (self._opened(path.stem) for path in files[: -_LOOKED_AT - 1 : -1])
        return next((book for book in books if book.day.under_way), None)

    def _last_kept(self) -> "DayBook | None":
        """Return the book of the last day that was prepared; a later journal may hold remarks of phones alone."""
        from bottlewright.logbook.files import FOLDER
        from bottlewright.logbook.journal import day_files

        books = (self._opened(path.stem) for path in day_files(self.folder / FOLDER)[::-1])
        return next((book for book in books if book.day.plan.rockets), None)

    @property
    def other_day(self) -> str:
        """The date of the day that goes on, where it is not today's: a rocket of it is filled, or out there."""
        book = self.book
        return book.name if book is not None and book.name != self._clock().date().isoformat() else ""

    def last_book(self) -> "DayBook | None":
        """Return the book of the last day that was kept, today's or an earlier one; None where there was none."""
        with self._lock:
            return self.book or self._last_kept()

    def _opened(self, name: str) -> "DayBook":
        from bottlewright.project.logbook import Logbook

        return Logbook(self.folder).day(name, lambda file: (self.judge or partial(judged_now, self.folder))(file))

    @property
    def day(self) -> "Day | None":
        """Where everything stands; None while no day is kept."""
        book = self.book
        return book.day if book is not None and book.day.plan.rockets else None

    def under_pressure(self, file: str) -> str:
        """Return the rocket of a design file that may be under pressure now; empty where none may."""
        day = self.day
        found = (one.name for one in day.plan.rockets.values() if one.file == file) if day is not None else ()
        states = day_table().states
        return next((name for name in found if day and states[day.rockets[name].state].pressure == "may be"), "")

    def now(self) -> datetime:
        """Return the time of the day: this computer's, and never before what was written down already.

        Where somebody puts this computer's clock back, the day's goes on from there: waits end as they would have.
        """
        with self._lock:
            book, (name, told) = self._book, self._told
            if book is not None and book.name != name:  # of another day the clock may have been wrong
                self._ahead, name, told = timedelta(0), book.name, datetime.fromisoformat(book.name)
            moment = self._clock() + self._ahead
            later = latest(book.entries if book else (), max(told, moment))
            if moment < later:
                self._ahead += later - moment
            self._told = name, later
            return later

    def at(self) -> float:
        """Return the time as the day counts it, s."""
        from bottlewright.logbook.day_state import seconds_of

        return seconds_of(written(self.now()))

    # --- what is done -------------------------------------------------------------------------------------------

    def prepare(self, given: Mapping[str, str], judge: Callable[[str], Any] | None = None) -> None:
        """Begin the day, or take a new plan for it, from the answers of a form; see `asked_plan`.

        Raises
        ------
        FieldsError
            With what is wrong, by the name of the answer.
        InputError
            When the plan can't be changed now, or the journal can't be written.
        """
        plan = asked_plan(self.folder, given, judge)
        with self._lock:
            book = self.book or self._opened(self._clock().date().isoformat())
            filled = [name for name, now in book.day.rockets.items() if now.state == "loaded"] if self.other_day else ()
            if filled:
                raise InputError(f"{' and '.join(filled)} {'stands' if len(filled) == 1 else 'stand'} filled since "
                                 f"{self.other_day}: stand it down first, on the page of the day")
            self._book = book
            refusal = book.prepare(plan, new_name(), written(self.now()), plan.roles["charge"].name)
        if refusal:
            raise InputError(refusal.why)

    def say(self, given: Mapping[str, str], speaker: Speaker) -> None:
        """Take what a device says: on the disk when this returns.

        Parameters
        ----------
        given
            The entry's keys as texts: ``what`` and what goes with that, ``entry`` (its name, given by the device so
            that it may be sent again), ``at`` (the device's own time, which is only kept), ``offline`` where the device
            was cut off when it was said.
        speaker
            Who says it, as this computer knows it.

        Raises
        ------
        InputError
            With why it is not taken.
        """
        what = given.get("what", "")
        if what not in _SAID:
            raise InputError("nobody knows what this entry is")
        if what not in _ANYBODY and not speaker.role:
            raise InputError("who looks on does not say this; ask for a role")
        entry, book = entry_of(given, speaker), self.book
        if book is not None:  # no lock is held: a stop may come
            self._clock_put_right(book)
            entry, barred = book.asked({**entry, "at": written(self.now())})
            if barred is not None:
                raise InputError(barred.why)
        self._written_down(entry)

    def stop(self, given: Mapping[str, str], speaker: Speaker) -> None:
        """Stop everything: whoever says it, from whichever device; nobody is asked anything."""
        self._written_down(entry_of({**given, "what": "stop"}, speaker))

    def _written_down(self, entry: "Entry") -> None:
        with self._lock:
            book = self.book
            if book is None or not book.day.plan.rockets:
                raise InputError("no day is kept: prepare one first")
            book.look()
            self._clock_put_right(book)
            now, name = written(self.now()), entry["entry"]
            before = next((one for one in book.entries if one.get("entry") == name), None)
            if before is not None:  # sent again: it stands where it stood
                entry = {**entry, **{key: before[key] for key in ("at", "called") if key in before}}
                if entry.get("offline"):  # the book makes of the first the second, and of now the first
                    entry["at"] = entry.pop("called", entry["at"])
            elif entry.get("offline"):
                entry = {**entry, "at": min(str(entry.get("called") or now), now)}
                entry.pop("called", None)
            else:
                entry = {**entry, "at": now}
            refusal = book.say(entry, received=now, asked=True)
        if refusal:
            raise InputError(refusal.why)
        if before is None:
            self.taken(entry)

    def heard(self, event: "Entry", clock: object = None) -> str:
        """Take what a phone called while nobody heard it; return why it is not there, or nothing once it is.

        Parameters
        ----------
        event
            As `bottlewright.logbook.calls.event_of` makes it.
        clock
            What time it is by that phone.

        Raises
        ------
        InputError
            When the journal can't be written.
        """
        from bottlewright.logbook.calls import day_of_call

        with self._lock:
            today = self._clock().date().isoformat()
            name = day_of_call(str(event["at"]), clock, self._clock())
            book = (self.book if name == today else None) or self._opened(name)
            book.look()
            why = book.say(event, received=written(self.now()))
            there = [(one.get("what"), one.get("called")) for one in book.entries if one.get("entry") == event["entry"]]
        return why.why if why is not None and (event["what"], event["at"]) not in there else ""

    def watch(self, connected: Mapping[str, bool], lower: "Mapping[str, LowerWind] | None" = None,
              barred: Mapping[str, Sequence[str]] = MappingProxyType({})) -> bool:  # fmt: skip
        """Do what has to happen by itself: devices lost and back, a stop where pressure may no longer stay.

        Whoever serves the day calls this every second.

        Parameters
        ----------
        connected
            By role: whether the device of whoever has it is there; of a role without a device nothing is said.
        lower
            Limits of the wind, by rocket, where its design of now has one lower than the day.
        barred
            What the designs of now say against rockets, by name: one that is under pressure stops the day.

        Returns
        -------
        bool
            Whether anything was written down.
        """
        with self._lock:
            book = self.book
            if book is None:
                return False
            before = len(book.entries)
            book.look()  # somebody else may have prepared the day
            if not book.day.plan.rockets:
                return False
            self._clock_put_right(book)
            for role in sorted(day_roles()):
                gone = not connected.get(role, True)
                if gone != (role in book.day.lost):
                    self._program({"what": "link", "role_of": role, "lost": gone}, book)
            for rocket, limits in (lower or {}).items():
                book.lower_wind(rocket, limits, new_name(), written(self.now()))
            book.watch(new_name(), written(self.now()), barred)
            return len(book.entries) != before

    def _clock_put_right(self, book: "DayBook") -> None:
        """Write down that the clock jumped by days since the last entry: waits begin anew, and none is endless."""
        from bottlewright.logbook.day_jump import has_jumped

        with self._lock:
            if has_jumped(book.day, self.at()):
                self._program({"what": "clock"}, book)

    def give_role(self, called: str, name: str, adult: bool) -> None:
        """Give somebody who joined a role of the day.

        Raises
        ------
        InputError
            While a rocket may be under pressure or flies: nobody changes a role then.
        """
        role, day = role_of(called), self.day
        if not role or day is None:
            return
        held = day.roles.get(role)
        if held is None or held.name != name or held.adult != adult:
            with self._lock:
                assert self._book is not None
                self._program({"what": "role", "role_of": role, "name": name, "adult": adult}, self._book, strict=True)

    def _program(self, what: dict[str, Any], book: "DayBook", strict: bool = False) -> None:
        entry = {"entry": new_name(), "at": written(self.now()), "by": "the program", "role": "", "device": LAPTOP,
                 **what}  # fmt: skip
        refusal = book.say(entry)
        if refusal and strict:
            raise InputError(refusal.why)

    def choose(self, rocket: str, speaker: Speaker) -> None:
        """Show another rocket to everyone, because its turn comes first, or because it stands on another launcher.

        Raises
        ------
        InputError
            When there is no such rocket, somebody else says it, or the rocket that is shown may be under pressure.
        """
        day = self.day
        if day is None or rocket not in day.rockets:
            raise InputError("there is no such rocket on this day")
        if speaker.role not in ("charge", "record"):
            raise InputError("whose turn it is, the person in charge or the recorder says")
        self._chosen = rocket

    # --- what is shown ------------------------------------------------------------------------------------------

    def screen(self, role: str, device: str, every: bool = False) -> "Screen | None":
        """Return what a device shows; None while no day is kept. See `bottlewright.logbook.day_screen.screen_of`."""
        from bottlewright.logbook.day_screen import screen_of

        with self._lock:
            day = self.day
            return None if day is None else screen_of(day, role, device, self.at(), self._chosen, every, self.by_hand())

    def by_hand(self) -> "Mapping[str, int]":
        """Return how many launches of each rocket were begun by hand on this day, before the one that it is on.

        Where a launch's file can't be read nobody knows: the logbook says so, and the day goes on.
        """
        from bottlewright.project.day_flights import launches_by_hand

        try:
            return launches_by_hand(self.folder, self.book) if self.book else {}
        except BottlewrightError:
            return {}

    def signature(self) -> str:
        """Return what changes with anything that the screens show, clocks left out: waits end, readings grow old."""
        found = self.screen("", LAPTOP, every=True)
        return "" if found is None else f"{self.trouble}{self.other_day}{replace(found, at=0.0)}"

    def speaks(self, role: str, person: str, device: str) -> Speaker:
        """Return who speaks where a device may speak for every role, as the laptop does: the role's own person."""
        day = self.day
        held = day.roles.get(role) if day else None
        return Speaker(held.name if held else person, role if held else "", device)

    def told(self, most: int = 40) -> Iterable["Entry"]:
        """Return what was written down last, the latest first."""
        book = self.book
        return list(book.entries[-most:])[::-1] if book else []
