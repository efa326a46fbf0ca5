"""What the landings mean for operator, pumper and spectators, as findings."""

from collections.abc import Iterator, Sequence

import shapely

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import in_own_units, percent
from bottlewright.field.compass import bearing_words, compass
from bottlewright.field.distance import Distance
from bottlewright.field.ground import Watching
from bottlewright.field.people import Accepted, Stand, heavy, in_lull, people_rule, reach
from bottlewright.field.site import FieldSite
from bottlewright.field.words import away_at_least, away_words
from bottlewright.findings import Finding, Level, Stage
from bottlewright.names import several

__all__ = [
    "LOCAL", "ballistic_findings", "crew_findings", "elsewhere_words", "spectators_finding", "stand_level",
    "strike_words", "unsettled_words",
]  # fmt: skip

LOCAL = "local rules and the person in charge of the site come first"
_PAD = shapely.Point(0.0, 0.0)
_CREW = "A rocket that comes down on operator or pumper can hurt them badly."


def crew_findings(stands: Sequence[Stand], accepted: Accepted, habit: UnitHabit = METRIC) -> Iterator[Finding]:
    """Judge where operator and pumper stand: one finding for each level."""
    by_level: dict[Level, list[Stand]] = {}
    for one in stands:
        by_level.setdefault(stand_level(one), []).append(one)
    for level, those in by_level.items():
        yield _crew(level, those, accepted, habit)


def stand_level(one: Stand) -> Level:
    """Say how one's place stands."""
    if one.struck:
        return Level.STOP if one.placed else Level.HOLD
    return Level.LOOK if one.sheltered or one.bound > one.allowed else Level.NOTE


def _crew(level: Level, those: Sequence[Stand], accepted: Accepted, habit: UnitHabit) -> Finding:
    code = {Level.STOP: "crew-in-landing-zone", Level.HOLD: "crew-place-unsaid",
            Level.LOOK: "crew-place-not-settled"}.get(level, "crew-place")
    elsewhere = ". ".join(elsewhere_words(one, habit) for one in those)
    remedies = {Level.STOP: elsewhere, Level.HOLD: elsewhere, Level.LOOK: _look(those, elsewhere)}
    radius, why = reach()
    return Finding(
        level, Stage.FIELD, code,
        hazard=_CREW,
        found="; ".join(_seen(one, habit) for one in _together(those)),
        limit=f"{percent(accepted.a_launch)} per flight for each of them: {percent(accepted.a_day)} a day over "
              f"{several(accepted.launches, 'launch')}; a landing within {habit.distance(radius)} counts as a strike",
        source=f"{accepted.source}; reach: {why}",
        remedy=f"{remedies.get(level, 'Stand there, looking up until it is down')}; {LOCAL}",
    )  # fmt: skip


def _look(those: Sequence[Stand], elsewhere: str) -> str:
    """Say what to do about places that the flights do not settle, or that rest on a shelter."""
    if all(one.better == (one.distance, one.bearing, True) for one in those):
        return "Keep to these places, everybody looking up"
    shelter = "Somebody checks the shelter first; without it: " if any(one.sheltered for one in those) else ""
    return (f"{shelter}{elsewhere}; everybody looking up. To settle a nearer place run more flights: by counting "
            f"alone it takes {max(one.need for one in those)}")


def _together(those: Sequence[Stand]) -> list[Stand]:
    """Return the places, the operator and the pumper as one where they stand side by side ."""
    if len({(one.distance, one.bearing) for one in those}) == 1 and len(those) > 1:
        return [those[0]._replace(role="operator and pumper")]
    return [*those]


def _seen(one: Stand, habit: UnitHabit) -> str:
    chosen = "" if one.chosen else ", the side with the fewest landings"
    place = f"{one.role}, {habit.distance(one.distance)} away towards {bearing_words(one.bearing)}{chosen}"
    if not one.placed:
        stands = "stand" if " and " in one.role else "stands"
        side = bearing_words(one.bearing)
        place = f"nobody has said how far away {one.role} {stands}; by the published distance, towards {side}"
    if one.sheltered:
        return f"{place}, under shelter, which we have not checked; without it {strike_words(one, habit)}"
    return f"{place}: {strike_words(one, habit)}"


def strike_words(one: Stand, habit: UnitHabit) -> str:
    """Say what was counted at one's place, and the chance of a strike."""
    then = in_lull(one, habit)
    if one.chance == 0.0:
        return f"no landing counted there, and the chance of a strike is under {percent(one.bound)}{then}"
    return f"struck in {percent(one.chance)} of flights, {percent(max(one.bound, one.chance))} at most{then}"


def elsewhere_words(one: Stand, habit: UnitHabit) -> str:
    """Say where this person may stand, or what it takes where no place within cord or hose will do."""
    if one.better is None:
        return f"No place on that side will do for {one.role}: shelter, another load, or another field"
    distance, bearing, settled = one.better
    place = f"{away_words(distance, settled, habit)} away towards {bearing_words(bearing)}"
    if one.line_length is not None and distance > one.line_length + 1e-9:
        do = "will do" if one.struck else "is shown by so few flights to do"
        return (f"No place within the {one.line} of {habit.distance(one.line_length)} {do} for {one.role}: "
                f"a longer {one.line}, to stand {place}, or shelter, or another field")
    return f"{one.role.capitalize()} {place}"


