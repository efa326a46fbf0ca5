"""What a page shows beside each key of a design: its value, its ±, what it rests on, what it may be."""

from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from bottlewright.design.reference import Key
    from bottlewright.project.project import Project

__all__ = ["GROUPS", "Field", "fields_of"]


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

    @property
    def yours(self) -> bool:
        """Whether the file says it itself."""
        return self.basis.startswith("measured")


GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("Bottle", (("vessel.volume", "it holds"), ("vessel.diameter", "across"), ("vessel.empty_mass", "weighs empty"),
                ("vessel.age", "opened for"), ("vessel.cycles", "times under pressure"))),
    ("Nozzle", (("nozzle.bore", "hole"), ("nozzle.length", "length"), ("nozzle.mass", "mass"))),
    ("Nose", (("nose.shape", "shape"), ("nose.length", "length"), ("nose.mass", "mass"))),
    ("Fins", (("fins.count", "how many"), ("fins.root", "root, along the body"), ("fins.tip", "tip, outer edge"),
              ("fins.span", "span, outwards"), ("fins.sweep", "sweep, tip behind front"),
              ("fins.position", "front, from the nose tip"), ("fins.thickness", "thickness"))),
    ("Charge", (("charge.water", "water"), ("charge.pressure", "pressure on the gauge"),
                ("charge.temperature", "of the water"))),
    ("Way down", (("recovery.diameter", "parachute across"), ("recovery.mass", "mass"))),
    ("Launcher", (("launcher.guide_length", "guide"), ("launcher.tilt", "tilt"), ("launcher.hose.length", "hose"),
                  ("launcher.cord.length", "cord"))),
    ("Weather", (("weather.wind_speed", "wind"), ("weather.wind_from", "wind from"),
                 ("weather.temperature", "air"))),
)  # fmt: skip
"""What a page asks for, by part of the rocket, in the order that it is built."""


def fields_of(project: "Project", keys: Iterable[tuple[str, str]]) -> list[Field]:
    """Return the fields that this design has, of those asked for; masses have one for each part in the file."""
    from bottlewright.design import DesignError

    found = []
    for key, label in keys:
        try:
            found.append(_field(project, key, label))
        except DesignError:
            continue
    return found


def _field(project: "Project", key: str, label: str) -> Field:
    from bottlewright.design.formatting import format_value
    from bottlewright.quantities import Quantity

    value, known = project.value(key), _reference().get(_pattern(key))
    meaning, may_be = (known.meaning, known.may_be) if known else ("", "")
    if isinstance(value, Quantity):
        text = format_value(project.design, key, value, spread=False).partition(" (")[0]
        return Field(key, label, text, _spread(value, text), str(value.basis), value.source, (), meaning, may_be)
    options = tuple(part.strip('`"') for part in may_be.split(", ")) if may_be.startswith("`") else ()
    return Field(key, label, "" if value is None else str(value), "", "", "", options, meaning, may_be)


def _spread(value: object, text: str) -> str:
    from bottlewright.quantities import Quantity, show_difference, written_unit

    if not isinstance(value, Quantity) or not value.spread > 0.0:
        return ""
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
