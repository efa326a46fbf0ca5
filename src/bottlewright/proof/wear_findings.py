"""What age, launches, storage, warmth and work on the wall ask of the builder, and whether it is a bottle at all."""

from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.rocket import Vessel
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import age_words, in_own_units, percent
from bottlewright.findings import Finding, Level
from bottlewright.proof.bursts import burst_table, law
from bottlewright.proof.condition import no_bottle
from bottlewright.proof.expiry import spent
from bottlewright.proof.judged_day import days_past
from bottlewright.proof.vessel import (
    INSPECT_CYCLES,
    MOST_CYCLES,
    RETIRE_SOURCE,
    cycles_counted,
    describe_bottle,
    need,
    wall_by_mass,
    wall_temperature,
)
from bottlewright.proof.vessel_findings import finding
from bottlewright.quantities import Basis, Dimension

__all__ = ["wear_findings"]

_AGED = "aged bottles burst at 5.1 to 7.5 bar, fresh ones at 14.7 to 15.7 bar"


def wear_findings(design: Design, failed: bool, habit: UnitHabit) -> Iterator[Finding]:
    """Look at age, launches, storage and what was done to the wall; a vessel that failed is sent to no new test."""
    vessel = design.vessel
    yield from _counted(design, failed)
    yield from _stored(vessel)
    yield from _worked_on(vessel, failed)
    yield from _too_few_cycles(vessel)
    yield from _day_passed(design)
    yield from _bottle_at_all(design)
    yield from _wall_and_mass(vessel, habit)
    yield from _temperature(design)
    yield from _aged(design, failed, habit)
    if vessel.kind in (None, "unknown"):
        yield finding(
            Level.LOOK, "kind-unknown", "a bottle for still water bursts long before one for a fizzy drink",
            "nobody says what the bottle was sold with, so it is judged as the weakest kind",
            "a bottle that was sold with a fizzy drink", "published burst tests, by kind",
            "write vessel.kind, or take a bottle that you know was sold with a fizzy drink in it",
        )


def _counted(design: Design, failed: bool) -> Iterator[Finding]:
    """Look at how often it was under pressure; where nobody counted, that has to be known before anyone pumps."""
    cycles, unsaid, taken = cycles_counted(design.vessel), design.vessel.cycles is None, describe_bottle(design).cycles
    if cycles >= INSPECT_CYCLES or (unsaid and not failed):
        yield finding(
            Level.STOP if spent(design.vessel) else Level.LOOK, "retire", "a bottle wears out unseen",
            f"{'nobody has counted: taken as ' if taken > cycles else ''}{taken} times under pressure",
            "retire after 10 to 15 launches", RETIRE_SOURCE, "start with a fresh bottle",
        )
    if unsaid and not failed:
        yield finding(
            Level.HOLD, "cycles-unknown", f"a bottle that was pumped up more than {MOST_CYCLES} times is finished, and "
            "nobody has counted this one's launches",
            f"its strength is taken as after {taken} times under pressure; whether there were more, nobody says",
            f"{MOST_CYCLES} times at most", RETIRE_SOURCE,
            "ask everyone who used it and count launches and tests together, or take a bottle that was counted from "
            "the first time (vessel.cycles)",
        )


def _stored(vessel: Vessel) -> Iterator[Finding]:
    if vessel.storage == "hot car":
        yield finding(
            Level.STOP, "stored-hot", "a bottle softened by heat has lost strength that no eye can see",
            "stored in a hot car", "at 60 °C in a car every carbonated bottle deformed",
            "Tokyo Metropolitan Government, 2022", "retire this bottle; keep the next one cool and in the dark",
        )
    elif vessel.storage == "sun":
        yield finding(
            Level.LOOK, "stored-in-sun", "sunlight and warmth make the plastic brittle",
            f"stored in the sun{_when(vessel.storage_date, 'storage_date')}",
            "keep bottles cool and dark", "our judgement", "use a fresh bottle; keep it cool and in the dark",
        )


def _worked_on(vessel: Vessel, failed: bool) -> Iterator[Finding]:
    hard = [work for work in vessel.surface if work != "glued"]
    if hard:
        yield finding(
            Level.STOP, "surface-work", "heat, scratches and cuts start cracks in a stretched wall",
            f"the bottle's wall was {' and '.join(hard)}", "no hot glue, sanding or cutting on the pressure bottle",
            "contest rules for water rockets; hot melt is 120 to 195 °C, PET softens at 70 °C",
            "use a bottle with an untouched wall; carry fins on a card sleeve",
        )
    if "glued" in vessel.surface and not failed:
        yield finding(
            Level.NOTE, "glued-wall", "glue stiffens a patch of the wall, and its solvent may attack it",
            f"glue on the bottle's wall{_when(vessel.surface_date, 'surface_date')}",
            f"{percent(0.05)} taken off its strength", "our judgement",
            "proof test after gluing, not before",
        )


def _aged(design: Design, failed: bool, habit: UnitHabit) -> Iterator[Finding]:
    vessel, oldest = design.vessel, describe_bottle(design).age
    if oldest is not None and oldest > law("old", Dimension.TIME):
        yield finding(
            Level.LOOK, "old-bottle", "old bottles burst at half the pressure of fresh ones, cracking at the base",
            f"{age_words(oldest)} old{', the most that its ± leaves open' if vessel.age and vessel.age.spread else ''}",
            f"{burst_table()['law']['old']}; {in_own_units(habit, _AGED)}",
            "report of a national consumer centre, second-hand; the year is our judgement",
            f"use a fresh bottle{'' if failed else ', or proof test this one again now'}",
        )
    if vessel.age is None:
        yield finding(
            Level.LOOK, "age-unknown", "old bottles burst at half the pressure of fresh ones",
            "no age given, so it is taken as old as a bottle can get", in_own_units(habit, _AGED),
            "report of a national consumer centre, second-hand",
            f"write vessel.age, since the bottle was opened{'' if failed else ', or take a bottle whose age you know'}",
        )


