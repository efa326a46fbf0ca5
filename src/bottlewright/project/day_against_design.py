"""A day that is kept against the design as it is now: what is allowed less, and what says stop since then."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError
from bottlewright.findings import Level
from bottlewright.project.launch_day import gauge_words

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.verdict import Verdict

__all__ = ["against_step", "bars_now", "less_allowed", "less_to_pump", "worse"]

_BEFORE_PRESSURE, _UNDER_PRESSURE = ("load", "seat", "clear", "pump"), ("hold", "tight", "launch")
"""Steps towards a flight."""
_OF_THE_COUNT = frozenset({"over-rated-pressure", "retire"})
"""What the time under pressure that is under way may bring about by itself: it speaks of the next one."""


def against_step(plan: "DayRocket", event: str, judge: Callable[[str], Any]) -> list[str]:
    """Say what the design of now has against a step of a rocket towards its flight; empty where nothing.

    Parameters
    ----------
    judge
        Gives project and verdict of a design file, such as `bottlewright.project.day_answers.judged_now`.
    """
    if not plan.file or event not in (*_BEFORE_PRESSURE, *_UNDER_PRESSURE):
        return []
    try:
        project, verdict = judge(plan.file)
    except (BottlewrightError, OSError) as error:
        return [f"{plan.file} can't be judged now: {str(error).splitlines()[0]}"]
    if project.name != plan.name:
        return [f"{plan.file} is the design of {project.name} now"]
    return bars_now(plan, verdict, event in _UNDER_PRESSURE)


def bars_now(plan: "DayRocket", verdict: "Verdict", pressed: bool = False) -> list[str]:
    """Say what a verdict of now has against flying by the plan: a stop since then, or less allowed than is planned.

    Each time under pressure takes a little off what is allowed. While the planned pressure still stands, nothing is
    barred by it.

    Parameters
    ----------
    pressed
        Whether the rocket is under pressure: its bottle's count has this time in it then, so that what follows from
        the count alone speaks of the next one.
    """
    allowed = verdict.allowed.gauge_Pa
    stops = {found.code: found.hazard for found in verdict.at(Level.STOP)}
    further = _further(plan, verdict)
    if pressed:
        stops = {code: why for code, why in stops.items() if code not in _OF_THE_COUNT}
        return worse(plan, plan.allowed_Pa, stops) + further
    barred = allowed is None or allowed < plan.planned_Pa - 1.0 or any(code not in plan.stops for code in stops)
    return (worse(plan, allowed, stops) if barred else []) + further


def _further(plan: "DayRocket", verdict: "Verdict") -> list[str]:
    """Say who has to stand further off now than the day says; as near or nearer than that is nothing against it."""
    from bottlewright.logbook.day_plan import ROLES

    told, say = [], verdict.habit.stand_back
    for role, was in plan.away_m.items():
        now = verdict.distances.asked(role)
        if was is not None and (now is None or now > was + 1e-6):
            far = "has no place that will do" if now is None else f"{say(now)} or more from the launcher"
            told.append(f"{ROLES[role]}: {far} now, where this day says {say(was)}")
    return told


def less_allowed(plan: "DayRocket", verdict: "Verdict") -> float | None:
    """Return what a verdict of now allows, Pa, where that is less than the day says and still enough for its plan."""
    allowed = verdict.allowed.gauge_Pa
    if allowed is None or plan.allowed_Pa is None or bars_now(plan, verdict):
        return None
    return allowed if allowed < plan.allowed_Pa - 1.0 else None


def less_to_pump(plan: "DayRocket", judge: Callable[[str], Any]) -> float | None:
    """Return what a rocket's design of now allows, Pa, where that is less than its day says; None else.

    Asked before the time under pressure that begins is counted: what that takes speaks of the next one.
    """
    if not plan.file:
        return None
    try:
        _, verdict = judge(plan.file)
    except (BottlewrightError, OSError):
        return None  # `against_step` has barred the step for it
    return less_allowed(plan, verdict)


def worse(plan: "DayRocket", allowed: float | None, stops: Mapping[str, str]) -> list[str]:
    """Say what is worse now than when the day was prepared: pressure that is allowed, findings that say stop."""
    told = []
    if plan.allowed_Pa is not None and (allowed is None or allowed < plan.allowed_Pa - 1.0):
        now = "no pressure is allowed" if not allowed else f"not over {gauge_words(allowed, limit=True)} is allowed"
        told.append(f"{now} now, where this day says {gauge_words(plan.allowed_Pa, limit=True)}")
    since = dict.fromkeys(hazard for code, hazard in stops.items() if code not in plan.stops)
    return told + [f"stop: {hazard}" for hazard in since]
