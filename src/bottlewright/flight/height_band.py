"""How high many flights are at each moment: between which heights eight in ten of them lie."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.flight.advance import ROW
from bottlewright.flight.ahead import compile_ahead
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.state import PLACE, Endings
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.report.course_chart import HeightBand

__all__ = ["LOW", "height_band", "heights_of", "moments_of"]

Floats = NDArray[np.float64]

LOW = 0.1
"""Share of the flights that lie under the band, and over it."""

_TIME, _HEIGHT = 0, 3 + PLACE + 2  # of a recorded row
_START, _REST = 1.0, 160
_ROWS = 4096


def moments_of(flight_times: Floats) -> Floats:
    """Return the moments at which flights are looked at, s: closer together while they push and climb away."""
    over = float(np.nanmax(flight_times, initial=2.0 * _START))
    return np.concatenate([np.linspace(0.0, _START, 41)[:-1], np.linspace(_START, over, _REST)])


def heights_of(batch: NDArray[Any], times: Floats) -> Floats:
    """Fly a batch and return how high each flight is at each moment.

    Parameters
    ----------
    batch
        Records of `bottlewright.flight.parameters.PARAMETERS`.
    times
        s, rising.

    Returns
    -------
    numpy.ndarray
        m above the start, a flight in each row: 0 once it is down, or where it never leaves; NaN where nothing is
        known.
    """
    compile_ahead()
    vehicle, work, note = np.zeros(1, VEHICLE), np.zeros(1, WORK), np.zeros(1, SUMMARY)
    rows = np.empty((_ROWS, ROW))
    heights = np.full((len(batch), len(times)), np.nan)
    for record, line in zip(batch, heights, strict=True):
        for name in SUMMARY.names or ():
            note[name] = np.nan if SUMMARY[name] == np.float64 else 0
        if not prepare(record, False, vehicle[0]):
            continue
        count = int(integrate_flight(vehicle[0], note[0], work[0], rows))
        if count > len(rows):
            rows = np.empty((count, ROW))
            prepare(record, False, vehicle[0])
            count = int(integrate_flight(vehicle[0], note[0], work[0], rows))
        ends_low = int(note[0]["ending"]) in (Endings.landed, Endings.never_left, Endings.stuck)
        line[:] = np.interp(times, rows[:count, _TIME], rows[:count, _HEIGHT], right=0.0 if ends_low else np.nan)
    return heights


def height_band(times: Floats, heights: Floats) -> HeightBand:
    """Return between which heights eight flights in ten are at each moment, and where the middle one is.

    Parameters
    ----------
    times, heights
        s; m, a flight in each row. Where a flight's height is not known it is left out of that moment.
    """
    known = np.isfinite(heights).any(axis=0)
    edges = np.full((3, len(times)), np.nan)
    edges[:, known] = np.nanquantile(heights[:, known], (LOW, 0.5, 1.0 - LOW), axis=0)
    return HeightBand(times, *edges)
