"""What a day begins with: its rockets with what the verdict allows each, its people, what has to be filled in."""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from bottlewright.design.document import Design
from bottlewright.field.numbers import LimitAt
from bottlewright.field.wind_heights import growth_of, growth_told
from bottlewright.findings import Level
from bottlewright.flight.outcomes import armed
from bottlewright.logbook.day_table import day_table
from bottlewright.make.sheets.launch_day import arming_words
from bottlewright.proof.evidence import own_evidence
from bottlewright.proof.expiry import TEST_CYCLES
from bottlewright.proof.gauge_error import true_at_most
from bottlewright.proof.vessel import MOST_CYCLES, cycles_counted
from bottlewright.report.act_on import ActOn, people_rows
from bottlewright.verdict import Verdict, act_on

__all__ = ["ROLES", "CrewMember", "DayPlan", "DayRocket", "Turn", "own_points", "plan_json", "plan_of", "rocket_of",
           "wind_limit_of"]  # fmt: skip

ROLES = {"pumper": "whoever pumps", "operator": "whoever pulls the cord", "spectators": "spectators"}
"""Whom the verdict has a distance for, and what they are called."""
UNMARKED = ("nothing is written on it: mark the bottle, write the same mark into the design (“what is written on it” "
            "on Prove, vessel.id in the file), and begin its file there, or by `bottlewright log bottle`")


@dataclass(frozen=True, slots=True)
class DayRocket:
    """A rocket as the day knows it; every number is the verdict's.

    Parameters
    ----------
    vessel
        What is written on its bottle; empty where nothing is.
    pad
        The launcher that it stands on.
    allowed_Pa, basis
        Highest reading of the gauge, Pa, and why; None where none is allowed.
    planned_Pa
        What it is to be pumped to, Pa gauge.
    gauge_error_Pa
        By how much two readings of one pressure may differ.
    wind_limit_m_s
        Of the mean wind and of its gusts; None where nobody worked it out.
    cycles
        Times under pressure so far; None where nobody knows.
    retired, unknown
        Why nobody pumps its bottle, or why nobody knows it; empty where neither.
    tested, test_left
        Whether the bottle has a water test of its own that counts, and how many more times under pressure it lasts.
    stops, holds, looks
        Codes of the open findings.
    remote_vent
        Whether its pressure can be let off from a distance.
    power_line
        Whether a power line is in reach.
    wind_height_m
        For which height the limit holds, m above the ground; None where there is no limit.
    wind_grows
        The values of a `bottlewright.field.wind_heights.Growth`: by them the limit is carried down to a reading. Empty
        where nobody kept them; then the roughest ground of the table counts.
    winds
        The limit by the direction that the wind comes from, degrees and m/s; empty where nobody kept it: then the one
        limit holds for all.
    wind_from
        Where the plan has the wind from, and by how much it swings, degrees; empty where it does not say.
    words
        What can go wrong, by the code of a finding.
    file
        The name of its design file; empty where nobody knows.
    armed
        Whether what lets its canopy out is armed on the launcher.
    points
        The words of a point that is confirmed, where they are its own, by the point's name.
    water
        How much water is filled in, as card and checklist say it; empty where none is, or nobody kept it.
    stand, sides
        Who stands how far off, as paper and Field say it: who, how far, a remark; spectators by the side of the
        launcher.
    away_m
        How far off each role stands at the least, m; None where no place will do.
    rests_on
        What all of this rests on, by key, as `bottlewright.project.day_basis` gives it; empty where nobody kept it.
    """

    name: str
    vessel: str
    pad: str
    allowed_Pa: float | None
    basis: str
    planned_Pa: float
    gauge_error_Pa: float
    wind_limit_m_s: float | None
    cycles: int | None
    retired: str = ""
    unknown: str = ""
    tested: bool = True
    test_left: int = TEST_CYCLES
    stops: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    looks: tuple[str, ...] = ()
    remote_vent: bool = True
    power_line: bool = False
    wind_height_m: float | None = None
    wind_grows: tuple[Any, ...] = ()
    winds: tuple[tuple[float, float], ...] = ()
    wind_from: tuple[float, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)
    file: str = ""
    armed: bool = False
    points: Mapping[str, str] = field(default_factory=dict)
    water: str = ""
    stand: tuple[tuple[str, ...], ...] = ()
    sides: tuple[tuple[str, ...], ...] = ()
    away_m: Mapping[str, float | None] = field(default_factory=dict)
    rests_on: Mapping[str, str] = field(default_factory=dict)

    @property
    def has(self) -> frozenset[str]:
        """What it has that a point of the day's table may be only for."""
        return frozenset(({"armed"} if self.armed else set()) | ({"filled with water"} if self.water else set()))

    @property
    def cycles_left(self) -> int | None:
        """Times that its bottle may still be pumped up; None where nobody knows."""
        return None if self.cycles is None else max(MOST_CYCLES - self.cycles, 0)


