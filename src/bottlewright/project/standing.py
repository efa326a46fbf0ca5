"""Where everybody stands in one wind, with the counted chance of a strike, and how far spectators keep on each side."""

from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.grounds import ROLES

if TYPE_CHECKING:
    from bottlewright.design import Design
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.field.ground import Ground
    from bottlewright.field.people import Stand
    from bottlewright.field.wind_limit import Call
    from bottlewright.project.result import Result
    from bottlewright.project.scatter import ScatterResult

__all__ = ["Hour", "Standing", "beside_words", "chances", "hour_of", "sides", "standings"]


class Standing(NamedTuple):
    """One person's place.

    Parameters
    ----------
    role, does
        As the file and as a page calls them.
    level
        Of what is found of the place: "stop", "hold", "look", "note", or "open" where nobody has said where.
    where, chance, elsewhere
        The place, what was counted there, and where else they may stand; the last empty where this place does.
    accepted
        The chance of a strike in a flight that is accepted.
    """

    role: str
    does: str
    level: str
    where: str
    chance: str
    accepted: str
    elsewhere: str


def standings(design: "Design", ground: "Ground", habit: "UnitHabit") -> list[Standing]:
    """Return everybody's place by the landings in one wind."""
    return [*(_crew(one, habit) for one in ground.stands), _spectators(design, ground, habit)]


def _crew(one: "Stand", habit: "UnitHabit") -> Standing:
    from bottlewright.design.unit_text import percent
    from bottlewright.field.compass import bearing_words
    from bottlewright.field.people_findings import elsewhere_words, stand_level, strike_words

    side = "" if one.chosen else ", the side with the fewest landings"
    said = "" if one.placed else "nobody has said; by the published distance "
    keeps = one.better is not None and (one.better.distance, one.better.bearing) == (one.distance, one.bearing)
    shelter = "under shelter, which we have not checked; without it " if one.sheltered else ""
    return Standing(
        one.role, ROLES[one.role], str(stand_level(one)),
        f"{said}{habit.distance(one.distance)} towards {bearing_words(one.bearing)}{side}",
        f"{shelter}{strike_words(one, habit)}", percent(one.allowed), "" if keeps else elsewhere_words(one, habit),
    )  # fmt: skip


def _spectators(design: "Design", ground: "Ground", habit: "UnitHabit") -> Standing:
    from bottlewright.design.unit_text import percent
    from bottlewright.field.compass import bearing_words
    from bottlewright.field.people import accepted
    from bottlewright.field.words import away_at_least, away_words

    watching = ground.watching
    towards, asked = bearing_words(watching.bearing), watching.asked
    far = away_words(asked.metres, asked.settled, habit)
    line = f"{away_at_least(asked.metres, asked.settled, habit)} towards {towards}"
    near = watching.planned is not None and watching.planned < asked.metres - 1e-9
    furthest = max((one for _, one in ground.sectors), key=lambda one: one.metres) if ground.sectors else asked
    nearer = watching.planned is not None and watching.planned < furthest.metres - 1e-9
    loose = "hold" if nearer else "look"
    level = "open" if watching.planned is None else "stop" if near else "note" if asked.settled else loose
    where = "nobody has said" if watching.planned is None else f"{habit.distance(watching.planned)} towards {towards}"
    side = "" if watching.chosen else ", the side where they may stand nearest"
    found = f"landings further out towards {towards} count as strikes: at {far} they are as few as is accepted"
    if not asked.settled and ground.sectors:
        line, side = f"{away_at_least(furthest.metres, furthest.settled, habit)} on any side", ""
        found = f"so few come down towards {towards} that no distance is settled there"
    return Standing("spectators", ROLES["spectators"], level, where, found,
                    percent(accepted(design, "spectators").a_launch),
                    f"Spectators {line}{side}" if level != "note" else "")  # fmt: skip


def sides(ground: "Ground", habit: "UnitHabit") -> list[tuple[str, str]]:
    """Return how far spectators keep off, by side of the launcher."""
    from bottlewright.field.compass import bearing_words
    from bottlewright.field.words import sides_words

    said = sides_words([one for _, one in ground.sectors], habit)
    return [(bearing_words(way), far) for (way, _), far in zip(ground.sectors, said, strict=True)]


def chances(found: "ScatterResult") -> list[tuple[str, str, str]]:
    """Return the chance of each bad place: what it is, the chance with what counting leaves open, what is accepted."""
    from bottlewright.field.results import chance_rows

    return list(chance_rows(found.found))


def beside_words(result: "Result") -> str:
    """Return what is open besides what is said, as it stands beside every statement of Field."""
    from bottlewright.verdict import open_words

    said = open_words(result.verdict)
    return f"{said[:1].upper()}{said[1:]}"


class Hour(NamedTuple):
    """What an hour says: when, "no", "wait" or "nothing against it", and because."""

    at: str
    says: str
    why: str


def hour_of(result: "Result", call: "Call", asked: bool = False) -> Hour:
    """Return what an hour says; where something else stops the launch, or nobody knows the wind, that goes first.

    Parameters
    ----------
    asked
        Whether it is a wind that somebody asks about: then it is known.
    """
    from bottlewright.field.wind_limit import called_under
    from bottlewright.verdict.judgement import wind_unknown

    stopped = result.act.says if result.act.level == "stop" else ""
    told = called_under(call, stopped, "" if asked else wind_unknown(result.design))
    return Hour(told.at, str(told.verdict), told.why)
