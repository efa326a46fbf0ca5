"""A contest as it stands: teams in their order, what each flew, places, and whose turn it is."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from bottlewright.logbook.placing import Placed, placed_teams
from bottlewright.logbook.records import ContestFile, FlightFile, Team
from bottlewright.logbook.scoring import Flown, Rule, flown_of

__all__ = ["Results", "Row", "Standing", "results_of", "teams_in"]


class Row(NamedTuple):
    """One launch in a team's line: which of the day, what counts, and why it does not where it does not."""

    launch: str
    flown: Flown
    rocket: str


class Standing(NamedTuple):
    """A team's line."""

    team: str
    members: tuple[str, ...]
    rocket: str
    placed: Placed
    flights: tuple[Row, ...]


class Results(NamedTuple):
    """A contest as it stands.

    Parameters
    ----------
    standings
        Teams in the order of their places.
    next
        Whose launches are still to come, each with its round.
    nobodys
        Launches that say no team.
    """

    rule: Rule
    rounds: int
    standings: tuple[Standing, ...]
    next: tuple[tuple[str, int], ...]
    nobodys: tuple[str, ...]


def teams_in(contest: ContestFile | None) -> list[Team]:
    """Return the teams of a contest, by the last entry of each, in the order in which they were entered first."""
    if contest is None:
        return []
    latest: dict[str, Team] = {}
    for one in sorted(contest.team, key=lambda one: str(one.at or "")):
        latest[one.team] = one
    return [one for one in latest.values() if one.flies]


def results_of(
    contest: ContestFile | None, flights: Sequence[FlightFile], rule: Rule, known: Mapping[str, Rule]
) -> Results:
    """Return places and turns by the launches of a contest's day; a team that only a launch names counts too."""
    ordered = sorted(flights, key=lambda flight: (flight.day, flight.number, flight.entry))
    teams = {one.team: one for one in teams_in(contest)}
    lines: dict[str, list[Row]] = {team: [] for team in teams}
    for one in ordered:
        if one.team:
            lines.setdefault(one.team, []).append(Row(f"{one.day}-{one.number:02d}", flown_of(one), one.rocket))
    placed = placed_teams(rule, {team: [row.flown for row in rows] for team, rows in lines.items()}, known)
    rounds = contest.rounds if contest and contest.rounds else 1
    flew = {team: sum(row.flown.counts for row in rows) for team, rows in lines.items()}
    turns = [(team, number) for number in range(1, rounds + 1) for team in lines if flew[team] < number]
    return Results(rule, rounds, tuple(_standing(one, teams.get(one.team), lines[one.team]) for one in placed),
                   tuple(turns), tuple(f"{one.day}-{one.number:02d}" for one in ordered if not one.team))  # fmt: skip


def _standing(placed: Placed, team: Team | None, rows: Sequence[Row]) -> Standing:
    rocket = (team.rocket if team else None) or next((row.rocket for row in rows), "")
    return Standing(placed.team, tuple(team.members) if team else (), rocket, placed, tuple(rows))
