"""What a contest asks for: rules as data, of the program or of the school, and what counts of each launch."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from bottlewright.data_file import data_file
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.fields import Name, Of, Section
from bottlewright.design.reading import placed
from bottlewright.logbook.export import MEASURES, measured_value, surest
from bottlewright.logbook.files import parse_record
from bottlewright.logbook.records import FlightFile
from bottlewright.quantities import Dimension, Quantity, QuantityError

__all__ = ["NOTHING", "Flown", "Rule", "Tie", "flown_of", "least_of", "own_rules", "rules", "teams_of"]

Tie = Literal["next best", "best", "fewer flights", "lighter"]
Measured = tuple[float, float]
"""A value with its ±, SI; the ± is 0 where nobody gave one."""


class Rule(Section):
    """One rule of a contest; see data/scoring.toml."""

    name: Name  # of the rule
    says: Name  # what it asks for, in a line
    measure: Literal["height", "time", "away", "time share"] | None = None  # of each flight
    of: Literal["best", "first", "last", "sum", "mean", "closest pair", "spread"] = "best"  # made of a team's flights
    count: Annotated[int, Field(strict=True, ge=1, le=20)] | None = None  # how many flights count
    order: Literal["most", "least"] = "most"  # who wins
    target: bool = False  # the score is the relative error from a height said before
    height: Annotated[Quantity, Of(Dimension.LENGTH, "1 m", "2 km")] | None = None  # the same for all teams
    needs: Literal["egg whole"] | None = None  # what a flight needs to be valid
    at_least: Name | None = None  # a flight with less is invalid, such as "6 s"
    watches: Annotated[int, Field(strict=True, ge=1, le=9)] | None = None  # a time of fewer does not count
    apart: Annotated[float, Field(strict=True, ge=0.0, le=10.0)] = 2.0  # told apart by more than so many ±
    ties: tuple[Tie, ...] = ()  # what decides between those that can't be told apart
    parts: tuple[tuple[Name, float], ...] = ()  # of a rule made of others: name and weight


class RuleFile(Section):
    """A school's own rules."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1  # of this format
    rule: tuple[Rule, ...] = ()  # one block each


@dataclass(frozen=True, slots=True)
class Flown:
    """What counts of one flight, each with its ±; None where it was not measured.

    Parameters
    ----------
    watches
        How many stopwatches its time is of.
    target
        The height that was said before it, m.
    mass
        Of the rocket without water, kg.
    """

    height: Measured | None = None
    time: Measured | None = None
    watches: int = 1
    away: Measured | None = None
    egg: str = ""
    target: float | None = None
    counts: bool = True
    mass: Measured | None = None


NOTHING = Flown()


@cache
def rules() -> Mapping[str, Rule]:
    """Return the rules that come with the program, by name."""
    return {rule.name: rule for rule in RuleFile.model_validate(data_file("logbook", "scoring")).rule}


def own_rules(text: str) -> Mapping[str, Rule]:
    """Read a school's own rules, beside those of the program; one of the same name takes its place.

    Raises
    ------
    DesignError
        With everything that is wrong, each with its line.
    """
    own = parse_record(text, RuleFile).rule
    known = {**rules(), **{rule.name: rule for rule in own}}
    problems = [problem for number, rule in enumerate(own) for problem in _wrong(f"rule.{number}", rule, known)]
    names = [rule.name for rule in own]
    problems += [Problem(f"rule.{number}.name", f"is {name!r} once more", "give each rule a name of its own")
                 for number, name in enumerate(names) if name in names[:number]]  # fmt: skip
    if problems:
        raise DesignError(placed(problems, text))
    return known


def _wrong(at: str, rule: Rule, known: Mapping[str, Rule]) -> Iterator[Problem]:
    """Yield what makes no sense in a rule although each of its keys can be read."""
    if rule.parts and rule.measure:
        yield Problem(f"{at}.measure", "is said of a rule that is made of others", "take out measure, or parts")
    if not rule.parts and not rule.measure:
        yield Problem(at, f"{rule.name!r} says neither what is measured nor which rules it is made of",
                      'write measure = "height", "time", "away" or "time share", or parts')  # fmt: skip
    for name, weight in rule.parts:
        if name not in known or known[name].parts or not 0.0 < weight < 1e6:
            yield Problem(f"{at}.parts", f"has {name!r} with {weight:g}, which is no single rule with a weight above 0",
                          f"the rules are {', '.join(one for one in known if not known[one].parts)}")  # fmt: skip
    if (rule.target or rule.height) and rule.measure != "height":
        yield Problem(f"{at}.target", "is a height, and the rule measures something else", 'write measure = "height"')
    pairs = rule.of in ("closest pair", "spread")
    if pairs and rule.count == 1:
        yield Problem(f"{at}.count", "is 1, and one flight has nothing to be compared with", "write 2 or more")
    unused = {"next best", "best"} if rule.parts else {"next best"} if pairs else set()
    for tie in unused.intersection(rule.ties):
        yield Problem(f"{at}.ties", f"has {tie!r}, which decides nothing here", "take it out")
    if rule.at_least is not None:
        try:
            least_of(rule)
        except QuantityError as error:
            yield Problem(f"{at}.at_least", str(error))


def least_of(rule: Rule) -> float | None:
    """Return the value below which a flight is invalid, SI; None where there is none."""
    what = "time" if rule.measure == "time share" else rule.measure
    return None if rule.at_least is None or what not in MEASURES else measured_value(what, rule.at_least).value


def teams_of(flights: Iterable[FlightFile]) -> dict[str, list[Flown]]:
    """Return what counts of each team's launches, the earliest first; a launch without a team is nobody's."""
    teams: dict[str, list[Flown]] = {}
    for one in sorted(flights, key=lambda flight: (flight.day, flight.number, flight.entry)):
        if one.team:
            teams.setdefault(one.team, []).append(flown_of(one))
    return teams


def flown_of(flight: FlightFile) -> Flown:
    """Return what counts of one launch: of several measurements of one thing the surest."""
    found = {what: surest(flight, what) for what in ("height", "time", "away", "mass")}
    value = {what: (one[0].value, one[0].spread) if one else None for what, one in found.items()}
    time = found["time"]
    return Flown(
        value["height"], value["time"], (time[1].count or 1) if time else 1, value["away"], flight.egg or "",
        flight.target.value if flight.target else None, flight.counts, value["mass"],
    )  # fmt: skip
