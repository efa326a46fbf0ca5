"""What the scatter means for the day, as findings: what was found, the limit, who set it, what would put it right."""

import math
from collections.abc import Iterator, Sequence

import shapely

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import in_own_units, percent
from bottlewright.field.distance import Distance
from bottlewright.field.exposure import Exposure
from bottlewright.field.people import people_rule
from bottlewright.field.site import FieldSite
from bottlewright.field.wind_limit import Call, HourCall, compass
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.findings import limit
from bottlewright.proof.rules import rule_table

__all__ = [
    "REMEDY", "call_findings", "distance_finding", "exposure_findings", "return_findings", "site_findings",
    "stuck_findings", "turning_findings",
]

LOCAL = "local rules and the person in charge of the site come first"
_ACROSS = {"field width": "wide", "field length": "long"}
REMEDY = "Wait for less wind, move or turn the launcher as proposed, load less pressure, or find a larger field"


def site_findings(field: FieldSite, habit: UnitHabit = METRIC) -> list[Finding]:
    """Judge the site itself: drawn at all, large enough for the published rules, the launch point clear of people."""
    return [*_drawing(field), *_size(field, habit), *_near(field, habit)]


def _drawing(field: FieldSite) -> Iterator[Finding]:
    if field.boundary is None:
        yield Finding(
            Level.LOOK, Stage.FIELD, "no-boundary",
            hazard="Nobody can say whether the rocket stays inside a field that is not drawn.",
            found="the design has no boundary",
            limit="a boundary, and the places where the rocket must not come down",
            source="our judgement",
            remedy='Write site.rectangle = { length = "150 m", width = "90 m" }, or draw a map for site.map',
        )
    elif not field.launch_given:
        yield Finding(
            Level.NOTE, Stage.FIELD, "launch-point-assumed",
            hazard="The landings are counted about a launch point that nobody chose.",
            found="no launch point is given, so the middle of the field is taken",
            limit="the place where the launcher will stand",
            source="our judgement",
            remedy="Write site.launch_point, or give the map a launch point",
        )


def _size(field: FieldSite, habit: UnitHabit) -> Iterator[Finding]:
    if field.boundary is None:
        return
    ring = shapely.get_coordinates(shapely.oriented_envelope(field.boundary))
    sides = sorted(math.dist(ring[k], ring[k + 1]) for k in range(2))
    for subject, found in (("field width", sides[0]), ("field length", sides[1])):
        for rule in rule_table():
            if rule.subject == subject and rule.value is not None and found < rule.value - 0.05:
                yield Finding(
                    Level.LOOK, Stage.FIELD, f"{subject.replace(' ', '-')}-{rule.id}",
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


def exposure_findings(seen: Sequence[Exposure], remedy: str = REMEDY) -> list[Finding]:
    """Judge each chance by its interval: too high, not settled by this many flights, or within what you accept."""
    return [_exposure(exposure, remedy) for exposure in seen]


def _exposure(exposure: Exposure, remedy: str) -> Finding:
    chance, kind = exposure.chance, exposure.kind
    if chance.value > exposure.allowed:
        level, code = kind.level, "chance-too-high"
    elif chance.high > exposure.allowed:
        level, code = Level.LOOK, "chance-not-settled"
        need = math.ceil(3.69 / exposure.allowed) if exposure.allowed > 0.0 else 0
        more = f"Run more flights to settle it (at least {need}); " if need > chance.flights else "Run more flights; "
        remedy = more + "until then take it as too high"
    else:
        level, code, remedy = Level.NOTE, "chance-within", "Keep to the wind limits"
    where = kind.name if kind.name == exposure.name else f"{exposure.name} ({kind.name})"
    return Finding(
        level, Stage.FIELD, code,
        hazard=kind.hazard,
        found=f"{chance.hits} of {chance.flights} flights came down "
              f"{'' if where.startswith('outside') else 'on '}{where}; "
        f"the chance is {'under ' + percent(chance.high) if chance.hits == 0 else chance.span}",
        limit=f"you accept {percent(exposure.allowed)} per flight",
        source=kind.source,
        remedy=f"{remedy}; {LOCAL}",
    )


def distance_finding(
    everywhere: Distance, allowed: float, sectors: Sequence[tuple[float, Distance]] = (), habit: UnitHabit = METRIC
) -> Finding:
    """Say how far people must stand: the larger of the published distance and that of the scatter."""
    rule = people_rule()
    ours = max(everywhere.metres, rule.value or 0.0)
    out = habit.stand_back(everywhere.metres)
    found = f"at most {percent(allowed)} of flights come down further out than {out}"
    if not everywhere.settled:
        found = f"the furthest flight came down {out} away, and too few were flown to say where {percent(allowed)} end"
    if sectors:
        way, least = min(sectors, key=lambda sector: sector[1].metres)
        nearest = habit.stand_back(max(least.metres, rule.value or 0.0))
        found += f"; the least distance is {nearest}, towards {compass(way)}"
    return Finding(
        Level.NOTE if everywhere.settled else Level.LOOK, Stage.FIELD, "spectators-distance",
        hazard="A rocket that comes down fast strikes hard, and people who do not look up don't see it coming.",
        found=found,
        limit=f"people stand {habit.stand_back(ours)} away on any side, the larger of that and the published rule "
        f"({in_own_units(habit, rule.says)})",
        source=f"{rule.source}; the scatter's distance is ours",
        remedy=f"Keep spectators together behind one line, upwind, all looking up; {LOCAL}",
    )


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
                  "zero; below it "
            "we give no wind limit and no go",
            source="mechanics",
            remedy="Make it steady first: fins, or larger ones further back, or weight in the nose",
        )


