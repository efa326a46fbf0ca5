"""Launches of one rocket as the fit sees them: the design as it really flew, and numbers that were measured of it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design

__all__ = ["FIGURES", "Launch", "Reading", "seen"]

Floats = NDArray[np.float64]


def _away(flights: Any, _: Any) -> Floats:
    return np.asarray(np.hypot(flights["landing_east_m"], flights["landing_north_m"]), float)


def _bearing(flights: Any, _: Any) -> Floats:
    return np.asarray(np.arctan2(flights["landing_east_m"], flights["landing_north_m"]), float)


FIGURES: Mapping[str, Any] = {
    "height": lambda flights, _: flights["apogee_m"],
    "time up": lambda flights, _: flights["apogee_time_s"],
    "time": lambda flights, _: flights["flight_time_s"],
    "away": _away,
    "bearing": _bearing,
    "speed": lambda flights, _: flights["max_speed_m_s"],
    "canopy": lambda flights, _: flights["canopy_out_time_s"],
    "water out": lambda flights, _: flights["water_out_time_s"],
    "sinking": lambda flights, _: flights["sinking_speed_m_s"],
    "true pressure": lambda _, loads: loads["pressure_gauge"],
    "impulse": lambda flights, _: flights["impulse_total_N_s"],
}
"""What can be measured of a launch, and where it stands in a flight's key figures or in its load; m, s, m/s, rad, Pa
and N s."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One number that was measured of a launch.

    Parameters
    ----------
    what
        One of `FIGURES`.
    value, spread
        SI.
    how
        In words, such as "two stations".
    """

    what: str
    value: float
    spread: float
    how: str = ""


@dataclass(frozen=True)
class Launch:
    """One launch.

    Parameters
    ----------
    name
        Of it, such as "2027-03-20-03".
    design
        Completed, with what was really loaded and the air as it was.
    readings
        What was measured.
    held
        Whether it was held on a thrust stand, and did not fly.
    """

    name: str
    design: Design
    readings: Sequence[Reading]
    held: bool = False


def seen(flights: Any, readings: Sequence[Reading], loads: Any = None) -> Floats:
    """Return what each reading would have shown in flights: (m, number of readings); NaN where there is nothing to see.

    A bearing comes out within half a turn of the one that was measured.

    Parameters
    ----------
    loads
        The parameters that they flew with; for a pressure.
    """
    columns = [np.asarray(FIGURES[one.what](flights, loads), float) for one in readings]
    for number, one in enumerate(readings):
        if one.what == "bearing":
            gap = columns[number] - one.value
            columns[number] = one.value + np.arctan2(np.sin(gap), np.cos(gap))
        if not math.isfinite(one.value) or one.spread <= 0.0:
            raise ValueError(f"a reading of {one.what} needs a value and a ±")
    return np.stack(columns, axis=1) if columns else np.empty((len(flights), 0))
