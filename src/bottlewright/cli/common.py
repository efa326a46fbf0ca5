"""What the commands share: their options, reading the design, answering in words or JSON."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from bottlewright.cli.printing import say, tell_findings, tell_notes, tell_text, tell_verdict
from bottlewright.project.results_folder import check_place
from bottlewright.project.watch import before_compiling

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.project.result import Result

__all__ = ["DesignFile", "Json", "Out", "Sets", "answer", "cured", "exit_code", "load", "save", "tell_open"]

Found = TypeVar("Found", bound="Result")
DesignFile = Annotated[Path, typer.Argument(help="The design file.", show_default=False)]
Sets = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", show_default=False,
                 help='Override a value, such as --set charge.pressure="5 bar"; nothing after the = takes it out. May '
                      "be repeated."),
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document, SI units, instead of words.")]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", show_default=False, help="Write the results into this folder.")
]


def load(path: Path, sets: Sequence[str] | None = None, out: Path | None = None) -> "Project":
    """Read and complete a design file with its overrides; `main` tells what is wrong with it, with exit code 2.

    A place that results can't be written to is refused before anything is worked out.
    """
    from bottlewright.project.project import read

    if out is not None:
        check_place(out)
    project = read(path, sets or ())
    tell_notes(project.notes)
    before_compiling(say)
    return project


def cured(result: Found) -> Found:
    """Return a result with a cure beside each stop that has one, and a word to the user while they are tried."""
    if result.verdict.level == "stop":
        say("Something says stop: trying what would put it right.")
    return result.cured()


def save(result: "Result", out: Path | None) -> None:
    """Write a result's files into the folder that was asked for, if one was."""
    if out is not None:
        result.save(out)
        say(f"Written to {out}")


def answer(as_json: bool, result: "Result", tell: Callable[[], None] | None = None) -> int:
    """Print a result as JSON, or its verdict, words and findings; return the exit code.

    Parameters
    ----------
    tell
        Prints the words in a way of their own.
    """
    if as_json:
        tell_text(result.json)
    else:
        tell_verdict(result)
        if tell:
            tell()
        else:
            typer.echo(result.words())
        tell_open(result)
    return exit_code(result)


def tell_open(result: "Result") -> None:
    """Print the findings of the result's own stages, the urgent ones of the others, and how many more there are."""
    tell_findings(result.told_findings())
    for stage, number in result.looks_elsewhere().items():
        typer.echo(f"▲ LOOK  {stage}: {number} more to look at; `bottlewright {COMMAND_OF[stage]}` says them.")


COMMAND_OF = {
    "Sketch": "fly", "Prove": "prove", "Tune": "tune", "Fly": "fly", "Field": "scatter", "Make": "make",
}
"""The command that says the findings of a stage in full."""


def exit_code(result: "Result") -> int:
    """Return 1 where the verdict says stop, else 0."""
    return 1 if result.verdict.level == "stop" else 0
