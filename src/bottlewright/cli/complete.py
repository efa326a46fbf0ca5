"""`bottlewright complete`: the design with every value that the program fills in."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import DesignFile, Json, Sets, load
from bottlewright.cli.new_file import save_new
from bottlewright.cli.printing import print_json, say

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
    design = load(file, sets)
    from bottlewright.design import stood_on
    from bottlewright.design.written_out import written_out

    text = written_out(design)
    if out is not None:
        save_new(out, text)
        say(f"Wrote {out}.")
        files = (design.site.map, design.prices.file, design.workshop.matrix)
        if out.resolve().parent != file.resolve().parent and (beside := ", ".join(name for name in files if name)):
            say(f"It names {beside}: copy that beside it.")
    if as_json:
        basis = {path: str(quantity.basis) for path, quantity in stood_on(design)}
        print_json({"file": out and str(out), "name": design.name, "design": text, "stands_on": basis})
    elif out is None:
        typer.echo(text.rstrip("\n"))
    return 0
