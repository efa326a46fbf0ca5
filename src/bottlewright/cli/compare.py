"""`bottlewright compare`: designs, or launches of the logbook, side by side."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import Json, load
from bottlewright.cli.printing import tell_text

__all__ = ["compare"]

Files = Annotated[
    list[str],
    typer.Argument(help="Two or three design files, or two to five launches such as 2027-03-20-03.",
                   show_default=False),
]  # fmt: skip
Beside = Annotated[Path, typer.Option(metavar="DIR", help="Of launches: the folder of the designs.")]


def compare(files: Files, as_json: Json = False, beside: Beside = Path()) -> int:
    """Put designs side by side: what each may take, one flight of each, what their files say otherwise. Or launches:
    what was loaded, foretold and measured, and what was changed between them.
    """
    from bottlewright.project.compare import compare as side_by_side
    from bottlewright.project.compare_launches import are_launches, compare_launches

    if are_launches(files):
        launches = compare_launches(beside, files)
        if as_json:
            tell_text(launches.json)
        else:
            typer.echo(launches.words())
        return 0
    found = side_by_side([load(Path(file)) for file in files])
    if as_json:
        tell_text(found.json)
    else:
        typer.echo(found.words())
    return 1 if any(one.verdict.level == "stop" for one in found.judged) else 0
