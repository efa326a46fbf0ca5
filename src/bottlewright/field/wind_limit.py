"""The strongest wind from each direction at which the chances stay acceptable, and what stands against each hour."""

import math
from collections.abc import Callable, Iterator, Sequence
from enum import StrEnum
from functools import partial
from itertools import count
from typing import Any, Literal, NamedTuple

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.field_tables import Hour
from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import percent
from bottlewright.field.compass import compass
from bottlewright.field.exposure import Exposure, worst_ratio
from bottlewright.field.ground import Ground, ground_in
from bottlewright.field.landings import with_wind
from bottlewright.field.numbers import wind_given
from bottlewright.field.people import in_lull
from bottlewright.field.people_findings import unsettled_words
from bottlewright.field.trials import Trials, side_by_side, worst_first
from bottlewright.field.words import limit_words
from bottlewright.proof.rules import rule_table, strictest

__all__ = [
    "DIRECTIONS", "HALF_POINT", "HOUR_FLIGHTS", "SWING", "Against", "Call", "HourCall", "WindLimit", "against_people",
    "by_limit", "call_hour", "call_hours", "called_under", "confirmed", "fly_hours", "limit_at", "site_limits",
    "swing_of", "wind_limits", "within_reach",
]

HOUR_FLIGHTS = 1500  # at most, behind an hour that nothing is found against; 0.5 % accepted ask for 738
About = Literal["ground", "crew", "spectators"]
"""What stands against a wind: where the rocket comes down, or where somebody stands."""
DIRECTIONS = tuple(math.radians(step * 30.0) for step in range(12))
HALF_POINT = math.radians(11.25)
"""Half a point of the compass, rad: nobody says closer where a wind comes from; our judgement."""
SWING = math.radians(20.0)
"""By how much a wind swings to either side of where it is said to come from, rad, where no file says: as the table of
usual ± has it for a ribbon (`design/data/defaults.toml`)."""


class WindLimit(NamedTuple):
    """The strongest wind (m/s) from a direction (rad, clockwise from north); not `reached` up to the highest tried."""

    from_direction: float
    speed: float
    reached: bool


class HourCall(StrEnum):
    """What the wind of an hour says; it never says go, for it knows nothing of bottle, launcher and people."""

    OPEN = "nothing against it"
    WAIT = "wait"
    NO = "no"


class Call(NamedTuple):
    """No, wait or nothing against it, for one hour, why, and whether only somebody's place stands against it."""

    at: str
    verdict: HourCall
    why: str
    about: About = "ground"


def wind_limits(
    ratio: Callable[[float, float], float],
    directions: Sequence[float] = DIRECTIONS,
    highest: float = 12.0,
    step: float = 2.0,
    resolution: float = 0.2,
) -> Iterator[WindLimit]:
    """Find the limit for one direction after the other.

    The wind is raised in steps to the first that is too much, and the crossing is then closed in on by halving: a
    stronger wind beyond it, that happens to blow past a keep-out, is no limit.

    Parameters
    ----------
    ratio
        Of speed (m/s) and direction that the wind comes from (rad): the largest chance over its accepted chance, on the
        same sample of flights each time. Where it is above 1, a lower bound above 1 will do.
    highest
        Strongest wind to try, m/s.
    """
    for direction in directions:
        yield _limit(ratio, direction, highest, step, resolution)


def _limit(
    ratio: Callable[[float, float], float], direction: float, highest: float, step: float, resolution: float
) -> WindLimit:
    # Whole steps of the resolution, so that the answer is the last speed that was tried and found acceptable.
    top, stride = int(highest / resolution), max(round(step / resolution), 1)
    good, tried = 0, 0
    while ratio(tried * resolution, direction) <= 1.0:
        if tried >= top:
            return WindLimit(direction, highest, reached=False)
        good, tried = tried, min(tried + stride, top)
    bad = tried
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if ratio(middle * resolution, direction) > 1.0 else (middle, bad)
    return WindLimit(direction, round(good * resolution, 9), reached=True)


def _worst_first(trials: Trials, few: Any) -> Callable[[float, float], float]:
    """Return the ratio for `wind_limits`; the first flights often settle a wind that is too much."""
    flown = worst_first(trials, len(few))

    def ratio(speed: float, from_direction: float) -> float:
        for rows in flown(with_wind(few, trials.design, speed, from_direction)):
            landed = rows[np.isfinite(rows).all(axis=1)]
            if len(rows) < len(few) and len(landed):
                least = worst_ratio(trials.exposures(landed)) * len(landed) / len(few)
                if least > 1.0 + 1e-9:  # though all the others came down well
                    return float(least)
        return worst_ratio(trials.exposures(landed))

    return ratio


