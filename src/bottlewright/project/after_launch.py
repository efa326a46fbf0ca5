"""A launch after it: what was read, what follows from it, and how that lies beside what was foretold before it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.picture import Shown

if TYPE_CHECKING:
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.field.wind_heights import Growth
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.logbook.records import FlightFile

__all__ = ["AfterLaunch", "Entered", "Listed", "WindSaid", "after_launch", "held_to", "launches_of"]


_ENDS = {"time up": "to the highest point", "time": "to the ground"}
"""What a stopwatch times."""


class Entered(NamedTuple):
    """Something that was entered: its name for taking it back, what, in words, by whom, and whether it counts."""

    entry: str
    what: str
    by: str
    counts: bool


class Listed(NamedTuple):
    """A launch to measure: its name, its rocket, whether it was foretold, and what pages call it."""

    name: str
    rocket: str
    foretold: bool
    called: str


class WindSaid(NamedTuple):
    """A reading of the wind.

    Parameters
    ----------
    entered
        As it was read.
    there
        At the height that the design's winds are for: its middle value with its ±, for what is learned of a flight.
    most, read_at, from_deg
        The upper end of its ±, or its gusts (m/s), where it was read (m): what a limit is held to. Where it came from,
        degrees; None where nobody said.
    """

    entered: Entered
    there: str
    most: float
    read_at: float
    from_deg: float | None


@dataclass(frozen=True)
class AfterLaunch:
    """One launch of the logbook.

    Parameters
    ----------
    flight
        Its file.
    habit, growth
        The builder's units, and how the wind grows with height, of the design as flown.
    number
        Which launch of its rocket on its day it is, as the page of the day counts them; None where it did not leave.
    """

    flight: "FlightFile" = field(repr=False)
    habit: "UnitHabit"
    growth: "Growth"
    number: int | None = None

    @property
    def name(self) -> str:
        """Day and number."""
        from bottlewright.logbook.launches import launch_name

        return launch_name(self.flight)

    @property
    def stayed(self) -> str:
        """Why it did not leave; empty where it left, or may still leave."""
        from bottlewright.logbook.launches import stayed

        return stayed(self.flight)

    @cached_property
    def rows(self) -> "Sequence[Any]":
        """What was foretold with what was measured of it; see `bottlewright.logbook.compared.Compared`."""
        from bottlewright.logbook.compared import compared

        return compared(self.flight)

    @cached_property
    def says(self) -> str:
        """Inside, high or low, the band, and what to look at first: one sentence."""
        from bottlewright.logbook.compared import sentence

        return sentence(self.flight, self.habit)

    @cached_property
    def pictures(self) -> dict[str, Shown]:
        """Measured beside foretold, by its name; none of a launch that nobody foretold."""
        from bottlewright.logbook.compared_picture import compared_picture

        return {"compared": Shown(compared_picture(self.rows, "compared", self.says, self.habit))} if self.rows else {}

    def card(self) -> str:
        """Return the card to take home, a page of its own."""
        from bottlewright.logbook.card import card

        return card(self.flight, self.habit, self.number)

    def document(self) -> dict[str, Any]:
        """Return it as plain values, SI."""
        from bottlewright.logbook.compared import compared_document

        return {"launch": self.name, "rocket": self.flight.rocket, **compared_document(self.flight)}

    def words(self) -> str:
        """Return it in lines: the sentence, and all that was entered."""
        height, how = self.height
        found = [f"{self.name}  {self.flight.rocket}", self.says, *self.times, *self.asked_back,
                 *([f"{height} by angles: {how}"] if how else [])]  # fmt: skip
        entered = [*self.watches, *self.sights, *(one.entered for one in self.winds), *self.measured, *self.photos]
        found += [f"  {one.what}{f', {one.by}' if one.by else ''}{'' if one.counts else ' (does not count)'}"
                  f"{f'  [{one.entry}]' if one.entry else ''}" for one in entered]  # fmt: skip
        found += [f"  wind {one.there}" for one in self.winds if one.entered.counts]
        found += [f"  {key}: {value}" for key, value in self.values.items() if value]
        return "\n".join([*found, *(f"  {one}" for one in self.put_right)])

    # --- what was entered -----------------------------------------------------------------------------------------

    @property
    def times(self) -> list[str]:
        """What the stopwatches say together: mean, ± and spread."""
        from bottlewright.logbook.measured import by_watches, said

        found = []
        for of, words in _ENDS.items():
            timed = by_watches(self.flight, of)
            if timed:
                several = (f"mean of {timed.count} watches, one differs by {timed.spread:.2f} s" if timed.count > 1
                           else "one watch")  # fmt: skip
                found.append(f"{said(timed.seconds, timed.u_seconds, 's')} {words}: {several}")
        return found

    @property
    def asked_back(self) -> list[str]:
        """Which stopwatches are too far apart to be of one flight, in words: none of them counts."""
        from bottlewright.logbook.measured import watches_apart
        from bottlewright.logbook.timing import apart_words

        return [f"{apart_words(took, words)}. None of these times counts before the wrong one is taken back"
                for of, words in _ENDS.items() if (took := watches_apart(self.flight, of))]

    @property
    def watches(self) -> list[Entered]:
        """Each stopwatch."""
        return [self._entered(one, f"{one.took.text} {_ENDS[one.of]}") for one in self.flight.watch]

    @property
    def height(self) -> tuple[str, str]:
        """The height by angles, and what it rests on or why there is none; empty without a station."""
        from bottlewright.logbook.measured import by_angles

        try:
            seen = by_angles(self.flight)
        except InputError as error:
            return "", str(error)
        if seen is None:
            return "", ""
        unit = self.habit.unit("m")
        size = 0.3048 if unit == "ft" else 1.0
        from bottlewright.logbook.measured import said

        return said(seen.height / size, seen.u_height / size, unit) if seen.counts else "no measurement", seen.says

    @property
    def sights(self) -> list[Entered]:
        """Each station."""
        return [self._entered(one, ", ".join(
            [f"{one.elevation.text} up from {one.away.text}", *([f"standing {one.side.text}"] if one.side else []),
             *([f"towards {one.towards.text}"] if one.towards else []),
             *([f"eye {one.eye.text}"] if one.eye else []),
             *([f"ground {one.ground.text}"] if one.ground else [])])) for one in self.flight.sight]  # fmt: skip

    @property
    def winds(self) -> list[WindSaid]:
        """Each reading of the wind: as limits take it, and brought to the height of the design's winds."""
        from bottlewright.logbook.wind_by_hand import WindRead, brought_to

        found = []
        for one in self.flight.wind:
            there = brought_to(WindRead(one.speed.value, one.speed.spread, one.height.value, ""), self.growth)
            read = f"{one.speed.text} at {one.height.text}{f', gusts {one.gust.text}' if one.gust else ''}"
            read += f", from {one.wind_from.text}" if one.wind_from else ""
            said = f"{self.habit.speed(there.speed, 2)} ± {self.habit.speed(there.u_speed, 1)}"
            found.append(WindSaid(self._entered(one, f"{one.read or one.how}: {read}"),
                                  f"{said} at {self.habit.distance(there.height, 2)}",
                                  max(one.speed.value + one.speed.spread, one.gust.value if one.gust else 0.0),
                                  one.height.value,
                                  math.degrees(one.wind_from.value) if one.wind_from else None))  # fmt: skip
        return found

    @property
    def measured(self) -> list[Entered]:
        """Whatever else was measured."""
        return [self._entered(one, f"{one.what} {one.value} ({one.how})") for one in self.flight.measured]

    @property
    def photos(self) -> list[Entered]:
        """Names of photographs and films."""
        return [Entered(one, one, "", one not in self.flight.withdrawn) for one in self.flight.photos]

    @property
    def values(self) -> dict[str, str]:
        """Single values as they stand in the file, by key; those that are not there are empty."""
        flight, found = self.flight, {}
        tables = {"loaded": ("water", "pressure", "temperature"), "top": ("away", "towards"),
                  "conditions": ("temperature", "pressure", "sky")}  # fmt: skip
        for table, keys in tables.items():
            for key in keys:
                value = getattr(getattr(flight, table), key, None)
                found[f"{table}.{key}"] = getattr(value, "text", value) or ""
        return found | {key: getattr(flight, key) or "" for key in ("landing", "damage", "seen", "egg")}

    @property
    def put_right(self) -> list[str]:
        """What was put right: what stood there before."""
        return [f"{one.key} was {one.was}{f', put right by {one.by}' if one.by else ''}"
                for one in self.flight.corrected]  # fmt: skip

    def _entered(self, one: Any, what: str) -> Entered:
        return Entered(one.entry or "", what, one.by or "", one.entry not in self.flight.withdrawn)


