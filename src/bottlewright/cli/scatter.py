"""`bottlewright scatter`: where it will come down."""

from typing import Annotated

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, cured, load, save
from bottlewright.cli.printing import say
from bottlewright.cli.runners import Cluster, Engine, EngineName, Flights, Seed, bars, flyer, stop_once
from bottlewright.cli.stopping import STOPPED
from bottlewright.errors import StoppedError

__all__ = ["scatter"]

NoWinds = Annotated[bool, typer.Option("--no-winds", help="Leave out wind limits and proposals, which take longest.")]


def scatter(
    file: DesignFile,
    sets: Sets = None,
    flights: Flights = None,
    seed: Seed = None,
    no_winds: NoWinds = False,
    cluster: Cluster = None,
    engine: Engine = EngineName.CPU,
    json: Json = False,
    out: Out = None,
) -> int:
    """Say where the rocket comes down, the chance of leaving the field, the wind it stands and where people stand.

    Ctrl-C stops the flights and reports on those that are done, with exit code 130.
    """
    sampled = {"scatter.seed": seed, "scatter.flights": flights}
    project = load(file, sets, out).changed({key: value for key, value in sampled.items() if value is not None})
    _ = project.site  # a map that can't be read is refused before anything is worked out
    try:
        with stop_once() as stop, bars() as progress, flyer(cluster, engine) as fly_many:
            result = project.scatter(not no_winds, progress, stop, fly_many)
    except (StoppedError, KeyboardInterrupt):
        say("\nStopped before the first flights were done: nothing is kept.")
        return STOPPED
    result = cured(result)
    save(result, out)
    code = answer(json, result)
    found = result.found
    if result.partial:
        beside = " and the wind limits" if found.limits else "; no wind limits, and no hour is judged"
        say(f"\nStopped: {found.flights + found.lost} of {found.wanted} flights are kept{beside}.")
        return STOPPED
    return code
