"""A film: events lie within a frame, and the camera's clock may run fast or slow.

An interval between two frames has the standard deviation 1/(f √6), of two rectangular distributions (JCGM 100:2008,
4.3.7; `logbook.timing.film_interval`). A camera that states 30 frames a second may take 29.97, and one that saves light
takes fewer: ± 0.5 % of the interval, our judgement, unless somebody filmed a stopwatch with it.
"""

import math

from bottlewright.logbook.timing import film_interval

__all__ = ["CLOCK_OFF", "interval"]

CLOCK_OFF = 0.005


def interval(first: float, last: float, rate: float, u_rate: float = 0.0) -> tuple[float, float]:
    """Return the time between two frames and its ±, s.

    Parameters
    ----------
    first, last
        Numbers of the frames.
    rate, u_rate
        Frames a second, and its ±; zero where nobody checked the clock.
    """
    took = (last - first) / rate
    return took, math.hypot(film_interval(rate), took * (u_rate / rate if u_rate else CLOCK_OFF))
