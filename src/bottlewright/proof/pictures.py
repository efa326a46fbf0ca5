"""One figure: the burst pressure as it is believed, and where plan, rating, rules and tests lie on its scale."""

from typing import NamedTuple

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.figures.key import draw_key, key_height, line_entry
from bottlewright.figures.letters import ASCENT, Box
from bottlewright.figures.panel import LETTER, SMALL, Axis, Panel, left_room
from bottlewright.figures.places import Places
from bottlewright.figures.sheet import MM, Sheet, Words
from bottlewright.proof.burst_posterior import BurstBelief, TestResult, posterior
from bottlewright.proof.bursts import strength
from bottlewright.proof.evidence import own_tests
from bottlewright.proof.rating import SMALLEST_CHANCE, RatedPressure
from bottlewright.proof.vessel import describe_bottle
from bottlewright.proof.vessel_findings import chance, one_in
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import Picture

__all__ = ["pressure_picture"]


def pressure_picture(design: Design, rated: RatedPressure) -> Picture:
    """Draw the chance of a burst against pressure, before and after the tests, with the pressures that matter."""
    tests, habit = own_tests(design), unit_habit(design)
    marks = _marks(rated, tests)
    marked = "; ".join(_named(label, value, habit) for value, label, _ in marks)
    beliefs = _beliefs(design, marks, tests)
    at_plan = (f"At the planned {habit.pressure(rated.planned_Pa)} the chance is "
               f"{chance(rated.burst_chance_at_plan)}. The few "
               "published tests can't show a smaller one, so the axis begins there.")
    return Picture(
        "pressures",
        "How likely such a bottle bursts below a pressure, and where the plan lies. "
        + (f"This bottle is finished, for {rated.ended_because}: do not pump it." if rated.failed else at_plan),
        f"Chance of a burst against pressure, rising from {one_in(SMALLEST_CHANCE)} to one; marked are {marked}.",
        lambda width: _chart(beliefs, marks, habit, width),
    )


class _Belief(NamedTuple):
    """A line of the chart: chances of a burst below pressures in bar."""

    name: str
    colour: str
    dash: tuple[float, ...]
    pressures: list[float]
    chances: list[float]


def _beliefs(design: Design, marks: list[tuple[float, str, str]], tests: list[TestResult]) -> list[_Belief]:
    """Return what is believed before and after the tests of this very bottle."""
    prior = strength(describe_bottle(design))
    pressures = np.linspace(0.05, max(16.0, 1.15 * max(value for value, _, _ in marks)), 240).tolist()
    looks: list[tuple[str, str, tuple[float, ...], BurstBelief]] = [
        ("before any test of its own", "soft", (3.7, 1.6), posterior(prior)),
    ]
    if tests:
        looks.append(("after its own tests", "teal", (), posterior(prior, tests)))
    return [_Belief(name, colour, dash, pressures, _below(belief, pressures)) for name, colour, dash, belief in looks]


def _chart(beliefs: list[_Belief], marks: list[tuple[float, str, str]], habit: UnitHabit, width: float) -> Sheet:
    chances = [SMALLEST_CHANCE, 1e-3, 1e-2, 0.1]
    y = Axis(SMALLEST_CHANCE, 1.3, "chance of a burst below it", log=True,
             named=[*((one, one_in(one)) for one in chances), (0.5, "half")])
    unit = UNITS[Dimension.PRESSURE]["psi"] / UNITS[Dimension.PRESSURE]["bar"] if habit.psi else 1.0
    x = Axis(0.0, beliefs[0].pressures[-1], f"gauge pressure, {'psi' if habit.psi else 'bar'}", unit)
    key = [line_entry(one.name, one.colour, dash=one.dash) for one in beliefs]
    left, wide, foot = 8.0 + left_room(y, 160.0), width * MM - 20.0, 3.4 * LETTER + 4.0
    sheet = Sheet(width, 82.0 + key_height(key, wide) / MM)
    panel = Panel(sheet, Box(left, 10.0, sheet.width - 12.0, 82.0 * MM - foot - 4.0), x, y)
    panel.scales()
    _draw_marks(panel, marks, habit)
    for one in beliefs:
        panel.line(one.pressures, one.chances, one.colour, part=one.name, dash=one.dash)
    draw_key(sheet, key, 10.0, panel.box.bottom + foot, wide)
    return sheet


def _below(belief: BurstBelief, pressures: list[float]) -> list[float]:
    """Return the chances; those that are not reported lie under the foot of the axis."""
    chances = belief.chances_below(1e5 * np.array(pressures))
    return [max(float(chance), 0.01 * SMALLEST_CHANCE) for chance in chances]


def _marks(rated: RatedPressure, tests: list[TestResult]) -> list[tuple[float, str, str]]:
    """Return what is marked: bar gauge, label, colour name; least first, equal pressures under one label."""
    marks = [
        *([] if rated.failed else [(rated.gauge_Pa, "rating", "teal")]),
        (rated.planned_Pa, "your plan", "orange"),
        (rated.rule_limit_Pa, "strictest rule", "plum"),
        (rated.rule_maximum_Pa, "strictest maximum", "plum"),
        *((test.pressure, "test passed" if test.passed else "test failed", "blue") for test in tests),
    ]
    merged: dict[float, tuple[str, str]] = {}
    for value, label, colour in marks:
        key = round(value / 1e5, 2)
        merged[key] = (f"{merged[key][0]}, {label}", merged[key][1]) if key in merged else (label, colour)
    return sorted((value, label, colour) for value, (label, colour) in merged.items())


def _named(label: str, value: float, habit: UnitHabit) -> str:
    """Write a mark's name with its pressure (bar), a limit rounded down."""
    limit = "rating" in label or "strictest" in label
    return f"{label} {at_most(habit, value * 1e5) if limit else habit.pressure(value * 1e5)}"


def _draw_marks(panel: Panel, marks: list[tuple[float, str, str]], habit: UnitHabit) -> None:
    """Rule a line at each mark, its name beside it, turned, where it covers no other."""
    _, top, right, bottom = panel.box
    places, at = Places(Box(panel.box.left, top, right, bottom)), [float(panel.at_x(value)) for value, _, _ in marks]
    for one in at:
        places.take(Box(one - 1.5, top, one + 1.5, bottom))
    for one, (value, label, colour) in zip(at, marks, strict=True):
        heavy = "your plan" in label or "rating" in label
        panel.upright(value, colour, 1.4 if heavy else 0.8, part=label)
        words = Words(_named(label, value, habit), 0.0, 0.0, SMALL, colour, "end", turned=True, halo=True)
        places.put(panel.sheet, [words._replace(x=one + side, y=top + down)
                                 for down in (4.0, 40.0, 80.0, 100.0)
                                 for side in (3.0 + ASCENT * SMALL, -3.5)])  # fmt: skip