def return_findings(speed: float, energy: float, recovery: str, habit: UnitHabit = METRIC) -> Iterator[Finding]:
    """Say what a return without parachute is like; shown whatever its odds."""
    if not math.isfinite(energy):
        return
    held = limit("energy_toy")
    why = f"if the {recovery} stays in" if recovery != "none" else "as designed, with nothing to slow it"
    yield Finding(
        Level.LOOK, Stage.FIELD, "ballistic-return",
        hazard="A rocket that comes down without anything to slow it can hurt someone badly.",
        found=f"{why}, the rocket strikes the ground at {habit.speed(speed, 2)} with {energy:.0f} J in the middle "
              "flight",
        limit=held.says,
        source=held.source,
        remedy=f"Nobody inside the landing area, everybody looking up, a call when it is in the air; {LOCAL}",
    )


def call_findings(calls: Sequence[Call], tried: int, flights: int) -> list[Finding]:
    """Turn go, wait or no into findings: wait is a look, go is a note.

    Each names its hour, and how many flights stand behind a limit and behind a go. No is a stop for the present wind,
    the first of the calls, and when every hour says no; an hour among better ones is a look: fly at another.
    """
    hopeless = all(call.verdict is HourCall.NO for call in calls)
    levels = {HourCall.GO: Level.NOTE, HourCall.WAIT: Level.LOOK, HourCall.NO: Level.STOP}
    remedies = {
        HourCall.GO: "Measure the wind at the field before each launch",
        HourCall.WAIT: "Wait for a lull below the limit, measured at the field",
        HourCall.NO: "Do not launch at this hour; wait, or take a larger field or less pressure",
    }
    return [
        Finding(
            levels[call.verdict] if call is calls[0] or hopeless or call.verdict is not HourCall.NO else Level.LOOK,
            Stage.FIELD, f"wind-{call.verdict}",
            hazard=f"{_when(call.at)} the wind may carry the rocket out of the field or onto ground to keep out of.",
            found=f"{call.verdict.capitalize()}. {call.why}",
            limit="the strongest wind for its direction in the table of wind limits",
            source=f"our simulation with the chances you accept, by {tried} flights for each wind that was tried for a "
            f"limit and {flights} for a go",
            remedy=f"{remedies[call.verdict]}; {LOCAL}",
        )
        for call in calls
    ]


def _when(at: str) -> str:
    return "Now" if at == "now" else f"At {at}"