def site_limits(trials: Trials, few: Any) -> list[WindLimit]:
    """Return the limit for each direction by flights of a part of the sample; none where nothing can be left or hit."""
    site = trials.site
    if site.boundary is None and not site.keep_outs:
        return []

    if _worst_first(trials, few)(0.0, DIRECTIONS[0]) > 1.0:  # then no wind helps, from wherever
        return [WindLimit(direction, 0.0, reached=True) for direction in DIRECTIONS]
    rule = strictest(rule_table(), "wind")  # nothing above a published maximum is ever proposed
    highest, told = rule.value if rule and rule.value else 9.0, count(1)

    def found(directions: Sequence[float], there: Trials) -> list[WindLimit]:
        ratio, limits = _worst_first(there, few), []
        for limit in wind_limits(lambda speed, way: ratio(speed, way) if speed > 0.0 else 0.0, directions, highest):
            limits.append(limit)
            there.say("finding the strongest wind from each direction", next(told) / len(DIRECTIONS))
        return limits

    half = len(DIRECTIONS) // 2
    one, other = side_by_side(trials, *(partial(found, some) for some in (DIRECTIONS[:half], DIRECTIONS[half:])))
    return [*one, *other]


def limit_at(limits: Sequence[WindLimit], from_direction: float, spread: float = 0.0) -> float:
    """Return the limit (m/s) for a wind from a direction (rad) that swings by a spread to either side (rad).

    Between two directions of the table the lower of the two counts.
    """
    step = 2.0 * math.pi / len(limits)
    turns = ((limit.from_direction - from_direction + math.pi) % (2.0 * math.pi) - math.pi for limit in limits)
    near = [limit.speed for limit, turn in zip(limits, turns, strict=True) if abs(turn) < step + spread - 1e-9]
    return min(near)


def swing_of(design: Design) -> float:
    """Return by how much the wind of a completed design swings to either side, rad."""
    coming = design.weather.wind_from
    return max(coming.spread, HALF_POINT) if coming and wind_given(design) else SWING


def within_reach(limits: Sequence[WindLimit], swing: float) -> list[WindLimit]:
    """Return the limits as they are shown and held to: each the least within reach of a wind that swings, rad."""
    return [one._replace(speed=limit_at(limits, one.from_direction, swing)) for one in limits]


class Against(NamedTuple):
    """What stands against somebody's place in one wind."""

    verdict: HourCall
    words: str
    about: About


def call_hour(
    at: str, limit: float, speed: float, spread: float, gust: float | None, habit: UnitHabit = METRIC,
    height: float | None = None,
) -> Call:
    """Judge one hour: no above the limit, wait when a gust or the uncertainty of the wind reaches it.

    Parameters
    ----------
    limit, speed, spread, gust
        Strongest wind for the direction, mean wind, its standard deviation, strongest gust; m/s.
    habit
        Units of the builder.
    height
        Of the wind gauge above the ground, m.
    """
    allowed = f"the limit of {limit_words(limit, habit)}"
    if height is not None:
        allowed += f" at a height of {habit.distance(height)}"
    wind = f"The wind of {habit.speed(speed, 2)}"
    if limit <= 0.0:
        why = "Even the lightest wind from there, or none, is too much for this field"
        return Call(at, HourCall.NO, f"{why}, so the limit is {habit.speed(0.0)}")
    if speed > limit:
        return Call(at, HourCall.NO, f"{wind} passes {allowed} for this field")
    if gust is not None and gust > limit:
        why = f"stays under {allowed}, but gusts of {habit.speed(gust, 2)} pass it, so launch in a lull or wait"
        return Call(at, HourCall.WAIT, f"{wind} {why}")
    if speed + 2.0 * spread > limit:
        why = f"known to ± {habit.speed(spread, 2)}, may pass {allowed}, so measure at the field before each launch"
        return Call(at, HourCall.WAIT, f"{wind}, {why}")
    return Call(at, HourCall.OPEN, f"{wind} stays under {allowed}{'' if gust is None else ', gusts included'}")


def called_under(call: Call, stopped: str, unknown: str = "") -> Call:
    """Return a call as it is told: what stops the launch, or leaves the wind unknown, goes before an open one.

    Parameters
    ----------
    stopped, unknown
        In words; empty where nothing does.
    """
    if call.verdict is not HourCall.OPEN or not (stopped or unknown):
        return call
    why = stopped or unknown[:1].upper() + unknown[1:]
    return call._replace(verdict=HourCall.NO if stopped else HourCall.WAIT, why=f"{why}. {call.why}")


