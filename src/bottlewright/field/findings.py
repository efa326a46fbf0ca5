"""What the scatter means for the day, as findings: what was found, the limit, who set it, what would put it right."""

import math
from collections.abc import Iterator, Sequence

import shapely

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import in_own_units, percent
from bottlewright.field.exposure import Exposure
from bottlewright.field.people import people_rule
from bottlewright.field.people_findings import LOCAL
from bottlewright.field.site import FieldSite
from bottlewright.field.wind_limit import Call, HourCall
from bottlewright.field.words import away_words
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.findings import limit
from bottlewright.proof.rules import governs, rule_table

__all__ = [
    "REMEDY", "call_findings", "exposure_findings", "reach_findings", "return_findings", "site_findings",
    "stuck_findings", "turning_findings",
]

_ACROSS = {"field width": "wide", "field length": "long"}
REMEDY = "Wait for less wind, move or turn the launcher as proposed, load less pressure, or find a larger field"


def site_findings(field: FieldSite, habit: UnitHabit = METRIC) -> list[Finding]:
    """Judge the site itself: drawn at all, large enough for the published rules, the launch point clear of people."""
    return [*_drawing(field), *_size(field, habit), *_near(field, habit)]


def _drawing(field: FieldSite) -> Iterator[Finding]:
    if field.boundary is None:
        yield Finding(
            Level.UNCHECKED, Stage.FIELD, "no-boundary",
            hazard="Nobody can say whether the rocket stays inside a field that is not drawn.",
            found="the design has no boundary",
            limit="a boundary, and the places where the rocket must not come down",
            source="our judgement",
            remedy='Draw its edge on the page Field (in the file: site.rectangle = { length = "150 m", '
                   'width = "90 m" }, or a map as site.map)',
        )
    elif not field.launch_given:
        yield Finding(
            Level.NOTE, Stage.FIELD, "launch-point-assumed",
            hazard="The landings are counted about a launch point that nobody chose.",
            found="no launch point is given, so the middle of the field is taken",
            limit="the place where the launcher will stand",
            source="our judgement",
            remedy="Put the launcher on the drawing of the field: site.launch_point, or a launch point in the map",
        )


def _size(field: FieldSite, habit: UnitHabit) -> Iterator[Finding]:
    if field.boundary is None:
        return
    ring = shapely.get_coordinates(shapely.oriented_envelope(field.boundary))
    sides = sorted(math.dist(ring[k], ring[k + 1]) for k in range(2))
    for subject, found in (("field width", sides[0]), ("field length", sides[1])):
        for rule in rule_table():
            binds = rule.subject == subject and governs(rule, field.rules)
            if binds and rule.value is not None and found < rule.value - 0.05:
                yield Finding(
                    Level.STOP if rule.group else Level.LOOK, Stage.FIELD, f"{subject.replace(' ', '-')}-{rule.id}",
                    hazard="A rocket can come down outside a field this small.",
                    found=f"the field is {habit.distance(found)} {_ACROSS[subject]}, measured on the narrowest box "
                          "round it",
                    limit=in_own_units(habit, rule.says),
                    source=rule.source,
                    remedy="Find a larger field, or load less pressure and hold the wind limit",
                )


def _near(field: FieldSite, habit: UnitHabit) -> Iterator[Finding]:
    rule = people_rule()
    asked = in_own_units(habit, f"{rule.text} from where people may be ({rule.says})")
    for area in field.keep_outs:
        away = float(area.ground.distance(shapely.Point(0.0, 0.0)))
        if away == 0.0 or (area.kind.people and away < (rule.value or 0.0)):
            yield Finding(
                Level.STOP, Stage.FIELD, "launch-point-too-near",
                hazard=area.kind.hazard,
                found=f"{area.name} ({area.kind.name}) is {habit.distance(away)} from the launch point",
                limit=asked if away else "the launch point outside it",
                source=rule.source if away else "our judgement",
                remedy=f"Move the launcher away from it; {LOCAL}",
            )


