"""The gauge while a rocket is under pressure: when two readings agree, what was pumped by them, and when it fell."""

from collections.abc import Mapping

from bottlewright.logbook.day_plan import DayRocket
from bottlewright.logbook.day_state import RocketNow

__all__ = ["fallen", "fell_words", "off", "pumped_by"]


def off(rocket: DayRocket, apart_Pa: float) -> bool:
    """Say whether two readings of one pressure, so far apart, differ by more than the gauge's own error."""
    return apart_Pa > rocket.gauge_error_Pa * (1.0 + 1e-9)


def pumped_by(rocket: DayRocket, now: RocketNow) -> Mapping[str, float]:
    """Return what was pumped by pumper and field watch, Pa: what both agreed on last while pumping.

    The last and not the most: pumped air is warm, and the gauge falls while it cools, until it is topped up.
    """
    read = {role: now.readings.get(role, 0.0) for role in ("pump", "watch")}
    if now.state != "pressurising" or min(read.values()) <= 0.0 or off(rocket, abs(read["pump"] - read["watch"])):
        return now.pumped
    return read


def fallen(rocket: DayRocket, now: RocketNow, role: str, gauge_Pa: float) -> bool:
    """Say whether a reading lies below what the same person read when it was pumped: a leak, or a gauge that lies.

    Not before it is pumped up: until then warm air may cool, and what both agree on counts anew.
    """
    return now.state != "pressurising" and off(rocket, now.pumped.get(role, gauge_Pa) - gauge_Pa)


def fell_words(rocket: DayRocket, now: RocketNow, role: str, gauge_Pa: float) -> str:
    """Say such a fall."""
    shown, pumped = gauge_Pa / 1e5, now.pumped[role] / 1e5
    return (f"{rocket.name}: the gauge shows {shown:.2f} bar, and {pumped:.2f} bar were pumped: it leaks, or the gauge "
            "can't be read")  # fmt: skip
