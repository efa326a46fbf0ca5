"""A card to take home: one launch, its true figures with their ±, and no name but initials or a number."""

from functools import cache
from typing import TYPE_CHECKING

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.errors import InputError
from bottlewright.figures.colours import LIGHT, class_rules
from bottlewright.logbook.compared import COMPARED, compared, sentence
from bottlewright.logbook.compared_picture import compared_picture
from bottlewright.logbook.export import surest
from bottlewright.logbook.people import checked_name
from bottlewright.logbook.records import FlightFile

if TYPE_CHECKING:
    from jinja2 import Template

__all__ = ["card"]


_WIDE = 118.0
"""Of the picture on the card, mm."""


@cache
def _template() -> "Template":
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(loader=PackageLoader("bottlewright.logbook"), autoescape=True, undefined=StrictUndefined,
                              trim_blocks=True, lstrip_blocks=True)  # fmt: skip
    return environment.get_template("card.html")


def card(flight: FlightFile, habit: UnitHabit = METRIC, number: int | None = None) -> str:
    """Return the card as one self-contained HTML page that prints on A5, two on a sheet of A4.

    What was not measured is said, not made up; of what was measured in several ways the surest stands there.

    Parameters
    ----------
    number
        Which launch of its rocket on its day it is (`bottlewright.logbook.launches.number_in`); None: as in its file.
    """
    rows, says = compared(flight), sentence(flight, habit)
    best = {what: found for what in COMPARED if (found := surest(flight, what))}
    lead = next(iter(best), None)
    measured = [one for one in rows if one.measured is not None]
    picture = compared_picture(measured, "card", says, habit)
    names = {what: f"{called[:1].upper()}{called[1:]}" for what, (_, called) in COMPARED.items()}
    words = {one.what: one.words(habit) for one in rows if one.measured is not None}
    said = {what: words.get(what, found[1].value) for what, found in best.items()}
    return _template().render(
        rocket=flight.rocket, number=flight.number if number is None else number, day=flight.day,
        who=_initials(flight), colours=LIGHT,
        figure_style=class_rules(LIGHT), what=names[lead] if lead else "Height", says=says, program="Bottlewright",
        big=said[lead] if lead else "not measured", how=best[lead][1].how if lead else "",
        picture=picture.draw(_WIDE).svg(says, "", "card", alone=False, share=None) if measured else "",
        made=flight.prediction.made[:10] if flight.prediction else "no day",
        rows=[*((names[what], text) for what, text in said.items() if what != lead), *_loaded(flight, habit)],
    )  # fmt: skip


def _initials(flight: FlightFile) -> str:
    """Return whose launch it was, where that is initials or a number; a whole name does not go home with a child."""
    try:
        return checked_name(flight.team or "")
    except InputError:
        return ""


def _loaded(flight: FlightFile, habit: UnitHabit) -> list[tuple[str, str]]:
    found = []
    if flight.loaded and flight.loaded.water:
        found.append(("Water", f"{flight.loaded.water.value * 1e6:.0f} mL"))
    if flight.loaded and flight.loaded.pressure:
        found.append(("Pressure on the gauge", habit.pressure(flight.loaded.pressure.value)))
    for name, text in (("Came down", flight.landing), ("Broke", flight.damage), ("Egg", flight.egg)):
        if text:
            found.append((name, text))
    return found
