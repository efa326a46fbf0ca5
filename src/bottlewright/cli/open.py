"""`bottlewright open`: the job in a browser."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.printing import say

__all__ = ["open_folder"]


def open_folder(
    folder: Annotated[Path, typer.Argument(help="Where your design files lie, or will.")] = Path(),
    port: Annotated[int | None, typer.Option(min=1, max=65535, show_default=False,
                                             help="Of this computer; a free one when left out.")] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open your browser.")] = True,
) -> int:
    """Show the job in your browser, from the first bottle on; nothing leaves this computer."""
    from bottlewright.web.serve import serve

    serve(folder, port, browser, say)
    return 0