def reach_findings(field: FieldSite, furthest: float, settled: bool, habit: UnitHabit = METRIC) -> Iterator[Finding]:
    """Say which power lines lie inside the reach in any direction: the wind of the day may turn.

    Parameters
    ----------
    furthest
        How far the landings reach in their furthest direction, m.
    settled
        Whether the flights settle it; if not, the reach is at least that far.
    """
    near = [(float(area.ground.distance(shapely.Point(0.0, 0.0))), area)
            for area in field.keep_outs if area.kind.name == "power line"]
    inside = [(away, area) for away, area in near if away < furthest]
    if inside:
        far = away_words(furthest, settled, habit)
        yield Finding(
            Level.STOP, Stage.FIELD, "power-line-in-reach",
            hazard=inside[0][1].kind.hazard,
            found="; ".join(f"{area.name} is {habit.distance(away)} from the launch point" for away, area in inside)
                  + f", and the rocket reaches {far} when the wind turns",
            limit="no power line inside the reach in any direction",
            source="our judgement; the reach holds all but as many flights as spectators may be struck by",
            remedy=f"Move the launcher away from it, load less pressure, or find another field; {LOCAL}",
        )  # fmt: skip


_WAYS = {
    "chance-too-high": "more than is accepted",
    "chance-not-settled": "not shown by so few flights to be within what is accepted",
    "chance-within": "within what is accepted",
}
MOST_NAMED = 3


def exposure_findings(seen: Sequence[Exposure], remedy: str = REMEDY) -> list[Finding]:
    """Judge each chance by its interval: too high, not settled by this many flights, or within what you accept.

    One finding for each level and answer, in which all of that kind stand; the worst first.
    """
    groups: dict[tuple[Level, str], list[Exposure]] = {}
    for one in sorted(seen, key=lambda one: -one.chance.high / max(one.allowed, 1e-9)):
        groups.setdefault(_judged(one), []).append(one)
    return [_exposures(level, code, those, remedy) for (level, code), those in groups.items()]


def _judged(exposure: Exposure) -> tuple[Level, str]:
    if exposure.chance.value > exposure.allowed:
        return exposure.kind.level, "chance-too-high"
    return (Level.LOOK, "chance-not-settled") if exposure.chance.high > exposure.allowed else (
        Level.NOTE, "chance-within")


def _exposures(level: Level, code: str, those: Sequence[Exposure], remedy: str) -> Finding:
    if code == "chance-not-settled":
        need = max(math.ceil(3.69 / one.allowed) if one.allowed > 0.0 else 0 for one in those)
        more = f"Run more flights to settle it (at least {need}); " if need > those[0].chance.flights else (
            "Run more flights; ")
        remedy = more + "until then take it as too high"
    elif code == "chance-within":
        remedy = "Keep to the wind limits"
    hazards = dict.fromkeys(one.kind.hazard for one in those)
    return Finding(
        level, Stage.FIELD, code,
        hazard=" ".join([*hazards][:MOST_NAMED]),
        found="; ".join(map(_row, those)),
        limit=f"what you accept per flight, in brackets: each is {_WAYS[code]}",
        source="; ".join(dict.fromkeys(one.kind.source for one in those)),
        remedy=f"{remedy}; {LOCAL}",
    )


def _row(exposure: Exposure) -> str:
    chance, kind = exposure.chance, exposure.kind
    where = kind.name if kind.name == exposure.name else f"{exposure.name} ({kind.name})"
    span = f"under {percent(chance.most)}" if chance.hits == 0 else f"{percent(chance.value)}, {chance.span}"
    return f"{where}: {chance.hits} of {chance.flights} flights, {span} ({percent(exposure.allowed)})"


def stuck_findings(stuck: int, flights: int) -> Iterator[Finding]:
    """Say that flights never leave the launcher, where there are such."""
    if stuck:
        yield Finding(
            Level.STOP if stuck > flights / 2 else Level.LOOK, Stage.FIELD, "stays-on-the-launcher",
            hazard="A loaded bottle that stays on the launcher is still under pressure.",
            found=f"{stuck} of {flights} flights never leave it",
            limit="the thrust has to lift the rocket off its guide",
            source="mechanics",
            remedy="More pressure, less water or a wider nozzle; let the air off from a distance first",
        )


