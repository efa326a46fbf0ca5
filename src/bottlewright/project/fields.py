"""What a page shows beside each key of a design: its value, its ±, what it rests on, what it may be."""

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project.first_guess import FIRST_GUESS, guessed
from bottlewright.project.letting_out import MECHANISM_LABELS
from bottlewright.project.payload import PAYLOAD_LABELS

if TYPE_CHECKING:
    from bottlewright.design.reference import Key
    from bottlewright.project.project import Project

__all__ = [
    "GROUPS", "OTHER_BOTTLE", "Field", "entered", "fields_of", "in_words", "label_of", "said_at", "surer",
    "told_by_name",
]  # fmt: skip


_GUESSED = "marked so in the design file"
"""Source of what the file itself calls assumed: a value that a page put there to start from."""


class Field(NamedTuple):
    """One value of the design.

    Parameters
    ----------
    key, label
        Where it stands in the file, and what it is called on a page.
    text, spread
        The value with its unit, and its ±; empty where there is none.
    basis
        Measured or chosen, from a table, or assumed; empty for a word.
    source
        Where it comes from.
    options
        The words it may be; empty for a number.
    meaning, may_be
        What it is, and what it may be, as the reference of the file has them.
    changes
        What a word that nobody measured changes in pressures or distances, without it and with it.
    guess
        Whether the program chose it for a first rocket, and nobody has changed it since.
    ways, sure
        Ways to come by such a value in plain words, each with its ±; and the one that it has.
    """

    key: str
    label: str
    text: str
    spread: str
    basis: str
    source: str
    options: tuple[str, ...]
    meaning: str
    may_be: str
    ways: tuple[tuple[str, str], ...] = ()
    sure: str = ""
    changes: str = ""
    guess: bool = False

    @property
    def yours(self) -> bool:
        """Whether the file says it itself."""
        return self.basis.startswith("measured")

    @property
    def origin(self) -> str:
        """Where the number comes from, in a line."""
        if self.guess:
            return FIRST_GUESS
        if not self.yours:
            return f"{self.basis}: {self.source}" if self.basis else ""
        _, assumed, usual = self.source.partition("± assumed: ")
        return f"yours; ± as usual: {usual}" if assumed else "yours"


GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("Bottle", (("vessel.volume", "it holds"), ("vessel.diameter", "across"), ("vessel.empty_mass", "weighs empty"),
                ("vessel.age", "opened for"), ("vessel.cycles", "times under pressure"))),
    ("Nozzle", (("nozzle.bore", "hole"), ("nozzle.length", "length"), ("nozzle.mass", "mass"))),
    ("Nose", (("nose.shape", "shape"), ("nose.length", "length"), ("nose.wall", "wall, empty where it is solid"),
              ("nose.mass", "mass"))),
    ("Fins", (("fins.count", "how many"), ("fins.root", "root, along the body"), ("fins.tip", "tip, outer edge"),
              ("fins.span", "span, outwards"), ("fins.sweep", "sweep, tip behind front"),
              ("fins.position", "front, from the nose tip"), ("fins.thickness", "thickness"))),
    ("Charge", (("charge.water", "water"), ("charge.pressure", "pressure on the gauge"),
                ("charge.temperature", "of the water"))),
    ("Way down", (("recovery.diameter", "parachute across"), ("recovery.mass", "mass"))),
    ("Launcher", (("launcher.guide_length", "guide"), ("launcher.tilt", "tilt"), ("launcher.hose.length", "hose"),
                  ("launcher.cord.length", "cord"))),
    ("Weather", (("weather.wind_speed", "wind"), ("weather.wind_from", "wind from"),
                 ("weather.wind_height", "wind measured at, above ground"), ("weather.temperature", "air"))),
)  # fmt: skip
"""What a page asks for, by part of the rocket, in the order that it is built."""


_MORE_LABELS = {
    "launcher.crew.eye_protection": "everyone near wears eye protection", "launcher.crew.remote_vent":
    "pressure let off from a distance", "launcher.crew.operator": "cord puller stands off",
    "launcher.crew.pumper": "pumper stands off", "launcher.crew.spectators": "spectators stand off",
    "launcher.gauge.fitted": "a gauge is fitted", "launcher.stakes.count": "stakes",
    "sleeve.position": "front of the skirt, from the nose tip", "sleeve.length": "length of the skirt",
    "vessel.id": "what is written on the bottle", "model.drag_factor": "air drag, a factor",
}  # fmt: skip
"""What a page calls keys that have no group of their own there."""


