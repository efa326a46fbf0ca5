"""What a bottle loses of its fresh strength: by age, launches, warmth, rest under load, and what was done to it.

Strength is one fresh strength times these losses. A proof test bears on the strength of its own day; what a bottle has
left of that at the launch is `kept`.
"""

import math
from typing import Any

from bottlewright.proof.burst_data import burst_table, law
from bottlewright.quantities import Dimension

__all__ = ["age_left", "done_to_it", "kept", "rest_left", "warm_left", "wear_left"]


def age_left(age: float) -> float:
    """Return the share of the fresh strength that is left at an age (s); infinity for a bottle of unknown age."""
    floor = law("age_floor")
    return floor + (1.0 - floor) * math.exp(-age / law("age_time", Dimension.TIME))


def wear_left(cycles: int) -> float:
    """Return the share that is left after so many times under pressure."""
    return math.exp(-law("cycle_loss") * cycles)


def warm_left(temperature: float) -> float:
    """Return the share that is left at a temperature of the wall, K."""
    return math.exp(-law("warm_loss") * max(temperature - law("warm_from", Dimension.TEMPERATURE), 0.0))


def rest_left(rest: float) -> float:
    """Return the share that is left after a time under load (s): a minute's hold is the measure, longer takes more."""
    decades = math.log10(max(rest / law("hold_reference", Dimension.TIME), 1.0))
    return 1.0 - law("hold_decade") * decades


def done_to_it(storage: str | None, surface: tuple[str, ...]) -> list[dict[str, Any]]:
    """Return the rows of the table for how a bottle was kept and what was done to its wall."""
    rows = {row["name"]: row for row in burst_table()["factor"]}
    names = [*([storage] if storage else []), *dict.fromkeys(surface)]
    return [rows[name] for name in names if name in rows]


def kept(
    age_then: float, age_now: float, cycles_since: int, temperature: float = 0.0, rest: float = 0.0,
    done: tuple[str, ...] = (),
) -> float:
    """Return the share of the strength of a test's day that is left at the launch, at its cautious end.

    Warmth and rest are those of the launch, `done` names what sun and work on the wall may have taken since. Of ageing
    and of what was done to the bottle one in twenty is worse than this.
    """
    aged = age_left(age_now) / age_left(age_then)
    rows = done_to_it(None, done)
    spread_of_age = next(float(row["spread"]) for row in burst_table()["factor"] if row["name"] == "age")
    spreads = [spread_of_age * (1.0 - aged) / (1.0 - law("age_floor")), *(float(row["spread"]) for row in rows)]
    left = aged * wear_left(cycles_since) * warm_left(temperature) * rest_left(rest)
    for row in rows:
        left *= float(row["value"])
    return left * math.exp(-law("since_cautious") * math.hypot(*spreads))
