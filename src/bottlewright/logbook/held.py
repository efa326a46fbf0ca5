"""What a bottle really held at its launches, against what was allowed then: typed or read by a sensor, one rule.

More than was allowed, surely, means that its gauge or its reading can't be trusted: nobody pumps the bottle before it
has passed another water test.
"""

from functools import lru_cache
from pathlib import Path

from bottlewright.design.errors import DesignError
from bottlewright.logbook.files import flight_files, read_record
from bottlewright.logbook.launches import launch_name
from bottlewright.logbook.measured import said, standing
from bottlewright.logbook.records import FlightFile, Measurement, VesselFile
from bottlewright.quantities import Dimension, Quantity, parse_quantity

__all__ = ["HELD", "all_held_too_much", "bottle_held_too_much", "held_too_much", "surely_over"]

HELD = "true pressure"
"""Name of that measurement in a launch's file."""
_ROUNDED = 1e3
"""Pa: what rounding takes off the limit that is kept (`bottlewright.project.foretelling.prediction_of`)."""
_SURE = 2.0
"""Times its ± by which a pressure has to lie over a limit to be surely over it: our judgement."""


def surely_over(held: Quantity, allowed: Quantity) -> bool:
    """Say whether a pressure lies over a limit by more than its ± leaves open.

    A limit is kept rounded down, to a hundredth of a bar: a reading within that hundredth was allowed.
    """
    return held.value - _SURE * held.spread > allowed.value + _ROUNDED


def held_too_much(flight: FlightFile) -> str:
    """Return in words what a bottle held over what was allowed before that launch; empty where it surely did not.

    What a sensor read in bottle or hose counts, and what was written down as really loaded; what was withdrawn does
    not.
    """
    allowed, then = flight.prediction.allowed if flight.prediction else None, "was allowed on the gauge"
    if allowed is None and flight.loaded:
        allowed, then = flight.loaded.allowed, "was allowed on the gauge as that was written down"
    if allowed is None:
        return ""
    read = [_value(one) for one in standing(flight, flight.measured) if one.what == HELD]
    loaded = flight.loaded.pressure if flight.loaded else None
    for held, where in (*((one, "at the release") for one in read), (loaded, "by what was written as loaded")):
        if held is not None and surely_over(held, allowed):
            words = said(held.value / 1e5, held.spread / 1e5, "bar")
            return (f"the bottle held {words} {where} of launch {launch_name(flight)}, over the {allowed.text} that "
                    f"{then}")  # fmt: skip
    return ""


def _value(one: Measurement) -> Quantity:
    return parse_quantity(one.value, Dimension.PRESSURE)


def bottle_held_too_much(folder: Path, vessel: VesselFile) -> str:
    """Return in words that a bottle held too much since its last passed water test; empty where it did not.

    Parameters
    ----------
    folder
        The logbook's own.
    """
    passed = [one.at for one in vessel.test if one.passed and one.medium == "water"]
    for path in flight_files(folder)[::-1]:
        about = path.stat()
        bottle, when, words = _of_file(str(path), about.st_mtime_ns, about.st_size, vessel.id)
        if words and bottle == vessel.id and not any(_after(test, when) for test in passed):
            return words
    return ""


def all_held_too_much(folder: Path) -> tuple[tuple[str, str, str], ...]:
    """Return each launch before which a bottle held too much, whatever came after: the bottle, when, in words.

    A launch's file that can't be read stands there with its name instead.
    """
    found = []
    for path in flight_files(folder):
        try:
            about = path.stat()
            said = _of_file(str(path), about.st_mtime_ns, about.st_size, "")
        except (DesignError, OSError) as error:
            said = path.name, "", type(error).__name__
        if said[2]:
            found.append(said)
    return tuple(found)


def _after(test: str, when: str) -> bool:
    """Say whether a test came after a launch; of one day without both times nobody has shown that it did."""
    return test > when if "T" in test and "T" in when else test[:10] > when[:10]


@lru_cache(maxsize=4096)
def _of_file(path: str, _mtime: int, _size: int, vessel: str) -> tuple[str, str, str]:
    """Return the bottle of a launch, when, and that it held too much; read once as long as the file stays.

    Raises
    ------
    DesignError
        When a file that names this bottle can't be read: it may be the one that says so.
    """
    try:
        flight = read_record(Path(path), FlightFile)
    except DesignError:
        if vessel in Path(path).read_text(encoding="utf-8", errors="replace"):
            raise
        return "", "", ""
    return flight.vessel or "", flight.at or str(flight.day), held_too_much(flight)
