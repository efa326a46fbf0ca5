"""A bottle's own file, begun from what its design says of it: count and tests go there, and out of the design."""

import secrets
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["begun_file"]

_TEST = ("pressure", "hold", "medium", "diameter_before", "diameter_after")
_NEEDED = {"pressure": "pressure", "hold": "time that it was held", "medium": "filling", "date": "day",
           "cycles": "count of times under pressure by then"}  # fmt: skip
"""What a test needs to be taken along: without day and count nobody knows what came after it."""
_MOST_WRITTEN = 100
"""Times under pressure that are written one by one; a bottle is long past its life then."""


def begun_file(project: "Project", given: Mapping[str, str]) -> "Values":
    """Begin the file of the bottle that a design names, with count and tests; return what the design then leaves out.

    Nothing gets better by it: times under pressure that lie after a test stay after it, and a test of another bottle
    stays in the design.

    Parameters
    ----------
    given
        ``this``: "yes" where somebody says that it was this very bottle.

    Raises
    ------
    InputError
        Where the design names no bottle, the bottle has a file, or a test has no day: nothing is written then.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.records import VesselFile
    from bottlewright.logbook.vessels import new_vessel

    history = project.design.written.history
    if history is None:
        raise InputError("nothing is written on this bottle yet: write on Prove what is written on it")
    if not history.begins:
        raise InputError(f"bottle {history.id} gets no file here: {history.unknown or f'it has one, {history.file}'}")
    tests, left = _tests(project)
    if tests and given.get("this") != "yes":
        raise FieldsError({"this": f"say that all of it was bottle {history.id}: a test of another bottle counts for "
                                   "nothing"})
    own = project.design.written.tables["vessel"]
    count = own.get("cycles")
    earlier, later = _placed(tests, count if isinstance(count, int) else None)
    new_vessel(project.folder / FOLDER, VesselFile.model_validate({
        "id": history.id, "bottle": own.get("bottle"), "earlier": earlier, "test": [_entry(one) for one in tests],
        "pressurised": later, "notes": f"begun from the design {project.file.name}"}))  # fmt: skip
    return {"vessel.cycles": None, "vessel.proof": None} if not left else {"vessel.cycles": None}


def _tests(project: "Project") -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the design's tests of this bottle, the earliest first, and those that are of another one.

    Raises
    ------
    InputError
        Where a test lacks something that it needs.
    """
    from bottlewright.proof.evidence import own_evidence

    written = project.design.written.tables["vessel"].get("proof")
    raw = [one for one in written if isinstance(one, dict)] if isinstance(written, list) else []
    seen = own_evidence(project.changed({"vessel.id": None}).design) if raw else ()
    other = [any(doubt.code == "test-of-another-bottle" for doubt in one.doubts) for one in seen]
    mine = [one for one, apart in zip(raw, other, strict=True) if not apart]
    for one in mine:
        if missing := [words for key, words in _NEEDED.items() if one.get(key) is None]:
            raise InputError(f"the test at {one.get('pressure', 'no pressure')} has no {' and no '.join(missing)}: "
                             "take it out and enter it anew, with all of it. Nothing is written until then")
    mine.sort(key=lambda one: (str(one["date"]), one["cycles"]))
    return mine, [one for one, apart in zip(raw, other, strict=True) if apart]


def _entry(test: Mapping[str, Any]) -> dict[str, Any]:
    given = {key: test[key] for key in _TEST if test.get(key) is not None}
    return {"entry": secrets.token_hex(6), "at": str(test["date"]), "passed": test.get("passed") is not False, **given}


def _placed(tests: list[dict[str, Any]], count: int | None) -> tuple[int | None, list[dict[str, Any]]]:
    """Return how often it was under pressure before the file's first entry, and the times that came after a test.

    None where nobody counted.
    """
    if count is None:
        return None, []
    count = max([count, *(one["cycles"] for one in tests)])
    others = max(count - len(tests), 0)
    if not tests or others > _MOST_WRITTEN:
        return others, []
    before = min(max(tests[0]["cycles"] - 1, 0), others)
    placed, later = before, []
    for number, one in enumerate(tests):
        following = tests[number + 1]["cycles"] if number + 1 < len(tests) else count + 1
        extra = max(min(following - 1 - (placed + number + 1), others - placed), 0)
        later += [{"entry": secrets.token_hex(6), "at": str(one["date"]), "ended": "begun",
                   "note": "counted in the design; nobody wrote down when, or how it ended"} for _ in range(extra)]
        placed += extra
    return before, later
