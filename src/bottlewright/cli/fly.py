"""`bottlewright fly`: one flight."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, cured, load, save

__all__ = ["fly"]


def fly(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Fly the rocket once, from the release to the ground, in the weather of the design file."""
    result = cured(load(file, sets, out).fly())
    save(result, out)
    return answer(json, result)
