"""What of a launch's file counts as measured: what was written, the mean of the stopwatches, the height by angles.

Readings are kept as they were read, and what follows from them is worked out whenever it is asked for: two telephones
whose files are merged make one mean. What was withdrawn stays in the file and counts no more.
"""

import math
from collections.abc import Sequence
from typing import TypeVar

from bottlewright.errors import InputError
from bottlewright.logbook.angles import Drift, Sight, Sighted, height_by_angles
from bottlewright.logbook.records import ByHand, FlightFile, Measurement, Sighting
from bottlewright.logbook.sighting import ANGLE_OFF_DEG
from bottlewright.logbook.timing import Timed, mean_time, too_far_apart
from bottlewright.quantities import Quantity, value_of

__all__ = ["BEARING_OFF_DEG", "by_angles", "by_watches", "counted", "said", "standing", "watches_apart"]

BEARING_OFF_DEG = 3.0
"""How far a bearing by a compass in the hand may easily be off: our judgement."""

PLACE_OFF, PLACE_OFF_LEAST = 0.02, 0.5
"""How far a station's place is off where nobody says: a share of its distance, and never less than so many m; our
judgement."""

Read = TypeVar("Read", bound=ByHand | Measurement)


def standing(flight: FlightFile, entries: Sequence[Read]) -> list[Read]:
    """Return the entries of a list that nobody withdrew."""
    return [one for one in entries if one.entry is None or one.entry not in flight.withdrawn]


def said(value: float, spread: float, unit: str) -> str:
    """Return a measured value as it is written, its ± with two digits: "48.2 m ± 1.9 m"."""
    if spread <= 0.0:
        return f"{value:.4g} {unit}".strip()
    digits = max(0, 1 - math.floor(math.log10(spread)))
    return " ± ".join(f"{one:.{digits}f} {unit}".strip() for one in (value, spread))


def counted(flight: FlightFile) -> list[Measurement]:
    """Return all that was measured and counts, each with its ±."""
    found = standing(flight, flight.measured)
    for what, name in (("time up", "to the highest point"), ("time", "to the ground")):
        timed = by_watches(flight, what)
        if timed:
            how = f"mean of {timed.count} stopwatches {name}" if timed.count > 1 else f"one stopwatch {name}"
            found.append(_measurement(what, said(timed.seconds, timed.u_seconds, "s"), how, timed.count))
    try:
        sighted = by_angles(flight)
    except InputError:
        sighted = None
    if sighted and sighted.counts:
        found.append(_measurement("height", said(sighted.height, sighted.u_height, "m"),
                                  f"angles: {sighted.says}", len(standing(flight, flight.sight))))
    return found


def _measurement(what: str, value: str, how: str, count: int) -> Measurement:
    return Measurement.model_validate({"what": what, "value": value, "how": how, "count": count})


def by_watches(flight: FlightFile, of: str) -> Timed | None:
    """Return the mean of all stopwatches of one thing; None where nobody had one, or they are too far apart."""
    took = _took(flight, of)
    return mean_time(took) if took and not too_far_apart(took) else None


def watches_apart(flight: FlightFile, of: str) -> list[float]:
    """Return the times (s) of stopwatches that are so far apart that none counts before one is taken back."""
    took = _took(flight, of)
    return sorted(took) if too_far_apart(took) else []


def _took(flight: FlightFile, of: str) -> list[float]:
    return [one.took.value for one in standing(flight, flight.watch) if one.of == of]


def by_angles(flight: FlightFile) -> Sighted | None:
    """Return the height by all stations together, whether it counts or not; None without a station.

    Raises
    ------
    InputError
        Where the angles make no height.
    """
    sights = standing(flight, flight.sight)
    if not sights:
        return None
    if len(sights) > 1 and any(one.side is None for one in sights):
        raise InputError("of two stations or more, say on which side of the launcher each stands")
    return height_by_angles([_sight(one) for one in sights], _drift(flight))


def _sight(one: Sighting) -> Sight:
    far, side = one.away.value, value_of(one.side)
    place = one.away.spread or max(PLACE_OFF * far, PLACE_OFF_LEAST)
    return Sight(
        far * math.sin(side), far * math.cos(side), value_of(one.ground) + value_of(one.eye), one.elevation.value,
        one.elevation.spread or math.radians(ANGLE_OFF_DEG), one.towards.value if one.towards else None,
        (one.towards.spread if one.towards else 0.0) or math.radians(BEARING_OFF_DEG), place,
    )  # fmt: skip


def _drift(flight: FlightFile) -> Drift | None:
    """Return what somebody saw of where the highest point lay; a place without a ± is known to a third of it."""
    if flight.top is None:
        return None
    far, way = flight.top.away, value_of(flight.top.towards)
    return Drift(far.value * math.sin(way), far.value * math.cos(way), _spread(far))


def _spread(far: Quantity) -> float:
    return far.spread or max(far.value / 3.0, 1.0)
