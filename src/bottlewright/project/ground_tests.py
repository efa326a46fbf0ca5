"""Tries of the release on the ground, filed from the card, and what they would make of the odds, old beside new."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.design import Design
    from bottlewright.design.mechanism import GroundTests
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["GroundTries", "OddsBeside", "confirmed_tries", "counted_anew", "entered_tries", "ground_tries"]

_AT = "recovery.mechanism.tests"
_MOST = 1000
_NAMES = {"not_opening": "it does not open", "early_opening": "it opens too early"}


class OddsBeside(NamedTuple):
    """The odds of one failure: what, as they count without a name to the tests, and as they would with one."""

    what: str
    now: str
    new: str


class GroundTries(NamedTuple):
    """What was counted on the ground of the way that the canopy is let out.

    Parameters
    ----------
    says
        How many tries, and how they went.
    so_far
        The same as a mark, by which a form knows that nobody counted in between.
    odds
        Each failure's odds, now and with the tests confirmed; empty where nothing was counted.
    seen
        The new odds as a mark: what is confirmed is what was shown.
    better
        Whether a name to the tests would make any of them better.
    may_confirm, missing
        Whether somebody may put a name to them now, and what is missing for it.
    confirmed
        Who did, and when; empty where nobody did.
    """

    says: str
    so_far: str
    odds: tuple[OddsBeside, ...]
    seen: str
    better: bool
    may_confirm: bool
    missing: str
    confirmed: str


def ground_tries(project: "Project") -> GroundTries | None:
    """Return what was counted; None where the design describes no way of letting out."""
    from bottlewright.design.unit_text import percent
    from bottlewright.field.counted_tests import FEWEST_TRIES, confirmed
    from bottlewright.field.landings import failure_odds

    tests = _tests(project)
    if tests is None:
        return None
    nameless = _with(project.design, confirmed_by=None, confirmed_on=None)
    named = _with(project.design, confirmed_by="somebody", confirmed_on="2000-01-01")
    now, new = failure_odds(nameless), failure_odds(named)
    enough = tests.tries >= FEWEST_TRIES
    odds = tuple(OddsBeside(words, percent(now[name].value), percent(new[name].value))
                 for name, words in _NAMES.items() if name in now) if tests.tries else ()  # fmt: skip
    better = any(new[name].value < now[name].value for name in _NAMES if name in now)
    missing = ("the tests make none of these odds better" if enough and not better else
               "" if enough else f"{FEWEST_TRIES - tests.tries} more tries are missing: better odds ask for "
               f"{FEWEST_TRIES}")  # fmt: skip
    return GroundTries(
        _says(tests), _mark(tests), odds, "; ".join(f"{one.now} {one.new}" for one in odds), better,
        enough and better and not confirmed(tests), missing,
        f"{tests.confirmed_by}, {tests.confirmed_on}" if confirmed(tests) else "",
    )  # fmt: skip


def _tests(project: "Project") -> "GroundTests | None":
    recovery = project.design.recovery
    return None if recovery.mechanism is None or recovery.kind == "none" else recovery.mechanism.tests


def _with(design: "Design", **said: object) -> "Design":
    """Return the design with other words about its tests."""
    mechanism = design.recovery.mechanism
    assert mechanism is not None, "only a design with a mechanism has tests of it"
    tests = mechanism.tests.model_copy(update=said)
    recovery = design.recovery.model_copy(update={"mechanism": mechanism.model_copy(update={"tests": tests})})
    return design.model_copy(update={"recovery": recovery})


def _says(tests: "GroundTests") -> str:
    if not tests.tries:
        return "nobody has counted a try"
    tries = "1 try" if tests.tries == 1 else f"{tests.tries} tries"
    return f"{tries}, {tests.stuck} stuck, {tests.early} too early"


def _mark(tests: "GroundTests") -> str:
    return f"{tests.tries}/{tests.stuck}/{tests.early}"


def entered_tries(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that adds the tries of a card to those counted before; a name to older ones goes out.

    Whoever put a name to the odds saw the old counts: the new ones are for somebody to see.

    Parameters
    ----------
    given
        ``tries`` of the card, of these ``stuck`` and ``early`` (nothing is no number), and ``so_far`` as
        `GroundTries.so_far` had it when the card was opened.

    Raises
    ------
    FieldsError
        With what is wrong, by field.
    InputError
        Where there is nothing to try, or somebody else filed a card in between.
    """
    tests = _tests(project)
    if tests is None:
        raise InputError("this design says nothing of what lets the canopy out: describe it in [recovery.mechanism]")
    if given.get("so_far", "") != _mark(tests):
        raise InputError(f"somebody filed tries since this card was opened, or it was filed already: {_says(tests)} "
                         "stand there. Look again before you add yours")  # fmt: skip
    wrong = {name: f"has to be a whole number from 0 to {_MOST}" for name in ("tries", "stuck", "early")
             if not _count(given.get(name, ""))}  # fmt: skip
    if wrong:
        raise FieldsError(wrong)
    tries, stuck, early = (int(given[name].strip()) for name in ("tries", "stuck", "early"))
    if not tries:
        raise FieldsError({"tries": "has to be one at the least: count every try, good or bad"})
    if stuck + early > tries:
        raise FieldsError({"tries": f"is {tries}, fewer than went wrong: count every try, good or bad"})
    values: dict[str, int | None] = {f"{_AT}.tries": tests.tries + tries, f"{_AT}.stuck": tests.stuck + stuck,
                                     f"{_AT}.early": tests.early + early}  # fmt: skip
    return {**values, **_nameless(tests)}


