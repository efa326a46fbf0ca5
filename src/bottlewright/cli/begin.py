"""`bottlewright begin`: a design file from a few answers."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bottlewright.cli.common import Json
from bottlewright.cli.printing import print_json, say
from bottlewright.errors import InputError
from bottlewright.project.new_file import save_new

if TYPE_CHECKING:
    from bottlewright.project.begin import Question

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
    from bottlewright.project.begin import answers_of, first_drawing_svg, late_water, next_question, over_first_test
    from bottlewright.project.begin import begin as begin_project

    given = {
        "name": name, "bottle": bottle, "round": way_round, "units": units, "age": age, "cycles": cycles,
        "pressure": pressure, "water": water, "bore": bore, "nose": nose, "fins": fins, "parachute": parachute,
    }  # fmt: skip
    try:
        answers = answers_of(given)
        if sys.stdin.isatty() and not as_json:
            _introduce()
            while (question := next_question(answers)) is not None:
                answers[question.name] = _ask(question)
        project = begin_project(answers, file)
    except InputError as error:  # its words begin with the name of the answer
        raise InputError(f"--{error}") from None
    path, design = project.file, project.design
    drawing = path.with_suffix(".svg")
    save_new(path, project.text)
    drawn = not drawing.exists()
    if drawn:
        save_new(drawing, first_drawing_svg(design))
    late, over = late_water(design), over_first_test(design)
    if as_json:
        print_json({"file": str(path), "drawing": str(drawing) if drawn else None, "name": design.name,
                    "late_water": late, "over_first_test": over, "stands_on": project.basis()})  # fmt: skip
        return 0
    say(f"Wrote {path}{f' and its drawing, {drawing}' if drawn else ''}.")
    if not drawn:
        say(f"{drawing} is there already and stays as it is: no new drawing.")
    if late:
        say(late)
    say(f"Open {path.name}, fill in what you can measure, then:\n\n    bottlewright study {path}\n")
    say("Before anyone pumps air into the bottle, test it filled with water to the brim: the study says how hard.")
    if over:
        say(over)
    return 0


def _introduce() -> None:
    from bottlewright.project.begin import fizzy_bottles

    say("A few questions. A bottle and a ruler are enough; Enter takes what stands in brackets, - leaves it out.")
    say(f"The table knows these bottles of fizzy drinks: {', '.join(fizzy_bottles())}.")


def _ask(question: "Question") -> str:
    """Ask on the terminal until the answer will do."""
    from bottlewright.project.begin import checked

    def answer(text: str) -> str:
        if text == "-" and question.offered == "":
            return ""
        try:
            return checked(question.name, text)
        except InputError as error:
            raise typer.BadParameter(str(error).partition(": ")[2]) from None

    shown = "-" if question.offered == "" else question.offered
    return str(typer.prompt(question.asks, default=shown, value_proc=answer, err=True))
