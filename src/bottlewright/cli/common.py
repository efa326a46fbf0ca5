"""What the commands share: their options, reading the design, answering in words or JSON."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bottlewright.cli.printing import exit_code, print_json, tell_findings, tell_notes
from bottlewright.cli.results_folder import check_place
from bottlewright.findings import Finding

if TYPE_CHECKING:
    from bottlewright.design import Design

__all__ = ["DesignFile", "Json", "Out", "Sets", "answer", "load", "with_notes"]

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


def with_notes(document: dict[str, Any], design: "Design") -> dict[str, Any]:
    """Return a command's document with what there is to say about how the design file was read."""
    return {**document, "reading_notes": [note.as_json() for note in design.reading_notes]}


def answer(as_json: bool, document: Any, words: str, findings: Sequence[Finding] = ()) -> int:
    """Print the document as JSON, or the words and the findings; return the exit code."""
    if as_json:
        print_json(document)
    else:
        typer.echo(words)
        tell_findings(findings)
    return exit_code(findings)
