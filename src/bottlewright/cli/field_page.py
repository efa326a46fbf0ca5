"""`bottlewright field-page`: one file for the phones at the field."""

from pathlib import Path
from typing import Annotated

import typer

from bottlewright.cli.common import DesignFile, Json, Sets, cured, exit_code, load
from bottlewright.cli.printing import say, tell_text, tell_verdict
from bottlewright.cli.runners import Flights, bars, stop_once
from bottlewright.cli.stopping import STOPPED
from bottlewright.errors import StoppedError

__all__ = ["field_page"]


def field_page(
    file: DesignFile,
    sets: Sets = None,
    flights: Flights = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", show_default=False,
                                             help="Where to write it; beside the design when left out.")] = None,
    address: Annotated[list[str] | None, typer.Option(
        "--address", show_default=False, metavar="URL",
        help="Of the laptop that takes the entries, such as http://192.168.1.20:8731. May be repeated.")] = None,
    json: Json = False,
) -> int:  # fmt: skip
    """Write one HTML file that opens on a phone without the laptop, and keeps what is seen at the field."""
    from bottlewright.project.field_page import checked_address, field_file
    from bottlewright.project.new_file import save_new
    from bottlewright.project.people import People

    addresses = [checked_address(one) for one in address or ()]
    project = load(file, sets).changed({} if flights is None else {"scatter.flights": flights})
    try:
        with stop_once() as stop, bars() as progress:
            result = cured(project.scatter(True, progress, stop))
    except (StoppedError, KeyboardInterrupt):
        say("\nStopped before the first flights were done: nothing is written.")
        return STOPPED
    page = field_file(result, result, People(project.folder), addresses=addresses)
    place = out or project.folder / page.name
    save_new(place, page.html)
    if json:
        tell_text(result.json)
    else:
        tell_verdict(result)
    say(f"Written to {place}" + ("" if addresses else "; it sends nothing, because no --address of a laptop was given"))
    return exit_code(result)
