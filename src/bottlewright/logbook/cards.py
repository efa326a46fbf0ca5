"""The paper of a day as data for the typesetter: the day's sheet, a card for each rocket, the results of a contest.

All words of steps, states, roles and waits are those of the day's table; all numbers are the verdict's. What the paper
gathers is entered afterwards: a cycle with `log pumped`, a launch with `log flight`.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from bottlewright import __version__
from bottlewright.design.document import Design
from bottlewright.logbook.day_needs import DayNeeds
from bottlewright.logbook.day_plan import DayPlan, DayRocket, rocket_of
from bottlewright.logbook.day_screen import gauge_words
from bottlewright.logbook.day_table import STOP, Role, Step, day_table, without_gaps
from bottlewright.logbook.paper import AFTER_A_STOP, LAUNCH, OTHERWISE, done_in, said_before, source_words
from bottlewright.make.need.asked import sentence
from bottlewright.make.pack.typeset import typeset
from bottlewright.make.patterns.nesting import PAPERS
from bottlewright.make.sheets.launch_day import day_words
from bottlewright.make.specification import Specification, specify
from bottlewright.make.template_values import filled, template_values, words_of
from bottlewright.verdict import Verdict, act_on

__all__ = ["COLUMNS", "day_sheet", "day_sheets", "printed", "results_sheet", "rocket_card"]

COLUMNS = 3
"""Launches on one card."""
_FIRST = "Local rules and the responsible adult in charge of the site come first."
_ENTER = ("Enter it afterwards with the command log: each time under pressure as log pumped, vented ones too, and each "
          "launch as log flight.")  # fmt: skip
_OF_DEVICES = ("link_lost",)
"""Times of the table that no paper needs."""


def printed(data: Mapping[str, Any], paper: str, title: str) -> bytes:
    """Return the PDF of sheets of a day."""
    size = PAPERS[paper]
    common = {"title": title, "version": __version__, "paper": {"width": size.width, "height": size.height}}
    return typeset({"sheet": None, "cards": [], "results": None, **common, **data}, "launch.typ")


def day_sheets(sheet: Mapping[str, Any], cards: Iterable[Mapping[str, Any]], paper: str = "a4") -> bytes:
    """Return the PDF of a day: its sheet, and a card for each rocket and so many launches as fit on one."""
    return printed({"sheet": dict(sheet), "cards": list(cards)}, paper, f"Launch day {sheet['day']}")


def day_sheet(day: str, needs: DayNeeds, plan: DayPlan | None = None) -> dict[str, Any]:
    """Return the sheet of the whole day: people, local values, turns and sums, each with a blank where nobody is."""
    table, held = day_table(), plan.roles if plan else {}
    return {
        "day": day, "first": _FIRST,
        "roles": [[sentence(role.says), _duty(role), held[name].name if name in held else ""]
                  for name, role in table.roles.items()],
        "local": [[name, value] for name, value in plan.local.items()] if plan else [],
        "turns": [[turn.rocket, str(turn.launches), turn.who] for turn in plan.turns] if plan else [],
        "lines": [[line.what, line.shown, line.how] for line in needs.lines],
        "bottles": list(needs.bottles),
        "limits": [[sentence(one.says), one.source] for name, one in table.limits.items() if name not in _OF_DEVICES],
        "enter": _ENTER,
    }  # fmt: skip


def _duty(role: Role) -> str:
    """Return what a role does, without what is a rocket's own."""
    return without_gaps(role.duty) or f"{sentence(role.does)}."


def rocket_card(
    design: Design, verdict: Verdict, pad: str, launches: int, barred: Sequence[str] = (), by_hand: int = 0
) -> Iterator[dict[str, Any]]:
    """Yield the cards of one rocket: `COLUMNS` launches on each.

    Parameters
    ----------
    barred
        What its design of now says against the day that is kept.
    by_hand
        Launches of it that were begun by hand on this day: they have the numbers before.
    """
    spec, act, rocket = specify(design, {}), act_on(verdict), rocket_of(design, verdict, pad)
    words = {**template_values(spec, words_of(act)), **day_words(spec)}
    says = f"Nobody fills it before the day is prepared anew: {'; '.join(barred)}" if barred else act.says
    cycles = "nobody knows" if rocket.cycles is None else str(rocket.cycles)
    facts = [
        ["bottle", rocket.vessel or "no mark"], ["launcher", pad], ["water", words["water"]],
        ["pressure to pump to, on the gauge", _in_both(act.pump_to, rocket.planned_Pa)],
        ["highest reading of the gauge", _in_both(act.allowed, rocket.allowed_Pa, limit=True)],
        ["readings may differ by", spec.habit.pressure(rocket.gauge_error_Pa, 2)],
        ["wind and gusts at most", words["wind_limit"]], ["pumper", act.pumper], ["operator", act.operator],
        ["spectators", act.spectators], ["under pressure so far", cycles],
    ]  # fmt: skip
    for start in range(0, launches, COLUMNS):
        yield {
            "rocket": rocket.name, "says": says, "stopped": bool(barred) or act.level == "stop", "because": act.because,
            "launches": [f"launch {by_hand + number + 1}" if number < launches else "spare"
                         for number in range(start, start + COLUMNS)],
            "facts": facts, "sides": [list(row) for row in act.sides], "winds": [list(row) for row in act.winds],
            "first": _FIRST, "enter": _ENTER,
            "rows": list(_rows(spec, words, (_step(one) for one in LAUNCH), rocket)),
            "stop": [_called(), *_rows(spec, words, _stop_steps(), rocket)],
            "sources": source_words("misfire_wait", "zero_wait"),
        }  # fmt: skip


