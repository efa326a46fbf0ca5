"""A bottle that held more than was allowed, told after its launch: the day stops, as it does for such a reading."""

import secrets
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bottlewright.logbook.records import FlightFile
    from bottlewright.project.project import Project

__all__ = ["allowed_then", "stop_the_day"]


def allowed_then(project: "Project", at: str) -> str | None:
    """Return the highest reading of the gauge for a launch that is written down afterwards, as its file keeps it.

    By the design of now, with its bottle's count as it was before that launch: what was pumped since takes nothing off
    what was allowed then. None where no pressure is allowed.
    """
    from bottlewright.design import with_values
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.vessels import counted, cycles_by, read_vessel
    from bottlewright.project.foretelling import allowed_text
    from bottlewright.proof.prove import prove

    design, name = project.design, project.design.vessel.id
    vessel = read_vessel(project.folder / FOLDER, name) if name else None
    if vessel is not None and counted(vessel) is not None and design.vessel.cycles is not None:
        tested = max((one.cycles or 0 for one in design.vessel.proof), default=0)
        before = max(cycles_by(vessel, at) - 2, tested)  # this launch's own time may stand there with the same moment
        design = with_values(design, {"vessel.cycles": min(before, design.vessel.cycles)})
    return allowed_text(prove(design).allowed)


def stop_the_day(beside: Path, flight: "FlightFile", at: str, by: str) -> None:
    """Stop the day of a launch where its bottle held too much, and a later day on which rocket or bottle flies.

    Nothing where no such day is kept, or this stop was called. Whoever reads the gauge by a wrong one does so for every
    rocket: so it is the day's stop, and not this bottle's.

    Parameters
    ----------
    at, by
        When, and who: initials or a number.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.held import held_too_much
    from bottlewright.logbook.journal import day_files

    why = held_too_much(flight)
    own = str(flight.day)
    days = [one.stem for one in day_files(beside / FOLDER) if one.stem >= own] if why else []
    for name in dict.fromkeys((days[0], days[-1]) if days else ()):
        _stop(beside, flight, name, f"overshoot: {why}", at, by)


def _stop(beside: Path, flight: "FlightFile", name: str, words: str, at: str, by: str) -> None:
    from bottlewright.project.logbook import Logbook

    book = Logbook(beside).day(name)
    rockets = book.day.plan.rockets
    flies = flight.rocket in rockets or any(one.vessel and one.vessel == flight.vessel for one in rockets.values())
    called = any(one.get("what") == "stop" and one.get("why") == words for one in book.entries)
    if rockets and not called and (flies or name == str(flight.day)):
        book.say({"entry": secrets.token_hex(8), "at": max(at, *(str(one["at"]) for one in book.entries)),
                  "by": by or "the program", "what": "stop", "why": words})  # fmt: skip