_CHOSEN = {
    "recovery.release": "when it is let out",
    "recovery.mechanism.way": "what opens", "recovery.mechanism.trip": "what lets it go",
    "recovery.mechanism.tests.tries": "tries counted", "recovery.mechanism.tests.stuck": "of these, stuck",
    "recovery.mechanism.tests.early": "of these, too early",
    "recovery.mechanism.tests.confirmed_by": "who put a name to the tries",
    "recovery.mechanism.tests.confirmed_on": "on which day",
}  # fmt: skip
"""What a page calls what is chosen or filed there and has no field: a finding says its key."""


def label_of(key: str, texts: "Mapping[str, str]") -> str:
    """Return what a page calls a key, its part of the rocket before it.

    Parameters
    ----------
    texts
        Texts of the design by key, for the names of what weighs.
    """
    for part, keys in GROUPS:
        for one, label in keys:
            if one == key:
                return label if label == "water" else f"{part}: {label}"
    table, _, name = key.rpartition(".")
    if table.startswith("mass."):
        part, _, inside = table.partition(".payload")
        own = PAYLOAD_LABELS.get(name, name) if table.endswith(".payload") else f"{inside} {name}".strip()
        return f"{texts.get(f'{part}.name', 'a part')}: {own}"
    if table.startswith("recovery.mechanism") or key in _CHOSEN:
        return f"Letting out: {MECHANISM_LABELS.get(key) or _CHOSEN.get(key) or name.replace('_', ' ')}"
    return _MORE_LABELS.get(key) or re.sub(r"\.\d+\b", "", key).replace(".", ", ").replace("_", " ")


_TABLES = "vessel|nozzle|nose|fins|sleeve|recovery|charge|launcher|site|weather|workshop|measured|model"
_PART = re.compile(r"\b(mass\.\d+)\.\w+(?:\.\w+)*")
_KEY = re.compile(rf"\b(?:{_TABLES})(?:[. ][a-z_]+)*[. ][a-z_]+(?P<yes> = true)?")


def in_words(text: str, texts: "Mapping[str, str] | None" = None) -> str:
    """Return words of a finding for whoever has pages: a key that a page has a field for by that field's name.

    Any other key stays, for it has to be written into the design file.

    Parameters
    ----------
    text
        What the finding says.
    texts
        Names of what weighs, by key.
    """
    def named(hit: re.Match[str]) -> str:
        words = hit[0].removesuffix(" = true").replace(" ", ".").split(".")
        for count in range(len(words), 1, -1):
            if label := _PAGE_LABELS.get(".".join(words[:count])):
                used = len(".".join(words[:count]))
                return f"“{label}”{': yes' if hit['yes'] and count == len(words) else hit[0][used:]}"
        return hit[0]

    return _KEY.sub(named, _PART.sub(lambda hit: f"“{label_of(hit[0], texts or {})}”", text))


_PAGE_LABELS = {key: label for _, keys in GROUPS for key, label in keys} | _MORE_LABELS | MECHANISM_LABELS | {
    "workshop.children_per_adult": "young people per adult", "vessel.kind": "was sold with", "vessel.storage": "kept",
    "charge.day": "day of the launch", "vessel.proof": "tests of this bottle",
    "vessel.proof.cycles": "times under pressure by then",
}  # fmt: skip


_OF_THE_BOTTLE = ("vessel.volume", "vessel.diameter")
OTHER_BOTTLE = ("The sizes of this rocket were made for the bottle that stands here. For one of another size "
                "begin another rocket (“All designs”), or bring those sizes into line first and the bottle last.")
"""What helps where a bottle no longer fits what was built on it."""


