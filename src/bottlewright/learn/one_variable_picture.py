"""A variable against height: the band that is foretold, each team's points over it, or the paper to draw them on."""

import numpy as np

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.figures.key import KeyEntry, draw_key, key_height, mark_entry
from bottlewright.figures.letters import Box
from bottlewright.figures.marks import mark
from bottlewright.figures.panel import LETTER, Axis, Panel, left_room, reach
from bottlewright.figures.sheet import MM, Sheet, path
from bottlewright.learn.one_variable import OneVariable, Point
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import NARROW, Picture

__all__ = ["NAMED", "SHAPES", "axis_of", "one_variable_picture"]

SHAPES = "Dos^v<>*P"
"""Marks of the teams, one after the other."""
NAMED = {"water": "water", "pressure": "pressure on the gauge"}


def axis_of(what: str, habit: UnitHabit) -> tuple[str, float]:
    """Return the unit in which a variable is read, and how much of the SI one it is."""
    if what == "water":
        return "mL", UNITS[Dimension.VOLUME]["mL"]
    return ("psi", UNITS[Dimension.PRESSURE]["psi"]) if habit.psi else ("bar", UNITS[Dimension.PRESSURE]["bar"])


def one_variable_picture(found: OneVariable, habit: UnitHabit, blank: bool = False) -> Picture:
    """Return the picture; a blank one has scales and a grid only."""
    says = (f"Height against {NAMED[found.what]}, empty, to draw on." if blank else
            f"Height against {NAMED[found.what]}: greatest at {found.best.value:.3g} (SI), {found.best.middle:.0f} m; "
            f"{len(found.counted)} measured launches over it.")  # fmt: skip
    caption = ("Draw the band from the table, then your points, each with its ± as a line up and down." if blank else
               "Eight flights in ten are foretold to end in the hatched band; the line is the middle of them. Each "
               "mark is a launch with its ±; at a grey one something else was different too.")  # fmt: skip
    if len(found.flown) < len(found.foretold):
        caption = f"{caption} Grey hatching: not to be flown."
    name = f"{found.what}-against-height"
    return Picture(f"{name}-blank" if blank else name, caption, says, lambda wide: _drawn(found, habit, wide, blank))


def _drawn(found: OneVariable, habit: UnitHabit, wide: float, blank: bool) -> Sheet:
    unit, size = axis_of(found.what, habit)
    points = [] if blank else [one for one in found.points if found.at(one.value) is not None]
    teams = list(dict.fromkeys(one.team for one in points if not one.apart))
    shapes = {team: SHAPES[number % len(SHAPES)] for number, team in enumerate(teams)}
    entries = [] if blank else [KeyEntry("foretold: eight in ten, and the middle", _sample)]
    entries += [KeyEntry("not to be flown", _crossed)] if len(found.flown) < len(found.foretold) else []
    entries += [mark_entry(f"team {team}" if team else "of no team", shape, "orange", 7.0, fill="orange")
                for team, shape in shapes.items()]  # fmt: skip
    inner = wide * MM - 20.0
    under = key_height(entries, inner) + 4.0 if entries else 0.0
    sheet = Sheet(wide, (0.75 if wide <= NARROW else 0.62 if blank else 0.5) * wide + under / MM)
    low, high = reach([one.value for one in found.foretold])
    top = max([one.high for one in found.foretold] + [one.height + one.spread for one in points])
    feet = habit.inches
    x = Axis(low - 0.04 * (high - low), high + 0.04 * (high - low), f"{NAMED[found.what]}, {unit}", size)
    y = Axis(0.0, 1.1 * top, f"height, {'ft' if feet else 'm'}", 0.3048 if feet else 1.0)
    foot = (under + 6.0 if entries else 0.0) + 3.4 * LETTER + 4.0
    box = Box(8.0 + left_room(y, 120.0), 10.0, sheet.width - 10.0, sheet.height - foot)
    panel = Panel(sheet, box, x, y)
    panel.scales()
    for left, right in _barred(found, x.low, x.high):
        _not_flown(panel, left, right)
    if not blank:
        _band(panel, found)
        for one in points:
            _point(sheet, panel, one, shapes.get(one.team, "D"))
        draw_key(sheet, entries, 10.0, sheet.height - under, inner)
    return sheet


def _barred(found: OneVariable, low: float, high: float) -> list[tuple[float, float]]:
    """Return between which values nothing is flown: from the last value on that side that is, to the axis's end."""
    flown = [one.value for one in found.flown]
    barred = [one.value for one in found.foretold if one.barred]
    apart = [(low, flown[0])] if barred and barred[0] < flown[0] else []
    return [*apart, *([(flown[-1], high)] if barred and barred[-1] > flown[-1] else [])]


def _not_flown(panel: Panel, left: float, right: float) -> None:
    at, box = panel.at_x(np.array([left, right])).tolist(), panel.box
    corners = [(at[0], box.top), (at[1], box.top), (at[1], box.bottom), (at[0], box.bottom)]
    panel.sheet.shape(path(corners, closed=True), "", "soft", hatch=1, opacity=0.35, part="not-to-be-flown")


def _crossed(sheet: Sheet, x: float, y: float) -> None:
    corners = [(x - 10.0, y - 3.5), (x + 10.0, y - 3.5), (x + 10.0, y + 3.5), (x - 10.0, y + 3.5)]
    sheet.shape(path(corners, closed=True), "soft", "soft", thick=0.6, hatch=1, opacity=0.35)


def _band(panel: Panel, found: OneVariable) -> None:
    values = np.array([one.value for one in found.foretold])
    low, middle, high = (np.array([getattr(one, name) for one in found.foretold]) for name in ("low", "middle", "high"))
    around = list(zip(panel.at_x(np.concatenate([values, values[::-1]])).tolist(),
                      panel.at_y(np.concatenate([low, high[::-1]])).tolist(), strict=True))  # fmt: skip
    panel.sheet.shape(path(around, closed=True), "", "teal", hatch=0, opacity=0.55)
    panel.line(values, low, "teal", thick=0.8)
    panel.line(values, high, "teal", thick=0.8)
    panel.line(values, middle, "teal", thick=2.0, part="middle")


def _point(sheet: Sheet, panel: Panel, one: Point, shape: str) -> None:
    colour = "soft" if one.apart else "orange"
    across = float(panel.at_x(one.value))
    low, middle, high = (float(panel.at_y(max(one.height + by * one.spread, 0.0))) for by in (-1.0, 0.0, 1.0))
    bar = path([(across, low), (across, high)])
    bar += "".join(path([(across - 4.0, end), (across + 4.0, end)]) for end in (low, high))
    sheet.shape(bar, "sheet", thick=3.6)
    sheet.shape(bar, colour, thick=1.5)
    mark(sheet, shape, across, middle, 5.5, colour, colour, "sheet", part=one.launch)


def _sample(sheet: Sheet, x: float, y: float) -> None:
    corners = [(x - 10.0, y - 3.5), (x + 10.0, y - 3.5), (x + 10.0, y + 3.5), (x - 10.0, y + 3.5)]
    sheet.shape(path(corners, closed=True), "", "teal", hatch=0, opacity=0.55)
    sheet.shape(path([(x - 10.0, y), (x + 10.0, y)]), "teal", thick=2.0)
