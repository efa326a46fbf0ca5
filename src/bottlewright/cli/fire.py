"""`bottlewright fire`: a static firing on a thrust stand."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, cured, load, save

__all__ = ["fire"]


def fire(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Fire the bottle on a thrust stand, held still: thrust, pressure and water against time."""
    result = cured(load(file, sets, out).fire())
    save(result, out)
    return answer(json, result)
