"""A height of one angle: how far away somebody stood, and how steeply they looked up."""

import math
from typing import NamedTuple

__all__ = ["ANGLE_OFF_DEG", "Seen", "one_station_height", "sighted"]

ANGLE_OFF_DEG = 1.0
"""How far an angle by hand may easily be off; common practice, no source."""


class Seen(NamedTuple):
    """A height above the ground, and how far it may easily be off for the angle alone, m."""

    height: float
    off: float


def one_station_height(distance: float, elevation: float, drift: float, off_line: float, eye: float) -> float:
    """Return the height by one station on level ground, exactly.

    Parameters
    ----------
    distance
        From station to launcher, m.
    elevation
        rad.
    drift, off_line
        How far the rocket drifted, m, and its direction from the line of sight beyond the launcher, rad.
    eye
        Of the observer above the launcher, m.
    """
    across = drift * math.sin(off_line)
    return math.hypot(distance + drift * math.cos(off_line), across) * math.tan(elevation) + eye


def sighted(angle_deg: float, distance_m: float, eye_m: float) -> Seen:
    """Return how high something was that was seen straight above the launcher.

    Parameters
    ----------
    angle_deg
        Above the level, more than 0 and less than 90.
    distance_m, eye_m
        From the launcher, on level ground, and of the eye above the ground. What drifts towards or away from whoever
        looks is not allowed for: one angle can't tell it.
    """
    angle = math.radians(angle_deg)
    return Seen(one_station_height(distance_m, angle, 0.0, 0.0, eye_m),
                distance_m * math.radians(ANGLE_OFF_DEG) / math.cos(angle) ** 2)  # fmt: skip