def turning_findings(turning: int, flights: int) -> Iterator[Finding]:
    """Say that the rocket turns over, where it does in most flights: where it lands is then anybody's guess."""
    if turning > flights / 2:
        yield Finding(
            Level.STOP, Stage.FIELD, "turns-over",
            hazard="A rocket that turns over goes anywhere, under power.",
            found=f"in {turning} of {flights} flights the pressure centre comes to lie ahead of the balance point",
            limit="the static margin, how far the pressure centre lies behind the balance point, has to stay above "
                  "zero; below it we give no wind limit and judge no hour",
            source="mechanics",
            remedy="Make it steady first: fins, or larger ones further back, or weight in the nose",
        )


def return_findings(speed: float, energy: float, stays: str, habit: UnitHabit = METRIC) -> Iterator[Finding]:
    """Say what a return without anything to slow it is like; shown whatever its odds.

    `stays` says what then failed, such as "the parachute stays in"; empty where nothing is meant to slow it.
    """
    if not math.isfinite(energy):
        return
    held = limit("energy_toy")
    why = f"if {stays}" if stays else "as designed, with nothing to slow it"
    yield Finding(
        Level.LOOK, Stage.FIELD, "ballistic-return",
        hazard="A rocket that comes down without anything to slow it can hurt someone badly.",
        found=f"{why}, the rocket strikes the ground at {habit.speed(speed, 2)} with {energy:.0f} J in the middle "
              "flight",
        limit=held.says,
        source=held.source,
        remedy=f"Nobody inside the landing area, everybody looking up, a call when it is in the air; {LOCAL}",
    )


_CALLS = {
    HourCall.OPEN: ("wind-nothing-against", Level.NOTE, "Measure the wind at the field before each launch"),
    HourCall.WAIT: ("wind-wait", Level.LOOK, "Wait for a lull below the limit, measured at the field"),
    HourCall.NO: ("wind-no", Level.STOP,
                  "Do not launch at this hour; wait, or take a larger field or less pressure"),
}  # fmt: skip


def call_findings(calls: Sequence[Call], tried: int, flights: int) -> list[Finding]:
    """Turn no, wait or nothing against it into findings, one for each level and answer.

    Each names its hours, and how many flights stand behind a limit and behind an hour. No is a stop for the present
    wind, the first of the calls, and when every hour says no; an hour among better ones is a look: fly at another.
    """
    hopeless = all(call.verdict is HourCall.NO for call in calls)
    groups: dict[tuple[Level, HourCall, str], list[Call]] = {}
    for call in calls:
        level = _CALLS[call.verdict][1]
        if level is Level.STOP and call is not calls[0] and not hopeless:
            level = Level.LOOK
        groups.setdefault((level, call.verdict, call.about), []).append(call)
    return [_called(level, those, tried, flights) for (level, _, _), those in groups.items()]


_BLOWN = "The wind may carry the rocket out of the field or onto ground to keep out of."
_IN_PLACE = {
    "crew": ("In this wind the rocket may come down on operator or pumper.",
             "Move operator and pumper to another place, or give them shelter, before launching in this wind"),
    "spectators": ("In this wind the rocket may come down among the spectators where they stand.",
                   "Move the spectators as far away as is said, or keep to the wind of another hour"),
}  # fmt: skip
"""Hazard and remedy where it is not the wind over the ground, but somebody's place, that stands against an hour."""


def _called(level: Level, those: Sequence[Call], tried: int, flights: int) -> Finding:
    code, _, remedy = _CALLS[those[0].verdict]
    hazard, remedy = _IN_PLACE.get(those[0].about, (_BLOWN, remedy))
    ground = those[0].about == "ground"
    return Finding(
        level, Stage.FIELD, code if ground else f"{code}-{those[0].about}",
        hazard=hazard,
        found="; ".join(f"{call.at}, {call.verdict}. {call.why}" for call in those),
        limit="the strongest wind for its direction in the table of wind limits" if ground else
              "the accepted chance of a strike, for each place where somebody stands",
        source=f"our simulation with the chances you accept, by {tried} flights for each wind that was tried for a "
               f"limit and {flights} for an hour that nothing is found against",
        remedy=f"{remedy}; {LOCAL}",
    )  # fmt: skip
