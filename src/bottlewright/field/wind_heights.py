"""A wind limit at the height at which somebody reads the wind: a meter in the hand reads less than one far above it.

The one owner of that step. The law is the one that flights are flown in (`bottlewright.physics.wind`), with the terrain
and exponent of the design. What is not sure about the law is taken at its less favourable end.
"""

import math
from itertools import product
from typing import Any, NamedTuple, get_args

from bottlewright.design.environment import Terrain, Weather
from bottlewright.design.tables import terrain
from bottlewright.physics import in_python
from bottlewright.physics.wind import LINEAR, LOG, POWER, wind_at
from bottlewright.quantities import value_of

__all__ = ["FORECAST_HEIGHT", "HAND_HEIGHT", "LIMIT_HEIGHT", "Growth", "carried_down", "growth_of", "growth_told",
           "growth_words", "roughest"]  # fmt: skip

HAND_HEIGHT = 1.5
"""m above the ground, of a meter that somebody holds in the hand; our judgement."""

FORECAST_HEIGHT = 10.0
"""m above the ground, of the wind in a forecast; common practice, no source."""

LIMIT_HEIGHT = 2.0
"""m: for which a wind limit is meant where nobody worked one out and no design says another; our judgement."""


class Growth(NamedTuple):
    """How the wind grows with height, and the height for which a design's winds and limits are meant.

    Parameters
    ----------
    height
        m above the ground.
    law
        Of `bottlewright.physics.wind`.
    exponent, roughness, shear
        Of the power law, the log law (m) and the linear law (1/s), each with its standard deviation.
    """

    height: float = LIMIT_HEIGHT
    law: int = POWER
    exponent: tuple[float, float] = (1.0 / 7.0, 0.03)
    roughness: tuple[float, float] = (0.03, 0.01)
    shear: tuple[float, float] = (0.0, 0.0)


def growth_of(weather: Weather) -> Growth:
    """Return how the wind of a completed design grows."""
    laws = {"power": POWER, "log": LOG, "linear": LINEAR}
    said = [(value_of(one), one.spread if one else 0.0)
            for one in (weather.exponent, weather.roughness_length, weather.shear)]  # fmt: skip
    height = value_of(weather.wind_height) or LIMIT_HEIGHT
    return Growth(height, laws[weather.profile], *said)


def growth_told(told: Any) -> Growth:
    """Return the growth that plain values tell of: those of a `Growth` in their order.

    Raises
    ------
    TypeError, ValueError
        When they are none: a limit that is carried by them would hold nothing back.
    """
    growth = Growth(*told)
    numbers = (growth.height, *growth.exponent, *growth.roughness, *growth.shear)
    if growth.law not in (POWER, LOG, LINEAR) or len(numbers) != 7 or not all(map(math.isfinite, numbers)):
        raise ValueError(f"{told!r} is no way in which a wind grows with height")
    return growth


def roughest() -> Growth:
    """Return the growth over the roughest ground of the table: for a day that does not say over which it was flown."""
    return Growth(exponent=max((one.value, one.spread) for one in (terrain(name)["exponent"]
                                                                   for name in get_args(Terrain))))  # fmt: skip


def carried_down(limit: float, height: float, read_at: float, growth: Growth) -> float:
    """Return the limit that a wind read lower down is held to, m/s; it is never more than the limit itself.

    Each value of the law counts at that end of its ± which leaves the least, and the result is rounded down to 0.1 m/s.
    Gusts fade towards the ground less than the mean wind does; held to the same limit they stop a launch sooner.

    Parameters
    ----------
    limit, height
        The limit, m/s, and the height that it holds for, m.
    read_at
        Height of the reading, m; from the limit's own height on the limit stays as it is.
    """
    if read_at >= height:
        return limit
    ends = [(value - spread, value + spread) for value, spread in (growth.exponent, growth.roughness, growth.shear)]
    least = min(_wind_at(read_at, limit, height, growth.law, exponent, max(roughness, 1e-6), shear)
                for exponent, roughness, shear in product(*ends))  # fmt: skip
    return math.floor(10.0 * min(least, limit) + 1e-6) / 10.0


_wind_at = in_python(wind_at)


def growth_words(growth: Growth) -> str:
    """Say by what a limit is carried down, and which end of its ± counts."""
    value, spread = {POWER: growth.exponent, LOG: growth.roughness, LINEAR: growth.shear}[growth.law]
    name, unit = {POWER: ("power law, exponent", ""), LOG: ("log law, roughness length", " m"),
                  LINEAR: ("linear profile, shear", " 1/s")}[growth.law]  # fmt: skip
    return f"by the wind's growth with height ({name} {value:.3g} ± {spread:.2g}{unit}) at its less favourable end"
