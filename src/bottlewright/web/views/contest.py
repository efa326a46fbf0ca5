"""Class: who takes part, whose turn is it, and who is first by what was measured?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple
from weakref import WeakKeyDictionary

from bottlewright.errors import BottlewrightError
from bottlewright.project.contest import USUAL_RULE, said_near, said_score
from bottlewright.project.day_needs import day_needs
from bottlewright.project.day_paper import planned_launches, said_flight
from bottlewright.web.contest import contest_of
from bottlewright.web.launching import judge_of

if TYPE_CHECKING:
    from bottlewright.project.contest import Results
    from bottlewright.project.day_needs import DayNeeds
    from bottlewright.web.office import Office

__all__ = ["ClassPage", "class_page", "needs_of"]


class TeamLine(NamedTuple):
    """A team as the page shows it."""

    place: str
    team: str
    members: str
    rocket: str
    score: str
    why: str
    near: str
    flights: Sequence[str]


@dataclass(frozen=True)
class ClassPage:
    """The page of a class and its contest.

    Parameters
    ----------
    day
        Which.
    answer, lead
        Heading, and what it rests on.
    rule, rules_file, rounds
        As they stand.
    choices
        Rules to choose from, each with what it asks for.
    teams
        By their places.
    next
        Whose turn it is, and who follows, each with its round.
    nobodys
        Launches that say no team.
    trouble
        What can't be read.
    needs
        What the day takes; None while no day is planned or its designs are being judged.
    kept
        Whether a day is kept, and its cards can be printed.
    """

    day: str
    answer: str
    lead: str
    rule: str
    rules_file: str
    rounds: int
    choices: Sequence[tuple[str, str]]
    teams: Sequence[TeamLine]
    next: Sequence[tuple[str, int]]
    nobodys: Sequence[str]
    trouble: str
    needs: "DayNeeds | None"
    kept: bool


def class_page(office: "Office", day: str) -> ClassPage:
    """Return the page as it stands by the launches that are in the logbook now."""
    contest, trouble, choices = contest_of(office, day), "", list[tuple[str, str]]()
    results: Results | None = None
    rule, rules_file = USUAL_RULE, ""
    try:
        kept = contest.file
        rule, rules_file = (kept.rule or USUAL_RULE, kept.rules or "") if kept else (USUAL_RULE, "")
        choices = [(name, one.says) for name, one in contest.rules().items()]
        results = contest.results()
    except BottlewrightError as error:
        trouble = str(error)
    teams = [TeamLine(
        str(one.placed.place or "–"), one.team, ", ".join(one.members), one.rocket, said_score(results.rule, one),
        one.placed.why, said_near(one), [said_flight(results.rule, row) for row in one.flights],
    ) for one in results.standings] if results else []  # fmt: skip
    return ClassPage(
        contest.day, _answer(teams), _lead(results), rule, rules_file, results.rounds if results else 1, choices,
        teams, results.next if results else (), results.nobodys if results else (), trouble, needs_of(office),
        office.launch.day is not None,
    )  # fmt: skip


def _answer(teams: Sequence[TeamLine]) -> str:
    first = [one.team for one in teams if one.place == "1"]
    if not teams:
        return "No team yet"
    if not first:
        return f"{len(teams)} {'team' if len(teams) == 1 else 'teams'}, nothing measured yet"
    return f"{first[0]} is first so far" if len(first) == 1 else f"{' and '.join(first)} share the first place so far"


def _lead(results: "Results | None") -> str:
    if results is None:
        return ""
    apart = results.rule.apart
    decides = (f"Scores nearer than {apart:g} times the ± of their difference are a tie." if apart
               else "The bare figures decide, by the rule.")  # fmt: skip
    return f"By the rule “{results.rule.name}”: {results.rule.says}. {decides}"


def needs_of(office: "Office") -> "DayNeeds | None":
    """Return what the day that is planned takes; None while none is, or while its designs are being judged."""
    day = office.launch.day
    if day is None or not day.plan.turns:
        return None
    standings = office.shelf.standings(office.designs(), office.warm.ready.is_set())
    key = (day.plan.turns, tuple((one.file, id(one.judged)) for one in standings))
    if office in _KEPT and _KEPT[office][0] == key:
        return _KEPT[office][1]
    launches, found = planned_launches(day.plan), None
    if launches and launches.keys() <= {one.file for one in standings if one.judged is not None}:
        try:
            found = day_needs(office.folder, launches, office.launch.now().date().isoformat(), judge_of(office))
        except BottlewrightError:
            found = None
    _KEPT[office] = key, found
    return found


_KEPT: "WeakKeyDictionary[Office, tuple[object, DayNeeds | None]]" = WeakKeyDictionary()
"""A stop waits for no sum: each is worked out once."""
