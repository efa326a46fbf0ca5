"""A proof test of the bottle, entered as it happened or taken out again, as changes of the design file."""

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.design.rocket import ProofTest
    from bottlewright.logbook.records import VesselTest
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["entered_test", "has_own_file", "taken_out_test", "test_into_its_file", "test_of_its_file"]

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
    tested = project.changed({key: json.dumps(value) for key, value in values.items()}).design.vessel.proof[-1]
    _sure(project, tested, given)
    return values


def _sure(project: "Project", tested: "ProofTest | VesselTest", given: Mapping[str, str]) -> None:
    """Ask back a passed test that is harder than any that is planned for such a bottle."""
    from bottlewright.design.unit_text import at_most

    ceiling = project.proved.plan.ceiling_gauge_Pa
    if tested.passed and tested.pressure.value > ceiling and given.get("sure") != "yes":
        most = at_most(project.proved.habit, ceiling)
        raise FieldsError({"pressure": f"such a bottle is never tested harder than {most}: look at gauge and unit "
                                       "again, or say below that it is no mistake"})  # fmt: skip


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
        raise InputError(f"the tests of bottle {history.id} stand in its own file, {history.file}: what is wrong there "
                         "is put right by hand")


def has_own_file(project: "Project") -> bool:
    """Say whether the design names a bottle whose file is there: its tests are entered there."""
    history = project.design.written.history
    return history is not None and not history.unknown


def test_of_its_file(project: "Project", given: Mapping[str, str]) -> str:
    """Write one more test, as it was answered, into the own file of the bottle that a design names; say it in a line.

    What `bottlewright log test` refuses is refused, by the name of its answer.

    Parameters
    ----------
    given
        As `entered_test` has it; the file counts the times under pressure by itself.

    Raises
    ------
    FieldsError
        With what is wrong by key: an answer is missing, can't be taken or is still to come; or the bottle was under
        pressure on that day besides, and nobody says when the test was.
    InputError
        Where the file can't take it.
    """
    from bottlewright.project.logbook import Logbook, now

    history = project.design.written.history
    if history is None or history.unknown:
        raise InputError("this bottle has no file of its own: look at the page again")
    told, tested = _told_of_its_file(given)
    if len(tested.at) == _DAY and tested.at in _days_of(project, history.id):
        raise FieldsError({"date": "this bottle was under pressure on that day besides: write the time too, such as "
                                   f"{tested.at}T14:05"})  # fmt: skip
    if tested.at > now().isoformat():
        raise FieldsError({"date": "is still to come: write what happened once it has"})
    _sure(project, tested, given)
    return Logbook(project.folder).enter(history.id, "test", told)


def _told_of_its_file(given: Mapping[str, str]) -> "tuple[dict[str, object], VesselTest]":
    """Return a test by the keys of a bottle's file, and as the file has it."""
    from pydantic import ValidationError

    from bottlewright.design.validation_messages import problems_of
    from bottlewright.logbook.records import VesselTest

    asked = [name for name in _ASKED if name != "cycles"]
    answers = {name: given.get(name, "").strip() for name in (*asked, *_OPTIONAL)}
    if missing := {name: _ASKED[name] for name in asked if not answers[name]}:
        raise FieldsError(missing)
    told: dict[str, object] = {_IN_ITS_FILE.get(name, name): _typed(name, text)
                               for name, text in answers.items() if text}  # fmt: skip
    try:
        return told, VesselTest.model_validate(told)
    except ValidationError as error:
        names = {there: here for here, there in _IN_ITS_FILE.items()}
        raise FieldsError({names.get(one.path, one.path): "; ".join(filter(None, (one.why, one.right)))
                           for one in problems_of(error, told, VesselTest)}) from None


def _days_of(project: "Project", name: str) -> set[str]:
    """Return the days on which a bottle was under pressure: what of it came after a test is told by the time."""
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.vessels import read_vessel

    vessel = read_vessel(project.folder / FOLDER, name)
    if vessel is None:
        return set()
    return {one.at[:_DAY] for one in (*vessel.pressurised, *vessel.test)}


_DAY = len("2027-03-31")
_IN_ITS_FILE = {"date": "at"}
"""What the bottle's file calls otherwise than the design does."""


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
