"""The logbook in lines, as a command prints it and a page shows it."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from bottlewright.logbook.book import Book, open_questions
from bottlewright.logbook.day_told import DayTold, days_told
from bottlewright.logbook.export import MEASURES
from bottlewright.logbook.growth import growth_of
from bottlewright.logbook.held import bottle_held_too_much
from bottlewright.logbook.history import vessel_line
from bottlewright.logbook.journal import journal_files, read_journal
from bottlewright.logbook.launches import launch_called, launch_name
from bottlewright.logbook.measured import counted
from bottlewright.logbook.raw import altered_files
from bottlewright.logbook.records import FlightFile, VesselFile
from bottlewright.logbook.vessel_ahead import ahead_of
from bottlewright.logbook.vessels import retired_because
from bottlewright.proof.judged_day import today

__all__ = ["BookLines", "BottleLine", "LaunchLine", "book_lines", "book_words"]


class BottleLine(NamedTuple):
    """A bottle: its id, its file in a line, why nobody pumps it again and how it grows, where anything says so; what
    comes next for it.
    """

    id: str
    says: str
    retired: str
    grows: str
    ahead: tuple[str, ...]


class LaunchLine(NamedTuple):
    """A launch: its file, what people call it, rocket, team, height foretold, what was measured and what became of it.

    One that did not leave says so, and nothing is to be measured of it.
    """

    name: str
    called: str
    rocket: str
    team: str
    foretold: str
    measured: tuple[str, ...]
    became: str
    left: bool


@dataclass(frozen=True)
class BookLines:
    """A logbook in lines.

    Parameters
    ----------
    bottles, launches
        By their ids, and in the order in which they left.
    open
        What somebody has to put right, by what is the matter: questions, torn lines, spoiled files.
    days
        What happened on each day that was kept.
    """

    bottles: tuple[BottleLine, ...]
    launches: tuple[LaunchLine, ...]
    open: tuple[tuple[str, tuple[str, ...]], ...]
    days: tuple[DayTold, ...] = ()


def book_lines(book: Book, folder: Path) -> BookLines:
    """Return bottles, launches, and what is open."""
    vessels = [VesselFile.model_validate(one) for one in book.vessels.values()]
    flights = [FlightFile.model_validate(one) for one in book.flights.values()]
    flights.sort(key=lambda one: (one.day, one.number, one.entry))
    return BookLines(
        tuple(_bottle(one, folder) for one in vessels),
        tuple(_launch(one, launch_called(flights, one)) for one in flights),
        tuple(_open(book, folder)), days_told(folder),
    )  # fmt: skip


def _bottle(vessel: VesselFile, folder: Path) -> BottleLine:
    growth, held = growth_of(vessel), bottle_held_too_much(folder, vessel)
    stop = (f"STOP: {held}. Nobody pumps it before it has passed another water test.",) if held else ()
    return BottleLine(vessel.id, vessel_line(vessel), retired_because(vessel), growth.says if growth else "",
                      (*stop, *ahead_of(vessel, today())))  # fmt: skip


def _launch(flight: FlightFile, called: str) -> LaunchLine:
    ordered = sorted(counted(flight), key=lambda each: (list(MEASURES).index(each.what), each.value))
    height = flight.prediction.height if flight.prediction else None
    return LaunchLine(launch_name(flight), called, flight.rocket, flight.team or "", height.text if height else "",
                      tuple(f"{each.what} {each.value} ({each.how})" for each in ordered), _became(flight),
                      bool(flight.at or ordered))  # fmt: skip


_LANDED = {
    "hard": "came down hard", "tree": "stays in a tree", "roof": "stays on a roof", "water": "lies in the water",
    "road": "came down on a road", "power line": "lies near a power line: nobody fetches it", "lost": "was not found",
}  # fmt: skip


def _became(flight: FlightFile) -> str:
    """Return what became of a launch where that is anything: it stayed, came down hard or out of reach, broke."""
    stayed = flight.seen if flight.at is None and flight.seen else ""
    broken = f"broken: {flight.damage}" if flight.damage and flight.damage != "none" else ""
    return "; ".join(filter(None, (stayed, _LANDED.get(flight.landing or "", ""), broken)))


def _open(book: Book, folder: Path) -> Iterator[tuple[str, tuple[str, ...]]]:
    questions = tuple(map(str, open_questions(book)))
    if questions:
        yield "Two copies say different things; put it right in the file", questions
    torn = tuple(f"{path.name} line {one.line}: {one.text[:60]}"
                 for path in journal_files(folder) for one in read_journal(path).torn)  # fmt: skip
    if torn:
        yield "Lines that can't be read, as a crash left them", torn
    spoiled = tuple(map(str, altered_files(folder)))
    if spoiled:
        yield "Loggers' files that are not what they were, or gone", spoiled


def book_words(book: Book, folder: Path) -> str:
    """Return bottles, launches, and what is open: questions, torn lines, spoiled files."""
    shown = book_lines(book, folder)
    lines = ["Bottles" if shown.bottles else "No bottles: `bottlewright log bottle B01` begins the file of one."]
    for one in shown.bottles:
        grows, retired = f"; {one.grows}" if one.grows else "", f"; RETIRED: {one.retired}" if one.retired else ""
        lines += [f"  {one.says}{grows}{retired}", *(f"    {words}" for words in one.ahead)]
    lines += ["", "Launches" if shown.launches else "No launches."]
    for launch in shown.launches:
        foretold = f"; foretold {launch.foretold}" if launch.foretold else ""
        measured = "; ".join(launch.measured) or ("nothing measured" if launch.left else "")
        lines.append("; ".join(filter(None, (f"  {launch.called} ({launch.name}){foretold}", measured, launch.became))))
    for day in shown.days:
        lines += ["", f"The day {day.day}", *(f"  {one}" for one in day.lines)]
    for heading, found in shown.open:
        lines += ["", f"{heading}:", *(f"  {one}" for one in found)]
    return "\n".join(lines) + "\n"
