"""`bottlewright forget`: a person out of every file of a folder."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import Json
from bottlewright.cli.printing import print_json

__all__ = ["forget"]


def forget(
    name: Annotated[str, typer.Argument(help="Initials, number or name, as it was written.", show_default=False)],
    folder: Annotated[Path, typer.Argument(help="Where the designs lie.")] = Path(),
    look: Annotated[bool, typer.Option("--look", help="Only say where the name stands; change nothing.")] = False,
    json: Json = False,
) -> int:
    """Take a person out of every file of a folder, and say which, and in how many places."""
    from bottlewright.project.people import forget_alone

    found = forget_alone(folder, name, look)
    if json:
        print_json({
            "files": [{"file": one.file, "places": one.places} for one in found.done],
            "left": [{"file": file, "why": why} for file, why in found.left], "changed": not look,
        })  # fmt: skip
        return 0
    verb = "would be taken out of" if look else "was taken out of"
    for place in found.done:
        typer.echo(f"{name} {verb} {place.file}, {place.places} {'place' if place.places == 1 else 'places'}")
    if not found.done:
        typer.echo(f"{name} stands in no file that can be changed")
    for file, why in found.left:
        typer.echo(f"left to you: {file}: {why}")
    typer.echo("Not looked into: pictures, printed sheets, copies elsewhere, and pages that phones saved.")
    return 0
