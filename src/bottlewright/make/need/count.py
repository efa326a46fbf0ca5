"""The whole count: rows, what does not fit, and what was not counted."""

import math
from collections.abc import Iterator
from dataclasses import replace

from bottlewright.make.need.asked import Asked, Count, Counted, amount, rule_named
from bottlewright.make.need.figures import Figures
from bottlewright.make.need.ground import field, field_habit, field_rules
from bottlewright.make.need.hours import hours, in_hours
from bottlewright.make.need.money import money, one_money
from bottlewright.make.need.things import bottles, launcher, people
from bottlewright.names import several
from bottlewright.quantities import neat

__all__ = ["count_needs"]


_MOST_LAUNCHERS = 4
"""More than these on one field is no way out that anybody should be given: our judgement."""


def count_needs(asked: Asked, of: Figures) -> Counted:
    """Count what a day needs."""
    rows: list[Count] = [*people(asked, of), *bottles(asked, of)]
    rows += [*launcher(asked, of), *hours(asked, of, amount(rows, "tests")), *money(asked, of, rows),
             *field(asked, of)]  # fmt: skip
    counted = Counted(tuple(rows), (), ())
    return replace(counted, misfits=tuple(_misfits(asked, of, counted)), not_counted=tuple(_not_counted(of)))



def _misfits(asked: Asked, of: Figures, counted: Counted) -> Iterator[str]:
    """Say what does not fit, and which ways out there are."""
    if of.away and of.away.stop:
        yield f"{of.away.stop}."
    yield from _time_misfit(asked, counted)
    if of.test is None:
        yield "Nobody pumps this vessel again: start from a fresh bottle."
    if not of.pumping.compressor and not math.isfinite(of.pumping.strokes):
        yield f"This pump does not reach {of.pressure}: take another pump, or pump less."
    cost = counted["cost"].amount
    if asked.budget is not None and cost is not None:
        if not one_money(asked, of):
            yield (f"The budget is in {asked.currency}, the price list in {of.parts.currency}: nobody has held one "
                   "against the other.")  # fmt: skip
        elif cost > asked.budget:
            yield f"What has a price costs {counted['cost'].shown}, over the budget by {cost - asked.budget:.2f}."
    yield from _line_misfits(of)
    yield from _field_misfits(asked, of)


def _time_misfit(asked: Asked, counted: Counted) -> Iterator[str]:
    fit, there = int(counted["fit"].amount or 0), neat(asked.hours, "h")
    if fit >= asked.children:
        return
    need = f"{several(asked.children, 'child', 'children')} at one each need {in_hours(counted['hours'].amount or 0.0)}"
    if not fit:
        yield f"No launch fits into {there}; {need}."
        return
    each = -(-asked.children // fit)
    ways = [f"{several(each, 'launcher')} with people and distances for each"] if each <= _MOST_LAUNCHERS else []
    if asked.teams <= fit:
        ways.append(f"one launch for each team of {asked.team} ({several(asked.teams, 'launch', 'launches')})")
    else:
        ways.append(f"teams of {each} with one launch each")
    yield f"{several(fit, 'launch fits', 'launches fit')} into {there}; {need}: {', or '.join(ways)}, or more hours."


def _line_misfits(of: Figures) -> Iterator[str]:
    """Say where the published rule asks for a longer line than the design has."""
    for name, there, needed in (("hose", of.hose, of.away.pumper_m if of.away else None),
                                ("cord", of.cord, of.away.operator_m if of.away else None)):  # fmt: skip
        if there is not None and needed is not None and there < needed - 1e-9:
            yield (f"The {name} of the design is {of.habit.distance(there)}; whoever holds its end stands "
                   f"{of.habit.stand_back(needed)} away.")  # fmt: skip


def _field_misfits(asked: Asked, of: Figures) -> Iterator[str]:
    habit = field_habit(asked, of)
    if asked.width is None:
        return
    for check in field_rules(asked, of):
        if check.meets is False:
            yield f"The field is narrower or shorter than the rule asks ({check.rule.says}: {check.rule.source})."
    if of.away and 0.5 * asked.width < of.away.furthest_m - 1e-9:
        yield (f"The field leaves {habit.distance(0.5 * asked.width)} on the shorter side; spectators stand "
               f"{habit.stand_back(of.away.furthest_m)} off, so nobody may watch from there.")  # fmt: skip


def _not_counted(of: Figures) -> Iterator[str]:
    """Say what the rows leave out."""
    yield "Weather: a day can be too windy for any launch."
    misfire = rule_named("model-rocket-misfire")
    yield f"Misfires: {misfire.says}."
    if of.pumping.compressor or not math.isfinite(of.pumping.strokes):
        yield "The minutes of pumping: there are no strokes to count."
    yield "Bottles that do not hold their test beyond the spare ones, and rockets that break when they land."
    yield "Whether one pack of each supply does for all rockets; drinks, transport, toilets, first aid."
    yield "A second launcher: its people, its parts, and where it stands."
    if of.away is None or not of.away.landings:
        yield "Where this rocket comes down on your field."