def _in_both(said: str, pascals: float | None, limit: bool = False) -> str:
    """Return a pressure as the verdict says it, with the other unit of gauges beside it."""
    if not pascals or not any(letter.isdecimal() for letter in said):
        return said
    bar, psi = gauge_words(pascals, limit).removesuffix(")").split(" (")
    return said if bar in said and psi in said else f"{said} ({psi if bar in said else bar})"


def _step(one: tuple[str, str]) -> Step:
    """Return a step of the day's table by its state and event."""
    return day_table().steps[one]


def _called() -> dict[str, Any]:
    """Return the line of a stop: it comes from anywhere, and from anybody."""
    says = sentence(day_table().states[STOP].says)
    return {"state": "any", "by": "anybody", "does": f"Calls “stop”, without a question. {says}.", "waits": [],
            "says": [], "again": False, "blanks": ["time", "why"], "to": STOP}  # fmt: skip


def _stop_steps() -> Iterator[Step]:
    """Yield what is written down when it does not go: misfire or leak, what follows a stop, and other ends."""
    yield from (_step(("ready", "misfire")), _step(("holding", "leak")))
    yield from map(_step, (*AFTER_A_STOP, *OTHERWISE))


def _from(step: Step) -> Iterator[str]:
    """Yield the states that the step is taken from: a misfire, a leak or standing down comes from several."""
    for (start, event), one in day_table().steps.items():
        if one is step or (event == step.event and step.event in _FROM_SEVERAL):
            yield start


_FROM_SEVERAL = ("misfire", "leak", "stand down")

_WAITS: Mapping[str, tuple[str, ...]] = {
    "pump": ("under_pressure",), "launch": ("confirm_within",), "vent": ("misfire_wait", "vent_within"),
    "approach": ("zero_wait",),
}  # fmt: skip
"""Before or with which step a time has to be kept."""

_BLANKS: Mapping[str, tuple[str, ...]] = {
    "load": ("water",), "pump": ("cycle no.", "wind", "gusts", "from"), "hold": ("pumper reads", "watch reads"),
    "tight": ("pumper reads", "watch reads"), "launch": ("wind", "gusts", "from"), "down": ("landed",),
    "back": ("height", "how", "time in the air", "damage"), "vent": ("highest reading",), "approach": ("sign",),
    "give up": ("where",), "retire": ("why",),
}  # fmt: skip
"""What is written down beside the time of a step."""


def _rows(
    spec: Specification, words: Mapping[str, str], steps: Iterable[Step], rocket: DayRocket
) -> Iterator[dict[str, Any]]:
    """Yield the lines of a card: the state that a rocket is in, who does what, who confirms, and what is written."""
    table = day_table()
    for step in steps:
        waits = [f"{sentence(table.limits[name].says)}." for name in _WAITS.get(step.event, ())]
        yield {
            "state": ", ".join(_from(step)), "by": "anybody" if step.by == "any" else table.roles[step.by].says,
            "does": filled(spec, done_in(step), words), "waits": waits,
            "says": [[table.roles[role].says, text, role != "charge"]
                     for role, text in said_before(step, rocket.has, rocket.points)],
            "again": step.again, "blanks": ["time", *_BLANKS.get(step.event, ())], "to": step.to,
        }  # fmt: skip


def results_sheet(day: str, rule: str, says: str, rounds: int, rows: Sequence[Mapping[str, Any]],
                  notes: Sequence[str]) -> dict[str, Any]:  # fmt: skip
    """Return the sheet of a contest's results: a line each team, its flights by round."""
    most = max([rounds, *(len(row["flights"]) for row in rows)])
    return {"day": day, "rule": rule, "says": says, "rounds": [str(number + 1) for number in range(min(most, 6))],
            "rows": [{**row, "flights": [*row["flights"], *[""] * most][: min(most, 6)]} for row in rows],
            "notes": list(notes)}  # fmt: skip
