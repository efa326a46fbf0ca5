"""A proof test of the bottle, entered as it happened or taken out again, as changes of the design file."""

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["entered_test", "taken_out_test", "test_into_its_file"]

_TABLE = "vessel.proof"
_ASKED = {
    "pressure": "write what the gauge showed, with its unit",
    "hold": "write how long it was held, such as 60 s",
    "medium": "say what the bottle was filled with",
    "passed": "say what happened",
    "date": "write the day of the test, such as 2027-03-31: a test counts for less as the bottle ages",
    "cycles": "write how often it had been under pressure by then, this test counted: 1 for a fresh bottle",
}
"""What has to be answered: nothing is taken for granted of a test."""
_OPTIONAL = ("diameter_before", "diameter_after")


def entered_test(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the changes that enter one more test, as it was answered; they make a design.

    Where the bottle's count of times under pressure is not there, or less than the test's own, it becomes that.

    Parameters
    ----------
    given
        The keys of the table vessel.proof, each as text; an empty text is no answer.

    Raises
    ------
    FieldsError
        With what is wrong by key.
    InputError
        Where the bottle has a file of its own, which has its tests.
    DesignError
        Where the file would be refused for another reason.
    """
    from bottlewright.design import DesignError
    from bottlewright.design.unit_text import at_most
    from bottlewright.design.writing import changed_text

    _of_the_design(project)
    answers = {name: given.get(name, "").strip() for name in (*_ASKED, *_OPTIONAL)}
    missing = {name: says for name, says in _ASKED.items() if not answers[name]}
    at = f"{_TABLE}.{len(project.design.vessel.proof)}."
    values: dict[str, str | int | float | bool | list[str] | None] = {
        f"{at}{name}": _typed(name, text) for name, text in answers.items() if text
    }
    values |= {f"{at}{name}": value for name, value in _of_this_bottle(project).items()}
    cycles, counted = values.get(f"{at}cycles"), project.design.vessel.cycles
    if isinstance(cycles, int) and (counted is None or cycles > counted):
        values["vessel.cycles"] = cycles
    try:
        changed_text(project.text, values)
    except DesignError as error:
        wrong = {one.path.removeprefix(at): "; ".join(filter(None, (one.why, one.right)))
                 for one in error.problems if one.path.startswith(at)}  # fmt: skip
        if not wrong:
            raise
        raise FieldsError({**wrong, **missing}) from None
    if missing:
        raise FieldsError(missing)
    plan = project.proved.plan
    tested = project.changed({key: json.dumps(value) for key, value in values.items()}).design.vessel.proof[-1]
    if tested.passed and tested.pressure.value > plan.ceiling_gauge_Pa and given.get("sure") != "yes":
        most = at_most(project.proved.habit, plan.ceiling_gauge_Pa)
        raise FieldsError({"pressure": f"such a bottle is never tested harder than {most}: look at gauge and unit "
                                       "again, or say below that it is no mistake"})  # fmt: skip
    return values


def _of_this_bottle(project: "Project") -> dict[str, str | int]:
    """Return which bottle a test is made on, for the test to remember: the file may have another one day."""
    from bottlewright.design.formatting import format_value

    vessel = project.design.vessel
    told: dict[str, str | int] = {"bottle": vessel.bottle} if vessel.bottle else {}
    if vessel.volume:
        told["volume"] = format_value(project.design, "vessel.volume", vessel.volume).partition(" (")[0]
    return {**told, "count": vessel.count}


def _of_the_design(project: "Project") -> None:
    """Refuse to write into the design what belongs into the bottle's own file."""
    history = project.design.written.history
    if history is not None and history.begins:
        raise InputError(f"bottle {history.id} has no file yet, and its tests belong there: begin it first, with the "
                         "button above")
    if history is not None and history.unknown:
        raise InputError(f"nobody knows bottle {history.id}: {history.unknown}. Put that right first")
    if history is not None:
        raise InputError(f"the tests of bottle {history.id} stand in its own file, {history.file}: enter it there, by "
                         f"hand or with `bottlewright log test {history.id}`")


def test_into_its_file(project: "Project", words: str) -> str:
    """Write a passed test that stands only in the design into its bottle's own file; return that file in a line.

    Parameters
    ----------
    words
        The test, as `VesselHistory.only_in_the_design` says it.

    Raises
    ------
    InputError
        If no such test stands only in the design, or the bottle's file can't take it: with what is missing.
    """
    from bottlewright.design.vessel_history import said_of_test
    from bottlewright.project.logbook import Logbook

    history = project.design.written.history
    found = [one for one in history.only_in_the_design if one.design == words] if history else []
    if history is None or not found:
        raise InputError("that test does not stand in the design alone any more: look at the list again")
    written = next(one for one in project.design.written.tables["vessel"]["proof"]
                   if one.get("passed") is not False and said_of_test(one) == words)
    if written.get("date") is None:
        raise InputError("that test has no day, and nobody knows what came after it: take it out of the design, and "
                         "enter it with its day")
    keys = ("pressure", "hold", "medium", "diameter_before", "diameter_after")
    given = {"at": written.get("date"), "passed": True, **{key: written.get(key) for key in keys}}
    return Logbook(project.folder).enter(history.id, "test", given)


def _typed(name: str, text: str) -> str | int | bool:
    if name == "passed":
        return text == "true" if text in ("true", "false") else text
    return int(text) if name == "cycles" and text.isdecimal() and len(text) < 10 else text


def taken_out_test(project: "Project", number: int, words: str) -> "Values":
    """Return the change that takes a test out of the file.

    Parameters
    ----------
    number
        Counted from 0.
    words
        What was done in it, as `ProofResult.tests` says: another test in its place is not taken out.

    Raises
    ------
    InputError
        If there is no such test any more.
    """
    _of_the_design(project)
    told = project.prove().tests()
    if not 0 <= number < len(told) or told[number][0] != words:
        raise InputError("that test does not stand there any more: look at the list again")
    return {f"{_TABLE}.{number}": None}
