"""What the designs of now say to a step of a day: the journal alone knows no design."""

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket

__all__ = ["Asks", "LowerWind", "Now"]


class LowerWind(NamedTuple):
    """Limits of the wind, m/s, that are lower than a plan's: the one for now, and each by its direction, degrees."""

    limit_m_s: float
    winds: tuple[tuple[float, float], ...] = ()


class Now(NamedTuple):
    """What a rocket's design of now says to one of its steps.

    Parameters
    ----------
    against
        What stands against it, in words; empty where nothing.
    less_Pa
        What is allowed, Pa, where that is less than the plan says and bars nothing; None else.
    wind
        The limits of the wind where one of them is lower than the plan's; None else.
    """

    against: tuple[str, ...] = ()
    less_Pa: float | None = None
    wind: LowerWind | None = None


Asks = Callable[["DayRocket", str], Now]
"""From a rocket of the plan and a step to what its design of now says; may take a second."""
