"""`bottlewright begin`: a design file from a few answers."""

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, get_args

import typer

from bottlewright.cli.common import Json
from bottlewright.cli.endings import InputError
from bottlewright.cli.new_file import save_new
from bottlewright.cli.printing import print_json, say
from bottlewright.design import Design, DesignError, complete, parse_design, stood_on
from bottlewright.design.first_rocket import FEWEST_FINS, MOST_FINS, NO_PARACHUTE, most_water
from bottlewright.design.phrases import share_text
from bottlewright.design.rocket import NoseShape
from bottlewright.design.tables import bottle as bottle_row
from bottlewright.design.tables import bottles
from bottlewright.design.template import UNITS_BY_NAME, Answers, new_design
from bottlewright.design.unit_habit import METRIC
from bottlewright.quantities import Dimension, QuantityError, parse_quantity, show

__all__ = ["begin"]


def begin(
    file: Annotated[Path | None, typer.Argument(help="The file to write; named after the rocket when left out.",
                                                show_default=False)] = None,
    name: Annotated[str | None, typer.Option(help="What the rocket is called.", show_default=False)] = None,
    bottle: Annotated[str | None, typer.Option(help='Its size and drink, such as "1.5 litre fizzy", or a row of the '
                                                    "bottle table, such as carbonated-1500.",
                                               show_default=False)] = None,
    way_round: Annotated[str | None, typer.Option("--round", help='The way once round the bottle, such as "286 mm"; '
                                                                  "the table's when left out.",
                                                  show_default=False)] = None,
    pressure: Annotated[str | None, typer.Option(help='On the gauge, such as "4 bar".', show_default=False)] = None,
    water: Annotated[str | None, typer.Option(help='Such as "500 mL"; worked out when left out: a third of the vessel, '
                                                   "or less where it has to be out by the end of the guide.",
                                              show_default=False)] = None,
    bore: Annotated[str | None, typer.Option(help='Of the nozzle, such as "9 mm"; the bare neck when left out.',
                                             show_default=False)] = None,
    nose: Annotated[str | None, typer.Option(help="ogive, cone, paraboloid, ellipsoid, hemisphere, flat or bottle.",
                                             show_default=False)] = None,
    fins: Annotated[int | None, typer.Option(help="How many.", show_default=False)] = None,
    parachute: Annotated[str | None, typer.Option(help='Its diameter, such as "450 mm"; "none" for none; worked out '
                                                       "when left out.", show_default=False)] = None,
    age: Annotated[str | None, typer.Option(help='How long ago the bottle was opened, such as "20 days".',
                                            show_default=False)] = None,
    cycles: Annotated[int | None, typer.Option(help="How often the bottle was under pressure so far; 0 for a new one.",
                                               show_default=False)] = None,
    units: Annotated[str | None, typer.Option(help='mm or inches: what the file is written in, for bar or psi too; as '
                                                   "you answer when left out.", show_default=False)] = None,
    as_json: Json = False,
) -> int:
    """Write a commented design file from a few answers, with sizes that keep the nose in front, and its drawing.

    What is not given as an option is asked for on a terminal. The file is written in the units of the answers.
    """
    asking = sys.stdin.isatty() and not as_json
    ask = _ask if asking else _do_not_ask
    if asking:
        say("A few questions. A bottle and a ruler are enough; Enter takes what stands in brackets, - leaves it out.")
        fizzy = ", ".join(row.name for row in bottles().values() if row.words["kind"] == "carbonated")
        say(f"The table knows these bottles of fizzy drinks: {fizzy}.")
    answers = Answers(
        name=ask("name", "Name of the rocket", name, "My rocket", str), pressure=pressure or "", bore=bore or "",
        parachute=parachute or "", units=_do_not_ask("units", "", units, "", _units),
        bottle=ask("bottle", "How large is the bottle, and was the drink in it fizzy or still? "
                             "Such as 1.5 litre fizzy", bottle, None, _bottle),
        round=ask("round", "How long is a strip of paper that goes once round it? Such as 286 mm or 11 1/4 in; - if "
                           "you don't know", way_round, "", _quantity(Dimension.LENGTH)),
    )  # fmt: skip
    if answers.habit is None:
        answers = replace(answers, units=ask(
            "units", "Do you measure in mm and bar, or in inches and psi? Say mm or inches", units, "mm", _units))
    first_look = _FIRST_LOOK[(answers.habit or METRIC).psi]
    answers = replace(
        answers,
        age=(opened := ask("age", "How long ago was it opened? Such as 20 days; - if you don't know", age, "",
                           _quantity(Dimension.TIME))),
        cycles=ask("cycles", "How often was it pumped up so far? 0 for a new bottle; - if you don't know",
                   None if cycles is None else str(cycles), "0" if asking else "", _times),
        pressure=ask("pressure", "Pressure on the gauge, for a first look on paper", pressure,
                     first_look[0 if opened else 1] if asking else None, _quantity(Dimension.PRESSURE)),
        water=ask("water", "Water, such as 500 mL or a third; - to have it worked out", water, "", _water),
        bore=ask("bore", "How wide is the hole that the water leaves by? - for the bare neck of the bottle", bore, "",
                 _quantity(Dimension.LENGTH)),
        nose=ask("nose", f"Shape of the nose: {', '.join(get_args(NoseShape))} (the bottle's own bottom)", nose,
                 "ogive", _nose),
        fins=int(ask("fins", "How many fins?", None if fins is None else str(fins), "3", _count)),
        parachute=ask("parachute", "How wide is the parachute? - to have it worked out, none for none", parachute, "",
                      _parachute),
    )
    try:
        text = new_design(answers)
        design = complete(parse_design(text))
    except DesignError as error:  # its lines are those of a file that nobody has
        raise DesignError([replace(problem, line=0) for problem in error.problems], answers.name) from None
    path = file or Path(f"{re.sub(r'[^a-z0-9]+', '-', answers.name.lower()).strip('-') or 'rocket'}.toml")
    drawing = path.with_suffix(".svg")
    save_new(path, text)
    drawn = _draw(design, drawing)
    late = _late_water(design)
    if as_json:
        basis = {key: str(quantity.basis) for key, quantity in stood_on(design)}
        print_json({"file": str(path), "drawing": str(drawing) if drawn else None, "name": design.name,
                    "late_water": late, "stands_on": basis})
        return 0
    say(f"Wrote {path}{f' and its drawing, {drawing}' if drawn else ''}.")
    if not drawn:
        say(f"{drawing} is there already and stays as it is: no new drawing.")
    if late:
        say(late)
    say(f"Open {path.name}, fill in what you can measure, then:\n\n    bottlewright study {path}\n")
    say("Before anyone pumps air into the bottle, test it filled with water to the brim: the study says how hard.")
    return 0


