"""After damage: what is said of each part that broke, and what a person does about it, as changes of the design."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = [
    "Damaged", "damages", "done_about_damage", "entered_damage", "fresh_bottle", "parts_that_break", "said_of_damage",
]  # fmt: skip


class Damaged(NamedTuple):
    """One damage that the design tells of.

    Parameters
    ----------
    number, words
        Its place in the list, and what happened, with the day.
    done
        What was done so far.
    says, because, source
        What to do, what it could do to people, and who says so.
    choices
        What may be written as done; empty for what is retired.
    comes_back
        What counts again once it is taken back, where that takes somebody's word and a day; empty for other parts.
    withdrawn
        Who took it back, and when.
    stays
        Whether nobody takes it out: a part that holds pressure was replaced, and older tests were of the other one.
    """

    number: int
    words: str
    done: str
    says: str
    because: str
    source: str
    choices: tuple[str, ...]
    comes_back: str = ""
    withdrawn: str = ""
    stays: bool = False


def parts_that_break(project: "Project") -> list[tuple[str, str, str]]:
    """Return the parts of this rocket that damage can be told of: name, what to do, who says so."""
    from bottlewright.proof.damage import PARTS

    design = project.design
    missing = {"nose": design.nose is None, "fins": design.fins is None, "sleeve": design.sleeve is None,
               "recovery": design.recovery.kind == "none"}  # fmt: skip
    return [(name, after.says, after.source) for name, after in PARTS.items() if not missing.get(name)]


def damages(project: "Project") -> list[Damaged]:
    """Return each damage, with what is done about it."""
    from bottlewright.proof.damage import after_damage

    found = []
    for number, one in enumerate(project.design.damage):
        _, after = after_damage(one)
        words = f"{one.part}: {one.what}" + (f", {one.day}" if one.day else "")
        took = f"{one.withdrawn_by} took it back on {one.withdrawn_on}" if one.withdrawn else ""
        back = _comes_back(project, number) if after.by_word and one.done == "nothing" and not took else ""
        found.append(Damaged(number, words, one.done, after.says, after.because, after.source, after.choices, back,
                             took, after.by_word and one.done != "nothing"))
    return found


def _comes_back(project: "Project", number: int) -> str:
    """Return what counts again without a damage, by the proof of such a design."""
    without = project.changed({f"damage.{number}": None}).prove()
    tests = len([own for own in without.design.vessel.proof if own.passed])
    earlier = {0: "", 1: ", and its test from before counts as before the damage"}.get(
        tests, f", and its {tests} tests from before count as before the damage")
    return f"Then the stop for this damage goes{earlier}. Highest reading of the gauge then: {without.act.allowed}"


def entered_damage(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that tells of a damage: ``part``, ``what`` happened, and ``day`` where known.

    Raises
    ------
    FieldsError
        With what is wrong, by field.
    """
    from bottlewright.design import DesignError
    from bottlewright.project.editing import edited

    answers = {name: " ".join(given.get(name, "").split()) for name in ("part", "what", "day")}
    missing = {name: says for name, says in (("part", "say which part"), ("what", "say what happened to it"))
               if not answers[name]}  # fmt: skip
    if missing:
        raise FieldsError(missing)
    if any((one.part, one.what, one.day or "") == tuple(answers.values()) for one in project.design.damage):
        raise FieldsError({"what": "this stands in the list already: say in what it differs"})
    at = f"damage.{len(project.design.damage)}."
    values: Values = {f"{at}{name}": text for name, text in answers.items() if text}
    try:
        edited(project, values)
    except DesignError as error:
        raise FieldsError({one.path.removeprefix(at): "; ".join(filter(None, (one.why, one.right)))
                           for one in error.problems}) from None  # fmt: skip
    return values


def said_of_damage(
    project: "Project", number: int, words: str, done: str, by: str = "", on: str = ""
) -> "Values":
    """Return the change that says what was done about a damage, or takes the entry out.

    Parameters
    ----------
    number, words
        Which one, and what stands there: another in its place is left alone.
    done
        "repaired", "replaced", or "out": the entry goes, for the part was measured and tried, or it was wrong.
    by, on
        Who looked and found no damage, and when. The entry of a part that holds pressure needs both to count no more,
        and stays in the list with them.

    Raises
    ------
    FieldsError
        When one of the two is missing, or no such day.
    InputError
        When there is no such damage any more, or nobody can repair that.
    """
    told = damages(project)
    if not 0 <= number < len(told) or told[number].words != words:
        raise InputError("that damage does not stand there any more: look at the list again")
    if done == "out" and told[number].stays:
        raise InputError("this stays in the list: tests from before were of the part that broke. "
                         f"A new water test counts beside it ({words})")
    if done == "out" and told[number].comes_back:
        return _taken_back(project, number, " ".join(by.split()), on.strip())
    if done == "out":
        return {f"damage.{number}": None}
    if done not in told[number].choices:
        raise InputError("nobody repairs what holds pressure: take a fresh bottle" if not told[number].choices
                         else f"what was done is {' or '.join(told[number].choices)}")  # fmt: skip
    return {f"damage.{number}.done": done}


def done_about_damage(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change of `said_of_damage` for a form's ``number``, ``words`` and ``done``."""
    number = given.get("number", "")
    return said_of_damage(project, int(number) if number.isdecimal() and len(number) < 6 else -1,
                          given.get("words", ""), given.get("done", ""), given.get("by", ""),
                          given.get("on", ""))  # fmt: skip


def _taken_back(project: "Project", number: int, by: str, on: str) -> "Values":
    import datetime as dt

    wrong = {} if by else {"by": "say who looked over the part and found no damage"}
    if len(by) > 40:
        wrong["by"] = "40 letters at the most"
    try:
        day = dt.date.fromisoformat(on)
    except ValueError:
        raise FieldsError({**wrong, "on": "write the day of that look, such as 2027-03-31"}) from None
    seen = project.design.damage[number].day
    if day > dt.date.today():
        wrong["on"] = "that day is still to come"
    elif seen and on < seen:
        wrong["on"] = f"the damage was told of on {seen}: look at the part again"
    if wrong:
        raise FieldsError(wrong)
    return {f"damage.{number}.withdrawn_by": by, f"damage.{number}.withdrawn_on": day.isoformat()}


def fresh_bottle(project: "Project") -> "Values":
    """Return the change that puts a fresh bottle of the same kind in the place of this one.

    Its tests, launches, age, storage, damage and what was done to its wall were those of the other: the fresh one
    starts without a pressure that is allowed. What was measured of the whole goes with it.
    """
    from bottlewright.project.as_built import forgotten

    vessel = project.design.written.tables.get("vessel", {})
    values: dict[str, None] = {f"vessel.{name}": None for name in OF_ONE_BOTTLE if name in vessel and name != "proof"}
    tests, damage = vessel.get("proof", []), project.design.damage
    values |= {f"vessel.proof.{number}": None for number in reversed(range(len(tests)))}
    hurt = {f"damage.{number}": None for number in reversed(range(len(damage))) if damage[number].part == "bottle"}
    return {**values, **hurt, **forgotten(project)}


OF_ONE_BOTTLE = ("id", "proof", "age", "cycles", "storage", "storage_date", "surface", "surface_date", "hard_landing",
                 "inspected", "retired")  # fmt: skip
"""Keys of the vessel that hold for one bottle only, never for the next of its kind."""
