"""Launches of the logbook as the fit wants them: the design as it flew, what was really loaded, the air as it was."""

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from bottlewright.design import complete, parse_design
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.taught import flown_as
from bottlewright.learn.instruments.stopwatch import unseen_top
from bottlewright.learn.launches import FIGURES, Launch, Reading
from bottlewright.logbook.book import Book
from bottlewright.logbook.export import MEASURES, measured_value
from bottlewright.logbook.launches import launch_name
from bottlewright.logbook.measured import counted, watches_apart
from bottlewright.logbook.records import FlightFile

__all__ = ["LeftOut", "launch_of", "launches_of"]

CHANGED = "# changed for this launch: "
"""How a launch's file says what differed from the design file."""

_LOADED = {"water": "charge.water", "pressure": "charge.pressure", "temperature": "charge.temperature"}
_AIR = {"wind": "weather.wind_speed", "wind_height": "weather.wind_height", "wind_from": "weather.wind_from",
        "temperature": "weather.temperature", "pressure": "weather.pressure"}  # fmt: skip

_UNSPOKEN = {
    "height": (0.05, 1.0), "time up": (0.0, 0.2), "time": (0.0, 0.3), "away": (0.05, 1.0), "bearing": (0.0, 0.1),
    "speed": (0.1, 1.0), "canopy": (0.0, 0.3), "water out": (0.0, 0.05), "sinking": (0.1, 0.5),
    "true pressure": (0.02, 5e3),
}  # fmt: skip
"""± of a measurement that was written without one: a share of it and a least, SI. Our judgement, and said."""


class LeftOut(NamedTuple):
    """A launch that the fit does not use, and why."""

    launch: str
    why: str


def launches_of(book: Book, rocket: str) -> tuple[list[Launch], list[LeftOut]]:
    """Return the launches of a rocket that something was measured of, as far as they flew alike, the newest last.

    What differs from the newest in what flies is another rocket, and is left out with what differs.
    """
    flights = sorted((FlightFile.model_validate(one) for one in book.flights.values() if one.get("rocket") == rocket),
                     key=lambda one: (one.day, one.number, one.entry))  # fmt: skip
    found: list[Launch] = []
    out: list[LeftOut] = []
    for flight in flights:
        name = launch_name(flight)
        try:
            launch = launch_of(flight)
        except DesignError as error:
            out.append(LeftOut(name, f"its design can't be read: {error.problems[0]}"))
            continue
        if launch.readings:
            found.append(launch)
        elif flight.at:
            apart = any(watches_apart(flight, of) for of in ("time up", "time"))
            out.append(LeftOut(name, "its stopwatches are too far apart to be of one flight" if apart else
                               "nothing was measured of it"))
    if not found:
        return [], out
    newest = flown_as(found[-1].design, ())
    kept = []
    for launch in found:
        differs = _differs(flown_as(launch.design, ()), newest)
        if differs:
            out.append(LeftOut(launch.name, f"it flew with another {', '.join(differs[:3])}"))
        else:
            kept.append(launch)
    return kept, out


def _differs(one: Mapping[str, float | str], other: Mapping[str, float | str]) -> list[str]:
    return [key for key in sorted(one.keys() | other.keys()) if one.get(key) != other.get(key)]


def launch_of(flight: FlightFile) -> Launch:
    """Return a launch of the logbook as the fit wants it.

    Raises
    ------
    DesignError
        When its design is not there or can't be read.
    """
    design = _as_it_flew(flight)
    return Launch(launch_name(flight), design, [*_readings(flight)])


def _as_it_flew(flight: FlightFile) -> Design:
    text = flight.design or ""
    changed = [line.removeprefix(CHANGED) for line in text.splitlines() if line.startswith(CHANGED)]
    said = [*_said(flight.loaded, _LOADED), *_said(flight.conditions, _AIR)]
    return complete(parse_design(text, [*changed, *said]))


def _said(table: object, keys: Mapping[str, str]) -> Iterator[str]:
    for key, path in keys.items():
        quantity = getattr(table, key, None)
        if quantity is not None:
            yield f"{path}={quantity.text}"


def _readings(flight: FlightFile) -> Iterator[Reading]:
    for one in sorted(counted(flight), key=lambda one: list(MEASURES).index(one.what)):
        if one.what not in FIGURES:
            continue
        read = measured_value(one.what, one.value)
        share, least = _UNSPOKEN[one.what]
        spread = read.spread or max(share * abs(read.value), least)
        if one.what == "time up" and "stopwatch" in one.how:
            spread = math.hypot(spread, unseen_top())
        yield Reading(one.what, read.value, spread, one.how if read.spread else f"{one.how}; ± assumed")