def _draw(design: Design, path: Path) -> bool:
    """Write the drawing, never over another file; return whether it was written."""
    from bottlewright.cli.begin_drawing import first_drawing
    from bottlewright.report.style import svg_text

    if path.exists():
        return False
    save_new(path, svg_text(first_drawing(design)))
    return True


def _late_water(design: Design) -> str:
    """Say, where the builder asked for more water than is out by the end of the guide, what that does."""
    most, water = most_water(design), design.charge.water
    if water is None or water.value <= 1.02 * most:
        return ""
    return (f"With {show(water.value, 'mL')} of water it leaves its guide while water is in its tail, and may turn "
            f"over: `bottlewright fly` says how surely it flies. {show(most, 'mL')} would be out by the end of the "
            "guide.")


_FIRST_LOOK = ("2 bar", "1.5 bar"), ("30 psi", "20 psi")
"""What Enter takes for the pressure, on a gauge in bar and in psi: low, and a number to begin with on paper; `prove`
judges it like any other.

The second of each is for a bottle of unknown age: it is taken for an old one, and the largest of them would not be
allowed 2 bar."""


def _do_not_ask(option: str, _: str, given: str | None, usual: str | None, check: Callable[[str], str]) -> str:
    if given is None and usual is None:
        raise InputError(f"--{option} is missing: there is no usual {option} to fall back on")
    if given is None:
        return usual or ""
    try:
        return check(given)
    except typer.BadParameter as error:
        raise InputError(f"--{option}: {error.message}") from None


def _ask(option: str, question: str, given: str | None, usual: str | None, check: Callable[[str], str]) -> str:
    if given is not None:
        return _do_not_ask(option, question, given, usual, check)

    def answer(text: str) -> str:
        return "" if text == "-" and usual == "" else check(text)

    return str(typer.prompt(question, default="-" if usual == "" else usual, value_proc=answer, err=True))


def _times(text: str) -> str:
    """Check how often; nothing where nobody knows."""
    if text == "-":
        return ""
    if not text.strip().isdecimal() or int(text) > 1000:
        raise typer.BadParameter(f"has to be a whole number from 0 to 1000, not {text!r}")
    return text.strip()


def _bottle(text: str) -> str:
    try:
        row = bottle_row(text.strip())
    except KeyError as error:
        raise typer.BadParameter(error.args[0]) from None
    if row.words["kind"] != "carbonated":
        raise typer.BadParameter(f"{row.name} held a still drink: its wall is thinner, was never made for pressure, "
                                 "and can burst. Take a bottle of a fizzy drink for a first rocket")
    return row.name


def _quantity(dimension: Dimension) -> Callable[[str], str]:
    def check(text: str) -> str:
        try:
            return parse_quantity(text, dimension).text
        except QuantityError as error:
            raise typer.BadParameter(str(error)) from None

    return check


def _units(text: str) -> str:
    """Check the name of the units, or any unit of theirs."""
    known = {"mm": "mm", "metric": "mm", "bar": "mm", "in": "inches", "inch": "inches", "inches": "inches",
             "psi": "inches"}  # fmt: skip
    if text.strip().lower() not in known:
        raise typer.BadParameter(f"has to be {' or '.join(UNITS_BY_NAME)}, not {text!r}")
    return known[text.strip().lower()]


def _water(text: str) -> str:
    """Check a volume, or a share of the bottle, which stays as it was written."""
    return text.strip() if share_text(text) else _quantity(Dimension.VOLUME)(text)


def _nose(text: str) -> str:
    if text not in get_args(NoseShape):
        raise typer.BadParameter(f"has to be one of {', '.join(get_args(NoseShape))}, not {text!r}")
    return text


def _parachute(text: str) -> str:
    """Check a diameter, or the word for none."""
    return NO_PARACHUTE if text.strip().lower() == NO_PARACHUTE else _quantity(Dimension.LENGTH)(text)


def _count(text: str) -> str:
    if not text.strip().isdecimal() or not FEWEST_FINS <= int(text) <= MOST_FINS:
        raise typer.BadParameter(f"has to be a whole number from {FEWEST_FINS} to {MOST_FINS}, not {text!r}: "
                                 "fewer keep no rocket straight")
    return text
