"""Who is first in a contest: each team's score with its ±, how it came about, and what decides between equals.

Two scores are told apart when they differ by more than `Rule.apart` times the ± of their difference (JCGM 100: the
root of the sum of the squares; a factor of 2 for about 95 %, our choice). Nearer ones are a tie: the rule's tie
breakers decide, with the same measure, and else the place is shared. A team's place is 1 and one more for each team
that is clearly before it, so that teams in a row, each within the ± of the next, still have an order.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from bottlewright.logbook.scoring import Flown, Measured, Rule, Tie, least_of, rules
from bottlewright.names import several

__all__ = ["Placed", "placed_teams"]

_SAME = 1e-9
"""Figures nearer than this, relative to the larger, are one."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A team's place, from 1; None where it has no score.

    Parameters
    ----------
    score, spread
        With its ±; 0 where nobody gave one.
    why
        How the score came about.
    near
        Teams whose scores can't be told from this one within the ±.
    decided
        What decided between those; empty where nothing had to.
    """

    team: str
    place: int | None
    score: float | None
    spread: float
    why: str
    near: tuple[str, ...] = ()
    decided: str = ""


@dataclass(frozen=True, slots=True)
class _Score:
    """A team's score, what decides between equals (more is better), and how it came about."""

    value: Measured | None
    ties: tuple[Measured, ...]
    why: str


def placed_teams(
    rule: Rule, teams: Mapping[str, Sequence[Flown]], known: Mapping[str, Rule] | None = None
) -> list[Placed]:
    """Return the teams in the order of their places, those without a score last.

    Parameters
    ----------
    known
        Rules that a rule made of others may name; those of the program when left out.
    """
    scores = _scores(rule, teams, known or rules())
    sign = 1.0 if rule.order == "most" else -1.0
    ways: list[Mapping[str, Measured]] = [
        {team: (sign * one.value[0], one.value[1]) for team, one in scores.items() if one.value},
        *({team: one.ties[number] for team, one in scores.items() if one.value} for number in range(len(rule.ties))),
    ]
    found: list[Placed] = []
    for group in _ordered(sorted(ways[0]), ways, rule.apart):
        found += [_placed(team, len(found) + 1, group, scores, ways, rule) for team in group]
    return found + [Placed(team, None, None, 0.0, scores[team].why) for team in sorted(scores)
                    if scores[team].value is None]  # fmt: skip


def _placed(team: str, place: int, group: Sequence[str], scores: Mapping[str, _Score],
            ways: Sequence[Mapping[str, Measured]], rule: Rule) -> Placed:  # fmt: skip
    value = scores[team].value
    assert value is not None, "those without a score have no place"
    first = ways[0]
    near = tuple(one for one in sorted(first) if one != team and not _before(first[one], first[team], rule.apart)
                 and not _before(first[team], first[one], rule.apart))  # fmt: skip
    decided = ""
    if near:
        levels = _levels(first, rule.apart)
        rivals = [one for one in near if one not in group and levels[one] == levels[team]]
        by = [tie for tie, way in zip(rule.ties, ways[1:], strict=True)
              if any(_before(way[one], way[team], rule.apart) or _before(way[team], way[one], rule.apart)
                     for one in rivals)]  # fmt: skip
        decided = "shared" if len(group) > 1 else by[0] if by else "a third team"
    return Placed(team, place, value[0], value[1], scores[team].why, near, decided)


def _levels(way: Mapping[str, Measured], apart: float) -> dict[str, int]:
    """Return how many are clearly before each."""
    return {team: sum(_before(other, one, apart) for other in way.values()) for team, one in way.items()}


def _ordered(teams: Sequence[str], ways: Sequence[Mapping[str, Measured]], apart: float) -> list[list[str]]:
    """Return teams in groups, the first ones first: by the first way, within that by the next; a group is equal."""
    if not ways or len(teams) < 2:
        return [list(teams)] if teams else []
    levels = _levels({team: ways[0][team] for team in teams}, apart)
    groups = [[team for team in teams if levels[team] == level] for level in sorted(set(levels.values()))]
    return [inner for group in groups for inner in _ordered(group, ways[1:], apart)]


def _before(one: Measured, other: Measured, apart: float) -> bool:
    """Say whether a value, where more is better, is clearly above another."""
    if math.isinf(one[0]) or math.isinf(other[0]):
        return one[0] > other[0]
    least = max(apart * math.hypot(one[1], other[1]), _SAME * max(abs(one[0]), abs(other[0])))
    return one[0] - other[0] > least


# --- scores ---------------------------------------------------------------------------------------------------------


def _scores(rule: Rule, teams: Mapping[str, Sequence[Flown]], known: Mapping[str, Rule]) -> dict[str, _Score]:
    if rule.parts:
        return _of_parts(rule, teams, known)
    best_time = max((one.time[0] for flights in teams.values() for one in flights if _timed(rule, one) and one.time),
                    default=None)  # fmt: skip
    return {team: _score(rule, flights, best_time) for team, flights in teams.items()}


def _timed(rule: Rule, flight: Flown) -> bool:
    return flight.counts and flight.time is not None and flight.watches >= (rule.watches or 1)


