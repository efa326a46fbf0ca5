"""When things happened, by a logger's record: release, water out, apogee, canopy, touchdown, each with its ±.

What a record can't tell is left out, with why; a person may put in or move any of them, and what follows moves along.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bottlewright.errors import FieldsError, InputError
from bottlewright.learn.leaving import THRUST, Event, release_of, rounding, water_out_of
from bottlewright.learn.record import Record
from bottlewright.learn.smoothing import Line, Top, noise_of, smoothed, steady_line, top_of
from bottlewright.quantities import Dimension, QuantityError, parse_quantity

__all__ = ["EVENTS", "Course", "Event", "course_of"]

Floats = NDArray[np.float64]

EVENTS = ("release", "water out", "apogee", "canopy", "touchdown")
GRAVITY = 9.80665

_BOOST = 0.5
"""s after the release in which a barometer's rows are not used, for the jet, the spike and the wave of the launch. Our
judgement; longer where the accelerometer says so."""
_LOW = 0.35
"""Share of the height under which a record that ends calm has landed."""


@dataclass(frozen=True)
class Course:
    """The course of a flight as a record has it.

    Parameters
    ----------
    record
        It.
    events
        By name, of `EVENTS`.
    lacks
        Why others are not there, by name.
    curve
        Height without spikes and without the ground's drift, m; empty without a barometer.
    noise, drift
        Standard deviation of a row, and how far the ground moved during the flight, m; NaN where that is not known.
    top
        The highest point, where there is one.
    descent
        The straight part of the way down, where there is one.
    """

    record: Record
    events: dict[str, Event]
    lacks: dict[str, str]
    curve: Floats
    noise: float = math.nan
    drift: float = math.nan
    top: Top | None = None
    descent: Line | None = None


def course_of(record: Record, by_hand: Mapping[str, str] | None = None) -> Course:
    """Return the course of a flight.

    Parameters
    ----------
    by_hand
        Events that a person put in or moved, such as ``{"apogee": "2.6 s ± 0.1 s"}``, on the record's clock; "none"
        takes one out.

    Raises
    ------
    InputError
        When no flight can be seen, or an answer can't be taken.
    """
    events: dict[str, Event] = {}
    lacks: dict[str, str] = {}
    told = {name: _told(name, text, record) for name, text in (by_hand or {}).items()}
    events["release"] = told.get("release") or release_of(record)
    _put(events, lacks, told, "water out", water_out_of(record, events["release"]))
    if not len(record.height):
        for name in ("apogee", "canopy", "touchdown"):
            _put(events, lacks, told, name, "there is no height in this record")
        return Course(record, events, lacks, np.empty(0))
    return _with_heights(record, events, lacks, told)


_Told = Mapping[str, Event | None]


def _told(name: str, text: str, record: Record) -> Event | None:
    if name not in EVENTS:
        raise FieldsError({name: f"is no event; it can be {', '.join(EVENTS)}"})
    if text.strip() == "none":
        if name == "release":
            raise FieldsError({name: "is needed: everything counts from it"})
        return None
    try:
        read = parse_quantity(text, Dimension.TIME)
    except QuantityError as error:
        raise FieldsError({name: str(error)}) from None
    if not record.time[0] <= read.value <= record.time[-1]:
        raise FieldsError({name: f"is {text}; the record goes from 0 to {record.time[-1]:.2f} s"})
    return Event(read.value, read.spread or 2.0 * record.step, "you said so")


def _put(events: dict[str, Event], lacks: dict[str, str], told: _Told, name: str, found: Event | str) -> None:
    if name in told:
        found = told[name] or "you took it out"
    if isinstance(found, Event):
        events[name] = found
    else:
        lacks[name] = found


# --- heights ----------------------------------------------------------------------------------------------------------


def _with_heights(record: Record, events: dict[str, Event], lacks: dict[str, str], told: _Told) -> Course:
    release, time = events["release"], record.time
    used = ~((time > release.time - record.step) & (time < _boost_ends(record, release)))
    before = record.height[used & (time < release.time)][-_seconds(record, 3.0) :]
    ground = float(np.median(before)) if len(before) > 2 else float(np.median(record.height[:3]))
    raw = record.height - ground
    raw[~used] = np.interp(time[~used], time[used], raw[used])
    curve = smoothed(raw, record.step)
    noise = noise_of(raw[used] - curve[used])
    after = _after(curve, time, release)
    drift = math.nan
    if after is not None:
        down = _came_down(time, curve, release, after)
        drift = after
        line = np.interp(time, [release.time, down], [0.0, after])
        raw, curve = raw - line, curve - line
    flying = used & (time > release.time)
    if flying.sum() < 5:
        raise InputError("the record ends with the thrust: it says nothing of the flight")
    top = _top(time, raw, curve, flying, release, told.get("apogee"))
    _put(events, lacks, told, "apogee", Event(top.time, top.u_time, "a parabola through the rows about the highest "
                                              "point, over three widths"))  # fmt: skip
    descent = _descent(time, raw, curve, top) if after is not None else None
    _put(events, lacks, told, "canopy", _canopy(record, events, top))
    _put(events, lacks, told, "touchdown", _touchdown(record, descent, drift, top))
    return Course(record, events, lacks, curve, noise, drift, top, descent)


def _seconds(record: Record, seconds: float) -> int:
    return max(int(seconds / record.step), 3)


def _boost_ends(record: Record, release: Event) -> float:
    ends = release.time + _BOOST
    if len(record.pull):
        strong = (np.abs(record.pull) > 0.3 * np.abs(record.pull).max()) & (record.time < release.time + 1.5)
        if strong.any() and np.abs(record.pull).max() > THRUST:
            ends = max(ends, float(record.time[np.flatnonzero(strong)[-1]]) + 2.0 * record.step)
    return ends


def _after(curve: Floats, time: Floats, release: Event) -> float | None:
    """Return the height of the ground after the flight, m; None where the record does not end on it."""
    tail = curve[-max(min(len(curve) // 8, 200), 5) :]
    top = float(curve[time > release.time].max())
    calm = float(np.ptp(np.percentile(tail, [10.0, 90.0]))) < max(0.15 * top, 1.0)
    return float(np.median(tail)) if calm and abs(float(np.median(tail))) < _LOW * top else None


def _came_down(time: Floats, curve: Floats, release: Event, after: float) -> float:
    top = int(np.argmax(np.where(time > release.time, curve, -np.inf)))
    low = np.flatnonzero(curve[top:] < after + 0.05 * (curve[top] - after))
    return float(time[top + (int(low[0]) if len(low) else len(time) - 1 - top)])


def _top(time: Floats, raw: Floats, curve: Floats, flying: NDArray[np.bool_], release: Event,
         told: Event | None) -> Top:  # fmt: skip
    at = int(np.argmax(np.where(flying, curve, -np.inf)))
    if told is not None:
        at = int(np.argmin(np.abs(time - told.time)))
    half = max(0.35 * (time[at] - release.time), 6.0 * float(np.median(np.diff(time))), 0.15)
    top = top_of(time[flying], raw[flying], float(time[at]), half)
    if told is not None:
        return Top(told.time, told.spread, top.height, top.u_height)
    return top


def _descent(time: Floats, raw: Floats, curve: Floats, top: Top) -> Line | None:
    """Return the straight part of the way down: between 85 % and 10 % of the height."""
    later = time > top.time
    low = np.flatnonzero(later & (curve < 0.1 * top.height))
    high = np.flatnonzero(later & (curve > 0.85 * top.height) & (time < time[low[0]] if len(low) else True))
    if not len(low) or not len(high) or low[0] - high[-1] < 5:
        return None
    part = slice(int(high[-1]), int(low[0]) + 1)
    return steady_line(time[part], raw[part])


def _canopy(record: Record, events: dict[str, Event], top: Top) -> Event | str:
    if not len(record.pull):
        return "only an accelerometer shows it"
    if record.step > 1.001 / 20.0:
        return f"{1.0 / record.step:.0f} rows a second are too few for it; 20 are needed"
    pull = np.abs(record.pull)
    low = np.flatnonzero((record.time > top.time) & (record.height < 0.15 * top.height))
    ends = record.time[low[0]] if len(low) else record.time[-1]
    within = (record.time > max(top.time - 1.0, events["release"].time + 1.0)) & (record.time < ends)
    if within.sum() < 8:
        return "the way down is too short to tell it from the landing"
    part = pull[within]
    if part.max() < np.median(part) + 8.0 * max(noise_of(part), 0.5):
        return "no jerk stands out of the pull"
    at = float(record.time[within][int(np.argmax(part > 0.5 * part.max()))])
    return Event(at, max(record.step, 0.05), "a jerk in the pull on the way down")


def _touchdown(record: Record, descent: Line | None, drift: float, top: Top) -> Event | str:
    if descent is None or not descent.slope < 0.0:
        return "the record does not end on the ground" if math.isnan(drift) else "the way down has too few rows"
    off = math.hypot(descent.off / math.sqrt(3.0), drift / math.sqrt(12.0), 0.3) / -descent.slope
    at = descent.at_zero
    if not top.time < at <= record.time[-1]:
        return "the way down does not meet the ground within the record"
    return Event(at, math.hypot(off, rounding(record)), "the way down, drawn on as a line, meets the ground")
