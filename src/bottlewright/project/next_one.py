"""The next one: a copy of a design for another rocket, with what still holds, and without what does not."""

import datetime as dt
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.design.text_files import bad_character
from bottlewright.errors import FieldsError
from bottlewright.project.damage import fresh_bottle
from bottlewright.project.editing import edited
from bottlewright.project.fields import said_at
from bottlewright.project.new_file import file_name

if TYPE_CHECKING:
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["NextOne", "next_one", "what_holds"]


class NextOne(NamedTuple):
    """A copy that nobody has written yet.

    Parameters
    ----------
    project
        The new design, its file beside the old one.
    carried, left
        What came along and what did not, each with the reason.
    """

    project: "Project"
    carried: list[tuple[str, str]]
    left: list[tuple[str, str]]


_LEFT: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("vessel.proof",), "its water tests, and the pressure that they allow",
     "a test is of one bottle: the new one has to hold its own"),
    (("vessel.id",), "what is written on the bottle", "that names the other one, and its file in the logbook"),
    (("vessel.age", "vessel.cycles", "vessel.storage", "vessel.storage_date", "vessel.surface", "vessel.surface_date",
      "vessel.hard_landing", "vessel.inspected", "vessel.retired"),
     "age, launches, storage and work on the wall", "that was the life of the other bottle: write that of the new one"),
    (("measured",), "weight, balance and swing of the whole", "they were measured on the other rocket"),
    (("recovery.mechanism.tests",), "the counted tries of its release",
     "they were of that very mechanism: count those of the new one"),
    (("damage",), "damage", "it was the other rocket's; the launcher's comes along"),
    (("charge.day", "workshop.start", "workshop.begins"), "the days", "the next one is built and flown later"),
)  # fmt: skip
_WIDER = ("vessel.volume", "vessel.diameter", "vessel.empty_mass", "vessel.wall", "vessel.neck_bore", "nozzle.bore",
          "nozzle.mass", "nose.mass", "fins.mass", "sleeve.mass", "recovery.mass")  # fmt: skip
"""What was measured on one piece and is about the same on the next of its kind: its ± is that of a label then."""

_CARRIED: tuple[tuple[str, str, str], ...] = (
    ("fins", "the shape: nose, fins, sleeve, parachute", "a shape holds for every rocket that is built so"),
    ("recovery.mechanism", "how the canopy is let out, with hold and springs",
     "measured on the other nose or door: draw yours off again with the scale"),
    ("charge", "water and pressure that were planned", "a plan only: no pressure is allowed before the water test"),
    ("mass", "what else weighs", "look whether it is the same piece, and weigh it again where it is not"),
    ("launcher", "launcher, hose, gauge and their tests", "it is the same launcher: look at it before each day"),
    ("site", "the field and who stands where", "it is the same field: look at it on the day"),
    ("weather", "the weather that was taken", "write that of the day"),
    ("tune", "what was aimed at", "a wish holds until you change it"),
    ("prices", "prices", "as they were: look again"),
    ("stock", "what is in the cupboard", "count again: the other rocket used some of it"),
)


def next_one(project: "Project", name: str, age: str = "") -> NextOne:
    """Return a copy of a design for another rocket with another bottle of the same kind; nothing is written.

    Parameters
    ----------
    name
        Of the new rocket; its file is named after it.
    age
        Since the new bottle was opened, such as ``"3 days"``; empty where nobody knows.

    Raises
    ------
    FieldsError
        When it has no name of its own, or that is no age.
    """
    from bottlewright.design import DesignError

    name = " ".join(name.split())
    if not name or len(name) > 60:
        raise FieldsError({"name": "give it a name of at most 60 letters"})
    if bad := bad_character(name):
        raise FieldsError({"name": f"write it without {bad}"})
    if name == project.name:
        raise FieldsError({"name": f"{name} is the other one: give it another name"})
    if (project.folder / file_name(name)).exists():
        raise FieldsError({"name": f"{file_name(name)} is there already, and stays as it is: give it another name"})
    changes: Values = {**_without(project), "name": name}
    wider = {key: text for key in _WIDER if (text := _wider(project, key))}
    carried, left = what_holds(project)
    try:
        bare = edited(project, {**changes, **wider})
        new = edited(bare, {"vessel.age": " ".join(age.split())}) if age.strip() else bare
    except DesignError as error:
        raise FieldsError({"age": "; ".join(filter(None, (part for one in error.problems
                                                          for part in (one.why, one.right))))}) from None  # fmt: skip
    return NextOne(_noted(new, project, left), carried, left)


def what_holds(project: "Project") -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Return what comes along to the next one and what does not, of what this design says, each with the reason."""
    tables = project.design.written.tables
    left = [(what, why) for keys, what, why in _LEFT if any(_stands(tables, key) for key in keys)]
    carried = [(what, why) for key, what, why in _CARRIED if _stands(tables, key)]
    if any(_stands(tables, key) for key in _WIDER):
        carried.insert(0, ("sizes and masses of bottle and parts", "measured on the other pieces: each has the ± of a "
                           "label then, until you measure yours"))  # fmt: skip
    return carried, left


def _stands(tables: object, key: str) -> bool:
    """Say whether the file says anything at a key."""
    for part in key.split("."):
        if not isinstance(tables, dict) or not tables.get(part):
            return False
        tables = tables[part]
    return True


def _without(project: "Project") -> "dict[str, None]":
    """Return the change that takes out what held for the other rocket only."""
    tables, damage = project.design.written.tables, project.design.damage
    gone: dict[str, None] = {key: None for key in fresh_bottle(project) if not key.startswith("damage.")}
    gone |= {f"damage.{number}": None for number in reversed(range(len(damage))) if damage[number].part != "launcher"}
    more = ("charge.day", "workshop.start", "workshop.begins", "measured.by", "measured.day",
            "recovery.mechanism.tests")  # fmt: skip
    return gone | {key: None for key in more if _stands(tables, key)}


def _wider(project: "Project", key: str) -> str:
    """Return a value that was measured on one piece with the ± of a label; empty where there is nothing to widen."""
    from bottlewright.design.formatting import format_value
    from bottlewright.design.how_sure import ways_of
    from bottlewright.quantities import Quantity

    value = said_at(project, key)
    if not isinstance(value, Quantity) or not _stands(project.design.written.tables, key):
        return ""
    text = format_value(project.design, key, value, spread=False).partition(" (")[0]
    for words, spread, size in ways_of(value, text):
        if words.startswith("off ") and size > value.spread:
            return f"{text} ± {spread}"
    return ""


def _noted(new: "Project", old: "Project", left: list[tuple[str, str]]) -> "Project":
    """Return the new design with a note on top that says from what it was copied, and what did not come along."""
    from bottlewright.project.project import parse

    lines = [f"# The next one after {_plain(old.name)} ({old.file.name}), copied on {dt.date.today()}.",
             *(f"# Left out: {what}; {why}." for what, why in left),
             "# What was measured on the other pieces has the ± of a label, until you measure yours."]  # fmt: skip
    first, _, rest = new.text.partition("\n")
    text = (f"{first}\n" + "\n".join([*lines, rest]) if first.startswith("#:schema")
            else "\n".join([*lines, new.text]))  # fmt: skip
    return parse(text, old.folder / file_name(new.name))


def _plain(text: str) -> str:
    return "".join(letter for letter in text if letter.isprintable())
