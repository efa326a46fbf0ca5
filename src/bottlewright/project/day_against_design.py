"""A day that is kept against the design as it is now: what it was prepared with, what is allowed less, what says stop.

The numbers of a day hold for what it was prepared with. Where that is another now, or where nobody kept what it was, no
step goes towards pressure or on under it before the day is prepared anew. Steps away from pressure ask no design.
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError
from bottlewright.findings import Level
from bottlewright.logbook.day_now import LowerWind as LowerWind
from bottlewright.logbook.day_now import Now
from bottlewright.project.day_basis import changed_since
from bottlewright.project.launch_day import gauge_words

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.logbook.day_state import Day
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["against_now", "asked_now", "bars_now", "bars_of", "less_allowed", "lower_wind", "towards_flight", "worse"]

_BEFORE_PRESSURE, _UNDER_PRESSURE = ("load", "seat", "clear", "pump"), ("hold", "tight", "launch")
"""Steps towards a flight."""
_OF_THE_COUNT = frozenset({"over-rated-pressure", "retire", "inspection-due", "own-test-missing"})
"""What the time under pressure that is under way may bring about by itself: it speaks of the next one."""
_EARLIER = "an earlier version of this program prepared the day, and kept neither {what} nor which load that was for"


def towards_flight(event: str) -> bool:
    """Say whether a step leads to pressure, or on under it towards the flight: only these ask the design."""
    return event in (*_BEFORE_PRESSURE, *_UNDER_PRESSURE)


def asked_now(plan: "DayRocket", event: str, judge: Callable[[str], Any]) -> Now:
    """Return what the design of now says to a step of a rocket: what stands against it, and lesser limits.

    Parameters
    ----------
    judge
        Gives project and verdict of a design file, such as `bottlewright.project.day_answers.judged_now`.
    """
    if not towards_flight(event):
        return Now()
    against, judged = _judged(plan, judge, event in _UNDER_PRESSURE)
    if against or judged is None:
        return Now(tuple(against))
    return Now((), less_allowed(plan, judged[1]), lower_wind(plan, judged[1]))


def bars_of(day: "Day", judge: Callable[[str], Any], under_pressure: bool = False) -> dict[str, list[str]]:
    """Return what stands against the rockets of a day as it was prepared, by name; those without anything are left out.

    Parameters
    ----------
    judge
        As `asked_now` has it; without a verdict for a design that is being judged: what changed in it is known before.
        None where nothing is known yet.
    under_pressure
        Only of those that are under pressure and led on: what stands against them stops the day.
    """
    from bottlewright.logbook.day_stop import GOING_ON
    from bottlewright.logbook.day_table import day_table

    table, found = day_table(), {}
    for plan in day.plan.rockets.values():
        if under_pressure and day.rockets[plan.name].state not in GOING_ON:
            continue
        pressed = table.states[day.rockets[plan.name].state].pressure == "may be"
        # Of a bottle that was retired on the day, the day itself says that.
        if plan.vessel not in day.retired and (told := _judged(plan, judge, pressed)[0]):
            found[plan.name] = told
    return found


def against_now(plan: "DayRocket", judge: Callable[[str], Any]) -> list[str]:
    """Say what stands against flying a rocket without pressure by its day; `judge` as `bars_of` has it."""
    return _judged(plan, judge, False)[0]


def _judged(
    plan: "DayRocket", judge: Callable[[str], Any], pressed: bool
) -> "tuple[list[str], tuple[Project, Verdict] | None]":
    """Return what stands against it, with project and verdict of now where there are any."""
    if not plan.rests_on:
        far = "what its distances and limits rest on" if plan.away_m else "how far off everyone stands"
        return [_EARLIER.format(what=far)], None
    if not plan.file:
        return [], None
    try:
        judged = judge(plan.file)
    except (BottlewrightError, OSError) as error:
        return [f"{plan.file} can't be judged now: {str(error).splitlines()[0]}"], None
    if judged is None:
        return [], None
    project, verdict = judged
    if project.name != plan.name:
        return [f"{plan.file} is the design of {project.name} now"], None
    changed = changed_since(plan.rests_on, project)
    if verdict is None:
        return changed, None
    return changed + bars_now(plan, verdict, pressed), (project, verdict)


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
    stops = {found.code: found.hazard for level in (Level.STOP, Level.HOLD) for found in verdict.at(level)}
    further = _further(plan, verdict)
    if pressed:
        stops = {code: why for code, why in stops.items() if code not in _OF_THE_COUNT}
        return worse(plan, plan.allowed_Pa, stops) + further
    known = {*plan.stops, *plan.holds}
    barred = allowed is None or allowed < plan.planned_Pa - 1.0 or any(code not in known for code in stops)
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
    """Return what a verdict of now allows, Pa, where that is less than the day says and still enough for its plan.

    As pumping begins this is asked before that time under pressure is counted: what it takes speaks of the next one.
    """
    allowed = verdict.allowed.gauge_Pa
    if allowed is None or plan.allowed_Pa is None or bars_now(plan, verdict):
        return None
    return allowed if allowed < plan.allowed_Pa - 1.0 else None


def lower_wind(plan: "DayRocket", verdict: "Verdict") -> LowerWind | None:
    """Return the wind limits of a verdict of now where one is lower than the day's at the same height; else None.

    Where landings were worked out for another count of its bottle they are gone, and the day's own limit stays.
    """
    from bottlewright.logbook.day_wind import lowered

    held, high = verdict.held, plan.wind_height_m
    if held is None or high is None or abs(held.least.height_m - high) > 1e-9:
        return None
    if plan.winds:  # a reading has its own direction: that of the plan stays, though its day has passed
        held = held._replace(coming=(plan.wind_from[0], plan.wind_from[1]) if plan.wind_from else None)
    now = held.today or held.least
    lower = LowerWind(now.speed_m_s, tuple((one.from_deg, one.speed_m_s) for one in held.limits))
    return None if lowered(plan, *lower) == plan else lower


def worse(plan: "DayRocket", allowed: float | None, stops: Mapping[str, str]) -> list[str]:
    """Say what is worse now than when the day was prepared: pressure that is allowed, findings that stop or hold."""
    told = []
    if plan.allowed_Pa is not None and (allowed is None or allowed < plan.allowed_Pa - 1.0):
        now = "no pressure is allowed" if not allowed else f"not over {gauge_words(allowed, limit=True)} is allowed"
        told.append(f"{now} now, where this day says {gauge_words(plan.allowed_Pa, limit=True)}")
    since = dict.fromkeys(hazard for code, hazard in stops.items() if code not in (*plan.stops, *plan.holds))
    return told + [f"stop: {hazard}" for hazard in since]
