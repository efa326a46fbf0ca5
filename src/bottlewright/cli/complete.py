"""`bottlewright complete`: the design with every value that the program fills in."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import DesignFile, Json, Sets, load
from bottlewright.cli.printing import print_json, say
from bottlewright.project.new_file import save_new

__all__ = ["complete"]


def complete(
    file: DesignFile,
    sets: Sets = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", show_default=False,
                                             help="Write it into this new file instead of printing it.")] = None,
    as_json: Json = False,
) -> int:
    """Write the design out with every value that the program fills in, and what each rests on.

    Flying the file that comes out gives the same flight to the last digit.
    """
    project = load(file, sets)
    text = project.written_out()
    if out is not None:
        save_new(out, text)
        say(f"Wrote {out}.")
        beside = ", ".join(project.files_beside())
        if beside and out.resolve().parent != file.resolve().parent:
            say(f"It names {beside}: copy that beside it.")
    if as_json:
        print_json({"file": out and str(out), "name": project.name, "design": text, "stands_on": project.basis()})
    elif out is None:
        typer.echo(text.rstrip("\n"))
    return 0
