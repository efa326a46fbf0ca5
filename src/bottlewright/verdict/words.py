"""The verdict in words: the lines that stand first in everything that the program says."""

import math
from collections.abc import Sequence

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.compass import compass
from bottlewright.field.wind_held import least_words
from bottlewright.field.words import away_words
from bottlewright.findings import Finding, Level, by_urgency
from bottlewright.proof.allowed_words import allowed_words
from bottlewright.verdict.verdict import PeopleDistances, Verdict

__all__ = [
    "distance_words", "level_words", "open_words", "planned_words", "pressure_words", "side_words", "verdict_lines",
    "wind_words",
]


def verdict_lines(verdict: Verdict) -> list[str]:
    """Return the verdict in a few lines: level, pressure, distances, wind, what is missing, what was not checked."""
    lines = [level_words(verdict), pressure_words(verdict), distance_words(verdict.distances, verdict.habit)]
    if verdict.wind_limits is not None:
        lines.append(wind_words(verdict))
    missing = verdict.at(Level.HOLD)
    if missing:
        lines.append(f"Not before pumping: {_listed(missing)}.")
    lines.append(f"Not checked: {'; '.join(verdict.unchecked)}.")
    return lines


def level_words(verdict: Verdict) -> str:
    """Say the level and what it counts, the worst first."""
    stop, look = verdict.at(Level.STOP), verdict.at(Level.LOOK)
    if stop:
        return f"STOP: nobody pumps this rocket before {_things(len(stop))} put right. {_listed(stop)}."
    looks = f"LOOK at {_count(len(look), 'thing')} before you go on; no finding says stop so far."
    if hold := list(dict.fromkeys(one.hazard for one in by_urgency(verdict.at(Level.HOLD)))):
        more = f"; {len(hold) - 1} more" if len(hold) > 1 else ""
        return f"NOT BEFORE PUMPING: {hold[0]}{more}." + (f" {looks}" if look else "")
    return looks if look else "No finding says stop or look so far."


def open_words(verdict: Verdict) -> str:
    """Return the counts of what is open, for use beside another statement."""
    counts = [(len(verdict.at(Level.STOP)), "stop"), (len(verdict.at(Level.HOLD)), "not before pumping"),
              (len(verdict.at(Level.LOOK)), "look")]
    return "open findings: " + ", ".join(f"{number} {name}" for number, name in counts)


def pressure_words(verdict: Verdict) -> str:
    """Say how high the gauge may read, and what that rests on."""
    return allowed_words(verdict.allowed, verdict.habit)


def distance_words(distances: PeopleDistances, habit: UnitHabit) -> str:
    """Say how far everyone stands at a launch, by the plan and at the least, or what is not known of it."""
    plan = f" {planned_words(distances, habit)}."
    if distances.spectators is None:
        return f"Stand back at a launch: {distances.because}.{plan}"
    nearest = distances.nearest_side
    furthest = max(distances.spectators, key=lambda sector: sector.distance_m)
    people = f"spectators {habit.stand_back(furthest.distance_m)}"
    if nearest and furthest.distance_m > nearest.distance_m:
        people += (f", towards {compass(nearest.middle)} at least "
                   f"{habit.stand_back(nearest.distance_m)}")
    pumper = _placed(distances.pumper_m, distances.pumper_bearing_deg, distances.pumper_settled, habit)
    operator = _placed(distances.operator_m, distances.operator_bearing_deg, distances.operator_settled, habit)
    return (f"Stand back at a launch: whoever pumps {pumper}, whoever pulls the cord {operator}, {people}. "
            f"This rests on {distances.because}.{plan}")


_WHO = {"pumper": "whoever pumps", "operator": "whoever pulls the cord", "spectators": "spectators"}


def planned_words(distances: PeopleDistances, habit: UnitHabit) -> str:
    """Say where the plan has everyone at a launch, and who stands nearer than is asked at the least."""
    places: dict[str, list[str]] = {}
    for role, who in {**_WHO, "spectators": f"spectators{side_words(distances, habit)}"}.items():
        away = distances.planned(role)
        near = "" if away is None or distances.keeps(role) else ", too near"
        places.setdefault("" if away is None else f"{habit.distance(away)}{near}", []).append(who)
    unsaid = places.pop("", [])
    said = [f"{away} for {_together(those)}" for away, those in places.items()]
    if len(unsaid) == len(_WHO):
        return "Your plan does not say where anyone stands"
    return f"Your plan: {'; '.join([*said, *([f'it says nothing of {_together(unsaid)}'] if unsaid else [])])}"


def side_words(distances: PeopleDistances, habit: UnitHabit) -> str:
    """Say on which side the plan has spectators, and what is asked there and elsewhere; empty where nobody knows.

    A planned distance that keeps to what is asked on their own side may be far too near on another.
    """
    asked, turn = distances.asked("spectators"), distances.spectators_bearing_deg
    if distances.planned("spectators") is None or asked is None or turn is None or not distances.own_sides:
        return ""
    far = max(distances.spectators or (), key=lambda one: one.distance_m)
    most = f"{'up to' if far.settled else 'over'} {habit.stand_back(far.distance_m)}"
    more = f", elsewhere {most}" if far.distance_m > asked else ""
    return f" towards {compass(math.radians(turn))} (asked there {habit.stand_back(asked)}{more})"


def _together(those: Sequence[str]) -> str:
    if set(those) >= {"whoever pumps", "whoever pulls the cord"}:
        those = ["whoever pumps or pulls the cord", *those[2:]]
    return " and ".join(those)


def _placed(away: float | None, bearing: float | None, settled: bool, habit: UnitHabit) -> str:
    """Say how far somebody stands on every side, and where their place is; or that no place will do."""
    if away is None:
        return "has no place that will do"
    there = "" if bearing is None else f" (their place: {compass(math.radians(bearing))})"
    return f"{away_words(away, settled, habit)}, nearer on no side{there}"


def wind_words(verdict: Verdict) -> str:
    """Say the strongest wind found to be within what is accepted: from today's direction, and from any other."""
    if verdict.held is None:
        return "Wind: no limit was worked out."
    return f"Wind and gusts not over {least_words(verdict.held, verdict.habit)}; other directions stand in the table."


def _things(number: int) -> str:
    return "one thing is" if number == 1 else f"{number} things are"


def _count(number: int, what: str) -> str:
    return f"one {what}" if number == 1 else f"{number} {what}s"


def _listed(findings: Sequence[Finding], most: int = 3) -> str:
    """Return the hazards of the first findings, and how many more there are."""
    hazards = list(dict.fromkeys(one.hazard.rstrip(".") for one in by_urgency(findings)))
    rest = len(hazards) - most
    return ". ".join(hazards[:most]) + (f". And {rest} more" if rest > 0 else "")
