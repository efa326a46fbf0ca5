"""One figure: the burst pressure as it is believed, and where plan, rating, rules and tests lie on its scale."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.proof.burst_posterior import BurstBelief, TestResult, posterior
from bottlewright.proof.bursts import strength
from bottlewright.proof.evidence import own_tests
from bottlewright.proof.rating import SMALLEST_CHANCE, RatedPressure
from bottlewright.proof.vessel import describe_bottle
from bottlewright.proof.vessel_findings import chance, one_in
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.own_ticks import own_ticks
from bottlewright.report.style import LIGHT, MM, Picture, paper_style, picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["pressure_picture"]


def pressure_picture(design: Design, rated: RatedPressure) -> Picture:
    """Draw the chance of a burst against pressure, before and after the tests, with the pressures that matter."""
    tests, habit = own_tests(design), unit_habit(design)
    marks = _marks(rated, tests)
    marked = "; ".join(_named(label, value, habit) for value, label, _ in marks)
    at_plan = (f"At the planned {habit.pressure(rated.planned_Pa)} the chance is "
               f"{chance(rated.burst_chance_at_plan)}. The few "
               "published tests can't show a smaller one, so the axis begins there.")
    return picture(
        "pressures",
        "How likely such a bottle bursts below a pressure, and where the plan lies. "
        + (f"This bottle is finished, for {rated.ended_because}: do not pump it." if rated.failed else at_plan),
        f"Chance of a burst against pressure, rising from {one_in(SMALLEST_CHANCE)} to one; marked are {marked}.",
        lambda width: _chart(design, marks, tests, habit, width),
    )


def _chart(
    design: Design, marks: list[tuple[float, str, str]], tests: list[TestResult], habit: UnitHabit, width: float
) -> "Figure":
    import numpy as np
    from matplotlib.figure import Figure

    prior = strength(describe_bottle(design))
    with paper_style():
        figure = Figure(figsize=(width * MM, 82 * MM), layout="constrained")
        axes = figure.add_subplot()
        right = max(16.0, 1.15 * max(value for value, _, _ in marks))
        pressures = np.linspace(0.05, right, 600).tolist()
        axes.plot(pressures, _below(posterior(prior), pressures), ls="--", color=LIGHT["soft"], zorder=5,
                  label="before any test of its own")
        if tests:
            axes.plot(pressures, _below(posterior(prior, tests), pressures), color=LIGHT["teal"], zorder=5,
                      label="after its own tests")
        axes.set_yscale("log")
        axes.set_ylim(SMALLEST_CHANCE, 1.3)
        chances = [SMALLEST_CHANCE, 1e-3, 1e-2, 0.1]
        axes.set_yticks([*chances, 0.5], [*map(one_in, chances), "half"])
        axes.minorticks_off()
        axes.set_xlim(0.0, right)
        axes.set_xlabel(f"gauge pressure, {'psi' if habit.psi else 'bar'}")
        if habit.psi:
            own_ticks(axes.xaxis, UNITS[Dimension.PRESSURE]["psi"] / UNITS[Dimension.PRESSURE]["bar"])
        axes.set_ylabel("chance of a burst below it")
        _draw_marks(axes, marks, habit)
        axes.legend(loc="lower right", frameon=False)
    return figure


def _below(belief: BurstBelief, pressures: Sequence[float]) -> list[float]:
    """Return the chances; those that are not reported lie under the foot of the axis."""
    return [max(belief.chance_below(1e5 * float(pressure)), 0.01 * SMALLEST_CHANCE) for pressure in pressures]


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


def _draw_marks(axes: "Axes", marks: list[tuple[float, str, str]], habit: UnitHabit) -> None:
    """Rule a line at each mark, its name beside it, turned; on the left where the next one is near on the right."""
    near = 0.028 * axes.get_xlim()[1]
    after = [value for value, _, _ in marks[1:]] + [float("inf")]
    for (value, label, colour), following in zip(marks, after, strict=True):
        side, shift = ("right", -3) if following - value < near else ("left", 3)
        heavy = "your plan" in label or "rating" in label
        axes.axvline(value, color=LIGHT[colour], lw=1.4 if heavy else 0.8)
        axes.annotate(_named(label, value, habit), (value, 1.0), xycoords=("data", "axes fraction"),
                      xytext=(shift, -4), textcoords="offset points", rotation=90, zorder=4, va="top", ha=side,
                      fontsize=7.5, color=LIGHT[colour],
                      bbox={"facecolor": LIGHT["sheet"], "edgecolor": "none", "pad": 0.6})
