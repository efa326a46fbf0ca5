"""What the commands share: their options, reading the design, answering in words or JSON."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bottlewright.cli.printing import print_json, tell_findings, tell_notes, tell_verdict
from bottlewright.cli.results_folder import check_place
from bottlewright.findings import Level, Stage

if TYPE_CHECKING:
    from bottlewright.cures import Cure
    from bottlewright.design import Design
    from bottlewright.verdict import Verdict

__all__ = ["DesignFile", "Json", "Out", "Sets", "answer", "exit_code", "load", "tell_open", "with_verdict"]

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


def load(path: Path, sets: Sequence[str] | None = None, out: Path | None = None) -> "Design":
    """Read and complete a design file with its overrides; `main` tells what is wrong with it, with exit code 2.

    A place that results can't be written to is refused before anything is worked out.
    """
    from bottlewright.design import complete, read_design

    if out is not None:
        check_place(out)
    design = read_design(path, sets or ())
    tell_notes(design.reading_notes)
    return complete(design)


def with_verdict(
    document: dict[str, Any], design: "Design", verdict: "Verdict", cures: "Sequence[Cure]" = ()
) -> dict[str, Any]:
    """Return a command's document with verdict and cures in front, and what is to say about how the file was read."""
    notes = [note.as_json() for note in design.reading_notes]
    tried = [cure.as_json() for cure in cures]
    return {"verdict": verdict.as_json(), "cures": tried, **document, "reading_notes": notes}


def answer(as_json: bool, document: Any, words: str, verdict: "Verdict", *own: Stage) -> int:
    """Print the document as JSON, or the verdict, the words and the findings; return the exit code.

    Parameters
    ----------
    own
        The stages that the command speaks of: their findings are printed in full, of the others only what says stop
        or has to be there before anyone pumps.
    """
    if as_json:
        print_json(document)
    else:
        tell_verdict(verdict)
        typer.echo(words)
        tell_open(verdict, *own)
    return exit_code(verdict)


def tell_open(verdict: "Verdict", *own: Stage) -> None:
    """Print the findings of some stages, the stops and hold points of the others, and how many more there are."""
    urgent = (Level.STOP, Level.HOLD)
    tell_findings(one for one in verdict.findings if one.stage in own or one.level in urgent)
    looks = [one for one in verdict.at(Level.LOOK) if one.stage not in own]
    for stage in dict.fromkeys(one.stage for one in looks):
        number = sum(one.stage is stage for one in looks)
        typer.echo(f"▲ LOOK  {stage}: {number} more to look at; `bottlewright {COMMAND_OF[stage]}` says them.")


COMMAND_OF = {
    Stage.SKETCH: "fly", Stage.PROVE: "prove", Stage.TUNE: "tune", Stage.FLY: "fly", Stage.FIELD: "scatter",
    Stage.MAKE: "make",
}
"""The command that says the findings of a stage in full."""


def exit_code(verdict: "Verdict") -> int:
    """Return 1 where the verdict says stop, else 0."""
    return 1 if verdict.level == "stop" else 0
