"""`bottlewright open`: the job in a browser."""

import gc
from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.printing import say

__all__ = ["open_folder", "serve_folder"]


def open_folder(
    folder: Annotated[Path, typer.Argument(help="Where your design files lie, or will.")] = Path(),
    port: Annotated[int | None, typer.Option(min=1, max=65535, show_default=False,
                                             help="Of this computer; a free one when left out.")] = None,
    lan: Annotated[bool, typer.Option("--lan", help="Let phones on this network join, with a passcode. Others on it "
                                                    "can read along: only where you trust the network.")] = False,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open your browser.")] = True,
) -> int:
    """Show the job in your browser, from the first bottle on; nothing leaves this computer, but for --lan."""
    serve_folder(folder, port, browser, lan)
    return 0


def serve_folder(folder: Path, port: int | None, browser: bool, lan: bool, page: str = "") -> None:
    """Serve the pages of a folder, a page of them first, until stopped."""
    from bottlewright.web.serve import serve

    gc.set_threshold(700)  # as Python has it: it serves for hours
    serve(folder, port, browser, say, lan, page)
