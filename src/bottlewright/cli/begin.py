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
from bottlewright.design import DesignError, complete, parse_design, stood_on
from bottlewright.design.phrases import share_text
from bottlewright.design.rocket import NoseShape
from bottlewright.design.tables import bottle as bottle_row
from bottlewright.design.tables import bottles
from bottlewright.design.template import Answers, new_design
from bottlewright.quantities import Dimension, QuantityError, parse_quantity

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
    water: Annotated[str | None, typer.Option(help='Such as "500 mL"; a third of the vessel when left out.',
                                              show_default=False)] = None,
    bore: Annotated[str | None, typer.Option(help='Of the nozzle, such as "9 mm"; the bare neck when left out.',
                                             show_default=False)] = None,
    nose: Annotated[str | None, typer.Option(help="ogive, cone, paraboloid, ellipsoid, hemisphere, flat or bottle.",
                                             show_default=False)] = None,
    fins: Annotated[int | None, typer.Option(help="How many; 0 for none.", show_default=False)] = None,
    parachute: Annotated[str | None, typer.Option(help='Its diameter, such as "450 mm"; none when left out.',
                                                  show_default=False)] = None,
    as_json: Json = False,
) -> int:
    """Write a commented design file from a few answers; what is not given as an option is asked for on a terminal."""
    asking = sys.stdin.isatty() and not as_json
    ask = _ask if asking else _do_not_ask
    if asking:
        say("A few questions. A bottle and a ruler are enough; Enter takes what stands in brackets, - leaves it out.")
        say(f"The table knows these bottles: {', '.join(bottles())}.")
    answers = Answers(
        name=ask("name", "Name of the rocket", name, "My rocket", str),
        bottle=ask("bottle", "How large is the bottle, and was the drink in it fizzy or still? "
                             "Such as 1.5 litre fizzy", bottle, None, _bottle),
        round=ask("round", "How long is a strip of paper that goes once round it? Such as 286 mm; - if you don't know",
                  way_round, "", _quantity(Dimension.LENGTH)),
        pressure=ask("pressure", "Pressure on the gauge; 2 bar for a first look on paper", pressure,
                     _FIRST_LOOK if asking else None, _quantity(Dimension.PRESSURE)),
        water=ask("water", "Water, such as 500 mL or a third; - for a third of the bottle", water, "", _water),
        bore=ask("bore", "How wide is the hole that the water leaves by? - for the bare neck of the bottle", bore, "",
                 _quantity(Dimension.LENGTH)),
        nose=ask("nose", f"Shape of the nose: {', '.join(get_args(NoseShape))} (the bottle's own bottom)", nose,
                 "ogive", _nose),
        fins=int(ask("fins", "How many fins?", None if fins is None else str(fins), "3", _count)),
        parachute=ask("parachute", "How wide is the parachute? - for none", parachute, "",
                      _quantity(Dimension.LENGTH)),
    )
    try:
        text = new_design(answers)
        design = complete(parse_design(text))
    except DesignError as error:  # its lines are those of a file that nobody has
        raise DesignError([replace(problem, line=0) for problem in error.problems], answers.name) from None
    path = file or Path(f"{re.sub(r'[^a-z0-9]+', '-', answers.name.lower()).strip('-') or 'rocket'}.toml")
    save_new(path, text)
    if as_json:
        basis = {key: str(quantity.basis) for key, quantity in stood_on(design)}
        print_json({"file": str(path), "name": design.name, "stands_on": basis})
    else:
        say(f"Wrote {path}. Open it, fill in what you can measure, then:\n\n    bottlewright study {path}\n")
    return 0


_FIRST_LOOK = "2 bar"
"""What Enter takes for the pressure: low, and a number to begin with on paper; `prove` judges it like any other."""


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


def _bottle(text: str) -> str:
    try:
        return bottle_row(text.strip()).name
    except KeyError as error:
        raise typer.BadParameter(error.args[0]) from None


def _quantity(dimension: Dimension) -> Callable[[str], str]:
    def check(text: str) -> str:
        try:
            return parse_quantity(text, dimension).text
        except QuantityError as error:
            raise typer.BadParameter(str(error)) from None

    return check


def _water(text: str) -> str:
    """Check a volume, or a share of the bottle, which stays as it was written."""
    return text.strip() if share_text(text) else _quantity(Dimension.VOLUME)(text)


def _nose(text: str) -> str:
    if text not in get_args(NoseShape):
        raise typer.BadParameter(f"has to be one of {', '.join(get_args(NoseShape))}, not {text!r}")
    return text


def _count(text: str) -> str:
    if not text.strip().isdecimal() or int(text) > 12:
        raise typer.BadParameter(f"has to be a whole number from 0 to 12, not {text!r}")
    return text
