"""A day that is being kept: entries decided, written to the journal, and carried into the bottles' files.

The one place where an entry is acknowledged. What this returns as taken is on the disk. The bottles' files follow: a
crash between the two leaves the journal, and opening the day again brings them up to it. Every entry has the name that
its device gave it, so that sending it again does nothing.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from bottlewright.errors import InputError
from bottlewright.logbook.day import NO_PLAN, carried_on, day_of, decide
from bottlewright.logbook.day_now import Asks, LowerWind
from bottlewright.logbook.day_order import behind, in_order
from bottlewright.logbook.day_plan import DayPlan, plan_json
from bottlewright.logbook.day_state import Cycle, Day, Refusal, seconds_of
from bottlewright.logbook.day_stop import GOING_ON, Due, changed_under_pressure, due
from bottlewright.logbook.day_table import STOP
from bottlewright.logbook.day_wind import lowered, wind_limit_words
from bottlewright.logbook.entries import from_a_phone
from bottlewright.logbook.files import writing
from bottlewright.logbook.journal import Entry, Torn, append_line, journal_file, read_journal
from bottlewright.logbook.offline import vessel_of
from bottlewright.logbook.records import Happened, Inspection, Pressurised
from bottlewright.logbook.vessels import VesselEntry, add_entries, read_vessel, retire

__all__ = ["DayBook"]


class DayBook:
    """One day of a logbook.

    Parameters
    ----------
    folder
        The logbook's own.
    name
        The day, such as "2027-03-20".
    asks
        Asked before each step of a rocket: what its design of now says to it. The journal alone knows no design.
    """

    def __init__(self, folder: Path, name: str, asks: Asks | None = None) -> None:
        self.folder, self.name, self._asks = folder, name, asks
        self.torn: tuple[Torn, ...] = ()
        self._size = -1
        self._day = day_of(NO_PLAN, ())
        self._names: frozenset[str] = frozenset()
        self._entries: tuple[Entry, ...] = ()
        self._carried: dict[str, list[VesselEntry]] = {}
        self.look()
        self._follow(self._entries)

    @property
    def day(self) -> Day:
        """Where everything stands."""
        return self._day

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Every event that was written down, in order; what phones sent lies in the same file, and changes nothing."""
        return self._entries

    def look(self) -> None:
        """Read what somebody else wrote into the journal meanwhile."""
        path = journal_file(self.folder, self.name)
        size = path.stat().st_size if path.exists() else 0
        if size != self._size:
            journal = read_journal(path)
            self._size, self.torn = size, journal.torn
            self._entries = tuple(in_order(one for one in journal.entries if not from_a_phone(one)))
            self._names = frozenset(str(one.get("entry")) for one in journal.entries)
            self._day = day_of(NO_PLAN, self._entries)

    def prepare(self, plan: DayPlan, entry: str, at: str, by: str) -> Refusal | None:
        """Begin the day with a plan, or take a new one."""
        return self.say({"entry": entry, "at": at, "by": by, "what": "prepared", "plan": plan_json(plan)})

    def asked(self, entry: Entry) -> tuple[Entry, Refusal | None]:
        """Ask the design of now about a step that the day itself would take; may take a second.

        Whoever holds something that a stop waits for asks this before.

        Returns
        -------
        tuple
            The step, one that begins pumping with the lesser limit of now where there is one; and what the design has
            against it, which is written down, and stops the day where the rocket is under pressure. A lower limit of
            the wind is written down and holds from then on. All of it stands in the journal, so that whoever reads it
            again comes to the same day.
        """
        if self._asks is None or entry.get("what") != "step" or entry.get("offline"):
            return entry, None
        with writing(self.folder):
            self.look()
        known = next((one for one in self._entries if one.get("entry") == entry.get("entry")), None)
        if known is not None:
            less = known.get("less_Pa")
            return (entry if less is None else {**entry, "less_Pa": less}), None
        if (refusal := decide(self._day, entry)[1]) is not None:  # taken a moment later, nobody would have asked
            return entry, refusal
        rocket = self._day.plan.rockets[entry["rocket"]]
        now = self._asks(rocket, str(entry.get("event")))
        if now.against:
            why = (f"the design of {rocket.name} stands against it since the day was prepared: "
                   f"{'; '.join(now.against)}. Let any pressure off, then prepare the day anew")  # fmt: skip
            self._barred(entry, why)
            if self._day.rockets[rocket.name].state in GOING_ON:
                self._tell(f"{entry['entry']}-stop", str(entry["at"]), "stop",
                           why=f"{rocket.name}: {changed_under_pressure(now.against)}")  # fmt: skip
            return entry, Refusal(why)
        if now.wind is not None:
            self.lower_wind(rocket.name, now.wind, f"{entry['entry']}-wind", str(entry["at"]))
        less = now.less_Pa if _begins(entry) else None
        return (entry if less is None else {**entry, "less_Pa": less}), None

    def _barred(self, entry: Entry, why: str) -> None:
        """Write down that a design barred a step, once for each reason: the journal tells it as it tells a stop."""
        told = [one for one in self._entries if one.get("what") == "barred" and one.get("rocket") == entry["rocket"]]
        if not told or told[-1].get("why") != why:
            self._tell(f"{entry['entry']}-barred", str(entry["at"]), "barred", rocket=entry["rocket"],
                       event=entry["event"], why=why)  # fmt: skip

    def lower_wind(self, rocket: str, lower: LowerWind, entry: str, at: str) -> None:
        """Hold a rocket to lower limits of the wind from now on; higher ones than it has change nothing."""
        plan = self._day.plan.rockets[rocket]
        held = lowered(plan, *lower)
        if held != plan:
            self._tell(entry, at, "lower wind", rocket=rocket, limit_m_s=held.wind_limit_m_s, winds=held.winds,
                       says=wind_limit_words(held))  # fmt: skip

    def _tell(self, entry: str, at: str, what: str, **more: object) -> None:
        """Say something in the program's own name."""
        self.say({"entry": entry, "at": at, "by": "the program", "what": what, **more})

    def say(self, entry: Entry, received: str = "", asked: bool = False) -> Refusal | None:
        """Take an entry: None once it is on the disk, else why it is not taken.

        What a device that was cut off has to tell is kept even where it changes no state, and a bottle that was pumped
        up counts. It takes its place in the day when it is received: what was done meanwhile is not undone.

        Parameters
        ----------
        received
            When it came, for an entry with ``offline``.
        asked
            Whether `asked` was asked already.

        Raises
        ------
        InputError
            When the journal can't be written: nothing is acknowledged then.
        """
        if not entry.get("entry") or not entry.get("at"):
            return Refusal("an entry has a name and a time")
        if not asked:
            entry, barred = self.asked(entry)
            if barred is not None:
                return barred
        if _begins(entry) and (vessel := vessel_of(self._day, entry)):
            entry = {**entry, "vessel": vessel}  # whoever reads this line alone knows which bottle it was
        if entry.get("offline"):
            if not received:
                return Refusal("of an entry that comes late, the time of its coming is needed")
            entry = {**entry, "called": entry["at"], "at": received}  # a device's own clock may be ahead, or of any day
        with writing(self.folder):
            self.look()
            if entry["entry"] in self._names:
                return self._known(entry)
            entry = behind(self._entries, self._ends(entry))
            after = carried_on(self._day, entry)
            refusal = next((why for one, why in after.refused[::-1] if one == entry), None)
            if refusal is not None and not entry.get("offline"):
                return refusal
            path = journal_file(self.folder, self.name)
            try:
                append_line(path, entry)
            except (OSError, ValueError) as error:
                raise InputError(f"the journal of {self.name} can't be written: {error}") from None
            if not self.torn and not from_a_phone(entry):
                self._size, self._day = path.stat().st_size, after
                as_read = json.loads(json.dumps(dict(entry)))
                self._entries, self._names = (*self._entries, as_read), self._names | {str(entry["entry"])}
            else:
                self.look()
        self._follow([entry])
        return refusal

    def _ends(self, entry: Entry) -> Entry:
        """Return an entry that ends stops or near misses with those that it ends: one that comes late is not among."""
        those = {"lift stop": self._day.stops, "near miss signed": self._day.near_misses}.get(str(entry.get("what")))
        return entry if those is None else {**entry, "of": list(those)}

    def watch(self, entry: str, at: str, barred: Mapping[str, Sequence[str]] = MappingProxyType({})) -> list[Due]:
        """Stop the day where a rocket under pressure has to be stopped now; return all that is due.

        Whoever keeps the day asks every second or so.

        Parameters
        ----------
        entry
            Name for the stop, should one be written.
        barred
            What the designs of now say against rockets, by name.
        """
        self.look()
        found = due(self._day, seconds_of(at), barred)
        stops = [f"{one.rocket}: {one.why}" for one in found if self._day.rockets[one.rocket].state != STOP]
        if stops:
            self._tell(entry, at, "stop", why="; ".join(stops))
        return found

    def _known(self, entry: Entry) -> Refusal | None:
        """Say again what was said of an entry that is sent again; another one under its name is refused."""
        if not any(_alike(one, entry) for one in self._entries):
            return Refusal("another entry has this name")
        return next((why for one, why in self._day.refused if _alike(one, entry)), None)

    # --- the bottles' files -------------------------------------------------------------------------------------

    def _follow(self, entries: Iterable[Entry]) -> None:
        """Bring the bottles' files up to the journal: cycles, hard landings, looks over the bottle, ends."""
        refused = {str(one.get("entry")) for one, _ in self._day.refused}
        taken = [one for one in entries if str(one.get("entry")) not in refused]
        told: dict[str, list[VesselEntry]] = {}
        under_way = {now.cycle for now in self._day.rockets.values() if now.state in _UNDER_WAY}
        for number, cycle in enumerate(self._day.cycles):
            told.setdefault(cycle.vessel, []).extend(_of_cycle(cycle, number not in under_way))
        for entry in taken:
            vessel, happened = self._happened(entry)
            if happened is not None:
                told.setdefault(vessel, []).append(happened)
        for vessel, more in told.items():
            if more == self._carried.get(vessel):
                continue
            known = read_vessel(self.folder, vessel) if vessel else None
            if known is not None:
                add_entries(self.folder, vessel, more)
                self._carried[vessel] = more
        for entry in taken:
            self._retire(entry)

    def _happened(self, entry: Entry) -> tuple[str, VesselEntry | None]:
        common = {"entry": entry.get("entry"), "at": entry.get("at"), "by": entry.get("by") or None}
        if entry.get("what") == "inspection":
            tables = {**common, "adult": entry["adult"], "fit": entry["fit"]}
            return str(entry["vessel"]), Inspection.model_validate(tables)
        hard = entry.get("what") == "step" and entry.get("event") == "down" and entry.get("landing") == "hard"
        rocket = self._day.plan.rockets.get(str(entry.get("rocket")))
        return (rocket.vessel, Happened.model_validate(common)) if hard and rocket else ("", None)

    def _retire(self, entry: Entry) -> None:
        rocket = self._day.plan.rockets.get(str(entry.get("rocket")))
        because = {"retire": str(entry.get("why") or "it was retired in the field"),
                   "leak": "it leaked"}.get(str(entry.get("event")))  # fmt: skip
        if entry.get("what") == "step" and because and rocket and read_vessel(self.folder, rocket.vessel) is not None:
            retire(self.folder, rocket.vessel, because, str(entry["at"])[:10])


