"""The next launch of a rocket that was learned of: loads that may be flown, and what each would tell."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from bottlewright.errors import InputError

if TYPE_CHECKING:
    from bottlewright.design.document import Design
    from bottlewright.learn.fit import Fit
    from bottlewright.learn.next_words import NextWords
    from bottlewright.project.project import Project

__all__ = ["instruments_of", "next_of"]

_OTHER = (("less water", "charge.water", 0.75), ("more water", "charge.water", 1.25),
          ("less pressure", "charge.pressure", 0.75))  # fmt: skip
"""Loads beside the planned one, as shares of it. None has more pressure: nothing that was learned raises one."""


def instruments_of(names: Sequence[str]) -> "list[str]":
    """Return names of instruments at hand, all where none is said.

    Raises
    ------
    InputError
        When one is not known.
    """
    from bottlewright.learn.next_launch import INSTRUMENTS

    strange = [one for one in names if one not in INSTRUMENTS]
    if strange:
        raise InputError(f"nobody knows the instrument {strange[0]!r} here: say some of {', '.join(INSTRUMENTS)}")
    return list(dict.fromkeys(names)) or list(INSTRUMENTS)


def next_of(project: "Project", fit: "Fit", parting: Sequence[str], at_hand: Sequence[str] = ()) -> "NextWords":
    """Work out what to launch and measure next.

    Parameters
    ----------
    project
        As its file says; what it learned is put aside, since the fit holds it.
    parting
        Keys of values that can't be told apart.
    at_hand
        Names of instruments; all where none is said.
    """
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.learn.next_launch import INSTRUMENTS, next_launch
    from bottlewright.learn.next_words import NextWords
    from bottlewright.project.offered import offer, why_none
    from bottlewright.project.using_learned import as_before

    names, habit = instruments_of(at_hand), unit_habit(project.design)
    plain = as_before(project)
    if why := why_none(plain):
        return NextWords(None, {}, [f"No launch is offered, because {why}: see the page Prove (the command `prove`)."],
                         habit)  # fmt: skip
    home = offer(plain, "charge.water", 1.0)
    first = f"{home.why}: look at that before anybody launches {home.load} again." if home.why else ""
    loads, said, left_out = _loads(plain, home.load)
    try:
        found = next_launch(fit, loads, [INSTRUMENTS[one] for one in names], parting)
    except ValueError as error:
        return NextWords(None, {}, [f"No launch is offered: {error}."], habit)
    other = [f"Before another load is pumped, look at its own verdict and landings: they were worked out for "
             f"{said['the same load']}."] if len(loads) > 1 else []  # fmt: skip
    return NextWords(found, said, [*left_out, *other], habit, first)


def _loads(plain: "Project", home: str) -> "tuple[Mapping[str, Design], dict[str, str], list[str]]":
    from bottlewright.project.offered import offer

    loads, said, left_out = {"the same load": plain.design}, {"the same load": home}, []
    for name, key, share in _OTHER:
        found = offer(plain, key, share)
        if found.project is None or found.why:
            why = f"{found.why[:1].upper()}{found.why[1:]}"
            left_out.append(f"{name.capitalize()}, {found.load}, is not offered. {why}.")
        else:
            loads[name], said[name] = found.project.design, found.load
    return loads, said, left_out
