"""A logger's record in SI units, cleaned of what is no measurement: rows of zeros, clocks that jump, gaps, a sea level.

Each thing that was done to it is said.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from bottlewright.errors import InputError
from bottlewright.learn.columns import UNITS, Column, Columns
from bottlewright.learn.instruments.accelerometer import at_its_stop
from bottlewright.learn.table_file import TableFile
from bottlewright.logbook.air_pressure import pressure_height
from bottlewright.names import several

__all__ = ["Record", "record_of"]

Floats = NDArray[np.float64]

_FEWEST = 15
"""Rows of which a curve can be told."""
_GAP = 5.0
"""Usual steps that one step must have to be a gap."""
_AIR = 288.15
"""K: air of a standard day, where nobody says how warm it is; the ± of heights covers it."""


@dataclass(frozen=True)
class Record:
    """A record.

    Parameters
    ----------
    time
        s, from 0 on, growing.
    height
        m above where it lay before; empty where there was no barometer.
    pull
        Size of the specific force, or along the rocket, m/s²; empty where there was no accelerometer.
    step
        Usual time between rows, s.
    said
        What was done to it, and what is odd about it.
    stopped
        Whether the accelerometer stood at the end of its range.
    more
        What tells no height, by its name in `channels.MORE`, SI.
    """

    time: Floats
    height: Floats
    pull: Floats
    step: float
    said: tuple[str, ...]
    stopped: bool = False
    more: Mapping[str, Floats] = field(default_factory=dict)


def record_of(table: TableFile, columns: Columns, air: float = _AIR) -> Record:
    """Return the record that a table holds.

    Parameters
    ----------
    air
        Temperature of the air between ground and rocket, K.

    Raises
    ------
    InputError
        When there is no clock or nothing to be read.
    """
    if columns.time is None and not np.isfinite(columns.rate):
        raise InputError('which column is the time? Say time="1 s", or how many rows a second has: rate="50 Hz"')
    if columns.height is None and columns.pressure is None and not columns.acceleration and not columns.more:
        raise InputError('which column is what? Say height="2 m", pressure="2 hPa", acceleration="3 m/s2", '
                         'launcher="2 bar" or thrust="2 N"')  # fmt: skip
    said: list[str] = []
    rows, time = _clocked(table, columns, said)
    height = _height(rows, columns, air, said)
    pull = _pull(rows, columns)
    more = {what: _filled(_si(rows, one, what)) for what, one in columns.more.items()}
    first = height if len(height) else pull if len(pull) else next(iter(more.values()))
    finite = np.isfinite(first)
    if finite.sum() < _FEWEST:
        raise InputError(f"the file has {several(int(finite.sum()), 'row')} with a number; a curve needs {_FEWEST}")
    time, height, pull = time[finite], height[finite[: len(height)]], pull[finite[: len(pull)]]
    more = {what: values[finite] for what, values in more.items() if np.isfinite(values).any()}
    step = float(np.median(np.diff(time)))
    gaps = np.flatnonzero(np.diff(time) > _GAP * step)
    if len(gaps):
        said.append(f"{len(gaps)} gap{'s' * (len(gaps) > 1)}, the first of {time[gaps[0] + 1] - time[gaps[0]]:.2f} s "
                    f"at {time[gaps[0]] - time[0]:.2f} s")  # fmt: skip
    stopped = len(pull) > 0 and at_its_stop(pull)
    if stopped:
        said.append(f"the accelerometer stood at the end of its range, {np.nanmax(np.abs(pull)):.0f} m/s²: "
                    "it pulled more than it says")  # fmt: skip
    return Record(time - time[0], height, pull, step, tuple(said), stopped, more)


def _si(rows: Floats, column: Column, what: str) -> Floats:
    return np.asarray(rows[:, column.number - 1] * UNITS[what][column.unit])


def _clocked(table: TableFile, columns: Columns, said: list[str]) -> tuple[Floats, Floats]:
    """Return the rows that count, and when each was, s."""
    rows = table.cells
    read = [one.number - 1 for what, one in columns.items() if what != "time"]
    still = (np.nan_to_num(rows[:, read]) == 0.0).all(axis=1)
    at_first = np.logical_and.accumulate(still) if len(read) > 1 else np.zeros(len(rows), bool)
    empty = at_first | (np.nan_to_num(rows) == 0.0).all(axis=1)  # on the ground a height may well be 0 for long
    kept = ~empty
    if columns.time is None:
        time = np.arange(len(rows)) / columns.rate
        said.append(f"no time in the file: {columns.rate:g} rows a second, as said")
    else:
        time = _si(rows, columns.time, "time")
        kept &= np.isfinite(time)
    if empty.sum() > 1:
        said.append(f"{int(empty.sum())} rows of zeros were left out")
    rows, time = rows[kept], time[kept]
    if len(time) < _FEWEST:
        raise InputError(f"the file has {several(len(time), 'row')} with numbers; a curve needs {_FEWEST}")
    if columns.time is not None:
        rows, time = _growing(rows, time, said)
    return rows, time


def _growing(rows: Floats, time: Floats, said: list[str]) -> tuple[Floats, Floats]:
    """Return the longest part in which the clock does not go back, rows of one time spread over their step."""
    usual = median_filter(time, 7, mode="nearest")
    wild = np.abs(time - usual) > _GAP * max(float(np.ptp(usual)) / len(time), 1e-9)
    wild[:3] = wild[-3:] = False
    if 0 < wild.sum() <= 0.02 * len(time):
        said.append(f"{int(wild.sum())} row{'s' * int(wild.sum() > 1)} with a time far from the neighbours' left out")
        rows, time = rows[~wild], time[~wild]
    breaks = [0, *(np.flatnonzero(np.diff(time) < 0.0) + 1), len(time)]
    if len(breaks) > 2:
        start, end = max(pairwise(breaks), key=lambda one: one[1] - one[0])
        said.append(f"the clock goes back, {len(breaks) - 2} times in all: rows {start + 1} to {end}, the longest "
                    "part, were read")  # fmt: skip
        rows, time = rows[start:end], time[start:end]
    ticks, first, count = np.unique(time, return_index=True, return_counts=True)
    if len(ticks) < 2:
        raise InputError("the clock stands still: say how many rows a second has, such as rate=\"50 Hz\"")
    if len(ticks) < len(time):
        many = float(np.median(count))
        if many >= 2.0:
            said.append(f"the clock is coarser than the rows ({many:.0f} share a time): they were spread evenly")
        middles = first + 0.5 * (count - 1)
        inner = slice(1, -1) if len(ticks) > 4 else slice(None)
        slope, at = np.polyfit(middles[inner], ticks[inner], 1)
        time = at + slope * np.arange(len(time)) if many >= 2.0 else np.interp(np.arange(len(time)), first, ticks)
        if many < 2.0:
            alone = np.concatenate([[True], np.diff(time) > 0.0])
            rows, time = rows[alone], time[alone]
    return rows, time


def _height(rows: Floats, columns: Columns, air: float, said: list[str]) -> Floats:
    if columns.height is not None:
        height = _si(rows, columns.height, "height")
    elif columns.pressure is not None:
        pressure = _si(rows, columns.pressure, "pressure")
        pressure = np.where(pressure > 0.0, pressure, np.nan)
        ground = float(np.nanmedian(pressure[: _early(len(pressure))]))
        height = np.array([pressure_height(ground, one, air) if np.isfinite(one) else np.nan for one in pressure])
        said.append(f"heights are worked out from the pressure, for air of {air - 273.15:.0f} °C")
    else:
        return np.empty(0)
    ground = float(np.nanmedian(height[: _early(len(height))]))
    if abs(ground) > 30.0:
        said.append(f"heights count from {ground:.0f} m, where it lay before: perhaps metres above the sea")
    return height - ground


def _early(count: int) -> int:
    return max(min(count // 20, 50), 5)


def _pull(rows: Floats, columns: Columns) -> Floats:
    if not columns.acceleration:
        return np.empty(0)
    axes = np.stack([_si(rows, one, "acceleration") for one in columns.acceleration], axis=1)
    pull = _filled(axes[:, 0] if axes.shape[1] == 1 else np.sqrt((axes**2).sum(axis=1)))
    if axes.shape[1] == 1 and float(median_filter(pull, 3).min()) < -2.0 * abs(float(median_filter(pull, 3).max())):
        pull = -pull
    return np.asarray(pull)


def _filled(values: Floats) -> Floats:
    """Return rows without holes: what stands beside them is drawn on as a line."""
    known = np.flatnonzero(np.isfinite(values))
    return np.interp(np.arange(len(values)), known, values[known]) if 0 < len(known) < len(values) else values
