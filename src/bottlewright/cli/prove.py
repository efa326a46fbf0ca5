"""`bottlewright prove`: what vessel and launcher can take, what that rests on, and where everyone stands."""

import shutil
import sys
import textwrap
from typing import TYPE_CHECKING

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, cured, exit_code, load, tell_open
from bottlewright.cli.printing import say, styled, tell_text, tell_verdict

if TYPE_CHECKING:
    from bottlewright.project.proof import ProofResult

__all__ = ["prove"]


def prove(file: DesignFile, sets: Sets = None, as_json: Json = False, out: Out = None) -> int:
    """Say how hard the bottle may be pumped, what else is weaker, how to show it, and where everyone stands."""
    result = cured(load(file, sets, out).prove())
    if out is not None:
        result.save(out)
        say(f"{out / 'proof-test.html'}: the sheet to print and fill in at the test; {out / 'proof.json'}: all numbers")
    if as_json:
        tell_text(result.json)
    else:
        _tell(result)
    return exit_code(result)


def _tell(result: "ProofResult") -> None:
    width = min(shutil.get_terminal_size().columns, 100)
    typer.echo(styled(result.design.name, sys.stdout, bold=True) + "\n")
    tell_verdict(result)
    tell_open(result)
    for heading, sentences in result.parts():
        if heading:
            typer.echo(styled(heading, sys.stdout, bold=True))
        first, rest = ("  ", "    ") if heading else ("", "")
        for sentence in sentences:
            typer.echo(textwrap.fill(sentence, width, initial_indent=first, subsequent_indent=rest,
                                     break_long_words=False, break_on_hyphens=False))  # fmt: skip
        if heading:
            typer.echo()
