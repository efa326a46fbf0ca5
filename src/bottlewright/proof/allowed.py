"""The highest reading of the gauge that is allowed: one number, made here and nowhere else.

The plan is no input of it: a load above it is stopped, and the number stands, so that pumping less is the cure.
"""

from dataclasses import dataclass
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.proof.condition import ended
from bottlewright.proof.defaults import taken
from bottlewright.proof.launcher import launcher_report
from bottlewright.proof.rating import RatedPressure, proof_factor, rated_pressure

__all__ = ["AfterTest", "Allowed", "allowed_pressure", "reading_at_most"]

_BY_EYE = 0.06
"""How far off the reading of a gauge that nobody describes may be, as a share of itself: twice the usual ± of
charge.pressure (the gauge of a pump, read by eye; our estimate)."""


@dataclass(frozen=True, slots=True)
class AfterTest:
    """What a water-filled test would allow a vessel that has none: the test's gauge pressure, and the allowed, Pa."""

    test_gauge_Pa: float
    allowed_gauge_Pa: float


@dataclass(frozen=True, slots=True)
class Allowed:
    """The highest reading of the gauge, Pa: 0 for a vessel that is finished, None before its own water test.

    `because` reads on after "because"; `held_by` names what sets the number: "vessel", "rating", "published maximum",
    "launcher part", "local limit" or "no test".
    """

    gauge_Pa: float | None
    because: str
    held_by: str
    after_test: AfterTest | None


class _Limit(NamedTuple):
    """One limit of the reading, Pa, its name, and why, reading on after "because"."""

    reading: float
    name: str
    because: str


def reading_at_most(design: Design, true: float) -> float:
    """Return the highest reading at which the true pressure is no more than this, Pa gauge.

    A gauge that is described may read low by its accuracy times its full scale; one that is not, by a share of the
    reading.
    """
    dial = design.launcher.gauge
    if dial is None or dial.range is None:
        return true / (1.0 + _BY_EYE)
    return max(true - dial.range.value * taken(dial.accuracy, "gauge.accuracy").value, 0.0)


def allowed_pressure(design: Design) -> Allowed:
    """Return the highest reading of the gauge that is allowed for a completed design."""
    rated, habit = rated_pressure(design), unit_habit(design)
    end = ended(design)
    if end is not None:
        return Allowed(0.0, end.because, "vessel", None)
    if not rated.own_evidence:
        least = min([_rating_limit(design, rated, habit), *_other_limits(design, rated, habit)])
        test = proof_factor() * rated.gauge_Pa
        because = "it has passed no water-filled test of its own yet"
        return Allowed(None, because, "no test", AfterTest(test, least.reading))
    least = min([_rating_limit(design, rated, habit), *_other_limits(design, rated, habit)])
    return Allowed(least.reading, least.because, least.name, None)


def _rating_limit(design: Design, rated: RatedPressure, habit: UnitHabit) -> _Limit:
    reading = reading_at_most(design, rated.gauge_Pa)
    off = f", less {habit.pressure(rated.gauge_Pa - reading, 2)} for the gauge" if reading < rated.gauge_Pa else ""
    return _Limit(reading, "rating", f"{rated.basis}{off}")


def _other_limits(design: Design, rated: RatedPressure, habit: UnitHabit) -> list[_Limit]:
    limits = [_Limit(rated.rule_maximum_Pa, "published maximum",
                     f"the strictest published maximum allows no more ({rated.rule_maximum_source})")]
    weak = launcher_report(design).weakest
    if weak is not None and weak.rating_Pa is not None:
        limits.append(_Limit(weak.rating_Pa, "launcher part",
                             f"the {weak.name} bears no more than {at_most(habit, weak.rating_Pa)} ({weak.basis})"))
    local = design.site.pressure_limit
    if local is not None:
        limits.append(_Limit(local.value, "local limit", "site.pressure_limit of the design file allows no more"))
    return limits
