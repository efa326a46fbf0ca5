"""The sheets of the day: launch-day checklist, misfire, briefing."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.design.document import Design
from bottlewright.flight.outcomes import armed
from bottlewright.flight.payload_words import CELL_CARE
from bottlewright.make.specification import Specification, fits, fresh_cell
from bottlewright.make.template_values import filled

__all__ = ["NO_STEPS", "DayLine", "DaySteps", "arming_words", "briefing", "day_words", "launch_day", "misfire"]

DayLine = tuple[str, str, bool] | tuple[str, str, bool, list[str]]
"""Who, what, whether it is a hold point, and which features of a design it is only for."""


@dataclass(frozen=True, slots=True)
class DaySteps:
    """What the day's own table has, in its words: they have gaps for the numbers of a rocket.

    Parameters
    ----------
    roles
        Each with what it does.
    launch
        Lines of one launch.
    misfire, leak
        What is done then, in order.
    sources
        Who says the waits.
    """

    roles: tuple[tuple[str, str], ...] = ()
    launch: tuple[DayLine, ...] = ()
    misfire: tuple[str, ...] = ()
    leak: tuple[str, ...] = ()
    sources: str = ""


NO_STEPS = DaySteps()
"""Of whoever prints a pack without the day's table: its sheets then have no steps of a launch."""


@cache
def _data(name: str) -> dict[str, Any]:
    return data_file("make", name)


def launch_day(spec: Specification, words: Mapping[str, str], steps: DaySteps) -> dict[str, Any]:
    """Return roles, and phases with lines of (role, what, whether it is a hold point), for a design's features."""
    data, words = _data("launch_day"), {**words, **day_words(spec)}
    roles = [*steps.roles, *((role["name"], role["duty"]) for role in data["role"])]
    phases = [(phase["title"], steps.launch if phase.get("launch") else phase["lines"]) for phase in data["phase"]]
    return {
        "roles": [[name, filled(spec, duty, words)] for name, duty in roles],
        "phases": [
            {
                "title": title,
                "lines": [
                    [who, filled(spec, what, words), hold]
                    for who, what, hold, *when in lines
                    if fits(when[0] if when else [], spec.features)
                ],
            }
            for title, lines in phases if lines
        ],
    }


def misfire(spec: Specification, words: Mapping[str, str], steps: DaySteps) -> dict[str, Any]:
    """Return the misfire and leak procedure."""
    table, words = _data("launch_day")["misfire"], {**words, **day_words(spec)}
    sources = f"{steps.sources} {table['sources']}".strip()
    return _table(spec, {**table, "steps": steps.misfire, "leak": [*steps.leak, *table["leak"]], "sources": sources},
                  words)  # fmt: skip


def briefing(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return the consent and briefing page."""
    return _table(spec, _data("launch_day")["briefing"], words)


def _table(spec: Specification, table: Mapping[str, Any], words: Mapping[str, str]) -> dict[str, Any]:
    return {
        key: filled(spec, value, words) if isinstance(value, str) else [
            filled(spec, line if isinstance(line, str) else line[0], words)
            for line in value if isinstance(line, str) or fits(line[1], spec.features)
        ]
        for key, value in table.items()
    }  # fmt: skip


def day_words(spec: Specification) -> dict[str, str]:
    """Return what the sheets of the day say of what is armed and of what flies along; empty where nothing is."""
    data = _data("launch_day")["arming"]
    words = {
        "payloads": ", ".join(part.name for part in spec.design.mass if part.payload is not None),
        "cell_care": CELL_CARE, "cell_look": data["cell"] if "lithium" in spec.features else "",
    }  # fmt: skip
    return {**words, **arming_words(spec.design)}


def arming_words(design: Design) -> dict[str, str]:
    """Return what checklist, day and card say of what is armed on the launcher; empty where nothing is."""
    data, mechanism = _data("launch_day")["arming"], design.recovery.mechanism
    words = {"mechanism": "release", "arm_first": "", "before_door": "", "pin_back": "", "pin_in": ""}
    if mechanism is None or not armed(design):
        return words
    timer = mechanism.time.text.partition(" ±")[0] if mechanism.time else ""
    name = "joint of the halves" if mechanism.way == "two halves" else mechanism.way
    gaps = {"mechanism": name, "trip": data["called"].get(mechanism.trip, mechanism.trip), "timer": timer}
    by_hand = data["switch"] if fresh_cell(design) else ""
    first = data["wind"] if mechanism.trip == "wind-up timer" else by_hand
    door = data["door"] if mechanism.way == "side door" else ""
    said = {"arm_first": first, "before_door": door, "pin_back": data["pin_back"], "pin_in": data["pin_in"]}
    return {**words, "mechanism": name, **{name: text.format_map(gaps) for name, text in said.items()}}
