"""People, bottles, water and launcher of one day."""

import math
from collections.abc import Iterator

from bottlewright.make.need.asked import (
    UNKNOWN,
    WAITING,
    Asked,
    Count,
    Group,
    RestsOn,
    rule_named,
    sentence,
    table,
    things,
    vessels_in_use,
)  # fmt: skip
from bottlewright.make.need.figures import Figures
from bottlewright.names import several
from bottlewright.quantities import neat

__all__ = ["bottles", "launcher", "people"]


def people(asked: Asked, of: Figures) -> Iterator[Count]:
    """Count people and what each wears."""
    left = asked.children % asked.team
    how = f"{several(asked.children, 'child', 'children')}, {asked.team} to a rocket"
    how += f"; the last team has {left}." if left else "."
    yield things("People", "teams", "Teams, each with a rocket", asked.teams, how, RestsOn.ASKED)
    yield things("People", "adult", "Adult at the launcher", 1,
                  "At every launch, to stop it when in doubt. Local rules first.",
                  RestsOn.JUDGEMENT)  # fmt: skip
    rule = rule_named("nebraska-officers")
    yield things("People", "jobs", "People with a job at the launcher", 3,
                  f"{sentence(rule.says)}: {rule.source}. The adult is one of the three.", RestsOn.RULE)
    yield _watching(asked, of)
    yield _goggles(asked, of)


