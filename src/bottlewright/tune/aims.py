"""What a builder may aim at: how good a set of flights is for an aim, as one number, the larger the better."""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.field_tables import Tune
from bottlewright.design.wishes import Wish

__all__ = ["Aim", "aim_of", "low_end"]

Floats = NDArray[np.float64]


class Aim(NamedTuple):
    """The aim of a tuning.

    Parameters
    ----------
    name
        As in the design file.
    figure
        Field of the flight summary that it looks at.
    wanted
        Height to reach or to hit, m; NaN where none is wanted.
    reach
        Share of flights that have to do at least as well, 0.5 for the middle.
    """

    name: str
    figure: str
    wanted: float
    reach: float

    def worth(self, flights: Any, pressure: Floats) -> Floats:
        """Return the worth of each trial; the larger the better.

        Parameters
        ----------
        flights
            Summaries of shape (trials, flights).
        pressure
            Gauge pressure of each trial, Pa.
        """
        if self.name == "least pressure":
            return -pressure / 1e5  # bar, of the size of the other aims
        seen = flights[self.figure]
        if self.name == "nearest height":
            return low_end(-np.abs(seen - self.wanted), self.reach)
        return low_end(seen, self.reach)

    def shortfall(self, flights: Any) -> Floats | None:
        """Return how far each trial stays over what has to be reached whatever else, as a share of it; or None."""
        if self.name != "least pressure":
            return None
        return low_end(flights[self.figure], self.reach) / self.wanted - 1.0


def low_end(values: Floats, reach: float) -> Floats:
    """Return the value that a share `reach` of each row passes; a flight without the value counts as the worst."""
    filled = np.where(np.isnan(values), -np.inf, values)
    return np.asarray(np.quantile(filled, 1.0 - reach, axis=-1, method="lower"), float)


def aim_of(tune: Tune) -> Aim:
    """Return the aim of a design.

    Raises
    ------
    DesignError
        If the aim needs a wanted height and none is given.
    """
    reach = tune.reach.value if tune.reach else 0.9
    wanted = tune.height.value if tune.height else math.nan
    name: str = tune.aim
    aims = [wish for wish in tune.want if wish.bound in ("best", "nearest")]
    if len(aims) > 1:
        both = " and ".join(repr(wish.text) for wish in aims)
        raise DesignError([Problem("tune.want", f"has more than one aim: {both}", "keep one of them")])
    for wish in aims:
        name = _NAMES[wish.figure] if wish.bound == "best" else "nearest height"
        wanted = wish.value if wish.bound == "nearest" else wanted
    if name == "least pressure":
        wanted = max((wish.value for wish in tune.want if _least_height(wish)), default=wanted)
    if name in ("least pressure", "nearest height") and math.isnan(wanted):
        right = 'such as height = "40 m"'
        raise DesignError([Problem("tune.height", f'is missing: the aim "{name}" needs a wanted height', right)])
    figure = "flight_time_s" if name == "hang time" else "apogee_m"
    return Aim(name, figure, wanted, reach)


_NAMES = {"apogee_m": "height", "flight_time_s": "hang time", "pressure": "least pressure"}
"""Name of the aim at the best of each figure."""


def _least_height(wish: Wish) -> bool:
    return wish.bound == "least" and wish.figure == "apogee_m"
