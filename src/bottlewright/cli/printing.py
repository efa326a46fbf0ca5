"""What a command prints: words with findings, or one JSON document; what is beside it goes to standard error."""

import json
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, TextIO

import typer

if TYPE_CHECKING:
    from bottlewright.project.result import Finding, Result

__all__ = [
    "print_json", "say", "styled", "tell_findings", "tell_notes", "tell_problems", "tell_text", "tell_verdict",
]


def styled(text: str, stream: TextIO, colour: str | None = None, bold: bool = False) -> str:
    """Return the text with colour where the stream is a terminal that wants it; colour never says it alone."""
    plain = not stream.isatty() or "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
    return text if plain else typer.style(text, fg=colour, bold=bold or None)


def say(text: str = "") -> None:
    """Tell the user something beside the result: progress, where files lie. Goes to standard error."""
    typer.echo(text, err=True)


def tell_problems(error: Any) -> None:
    """Print everything that is wrong with a design to standard error."""
    count = len(error.problems)
    name = error.source or "The design"
    if count == 1 and not error.problems[0].path:
        return say(f"{name} {error.problems[0]}")
    say(f"{name} can't be used yet: {count} thing{'s' if count > 1 else ''} to put right.")
    for problem in error.problems:
        line = f"line {problem.line}" if problem.line else ""
        where = f"  ({line})" if problem.path and line else ""
        say(f"\n  {styled(problem.place or line, sys.stderr, bold=True)}{where}\n      {problem.told}")
        if problem.right:
            say(f"      {problem.right}")
    return None


def tell_notes(notes: "Iterable[Finding]") -> None:
    """Tell on standard error, before anything is worked out, how a file was read where that is not plain."""
    for note in notes:
        say(f"{note.level.capitalize()}: {note.hazard}.\n    {note.found}\n    {note.remedy}")


_SIGNS = {
    "stop": ("■ STOP", "red"), "hold": ("◆ NOT BEFORE PUMPING", "yellow"), "look": ("▲ LOOK", "yellow"),
    "unchecked": ("? NOT CHECKED", "cyan"), "note": ("○ NOTE", "cyan"),
}


def tell_findings(findings: "Iterable[Finding]") -> None:
    """Print findings in their order: level in words and shape, what was found, limit, source, remedy.

    On a terminal the lines are broken to its width; in a file a line stays a line.
    """
    width = min(shutil.get_terminal_size().columns, 100) if sys.stdout.isatty() else None

    def broken(text: str, first: str, rest: str) -> str:
        if width is None:
            return first + text
        return textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest, break_long_words=False)

    for finding in findings:
        sign, colour = _SIGNS[finding.level]
        head = broken(f"{finding.stage}: {finding.hazard}", f"{sign}  ", " " * 8)
        typer.echo(styled(head, sys.stdout, colour, bold=True))
        for name in ("found", "limit", "source", "remedy"):
            typer.echo(broken(getattr(finding, name), f"    {name:<8}", " " * 12))
        typer.echo()


def tell_verdict(result: "Result") -> None:
    """Print the verdict, which stands first in all that a command says."""
    colour = {"stop": "red", "look": "yellow", "none": None}[result.verdict.level]
    width = min(shutil.get_terminal_size().columns, 100) if sys.stdout.isatty() else None
    for number, line in enumerate(result.verdict_lines()):
        text = line if width is None else textwrap.fill(line, width, subsequent_indent="    ", break_on_hyphens=False)
        typer.echo(styled(text, sys.stdout, None if number else colour, bold=number == 0))
    typer.echo()


# --- JSON ---------------------------------------------------------------------------------------------------------


def tell_text(json: Callable[[bool], str]) -> None:
    """Print one JSON document to standard output; `json` gives its text, in plain letters only where it is told to."""
    typer.echo(json(not (sys.stdout.encoding or "").lower().startswith("utf")))


def print_json(document: dict[str, Any]) -> None:
    """Print a document of plain values."""
    tell_text(lambda ascii_only: json.dumps(document, ensure_ascii=ascii_only, indent=1, allow_nan=False))
