"""A logger's file as a page shows it: first rows, what its columns seem to be, its curve, and what happened when."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import FieldsError, InputError
from bottlewright.project.handles import room
from bottlewright.project.importing import NAMES, LoggerFile, look_at, table_of

if TYPE_CHECKING:
    from bottlewright.learn.columns import Columns
    from bottlewright.learn.table_file import TableFile

__all__ = [
    "EVENTS", "Answer", "Curve", "Grip", "Kept", "Look", "When", "kept_file", "kept_files", "look", "told_column",
    "told_event",
]  # fmt: skip

EVENTS = ("release", "water out", "apogee", "canopy", "touchdown")
"""Events that a person may put in, move or take out."""
_WIDE, _NARROW = 229.0, 92.0
"""Width of the curve on a page and on a telephone, mm."""


class Answer(NamedTuple):
    """What one kind of column is taken from.

    Parameters
    ----------
    what, words
        Its name, and in words.
    column
        Numbers of its columns, such as "3" or "4 5 6"; empty where there is none.
    unit, units
        Of it, and those that it may be in.
    because
        What that rests on.
    """

    what: str
    words: str
    column: str
    unit: str
    units: Sequence[str]
    because: str


class When(NamedTuple):
    """An event: its name, when it was and its ± in s, what that rests on, and whether a person said so; or why it is
    not there.
    """

    name: str
    time: str
    spread: str
    because: str
    by_hand: bool


class Grip(NamedTuple):
    """An event that can be dragged: its name, when, the ± that a person gave, and its place over the curve, points."""

    name: str
    now: float
    spread: str
    at: float
    grip: tuple[float, float]
    before: bool


class Curve(NamedTuple):
    """The curve for one width.

    Parameters
    ----------
    svg, wide, high
        The drawing, and the size of it with its grips, points.
    grips
        Events.
    top, per, step, last, side
        Upper edge of the curve, points; seconds in a point; seconds of one step and of the whole record; side of what
        a finger hits, points.
    """

    svg: str
    wide: float
    high: float
    grips: Sequence[Grip]
    top: float
    per: float
    step: float
    last: float
    side: float


@dataclass(frozen=True, eq=False)
class Look:
    """A file that somebody looks at.

    Parameters
    ----------
    name, said
        Of the file, and what a person said of it.
    table, columns
        What stands in it, and what that means.
    file
        As it was read; None where it can't be yet.
    trouble
        Why not.
    """

    name: str
    said: Mapping[str, str]
    table: "TableFile"
    columns: "Columns"
    file: LoggerFile | None
    trouble: str

    @property
    def firing(self) -> bool:
        """Whether it is of a firing on a stand, which no launch takes in."""
        return self.file is not None and "thrust" in self.file.read.course.record.more

    @property
    def flew(self) -> bool:
        """Whether it has a height."""
        return self.file is not None and len(self.file.read.course.curve) > 0

    @property
    def heads(self) -> list[str]:
        """Names of the columns with their numbers."""
        return [f"{number} {name}" if name else str(number) for number, name in enumerate(self.table.names, 1)]

    @property
    def choices(self) -> list[tuple[str, str]]:
        """What a kind may be taken from: no column, each column."""
        return [("", "none"), *((str(number), head) for number, head in enumerate(self.heads, 1))]

    def triples(self, chosen: str) -> list[tuple[str, str]]:
        """Return three columns that stand together, for an accelerometer of three axes; those chosen among them."""
        found = [f"{n} {n + 1} {n + 2}" for n in range(1, len(self.heads) - 1)]
        found += [chosen] if len(chosen.split()) == 3 and chosen not in found else []
        return [(one, f"{', '.join(one.split()[:2])} and {one.split()[2]} together") for one in found]

    @property
    def answers(self) -> list[Answer]:
        """What each kind of column is taken from, those that are there first."""
        from bottlewright.learn.channels import CHANNELS

        found = []
        for what, channel in CHANNELS.items():
            mine = [one for name, one in self.columns.items() if name == what]
            because = mine[0].because if mine else ""
            found.append(Answer(what, channel.words, " ".join(str(one.number) for one in mine),
                                mine[0].unit if mine else "", list(channel.units), because))  # fmt: skip
        return found

    @property
    def rate(self) -> str:
        """Rows a second, where there is no time."""
        return "" if math.isnan(self.columns.rate) else f"{self.columns.rate:g} Hz"

    @property
    def whens(self) -> list[When]:
        """Each event that may be in it."""
        if self.file is None:
            return []
        course, found = self.file.read.course, []
        for name in EVENTS:
            hand, event = name in self.said or name.replace(" ", "_") in self.said, course.events.get(name)
            if event is not None:
                found.append(When(name, f"{event.time:.3f}", f"{event.spread:.3f}", event.because, hand))
            else:
                found.append(When(name, "", "", course.lacks.get(name, ""), hand))
        return found

    @property
    def says(self) -> list[tuple[str, str]]:
        """What it says of the flight, by name."""
        return [(NAMES[one["what"]], one["value"]) for one in self.file.measured()] if self.file else []

    @cached_property
    def span(self) -> tuple[float, float]:
        """The time of the flight with a little on either side, s."""
        from bottlewright.learn.record_picture import span_of

        return span_of(self.file.read.course) if self.file else (0.0, 1.0)

    def curve(self, narrow: bool, span: tuple[float, float] | None = None) -> Curve | None:
        """Return its curve with the events over it; None where it can't be read yet.

        Parameters
        ----------
        span
            The time that is shown, s; the whole record when left out.
        """
        from bottlewright.figures.letters import width
        from bottlewright.learn.record_picture import record_chart

        if self.file is None:
            return None
        course = self.file.read.course
        last = float(course.record.time[-1])
        chart = record_chart(course, _NARROW if narrow else _WIDE, narrow, span or (0.0, last))
        side, grips, row = room(narrow), [], 0
        for name in EVENTS:
            event = course.events.get(name)
            if event is None or not chart.first <= event.time <= chart.last:
                continue
            at = chart.at(event.time)
            long = width(f"{name} {event.time:.3f} s", 9.0 if narrow else 7.5)
            given = self.said.get(name, self.said.get(name.replace(" ", "_"), ""))
            place = at, chart.sheet.height + side * (row + 0.5)
            before = at + 10.0 + long > chart.sheet.width
            grips.append(Grip(name, event.time, given.partition("±")[2].strip(), at, place, before))
            row += 1
        alt = f"{self.name}: each quantity against time, with the events that were found"
        svg = chart.sheet.svg(alt, "", f"record{'-narrow' * narrow}", alone=False, share=None)
        step = 10.0 ** max(math.floor(math.log10(max(course.record.step, 1e-3))), -3)
        return Curve(svg, chart.sheet.width, chart.sheet.height + side * row, grips, chart.top, chart.per, step, last,
                     side)  # fmt: skip


def look(beside: Path, name: str, content: bytes, said: Mapping[str, str], launch: str = "") -> Look:
    """Read a logger's file as far as it goes; nothing is written.

    Raises
    ------
    FieldsError
        When something that a person said can't be taken.
    InputError
        When there is no table of numbers in it.
    """
    from bottlewright.learn.columns import kept
    from bottlewright.learn.from_a_record import columns_of
    from bottlewright.logbook.files import FOLDER

    table = table_of(content, said.get("tag", ""))
    told = {key.replace("_", " "): text for key, text in said.items()}
    columns = columns_of(table, told, kept(beside / FOLDER, table))
    try:
        file, trouble = look_at(beside, name, content, said, launch), ""
    except FieldsError:
        raise
    except InputError as error:
        file, trouble = None, str(error)
    return Look(Path(name).name, dict(said), table, columns, file, trouble)


def kept_files(beside: Path) -> list[tuple[str, str]]:
    """Return the logger's files that the logbook keeps: the beginning of their digest, and their name."""
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.raw import raw_files

    return [(path.name.partition("-")[0], path.name.partition("-")[2]) for path in raw_files(beside / FOLDER)]


