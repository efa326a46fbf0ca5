"""The sheets of the day: launch-day checklist, misfire, briefing."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from bottlewright.make.specification import Specification
from bottlewright.make.template_values import filled, fits

__all__ = ["briefing", "launch_day", "misfire"]


@cache
def _data(name: str) -> dict[str, Any]:
    return tomllib.loads((files("bottlewright.make") / "data" / f"{name}.toml").read_text(encoding="utf-8"))


def launch_day(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return roles, and phases with lines of (role, what, whether it is a hold point), for a design's features."""
    data = _data("launch_day")
    return {
        "roles": [[role["name"], filled(spec, role["duty"], words)] for role in data["role"]],
        "phases": [
            {
                "title": phase["title"],
                "lines": [
                    [who, filled(spec, what, words), hold]
                    for who, what, hold, *when in phase["lines"]
                    if fits(when[0] if when else [], spec.features)
                ],
            }
            for phase in data["phase"]
        ],
    }


def misfire(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return the misfire and leak procedure."""
    return _table(spec, _data("launch_day")["misfire"], words)


def briefing(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return the consent and briefing page."""
    return _table(spec, _data("launch_day")["briefing"], words)


def _table(spec: Specification, table: Mapping[str, Any], words: Mapping[str, str]) -> dict[str, Any]:
    return {
        key: filled(spec, value, words) if isinstance(value, str) else [filled(spec, line, words) for line in value]
        for key, value in table.items()
    }
