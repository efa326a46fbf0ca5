"""The next launch of a rocket that was learned of: loads that may be flown, and what each would tell."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from bottlewright.errors import BottlewrightError, InputError

if TYPE_CHECKING:
    from bottlewright.design.document import Design
    from bottlewright.learn.fit import Fit
    from bottlewright.learn.next_words import NextWords
    from bottlewright.project.project import Project

__all__ = ["instruments_of", "load_words", "next_of", "scaled"]

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
    from bottlewright.project.using_learned import as_before

    names, habit = instruments_of(at_hand), unit_habit(project.design)
    plain = as_before(project)
    verdict = plain.fly().verdict
    planned, allowed = plain.value("charge.pressure").value, verdict.allowed.gauge_Pa
    if allowed is None or verdict.level == "stop" or planned > allowed:
        why = ("no pressure is allowed yet" if allowed is None else "the verdict says stop" if verdict.level == "stop"
               else "the planned pressure is over what is allowed")  # fmt: skip
        return NextWords(None, {}, [f"No launch is offered, because {why}: see the page Prove (the command `prove`)."],
                         habit)  # fmt: skip
    loads, said, left_out = _loads(plain)
    try:
        found = next_launch(fit, loads, [INSTRUMENTS[one] for one in names], parting)
    except ValueError as error:
        return NextWords(None, {}, [f"No launch is offered: {error}."], habit)
    other = [f"Before another load is pumped, look at its own verdict and landings: they were worked out for "
             f"{said['the same load']}."] if len(loads) > 1 else []  # fmt: skip
    return NextWords(found, said, [*left_out, *other], habit)


def _loads(plain: "Project") -> "tuple[Mapping[str, Design], dict[str, str], list[str]]":
    loads, said, left_out = {"the same load": plain.design}, {"the same load": load_words(plain)}, []
    for name, key, share in _OTHER:
        other = plain.changed({key: scaled(plain, key, share)})
        try:
            stopped = other.fly().verdict.level == "stop"
        except BottlewrightError:
            stopped = True
        if stopped:
            left_out.append(f"{name.capitalize()}, {load_words(other)}, is not offered: its verdict says stop.")
        else:
            loads[name], said[name] = other.design, load_words(other)
    return loads, said, left_out


def scaled(project: "Project", key: str, share: float) -> str:
    """Return a share of a design's water or pressure, rounded to what a jug or a gauge shows."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import UNITS, Dimension

    value, psi = project.value(key).value * share, UNITS[Dimension.PRESSURE]["psi"]
    if key == "charge.water":
        return f"{round(value * 1e6, -1):.0f} mL"
    return f"{value / psi:.0f} psi" if unit_habit(project.design).psi else f"{value * 1e-5:.1f} bar"


def load_words(project: "Project") -> str:
    """Return the load of a design, such as "365 mL at 4.5 bar"."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import show

    pressure = unit_habit(project.design).pressure(project.value("charge.pressure").value)
    return f"{show(project.value('charge.water').value, 'mL')} at {pressure}"
