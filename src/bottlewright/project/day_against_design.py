"""A day that is kept against the design as it is now: what is allowed less, and what says stop since then."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from bottlewright.findings import Level
from bottlewright.project.launch_day import gauge_words

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.verdict import Verdict

__all__ = ["bars_now", "worse", "worse_now"]


def worse_now(plan: "DayRocket", verdict: "Verdict") -> list[str]:
    """Say what a verdict of now has against a rocket as the day was prepared with it."""
    return worse(plan, verdict.allowed.gauge_Pa, {found.code: found.hazard for found in verdict.at(Level.STOP)})


def bars_now(plan: "DayRocket", verdict: "Verdict") -> list[str]:
    """Say what a verdict of now has against loading a rocket: a stop since then, or less allowed than is planned.

    Each time under pressure takes a little off what is allowed. While the planned pressure still stands that is
    told (`worse_now`) and bars nothing.
    """
    allowed = verdict.allowed.gauge_Pa
    barred = (
        allowed is None or allowed < plan.planned_Pa - 1.0
        or any(found.code not in plan.stops for found in verdict.at(Level.STOP))
    )  # fmt: skip
    return worse_now(plan, verdict) if barred else []


def worse(plan: "DayRocket", allowed: float | None, stops: Mapping[str, str]) -> list[str]:
    """Say what is worse now than when the day was prepared: pressure that is allowed, findings that say stop."""
    told = []
    if plan.allowed_Pa is not None and (allowed is None or allowed < plan.allowed_Pa - 1.0):
        now = "no pressure is allowed" if allowed is None else f"not over {gauge_words(allowed, limit=True)} is allowed"
        told.append(f"{now} now, where this day says {gauge_words(plan.allowed_Pa, limit=True)}")
    return told + [f"stop: {hazard}" for code, hazard in stops.items() if code not in plan.stops]
