"""What was measured of a launch beside what was foretold before it, and what to look at first."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

from bottlewright.data_file import data_file
from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.field.wind_heights import Growth
from bottlewright.logbook.export import surest
from bottlewright.logbook.measured import counted, said, standing
from bottlewright.logbook.records import FlightFile
from bottlewright.logbook.wind_by_hand import WindRead, brought_to
from bottlewright.physics.wind import POWER
from bottlewright.quantities import UNITS, Dimension, Quantity

__all__ = [
    "COMPARED", "UNKNOWN", "Compared", "Otherwise", "compared", "compared_document", "first_look", "otherwise",
    "sentence", "verdict_on",
]  # fmt: skip

Lies = Literal["inside", "low", "high", "unknown"]
UNKNOWN: Final = "unknown"
WIND: Final = "wind"
COMPARED = {"height": ("height", "height"), "time": ("time", "time in the air"),
            "time up": ("time_up", "time to the highest point"), "away": ("away", "distance of the landing")}
"""What is compared, the most telling first: its key of the prediction, and what it is called."""

FOR_A_BAND = 1.2816
"""Standard deviations from the middle to where one in ten lies beyond, of a normal spread: for a prediction that was
kept without a band."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One quantity, SI.

    Parameters
    ----------
    what, called
        By the name of the measurement, and in words.
    middle, low, high
        What was foretold: one flight in ten below `low`, one in ten above `high`.
    measured, spread, how
        What was measured with its ±; None where nobody did.
    lies
        Where that is. "unknown" where it is outside by less than its ±: nobody can tell.
    """

    what: str
    called: str
    middle: float
    low: float
    high: float
    measured: float | None
    spread: float
    how: str
    lies: Lies

    @property
    def unit(self) -> str:
        """Of all its numbers."""
        return "s" if self.what.startswith("time") else "m"

    def scale(self, habit: UnitHabit) -> tuple[str, float]:
        """Return the builder's own unit, and how much of the SI one it is."""
        own = habit.unit(self.unit)
        return own, UNITS[Dimension.TIME if self.unit == "s" else Dimension.LENGTH][own]

    def words(self, habit: UnitHabit = METRIC) -> str:
        """Return what was measured, such as "41.0 m ± 2.0 m"."""
        unit, size = self.scale(habit)
        return "not measured" if self.measured is None else said(self.measured / size, self.spread / size, unit)

    def band(self, habit: UnitHabit = METRIC) -> str:
        """Return the band, such as "49.5 to 57.3 m"."""
        unit, size = self.scale(habit)
        return f"{_tenth(self.low / size)} to {_tenth(self.high / size)} {unit}"

    @property
    def coarse(self) -> bool:
        """Whether its ± is wider than half the band: it could hardly have been told from what was foretold."""
        return self.measured is not None and 2.0 * self.spread > self.high - self.low


@dataclass(frozen=True, slots=True)
class Otherwise:
    """Something that was otherwise at the launch than foretold with: what, foretold and really, in words."""

    what: str
    foretold: str
    really: str


def _tenth(value: float) -> str:
    return f"{value:.2f}" if value < 10.0 else f"{value:.1f}"


def verdict_on(measured: float, spread: float, low: float, high: float) -> Lies:
    """Return where a measured value lies; within one ± beyond an end of the band nobody can tell."""
    if low <= measured <= high:
        return "inside"
    if measured < low:
        return "low" if measured + spread < low else "unknown"
    return "high" if measured - spread > high else "unknown"


def compared(flight: FlightFile) -> list[Compared]:
    """Return each quantity that was foretold, with what was measured of it; none of a launch that nobody foretold."""
    found = []
    for what, (key, called) in COMPARED.items():
        middle: Quantity | None = getattr(flight.prediction, key, None)
        if middle is None:
            continue
        ends = [getattr(flight.prediction, f"{key}_{end}") for end in ("low", "high")]
        low, high = (end.value if end else middle.value + sign * FOR_A_BAND * middle.spread
                     for end, sign in zip(ends, (-1.0, 1.0), strict=True))  # fmt: skip
        best = surest(flight, what)
        if best is None:
            found.append(Compared(what, called, middle.value, low, high, None, 0.0, "", UNKNOWN))
        else:
            value, spread = best[0].value, best[0].spread
            found.append(Compared(what, called, middle.value, low, high, value, spread, best[1].how,
                                  verdict_on(value, spread, low, high)))  # fmt: skip
    return found


