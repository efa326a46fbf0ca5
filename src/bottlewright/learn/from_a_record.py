"""From a logger's record to numbers that the fit takes: each with its ±, and what it rests on.

The whole curve of a cheap logger says little more than these: its rows err together (port, lag, drift), and hundreds of
them would outvote a good stopwatch. What a wrong column or unit would make of it is looked for, and said.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from bottlewright.errors import FieldsError
from bottlewright.learn.channels import CHANNELS
from bottlewright.learn.columns import UNITS, Columns, corrected, propose
from bottlewright.learn.events import EVENTS, GRAVITY, Course, course_of
from bottlewright.learn.instruments import pressure_sensor
from bottlewright.learn.instruments.accelerometer import Accelerometer, at_its_stop
from bottlewright.learn.instruments.barometer import Barometer
from bottlewright.learn.instruments.gyroscope import rate_of
from bottlewright.learn.instruments.pressure_sensor import at_release, zero_of
from bottlewright.learn.instruments.thrust_stand import impulse_of
from bottlewright.learn.launches import Reading
from bottlewright.learn.record import record_of
from bottlewright.learn.smoothing import Line, Top
from bottlewright.learn.table_file import TableFile, read_table

__all__ = ["Imported", "columns_of", "doubts_of", "import_file", "readings_of"]

_AT_THE_TOP = 5.0
"""m/s of the air past the port at the highest point: the wind, and what is left of the speed. Our judgement."""
_FALLS_FASTER = 0.85
"""Share of the time of a stone without any air, under which nothing falls."""
_RISES_SLOWER = 1.5
"""Times as long as a stone takes that is thrown as high, over which nothing rises: the jet's push and the drag only
shorten it (the coast with square drag of `logbook.timing.coast`)."""
_NOISY = 0.15
"""Share of the height over which rows that swing are a noisy port. Our judgement."""
_STEADY = 0.75
"""Share of the speed of a stone from that height, over which nothing held it."""


@dataclass(frozen=True)
class Imported:
    """A logger's file as it was read.

    Parameters
    ----------
    table, columns
        What stands in it, and what that means.
    course
        Of the flight.
    readings
        What it says of the flight.
    doubts
        What is odd about it.
    shown
        What else it shows.
    """

    table: TableFile
    columns: Columns
    course: Course
    readings: tuple[Reading, ...]
    doubts: tuple[str, ...]
    shown: tuple[str, ...] = ()


def import_file(
    content: bytes, given: Mapping[str, str] | None = None, known: Columns | None = None,
    table: TableFile | None = None, air: float | None = None,
) -> Imported:  # fmt: skip
    """Read a logger's file.

    Parameters
    ----------
    given
        What a person says of it: columns (`columns.corrected`), ``tag``, and events (`events.course_of`).
    known
        What the columns of the last file with this header meant.
    table
        The file, where it was taken apart already.
    air
        Temperature of the air, K.

    Raises
    ------
    InputError
        When no flight can be read from it, with what to say; `FieldsError` when an answer can't be taken.
    """
    told = {name.replace("_", " "): text for name, text in (given or {}).items()}
    table = table or read_table(content, told.get("tag", ""))
    columns = columns_of(table, told, known)
    record = record_of(table, columns) if air is None else record_of(table, columns, air)
    course = course_of(record, {name: told[name] for name in EVENTS if name in told})
    return Imported(table, columns, course, tuple(readings_of(course)), tuple(doubts_of(course)),
                    tuple(shown_of(course)))


def columns_of(table: TableFile, told: Mapping[str, str], known: Columns | None = None) -> Columns:
    """Return what a file's columns mean, as proposed or `known`, and as a person says; raises as `import_file` does."""
    strange = set(told) - {*UNITS, "rate", "tag", *EVENTS}
    if strange:
        raise FieldsError({min(strange): f"can't be said of a record; it can be {', '.join((*UNITS, 'rate', 'tag'))}, "
                                         f"or an event: {', '.join(EVENTS)}"})  # fmt: skip
    return corrected(known or propose(table), table, {name: told[name] for name in (*UNITS, "rate") if name in told})


