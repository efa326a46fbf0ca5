"""What weighs what: each part with its mass, what that rests on, its share and its centre, and their sum."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import InputError
from bottlewright.project.first_guess import FIRST_GUESS, guessed

if TYPE_CHECKING:
    from bottlewright.project.project import Project

__all__ = ["Weighs", "Weights", "added", "taken_out", "weights_of"]


class Weighs(NamedTuple):
    """One part.

    Parameters
    ----------
    name, key
        What it is, and where it stands in the file.
    mass, basis, source
        With its ±, what that rests on, and from where.
    share
        Of the sum, per cent.
    centre
        From the nose tip.
    loose
        The table of the file that takes it out again; empty for a part that a rocket has anyway.
    """

    name: str
    key: str
    mass: str
    basis: str
    source: str
    share: str
    centre: str
    loose: str

    @property
    def origin(self) -> str:
        """Where its mass comes from, in a line."""
        if self.basis == FIRST_GUESS:
            return FIRST_GUESS
        return "yours" if self.basis.startswith("measured") else f"{self.basis}: {self.source}"


class Weights(NamedTuple):
    """All parts, the heaviest first.

    Parameters
    ----------
    rows
        Of the table.
    mass, balance
        Their sum with its ±, and where they balance, from the nose tip.
    """

    rows: list[Weighs]
    mass: str
    balance: str


def weights_of(project: "Project") -> Weights:
    """Return what weighs what, by the parts alone: what scale and string said is left out."""
    from bottlewright.design.formatting import format_value
    from bottlewright.design.rewriting import rewritten
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.flight.layout import layout_of, part_centres

    design = rewritten(project.design, (("measured", ""),))
    layout, habit = layout_of(design), unit_habit(project.design)
    centres = part_centres(design, [part.path for part in layout.parts])
    rows, guesses = [], guessed(project)
    for part in sorted(layout.parts, key=lambda one: -one.mass.value):
        mass = (format_value(design, part.path, part.mass, habit=habit) if part.mass.text
                else _with_spread(habit.mass(part.mass.value), habit.mass(part.mass.spread, 2)))  # fmt: skip
        loose = part.path.rpartition(".")[0] if part.path.startswith("mass.") else ""
        guess = guesses.get(part.path) == mass.partition(" ±")[0].partition(" (")[0]
        rows.append(Weighs(
            part.name, part.path, mass, FIRST_GUESS if guess else str(part.mass.basis), part.mass.source,
            f"{100.0 * part.mass.value / layout.estimated_mass:.0f} %", habit.length(centres[part.path]), loose,
        ))  # fmt: skip
    spread = math.hypot(*(part.mass.spread for part in layout.parts))
    return Weights(rows, _with_spread(habit.mass(layout.estimated_mass, 4), habit.mass(spread, 2)),
                   habit.length(layout.balance_empty))  # fmt: skip


def _with_spread(value: str, spread: str) -> str:
    return f"{value.partition(' (')[0]} ± {spread.partition(' (')[0]}"


def added(project: "Project", name: str, mass: str, position: str) -> Mapping[str, str]:
    """Return the change that adds something that weighs.

    Raises
    ------
    InputError
        When one of the three is not said.
    """
    said = {"name": name.strip(), "mass": mass.strip(), "position": position.strip()}
    missing = [what for what, text in zip(("what it is", "what it weighs", "where it sits"), said.values(), strict=True)
               if not text]  # fmt: skip
    if missing:
        raise InputError(f"Say {' and '.join(missing)}")
    return {f"mass.{len(project.design.mass)}.{key}": text for key, text in said.items()}


def taken_out(project: "Project", part: str) -> Mapping[str, None]:
    """Return the change that takes something out again that weighs.

    Raises
    ------
    InputError
        When there is no such part.
    """
    if part not in {f"mass.{number}" for number in range(len(project.design.mass))}:
        raise InputError("There is no such part any more")
    return {part: None}