def confirmed(call: Call, seen: Sequence[Exposure], people: Sequence[Against] = ()) -> Call:
    """Hold an hour that nothing is found against to the landings in that very wind: they may turn it into wait or no.

    The limits rest on a small part of the sample, too few flights for the smaller of the accepted chances.

    Parameters
    ----------
    seen
        Chances in that wind.
    people
        What `against_people` found.
    """
    if call.verdict is not HourCall.OPEN:
        return call
    for verdict, wrong in (
        (HourCall.NO, [one for one in seen if one.chance.value > one.allowed]),
        (HourCall.WAIT, [one for one in seen if one.chance.high > one.allowed]),
    ):
        said: list[tuple[str, About]] = [(one.words, one.about) for one in people if one.verdict is verdict]
        if wrong:
            worst = max(wrong, key=lambda one: one.chance.high / max(one.allowed, 1e-9))
            settled = "more than" if verdict is HourCall.NO else "not shown to be within"
            allowed = f"{settled} the {percent(worst.allowed)} you accept"
            said.insert(0, (f"the chance for {worst.name} is {worst.chance}, {allowed}", "ground"))
        if said:
            words, about = said[0]
            return Call(call.at, verdict, f"{call.why}. But in this very wind {words}", about)
    return call


def against_people(ground: Ground, habit: UnitHabit) -> list[Against]:
    """Return what the landings in one wind say against the places of crew and spectators."""
    found = [
        Against(HourCall.NO, f"a landing strikes the {one.role} in {percent(one.chance)} of "
                             f"flights{in_lull(one, habit)}, more than the {percent(one.allowed)} we accept", "crew")
        for one in ground.stands if one.struck
    ]  # fmt: skip
    watching = ground.watching
    if watching.planned is not None and watching.planned < watching.asked.metres - 1e-9:
        far, near = habit.stand_back(watching.asked.metres), habit.distance(watching.planned)
        found.append(Against(HourCall.NO, f"spectators stand {near} away towards {compass(watching.bearing)} and "
                                          f"should stand {far} away", "spectators"))
    elif not watching.asked.settled:
        found.append(Against(HourCall.WAIT, "it is not settled how far spectators should stand: "
                             + unsettled_words(ground.sectors, habit), "spectators"))
    return found


def _hours(design: Design) -> list[Hour]:
    """Return the weather of the design as an hour, and its forecast; none without a wind."""
    weather = design.weather
    if weather.wind_speed is None or weather.wind_from is None:
        return []
    return [Hour(at="now", wind_speed=weather.wind_speed, wind_from=weather.wind_from, gust=weather.gust),
            *weather.hours]  # fmt: skip


def by_limit(design: Design, hour: Hour, limits: Sequence[WindLimit], habit: UnitHabit) -> Call:
    """Judge an hour by the limits alone."""
    height, gust = design.weather.wind_height, hour.gust
    limit = limit_at(limits, hour.wind_from.value, max(hour.wind_from.spread, HALF_POINT))
    return call_hour(hour.at, limit, hour.wind_speed.value, hour.wind_speed.spread, gust.value if gust else None,
                     habit, height.value if height else None)  # fmt: skip


def fly_hours(trials: Trials, limits: Sequence[WindLimit], now: Ground, wanted: int) -> list[Ground | None]:
    """Return what a sample flown in its own wind means, for each hour that the limits have nothing against.

    Parameters
    ----------
    limits
        Of `site_limits`.
    now
        What the sample says in the weather of the design, the first of the hours.
    wanted
        Flights of the sample.
    """
    hours, told = _hours(trials.design) if limits else [], count(1)

    def ground(place: int, there: Trials) -> Ground | None:
        found = None
        if by_limit(trials.design, hours[place], limits, trials.habit).verdict is HourCall.OPEN:
            found = ground_in(there, hours[place], min(wanted, HOUR_FLIGHTS)) if place else now
        there.say("flying in the wind of each hour", next(told) / len(hours))
        return found

    return side_by_side(trials, *(partial(ground, place) for place in range(len(hours))))


def call_hours(
    design: Design, limits: Sequence[WindLimit], grounds: Sequence[Ground | None], habit: UnitHabit
) -> list[Call]:
    """Return no, wait or nothing against it for the weather of the design and for each hour of its table.

    Parameters
    ----------
    limits
        Of `site_limits`.
    grounds
        Of `fly_hours`, people where the design has them.
    """
    calls = []
    for hour, then in zip(_hours(design) if limits else [], grounds, strict=True):
        call = by_limit(design, hour, limits, habit)
        calls.append(confirmed(call, then.exposures, against_people(then, habit)) if then else call)
    return calls
