"""A first rocket from a few answers: which questions are asked, what may be answered, and the design that comes of it.

A question depends on the answers so far: `next_question` gives the one that is due, for a terminal and a page alike.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import NamedTuple, get_args

from bottlewright.design import Design, DesignError, complete, parse_design
from bottlewright.design.first_rocket import FEWEST_FINS, MOST_FINS, NO_PARACHUTE, most_water
from bottlewright.design.phrases import share_text
from bottlewright.design.rocket import NoseShape
from bottlewright.design.steadying import bottle_outline
from bottlewright.design.tables import bottle as bottle_row
from bottlewright.design.tables import bottles
from bottlewright.design.template import UNITS_BY_NAME, Answers, new_design
from bottlewright.design.unit_habit import METRIC, UnitHabit, unit_habit
from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.new_file import file_name
from bottlewright.project.project import Project
from bottlewright.quantities import Dimension, QuantityError, parse_quantity, show

__all__ = [
    "BottleShape", "Question", "answers_of", "begin", "bottle_shapes", "checked", "first_drawing_svg", "fizzy_bottles",
    "late_water", "load_words", "next_question", "over_first_test",
]  # fmt: skip


class Question(NamedTuple):
    """One thing to ask the builder.

    Parameters
    ----------
    name
        Of the answer.
    asks
        In words.
    offered
        What is taken when the builder only says yes; empty to leave it out, None where something has to be said.
    """

    name: str
    asks: str
    offered: str | None


def fizzy_bottles() -> list[str]:
    """Return the names of the bottles of fizzy drinks that the table knows."""
    return [row.name for row in bottles().values() if row.words["kind"] == "carbonated"]


class BottleShape(NamedTuple):
    """A bottle of the table to look at.

    Parameters
    ----------
    name
        Of its row.
    holds, held, across
        How much, which drink was in it, and its diameter, in words.
    outline
        Height above the lip and radius, m, from the lip to the base.
    length, diameter
        m.
    usable
        Whether a first rocket may be made of it.
    """

    name: str
    holds: str
    held: str
    across: str
    outline: tuple[tuple[float, float], ...]
    length: float
    diameter: float
    usable: bool


@cache
def bottle_shapes() -> tuple[BottleShape, ...]:
    """Return the bottles of the table as they look, smallest first, those that will not do behind them."""
    shapes = []
    for row in bottles().values():
        design = complete(parse_design(f'[vessel]\nbottle = "{row.name}"\n[charge]\npressure = "2 bar"\n'))
        points = bottle_outline(design)
        end = max(x for x, _ in points)
        outline = tuple(sorted((end - x, r) for x, r in points))
        fizzy = row.words["kind"] == "carbonated"
        litres = float(row.name.rpartition("-")[2]) / 1000.0
        across = show(row["diameter"].value, "mm")
        shapes.append(BottleShape(row.name, f"{litres:g} L", "fizzy" if fizzy else "still", across, outline,
                                  outline[-1][0], 2.0 * max(r for _, r in outline), fizzy))  # fmt: skip
    return tuple(sorted(shapes, key=lambda one: (not one.usable, one.diameter)))


def next_question(answers: Mapping[str, str]) -> Question | None:
    """Return what is to be asked next, given the answers so far; None when all is answered."""
    habit = _habit(answers)
    first_look = _FIRST_LOOK[(habit or METRIC).psi][0 if answers.get("age") else 1]
    questions = (
        Question("name", "Name of the rocket", "My rocket"),
        Question("bottle", "How large is the bottle, and was the drink in it fizzy or still? Such as 1.5 litre fizzy",
                 None),
        Question("round", "How long is a strip of paper that goes once round it? Such as 286 mm or 11 1/4 in; - if you "
                          "don't know", ""),
        Question("units", "Do you measure in mm and bar, or in inches and psi? Say mm or inches", "mm"),
        Question("age", "How long ago was it opened? Such as 20 days; - if you don't know", ""),
        Question("cycles", "How often was it pumped up so far? 0 for a new bottle; - if you don't know", ""),
        Question("pressure", "Pressure on the gauge, for a first look on paper", first_look),
        Question("water", "Water, such as 500 mL or a third; - to have it worked out", ""),
        Question("bore", "How wide is the hole that the water leaves by? - for the bare neck of the bottle", ""),
        Question("nose", f"Shape of the nose: {', '.join(get_args(NoseShape))} (the bottle's own bottom)", "ogive"),
        Question("fins", "How many fins?", "3"),
        Question("parachute", "How wide is the parachute? - to have it worked out, none for none", ""),
    )  # fmt: skip
    told = {"units"} if habit else set()
    return next((one for one in questions if one.name not in answers.keys() | told), None)


def _habit(answers: Mapping[str, str]) -> UnitHabit | None:
    def given(name: str) -> str:
        return answers.get(name, "")

    return Answers(name="", bottle="", pressure=given("pressure"), bore=given("bore"), parachute=given("parachute"),
                   round=given("round"), units=given("units")).habit  # fmt: skip


_FIRST_LOOK = ("2 bar", "1.5 bar"), ("30 psi", "20 psi")
"""What is offered for the pressure, on a gauge in bar and in psi: low, and a number to begin with on paper; `prove`
judges it like any other.