def unsettled_words(sectors: Sequence[tuple[float, Distance]], habit: UnitHabit) -> str:
    """Say on which sides so few flights come down that no distance is settled, and which counts; empty where none."""
    loose, settled = ([one for one in sectors if one[1].settled is there] for there in (False, True))
    if not loose:
        return ""
    sides = ", ".join(compass(bearing) for bearing, _ in loose)
    said = (f"towards {sides} so few of them come down that no distance is settled, and the same flights flown again "
            "say the same")  # fmt: skip
    if not settled:
        return f"{said}; more flights may settle it (scatter.flights)"
    side, nearest = min(settled, key=lambda one: one[1].metres)
    furthest = max(one.metres for _, one in sectors)
    return (f"{said}: what counts there is the distance for any side, {habit.stand_back(furthest)}; settled is, for "
            f"one, {habit.stand_back(nearest.metres)} towards {compass(side)}")  # fmt: skip


def spectators_finding(
    watching: Watching, everywhere: Distance, accepted: Accepted, need: int, habit: UnitHabit = METRIC,
    sectors: Sequence[tuple[float, Distance]] = (),
) -> Finding:
    """Say how far spectators stand, on their side and on any side, and hold the plan against it.

    Parameters
    ----------
    watching
        Where they stand.
    everywhere
        Distance for any side.
    accepted
        Chance of a strike.
    need
        Flights that could count it without an assumption about the tail.
    sectors
        Distance of each side.
    """
    rule, asked = people_rule(), watching.asked
    far = habit.stand_back(asked.metres)
    inside = watching.planned is not None and watching.planned < asked.metres - 1e-9
    # Where their own side settles nothing, the distance for any side counts: nearer than that has to be settled first.
    nearer = watching.planned is not None and not asked.settled and watching.planned < everywhere.metres - 1e-9
    level = (Level.STOP if inside else Level.HOLD if nearer
             else Level.LOOK if not (asked.settled and everywhere.settled) else Level.NOTE)  # fmt: skip
    code = "spectators-in-landing-zone" if inside else "spectators-distance"
    side = "" if watching.chosen else ", the side where they may stand nearest"
    stand = f"{far} or more" if asked.settled else f"more than {far}"
    found = f"the landings ask for {stand} towards {bearing_words(watching.bearing)}{side}, and for "
    found += f"{habit.stand_back(everywhere.metres)} on any side"
    if watching.planned is not None:
        found = f"spectators stand {habit.distance(watching.planned)} away; {found}"
    if level is Level.LOOK or not asked.settled:
        loose = unsettled_words(sectors, habit)
        found += f"; {loose}" if loose else f"; the flights do not settle it: by counting alone it takes {need}"
    return Finding(
        level, Stage.FIELD, code,
        hazard="A rocket that comes down fast strikes hard, and people who do not look up don't see it coming.",
        found=found,
        limit=f"landings further out in their 30° count as strikes, at most {percent(accepted.a_launch)} of flights "
              f"({percent(accepted.a_day)} a day over {several(accepted.launches, 'launch')}), and never less than the "
              f"published distance ({in_own_units(habit, rule.says)})",
        source=f"{rule.source}; accepted strikes: {accepted.source}",
        remedy=f"Spectators behind one line, {_line(watching, everywhere, habit)}, all looking up; {LOCAL}",
    )  # fmt: skip


def _line(watching: Watching, everywhere: Distance, habit: UnitHabit) -> str:
    """Say how far the line of the spectators is; where their own side settles nothing, the distance for any side."""
    if watching.asked.settled:
        return f"{away_at_least(watching.asked.metres, True, habit)} towards {bearing_words(watching.bearing)}"
    return f"{away_at_least(max(watching.asked.metres, everywhere.metres), everywhere.settled, habit)} on any side"


def ballistic_findings(
    site: FieldSite, watching: Watching, furthest: float, energy: float, slowed_by: str = "",
    habit: UnitHabit = METRIC,
) -> Iterator[Finding]:
    """Say that a rocket that strikes hard comes down where people are; the wind may turn.

    Parameters
    ----------
    furthest
        Reach in any direction, m.
    energy
        Of the strike of the middle flight, J.
    slowed_by
        That what slows it is out, such as "its parachute is out"; empty where it has nothing.
    """
    least, source = heavy()
    if not energy >= least:
        return
    near = [f"{area.name} ({area.kind.name})" for area in site.keep_outs
            if area.kind.people and area.ground.distance(_PAD) < furthest]
    if watching.planned is not None and watching.planned < furthest:
        near.insert(0, f"spectators {habit.distance(watching.planned)} away")
    if near:
        yield Finding(
            Level.STOP, Stage.FIELD, "ballistic-with-people",
            hazard="A heavy rocket that comes down with nothing to slow it can kill." if not slowed_by else
                   f"A rocket that strikes this hard can kill, though {slowed_by}.",
            found=f"it strikes with {energy:.0f} J, reaches {habit.stand_back(furthest)} when the wind turns, and "
                  f"inside that are {', '.join(near)}",
            limit=f"nobody inside the reach of a strike of {least:.0f} J or more",
            source=source,
            remedy=f"A {'larger ' if slowed_by else ''}parachute, people further away than the reach, less pressure, "
                   f"or another field; {LOCAL}",
        )  # fmt: skip
