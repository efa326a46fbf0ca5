"""What was measured of the whole rocket, and the parts that it had then: a later change makes the measurement untrue.

The design remembers what its parts added up to on the day of the measurement. Mass, balance and radius of gyration are
what scale, string and swing measure, so a change that moves none of them leaves the measurement as true as it was, and
one that does is told by how much. A fingerprint of the parts would tell neither.
"""

import math
from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.layout import parts_alone
from bottlewright.quantities import Quantity

__all__ = ["measured_before", "parts_now"]

_LEAST_MASS, _LEAST_LENGTH = 1e-4, 5e-4
"""kg and m: less than a kitchen has tools for (our judgement)."""


def parts_now(design: Design) -> dict[str, float]:
    """Return what the design remembers of its parts beside a measurement: mass, balance and radius of gyration, SI."""
    mass, centre, moment = parts_alone(design)
    return {"parts_mass": mass, "parts_balance": centre, "parts_radius": math.sqrt(moment / mass)}


def measured_before(design: Design) -> Iterator[Finding]:
    """Look at a rocket that was changed after it was weighed, balanced or swung."""
    measured = design.measured
    checks = [
        ("parts_mass", measured.dry_mass, measured.parts_mass, _LEAST_MASS, "weighed", "weigh"),
        ("parts_balance", measured.balance_point, measured.parts_balance, _LEAST_LENGTH, "balanced", "balance at"),
        ("parts_radius", measured.swing, measured.parts_radius, _LEAST_LENGTH, "swung", "turn as if all sat out at"),
    ]
    if not any(had and remembered for _, had, remembered, *_ in checks):
        return
    now, habit, moved = parts_now(design), unit_habit(design), []
    for name, had, remembered, least, done, say in checks:
        if had is None or remembered is None or abs(now[name] - remembered.value) <= max(_doubt(had, now[name]), least):
            continue
        write = habit.mass if name == "parts_mass" else habit.length
        then, today = write(remembered.value, 4), write(now[name], 4)
        moved.append((done, f"when the rocket was {done}, the parts were to {say} {then}; now they {say} {today}"))
    if moved:
        done = " and ".join(one for one, _ in moved)
        yield Finding(
            Level.LOOK, Stage.SKETCH, "measured-before",
            f"The rocket was changed after it was {done}, so the flight is worked out with numbers of another rocket",
            "; ".join(text for _, text in moved),
            "parts that weigh and balance as they did on the day, within the ± of the measurement", "our judgement",
            f"Have it {done} again as it is now, or take the measurement out: then the parts count",
        )  # fmt: skip


def _doubt(had: object, radius: float) -> float:
    """Return the ± of a measurement; a swing's as that of the radius that it gives: one part in fifty."""
    return had.spread if isinstance(had, Quantity) else 0.02 * radius
