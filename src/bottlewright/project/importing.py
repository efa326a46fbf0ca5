"""A logger's file: looked at, put right by a person, and taken into the file of its launch.

Looking writes nothing. Taking in keeps the file byte for byte, what its columns mean for the next file with the same
header, and what it says of the flight, each with its ±. Taken in anew, with other columns or a moved event, what the
same file said before is withdrawn: it stays in the launch's file and counts no more.
"""

import hashlib
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from bottlewright.learn.from_a_record import Imported
    from bottlewright.learn.table_file import TableFile
    from bottlewright.logbook.records import FlightFile

__all__ = ["NAMES", "LoggerFile", "look_at", "table_of", "take_into"]

UNITS = {"height": "m", "speed": "m/s", "sinking": "m/s", "true pressure": "bar", "impulse": "N s"}
_SIZES = {"true pressure": 1e5}
NAMES = {
    "height": "height of the highest point", "time up": "time to the highest point", "time": "time to the ground",
    "canopy": "time until the canopy was out", "water out": "time until the water was out", "speed": "greatest speed",
    "sinking": "speed under the canopy", "true pressure": "true pressure at the release",
    "impulse": "impulse on the thrust stand",
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class LoggerFile:
    """A logger's file as it was read.

    Parameters
    ----------
    name, content
        As it came.
    said
        What a person said of it, such as ``{"apogee": "2.6 s"}``.
    read
        What was read.
    """

    name: str
    content: bytes
    said: dict[str, str]
    read: "Imported"

    def measured(self) -> list[dict[str, str]]:
        """Return what it says of the flight as the logbook writes it."""
        from bottlewright.logbook.measured import said

        return [{"what": one.what, "value": said(one.value / _SIZES.get(one.what, 1.0),
                                                 one.spread / _SIZES.get(one.what, 1.0), UNITS.get(one.what, "s")),
                 "how": f"{one.how}; {self.name}"} for one in self.read.readings]  # fmt: skip

    def words(self) -> str:
        """Return how it was read, in lines."""
        read = self.read
        lines = [f"{self.name}: {'; '.join(read.table.said)}.", "First rows:"]
        names = [name or f"column {number}" for number, name in enumerate(read.table.names, 1)]
        lines += ["  " + " | ".join(f"{number} {name}" for number, name in enumerate(names, 1))]
        lines += ["  " + " | ".join(row) for row in read.table.first]
        lines += ["Read as:"]
        for what, one in read.columns.items():
            lines.append(f"  {what}: column {one.number}, {one.unit} ({one.because})")
        lines += [f"  {read.columns.rate:g} rows a second"] if read.columns.time is None else []
        lines += ["When, on the file's clock from its first row:"]
        for name, event in read.course.events.items():
            lines.append(f"  {name}: {event.time:.2f} s ± {event.spread:.2f} s ({event.because})")
        lines += [f"  {name}: not found; {why}" for name, why in read.course.lacks.items()]
        lines += ["It says:"]
        lines += [f"  {NAMES[one['what']]}: {one['value']}" for one in self.measured()] or ["  nothing of the flight"]
        lines += [f"Also: {one}." for one in read.shown]
        lines += [f"▲ LOOK  {one[:1].upper()}{one[1:]}." for one in read.doubts]
        return "\n".join(lines)

    def document(self) -> dict[str, Any]:
        """Return how it was read as one document; SI."""
        read, course = self.read, self.read.course
        return {
            "file": self.name, "sha256": hashlib.sha256(self.content).hexdigest(), "written": list(read.table.said),
            "names": list(read.table.names), "first_rows": [list(row) for row in read.table.first],
            "tags": read.table.tags, "said": self.said,
            "columns": [{"what": what, "column": one.number, "unit": one.unit, "because": one.because}
                        for what, one in read.columns.items()],
            "rate_Hz": read.columns.rate if read.columns.time is None else None,
            "events": {name: {"time_s": one.time, "u_time_s": one.spread, "because": one.because}
                       for name, one in course.events.items()},
            "not_found": dict(course.lacks),
            "readings": [{"what": one.what, "value": one.value, "u_value": one.spread, "how": one.how}
                         for one in read.readings],
            "doubts": list(read.doubts), "shown": list(read.shown),
            "curve": {"time_s": course.record.time.tolist(), "height_m": course.record.height.tolist(),
                      "smoothed_m": course.curve.tolist()},
        }  # fmt: skip


def look_at(
    beside: Path, name: str, content: bytes, said: Mapping[str, str] | None = None, launch: str = ""
) -> LoggerFile:
    """Read a logger's file; nothing is written.

    Parameters
    ----------
    beside
        The folder of the designs: what the last file with the same header meant is looked up in its logbook.
    said
        What a person says: columns ("time", "height", "pressure", "acceleration"), "rate", "tag", and events.
    launch
        That it belongs to; the air's temperature comes from it.

    Raises
    ------
    InputError
        When no flight can be read from it, with what to say.
    """
    from bottlewright.learn.columns import kept
    from bottlewright.learn.from_a_record import import_file
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import launch_of

    told = dict(said or {})
    flight = launch_of(beside / FOLDER, launch) if launch else None
    table = table_of(content, told.get("tag", ""))
    read = import_file(content, told, kept(beside / FOLDER, table), table, _air(flight) if flight else None)
    read = replace(read, doubts=(*(_pressed(flight, read) if flight else ()), *read.doubts))
    return LoggerFile(Path(name).name, content, told, read)


@lru_cache(2)
def table_of(content: bytes, tag: str = "") -> "TableFile":
    """Return a file taken apart into columns; whoever moves an event asks for the same one many times.

    Raises
    ------
    InputError
        When there is no table of numbers in it.
    """
    from bottlewright.learn.table_file import read_table

    return read_table(content, tag)


def _air(flight: "FlightFile") -> float | None:
    warm = flight.conditions.temperature if flight.conditions else None
    return warm.value if warm else None


def _pressed(flight: "FlightFile", read: "Imported") -> "Iterator[str]":
    """Yield that a bottle held more than was allowed, or than its gauge said: surely, by more than twice the ±."""
    from bottlewright.logbook.held import HELD, held_too_much
    from bottlewright.logbook.measured import said
    from bottlewright.logbook.records import Measurement

    held = next((one for one in read.readings if one.what == HELD), None)
    if held is None:
        return
    least, words = held.value - 2.0 * held.spread, said(held.value / 1e5, held.spread / 1e5, "bar")
    gauge = flight.loaded.pressure if flight.loaded else None
    now = Measurement.model_validate({"what": HELD, "value": words, "how": held.how})
    if too_much := held_too_much(flight.model_copy(update={"measured": [now], "loaded": None})):
        yield (f"{too_much}. Once it is taken in, nobody pumps this bottle before it has passed another water test: "
               "hold the gauge against another one, and test the bottle anew")
    elif gauge is not None and least > gauge.value + gauge.spread:
        yield (f"the bottle held {words} at the release, and {gauge.text} was read on the gauge: hold the gauge "
               "against another one before the next launch")  # fmt: skip


def take_into(beside: Path, launch: str, file: LoggerFile, at: str, by: str = "") -> list[str]:
    """Take a file that was looked at into a launch; return what was written, in lines.

    Raises
    ------
    InputError
        When there is no such launch, or the file says nothing of a flight.
    """
    from bottlewright.learn.columns import keep
    from bottlewright.logbook.files import FOLDER, writing
    from bottlewright.logbook.held import held_too_much
    from bottlewright.logbook.launches import add_to_launch, check_left, launch_of
    from bottlewright.logbook.raw import keep_raw, stored_name
    from bottlewright.project.overshoot import stop_the_day

    folder = beside / FOLDER
    if "thrust" in file.read.course.record.more:
        raise InputError(f"{file.name} is of a firing on a stand: nothing flew, and no launch takes it in")
    if not file.read.readings:
        raise InputError(f"{file.name} says nothing of the flight: look at its columns, or keep it with `log take`")
    flight = launch_of(folder, launch)
    check_left(flight)
    with writing(folder):
        kept = keep_raw(folder, file.name, file.content)
        keep(folder, file.read.table, file.read.columns)
    before = [one for one in flight.raw
              if one.sha256 == kept.sha256 and one.entry and one.entry not in flight.withdrawn]  # fmt: skip
    said = [f"{name}={text}" for name, text in sorted(file.said.items())]
    if any(one.said == said for one in before):
        return [f"launch {launch} has {file.name} already, read in the same way"]
    entry = secrets.token_hex(6)
    old = {one.entry for one in before if one.entry}
    withdrawn = [*old, *(one.entry for one in flight.measured if one.entry and one.entry.partition(".")[0] in old)]
    raw = {key: value for key, value in {"entry": entry, "at": at, "by": by, "name": kept.name, "sha256": kept.sha256,
                                         "said": said}.items() if value}  # fmt: skip
    lists = [{"entry": f"{entry}.{number}", "at": at, **one} for number, one in enumerate(file.measured())]
    after = add_to_launch(folder, launch, {"raw": [raw], "measured": lists}, {}, at, by or None, withdrawn)
    again = [f"what {file.name} said before was withdrawn"] if old else []
    again += [f"STOP: {why}"] if (why := held_too_much(after)) else []
    stop_the_day(beside, after, at, by)
    return [f"kept as raw/{stored_name(kept)}", *again,
            *(f"{NAMES[one['what']]}: {one['value']}" for one in file.measured())]  # fmt: skip