class Kept(NamedTuple):
    """A file that the logbook keeps: its name and bytes, and with what it was taken into which launch, if it was."""

    name: str
    content: bytes
    said: dict[str, str]
    launch: str


def kept_file(beside: Path, key: str) -> Kept | None:
    """Return a file that the logbook keeps, by the beginning of its digest; None where it keeps none of that.

    Raises
    ------
    DesignError
        When a launch's file can't be read.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import all_launches, launch_name
    from bottlewright.logbook.measured import standing
    from bottlewright.logbook.raw import raw_files

    folder = beside / FOLDER
    found = next((one for one in raw_files(folder) if one.name.startswith(f"{key}-")), None)
    if found is None:
        return None
    taken = [(launch_name(flight), one) for flight in all_launches(folder) for one in standing(flight, flight.raw)
             if one.sha256.startswith(key)]  # fmt: skip
    launch, said = (taken[0][0], taken[0][1].said) if taken else ("", [])
    told = {name: text for name, sign, text in (one.partition("=") for one in said) if sign}
    return Kept(found.name.partition("-")[2], found.read_bytes(), told, launch)


def told_column(said: Mapping[str, str], what: str, column: str, unit: str, was: str) -> dict[str, str]:
    """Return what a person says once they have chosen a column and a unit for one kind; of another column than before
    the unit is looked for anew.
    """
    told = {key: text for key, text in said.items() if key != what and (what != "time" or key != "rate")}
    if not column:
        return {**told, what: "none"}
    return {**told, what: column if column != was or not unit else f"{column} {unit}"}


def told_event(said: Mapping[str, str], name: str, time: str, spread: str) -> dict[str, str]:
    """Return what a person says once they have moved an event; found anew where they say nothing of it."""
    told = {key: text for key, text in said.items() if key.replace("_", " ") != name}
    if not time:
        return told
    if time == "none":
        return {**told, name: "none"}
    of, more = (f"{one} s" if one.replace(",", ".").replace(".", "", 1).isdigit() else one for one in (time, spread))
    return {**told, name: f"{of} ± {more}" if spread else of}