def launches_of(beside: Path) -> list[Listed]:
    """Return each launch to measure, the latest first.

    One that was called off did not leave: nothing is measured of it.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import all_launches, launch_called, launch_name, stayed

    flights = all_launches(beside / FOLDER)
    names = [launch_name(one) for one in flights]
    return [Listed(one.entry if names.count(name) > 1 else name, one.rocket, one.prediction is not None,
                   launch_called(flights, one))
            for one, name in zip(flights, names, strict=True) if not stayed(one)]  # fmt: skip


def after_launch(beside: Path, launch: str) -> AfterLaunch:
    """Return a launch of the logbook beside the designs.

    Raises
    ------
    InputError, DesignError
        When there is none of that name, or its file can't be read.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import all_launches, launch_of, number_in

    flight = launch_of(beside / FOLDER, launch)
    habit, growth = _as_flown(flight.design or "", beside)
    return AfterLaunch(flight, habit, growth, number_in(all_launches(beside / FOLDER), flight))


def held_to(rocket: "DayRocket | None", read: WindSaid, habit: "UnitHabit") -> tuple[str, bool]:
    """Say which limit the day has for a reading of the wind, at its height and from where it came; and if it is over.

    Of the reading the upper end of its ± counts, or its gusts; of the wind's growth the end that leaves less.
    """
    from bottlewright.field.wind_held import reading_words
    from bottlewright.logbook.day_wind import wind_held

    held = wind_held(rocket) if rocket else None
    if held is None:
        return "no limit is known here, for no day is kept that has one for this launch", False
    over = read.most > held.at(held.of(read.from_deg), read.read_at)
    limit = reading_words(held, read.from_deg, read.read_at, habit)
    return f"{'over' if over else 'not over'} {limit}: {habit.speed(read.most, 2)} counts", over


@lru_cache(64)
def _as_flown(text: str, beside: Path) -> "tuple[UnitHabit, Growth]":
    """Return what a design as flown says of units and wind; the usual where it can't be read any more."""
    from bottlewright.design.unit_habit import METRIC, unit_habit
    from bottlewright.field.wind_heights import Growth, growth_of
    from bottlewright.project.project import parse

    try:
        design = parse(text, beside / "as-flown.toml").design
    except BottlewrightError:
        return METRIC, Growth()
    return unit_habit(design), growth_of(design.weather)
