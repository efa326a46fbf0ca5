"""`bottlewright compare`: two or three designs side by side."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import Json, load
from bottlewright.cli.printing import tell_text

__all__ = ["compare"]

Files = Annotated[list[Path], typer.Argument(help="Two or three design files.", show_default=False)]


def compare(files: Files, as_json: Json = False) -> int:
    """Put two or three designs side by side: what each may take, one flight of each, what their files say otherwise."""
    from bottlewright.project.compare import compare as side_by_side

    found = side_by_side([load(file) for file in files])
    if as_json:
        tell_text(found.json)
    else:
        typer.echo(found.words())
    return 1 if any(one.verdict.level == "stop" for one in found.judged) else 0