@dataclass(frozen=True, slots=True)
class CrewMember:
    """Somebody with a role: name, initials or number, and whether it is an adult."""

    name: str
    adult: bool


@dataclass(frozen=True, slots=True)
class Turn:
    """A rocket's turns: how many launches, whose, and the chances of one launch; None where nobody worked them out.

    Parameters
    ----------
    who
        Whose rocket it is: initials, a number or a team.
    burst, strike
        That the bottle bursts; that the flight comes down on somebody.
    """

    rocket: str
    launches: int
    who: str = ""
    burst: float | None = None
    strike: float | None = None


@dataclass(frozen=True, slots=True)
class DayPlan:
    """A day as it was prepared.

    Parameters
    ----------
    rockets
        By name.
    roles
        Who has which, by the role's name.
    adults
        Names of all adults: an override needs one.
    local
        Local values that have to be filled in, by name; empty where nobody has.
    turns
        Who launches how often, in their order.
    """

    rockets: Mapping[str, DayRocket]
    roles: Mapping[str, CrewMember]
    adults: frozenset[str] = frozenset()
    local: Mapping[str, str] = field(default_factory=dict)
    turns: tuple[Turn, ...] = ()


def plan_json(plan: DayPlan) -> dict[str, Any]:
    """Return a plan as plain values, as the journal keeps it."""
    return {"rockets": [asdict(one) for one in plan.rockets.values()],
            "roles": {role: asdict(person) for role, person in plan.roles.items()},
            "adults": sorted(plan.adults), "local": dict(plan.local),
            "turns": [asdict(one) for one in plan.turns]}  # fmt: skip


def plan_of(told: Mapping[str, Any]) -> DayPlan:
    """Return the plan that plain values tell of.

    Raises
    ------
    KeyError, TypeError, ValueError
        When they are none, or a number is none that a rocket can have: a comparison with it would hold nothing back.
    """
    plain: list[dict[str, Any]] = [{key: _frozen(value) for key, value in one.items()} for one in told["rockets"]]
    rockets = [_checked(DayRocket(**one)) for one in plain]
    return DayPlan({one.name: one for one in rockets}, {role: CrewMember(**one) for role, one in told["roles"].items()},
                   frozenset(told["adults"]), dict(told["local"]),
                   tuple(Turn(**one) for one in told.get("turns", ())))  # fmt: skip


def _frozen(value: Any) -> Any:
    return tuple(map(_frozen, value)) if isinstance(value, list | tuple) else value


_NUMBERS = ("allowed_Pa", "planned_Pa", "gauge_error_Pa", "wind_limit_m_s", "wind_height_m", "cycles", "test_left")
_MAY_BE_NONE = frozenset({"allowed_Pa", "wind_limit_m_s", "wind_height_m", "cycles"})
_TEXTS = ("name", "vessel", "pad", "basis", "retired", "unknown", "file", "water")
_YES_NO = ("tested", "remote_vent", "power_line", "armed")


def _checked(rocket: DayRocket) -> DayRocket:
    numbers = [(key, getattr(rocket, key), key in _MAY_BE_NONE) for key in _NUMBERS]
    for key, value, may_be_none in (*numbers, *((role, away, True) for role, away in rocket.away_m.items())):
        if value is None and may_be_none:
            continue
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0.0 <= value < math.inf:
            raise ValueError(f"{key} of {rocket.name} is {value!r}: it is a number, zero or more")
    if rocket.wind_grows:
        growth_told(rocket.wind_grows)
    _check_winds(rocket)
    tuples = ("stops", "holds", "looks", "stand", "sides", "wind_grows", "winds", "wind_from")
    dicts = ("words", "away_m", "rests_on", "points")
    for kind, keys in ((str, _TEXTS), (bool, _YES_NO), (tuple, tuples), (dict, dicts)):
        for key in keys:
            if not isinstance(getattr(rocket, key), kind):
                raise TypeError(f"{key} of {rocket.name} is {getattr(rocket, key)!r}")
    return rocket


