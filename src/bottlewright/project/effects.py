"""What a cure or a way of release changes, before anybody presses its button: values, flight, finding."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.names import MIDDLE_MARGIN
from bottlewright.project.fields import fields_of, label_of

if TYPE_CHECKING:
    from bottlewright.cures import Cure
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.project.project import Project

__all__ = ["Effect", "Turn", "effect_of", "effects_of"]


class Turn(NamedTuple):
    """One thing, before and after."""

    what: str
    before: str
    after: str


class Effect(NamedTuple):
    """What one cure changes.

    Parameters
    ----------
    values
        Of the file.
    outcomes
        Of the finding and the flight.
    left
        What stays open with it, in words; empty where nothing does.
    """

    values: tuple[Turn, ...]
    outcomes: tuple[Turn, ...]
    left: tuple[str, ...]


def effects_of(project: "Project", cures: "Iterable[Cure]") -> Mapping[str, Effect]:
    """Return what each cure changes that the file can say, by the code of its finding; each is flown once."""
    return {cure.code: _effect(project, cure) for cure in cures if cure.changes}


def _effect(project: "Project", cure: "Cure") -> Effect:
    flown = effect_of(project, cure.changes)
    outcomes = (Turn("this finding", "open", "gone"), *flown.outcomes)
    return Effect(flown.values, outcomes, tuple(dict.fromkeys(one.hazard for one in cure.findings_left)))


def effect_of(project: "Project", changes: "Iterable[tuple[str, str]]") -> Effect:
    """Return what changes of values come to, by one flight before and after; an empty text takes a key out."""
    from bottlewright.design.unit_habit import unit_habit

    changes = tuple(changes)
    habit = unit_habit(project.design)
    changed = project.changed({key: text or None for key, text in changes})
    was, now = project.fly(), changed.fly()

    def flown(name: str) -> tuple[float, float]:
        return was.summary[name], now.summary[name]

    height, margin = flown("apogee_m"), flown("static_margin_min_calibres")
    mass = float(was.flight.vehicle["dry_mass"]), float(now.flight.vehicle["dry_mass"])
    outcomes = (
        Turn("height, by one flight", *(habit.distance(one) for one in height)),
        Turn(f"{MIDDLE_MARGIN}, calibres", *(f"{one:.2f}" for one in margin)),
        Turn("mass without water", *(habit.mass(one, 4) for one in mass)),
        *_opening(project, changed, flown("canopy_out_height_m"), habit),
    )  # fmt: skip
    values = tuple(_turn(project, changed, key, text) for key, text in changes if not _heads(key, text, changed))
    return Effect(values, outcomes, ())


def _opening(
    project: "Project", changed: "Project", heights: tuple[float, float], habit: "UnitHabit",
) -> Iterator[Turn]:  # fmt: skip
    """Yield where the canopy opens in that flight, for a design that has one before and after."""
    kinds = (project.design.recovery.kind, changed.design.recovery.kind)
    if "none" not in kinds:
        before, after = (f"{habit.distance(one, 2)} up" if math.isfinite(one) else "not before the ground"
                         for one in heights)  # fmt: skip
        yield Turn(f"the {kinds[1]} opens, in that flight", before, after)


def _heads(key: str, text: str, changed: "Project") -> bool:
    """Say whether a change names a part whose other values stand under that name anyway."""
    return key.startswith("mass.") and key.endswith(".name") and _label(changed, key).startswith(f"{text}: ")


def _turn(project: "Project", changed: "Project", key: str, text: str) -> Turn:
    """Return a value before and after; what is taken out of the file says what is filled in instead."""
    before, after = (_shown(one, key) for one in (project, changed))
    then = text.replace(" (assumed)", ", a guess") or (f"{after}, filled in" if after else "nothing")
    return Turn(_label(changed, key), before or "nothing", then)


def _shown(project: "Project", key: str) -> str:
    found = fields_of(project, [(key, "")])
    return found[0].text if found else ""


def _label(project: "Project", key: str) -> str:
    table = key.rpartition(".")[0]
    return label_of(key, {f"{table}.name": _shown(project, f"{table}.name")} if table.startswith("mass.") else {})