def told_by_name(error: Exception, changed: str = "") -> str:
    """Return what is wrong with a change for whoever has pages: each value by its field's name, no line of a file.

    Parameters
    ----------
    changed
        The one key that was changed, where there is one.
    """
    from bottlewright.design import DesignError

    if not isinstance(error, DesignError):
        return str(error)
    told = []
    for one in error.problems:
        label = f"“{_PAGE_LABELS.get(one.path) or label_of(one.path, {})}” " if one.path else ""
        told.append(in_words(f"{label}{one.why}{f'; {one.right}' if one.right else ''}"))
    if changed in _OF_THE_BOTTLE and changed not in {one.path for one in error.problems}:
        told.append(OTHER_BOTTLE)
    return "\n".join(told)


def fields_of(project: "Project", keys: Iterable[tuple[str, str]], unsaid: bool = False) -> list[Field]:
    """Return the fields that this design has, of those asked for; masses have one for each part in the file.

    With `unsaid` a key whose table is not in the file has an empty field, to begin it with.
    """
    from bottlewright.design import DesignError

    found, guesses = [], guessed(project)
    for key, label in keys:
        try:
            field = _field(project, key, label)
            guess = guesses.get(key) == field.text if field.yours else (
                field.basis == "assumed" and field.source.startswith(_GUESSED))
            found.append(field._replace(guess=bool(field.text) and guess))
        except DesignError:
            if unsaid and (known := _reference().get(_pattern(key))):
                found.append(Field(key, label, "", "", "", "", (), known.meaning, known.may_be))
    return found


def said_at(project: "Project", key: str) -> Any:
    """Return what stands at a key; None where the design has no such place."""
    from bottlewright.errors import BottlewrightError

    try:
        return project.value(key)
    except BottlewrightError:
        return None


def entered(project: "Project", key: str, text: str, spread: str) -> str:
    """Return the text of a value as it goes into the file; empty where nothing was written.

    A ± that was filled in for the value before says nothing of a new one: it is left out, and the new one takes its
    usual ±. Nobody has claimed it.
    """
    from bottlewright.quantities import Quantity, states_spread

    before = said_at(project, key)
    filled = isinstance(before, Quantity) and any(
        field.spread == spread and not (field.yours and states_spread(before.text))
        for field in fields_of(project, [(key, "")]))  # fmt: skip
    return f"{text} ± {spread}" if text and spread and not filled else text


def surer(project: "Project", key: str, how: str) -> str:
    """Return the text of a value that somebody came by in a way of those that `Field.ways` has.

    Raises
    ------
    InputError
        When there is no such way for it.
    """
    from bottlewright.errors import InputError

    for field in fields_of(project, [(key, "")]):
        for words, spread in field.ways:
            if words == how:
                return f"{field.text} ± {spread}"
    raise InputError(f"{how or 'Nothing'} is no way to come by {key or 'a value'}")


def _field(project: "Project", key: str, label: str) -> Field:
    from bottlewright.design.formatting import format_value
    from bottlewright.design.how_sure import sure_by, ways_of
    from bottlewright.quantities import Quantity

    value, known = project.value(key), _reference().get(_pattern(key))
    meaning, may_be = (known.meaning, known.may_be) if known else ("", "")
    if isinstance(value, Quantity):
        text = format_value(project.design, key, value, spread=False).partition(" (")[0]
        ways = tuple((words, spread) for words, spread, _ in ways_of(value, text))
        return Field(key, label, text, _spread(value, text), str(value.basis), value.source, (), meaning, may_be, ways,
                     sure_by(value, text))  # fmt: skip
    options = tuple(part.strip('`"') for part in re.split(", | or ", may_be)) if may_be.startswith("`") else ()
    text = "" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    return Field(key, label, text, "", "", "", options, meaning, may_be)


def _spread(value: object, text: str) -> str:
    from bottlewright.quantities import Quantity, show_difference, states_spread, written_unit

    if not isinstance(value, Quantity) or not value.spread > 0.0:
        return ""
    if states_spread(value.text):  # as it was entered
        return re.split(r"±|\+/?-", value.text)[-1].partition("(")[0].strip()
    try:
        return show_difference(value.spread, written_unit(text))
    except (KeyError, StopIteration):
        return ""


def _pattern(key: str) -> str:
    return ".".join("*" if part.isdecimal() else part for part in key.split("."))


@cache
def _reference() -> "dict[str, Key]":
    from bottlewright.design.reference import keys

    return {f"{one.table}.{one.name}".lstrip("."): one for one in keys()}