def _count(text: str) -> bool:
    text = text.strip()
    return text.isascii() and text.isdecimal() and len(text) < 5 and int(text) <= _MOST


def _nameless(tests: "GroundTests") -> dict[str, None]:
    return {f"{_AT}.{name}": None for name in ("confirmed_by", "confirmed_on") if getattr(tests, name) is not None}


def confirmed_tries(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that puts a name and a day to the new odds, which the lines may then shrink by.

    Parameters
    ----------
    given
        Who (``by``) and on which day (``day``), and the odds that were ``seen``, as `GroundTries.seen` has them.

    Raises
    ------
    FieldsError
        With what is missing, by field.
    InputError
        Where the odds are not those that were shown, or nothing is to be confirmed.
    """
    from bottlewright.design import DesignError
    from bottlewright.project.editing import edited

    told = ground_tries(project)
    if told is None or not told.may_confirm:
        raise InputError((told.missing if told else "") or "there are no better odds for anybody to put a name to")
    if given.get("seen", "") != told.seen:
        raise InputError("the odds are not those that you saw: look at old and new once more")
    answers = {"by": " ".join(given.get("by", "").split()), "day": given.get("day", "").strip()}
    asked = {"by": "write who answers for it", "day": "write the day, such as 2027-03-30"}
    if missing := {name: says for name, says in asked.items() if not answers[name]}:
        raise FieldsError(missing)
    values = {f"{_AT}.confirmed_by": answers["by"], f"{_AT}.confirmed_on": answers["day"]}
    try:
        edited(project, values)
    except DesignError as error:
        named = {f"{_AT}.confirmed_by": "by", f"{_AT}.confirmed_on": "day"}
        raise FieldsError({named.get(one.path, "by"): "; ".join(filter(None, (one.why, one.right)))
                           for one in error.problems}) from None  # fmt: skip
    return values


def counted_anew(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that takes all counted tries out: what was mended or built anew is another release.

    Raises
    ------
    InputError
        Where others were counted since (``so_far``), or none was.
    """
    tests = _tests(project)
    if tests is None or not tests.tries:
        raise InputError("nobody has counted a try")
    if given.get("so_far", "") != _mark(tests):
        raise InputError(f"somebody filed tries since: {_says(tests)} stand there. Look again")
    return {f"{_AT}.{name}": None for name in ("tries", "stuck", "early")} | _nameless(tests)