def otherwise(flight: FlightFile) -> list[Otherwise]:
    """Return what was loaded, or blew, otherwise than the prediction was made with: by more than twice the ±."""
    told, found = flight.prediction, []
    if told is None:
        return []
    loaded = flight.loaded
    for what, foretold, really in (("water", told.water, loaded and loaded.water),
                                   ("pressure on the gauge", told.pressure, loaded and loaded.pressure)):  # fmt: skip
        if foretold and really and abs(really.value - foretold.value) > _APART * _unsure(foretold, really):
            found.append(Otherwise(what, foretold.text, really.text))
    if told.wind and told.wind_height and told.wind_exponent:
        growth = Growth(told.wind_height.value, POWER, (told.wind_exponent.value, told.wind_exponent.spread))
        reads = [WindRead(one.speed.value, one.speed.spread, one.height.value, "")
                 for one in standing(flight, flight.wind)]  # fmt: skip
        if flight.conditions and (wind := flight.conditions.wind):
            high = flight.conditions.wind_height
            reads.append(WindRead(wind.value, wind.spread or _GAUGE * wind.value,
                                  high.value if high else growth.height, ""))  # fmt: skip
        for read in reads:
            there = brought_to(read, growth)
            if abs(there.speed - told.wind.value) > _APART * math.hypot(told.wind.spread, there.u_speed):
                found.append(Otherwise(WIND, told.wind.text, f"{there.speed:.1f} m/s ± {there.u_speed:.1f} m/s"))
    return found


_APART = 2.0
"""Times the ± of both together, from which on two values count as different: our judgement."""
_GAUGE = 0.1
"""Share by which a wind gauge is off where nobody says: our judgement."""
_SURE = 0.02
"""Share by which a value without a ± is off: our judgement."""


def _unsure(foretold: Quantity, really: Quantity) -> float:
    return math.hypot(*(one.spread or _SURE * abs(one.value) for one in (foretold, really)))


@cache
def _looks() -> tuple[Mapping[str, str], ...]:
    return tuple(data_file("logbook", "first_look")["look"])


def first_look(lies: Mapping[str, str], apart: Sequence[Otherwise] = ()) -> str:
    """Return what to look at first, as the end of a sentence.

    Parameters
    ----------
    lies
        Where each measured quantity lies, by its key of the prediction; what is left out is not known.
    apart
        What was otherwise than foretold with: it comes before any other cause where anything lies outside. Another
        wind explains another landing, and little else.
    """
    out = {key for key, one in lies.items() if one in ("low", "high")}
    explains = [one for one in apart if out - {"away"} and one.what != WIND] or (list(apart) if out == {"away"} else [])
    if explains:
        words = "; ".join(f"{one.what} {one.really} instead of {one.foretold}" for one in explains)
        return f"fly the design once more with what was really there ({words}): no other cause counts before that"
    for row in _looks():
        if all(lies.get(key, UNKNOWN) == value for key, value in row.items() if key != "first"):
            return row["first"]
    raise AssertionError("the last row fits everything")


def sentence(flight: FlightFile, habit: UnitHabit = METRIC) -> str:
    """Return the one sentence: inside, high or low, the band, and what to look at first."""
    rows = compared(flight)
    if not rows:
        return "Nothing was foretold before this launch, so nothing can be compared."
    order = ("low", "high", "inside", UNKNOWN)
    measured = sorted((one for one in rows if one.measured is not None), key=lambda one: order.index(one.lies) // 2)
    if not measured:
        bands = " and ".join(f"{one.band(habit)} ({one.called})" for one in rows[:2])
        return f"Nothing is measured yet. Eight flights in ten were foretold at {bands}: read the height or a time."
    first = first_look({COMPARED[one.what][0]: one.lies for one in rows}, otherwise(flight))
    lead = measured[0]
    lies = f"is {lead.lies}" if lead.lies != UNKNOWN else "is outside by less than its ±, so nobody can tell"
    coarse = "; its ± is wider than the band, so it says little" if lead.coarse else ""
    return (f"The {lead.called}, {lead.words(habit)}, {lies}: eight flights in ten were foretold at {lead.band(habit)}"
            f"{coarse}; first, {first}.")  # fmt: skip


def compared_document(flight: FlightFile) -> dict[str, Any]:
    """Return the comparison as plain values, SI, the unit in each name, with what counts as measured."""
    rows = {COMPARED[one.what][0]: {
        f"foretold_{one.unit}": one.middle, f"foretold_low_{one.unit}": one.low, f"foretold_high_{one.unit}": one.high,
        f"measured_{one.unit}": one.measured, f"measured_u_{one.unit}": one.spread or None, "lies": one.lies,
    } for one in compared(flight)}  # fmt: skip
    return {"compared": rows, "sentence": sentence(flight),
            "counted": [one.model_dump(exclude_none=True) for one in counted(flight)]}  # fmt: skip