def _score(rule: Rule, flights: Sequence[Flown], best_time: float | None) -> _Score:
    values = [value for one in flights if (value := _value(rule, one, best_time)) is not None]
    if rule.of in ("best", "sum", "mean"):
        values.sort(reverse=rule.order == "most")
    used = values[: _COUNTS.get(rule.of, rule.count)] if rule.of != "last" else values[-1:]
    pairs = rule.of in ("closest pair", "spread")
    least = 2 if pairs else rule.count if rule.of in ("sum", "mean") and rule.count else 1
    if len(used) < least:
        count = "counts" if len(values) == 1 else "count"
        said = f"{len(values)} of {several(len(flights), 'flight')} {count}" if flights else "no launch yet"
        return _Score(None, (), said)
    left = values[len(used) :] if rule.of not in ("first", "last") else [one for one in values if one not in used]
    out = len(flights) - len(values)
    off = bool(rule.target or rule.height)
    factor, unit = (100.0, " % off") if off else (1.0, _UNITS[rule.measure or ""])
    not_counted = f"; {out} did not count" if out else ""
    said = f"{rule.of} of {', '.join(_said(one, factor, unit) for one in used)}{not_counted}"
    return _Score(_MADE[rule.of](used), tuple(_tie(one, rule, values, left, flights) for one in rule.ties), said)


_COUNTS: Mapping[str, int] = {"best": 1, "first": 1}
_UNITS: Mapping[str, str] = {"height": " m", "away": " m", "time": " s", "time share": " %"}


def _said(one: Measured, factor: float, unit: str) -> str:
    value, u = factor * one[0], factor * one[1]
    return f"{value:.3g}" + (f" ± {u:.2g}" if u else "") + unit


def _apart(one: Measured, other: Measured) -> Measured:
    return abs(one[0] - other[0]), math.hypot(one[1], other[1])


def _sum(values: Sequence[Measured]) -> Measured:
    return math.fsum(one for one, _ in values), math.hypot(*(u for _, u in values))


def _mean(values: Sequence[Measured]) -> Measured:
    total, u = _sum(values)
    return total / len(values), u / len(values)


_MADE: Mapping[str, Callable[[Sequence[Measured]], Measured]] = {
    "best": lambda values: values[0], "first": lambda values: values[0], "last": lambda values: values[0],
    "sum": _sum, "mean": _mean,
    "closest pair": lambda values: min(_apart(one, other) for one, other in combinations(values, 2)),
    "spread": lambda values: _apart(max(values), min(values)),
}  # fmt: skip


def _value(rule: Rule, flight: Flown, best_time: float | None) -> Measured | None:
    """Return what counts of a flight; None where it does not count."""
    timed = rule.measure in ("time", "time share")
    raw = {"height": flight.height, "away": flight.away}.get(rule.measure or "", flight.time)
    least = least_of(rule)
    if not flight.counts or raw is None or (timed and not _timed(rule, flight)):
        return None
    if (rule.needs == "egg whole" and flight.egg != "whole") or (least is not None and raw[0] < least):
        return None
    if rule.measure == "time share":
        return (100.0 * raw[0] / best_time, 100.0 * raw[1] / best_time) if best_time else None
    target = rule.height.value if rule.height else flight.target
    if rule.target or rule.height:
        return (abs(raw[0] - target) / target, raw[1] / target) if target else None
    return raw


def _tie(name: Tie, rule: Rule, values: Sequence[Measured], left: Sequence[Measured],
         flights: Sequence[Flown]) -> Measured:  # fmt: skip
    """Return what decides between equals: more is better."""
    sign = 1.0 if rule.order == "most" else -1.0
    if name == "fewer flights":
        return -float(len(flights)), 0.0
    if name == "lighter":
        return _lighter(flights)
    if name == "best":
        return max(values)
    best = (max if rule.order == "most" else min)(left, default=None)
    return (-math.inf, 0.0) if best is None else (sign * best[0], best[1])


def _lighter(flights: Sequence[Flown]) -> Measured:
    masses = [one.mass for one in flights if one.mass is not None]
    return max(((-mass, u) for mass, u in masses), default=(-math.inf, 0.0))


def _of_parts(rule: Rule, teams: Mapping[str, Sequence[Flown]], known: Mapping[str, Rule]) -> dict[str, _Score]:
    """Return the weighted sum of each part as a share of its best team."""
    sums: dict[str, list[Measured]] = {team: [] for team in teams}
    said: dict[str, list[str]] = {team: [] for team in teams}
    for name, weight in rule.parts:
        part = known[name]
        scores = {team: one.value for team, one in _scores(part, teams, known).items()}
        there = [one[0] for one in scores.values() if one is not None]
        best = (max if part.order == "most" else min)(there, default=None)
        for team in teams:
            share, u = _share(part, scores[team], best)
            sums[team].append((weight * share, weight * u))
            said[team].append(f"{name} {100.0 * share:.0f} % × {weight:g}")
    return {team: _Score(_sum(sums[team]) if any(one for one, _ in sums[team]) else None,
                         tuple(_tie(one, rule, (), (), teams[team]) for one in rule.ties), ", ".join(said[team]))
            for team in teams}  # fmt: skip


def _share(part: Rule, score: Measured | None, best: float | None) -> Measured:
    if score is None or best is None:
        return 0.0, 0.0
    value, u = score
    if part.order == "most":
        return (value / best, u / best) if best > 0.0 else (0.0, 0.0)
    return (1.0, u / value if value > 0.0 else 0.0) if value == best else (best / value, best * u / value**2)
