"""The logbook as tables for a spreadsheet and as one document; SI, the unit in each name."""

import math
from collections.abc import Iterator
from typing import Any

from bottlewright.logbook.book import Book, open_questions
from bottlewright.logbook.journal import decoded
from bottlewright.logbook.measured import counted as counted_measurements
from bottlewright.logbook.records import FlightFile, Measurement, VesselFile
from bottlewright.logbook.vessels import counted, retired_because, under_pressure
from bottlewright.quantities import Dimension, Quantity, QuantityError, parse_quantity
from bottlewright.report.csv_text import csv_text

__all__ = ["MEASURES", "check_entered", "cycles_csv", "document", "flights_csv", "measured_value", "surest"]

MEASURES = {"height": Dimension.LENGTH, "time up": Dimension.TIME, "time": Dimension.TIME, "away": Dimension.LENGTH,
             "bearing": Dimension.ANGLE, "mass": Dimension.MASS, "speed": Dimension.SPEED,
             "water out": Dimension.TIME, "canopy": Dimension.TIME, "sinking": Dimension.SPEED,
             "true pressure": Dimension.PRESSURE}  # fmt: skip
_UNITS = {Dimension.LENGTH: "m", Dimension.TIME: "s", Dimension.ANGLE: "rad", Dimension.MASS: "kg",
          Dimension.SPEED: "m_s", Dimension.PRESSURE: "Pa"}  # fmt: skip


def measured_value(what: str, text: str) -> Quantity:
    """Return a measurement in SI units with its ±.

    Raises
    ------
    QuantityError
        With what is wrong with it.
    """
    return parse_quantity(text, MEASURES[what])


def check_entered(what: str, text: str) -> None:
    """Refuse a measurement that somebody enters and that can't be read, or can't be.

    Raises
    ------
    QuantityError
        With what is wrong with it.
    """
    if measured_value(what, text).value < 0.0 and what != "bearing":
        raise QuantityError(f"is {text}, and can't be less than nothing")


def surest(flight: FlightFile, what: str) -> tuple[Quantity, Measurement] | None:
    """Return the measurement of one thing with the smallest ±, in SI units; None where nobody measured it."""
    said = [(measured_value(one.what, one.value), one) for one in counted_measurements(flight) if one.what == what]
    return min(said, key=lambda one: (one[0].spread or math.inf, one[1].value), default=None)


def flights_csv(book: Book) -> str:
    """Return a launch in each row: what was loaded, foretold and measured, the surest of several measurements."""
    names = [f"{what.replace(' ', '_')}_{_UNITS[dimension]}" for what, dimension in MEASURES.items()]
    head = ["day", "number", "rocket", "vessel", "team", "at", "water_m3", "pressure_gauge_Pa", "wind_m_s",
            "foretold_height_m", *(one for name in names for one in (name, f"{name}_u")), "landing", "damage", "counts",
            "entry"]  # fmt: skip
    flights = sorted((FlightFile.model_validate(one) for one in book.flights.values()),
                     key=lambda one: (one.day, one.number, one.entry))  # fmt: skip
    return csv_text([head, *map(_flight_row, flights)])


def _flight_row(flight: FlightFile) -> list[object]:
    loaded, air, foretold = flight.loaded, flight.conditions, flight.prediction
    row: list[object] = [
        flight.day, flight.number, flight.rocket, flight.vessel or "", flight.team or "", flight.at or "",
        _si(loaded.water) if loaded else "", _si(loaded.pressure) if loaded else "", _si(air.wind) if air else "",
        _si(foretold.height) if foretold else "",
    ]  # fmt: skip
    for what in MEASURES:
        best = surest(flight, what)
        row += [best[0].value, best[0].spread or ""] if best else ["", ""]
    return [*row, flight.landing or "", flight.damage or "", "yes" if flight.counts else "no", flight.entry]


def _si(quantity: Quantity | None) -> object:
    return "" if quantity is None else quantity.value


def cycles_csv(book: Book) -> str:
    """Return a time under pressure in each row, tests too."""
    rows: list[list[object]] = [["vessel", "at", "what", "peak_gauge_Pa", "ended", "entry"]]
    for name in sorted(book.vessels):
        rows += sorted(_cycle_rows(VesselFile.model_validate(book.vessels[name])), key=lambda row: str(row[1]))
    return csv_text(rows)


def _cycle_rows(vessel: VesselFile) -> Iterator[list[object]]:
    for test in vessel.test:
        yield [vessel.id, test.at, f"test with {test.medium}", test.pressure.value,
               "passed" if test.passed else "failed", test.entry or ""]  # fmt: skip
    ended = {one.entry for one in vessel.pressurised if one.ended != "begun" and one.entry}
    for one in vessel.pressurised:
        if one.ended != "begun" or one.entry not in ended:
            yield [vessel.id, one.at, "pressurised", _si(one.peak), one.ended, one.entry or ""]


def document(book: Book) -> dict[str, Any]:
    """Return all of the logbook as one document: the records as they are written, and what follows from them."""
    from bottlewright.logbook.compared import compared_document  # which asks here for the surest measurement

    vessels = {name: VesselFile.model_validate(tables) for name, tables in book.vessels.items()}
    return {
        "vessels": {name: {**book.vessels[name], "cycles": counted(one), "cycles_written": len(under_pressure(one)),
                           "retired_because": retired_because(one)} for name, one in vessels.items()},
        "flights": list(book.flights.values()),
        "after": {name: compared_document(FlightFile.model_validate(one)) for name, one in book.flights.items()},
        "days": {day: [entry for line in sorted(lines) if (entry := decoded(line))]
                 for day, lines in book.days.items()},
        "raw": sorted(book.raw),
        "contests": dict(book.contests),
        "questions": [question._asdict() for question in open_questions(book)],
    }  # fmt: skip
