"""`bottlewright learn`: what the flights taught."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, save
from bottlewright.cli.printing import say

__all__ = ["learn"]

Without = Annotated[
    list[str] | None,
    typer.Option("--without", metavar="LAUNCH", show_default=False,
                 help="Leave a launch out, such as 2027-03-20-03. May be repeated."),
]
Firing = Annotated[
    list[Path] | None,
    typer.Option("--firing", metavar="FILE", show_default=False,
                 help="A thrust stand's file of the design as it is, held still. May be repeated."),
]
Keep = Annotated[bool, typer.Option("--keep", help="Keep it in the logbook, for a design that asks for it.")]
AtHand = Annotated[
    list[str] | None,
    typer.Option("--at-hand", metavar="INSTRUMENT", show_default=False,
                 help="What can measure the next launch, such as stopwatch. May be repeated; all when left out."),
]


def learn(
    file: DesignFile, sets: Sets = None, without: Without = None, firing: Firing = None, keep: Keep = False,
    at_hand: AtHand = None, json: Json = False, out: Out = None,
) -> int:  # fmt: skip
    """Say what the launches in the logbook beside the design taught, what does not fit, and what to launch next.

    Nothing is kept without --keep, and a design draws from what was kept only where it says so itself.
    """
    from bottlewright.project.learning import learn as learned_of

    project = load(file, sets, out)
    result = learned_of(project, without or (), firings=firing or (), at_hand=at_hand or ())
    if keep:
        say(f"Kept in {result.keep()}")
    save(result, out)
    return answer(json, result)
