"""What a logger's column may hold: what it is called, its units, and the unit in which it is drawn."""

import re
from collections.abc import Mapping
from typing import NamedTuple

__all__ = ["CHANNELS", "MORE", "more_by_name"]

_G, _DEGREE, _TURN = 9.80665, 0.017453292519943295, 6.283185307179586


class Channel(NamedTuple):
    """One kind of column.

    Parameters
    ----------
    words
        What it is, for people.
    units
        Their factors to SI; the first is proposed where nothing says which.
    unit
        In which it is drawn.
    """

    words: str
    units: Mapping[str, float]
    unit: str

    @property
    def factor(self) -> float:
        """Of the unit in which it is drawn."""
        return self.units[self.unit]


_PRESSURE = {"bar": 1e5, "kPa": 1e3, "hPa": 100.0, "mbar": 100.0, "Pa": 1.0, "psi": 6894.757293168361}
_RATE = {"deg/s": _DEGREE, "rad/s": 1.0, "rpm": _TURN / 60.0}

CHANNELS: Mapping[str, Channel] = {
    "time": Channel("time", {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ds": 0.1, "cs": 0.01, "min": 60.0}, "s"),
    "height": Channel("height", {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "ft": 0.3048, "km": 1e3}, "m"),
    "pressure": Channel("pressure of the air", {"Pa": 1.0, "hPa": 100.0, "mbar": 100.0, "kPa": 1e3, "bar": 1e5,
                                                  "mmHg": 133.322, "inHg": 3386.39}, "hPa"),
    "acceleration": Channel("pull", {"m/s2": 1.0, "g": _G, "mg": _G * 1e-3}, "m/s2"),
    "spin": Channel("spin about the long axis", _RATE, "deg/s"),
    "turning": Channel("turning across the long axis", _RATE, "deg/s"),
    "bottle": Channel("pressure in the bottle", _PRESSURE, "bar"),
    "launcher": Channel("pressure on the launcher", _PRESSURE, "bar"),
    "thrust": Channel("thrust on the stand", {"N": 1.0, "kN": 1e3, "g": _G * 1e-3, "kg": _G,
                                              "lbf": 4.4482216152605}, "N"),
}  # fmt: skip
"""All that is read of a file, by what it is called there and in `--with`."""

MORE = ("spin", "turning", "bottle", "launcher", "thrust")
"""What does not tell a height: each of one column."""

_RATES = re.compile(r"rate|gyro|omega|deg.?/s|rad/s|dps|rpm|°/s", re.IGNORECASE)
_PRESSES = re.compile(r"press|druck|^p\b|\bbar\b|psi|kpa", re.IGNORECASE)
_NAMED = {
    "bottle": (re.compile(r"bottle|tank|vessel|chamber|flasche", re.IGNORECASE), _PRESSES),
    "launcher": (re.compile(r"launcher|launch.?pad|rampe|gauge|pump", re.IGNORECASE), _PRESSES),
    "thrust": (re.compile(r"thrust|schub|load.?cell|^force|kraft", re.IGNORECASE), re.compile("")),
    "spin": (re.compile(r"roll|spin", re.IGNORECASE), _RATES),
    "turning": (re.compile(r"pitch|yaw", re.IGNORECASE), _RATES),
}


def more_by_name(name: str) -> str:
    """Return which of `MORE` a column seems to be by its name; empty where it is none."""
    return next((what for what, (called, kind) in _NAMED.items() if called.search(name) and kind.search(name)), "")