def _when(day: str | None, key: str) -> str:
    """Say which tests show a bottle with what was done to it."""
    if day is None:
        return f"; nobody says when (vessel.{key}), so it is taken as later than every test"
    return f" up to {day}: only a later test shows the bottle with it"


def _too_few_cycles(vessel: Vessel) -> Iterator[Finding]:
    counted = cycles_counted(vessel)
    if vessel.cycles is not None and vessel.cycles < counted:
        yield finding(
            Level.LOOK, "cycles-too-few", "a bottle wears out unseen",
            f"vessel.cycles is {vessel.cycles}, and the tests of the file alone make {counted}",
            "each test counts as once under pressure", RETIRE_SOURCE,
            f"count again, and write vessel.cycles, launches and tests together; until then it is taken as {counted}",
        )


def _day_passed(design: Design) -> Iterator[Finding]:
    """Ask for the new day: the file speaks of one that is gone, its weather and its count of launches too."""
    days = days_past(design)
    if days:
        yield finding(
            Level.HOLD, "launch-day-passed", "a bottle goes on ageing, and so does what a test showed",
            f"charge.day is {design.charge.day}, {days} day{'s' if days > 1 else ''} ago; age and tests are counted to "
            "today", "a launch day still to come", "the dates of the design file",
            "choose the new day, and bring age, launches and weather up to it (charge.day, vessel.age, vessel.cycles, "
            "weather)",
        )


def _bottle_at_all(design: Design) -> Iterator[Finding]:
    """Refuse what is no drinks bottle made of PET."""
    odd = no_bottle(design)
    if odd:
        yield finding(
            Level.STOP, "not-a-bottle", "vessels of glass, metal or print burst into pieces, and no rule covers them",
            "; ".join(found for found, _ in odd), "; ".join(limit for _, limit in odd),
            f"{burst_table()['wall']['source']}; Water Rocket Safety Code: no metal",
            "fly a bottle that was sold with a fizzy drink in it",
        )


def _wall_and_mass(vessel: Vessel, habit: UnitHabit) -> Iterator[Finding]:
    """Look at a measured wall for which the bottle does not weigh enough."""
    wall = vessel.wall
    if wall is None or wall.basis is not Basis.MEASURED:
        return
    most = wall_by_mass(vessel, 2.0)
    if wall.value - 2.0 * wall.spread > most:
        yield finding(
            Level.LOOK, "wall-against-mass", "the wall is thinner than it was measured, and bursts sooner",
            f"vessel.wall is {habit.length(wall.value)}, and a bottle of {habit.mass(need(vessel.empty_mass))} has no "
            "more to give",
            f"{habit.length(most)}, all of its mass but the threaded neck spread over its surface",
            f"{burst_table()['wall']['mass_source']}; the wall counts as no more than this",
            "weigh the empty bottle, measure the wall on a piece cut from one like it, and write both again",
        )


def _temperature(design: Design) -> Iterator[Finding]:
    """Stop at a wall or water that is too warm, and at frost."""
    table, water = burst_table()["wall"], need(design.charge.temperature)
    wall, coldest = wall_temperature(design), min(water, need(design.weather.temperature))
    both = [one for one in (design.charge.temperature, design.weather.temperature) if one]
    warmest = max(one.value + 2.0 * one.spread for one in both)
    frostiest = min(one.value - 2.0 * one.spread for one in both)
    by_spread = f"{frostiest - 273.15:.0f} to {warmest - 273.15:.0f} °C by twice their ±"
    hot, cold = (law(key, Dimension.TEMPERATURE, "wall") for key in ("hot", "cold"))
    shown = f"water of {water - 273.15:.0f} °C, air of {need(design.weather.temperature) - 273.15:.0f} °C"
    if wall > hot + 1e-6:
        yield finding(
            Level.STOP, "too-warm", "a warm wall has lost strength, and it gives way without a sign",
            shown, f"{table['hot']} for water and wall", table["hot_source"],
            "use cool water, keep the rocket in the shade, and launch when the air is cooler",
        )
    elif wall > 308.15 or warmest > hot + 1e-6:
        yield finding(
            Level.LOOK, "warm-launch", "PET softens when warm", f"{shown}; {by_spread}",
            f"{table['hot']}; glass transition at 70 °C; strength falls well before",
            "oriented PET film, maker's table", "launch with cool water, keep the rocket in the shade",
        )
    if coldest <= cold + 1e-6:
        yield finding(
            Level.STOP, "freezing", "water freezes in valve, seal and bottle, and ice holds a release or cracks a wall",
            shown, f"above {table['cold']}", table["cold_source"], "launch on a day without frost",
        )
    elif frostiest <= cold + 1e-6:
        yield finding(
            Level.LOOK, "near-freezing", "water may freeze in valve, seal and bottle, and ice holds a release",
            f"{shown}; {by_spread}", f"above {table['cold']}", table["cold_source"],
            "measure water and air with a thermometer before anyone pumps, and launch on a day without frost",
        )
