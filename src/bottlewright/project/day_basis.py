"""What a rocket of a day was prepared with, and in the builder's words what of it is another now."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from bottlewright.design.resting import changed_keys, dimension_of, number_at, rests_on
from bottlewright.project.fields import label_of

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["basis_of", "changed_since", "day_rocket"]

_MAP = "site.map, what its file holds"
_MOST_TOLD = 3


def day_rocket(project: "Project", verdict: "Verdict", pad: str) -> "DayRocket":
    """Return a design with its verdict as a rocket of the day, with all that its numbers rest on.

    Parameters
    ----------
    pad
        The launcher that it stands on.
    """
    from bottlewright.logbook.day_plan import rocket_of

    return replace(rocket_of(project.design, verdict, pad), file=project.file.name, rests_on=basis_of(project))


def basis_of(project: "Project") -> dict[str, str]:
    """Return what distances, wind limit and pressure of a design rest on, by key, what its map's file holds too."""
    from bottlewright.field.numbers import site_digest

    drawn = site_digest(project.design.site, project.folder)
    return {**rests_on(project.design), **({_MAP: drawn} if drawn else {})}


def changed_since(before: Mapping[str, str], project: "Project") -> list[str]:
    """Say what is another in a design than when a day was prepared with it, from what to what; empty where nothing.

    What the builder wrote stands first, what follows from it is counted.

    Parameters
    ----------
    before
        As `basis_of` gave it then.
    """
    now = basis_of(project)
    keys = changed_keys(before, now)
    if not keys:
        return []
    keys.sort(key=lambda key: not _written(project, key))
    told = list(dict.fromkeys(_told(project, key, before, now) for key in _of_one_entry(keys, before, now)))
    more = len(told) - _MOST_TOLD
    return [*told[:_MOST_TOLD], *([f"and {more} more {'value' if more == 1 else 'values'}"] if more > 0 else [])]


def _written(project: "Project", key: str) -> bool:
    """Say whether a value stands in the design's own text: what is filled in may only follow from another."""
    node: object = project.design.written.tables
    for part in key.split("."):
        if isinstance(node, Mapping):
            node = node.get(part)
        elif isinstance(node, list) and part.isdecimal() and int(part) < len(node):
            node = node[int(part)]
        else:
            return False
    return node is not None


def _of_one_entry(keys: list[str], before: Mapping[str, str], now: Mapping[str, str]) -> Iterator[str]:
    """Yield the keys; of a table that is new or gone, such as a part, its first one stands for all."""
    there = [{_entry(key) for key in one} for one in (before, now)]
    seen: set[str] = set()
    for key in keys:
        entry = _entry(key)
        whole = entry and sum(entry in one for one in there) == 1
        if not whole or entry not in seen:
            yield entry if whole else key
        seen.add(entry)


def _entry(key: str) -> str:
    """Return the list entry that a key is in, such as ``mass.2``; empty where it is in none."""
    found = re.match(r"[a-z_.]+?\.\d+(?=\.)", key)
    return found[0] if found else ""


def _told(project: "Project", key: str, before: Mapping[str, str], now: Mapping[str, str]) -> str:
    names = {f"mass.{number}.name": one.name for number, one in enumerate(project.design.mass)}
    then = "when the day was prepared"
    if key == _MAP:
        return f"the field's map holds something else now than {then}"
    if key == "learned":
        return f"what flights taught is not what it was {then}"
    if key == _entry(f"{key}."):
        what = names.get(f"{key}.name") or label_of(key, names)
        return f"{what} was not there {then}" if any(one.startswith(f"{key}.") for one in now) else (
            f"an entry of {label_of(key, names)} is gone since the day was prepared")  # fmt: skip
    label = label_of(key, names).replace(": ", ", ")
    was, is_now = (_said(project, key, one.get(key)) for one in (before, now))
    if dimension_of(key) is None and number_at(now.get(key) or before[key]) is not None:
        return f"{label} is drawn otherwise now than {then}"
    if was == is_now:  # the ± alone, or less than the words show
        was, is_now = (_said(project, key, one.get(key), spread=True) for one in (before, now))
    return f"{label}: {is_now} now, {was} {then}"


def _said(project: "Project", key: str, text: str | None, spread: bool = False) -> str:
    """Return a value as the builder reads it."""
    from bottlewright.design.formatting import usual_unit
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import neat, show_difference

    number, dimension = number_at(text) if text else None, dimension_of(key)
    if text is None or number is None or dimension is None:
        return {"True": "yes", "False": "no", None: "not said"}.get(text, f"{text}")
    unit = unit_habit(project.design).unit(usual_unit(dimension, *number))
    value = neat(number[0], unit, 6 if spread else 4).replace(".0°", "°")
    return f"{value} ± {show_difference(number[1], unit)}" if spread else value
