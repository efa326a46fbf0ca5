"""When a rocket left its launcher and when its water was out: by the pull, the pressure, the thrust, or the height."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bottlewright.errors import InputError
from bottlewright.learn.instruments.pressure_sensor import let_go_of, water_end
from bottlewright.learn.instruments.thrust_stand import push_of, water_end_of
from bottlewright.learn.record import Record
from bottlewright.learn.smoothing import noise_of, smoothed

__all__ = ["THRUST", "Event", "release_of", "rounding", "water_out_of"]

Floats = NDArray[np.float64]

THRUST = 30.0
"""m/s²: what is pulled no harder was not pushed by a jet. Our judgement."""
_QUICK = 50.0
"""Rows a second, from which on the end of the water shows in the pull. Our judgement."""


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened.

    Parameters
    ----------
    time, spread
        On the record's clock, s.
    because
        What it rests on.
    """

    time: float
    spread: float
    because: str


def rounding(record: Record) -> float:
    """Return the ± of a time that lies anywhere between two rows, s: rectangular, JCGM 100:2008, 4.3.7."""
    return record.step / math.sqrt(12.0)


def release_of(record: Record) -> Event:
    """Return when it left: by the first of pull, thrust, pressure and height that shows it.

    Raises
    ------
    InputError
        When no launch can be seen.
    """
    if (pulled := _by_pull(record)) is not None:
        return pulled
    if "thrust" in record.more and (push := push_of(record.time, record.more["thrust"])) is not None:
        return Event(push[0], max(record.step, 0.5e-3), "the thrust begins between two rows")
    for what in ("launcher", "bottle"):
        if what in record.more and (fell := let_go_of(record.time, record.more[what])) is not None:
            return Event(*fell, "the pressure begins to fall for good")
    if not len(record.height):
        if len(record.pull):
            raise InputError(f"no pull over {THRUST:.0f} m/s² is in the record: no launch can be seen")
        raise InputError("neither a thrust nor a pressure that falls is in the record: no launch can be seen. Is it "
                         'the right column? Else say when it left: release="1.2 s"')  # fmt: skip
    return _first_rise(record)


def _by_pull(record: Record) -> Event | None:
    pull = np.abs(record.pull)
    if not len(pull) or pull.max() <= THRUST:
        return None
    early = pull[: max(len(pull) // 20, 5)]
    level = float(np.median(early))
    bar = level + max(8.0 * noise_of(early), 0.25 * (float(pull.max()) - level))
    first = int(np.argmax(pull > bar))
    if first > 0:
        between = 0.5 * (record.time[first - 1] + record.time[first])
        return Event(float(between), max(rounding(record), 0.5e-3), "the pull begins between two rows")
    return Event(0.0, max(record.step, 0.05), "the record begins with the pull: it was triggered late")


def _first_rise(record: Record) -> Event:
    """Return the release by the height: the last row at the ground before the curve rises, or before a spike."""
    curve = smoothed(record.height, record.step)
    top = int(np.argmax(curve))
    ground = float(np.median(curve[: max(top // 4, 1)]))
    noise = max(noise_of(record.height - curve), 0.2)
    least = max(0.5 * noise, 4.0 * noise_of(curve[: max(top // 2, 1)]), 0.5)
    if curve[top] - ground < least or top < 3:
        raise InputError(f"no rise over {least:.1f} m, what the rows are off by, is in the record: no launch can "
                         'be seen. Is it the right column? Else say when it left: release="1.2 s"')  # fmt: skip
    low = np.flatnonzero(curve[:top] < ground + 0.2 * (curve[top] - ground))
    start = int(low[-1]) if len(low) else 0
    still = np.abs(record.height[: start + 1] - ground) <= 3.0 * noise
    last = int(np.flatnonzero(still)[-1]) if still.any() else start
    off = max(4.0 * record.step, 0.15)
    if start == 0:
        return Event(0.0, 3.0 * off, "the record begins with the rise: it was triggered late")
    return Event(float(record.time[last]), off, "the height begins to rise; no accelerometer saw it")


def water_out_of(record: Record, release: Event) -> Event | str:
    """Return when the water was out: by the pull, the thrust or the bottle's pressure; or why nobody can tell."""
    shove = record.pull if len(record.pull) else record.more.get("thrust", np.empty(0))
    if not len(shove) and "bottle" not in record.more:
        return "only an accelerometer, a thrust stand or a sensor in the bottle shows it"
    if record.step > 1.001 / _QUICK:
        return f"{1.0 / record.step:.0f} rows a second are too few for it; {_QUICK:.0f} are needed"
    if "bottle" in record.more:
        kink = water_end(record.time, record.more["bottle"], release.time)
        if kink is not None:
            return Event(*kink, "the bottle's pressure begins to fall several times as fast: gas leaves")
        if not len(shove):
            return "the bottle's pressure has no kink"
    if record.stopped:
        return "the accelerometer stood at the end of its range"
    if not len(record.pull):
        fell = water_end_of(record.time, shove)
        return Event(*fell, "the thrust falls most; the jet turns to air there") if fell else "the stand rings too long"
    return _steepest_fall(record, np.abs(shove), release)


def _steepest_fall(record: Record, pull: Floats, release: Event) -> Event | str:
    inside = (record.time >= release.time) & (record.time <= release.time + 1.5)
    time, push = record.time[inside], pull[inside]
    if len(push) < 8 or push.max() <= THRUST:
        return "the record has no thrust"
    slope = np.gradient(smoothed_pull(push), time)
    last = int(np.flatnonzero(push > 0.3 * push.max())[-1])
    at = int(np.argmin(slope[: last + 3]))
    return Event(float(time[at]), max(2.0 * record.step, 0.01), "the pull falls steepest; the jet turns to air there")


def smoothed_pull(pull: Floats) -> Floats:
    """Return a pull over three rows: enough to differentiate it, too short to blur the end of the water."""
    return np.convolve(np.pad(pull, 1, mode="edge"), np.ones(3) / 3.0, "valid")