def _check_winds(rocket: DayRocket) -> None:
    numbers = [*(number for pair in rocket.winds for number in pair), *rocket.wind_from]
    pairs = all(len(pair) == 2 for pair in rocket.winds) and len(rocket.wind_from) in (0, 2)
    if not pairs or not all(isinstance(one, int | float) and 0.0 <= one < math.inf for one in numbers):
        raise ValueError(f"the wind limits of {rocket.name} are {rocket.winds!r}, its wind {rocket.wind_from!r}")


def rocket_of(design: Design, verdict: Verdict, pad: str) -> DayRocket:
    """Return a completed design with its verdict as a rocket of the day."""
    allowed, vessel, history = verdict.allowed, design.vessel, design.written.history
    least, held, planned = wind_limit_of(verdict), verdict.held, verdict.planned.gauge_Pa
    crew, act = design.launcher.crew, act_on(verdict)
    stops = [one.code for one in verdict.at(Level.STOP)]
    open_ = [one for level in (Level.STOP, Level.HOLD, Level.LOOK) for one in verdict.at(level)]
    return DayRocket(
        name=verdict.name, vessel=vessel.id or "", pad=pad, allowed_Pa=allowed.gauge_Pa, basis=allowed.because,
        planned_Pa=planned, gauge_error_Pa=true_at_most(design, planned) - planned,
        wind_limit_m_s=least.speed_m_s if least else None, wind_height_m=least.height_m if least else None,
        wind_grows=tuple(growth_of(design.weather)) if least else (),
        winds=tuple((one.from_deg, one.speed_m_s) for one in held.limits) if held else (),
        wind_from=held.coming or () if held else (),
        cycles=cycles_counted(vessel) if vessel.cycles is not None else None,
        retired=allowed.because if allowed.retired else "",
        unknown=UNMARKED if not vessel.id else history.unknown if history else "nobody looked",
        tested=allowed.gauge_Pa is not None, test_left=_test_left(design), stops=tuple(stops),
        holds=tuple(one.code for one in verdict.at(Level.HOLD)),
        looks=tuple(one.code for one in verdict.at(Level.LOOK)),
        remote_vent=bool(crew and crew.remote_vent), power_line="power-line-in-reach" in stops,
        words={one.code: one.hazard for one in reversed(open_)}, armed=armed(design),
        water=act.water if verdict.planned.water_m3 else "",
        points={**own_points(design), **_lines(act)},
        stand=tuple(people_rows(act)), sides=tuple(map(tuple, act.sides)),
        away_m={role: verdict.distances.asked(role) for role in ROLES},
    )  # fmt: skip


def own_points(design: Design) -> dict[str, str]:
    """Return what is confirmed of a rocket in its own words."""
    if not armed(design):
        return {}
    return {name: one.own.format_map(arming_words(design)) for name, one in day_table().confirms.items() if one.own}


def _lines(act: ActOn) -> dict[str, str]:
    """Return the point that everyone stands behind their line, with the lines of this rocket."""
    lines = ", ".join(f"{one.where} {one.says}" for one in act.stand).replace(", see the table", "")
    return {"lines": f"{day_table().confirms['lines'].says} The lines: {lines}."}


def wind_limit_of(verdict: Verdict) -> LimitAt | None:
    """Return the limit that a day keeps: for the wind of its design, else the least of any direction; None: none."""
    return (verdict.held.today or verdict.held.least) if verdict.held else None


def _test_left(design: Design) -> int:
    """Return how many more times under pressure the latest test that counts lasts."""
    tests = [one.test.cycles or 0 for one in own_evidence(design) if one.counts and one.result.earns]
    return max(TEST_CYCLES - cycles_counted(design.vessel) + max(tests), 0) if tests else 0