The second of each is for a bottle of unknown age: it is taken for an old one, and the largest of them would not be
allowed 2 bar."""


def checked(name: str, text: str) -> str:
    """Return an answer as it will stand in the file.

    Raises
    ------
    InputError
        With the name of the answer and what would be right.
    """
    if name not in _CHECKS:
        raise InputError(f"{name} is no answer; the answers are {', '.join(_CHECKS)}")
    try:
        return _CHECKS[name](text)
    except (_WrongAnswerError, QuantityError) as error:
        raise InputError(f"{name}: {error}") from None


def answers_of(given: Mapping[str, object]) -> dict[str, str]:
    """Return given answers checked; None stands for one that is not given."""
    return {name: checked(name, str(value)) for name, value in given.items() if value is not None}


def begin(answers: Mapping[str, object] | None = None, file: Path | None = None, **more: object) -> Project:
    """Return the project of a first rocket, with sizes that keep the nose in front; nothing is written.

    Parameters
    ----------
    answers, more
        By the names of the questions, such as ``bottle="1.5 litre fizzy", pressure="2 bar"``; bottle and pressure have
        to be there, everything else has a usual answer.
    file
        Where the design file is to lie; named after the rocket when left out.

    Raises
    ------
    InputError
        When an answer is missing or not allowed.
    DesignError
        When they make no rocket together.
    """
    given = {"name": "My rocket", **answers_of({**(answers or {}), **more})}
    for name in ("bottle", "pressure"):
        if name not in given:
            raise InputError(f"{name} is missing: there is no usual {name} to fall back on")
    fins = int(given.pop("fins", "3"))
    try:
        design = complete(parse_design(new_design(Answers(fins=fins, **given))))
    except DesignError as error:  # its lines are those of a file that nobody has
        raise DesignError([replace(problem, line=0) for problem in error.problems], given["name"]) from None
    return Project(design, file or Path(file_name(given["name"])))


def first_drawing_svg(design: Design) -> str:
    """Return the drawing of a first rocket from the side, to scale, as SVG."""
    from bottlewright.project.begin_drawing import first_drawing

    return first_drawing(design).svg(f"{design.name} from the side, to scale")


def load_words(design: Design) -> str:
    """Return what a design is loaded with: water, and pressure on the gauge."""
    water, pressure = design.charge.water, design.charge.pressure
    held = [f"{show(water.value, 'mL')} of water"] if water else []
    pumped = [f"{unit_habit(design).pressure(pressure.value)} on the gauge"] if pressure else []
    return " and ".join(held + pumped)


def late_water(design: Design) -> str:
    """Say, where the builder asked for more water than is out by the end of the guide, what that does."""
    most, water = most_water(design), design.charge.water
    if water is None or water.value <= 1.02 * most:
        return ""
    return (f"With {show(water.value, 'mL')} of water it leaves its guide while water is in its tail, and may turn "
            f"over: `bottlewright fly` says how surely it flies. {show(most, 'mL')} would be out by the end of the "
            "guide.")  # fmt: skip


# --- what may be answered ------------------------------------------------------------------------------------------


class _WrongAnswerError(BottlewrightError):
    """An answer is not allowed; the message says what would be right."""


def _times(text: str) -> str:
    """Check how often; nothing where nobody knows."""
    if text.strip() in ("-", ""):
        return ""
    if not text.strip().isdecimal() or int(text) > 1000:
        raise _WrongAnswerError(f"has to be a whole number from 0 to 1000, not {text!r}")
    return text.strip()


def _bottle(text: str) -> str:
    try:
        row = bottle_row(text.strip())
    except KeyError as error:
        size, unknown, _ = str(error.args[0]).partition("; give its volume")  # that is for a design file
        more = (f", and a first rocket is worked out for one of these: {', '.join(fizzy_bottles())}. Take the "
                "nearest of them, and then write what yours holds and how wide it is, on the page Sketch or under "
                "[vessel] in the file")  # fmt: skip
        raise _WrongAnswerError(f"{size}{more}" if unknown else size) from None
    if row.words["kind"] != "carbonated":
        raise _WrongAnswerError(f"{row.name} held a still drink: its wall is thinner, was never made for pressure, and "
                                "can burst. Take a bottle of a fizzy drink for a first rocket")
    return row.name


def _quantity(dimension: Dimension, needed: bool = False) -> Callable[[str], str]:
    def check(text: str) -> str:
        return parse_quantity(text, dimension).text if needed or text.strip() not in ("", "-") else ""

    return check


def _units(text: str) -> str:
    """Check the name of the units, or any unit of theirs."""
    known = {"mm": "mm", "metric": "mm", "bar": "mm", "in": "inches", "inch": "inches", "inches": "inches",
             "psi": "inches"}  # fmt: skip
    if text.strip().lower() not in known:
        raise _WrongAnswerError(f"has to be {' or '.join(UNITS_BY_NAME)}, not {text!r}")
    return known[text.strip().lower()]


def _water(text: str) -> str:
    """Check a volume, or a share of the bottle, which stays as it was written."""
    return text.strip() if share_text(text) else _quantity(Dimension.VOLUME)(text)


def _nose(text: str) -> str:
    if text not in get_args(NoseShape):
        raise _WrongAnswerError(f"has to be one of {', '.join(get_args(NoseShape))}, not {text!r}")
    return text


def _parachute(text: str) -> str:
    """Check a diameter, or the word for none."""
    return NO_PARACHUTE if text.strip().lower() == NO_PARACHUTE else _quantity(Dimension.LENGTH)(text)


def _count(text: str) -> str:
    if not text.strip().isdecimal() or not FEWEST_FINS <= int(text) <= MOST_FINS:
        raise _WrongAnswerError(f"has to be a whole number from {FEWEST_FINS} to {MOST_FINS}, not {text!r}: fewer keep "
                                "no rocket straight")
    return text.strip()


_CHECKS: dict[str, Callable[[str], str]] = {
    "name": str, "bottle": _bottle, "round": _quantity(Dimension.LENGTH), "units": _units,
    "age": _quantity(Dimension.TIME), "cycles": _times, "pressure": _quantity(Dimension.PRESSURE, needed=True),
    "water": _water, "bore": _quantity(Dimension.LENGTH), "nose": _nose, "fins": _count, "parachute": _parachute,
}  # fmt: skip


def over_first_test(design: Design) -> str:
    """Say, where more pressure is planned than the bottle's first water test would allow, what would do."""
    from bottlewright.proof.allowed import allowed_pressure, first_plan
    from bottlewright.proof.allowed_words import first_plan_words

    allowed, habit, planned = allowed_pressure(design), unit_habit(design), design.charge.pressure
    after, first = allowed.after_test, first_plan(design, allowed)
    if planned is None or after is None or first is None or planned.value <= first + 1.0:
        return ""
    said, words = habit.pressure(planned.value), first_plan_words(allowed, first, habit)
    would = "the first water test of this bottle would allow"
    over = f"{said} is more than {would}" if planned.value > after.allowed_gauge_Pa else (
        f"At {said} a pump could pass what {would}")  # fmt: skip
    return f"{over}. {words[:1].upper()}{words[1:]}."