def readings_of(course: Course, barometer: Barometer | None = None) -> list[Reading]:
    """Return what a record says of a flight."""
    seen = barometer or Barometer()
    release = course.events["release"]
    found: list[Reading] = []
    top = course.top
    if top is not None and "apogee" in course.events:
        drift = 0.5 if math.isnan(course.drift) else course.drift / math.sqrt(12.0)
        hides = course.noise if _hidden(course) else course.noise / 3.0
        off = math.hypot(top.u_height, seen.u_height(top.height, _AT_THE_TOP), drift, hides)
        found.append(Reading("height", top.height, off, "barometer, the curve about its highest point"))
    times = (("water out", "water out"), ("apogee", "time up"), ("canopy", "canopy"), ("touchdown", "time"))
    for event, what in () if _clock_is_wrong(course) else times:
        at = course.events.get(event)
        if at is not None and at.time > release.time:
            late = seen.u_lag if event in ("apogee", "touchdown") else 0.0
            found.append(Reading(what, at.time - release.time, math.hypot(at.spread, release.spread, late),
                                 f"logger: {at.because}"))  # fmt: skip
    if (fast := _fastest(course)) is not None:
        found.append(fast)
    if (slow := _sinking(course)) is not None:
        found.append(slow)
    return [*found, *_of_pressure_and_thrust(course)]


def _of_pressure_and_thrust(course: Course) -> Iterator[Reading]:
    """Yield the true pressure at the release, by the bottle's sensor before the launcher's, and the impulse."""
    record, release = course.record, course.events["release"].time
    for what in ("bottle", "launcher"):
        held = at_release(record.time, record.more[what], release) if what in record.more else None
        if held is not None:
            yield Reading("true pressure", *held, f"{CHANNELS[what].words} before the release, over the open air's")
            break
    if "thrust" in record.more and (pushed := impulse_of(record.time, record.more["thrust"])) is not None:
        yield Reading("impulse", *pushed, "thrust stand, the area under its thrust")


def _fastest(course: Course) -> Reading | None:
    """Return the greatest speed by adding up the pull less the weight; none of a slow or doubtful instrument."""
    record, release = course.record, course.events["release"]
    if not len(record.pull) or record.stopped or record.step > 0.02002:
        return None
    before = record.pull[record.time < release.time - record.step]
    if len(before) < 5 or abs(abs(float(np.median(before))) - GRAVITY) > 0.1 * GRAVITY:
        return None
    sign = math.copysign(1.0, float(np.median(before)))
    inside = (record.time >= release.time - record.step) & (record.time <= release.time + 1.5)
    time, pull = record.time[inside], sign * record.pull[inside] - GRAVITY
    speed = np.concatenate([[0.0], np.cumsum(0.5 * (pull[1:] + pull[:-1]) * np.diff(time))])
    at = int(np.argmax(speed))
    if at == 0 or speed[at] < 2.0:
        return None
    rest = 0.1 * GRAVITY * (time[at] - time[0])
    off = math.hypot(Accelerometer().u_scale * speed[at], rest, float(pull.max()) * record.step / math.sqrt(12.0))
    return Reading("speed", float(speed[at]), off, "accelerometer, its pull less the weight added up")


def _sinking(course: Course) -> Reading | None:
    line, top = course.descent, course.top
    if line is None or top is None or not _held(line, top) or _clock_is_wrong(course):
        return None
    return Reading("sinking", -line.slope, math.hypot(line.u_slope, Barometer().scale * line.slope, 0.3),
                   "barometer, the slope of the way down; ± 0.3 m/s for air that rises or sinks")  # fmt: skip


def _held(line: Line, top: Top) -> bool:
    return 0.0 < -line.slope < _STEADY * math.sqrt(2.0 * GRAVITY * max(top.height, 0.0)) and (
        line.u_slope < 0.3 * -line.slope)  # fmt: skip


def _clock_is_wrong(course: Course) -> bool:
    """Say whether it rose more slowly, or fell faster, than anything does: no time of it is then used."""
    top, up = course.top, course.events.get("apogee")
    if top is None or up is None or top.height <= 0.0:
        return False
    stone = math.sqrt(2.0 * top.height / GRAVITY)
    rose, off = up.time - course.events["release"].time, math.hypot(up.spread, course.events["release"].spread)
    slow = rose - 2.0 * off > _RISES_SLOWER * stone or rose > 3.0 * _RISES_SLOWER * stone
    down = course.events.get("touchdown")
    return slow or (down is not None and down.time + 2.0 * down.spread - up.time < _FALLS_FASTER * stone)


