"""`bottlewright make`: a folder to take to the workshop, and one printed pack."""

from typing import Annotated, Literal

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, cured, load
from bottlewright.cli.printing import say
from bottlewright.project.results_folder import check_place, place_for

__all__ = ["Paper", "make"]

PAPER = typer.Option(show_default=False, help="Paper of the pack (letter for a builder who writes inches, else A4).")
Paper = Annotated[Literal["a4", "letter"] | None, PAPER]


def make(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None, paper: Paper = None) -> int:
    """Write patterns, lists, schedule, sheets and the printed pack (into NAME-make when --out is left out)."""
    project = load(file, sets, out)
    folder = out or place_for(project.name, "make")
    check_place(folder)
    result = cured(project.make(paper))
    written = result.save(folder)
    code = answer(json, result)
    say(f"{len(written)} files in {folder}; print {folder / f'pack-{result.paper}.pdf'} at 100\u202f%")
    return code