def _watching(asked: Asked, of: Figures) -> Count:
    what, most = "Adults with the children who wait", of.children_per_adult
    if not most:
        how = "How many children one adult looks after is a rule of your school, club or country. Ask."
        return Count("People", "watching", what, None, "", UNKNOWN, how, RestsOn.NOBODY)
    waiting = max(asked.children - min(asked.team, asked.children), 0)
    how = f"One for each {most} of the {waiting} not at the launcher, by the local rule in the design."
    return things("People", "watching", what, -(-waiting // most), how, RestsOn.DESIGN)


def _goggles(asked: Asked, of: Figures) -> Count:
    """Count one for each person near: everybody, where spectators may stand nearer than the rule for goggles."""
    rule, what = rule_named("nebraska-goggles"), "Eye protection, one each"
    if of.away is None:
        return Count("People", "goggles", what, None, "", WAITING, "It hangs on how far off people are.", RestsOn.RULE)
    near, reach = asked.team + 1, of.habit.stand_back(rule.value or 0.0)
    if of.away.nearest_m >= (rule.value or 0.0):
        how = (f"Goggles inside {reach}: {rule.source}. Spectators stand further off, so it is the team and "
               "whoever has a job at the launcher.")  # fmt: skip
        return things("People", "goggles", what, max(near, 3), how, RestsOn.RULE)
    adults = 1 + int(_watching(asked, of).amount or 0)
    how = (f"Goggles inside {reach}: {rule.source}. Spectators may stand nearer than that, so it is every child and "
           f"{several(adults, 'adult')}; one more for each other adult who comes.")  # fmt: skip
    return things("People", "goggles", what, max(asked.children + adults, 3), how, RestsOn.RULE)




def bottles(asked: Asked, of: Figures) -> Iterator[Count]:
    """Count bottles, their water tests and the water."""
    group: Group = "Bottles and water"
    used, retire = vessels_in_use(asked), rule_named("nasa-retire")
    spare = max(math.ceil(table()["spare"] * used - 1e-9), 1)
    each = f", {of.bottles} bottles in each" if of.bottles > 1 else ""
    yield things(group, "used", "Bottles that fly", used * of.bottles,
                  f"{several(asked.teams, 'team')}, {several(used // asked.teams, 'vessel')} each{each}.",
                  RestsOn.ASKED)  # fmt: skip
    breaks = f" The chance that one breaks in its test is {of.test.break_chance}." if of.test else ""
    yield things(group, "spare", "Spare bottles", spare * of.bottles,
                  f"One for every {round(1 / table()['spare'])} that fly, one at the least.{breaks}",
                  RestsOn.JUDGEMENT)  # fmt: skip
    yield things(group, "bottles", "Bottles together", (used + spare) * of.bottles,
                 "Those that fly and the spare ones.", RestsOn.ASKED)  # fmt: skip
    tests = used + spare if of.test else 0
    proof = "This vessel is finished: nobody pumps or tests it again."
    if of.test:
        proof = f"Every vessel has its own, spare ones too: full of water, to {of.test.proof} on the gauge."
    yield things(group, "tests", "Water tests", tests, proof, RestsOn.DESIGN)
    flown = -(-asked.children // used)
    yield things(group, "cycles", "Times under pressure, each", flown + 1,
                  f"Its water test and {several(flown, 'launch', 'launches')}; a leak test and a misfire count too. "
                  f"{sentence(retire.says)}: {retire.source}.", RestsOn.RULE)  # fmt: skip
    yield from _water(asked, of, tests)


def _water(asked: Asked, of: Figures, tests: int) -> Iterator[Count]:
    launches = _litres(asked.children * of.water)
    spilt = _litres(table()["spilt"] * asked.children * of.water)
    tested = _litres(tests * of.test.water if of.test else 0.0)
    for code, what, litres, how, rests in (
        ("water-launches", "Water for launches", launches,
         f"One launch for each child, {neat(of.water, 'mL')} each.", RestsOn.DESIGN),
        ("water-spilt", "Water spilt or poured away", spilt,
         f"{table()['spilt']:.0%} more: spills, and launches that are called off.", RestsOn.JUDGEMENT),
        ("water-tests", "Water for the tests", tested,
         f"{several(tests, 'test')}, filled to the brim each time; the water can be caught and used again.",
         RestsOn.DESIGN),
        ("water", "Water together", launches + spilt + tested, "The three lines above.", RestsOn.DESIGN),
    ):  # fmt: skip
        yield Count("Bottles and water", code, what, litres * 1e-3, "m3", f"{litres} L", how, rests)


def _litres(volume: float) -> int:
    """Return whole litres, rounded up."""
    return math.ceil(volume * 1e3 - 1e-9)




def launcher(asked: Asked, of: Figures) -> Iterator[Count]:
    """Count what stands on the field once."""
    yield things("Launcher", "launchers", "Launchers", 1, "All of this is counted for one.", RestsOn.JUDGEMENT)
    spare = table()["spare_pumps"]
    yield things("Launcher", "pumps", "Pumps", 1 + spare, f"One at work and {spare} spare.", RestsOn.JUDGEMENT)
    yield from _strokes(asked, of)
    away = of.away
    lines = (("hose", "pumper", "whoever pumps", of.hose, away.pumper_m if away else None),
             ("cord", "operator", "whoever pulls it", of.cord, away.operator_m if away else None))  # fmt: skip
    for code, role, who, there, needed in lines:
        yield _line(of, code, role, who, there, needed)
    gauge, pegged = rule_named("nebraska-gauge"), rule_named("nebraska-pegged")
    yield things("Launcher", "gauge", "Pressure gauge", 1, f"{sentence(gauge.says)}: {gauge.source}.", RestsOn.RULE)
    yield _pegs(of, f"{sentence(pegged.says)}: {pegged.source}.")
    yield things("Launcher", "bleed", "Bleed valve at the operator's place", 1,
                  "After a misfire somebody lets the pressure off from there.", RestsOn.JUDGEMENT)  # fmt: skip


def _pegs(of: Figures, asks: str) -> Count:
    what, stakes = "Stakes, or weights on hard ground", [part for part in of.parts.parts if part.code == "stake"]
    if not stakes:
        return Count("Launcher", "pegs", what, None, "", UNKNOWN, f"{asks} The design names none.", RestsOn.RULE)
    return things("Launcher", "pegs", what, stakes[0].quantity, f"{asks} So many are in the design.", RestsOn.DESIGN)


def _strokes(asked: Asked, of: Figures) -> Iterator[Count]:
    pump, what = of.pumping, "Pump strokes, each launch"
    air = f"{neat(pump.air, 'L')} of air to {of.pressure} on the gauge, as planned"
    whose = "the design's pump" if pump.described else "a track pump"
    if pump.compressor:
        yield Count("Launcher", "strokes", what, None, "", "none", f"A compressor brings {air}.", RestsOn.DESIGN)
        return
    if not math.isfinite(pump.strokes):
        yield Count("Launcher", "strokes", what, None, "", "out of reach",
                    f"This pump ({pump.pump}: {whose}) never gets {air}.", RestsOn.DESIGN)  # fmt: skip
        return
    rests = RestsOn.DESIGN if pump.described else RestsOn.PRACTICE
    spread = math.ceil(pump.spread) if math.isfinite(pump.spread) else 0
    shown = f"{math.ceil(pump.strokes)}" + (f" ± {spread}" if spread else "")
    how = f"{air}, slowly, hose counted, less what stays in the pump; {pump.pump}: {whose}."
    yield Count("Launcher", "strokes", what, math.ceil(pump.strokes), "", shown, how, rests, spread)
    yield things("Launcher", "all-strokes", "Pump strokes, all launches", asked.children * math.ceil(pump.strokes),
                  f"{several(asked.children, 'launch', 'launches')}. Share them out.", rests)  # fmt: skip


def _line(of: Figures, code: str, role: str, who: str, there: float | None, needed: float | None) -> Count:
    """Say how long hose or cord is at the least: whoever holds its end stands that far off."""
    what = f"{code.capitalize()}, at least"
    if of.away is None:
        return Count("Launcher", code, what, None, "m", WAITING, "As far as its end stands away.", RestsOn.RULE)
    own = f" In the design: {of.habit.distance(there)}." if there is not None else " None in the design yet."
    least = "nobody has found it" if needed is None else str(getattr(of.away, role)).partition(" by ")[0]
    planned = " by the plan" if " by your plan" in str(getattr(of.away, role)) else ""
    how = f"So far off stands {who}{planned}{'' if of.away.landings else ', landings not worked out'}.{own}"
    return Count("Launcher", code, what, needed, "m", least, how, RestsOn.RULE)
