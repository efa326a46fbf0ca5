"""The page that is read first: drawing, load, pressure, who stands where, wind, what to do first, what is open."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from bottlewright.findings import Finding, Level
from bottlewright.report.act_on import ActOn, people_rows
from bottlewright.report.gathered import Action, counts, first_actions, first_sentence, gist
from bottlewright.report.style import Picture

__all__ = ["FirstPage", "FromFlights", "SitePlan", "count_words", "first_page", "rows_of"]

MOST_UNCHECKED, MOST_HOLDS = 5, 6
"""Lines of the first page for what was not checked and what has to be there; the whole list follows behind it."""


class FromFlights(NamedTuple):
    """What predictions rest on where flights taught something, and each of them without and with it."""

    says: str
    rows: tuple[tuple[str, str, str], ...]


class SitePlan(NamedTuple):
    """The plan of the site as SVG, drawn for a wide and for a narrow page, and what it shows in words."""

    wide: str
    narrow: str
    says: str


@dataclass(frozen=True, slots=True)
class FirstPage:
    """Everything on the page; the report sets it on a screen, the pack on paper.

    Parameters
    ----------
    act
        The numbers.
    actions
        The three most urgent.
    holds
        What else has to be there before anyone pumps, in a few words each.
    open
        How many findings there are of each level.
    drawing, plan
        The rocket, and the site from above; None where there is none to draw.
    flights
        What the rocket's flights changed; None where its predictions draw from none.
    """

    act: ActOn
    actions: tuple[Action, ...]
    holds: tuple[str, ...]
    open: Mapping[Level, int]
    drawing: Picture | None = None
    plan: SitePlan | None = None
    flights: FromFlights | None = None


def first_page(
    act: ActOn, findings: Sequence[Finding], drawing: Picture | None = None, plan: SitePlan | None = None,
    flights: FromFlights | None = None,
) -> FirstPage:  # fmt: skip
    """Return the page of a verdict's numbers and of all findings."""
    actions = tuple(first_actions(findings))
    done = {action.do for action in actions}
    missing = (one for one in findings if one.level is Level.HOLD and first_sentence(one.remedy) not in done)
    holds = dict.fromkeys(gist(one.hazard) for one in missing)
    return FirstPage(act, actions, tuple(holds), counts(findings), drawing, plan, flights)


_COUNTED = {
    Level.STOP: "stop", Level.HOLD: "not before pumping", Level.LOOK: "look", Level.UNCHECKED: "not checked",
    Level.NOTE: "worth knowing",
}  # fmt: skip


def count_words(open_: Mapping[Level, int]) -> str:
    """Say how many findings there are of each level: ``"0 stop, 2 not before pumping, 7 look, 5 worth knowing"``."""
    always = (Level.STOP, Level.LOOK)
    return ", ".join(f"{number} {_COUNTED[level]}" for level, number in open_.items() if number or level in always)


def rows_of(page: FirstPage) -> dict[str, Any]:
    """Return the page's lists as the templates set them: a name, what is said, and a remark."""
    act = page.act
    return {
        "load": [
            ("water", act.water, ""),
            ("planned on the gauge", act.pressure, _condition(act)),
            ("highest reading of the gauge", act.allowed, ""),
            ("strongest wind", act.wind or "not worked out yet", act.wind_because),
        ],
        "people": people_rows(act),
        "because": [_sentence(text) for text in (act.because, act.after_test) if text],
        "rests_on": _sentence(act.distances_because),
        "unchecked": _shortened([gist(text) for text in act.unchecked], MOST_UNCHECKED),
        "holds": _shortened(page.holds, MOST_HOLDS),
        "counts": count_words(page.open),
    }  # fmt: skip


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _condition(act: ActOn) -> str:
    """Return what still stands against the load, as the sheets say it."""
    if not act.pump_to.startswith(act.pressure):
        return f"the pressure to pump to is {act.pump_to}"
    return act.pump_to.removeprefix(act.pressure).strip(" ()")


def _shortened(lines: Sequence[str], most: int) -> list[str]:
    if len(lines) <= most:
        return list(lines)
    return [*lines[: most - 1], f"and {len(lines) - most + 1} more, listed further on"]
