"""`bottlewright lesson`: one variable at a time, for a class."""

from typing import Annotated, Literal

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, save
from bottlewright.cli.make import Paper

__all__ = ["lesson"]

Vary = Annotated[Literal["water", "pressure"], typer.Option(help="What is changed from launch to launch.")]


def lesson(
    file: DesignFile, sets: Sets = None, vary: Vary = "water", paper: Paper = None, json: Json = False, out: Out = None
) -> int:
    """Show one variable against height with each team's launches over it.

    --out writes a worksheet with blanks, its key, and the picture. The pressure is never more than the design's.
    """
    from bottlewright.project.lesson import lesson as worked_out

    result = worked_out(load(file, sets, out), vary, paper)
    save(result, out)
    return answer(json, result)
