"""The answers with which a day is prepared, made into its plan: rockets with their verdicts, turns, people, values."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import BottlewrightError, FieldsError
from bottlewright.logbook.day_table import Role, day_table
from bottlewright.project.fits import designs_in
from bottlewright.project.project import Project, read

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import CrewMember, DayPlan, DayRocket, Turn
    from bottlewright.verdict import Verdict

__all__ = ["LOCAL_VALUES", "Asked", "Judged", "against_rocket", "asked_plan", "day_roles", "judged_now",
           "stands_against"]  # fmt: skip

LOCAL_VALUES: Mapping[str, str] = {
    "ratio": "supervision ratio", "owner": "site owner's permission", "emergency": "emergency number",
    "lightning": "lightning rule",
}  # fmt: skip
"""What differs from place to place, and has to be filled in: short name and words."""

_MOST_LAUNCHES = 30


class Judged(NamedTuple):
    """A design, and its verdict by all that is known now."""

    project: Project
    verdict: "Verdict"


class Asked(NamedTuple):
    """What was answered of one design: its file, launches, launcher, whose, and its place in the order."""

    file: str
    launches: int
    pad: str
    who: str
    order: int


def day_roles() -> Mapping[str, Role]:
    """Return the roles of a day, by name."""
    return day_table().roles


def judged_now(folder: Path, file: str) -> Judged:
    """Read a design of a folder and judge it."""
    project = read(folder / file)
    return Judged(project, project.verdict())


def asked_plan(folder: Path, given: Mapping[str, str], judge: Callable[[str], Any] | None = None) -> "DayPlan":
    """Return the plan that answers ask for.

    Parameters
    ----------
    folder
        Of the designs.
    given
        ``launches.FILE``, ``pad.FILE``, ``who.FILE`` and ``turn.FILE`` for each design file that flies; ``role.NAME``
        and ``adult.NAME`` for each role; ``adults``, names with commas between; ``local.NAME``.
    judge
        Gives the `Judged` of a file; `judged_now` when left out.

    Raises
    ------
    FieldsError
        With what is wrong, by the name of the answer.
    """
    from bottlewright.logbook.day_plan import DayPlan

    wrong: dict[str, str] = {}
    asked = _asked(folder, given, wrong)
    roles = _roles(given, wrong)
    if not asked and not wrong:
        wrong["rockets"] = "choose at least one rocket, and how often it is launched"
    rockets, turns = _rockets(asked, judge or (lambda file: judged_now(folder, file)), wrong)
    if wrong:
        raise FieldsError(wrong)
    adults = {one.name for one in roles.values() if one.adult} | set(_listed(given.get("adults", "")))
    local = {words: " ".join(given.get(f"local.{name}", "").split()) for name, words in LOCAL_VALUES.items()}
    return DayPlan({one.name: one for one in rockets}, roles, frozenset(adults), local, tuple(turns))


_BEFORE_PUMPING = ("vessel unknown", "vessel", "no water test", "published maximum", "finding",
                   "no venting from a distance", "power line", "wind")  # fmt: skip


def stands_against(project: Project, verdict: "Verdict") -> list[str]:
    """Return what would stand against a design on a day from the beginning, in words."""
    from bottlewright.logbook.day_plan import rocket_of

    return against_rocket(rocket_of(project.design, verdict, ""))


def against_rocket(rocket: "DayRocket") -> list[str]:
    """Return what stands against a rocket of a day from the beginning, in words."""
    from bottlewright.logbook.day import prepared
    from bottlewright.logbook.day_plan import DayPlan
    from bottlewright.logbook.gates import at_gate

    day = prepared(DayPlan({rocket.name: rocket}, {}))
    found = [one for gate in _BEFORE_PUMPING for one in at_gate(day, gate, rocket, 0.0)]
    words = "; ".join(rocket.words.get(code, code) for code in rocket.looks)
    looks = [f"{len(rocket.looks)} to look at, by an adult, one by one: {words}"] if rocket.looks else []
    return [*(f"{one.says}; an adult may lift it" if one.lifts else one.says for one in found), *looks]


def _asked(folder: Path, given: Mapping[str, str], wrong: dict[str, str]) -> list[Asked]:
    found = []
    for place, file in enumerate(designs_in(folder)):
        text = given.get(f"launches.{file}", "").strip()
        if text in ("", "0"):
            continue
        if not _short_number(text) or not 1 <= int(text) <= _MOST_LAUNCHES:
            wrong[f"launches.{file}"] = f"is a whole number from 1 to {_MOST_LAUNCHES}"
            continue
        turn = given.get(f"turn.{file}", "").strip()
        found.append(Asked(file, int(text), _short(given.get(f"pad.{file}", "")) or "A",
                           _short(given.get(f"who.{file}", "")), int(turn) if _short_number(turn) else 1000 + place))
    return sorted(found, key=lambda one: one.order)


def _short_number(text: str) -> bool:
    """Say whether a text is a whole number that people write; Python reads none of thousands of digits."""
    return text.isdecimal() and len(text) <= 6


def _short(text: str) -> str:
    return " ".join(text.split())[:40]


def _listed(text: str) -> list[str]:
    return [one for one in (_short(part) for part in text.split(",")) if one]


def _roles(given: Mapping[str, str], wrong: dict[str, str]) -> "dict[str, CrewMember]":
    """Return who has which role: a day begins with somebody in charge, and others may still join."""
    from bottlewright.logbook.day_plan import CrewMember

    found: dict[str, CrewMember] = {}
    for name, role in day_roles().items():
        if who := _short(given.get(f"role.{name}", "")):
            found[name] = CrewMember(who, role.adult or given.get(f"adult.{name}") in ("yes", "true"))
    if "charge" not in found:
        wrong["role.charge"] = "an adult is in charge of a day: say who"
    for name, one in found.items():
        others = {other for other, person in found.items() if person.name == one.name and other != name}
        clash = others if day_roles()[name].alone else others & set(day_roles()[name].not_with)
        if clash:
            wrong[f"role.{name}"] = (f"{one.name} can't be {day_roles()[name].says} and "
                                     f"{' and '.join(sorted(day_roles()[other].says for other in clash))}")
    return found


def _rockets(
    asked: list[Asked], judge: Callable[[str], Any], wrong: dict[str, str]
) -> "tuple[list[DayRocket], list[Turn]]":
    from bottlewright.logbook.day_plan import Turn
    from bottlewright.project.day_basis import day_rocket

    rockets: list[DayRocket] = []
    turns: list[Turn] = []
    for one in asked:
        try:
            project, verdict = judge(one.file)
        except BottlewrightError as error:
            wrong[f"launches.{one.file}"] = f"can't be read: {str(error).splitlines()[0]}"
            continue
        rocket = day_rocket(project, verdict, one.pad)
        if any(other.name == rocket.name for other in rockets):
            wrong[f"launches.{one.file}"] = f"another design of the day is called {rocket.name} too: rename one"
            continue
        rockets.append(rocket)
        turns.append(Turn(rocket.name, one.launches, one.who, *_chances(project)))
    return rockets, turns


def _chances(project: Project) -> tuple[float | None, float | None]:
    """Return the chance of one launch that the bottle bursts, and that the flight comes down on somebody."""
    from bottlewright.field.numbers import stored

    rated, landed = project.proved.rated, stored(project.design, project.folder)
    return (None if rated.failed else rated.burst_chance_at_plan), (landed.strike if landed else None)