def _hidden(course: Course) -> bool:
    """Say whether a flight may hide in rows that swing: what rose took longer than a flight of that height lasts."""
    return course.top is not None and course.noise > _NOISY * course.top.height and _clock_is_wrong(course)


def shown_of(course: Course) -> list[str]:
    """Return what else a record shows that no fit uses: by a gyroscope."""
    ends = course.events.get("apogee") or course.events.get("water out")
    said = []
    for what in ("spin", "turning"):
        release = course.events["release"].time
        if what not in course.record.more:
            continue
        found = rate_of(course.record.time, course.record.more[what], release, ends.time if ends else release + 1.0)
        if found is None:
            said.append(f"{CHANNELS[what].words}: it did not rest before the launch, so its zero is not known")
        else:
            most, off, turns = (math.degrees(found[0]), math.degrees(found[1]), found[2])
            if at_its_stop(course.record.more[what], over=0.9 * found[0]):
                said.append(f"{CHANNELS[what].words}: it stood at the end of its range, {most:.0f} degrees a second: "
                            "the rocket turned faster than it says. No fit uses it")  # fmt: skip
                continue
            until = "the highest point" if "apogee" in course.events else "the water was out" if ends else "1 s later"
            said.append(f"{CHANNELS[what].words}: up to {most:.0f} ± {max(off, 1.0):.0f} degrees a second, "
                        f"{turns:.1f} turns until {until}. No fit uses it")  # fmt: skip
    return said


def doubts_of(course: Course) -> list[str]:
    """Return what is odd about a record: signs of a wrong column, unit or clock, and of what it can't tell."""
    said = list(course.record.said)
    top, down = course.top, course.events.get("touchdown")
    if top is not None:
        highest = float(course.record.height.max())
        if highest - top.height > max(3.0 * course.noise, 0.1 * top.height):
            said.append(f"the greatest reading, {highest:.1f} m, is a spike and no height")
        if course.noise > _NOISY * top.height:
            said.append(f"rows are off by {course.noise:.1f} m to one another: the port is noisy, and the height has "
                        "the ± to show for it")  # fmt: skip
        if _hidden(course):
            said.append("what rises here rises too slowly for a flight, and one as short as that height allows "
                        f"may hide in rows that swing by {course.noise:.1f} m: so large is its ±")  # fmt: skip
        if not math.isnan(course.drift) and abs(course.drift) > 1.0:
            said.append(f"the ground after the flight reads {course.drift:+.1f} m: the barometer drifted, or it lies "
                        "elsewhere")  # fmt: skip
        if math.isnan(course.drift):
            said.append("the record does not end on the ground where it began: how far it drifted is not known")
        if top.height < 1.0 or top.height > 1000.0:
            said.append(f"a height of {top.height:.3g} m: is the unit of the height right?")
    if top is not None and "apogee" in course.events and _clock_is_wrong(course):
        stone = math.sqrt(2.0 * top.height / GRAVITY)
        rose = course.events["apogee"].time - course.events["release"].time
        fell = f" and came down in {down.time - course.events['apogee'].time:.2f} s" if down else ""
        said.append(f"it rose {top.height:.1f} m in {rose:.2f} s{fell}, and a stone takes {stone:.2f} s each way: the "
                    "unit of the time or of the height is wrong. No time of it is used")  # fmt: skip
    before = course.record.time < course.events["release"].time
    if len(course.record.pull) and before.any():
        rest = float(np.median(np.abs(course.record.pull[before])))
        if abs(rest - GRAVITY) > 0.1 * GRAVITY:
            said.append(f"at rest the accelerometer shows {rest:.1f} and not 9.8 m/s²: its zero, unit or column is "
                        "wrong, and only when it pulled is used")  # fmt: skip
    said += [f"{CHANNELS[what].words}: neither end of the record lies calm and low, so what the sensor shows of the "
             "open air is not known, and its pressure is not used" for what in ("bottle", "launcher")
             if what in course.record.more and zero_of(course.record.more[what]) is None]  # fmt: skip
    said += [f"{CHANNELS[what].words}: it stood at exactly its greatest value, row after row, as at the end of its "
             "range: the bottle may have held more than it says" for what in ("bottle", "launcher")
             if what in course.record.more and pressure_sensor.at_its_stop(course.record.more[what])]  # fmt: skip
    if "thrust" in course.record.more and impulse_of(course.record.time, course.record.more["thrust"]) is None:
        said.append("thrust: no push with calm rows on either side is in the record, so its impulse is not used")
    return said