def _begins(entry: Entry) -> bool:
    """Say whether an entry begins a time under pressure."""
    return entry.get("what") == "step" and entry.get("event") == "pump"


_UNDER_WAY = ("pressurising", "holding", "ready", "launched", "stop", "venting", "misfire wait")
"""States in which nobody knows yet how a time under pressure will have ended, or how high it went."""


_GIVEN = ("n", "after", "of")
"""Keys that an entry gets where it is written."""


def _alike(one: Entry, other: Entry) -> bool:
    """Say whether two entries are one that was sent twice; one that came late came at two times."""
    apart = (*_GIVEN, "at") if one.get("offline") else _GIVEN
    return {key: value for key, value in one.items() if key not in apart} == {
        key: value for key, value in other.items() if key not in apart}  # fmt: skip


def _of_cycle(cycle: Cycle, over: bool) -> list[VesselEntry]:
    """Return that a time under pressure began, and how it ended once it is over."""
    begun = Pressurised.model_validate({"entry": cycle.entry, "at": cycle.at, "ended": "begun"})
    if not over or cycle.ended == "begun":
        return [begun]
    peak = None if cycle.peak_Pa is None else f"{cycle.peak_Pa / 1e5:.3f} bar"
    ended = {"entry": cycle.entry, "at": cycle.at, "ended": cycle.ended, "peak": peak}
    return [begun, Pressurised.model_validate({key: value for key, value in ended.items() if value is not None})]
