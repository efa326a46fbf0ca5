"""`bottlewright log contest, team, results`: who takes part, by which rule, and who is first."""

from pathlib import Path
from typing import NamedTuple

import typer

from bottlewright.cli.printing import print_json, say
from bottlewright.errors import InputError

__all__ = ["ContestAsked", "contest"]


class ContestAsked(NamedTuple):
    """What the command line says of a contest; see `log`."""

    what: str
    name: str | None
    at: str | None
    rule: str | None
    rules: str | None
    rounds: str | None
    members: str | None
    rocket: str | None
    flies: bool
    out: Path | None


def contest(beside: Path, asked: ContestAsked, as_json: bool) -> int:
    """Plan a contest, enter a team, or say who is first; the day is today's unless the command says another."""
    from bottlewright.project.contest import Contest
    from bottlewright.project.logbook import now

    said = asked.at if asked.what == "team" else asked.name
    found = Contest(beside, (said or now().isoformat())[:10])
    if asked.what == "contest":
        given = {"rule": asked.rule, "rules": asked.rules, "rounds": asked.rounds}
        found.plan({key: text for key, text in given.items() if text is not None})
    elif asked.what == "team":
        if not asked.name:
            raise InputError("log team: say how the team is called")
        found.enter_team(asked.name, asked.members or "", asked.rocket or "", asked.flies)
    results = found.results(asked.rule, asked.rules)
    if asked.what == "results" and asked.out is not None:
        found.save(results, asked.out)
        say(f"Written to {asked.out}")
    if as_json:
        print_json(found.document(results))
    else:
        typer.echo(found.words(results).rstrip("\n"))
    return 0
