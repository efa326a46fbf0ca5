"""`bottlewright release`: how the canopy comes out."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, save
from bottlewright.cli.printing import say
from bottlewright.cli.runners import bars, stop_once
from bottlewright.cli.stopping import STOPPED
from bottlewright.errors import StoppedError

__all__ = ["release"]


def release(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Say how the canopy comes out: the hold of a nose, what makes it surer, and other ways side by side."""
    project = load(file, sets, out)
    try:
        with stop_once() as stop, bars() as progress:
            result = project.release(progress, stop)
    except (StoppedError, KeyboardInterrupt):
        say("\nStopped: nothing is kept.")
        return STOPPED
    save(result, out)
    return answer(json, result)
