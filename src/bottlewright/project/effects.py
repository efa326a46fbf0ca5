"""What a cure changes, before anybody presses its button: values, flight and finding, before and after."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.names import MIDDLE_MARGIN
from bottlewright.project.fields import fields_of, label_of

if TYPE_CHECKING:
    from bottlewright.cures import Cure
    from bottlewright.project.project import Project

__all__ = ["Effect", "Turn", "effects_of"]


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
    from bottlewright.design.unit_habit import unit_habit

    habit = unit_habit(project.design)
    changed = project.changed({key: text or None for key, text in cure.changes})
    was, now = project.fly(), changed.fly()

    def flown(name: str) -> tuple[float, float]:
        return was.summary[name], now.summary[name]

    height, margin = flown("apogee_m"), flown("static_margin_min_calibres")
    mass = float(was.flight.vehicle["dry_mass"]), float(now.flight.vehicle["dry_mass"])
    outcomes = [
        Turn("this finding", "open", "gone"), Turn("height, by one flight", *(habit.distance(one) for one in height)),
        Turn(f"{MIDDLE_MARGIN}, calibres", *(f"{one:.2f}" for one in margin)),
        Turn("mass without water", *(habit.mass(one, 4) for one in mass)),
    ]  # fmt: skip
    values = tuple(_turn(project, changed, key, text) for key, text in cure.changes)
    return Effect(values, tuple(outcomes), tuple(dict.fromkeys(one.hazard for one in cure.findings_left)))


def _turn(project: "Project", changed: "Project", key: str, text: str) -> Turn:
    """Return a value before and after; what is taken out of the file says what is filled in instead."""
    before, after = (_shown(one, key) for one in (project, changed))
    return Turn(_label(changed, key), before or "nothing", text or (f"{after}, filled in" if after else "nothing"))


def _shown(project: "Project", key: str) -> str:
    found = fields_of(project, [(key, "")])
    return found[0].text if found else ""


def _label(project: "Project", key: str) -> str:
    table = key.rpartition(".")[0]
    return label_of(key, {f"{table}.name": _shown(project, f"{table}.name")} if table.startswith("mass.") else {})
